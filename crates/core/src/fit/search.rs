//! Where to look for choices, and how much.

use super::{Choice, flawed, ranked, takes};
use crate::cloth::size::{self, Likely};
use crate::habits::Habits;
use crate::piece;
use crate::plan::{BandId, Edit, Extent, Plan, Wanted, bounds};
use crate::quantity::Mm;
use crate::sound::{Finding, Severity};
use crate::study::{Study, study};
use crate::weave::lcm;

/// Crossings that are woven in all simulations together, so that a large piece is tried out less often. It is a
/// number of steps and no time: the answer is the same on any machine.
const CROSSINGS: u64 = 40_000_000;
/// The most and the fewest simulations.
const TRIES: (u64, u64) = (16, 120);
/// Numbers of ends that are looked at on either side of the nearest: a repeat, but no more than this.
const WINDOW: u32 = 12;
/// Numbers of ends for which rows are looked for.
const WIDTHS: usize = 4;
/// Bands whose rows are looked for.
const BANDS: usize = 2;
/// Steps towards the nearest number of ends, or of rows.
const APPROACHES: u32 = 12;

/// A search for one plan and one size.
pub(super) struct Search<'a> {
    plan: &'a Plan,
    now: &'a Study,
    wanted: Wanted,
    tries: u64,
}

impl<'a> Search<'a> {
    pub(super) fn new(plan: &'a Plan, now: &'a Study, wanted: Wanted) -> Search<'a> {
        let piece = &now.piece;
        let crossings = u64::from(piece.end_count()) * u64::from(piece.row_count());
        Search { plan, now, wanted, tries: (CROSSINGS / crossings.max(1)).clamp(TRIES.0, TRIES.1) }
    }

    /// All choices that were tried out, those with fewer changes first.
    pub(super) fn choices(mut self) -> Vec<Choice> {
        let mut found: Vec<Choice> = Vec::new();
        found.extend(self.choice(Vec::new(), true, 0));
        let widths = self.widths(&mut found);
        let bands = self.bands();
        let fills = bands.iter().any(|&band| self.plan.extent_of(band) == Some(&Extent::Fill));
        for ends in widths {
            // A band that fills goes on filling where no number of its rows comes nearer.
            if fills && found.iter().all(|known| known.edits != ends) {
                found.extend(self.choice(ends.clone(), true, 0));
            }
            for (rank, &band) in bands.iter().enumerate() {
                for (rows, whole) in self.lengths(&ends, band) {
                    let mut edits = ends.clone();
                    // With other ends what fills may come to other rows.
                    let fills = !ends.is_empty() && self.plan.extent_of(band) == Some(&Extent::Fill);
                    if rows != self.rows_now(band) || fills {
                        edits.push(Edit::BandRows(band, rows));
                    }
                    if found.iter().all(|known| known.edits != edits) {
                        found.extend(self.choice(edits, whole, rank));
                    }
                }
            }
        }
        found
    }

    /// Takes a try, if one is left.
    fn may_try(&mut self) -> bool {
        let left = self.tries > 0;
        self.tries = self.tries.saturating_sub(1);
        left
    }

    fn edited(&self, edits: &[Edit]) -> Option<Plan> {
        edits.iter().try_fold(self.plan.clone(), |plan, edit| edit.apply(&plan).ok())
    }

    /// The sizes that come of edits, without more ado, and the height of the rows as they have to fit the frame.
    fn sizes(&mut self, edits: &[Edit]) -> Option<(Likely, Mm)> {
        if !self.may_try() {
            return None;
        }
        let plan = self.edited(edits)?;
        let habits = Habits::of(&plan);
        let piece = piece::make(&plan, &habits).ok()?;
        Some((size::likely(&piece, &habits), piece.height(&habits)))
    }

    /// What comes of edits, in full.
    fn choice(&mut self, edits: Vec<Edit>, whole_repeats: bool, band_rank: usize) -> Option<Choice> {
        if !self.may_try() {
            return None;
        }
        let plan = self.edited(&edits)?;
        let study = study(&plan).ok()?;
        let [warp_now, weft_now] = takes(self.now);
        let [warp, weft] = takes(&study);
        let finished = study.size.finished;
        let is_known =
            |one: &&Finding| self.now.findings.iter().any(|known| known.kind.is_about_same(&one.kind));
        let (known, new): (Vec<&Finding>, Vec<&Finding>) = flawed(&study).partition(is_known);
        Some(Choice {
            wider: self.wanted.width.map(|wanted| finished.width.likely - wanted),
            longer: self.wanted.length.map(|wanted| finished.length.likely - wanted),
            more_warp: warp - warp_now,
            more_weft: weft - weft_now,
            whole_repeats,
            band_rank,
            kept: known.iter().filter(|finding| finding.severity != Severity::Note).count(),
            new: new.into_iter().cloned().collect(),
            edits,
            plan,
            study,
        })
    }

    /// The edits for a few numbers of ends that suit the width best; what is tried out for the width alone is
    /// found already.
    fn widths(&mut self, found: &mut Vec<Choice>) -> Vec<Vec<Edit>> {
        let now = self.now.piece.end_count();
        let edits = |ends: u32| if ends == now { Vec::new() } else { vec![Edit::WarpEnds(ends)] };
        let Some(width) = self.wanted.width else { return vec![Vec::new()] };
        let most = self.now.piece.loom.most_ends().min(bounds::ENDS);
        let Some(nearest) = self.nearest_ends(width, most) else { return vec![Vec::new()] };
        let repeats = self.now.piece.places.iter().filter_map(|place| place.repeat);
        let window = repeats.map(|(ends, _)| ends).max().unwrap_or(1).clamp(2, WINDOW);
        let mut numbers: Vec<u32> =
            (nearest.saturating_sub(window).max(2)..=nearest.saturating_add(window).min(most)).collect();
        numbers.sort_by_key(|&ends| ends.abs_diff(nearest));
        let mut tried: Vec<Choice> = Vec::new();
        for ends in numbers {
            match found.iter().position(|known| known.edits == edits(ends)) {
                Some(at) => tried.push(found[at].clone()),
                None => tried.extend(self.choice(edits(ends), true, 0)),
            }
            // Most tries belong to the rows.
            if self.tries * 2 < TRIES.0 {
                break;
            }
        }
        if self.wanted.length.is_none() {
            found.extend(tried.iter().filter(|choice| !choice.edits.is_empty()).cloned());
        }
        let first = tried.first().map(|choice| choice.edits.clone());
        let ranked = ranked(tried, Wanted { length: None, ..self.wanted }).into_iter();
        let mut widths: Vec<Vec<Edit>> = ranked.take(WIDTHS - 1).map(|choice| choice.edits).collect();
        widths.extend(first.filter(|first| !widths.contains(first)));
        widths
    }

    /// The number of ends that comes nearest to a finished width.
    fn nearest_ends(&mut self, wanted: Mm, most: u32) -> Option<u32> {
        let mut ends = self.now.piece.end_count();
        let (finished, loom) = (self.now.size.finished.width.likely, self.now.size.on_loom.width.likely);
        let per_end = self.now.piece.spacing() * (finished / loom);
        let mut best: Option<(f64, u32)> = None;
        for _ in 0..APPROACHES {
            let Some((sizes, _)) = self.sizes(&[Edit::WarpEnds(ends)]) else { break };
            let off = wanted - sizes.finished.width;
            if best.is_none_or(|(known, _)| off.abs().mm() < known) {
                best = Some((off.abs().mm(), ends));
            }
            let next = step(ends, off / per_end, 2, most);
            if next == ends {
                break;
            }
            ends = next;
        }
        best.map(|(_, ends)| ends)
    }

    /// The bands whose rows may change: the one that fills if there is one, else those that have most rows.
    fn bands(&self) -> Vec<BandId> {
        if self.wanted.length.is_none() {
            return Vec::new();
        }
        let mut bands: Vec<(BandId, u32)> = Vec::new();
        for place in &self.now.piece.places {
            match bands.iter_mut().find(|(band, _)| *band == place.band) {
                Some((_, rows)) => *rows += place.rows,
                None => bands.push((place.band, place.rows)),
            }
        }
        let fills = |band: BandId| self.plan.extent_of(band) == Some(&Extent::Fill);
        if let Some(&(band, _)) = bands.iter().find(|&&(band, _)| fills(band)) {
            return vec![band];
        }
        bands.sort_by_key(|&(_, rows)| std::cmp::Reverse(rows));
        // A hem is no place to make a piece longer.
        let body = bands.first().map_or(0, |&(_, rows)| rows / 2);
        let bands = bands.into_iter().filter(|&(_, rows)| rows >= body);
        bands.take(BANDS).map(|(band, _)| band).collect()
    }

    fn rows_now(&self, band: BandId) -> u32 {
        let place = self.now.piece.places.iter().find(|place| place.band == band);
        place.map_or(0, |place| place.rows)
    }

    /// Numbers of rows of a band that suit the length, and whether each is whole repeats of its weave: whole turns of
    /// its wefts on either side of the nearest, and whole repeats on either side.
    fn lengths(&mut self, ends: &[Edit], band: BandId) -> Vec<(u32, bool)> {
        let Some((nearest, highest)) = self.nearest_rows(ends, band) else { return Vec::new() };
        let turn = self.plan.rows_in_turn(band);
        let place = self.now.piece.places.iter().find(|place| place.band == band);
        let repeat = place.and_then(|place| place.repeat).map_or(turn, |(_, rows)| lcm(rows.max(1), turn));
        let mut numbers: Vec<(u32, bool)> = Vec::new();
        for by in [repeat, turn] {
            let below = nearest / by * by;
            for rows in [below, below.saturating_add(by)] {
                let fits = rows > 0 && rows <= highest && numbers.iter().all(|&(known, _)| known != rows);
                if fits {
                    numbers.push((rows, rows.is_multiple_of(repeat)));
                }
            }
        }
        numbers
    }

    /// The number of rows that comes nearest to the finished length with these ends, and the most with which
    /// everything is known to lie within reach.
    fn nearest_rows(&mut self, ends: &[Edit], band: BandId) -> Option<(u32, u32)> {
        let wanted = self.wanted.length?;
        let piece = &self.now.piece;
        let places = piece.places.iter().filter(|place| place.band == band).count().max(1);
        let most = bounds::ROWS / places as u32;
        // What a row adds on average; where rows lie at one height two in turn may add nothing.
        let per_row =
            self.now.size.finished.length.likely / f64::from(piece.row_count().max(1)) * places as f64;
        let mut rows = self.rows_now(band).max(1);
        let mut best: Option<(f64, u32)> = None;
        // Too few rows, and too many: for the length, or for the frame.
        let (mut few, mut many) = (0, None);
        let mut highest = most;
        for _ in 0..APPROACHES {
            let edits: Vec<Edit> = ends.iter().cloned().chain([Edit::BandRows(band, rows)]).collect();
            let Some((sizes, height)) = self.sizes(&edits) else { break };
            let length = sizes.finished.length;
            let mut off = wanted - length;
            let over = height - piece.reach();
            if over > Mm::ZERO {
                highest = rows - 1;
                off = off.min(-(over * (length / height)));
            } else if best.is_none_or(|(known, _)| off.abs().mm() < known) {
                best = Some((off.abs().mm(), rows));
            }
            if off > Mm::ZERO {
                few = rows
            } else {
                many = Some(rows)
            }
            // Up to twice as many at a time until there are too many, and then between the two.
            let (least, most) = match many {
                Some(many) => (few + 1, many.saturating_sub(1)),
                None => (few + 1, most.min(rows.saturating_mul(2).saturating_add(8))),
            };
            if least > most {
                break;
            }
            rows = step(rows, off / per_row, least, most);
        }
        best.map(|(_, rows)| (rows, highest))
    }
}

/// The whole number nearest to `from + by`, within bounds.
fn step(from: u32, by: f64, least: u32, most: u32) -> u32 {
    let to = (f64::from(from) + by).round();
    // A step that is no number leads nowhere.
    if to.is_finite() { to.clamp(f64::from(least), f64::from(most.max(least))) as u32 } else { from }
}
