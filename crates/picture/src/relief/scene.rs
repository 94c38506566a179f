//! What there is to see, measured once for a whole picture.

use super::bars;
use super::edges::Edging;
use super::header::{self, Below, Header};
use super::light::Skin;
use super::look::Look;
use super::mark;
use super::noise::{hash_text, hash2};
use super::open::{Warp, Way};
use super::ramp::Ramp;
use super::shadow::Shadow;
use super::stubs::Stub;
use super::tube::Tube;
use super::view::View;
use super::wood::Wood;
use crate::ink;
use fellmark_core::cloth::Cloth;
use fellmark_core::plan::WeftId;
use fellmark_core::racetrack::Crossed;
use fellmark_core::side::Side;
use fellmark_core::study::Study;
use fellmark_core::thread::Thread;
use fellmark_core::yarn::Srgb;

/// A strand's measures in px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Strand {
    /// The number of its yarn.
    pub(super) yarn: usize,
    /// How many strands of yarn lie side by side in it.
    pub(super) strands: u32,
    /// Diameter of one of them, lying free.
    pub(super) free: f32,
    /// Thickness where it crosses another.
    pub(super) thick: f32,
    /// Width where nothing presses on it.
    pub(super) side: f32,
    /// Width where it is pressed flat.
    pub(super) spread: f32,
}

impl Strand {
    fn of(thread: Thread, yarn: usize, strands: u32, view: &View) -> Strand {
        Strand {
            yarn,
            strands: strands.max(1),
            free: view.px(thread.free.mm()),
            thick: view.px(thread.thick.mm()),
            side: view.px(thread.side_by_side().mm()),
            spread: view.px(thread.spread().mm()),
        }
    }
}

/// Where the warp grows wider, from its width in the cloth to that in the notches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fan {
    /// The middle of the warp, across.
    pub(super) middle: f32,
    /// From where down to where.
    pub(super) top: f32,
    pub(super) foot: f32,
    /// How much wider it is there.
    pub(super) wider: f32,
}

impl Fan {
    /// How much wider it is at a height than in the cloth, as a factor.
    fn wider(&self, y: f32) -> f32 {
        1.0 + self.wider * ((self.top - y) / (self.top - self.foot).max(1e-3)).clamp(0.0, 1.0)
    }
}

/// A piece, measured for a picture.
pub(super) struct Scene<'a> {
    pub(super) study: &'a Study,
    pub(super) view: View,
    pub(super) wefts: Vec<Strand>,
    /// The yarns as warp.
    pub(super) warps: Vec<Strand>,
    /// Each yarn's skin as weft and as warp lie alike: by yarn.
    pub(super) skins: Vec<Skin>,
    pub(super) looks: Vec<Look>,
    /// The yarns' colours, then paper, wood and card.
    pub(super) ramps: Vec<Ramp>,
    /// The plies of all skins, one after the other, and the steps of all ramps: a line is looked up whatever lies in it.
    pub(super) plies: Vec<[f32; 2]>,
    pub(super) colours: Vec<u32>,
    yarn_seeds: Vec<u32>,
    /// A number for all that a yarn's looks are made from.
    pub(super) yarn_marks: Vec<u64>,
    place_seeds: Vec<u32>,
    /// How far down and up each row reaches.
    pub(super) bounds: Vec<(f32, f32)>,
    /// How far the widest weft may reach.
    pub(super) widest: f32,
    /// How far a weft and the warp rise before and behind the middle, by weft and yarn of the warp.
    rises: Vec<(f32, f32)>,
    /// How each row ends at its left and its right.
    pub(super) stubs: Vec<[Stub; 2]>,
    /// Turns, tails, loops of the warp.
    pub(super) tubes: Vec<Tube>,
    pub(super) wood: Option<Wood>,
    /// What lies below the first row.
    pub(super) header: Option<Header<'a>>,
    /// How its rows grow wider downward, where they do.
    pub(super) fan: Option<Fan>,
    /// How each end runs.
    ways: Vec<Way>,
    /// A usual thickness: what shadows are measured by.
    pub(super) unit: f32,
    pub(super) shadow: Shadow,
    /// How far behind the warp the paper lies (a negative height), and what tails lie on.
    pub(super) paper: f32,
    pub(super) ground: f32,
}

impl<'a> Scene<'a> {
    pub(super) fn new(
        study: &'a Study,
        view: View,
        edging: &Edging<'_>,
        below: Option<&'a Below<'_>>,
        warp: &Warp,
        ground: Srgb,
    ) -> Scene<'a> {
        let mut scene = Scene::cloth_of(study, view, warp.loose, ground);
        if warp.frame.is_some() {
            // Tails lie on its posts.
            scene.ground = -scene.unit * 0.5;
        }
        edging.add(&mut scene);
        scene.ways = warp.ways(&view);
        scene.header = header::lay(&scene, below, warp, ground);
        bars::add(&mut scene, edging.drawn(), warp);
        if let Some(frame) = &warp.frame {
            scene.wood = Some(Wood::new(frame, &view));
        }
        scene
    }

    /// The rows alone, without what they end in.
    pub(super) fn cloth_of(study: &'a Study, view: View, loose: Option<f64>, ground: Srgb) -> Scene<'a> {
        let (piece, cloth, habits) = (&study.piece, &study.cloth, &study.habits);
        let wefts: Vec<Strand> = (0..)
            .zip(&piece.wefts)
            .map(|(k, weft)| Strand::of(cloth.weft(WeftId(k)), weft.yarn.0, weft.strands, &view))
            .collect();
        let on_end = piece.loom.strands_per_end();
        let spacing = cloth.spacing();
        let warp_threads: Vec<Thread> = piece.yarns.iter().map(|y| Thread::of(y, on_end, habits)).collect();
        let warps: Vec<Strand> = (0..)
            .zip(&warp_threads)
            .map(|(k, &thread)| {
                let strand = Strand::of(thread, k, on_end, &view);
                // Ends that would overlap stand side by side.
                let side = strand.side.min(view.px(spacing.mm()) * 0.98);
                Strand { side, free: strand.free.min(side), ..strand }
            })
            .collect();
        let mut rises = Vec::new();
        for weft in 0..wefts.len() {
            for end in &warp_threads {
                let crossed = Crossed::of(end, spacing, &cloth.weft(WeftId(weft)));
                let contact = crossed.contact;
                let rise = match loose {
                    None => crossed.weft_rise(),
                    Some(ends) => contact * (1.0 - ends),
                };
                rises.push((view.px(rise.mm() / 2.0), view.px((contact - rise).mm() / 2.0)));
            }
        }
        let looks: Vec<Look> = piece.yarns.iter().map(|yarn| Look::of(yarn, habits)).collect();
        let scale = view.scale as f32;
        let skins: Vec<Skin> = looks
            .iter()
            .zip(&piece.yarns)
            .map(|(look, yarn)| Skin::new(look, view.px(habits.diameter(yarn).mm()), scale))
            .collect();
        let mut ramps: Vec<Ramp> = looks
            .iter()
            .zip(&piece.yarns)
            .map(|(look, yarn)| Ramp::of(yarn.colour, 0.12 + 0.6 * f64::from(look.gloss)))
            .collect();
        let yarn_marks = (0..looks.len())
            .map(|k| mark::of_yarn(&looks[k], &ramps[k], view.px(habits.diameter(&piece.yarns[k]).mm())))
            .collect();
        ramps.push(Ramp::ground(ground));
        ramps.push(Ramp::of(WOOD, 0.05));
        ramps.push(Ramp::of(ink::CARD, 0.02));
        let ends: Vec<Strand> = piece.ends.iter().map(|end| warps[end.yarn.0]).collect();
        let mean = |part: fn(&Strand) -> f32| ends.iter().map(part).sum::<f32>() / ends.len().max(1) as f32;
        let unit = mean(|end| end.thick).max(0.5);
        let deepest = rises.iter().map(|rise| rise.0).fold(0.0, f32::max);
        let widest = wefts.iter().map(|weft| weft.spread.max(weft.side)).fold(1.0, f32::max);
        let mut scene = Scene {
            study,
            view,
            plies: skins.iter().flat_map(|skin| *skin.twist()).collect(),
            colours: ramps.iter().flat_map(|ramp| *ramp.steps()).collect(),
            skins,
            looks,
            ramps,
            yarn_seeds: piece.yarns.iter().map(|yarn| hash_text(&yarn.name)).collect(),
            yarn_marks,
            place_seeds: piece.places.iter().map(|p| hash2(hash_text(&p.name), p.nth.0)).collect(),
            bounds: Vec::new(),
            widest,
            rises,
            stubs: Vec::new(),
            tubes: Vec::new(),
            wood: None,
            header: None,
            fan: None,
            ways: Vec::new(),
            unit,
            shadow: Shadow::new(unit),
            paper: -(deepest + unit * 0.8),
            ground: -(deepest + unit * 0.8),
            wefts,
            warps,
        };
        scene.bounds = (0..cloth.row_count())
            .map(|row| {
                let heights = cloth.row(row).heights();
                let low = heights.iter().fold(f32::INFINITY, |a, &b| a.min(b));
                let high = heights.iter().fold(0.0, |a: f32, &b| a.max(b));
                let half = scene.widest * 0.6 + 1.0;
                (view.y(f64::from(low)) - half, view.y(f64::from(high)) + half)
            })
            .collect();
        scene
    }

    pub(super) fn cloth(&self) -> &Cloth {
        &self.study.cloth
    }

    /// How far a weft rises before or behind the middle where it crosses an end, and how far the end yields.
    pub(super) fn rise(&self, weft: usize, end: u32) -> (f32, f32) {
        let yarn = self.study.piece.ends.get(end as usize).map_or(0, |end| end.yarn.0);
        self.rises.get(weft * self.warps.len() + yarn).copied().unwrap_or_default()
    }

    /// An end's strand.
    pub(super) fn end(&self, end: u32) -> Strand {
        let yarn = self.study.piece.ends.get(end as usize).map_or(0, |end| end.yarn.0);
        self.warps[yarn]
    }

    /// The way of an end up the picture.
    pub(super) fn way(&self, end: u32) -> Way {
        self.ways[end as usize]
    }

    /// The px of an end in the cloth.
    pub(super) fn end_x(&self, end: u32) -> f32 {
        self.view.x(self.cloth().spacing().mm() * f64::from(end))
    }

    /// The px of an end where a row crosses it.
    pub(super) fn row_x(&self, row: u32, end: u32) -> f32 {
        let x = self.end_x(end);
        self.fan.map_or(x, |fan| fan.middle + (x - fan.middle) * self.wider(row))
    }

    /// How much wider a row lies than the cloth, as a factor.
    pub(super) fn wider(&self, row: u32) -> f32 {
        let middle = || self.view.y(self.cloth().row(row).mean().mm());
        self.fan.map_or(1.0, |fan| fan.wider(middle()))
    }

    /// From place to place across, in px.
    pub(super) fn step(&self) -> f32 {
        self.view.px(self.cloth().spacing().mm() / 2.0).max(1e-3)
    }

    /// How a row ends at a side.
    pub(super) fn stub(&self, row: u32, side: Side) -> Stub {
        self.stubs[row as usize][usize::from(side == Side::Right)]
    }

    /// The number from which a row's grain comes: its yarn's, its band's and its own within the band, so that no
    /// other band has a share in it.
    pub(super) fn row_seed(&self, row: u32) -> u32 {
        let (piece, this) = (&self.study.piece, self.study.piece.row(row));
        let yarn = piece.wefts[this.weft.0].yarn.0;
        hash2(hash2(self.yarn_seeds[yarn], self.place_seeds[this.place.0]), this.band_row)
    }

    /// The same for an end.
    pub(super) fn end_seed(&self, end: u32) -> u32 {
        hash2(self.yarn_seeds[self.end(end).yarn], end.wrapping_add(0x5eed))
    }

    pub(super) fn paper_ramp(&self) -> usize {
        self.skins.len()
    }

    pub(super) fn wood_ramp(&self) -> usize {
        self.skins.len() + 1
    }

    pub(super) fn card_ramp(&self) -> usize {
        self.skins.len() + 2
    }
}

/// The wood of the frame, a little warmer than the paper.
const WOOD: Srgb = Srgb([0xd9, 0xc3, 0x9c]);
