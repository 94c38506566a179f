//! From a plan to a piece: the number of ends, the number of rows of every band, and then row upon row.

use super::band::{self, Opening, Setting};
use super::header;
use super::{End, Needle, Piece, PieceError, PieceErrorKind, Place, PlaceId, Resolved, Row};
use crate::grid::Grid;
use crate::habits::{Habit, Habits};
use crate::needle::Needles;
use crate::pack::Packer;
use crate::plan::{BandId, Edges, EndsWanted, Extent, Plan, Source, StackEntry, WeftId, YarnId, bounds};
use crate::quantity::Mm;
use crate::side::{Pass, Side, Span};
use crate::thread::{self, Thread};

/// Makes the piece that a plan describes, with a maker's habits.
///
/// # Errors
/// What in the plan can't become rows, and the key at which it stands.
pub fn make(plan: &Plan, habits: &Habits) -> Result<Piece, PieceError> {
    let ends = ends(plan, habits)?;
    let stack = expand(plan)?;
    let making = Making::new(plan, habits, ends)?;
    let mut resolved = Vec::new();
    if let EndsWanted::Width(_) = plan.warp.ends {
        resolved.push(Resolved::Ends { ends: making.ends.len() as u32 });
    }
    let counts = making.counts(&stack, &mut resolved)?;
    let built = making.build(&stack, &counts)?;
    resolved.extend(built.resolved);
    Ok(Piece {
        name: plan.name.clone(),
        purpose: plan.purpose,
        shows: plan.shows,
        leads: Pass::Over,
        longest_float: plan.longest_float.as_ref().map(|t| t.value),
        finish: plan.finish,
        wanted: plan.finished.as_ref().map(|t| t.value),
        loom: plan.loom.clone(),
        path: plan.warp.path,
        header: header::of(plan, habits, making.ends.len() as u32)?,
        yarns: plan.yarns.clone(),
        ends: making.ends,
        wefts: plan
            .wefts
            .iter()
            .map(|weft| Needle {
                name: weft.name.clone(),
                yarn: weft.yarn,
                from: weft.from,
                strands: if weft.doubled { 2 } else { 1 },
            })
            .collect(),
        places: built.places,
        rows: built.rows,
        grid: built.grid,
        resolved,
    })
}

/// The number of rows of a band that comes nearest to a length on the loom.
pub(crate) fn rows_of_length(
    plan: &Plan,
    habits: &Habits,
    band: BandId,
    length: Mm,
) -> Result<u32, PieceError> {
    let making = Making::new(plan, habits, ends(plan, habits)?)?;
    Ok(making.nearest(band, length).0)
}

/// The height of so many rows of a band, packed by themselves.
pub(crate) fn height_of_rows(
    plan: &Plan,
    habits: &Habits,
    band: BandId,
    rows: u32,
) -> Result<Mm, PieceError> {
    let making = Making::new(plan, habits, ends(plan, habits)?)?;
    Ok(Alone::new(&making, band).add(rows))
}

fn error(at: &[&str], kind: PieceErrorKind) -> PieceError {
    PieceError { at: at.iter().map(|&part| part.to_owned()).collect(), kind }
}

/// The ends from the left. A width counts from the outside of the first end to that of the last, with the
/// weft that goes round them.
fn ends(plan: &Plan, habits: &Habits) -> Result<Vec<End>, PieceError> {
    let (count, key) = match &plan.warp.ends {
        EndsWanted::Count(count) => (*count, "ends"),
        EndsWanted::Width(width) => {
            let warp = plan.warp.order.first().map_or(Mm::ZERO, |run| {
                Thread::of(&plan.yarns[run.yarn.0], plan.loom.strands_per_end(), habits).along
            });
            let weft = (0..plan.wefts.len())
                .map(|weft| Thread::of(plan.yarn_of(WeftId(weft)), 1, habits).thick)
                .fold(Mm::ZERO, Mm::max);
            let between = width.value - thread::edges(warp, weft);
            let count = (between / plan.loom.end_spacing() + 1.0).round().clamp(0.0, f64::from(u32::MAX));
            (count as u32, "width")
        }
    };
    let most = plan.loom.most_ends().min(bounds::ENDS);
    if count > most {
        return Err(error(&["warp", key], PieceErrorKind::TooManyEnds { ends: count, most }));
    }
    if count == 0 {
        return Err(error(&["warp", key], PieceErrorKind::NoEnds));
    }
    let per_notch = plan.loom.ends_per_notch();
    let colours = plan
        .warp
        .order
        .iter()
        .flat_map(|run| std::iter::repeat_n(run.yarn, run.ends as usize))
        .cycle()
        .chain(std::iter::repeat(YarnId(0)));
    Ok((0..count).zip(colours).map(|(end, yarn)| End { yarn, notch: end / per_notch }).collect())
}

/// The stack without its groups and sequences.
fn expand(plan: &Plan) -> Result<Vec<BandId>, PieceError> {
    fn entries(
        plan: &Plan,
        all: &[StackEntry],
        into: &mut Vec<BandId>,
        depth: usize,
    ) -> Result<(), PieceError> {
        // A sequence never holds itself, so the depth is bounded by the sequences there are.
        if depth > bounds::NESTING + plan.sequences.len() {
            return Err(error(&["piece", "bands"], PieceErrorKind::TooManyRows));
        }
        for entry in all {
            match entry {
                StackEntry::Band(band) => into.push(*band),
                StackEntry::Sequence(sequence) => {
                    entries(plan, &plan.sequences[sequence.0].entries, into, depth + 1)?;
                }
                StackEntry::Group { times, entries: inner } => {
                    for _ in 0..*times {
                        entries(plan, inner, into, depth + 1)?;
                    }
                }
            }
            // Each band has a row at least.
            if into.len() > bounds::ROWS as usize {
                return Err(error(&["piece", "bands"], PieceErrorKind::TooManyRows));
            }
        }
        Ok(())
    }
    let mut stack = Vec::new();
    entries(plan, &plan.stack, &mut stack, 0)?;
    Ok(stack)
}

/// A plan in the making: its ends and threads are settled.
struct Making<'a> {
    plan: &'a Plan,
    habits: &'a Habits,
    ends: Vec<End>,
    all: Span,
    warp: Thread,
    wefts: Vec<Thread>,
}

/// Rows that were laid.
struct Built {
    places: Vec<Place>,
    rows: Vec<Row>,
    grid: Grid,
    fell: Mm,
    resolved: Vec<Resolved>,
}

impl<'a> Making<'a> {
    fn new(plan: &'a Plan, habits: &'a Habits, ends: Vec<End>) -> Result<Making<'a>, PieceError> {
        let all = Span::all(ends.len() as u32).ok_or_else(|| error(&["warp"], PieceErrorKind::NoEnds))?;
        let warp = super::warp_thread(&plan.yarns, &ends, &plan.loom, habits);
        let wefts = plan
            .wefts
            .iter()
            .map(|weft| Thread::of(&plan.yarns[weft.yarn.0], if weft.doubled { 2 } else { 1 }, habits));
        let wefts = wefts.collect();
        let making = Making { plan, habits, ends, all, warp, wefts };
        for band in (0..plan.bands.len()).map(BandId) {
            making.check_ranges(band)?;
        }
        Ok(making)
    }

    /// Every range of ends of a band lies on the warp, and every end of the band has a weave.
    fn check_ranges(&self, band: BandId) -> Result<(), PieceError> {
        let here = &self.plan.bands[band.0];
        let beyond = PieceErrorKind::BeyondTheLastEnd { last: self.all.last() };
        let fits = |span: Option<Span>| span.is_none_or(|span| span.last() <= self.all.last());
        if !fits(here.ends) {
            return Err(error(&["band", &here.name, "ends"], beyond));
        }
        let own = band::span(self.plan, band, self.all);
        if let (Some(span), Source::Like(_)) = (here.ends, &here.source)
            && !band::rows_meet(self.plan, band, span)
        {
            return Err(error(&["band", &here.name, "ends"], PieceErrorKind::OutsideItsBand { band: own }));
        }
        let outside = PieceErrorKind::OutsideItsBand { band: own };
        let meets = |span: Option<Span>| span.is_none_or(|span| span.common(own).is_some());
        match &here.source {
            Source::Written(rows) => {
                if let Some(k) = rows.iter().position(|row| fits(row.ends) && !meets(row.ends)) {
                    return Err(error(&["band", &here.name, "rows", &k.to_string()], outside));
                }
                if let Some(k) = rows.iter().position(|row| !fits(row.ends)) {
                    return Err(error(&["band", &here.name, "rows", &k.to_string()], beyond));
                }
            }
            Source::Parts(parts) => {
                if let Some(k) = parts.iter().position(|part| fits(part.ends) && !meets(part.ends)) {
                    return Err(error(&["band", &here.name, "part", &k.to_string()], outside));
                }
                if let Some(k) = parts.iter().position(|part| !fits(part.ends)) {
                    return Err(error(&["band", &here.name, "part", &k.to_string()], beyond));
                }
                let whole = parts.iter().any(|part| part.ends.is_none());
                let has_part = |end: &u32| parts.iter().any(|p| p.ends.is_some_and(|s| s.contains(*end)));
                let bare = band::span(self.plan, band, self.all).ends().find(|end| !has_part(end));
                if let (false, Some(end)) = (whole, bare) {
                    return Err(error(
                        &["band", &here.name, "part"],
                        PieceErrorKind::EndsWithoutPart { end },
                    ));
                }
            }
            Source::Weave(_) | Source::Like(_) => {}
        }
        let wefts = self.plan.wefts_in_turn(band);
        if wefts.is_empty() {
            return Err(error(&["band", &here.name, "wefts"], PieceErrorKind::NoWeft));
        }
        if here.exchanged && !self.plan.weaves_with_two(band) {
            return Err(error(&["band", &here.name, "exchanged"], PieceErrorKind::NotTwoWefts));
        }
        Ok(())
    }

    fn packer(&self) -> Packer {
        let spacing = self.plan.loom.end_spacing();
        Packer::new(self.ends.len() as u32, spacing, self.warp, self.habits.ratio(Habit::Comb))
    }

    /// How far a band's rows are kept apart at least.
    fn apart(&self, band: BandId) -> Option<Mm> {
        self.plan.beat_of(band).map(|beat| beat.value.apart())
    }

    fn edges(&self, band: BandId) -> Edges {
        self.plan.edges_of(band).unwrap_or(self.plan.edges)
    }

    /// The number of rows of each band of the plan that stands in the stack.
    fn counts(&self, stack: &[BandId], resolved: &mut Vec<Resolved>) -> Result<Vec<u32>, PieceError> {
        let mut counts = vec![0; self.plan.bands.len()];
        let mut fill: Option<BandId> = None;
        let mut total = 0_u32;
        for &band in stack {
            let here = &self.plan.bands[band.0];
            let at = |key| error(&["band", &here.name, "length"], key);
            if counts[band.0] == 0 {
                counts[band.0] = match self.plan.extent_of(band) {
                    Some(Extent::Length(length)) => {
                        let (rows, height) = self.nearest(band, length.value);
                        if rows == 0 {
                            return Err(at(PieceErrorKind::NoRows));
                        }
                        resolved.push(Resolved::Rows { band, rows, height });
                        rows
                    }
                    Some(Extent::Fill) => {
                        if let Some(other) = fill {
                            let other = self.plan.bands[other.0].name.clone();
                            return Err(at(PieceErrorKind::SecondFill { other }));
                        }
                        fill = Some(band);
                        continue;
                    }
                    _ => band::counted(self.plan, band)
                        .filter(|&rows| rows > 0)
                        .ok_or_else(|| error(&["band", &here.name], PieceErrorKind::NoExtent))?,
                };
            }
            total = total.saturating_add(counts[band.0]);
            if total > bounds::ROWS {
                return Err(error(&["piece", "bands"], PieceErrorKind::TooManyRows));
            }
        }
        if let Some(band) = fill {
            let rows = self.filling(stack, &mut counts, band, bounds::ROWS - total)?;
            let repeat = band::repeat(self.plan, band, self.ends.len() as u32).map(|(_, rows)| rows);
            resolved.push(Resolved::Fill { band, rows, repeat });
        }
        Ok(counts)
    }

    /// The number of rows whose height comes nearest to a length, the band packed by itself, and that height.
    fn nearest(&self, band: BandId, length: Mm) -> (u32, Mm) {
        let unit = self.plan.rows_in_turn(band);
        let (mut rows, mut height) = (0, Mm::ZERO);
        let mut laying = Alone::new(self, band);
        while rows + unit <= bounds::ROWS {
            let taller = laying.add(unit);
            if rows > 0 && (taller - length).abs() > (length - height).abs() {
                break;
            }
            rows += unit;
            height = taller;
            if height >= length {
                break;
            }
        }
        (rows, height)
    }

    /// The most rows of the fill band with which everything still fits within reach, as whole turns of its
    /// wefts; sets its count, which may be 0.
    fn filling(
        &self,
        stack: &[BandId],
        counts: &mut [u32],
        band: BandId,
        most: u32,
    ) -> Result<u32, PieceError> {
        let reach = header::reach(
            &self.plan.loom,
            self.plan.header.as_ref().map_or(Mm::ZERO, |header| header.length.value),
        );
        let unit = self.plan.rows_in_turn(band);
        let mut fell_with = |rows: u32| {
            counts[band.0] = rows;
            self.build(stack, counts).map(|built| built.fell)
        };
        let mut rows = {
            // A first guess from the band by itself; then as often up or down as it takes.
            let left = reach - fell_with(0)?;
            let mut laying = Alone::new(self, band);
            let mut guess = 0;
            while guess + unit <= most && laying.add(unit) <= left {
                guess += unit;
            }
            guess
        };
        while rows > 0 && fell_with(rows)? > reach {
            rows -= unit;
        }
        while rows + unit <= most && fell_with(rows + unit)? <= reach {
            rows += unit;
        }
        counts[band.0] = rows;
        Ok(rows)
    }

    /// Lays all rows, from the bottom up.
    fn build(&self, stack: &[BandId], counts: &[u32]) -> Result<Built, PieceError> {
        let total: usize = stack.iter().map(|band| counts[band.0] as usize).sum();
        let mut built = Built {
            places: Vec::new(),
            rows: Vec::with_capacity(total),
            grid: Grid::with_capacity(self.ends.len() as u32, total as u32),
            fell: Mm::ZERO,
            resolved: Vec::new(),
        };
        let mut needles = Needles::start(self.plan.wefts.iter().map(|weft| weft.from));
        let mut packer = self.packer();
        let mut below: Option<Opening> = None;
        let mut seen = vec![0_u32; counts.len()];
        let mut standing = vec![0_u32; counts.len()];
        for band in stack {
            standing[band.0] += 1;
        }
        for &band in stack.iter().filter(|band| counts[band.0] > 0) {
            seen[band.0] += 1;
            let place = PlaceId(built.places.len());
            let wefts = self.plan.wefts_in_turn(band);
            let mut laying = Laying::new(self, band);
            if band::starts_freely(self.plan, band)
                && below.is_some()
                && below.as_ref() == Some(laying.opening(0, needles.waits(wefts[0])))
            {
                laying = laying.starting_on_next_row();
                built.resolved.push(Resolved::StartedOnNext { place });
            }
            let apart = self.apart(band);
            let rows = counts[band.0];
            built.places.push(Place {
                band,
                name: self.plan.bands[band.0].name.clone(),
                nth: (seen[band.0], standing[band.0]),
                first_row: built.rows.len() as u32,
                rows,
                span: laying.span,
                repeat: band::repeat(self.plan, band, self.ends.len() as u32),
                edges: self.edges(band),
                wefts: wefts.clone(),
            });
            for band_row in 0..rows {
                let weft = wefts[band_row as usize % wefts.len()];
                let from = needles.weave(weft);
                let opening = laying.opening(band_row, from);
                let over = |end| opening.passes_over(end);
                let height = packer.lay_mean(opening.span, over, self.wefts[weft.0], apart);
                let mut row = built
                    .grid
                    .push_row(opening.span)
                    .map_err(|_| error(&["piece", "bands"], PieceErrorKind::TooManyRows))?;
                row.fill(|end| opening.passes_over(end));
                if band_row + 1 == rows {
                    below = Some(opening.clone());
                }
                built.rows.push(Row { weft, place, band_row, from, apart, height });
            }
            if seen[band.0] == 1 {
                built.resolved.extend(self.asleep(band, rows, laying.span));
            }
        }
        built.fell = packer.fell();
        Ok(built)
    }

    fn asleep(&self, band: BandId, rows: u32, span: Span) -> impl Iterator<Item = Resolved> {
        let touched = self.plan.bands[band.0].touched.iter().enumerate();
        touched
            .filter(move |(_, touch)| touch.at.first() >= rows || touch.ends.common(span).is_none())
            .map(move |(touch, _)| Resolved::TouchAsleep { band, touch })
    }
}

/// The rows of one place, one after the other; openings that come round again are worked out once.
struct Laying<'a> {
    plan: &'a Plan,
    band: BandId,
    span: Span,
    edges: Edges,
    skip: u32,
    period: Option<u32>,
    known: Vec<Opening>,
    last: Option<Opening>,
}

impl<'a> Laying<'a> {
    fn new(making: &Making<'a>, band: BandId) -> Laying<'a> {
        let edges = making.edges(band);
        Laying {
            plan: making.plan,
            band,
            span: band::span(making.plan, band, making.all),
            edges,
            skip: 0,
            period: band::row_period(making.plan, band, edges),
            known: Vec::new(),
            last: None,
        }
    }

    fn starting_on_next_row(self) -> Laying<'a> {
        Laying { skip: 1, known: Vec::new(), ..self }
    }

    /// The opening of a row of the band; rows are asked for in order, from 0.
    fn opening(&mut self, row: u32, from: Side) -> &Opening {
        let setting = Setting { span: self.span, skip: self.skip, from, edges: self.edges };
        let make = |row| band::row(self.plan, self.band, row, setting);
        match self.period {
            Some(period) => {
                let at = (row % period) as usize;
                if at >= self.known.len() {
                    self.known.push(make(row));
                }
                &self.known[at.min(self.known.len() - 1)]
            }
            None => self.last.insert(make(row)),
        }
    }
}

/// A band laid by itself on an empty warp, to learn how tall its rows are.
struct Alone<'a> {
    laying: Laying<'a>,
    packer: Packer,
    needles: Needles,
    wefts: Vec<(WeftId, Thread)>,
    apart: Option<Mm>,
    rows: u32,
    height: Mm,
}

impl<'a> Alone<'a> {
    fn new(making: &Making<'a>, band: BandId) -> Alone<'a> {
        Alone {
            laying: Laying::new(making, band),
            packer: making.packer(),
            needles: Needles::start(making.plan.wefts.iter().map(|weft| weft.from)),
            wefts: making.plan.wefts_in_turn(band).iter().map(|&w| (w, making.wefts[w.0])).collect(),
            apart: making.apart(band),
            rows: 0,
            height: Mm::ZERO,
        }
    }

    /// Adds rows and returns the height of them all.
    fn add(&mut self, rows: u32) -> Mm {
        for _ in 0..rows {
            let (weft, thread) = self.wefts[self.rows as usize % self.wefts.len()];
            let from = self.needles.weave(weft);
            let opening = self.laying.opening(self.rows, from);
            let over = |end| opening.passes_over(end);
            let height = self.packer.lay_mean(opening.span, over, thread, self.apart);
            self.height = self.height.max(height + thread.along / 2.0);
            self.rows += 1;
        }
        self.height
    }
}
