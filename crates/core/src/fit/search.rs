//! Where to look for choices, and how much.

use super::{Choice, flawed, most_even, ranked, takes};
use crate::cloth::size::{self, Likely};
use crate::habits::Habits;
use crate::piece;
use crate::plan::{BandId, Edit, Extent, Plan, StackEdit, StackEntry, StackList, StackPath, Wanted, bounds};
use crate::quantity::Mm;
use crate::sound::{Finding, Severity};
use crate::study::{Study, study};
use crate::weave::lcm;

/// Crossings that are woven in all simulations together, so that a large piece is tried out less often. It is a
/// number of steps and no time: the answer is the same on any machine.
const CROSSINGS: u64 = 40_000_000;
/// The most and the fewest simulations.
const TRIES: (u64, u64) = (16, 240);
/// Numbers of ends that are looked at on either side of the nearest: a repeat, but no more than this.
const WINDOW: u32 = 12;
/// Numbers of ends for which rows are looked for.
const WIDTHS: usize = 4;
/// Bands whose rows are looked for, and groups that may be woven more or less often.
const BANDS: usize = 2;
/// Steps towards the nearest number of ends, or of rows.
const APPROACHES: u32 = 12;

/// What makes a piece longer or shorter.
#[derive(Debug, Clone, PartialEq)]
enum Lengthens {
    /// More or fewer rows of a band.
    Rows(BandId),
    /// A group of the piece, woven more or less often.
    Times(StackPath),
}

impl Lengthens {
    /// The edit for so many rows, or so many times.
    fn edit(&self, number: u32) -> Edit {
        match self {
            Lengthens::Rows(band) => Edit::BandRows(*band, number),
            Lengthens::Times(at) => {
                Edit::Stack(StackList::Piece, StackEdit::Times { at: at.clone(), times: number })
            }
        }
    }
}

/// A group, and what it makes of the piece.
struct Group {
    at: StackPath,
    times: u32,
    /// Rows of the piece that one time more adds.
    rows: u32,
}

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
        let lengthens = self.lengthens();
        let fills = lengthens.iter().any(|what| self.fills(what));
        for ends in widths {
            // A band that fills goes on filling where no number of its rows comes nearer.
            if fills && found.iter().all(|known| known.edits != ends) {
                found.extend(self.choice(ends.clone(), true, 0));
            }
            for (rank, what) in lengthens.iter().enumerate() {
                for (number, whole) in self.lengths(&ends, what) {
                    let mut edits = ends.clone();
                    // With other ends what fills may come to other rows.
                    let fills = !ends.is_empty() && self.fills(what);
                    if number != self.now_of(what) || fills {
                        edits.push(what.edit(number));
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
    fn choice(&mut self, edits: Vec<Edit>, whole_repeats: bool, rank: usize) -> Option<Choice> {
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
            rank,
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
        let even = most_even(&tried, Wanted { length: None, ..self.wanted }).map(|even| even.edits.clone());
        let ranked = ranked(tried, Wanted { length: None, ..self.wanted }).into_iter();
        let mut widths: Vec<Vec<Edit>> = ranked.take(WIDTHS - 1).map(|choice| choice.edits).collect();
        for known in [first, even].into_iter().flatten() {
            if !widths.contains(&known) {
                widths.push(known);
            }
        }
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

    /// What may make it longer or shorter: the band that fills if there is one; else the groups that are woven several times,
    /// since whole repeats are what their weaver means by the piece, and then the bands that have most rows.
    fn lengthens(&self) -> Vec<Lengthens> {
        let bands = self.bands();
        let mut all = Vec::new();
        if !bands.iter().any(|&band| self.plan.extent_of(band) == Some(&Extent::Fill)) {
            let groups = self.groups().into_iter().map(|group| Lengthens::Times(group.at));
            all.extend(groups.take(if bands.is_empty() { 0 } else { BANDS }));
        }
        all.extend(bands.into_iter().map(Lengthens::Rows));
        all
    }

    fn fills(&self, what: &Lengthens) -> bool {
        matches!(what, Lengthens::Rows(band) if self.plan.extent_of(*band) == Some(&Extent::Fill))
    }

    /// The groups of the piece, those of which one time more adds most rows first.
    fn groups(&self) -> Vec<Group> {
        let mut all = Vec::new();
        self.groups_in(&self.plan.stack, &[], 1, &mut all);
        all.sort_by_key(|group| std::cmp::Reverse(group.rows));
        all
    }

    fn groups_in(&self, entries: &[StackEntry], above: &[usize], often: u32, all: &mut Vec<Group>) {
        for (place, entry) in entries.iter().enumerate() {
            let StackEntry::Group { times, entries } = entry else { continue };
            let at: StackPath = above.iter().copied().chain([place]).collect();
            self.groups_in(entries, &at, often.saturating_mul(*times), all);
            all.push(Group { at, times: *times, rows: often.saturating_mul(self.rows_of(entries)) });
        }
    }

    /// The rows of entries of a list.
    fn rows_of(&self, entries: &[StackEntry]) -> u32 {
        let of = |entry: &StackEntry| match entry {
            StackEntry::Band(band) => self.rows_now(*band),
            StackEntry::Sequence(sequence) => self.rows_of(&self.plan.sequences[sequence.0].entries),
            StackEntry::Group { times, entries } => times.saturating_mul(self.rows_of(entries)),
        };
        entries.iter().map(of).fold(0, u32::saturating_add)
    }

    /// How many rows a band has, or how often a group is woven.
    fn now_of(&self, what: &Lengthens) -> u32 {
        match what {
            Lengthens::Rows(band) => self.rows_now(*band),
            Lengthens::Times(at) => {
                self.groups().into_iter().find(|group| group.at == *at).map_or(0, |group| group.times)
            }
        }
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

    /// Numbers that suit the length, and whether each is whole repeats of a weave. Of the rows of a band: whole turns of
    /// its wefts on either side of the nearest, and whole repeats on either side. Of a group: the nearest, and one on either side.
    fn lengths(&mut self, ends: &[Edit], what: &Lengthens) -> Vec<(u32, bool)> {
        let Some((nearest, highest)) = self.nearest(ends, what) else { return Vec::new() };
        let &Lengthens::Rows(band) = what else {
            let fits = |&times: &u32| times > 0 && times <= highest;
            return [nearest, nearest + 1, nearest - 1].into_iter().filter(fits).map(|n| (n, true)).collect();
        };
        let turn = self.plan.rows_in_turn(band);
        let place = self.now.piece.places.iter().find(|place| place.band == band);
        let repeat = place.and_then(|place| place.repeat).map_or(turn, |(_, rows)| lcm(rows.max(1), turn));
        let mut numbers: Vec<(u32, bool)> = Vec::new();
        for by in [repeat, turn] {
            let below = nearest / by * by;
            // One turn less, too: a piece that just fits by its mean rows may have ends on which it lies higher.
            let less = if by == turn { below.saturating_sub(by) } else { below };
            for rows in [below, below.saturating_add(by), less] {
                let fits = rows > 0 && rows <= highest && numbers.iter().all(|&(known, _)| known != rows);
                if fits {
                    numbers.push((rows, rows.is_multiple_of(repeat)));
                }
            }
        }
        numbers
    }

    /// The number that comes nearest to the finished length with these ends, and the most with which
    /// everything is known to lie within reach.
    fn nearest(&mut self, ends: &[Edit], what: &Lengthens) -> Option<(u32, u32)> {
        let wanted = self.wanted.length?;
        let piece = &self.now.piece;
        // How many rows of the piece one more makes.
        let rows_each = match what {
            Lengthens::Rows(band) => piece.places.iter().filter(|place| place.band == *band).count() as u32,
            Lengthens::Times(at) => {
                self.groups().into_iter().find(|group| group.at == *at).map_or(0, |group| group.rows)
            }
        };
        let rows_each = rows_each.max(1);
        let most = bounds::ROWS / rows_each;
        // What one adds on average; where rows lie at one height two in turn may add nothing.
        let each =
            self.now.size.finished.length.likely / f64::from(piece.row_count().max(1)) * f64::from(rows_each);
        let mut number = self.now_of(what).max(1);
        let mut best: Option<(f64, u32)> = None;
        // Too few rows, and too many: for the length, or for the frame.
        let (mut few, mut many) = (0, None);
        let mut highest = most;
        for _ in 0..APPROACHES {
            let edits: Vec<Edit> = ends.iter().cloned().chain([what.edit(number)]).collect();
            let Some((sizes, height)) = self.sizes(&edits) else { break };
            let length = sizes.finished.length;
            let mut off = wanted - length;
            let over = height - piece.reach();
            if over > Mm::ZERO {
                highest = number - 1;
                off = off.min(-(over * (length / height)));
            } else if best.is_none_or(|(known, _)| off.abs().mm() < known) {
                best = Some((off.abs().mm(), number));
            }
            if off > Mm::ZERO {
                few = number
            } else {
                many = Some(number)
            }
            // Up to twice as many at a time until there are too many, and then between the two.
            let (least, most) = match many {
                Some(many) => (few + 1, many.saturating_sub(1)),
                None => (few + 1, most.min(number.saturating_mul(2).saturating_add(8))),
            };
            if least > most {
                break;
            }
            number = step(number, off / each, least, most);
        }
        best.map(|(_, number)| (number, highest))
    }
}

/// The whole number nearest to `from + by`, within bounds.
fn step(from: u32, by: f64, least: u32, most: u32) -> u32 {
    let to = (f64::from(from) + by).round();
    // A step that is no number leads nowhere.
    if to.is_finite() { to.clamp(f64::from(least), f64::from(most.max(least))) as u32 } else { from }
}
