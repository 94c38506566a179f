//! The pictures that were shown last, kept so that only what an edit changed is drawn and sent again.

use crate::lock;
use fellmark_core::cloth::size::State;
use fellmark_core::side::Surface;
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;
use fellmark_picture::relief::{self, Changes, Kept, Picture, Placement, Raster, Region, Scale, TooLarge};
use fellmark_store::{PieceId, RevisionId};
use serde::Serialize;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// As many pictures are kept: some megabytes each.
const KEPT: usize = 3;
/// Of so many steps it is known what each changed in a picture.
const STEPS: usize = 16;
/// More parts than these are better sent as one picture.
const MOST_PARTS: usize = 64;
/// The widths that may be asked for.
const WIDTHS: std::ops::RangeInclusive<u32> = 50..=4000;
const USUAL_WIDTH: u32 = 1000;
/// The widths that pictures that are kept have: whoever asks for another gets the next, so that screens that
/// differ a little have one picture between them. From 400 on none is a sixth wider than what was asked for: the
/// page asks for as many pixels as a phone's canvas holds, with that much to spare.
const FEW: [u32; 21] = [
    100, 200, 300, 400, 460, 530, 610, 700, 800, 920, 1050, 1200, 1380, 1580, 1800, 2050, 2350, 2700, 3100,
    3500, 4000,
];

/// What is looked at, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Look {
    surface: Surface,
    state: State,
    width: u32,
    bare: bool,
    /// Woven the other way round.
    mirrored: bool,
    /// What it lies on.
    ground: Srgb,
}

/// What of a piece's history is pictured: a revision, and the first rows of it, where not all are woven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct At {
    pub(crate) revision: RevisionId,
    pub(crate) rows: Option<u32>,
}

impl Look {
    pub(crate) fn new(surface: Surface, state: Option<&str>, width: Option<u32>, bare: bool) -> Option<Look> {
        let state = match state {
            None | Some("on-loom") => State::OnLoom,
            Some("released") => State::Released,
            Some("finished") => State::Finished,
            Some(_) => return None,
        };
        let width = width.unwrap_or(USUAL_WIDTH);
        WIDTHS.contains(&width).then_some(Look {
            surface,
            state,
            width,
            bare,
            mirrored: false,
            ground: relief::PAPER,
        })
    }

    pub(crate) fn mirrored(self, mirrored: bool) -> Look {
        Look { mirrored, ..self }
    }

    pub(crate) fn on(self, ground: Srgb) -> Look {
        Look { ground, ..self }
    }

    /// The same in a width that is kept.
    fn kept(self) -> Look {
        let width = FEW.into_iter().find(|width| *width >= self.width).unwrap_or(self.width);
        Look { width, ..self }
    }

    /// The picture, drawn for this once: the ones that are kept stay what they are.
    pub(crate) fn once(self, study: &Study) -> Result<Sent, TooLarge> {
        let options = self.options();
        let about = About::new(&relief::placement(study, &options)?, study, None);
        Ok(Sent { about, raster: relief::picture(study, &options)? })
    }

    fn options(self) -> Picture {
        Picture {
            surface: self.surface,
            state: self.state,
            scale: Scale::Width(self.width),
            frame: !self.bare,
            ground: self.ground,
            ..Picture::default()
        }
    }
}

/// What is said with a picture: where the cloth lies in it (see [`relief::Placement`]), and of what it is made up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct About {
    width: u32,
    height: u32,
    per_mm: f64,
    first_end: f64,
    /// The last end seen from the front.
    last_end: f64,
    end_to_end: f64,
    foot: f64,
    up: f64,
    /// The pixel, from the top, to which the cloth reaches.
    fell: f64,
    /// Whether the picture is whole; else it is made of parts, one above the other.
    pub(crate) all: bool,
    /// How many lines the whole picture grew at its top.
    grown: i64,
    /// Left, top, width and height of each part in the whole picture.
    parts: Vec<[u32; 4]>,
}

impl About {
    /// Of a whole picture, or of what changed in it.
    pub(crate) fn new(placement: &Placement, study: &Study, changes: Option<&Changes>) -> About {
        About {
            width: placement.width,
            height: placement.height,
            per_mm: placement.per_mm,
            first_end: placement.first_end,
            last_end: placement.first_end
                + placement.end_to_end * f64::from(study.cloth.end_count().saturating_sub(1)),
            end_to_end: placement.end_to_end,
            foot: placement.foot,
            up: placement.up,
            fell: placement.foot - study.cloth.length().mm() * placement.up,
            all: changes.is_none(),
            grown: changes.map_or(0, |changes| changes.grown),
            parts: changes.map_or_else(Vec::new, |changes| {
                changes.regions.iter().map(|r| [r.x, r.y, r.width, r.height]).collect()
            }),
        }
    }
}

/// A picture, or the parts of one.
#[derive(Debug)]
pub(crate) struct Sent {
    pub(crate) about: About,
    pub(crate) raster: Raster,
}

/// A picture, and how it came to be what it is.
#[derive(Debug)]
struct Shown {
    at: At,
    kept: Kept,
    /// What it showed before, and how each differs from the next, the latest last.
    before: VecDeque<(At, Changes)>,
}

impl Shown {
    fn new(at: At, study: &Study, look: Look) -> Result<Shown, TooLarge> {
        Ok(Shown { at, kept: Kept::new(study, &look.options())?, before: VecDeque::new() })
    }

    fn renew(&mut self, at: At, study: &Study) -> Result<(), TooLarge> {
        if self.at != at {
            let changes = self.kept.renew(study)?;
            self.before.push_back((std::mem::replace(&mut self.at, at), changes));
            if self.before.len() > STEPS {
                self.before.pop_front();
            }
        }
        Ok(())
    }

    /// How it differs from what it was, if that is known.
    fn since(&self, from: At) -> Option<Changes> {
        let first = self.before.iter().rposition(|(at, _)| *at == from)?;
        let mut steps = self.before.iter().skip(first).map(|(_, changes)| changes);
        let begin = steps.next()?.clone();
        Some(steps.fold(begin, |all, next| all.then(next, self.kept.raster())))
    }
}

/// The place of a picture: whoever wants it waits while it is worked on, and who wants another doesn't.
#[derive(Debug)]
struct Slot {
    piece: PieceId,
    look: Look,
    /// Of a piece and of a weaving of it there are pictures side by side.
    woven: bool,
    /// Missing until it is drawn first.
    shown: Mutex<Option<Shown>>,
}

/// The pictures at hand, the latest asked for first.
#[derive(Debug, Default)]
pub(crate) struct Pictures(Mutex<VecDeque<Arc<Slot>>>);

impl Pictures {
    fn slot(&self, piece: PieceId, look: Look, woven: bool) -> Arc<Slot> {
        let mut slots = lock(&self.0);
        let same = |slot: &Arc<Slot>| slot.piece == piece && slot.look == look && slot.woven == woven;
        let known = slots.iter().position(same).and_then(|at| slots.remove(at));
        let slot = known.unwrap_or_else(|| Arc::new(Slot { piece, look, woven, shown: Mutex::default() }));
        slots.push_front(Arc::clone(&slot));
        slots.truncate(KEPT);
        slot
    }

    /// Draws, before anyone asks, what a piece's latest picture becomes at another revision: who changed it will.
    pub(crate) fn ahead(&self, piece: PieceId, revision: RevisionId, study: &Study) {
        let slot = lock(&self.0).iter().find(|slot| slot.piece == piece && !slot.woven).map(Arc::clone);
        // Where it is worked on already, that will do.
        let Some(mut shown) = slot.as_ref().and_then(|slot| slot.shown.try_lock().ok()) else { return };
        if let Some(mut known) = shown.take()
            && known.renew(At { revision, rows: None }, study).is_ok()
        {
            *shown = Some(known);
        }
    }

    /// A picture of a revision, as wide as was asked for or somewhat wider: all of it, or what differs from that
    /// of `from`.
    pub(crate) fn picture(
        &self,
        (piece, at): (PieceId, At),
        study: &Study,
        look: Look,
        from: Option<At>,
    ) -> Result<Sent, TooLarge> {
        let look = look.kept();
        let slot = self.slot(piece, look, at.rows.is_some());
        let mut shown = lock(&slot.shown);
        // Taken out, so that nothing half done stays if the work comes to nothing.
        let known = match shown.take() {
            Some(mut known) => {
                known.renew(at, study)?;
                known
            }
            None => Shown::new(at, study, look)?,
        };
        let known = shown.insert(known);
        let kept = &known.kept;
        let mut parts = from.and_then(|from| known.since(from)).filter(|changes| worth_it(changes, kept));
        if let Some(changes) = parts.as_mut().filter(|changes| changes.regions.is_empty()) {
            // A picture has a pixel at least.
            changes.regions.push(Region { x: 0, y: 0, width: 1, height: 1 });
        }
        let about = |changes| About::new(kept.placement(), study, changes);
        Ok(match &parts {
            Some(changes) => {
                Sent { about: about(Some(changes)), raster: cut(kept.raster(), &changes.regions) }
            }
            None => Sent { about: about(None), raster: kept.raster().clone() },
        })
    }
}

/// Whether sending the parts is less than sending all.
fn worth_it(changes: &Changes, kept: &Kept) -> bool {
    let across = changes.regions.iter().map(|region| region.width).max().unwrap_or(0);
    let down: u64 = changes.regions.iter().map(|region| u64::from(region.height)).sum();
    let all = u64::from(kept.raster().width) * u64::from(kept.raster().height);
    !changes.all && changes.regions.len() <= MOST_PARTS && u64::from(across) * down < all
}

/// Parts of a picture, one above the other.
fn cut(whole: &Raster, parts: &[Region]) -> Raster {
    let width = parts.iter().map(|part| part.width).max().unwrap_or(0);
    let height = parts.iter().map(|part| part.height).sum();
    let mut rgb = Vec::with_capacity(width as usize * height as usize * 3);
    for part in parts {
        for line in part.y..part.y + part.height {
            let at = (line as usize * whole.width as usize + part.x as usize) * 3;
            let bytes = whole.rgb.get(at..at + part.width as usize * 3).unwrap_or_default();
            rgb.extend_from_slice(bytes);
            rgb.resize(rgb.len() + width as usize * 3 - bytes.len(), 0);
        }
    }
    Raster { width, height, per_mm: whole.per_mm, rgb }
}

/// Who may draw now: two at once, since each takes hundreds of megabytes at the most, and of the network's devices one,
/// so that they keep nobody waiting at this computer. Whoever stops waiting has given its place up.
#[derive(Debug)]
pub(crate) struct Turns {
    all: Arc<Semaphore>,
    devices: Arc<Semaphore>,
}

/// A turn at drawing, for as long as it is held.
#[derive(Debug)]
pub(crate) struct Turn {
    _of_all: OwnedSemaphorePermit,
    _of_devices: Option<OwnedSemaphorePermit>,
}

impl Default for Turns {
    fn default() -> Turns {
        Turns { all: Arc::new(Semaphore::new(2)), devices: Arc::new(Semaphore::new(1)) }
    }
}

impl Turns {
    /// Waits for a turn; `None` if there are none any more.
    pub(crate) async fn wait(&self, device: bool) -> Option<Turn> {
        let of_devices = match device {
            true => Some(Arc::clone(&self.devices).acquire_owned().await.ok()?),
            false => None,
        };
        let of_all = Arc::clone(&self.all).acquire_owned().await.ok()?;
        Some(Turn { _of_all: of_all, _of_devices: of_devices })
    }

    /// How many hold a turn at this computer's pace or wait for one.
    #[cfg(test)]
    pub(crate) fn asked(&self) -> usize {
        Arc::strong_count(&self.all) - 1
    }
}

#[cfg(test)]
impl Pictures {
    /// How many pictures are kept.
    pub(crate) fn count(&self) -> usize {
        lock(&self.0).len()
    }
}
