//! Remedies: edits that were tried out on a copy of the plan before they are offered. One is offered only if
//! with it the finding is gone, nothing graver has come in its place, and less is left to mend than before. Those
//! that leave least come first, and among equals those that change least.

use crate::edit::{at_most, halves_of, unit_of};
use crate::fit::fit;
use crate::habits::Habits;
use crate::loom::StrandsAct;
use crate::piece::Piece;
use crate::plan::{
    Band, BandId, ColourRun, Edges, Edit, EndsWanted, Extent, Header, LoomKeys, Plan, Set, Source, Touch,
    TouchedRows, Wanted, WeftId, YarnId,
};
use crate::quantity::{Mm, Typed};
use crate::side::{Pass, Span};
use crate::sound::{Finding, Kind, Severity, Strand};
use crate::study::{Study, findings, is_loose_enough};
use crate::weave::Step;
use std::num::NonZeroU32;

/// Rows this many times as far apart as warp and weft are thick together make firm cloth, and not too open (the cloth model,
/// section 3: it slides from 2 to 2.5 on; common practice, no source).
const FIRM: f64 = 2.0;

/// How many remedies are offered for one finding.
const OFFERED: usize = 3;

/// How many crossings are woven in all to try edits out for one plan, and how many edits are tried whatever its size. No
/// piece that fits a hand's frame comes near the first: it keeps pieces near the bounds from taking minutes.
const WOVEN: u64 = 200_000_000;
const TRIED: usize = 2;

/// The remedies that take away a finding, those that leave least first.
#[must_use]
pub fn remedies(plan: &Plan, studied: &Study, finding: &Finding) -> Vec<Edit> {
    Trials::new(plan, studied).remedies(finding)
}

/// Edits of one plan that were tried out. One edit may help with several findings: it is tried once.
#[derive(Debug)]
pub struct Trials<'a> {
    plan: &'a Plan,
    studied: &'a Study,
    /// What each leaves; `None` where it makes no piece.
    tried: Vec<(Edit, Option<Vec<Finding>>)>,
    /// How many may be.
    most: usize,
}

impl<'a> Trials<'a> {
    /// None so far.
    #[must_use]
    pub fn new(plan: &'a Plan, studied: &'a Study) -> Trials<'a> {
        let crossings: u64 = studied.piece.grid.iter().map(|row| u64::from(row.span().len())).sum();
        let most = TRIED.max(usize::try_from(WOVEN / crossings.max(1)).unwrap_or(usize::MAX));
        Trials { plan, studied, tried: Vec::new(), most }
    }

    /// The remedies that take away a finding, those that leave least first.
    #[must_use]
    pub fn remedies(&mut self, finding: &Finding) -> Vec<Edit> {
        let mut ranked: Vec<([usize; 3], Edit)> = Vec::new();
        for edit in self.candidates(finding) {
            let before = &self.studied.findings;
            if let Some(after) = self.leaves(&edit)
                && helps(before, after, finding)
            {
                ranked.push((weight(after), edit));
            }
        }
        // A stable sort: among those that leave as much, the one that changes least stays first.
        ranked.sort_by_key(|(left, _)| *left);
        ranked.into_iter().map(|(_, edit)| edit).take(OFFERED).collect()
    }

    /// Edits that might help, those that change least first.
    fn candidates(&self, finding: &Finding) -> Vec<Edit> {
        let (plan, piece) = (self.plan, &self.studied.piece);
        match &finding.kind {
            Kind::LooseTurns { weft, band, .. } => {
                let mut edits = other_sides(plan, *band, Some(*weft));
                edits.extend(doubled_once(plan, *band));
                edits.push(Edit::BandEdges(*band, Some(Edges::Taken)));
                edits.extend(other_numbers_of_ends(plan, piece));
                edits.push(Edit::PieceEdges(Edges::Taken));
                edits
            }
            Kind::OneEnd => other_numbers_of_ends(plan, piece),
            Kind::HeldByTail { weft, other, .. } => [*other, *weft].map(|w| from_other_side(plan, w)).into(),
            Kind::UnwrappedEdge { .. } => {
                let wefts = (0..plan.wefts.len()).map(|weft| from_other_side(plan, WeftId(weft)));
                wefts.chain([Edit::PieceEdges(Edges::Taken)]).collect()
            }
            Kind::SameOpeningAcross { above, .. } => {
                let place = &piece.places[above.0];
                let rows = place.repeat.map_or(4, |(_, rows)| rows.min(12));
                (2..=rows)
                    .filter_map(NonZeroU32::new)
                    .map(|row| Edit::BandStart(place.band, Some(row)))
                    .collect()
            }
            Kind::RepeatsUneven { even, alike, .. } => match plan.warp.ends {
                EndsWanted::Count(_) => {
                    let mut numbers: Vec<u32> = even.iter().chain(alike).copied().collect();
                    let now = piece.end_count();
                    numbers.sort_by_key(|&n| n.abs_diff(now));
                    numbers.into_iter().map(Edit::WarpEnds).collect()
                }
                EndsWanted::Width(_) => Vec::new(),
            },
            Kind::TooTall { height, reach, .. } => {
                let mut edits: Vec<Edit> = shorter_header(plan, *height - *reach).into_iter().collect();
                edits.extend(self.fewer_rows(crate::study::is_within_reach));
                edits.extend(plan.header.is_some().then_some(Edit::Set(Set::Header(None))));
                edits
            }
            Kind::MayNotFit { .. } => self.fewer_rows(crate::study::is_surely_within_reach),
            Kind::RunsOut { yarn, row, .. } => {
                let mut edits = self.less_of(*yarn);
                edits.extend(
                    row.map(|row| piece.place_of(row).band)
                        .map_or_else(Vec::new, |band| with_others(plan, band, *yarn)),
                );
                edits
            }
            Kind::BeatNotReached { band, lie, .. } => {
                let mut edits = vec![Edit::BandBeat(*band, None)];
                edits.extend(beaten(plan, *band, halves_of(plan, *lie)));
                edits
            }
            Kind::ShortNeedleful { of_two, .. } => longer_needlefuls(plan, *of_two),
            Kind::OpenSett { weft, .. } => firmer(plan, *weft),
            Kind::OpenBeat { band, ratio } => {
                let now = plan.beat_of(*band).map(|beat| beat.value.apart());
                let halves = now.map_or(0, |apart| halves_of(plan, apart * (FIRM / ratio)));
                let mut edits: Vec<Edit> = beaten(plan, *band, halves).into_iter().collect();
                edits.push(Edit::BandBeat(*band, None));
                edits
            }
            Kind::WarpTightens { .. } => self.beaten_apart().into_iter().collect(),
            Kind::OtherSize { across, wanted, .. } => fitting(plan, *across, *wanted),
            Kind::LongFloats { strand, worst, count: 1, .. } => worst
                .first()
                .map(|float| tie_down(piece, *strand, float.rows, float.ends))
                .into_iter()
                .flatten()
                .collect(),
            _ => Vec::new(),
        }
    }

    /// All bands beaten as openly as their warp needs, and no more.
    fn beaten_apart(&self) -> Option<Edit> {
        let (plan, piece) = (self.plan, &self.studied.piece);
        let mut bands: Vec<BandId> = Vec::new();
        for place in &piece.places {
            if !bands.contains(&place.band) {
                bands.push(place.band);
            }
        }
        // A band that is like another of them, and says nothing of its own, follows that one.
        let follows = |band: &BandId| match plan.bands[band.0] {
            Band { source: Source::Like(other), beat: None, .. } => bands.contains(&other),
            _ => false,
        };
        let own: Vec<BandId> = bands.iter().filter(|band| !follows(band)).copied().collect();
        let all = |halves: u32| -> Option<Edit> {
            let edits: Option<Vec<Edit>> = own.iter().map(|&band| beaten(plan, band, halves)).collect();
            edits.map(|mut edits| if edits.len() == 1 { edits.swap_remove(0) } else { Edit::Together(edits) })
        };
        let eases = |halves: u32| {
            all(halves)
                .and_then(|edit| edit.apply(plan).ok())
                .is_some_and(|changed| is_loose_enough(&changed))
        };
        // The closest beat that will do, by halving: a warp is never looser for rows that lie closer.
        let rows = f64::from(piece.row_count());
        let (mut low, mut high) = (0, halves_of(plan, self.studied.cloth.length() / rows));
        while low < high {
            let middle = (low + high).div_ceil(2);
            if eases(middle) { low = middle } else { high = middle - 1 }
        }
        all(low)
    }

    /// The most rows of one band with which everything fits, for the bands that have the most to give first.
    fn fewer_rows(&self, fits: impl Fn(&Plan) -> bool) -> Vec<Edit> {
        let plan = self.plan;
        let fills = |band: BandId| plan.extent_of(band) == Some(&Extent::Fill);
        self.shortened(|band| !fills(band), fits)
    }

    /// The most rows of one band that is woven with a yarn with which there is enough of it. A band that fills the rest
    /// gets so many rows of its own.
    fn less_of(&self, yarn: YarnId) -> Vec<Edit> {
        let plan = self.plan;
        let weaves = |band: BandId| {
            plan.wefts_in_turn(band)
                .iter()
                .any(|weft| plan.wefts.get(weft.0).is_some_and(|weft| weft.yarn == yarn))
        };
        self.shortened(weaves, |changed| crate::study::is_enough(changed, yarn))
    }

    /// The most rows of one band with which a plan will do, for those of the bands asked for that have the most to give.
    fn shortened(&self, may: impl Fn(BandId) -> bool, will_do: impl Fn(&Plan) -> bool) -> Vec<Edit> {
        let (plan, piece) = (self.plan, &self.studied.piece);
        let mut bands: Vec<(BandId, u32, u32)> = Vec::new();
        for place in &piece.places {
            match bands.iter_mut().find(|(band, _, _)| *band == place.band) {
                Some((_, _, rows)) => *rows += place.rows,
                None => bands.push((place.band, place.rows, place.rows)),
            }
        }
        bands.sort_by_key(|&(_, _, all)| std::cmp::Reverse(all));
        let fits = |band, rows| Edit::BandRows(band, rows).apply(plan).is_ok_and(|changed| will_do(&changed));
        bands
            .into_iter()
            .filter(|(band, _, _)| may(*band))
            .take(2)
            .filter_map(|(band, rows, _)| {
                let unit = plan.rows_in_turn(band);
                // The largest number of whole turns that fits, by halving: fewer rows never stand higher, nor take more.
                let (mut low, mut high) = (0, (rows - 1) / unit);
                while low < high {
                    let middle = (low + high).div_ceil(2);
                    if fits(band, middle * unit) { low = middle } else { high = middle - 1 }
                }
                (low > 0).then(|| Edit::BandRows(band, low * unit))
            })
            .collect()
    }

    /// What an edit leaves to find; `None` where it makes no piece, or where enough were tried.
    fn leaves(&mut self, edit: &Edit) -> Option<&[Finding]> {
        let known = self.tried.iter().position(|(tried, _)| tried == edit);
        if known.is_none() && self.tried.len() >= self.most {
            return None;
        }
        let at = known.unwrap_or_else(|| {
            let after = edit.apply(self.plan).ok().and_then(|changed| findings(&changed).ok());
            self.tried.push((edit.clone(), after));
            self.tried.len() - 1
        });
        self.tried[at].1.as_deref()
    }
}

/// How much there is to mend, to look at and to know.
fn weight(findings: &[Finding]) -> [usize; 3] {
    [Severity::Error, Severity::Warning, Severity::Note]
        .map(|severity| findings.iter().filter(|finding| finding.severity == severity).count())
}

/// Whether a change takes a finding away and is worth it: it brings nothing to mend and nothing graver than the
/// finding, makes nothing to mend worse, and leaves less than there was.
fn helps(before: &[Finding], after: &[Finding], finding: &Finding) -> bool {
    let is_brought = |now: &Finding| {
        !before.iter().any(|known| {
            known.kind.is_about_same(&now.kind)
                && known.severity <= now.severity
                && (now.severity != Severity::Error || now.kind.extent() <= known.kind.extent())
        })
    };
    let is_grave = |now: &Finding| now.severity == Severity::Error || now.severity < finding.severity;
    is_gone(after, finding)
        && weight(after) < weight(before)
        && !after.iter().any(|now| is_grave(now) && is_brought(now))
}

fn is_gone(after: &[Finding], finding: &Finding) -> bool {
    !after.iter().any(|now| now.kind.is_about_same(&finding.kind))
}

/// Needlefuls for two rows or twice as many, in steps that are easily measured off.
fn longer_needlefuls(plan: &Plan, of_two: Mm) -> Vec<Edit> {
    let (unit, one) = unit_of(&plan.loom.turn_to_turn.typed);
    // A hand's breadth, or the unit where that is more.
    let step = (Mm::new(100.0) / one).ceil();
    let up = |length: Mm| {
        let count = (length / one / step).ceil() * step;
        Edit::Set(Set::Needleful(Some(Typed::new(one * count, format!("{count}{unit}")))))
    };
    vec![up(of_two), up(of_two * 2.0)]
}

/// Edits that let a cloth slide no more whose ends stand far apart: one more strand of warp to the end, two ends in a notch
/// where there is one, or a thicker yarn of the plan on the needle. A doubled weft is no help: its strands lie side by side.
fn firmer(plan: &Plan, weft: WeftId) -> Vec<Edit> {
    let loom = |keys: LoomKeys| Edit::Set(Set::Loom(keys));
    let strands = plan.loom.strands_per_end();
    let one_more = loom(LoomKeys { strands: Some(strands + 1), ..LoomKeys::default() });
    let per_notch = |edit: &Edit| edit.apply(plan).map_or(0, |changed| changed.loom.ends_per_notch());
    // Strands that the needle parts are ends of their own: one more of them is another warp.
    let one_more = (per_notch(&one_more) == 1).then_some(one_more);
    let two = (plan.loom.ends_per_notch() == 1 && strands == 1).then(|| two_in_a_notch(plan));
    let habits = Habits::of(plan);
    let thick = |yarn: YarnId| habits.diameter(&plan.yarns[yarn.0]);
    let now = thick(plan.wefts[weft.0].yarn);
    let mut thicker: Vec<YarnId> =
        (0..plan.yarns.len()).map(YarnId).filter(|&other| thick(other) > now).collect();
    thicker.sort_by(|&a, &b| thick(a).mm().total_cmp(&thick(b).mm()));
    let others = thicker.into_iter().map(|other| Edit::Set(Set::WeftYarn(weft, other)));
    one_more.into_iter().chain(two).chain(others).collect()
}

/// Two ends in each notch, for as wide a warp with stripes as wide.
fn two_in_a_notch(plan: &Plan) -> Edit {
    let act = LoomKeys { strands: Some(2), strands_act: Some(StrandsAct::AsEnds), ..LoomKeys::default() };
    let mut edits = vec![Edit::Set(Set::Loom(act))];
    if plan.warp.order.len() > 1 {
        let wider = plan.warp.order.iter().map(|run| ColourRun { ends: run.ends.saturating_mul(2), ..*run });
        edits.push(Edit::Set(Set::WarpOrder(wider.collect())));
    }
    if let EndsWanted::Count(ends) = plan.warp.ends {
        edits.push(Edit::WarpEnds(ends.saturating_mul(2)));
    }
    Edit::Together(edits)
}

/// A band beaten to so many halves of a row in a centimetre or an inch.
fn beaten(plan: &Plan, band: BandId, halves: u32) -> Option<Edit> {
    Some(Edit::BandBeat(band, Some(crate::edit::halves(plan, halves)?)))
}

fn from_other_side(plan: &Plan, weft: WeftId) -> Edit {
    Edit::WeftFrom(weft, plan.wefts[weft.0].from.other())
}

/// The wefts of a band from the other side, the one that the finding is about first.
fn other_sides(plan: &Plan, band: BandId, first: Option<WeftId>) -> Vec<Edit> {
    let mut wefts: Vec<WeftId> = first.into_iter().collect();
    for weft in plan.wefts_in_turn(band) {
        if !wefts.contains(&weft) {
            wefts.push(weft);
        }
    }
    wefts.into_iter().map(|weft| from_other_side(plan, weft)).collect()
}

/// Edits that bring one side of the finished piece near to what is asked for.
fn fitting(plan: &Plan, across: bool, wanted: Mm) -> Vec<Edit> {
    let side = |is: bool| is.then_some(wanted);
    let choices = fit(plan, Wanted { width: side(across), length: side(!across) });
    choices.into_iter().filter_map(|choice| choice.edit()).collect()
}

/// Where one weft weaves each opening several times: lay it doubled and weave each opening once (basket, rib
/// of rows).
fn doubled_once(plan: &Plan, band: BandId) -> Option<Edit> {
    let here = &plan.bands[band.0];
    let Source::Weave(weave) = &here.source else { return None };
    let (Some([weft]), 2) = (here.wefts.as_deref(), weave.step.every_rows.get()) else { return None };
    if weave.opposite || plan.wefts[weft.0].doubled {
        return None;
    }
    let mut edits = vec![
        Edit::WeftDoubled(*weft, true),
        Edit::BandStep(band, Step { every_rows: NonZeroU32::MIN, ..weave.step }),
    ];
    if let Some(Extent::Rows(rows)) = here.extent {
        edits.push(Edit::BandRows(band, rows.div_ceil(2)));
    }
    Some(Edit::Together(edits))
}

/// One or two ends more or fewer.
fn other_numbers_of_ends(plan: &Plan, piece: &Piece) -> Vec<Edit> {
    let EndsWanted::Count(ends) = plan.warp.ends else { return Vec::new() };
    let most = piece.loom.most_ends();
    let numbers = [ends + 1, ends.saturating_sub(1), ends + 2, ends.saturating_sub(2)];
    numbers.into_iter().filter(|&n| n > 1 && n <= most).map(Edit::WarpEnds).collect()
}

/// The header without what the rows lack.
fn shorter_header(plan: &Plan, lack: Mm) -> Option<Edit> {
    let header = plan.header.as_ref()?;
    let length = at_most(header.length.value - lack, &header.length.typed)?;
    Some(Edit::Set(Set::Header(Some(Header { length, yarn: header.yarn }))))
}

/// A band with other yarns of the plan in place of one, those that are wefts already first, each doubled where that one is.
/// With one yarn for all its wefts it would be another band.
fn with_others(plan: &Plan, band: BandId, yarn: YarnId) -> Vec<Edit> {
    let here = &plan.bands[band.0];
    let wefts = match (&here.wefts, &here.source) {
        (None, Source::Like(other)) => plan.wefts_in_turn(*other),
        (own, _) => own.clone().unwrap_or_default(),
    };
    let yarn_of = |weft: &WeftId| plan.wefts[weft.0].yarn;
    let mut others: Vec<YarnId> = Vec::new();
    for other in plan.wefts.iter().map(|weft| weft.yarn).chain((0..plan.yarns.len()).map(YarnId)) {
        let taken = other == yarn || wefts.iter().any(|weft| yarn_of(weft) == other);
        if !taken && !others.contains(&other) {
            others.push(other);
        }
    }
    let with = |other: YarnId| -> Option<Edit> {
        let (mut names, mut edits, mut doubled) = (Vec::new(), Vec::new(), Vec::new());
        for weft in &wefts {
            let known = &plan.wefts[weft.0];
            if known.yarn != yarn {
                names.push(known.name.clone());
                continue;
            }
            let needle = Needle::with(plan, other, known.doubled)?;
            edits.extend(
                needle.new.map(|name| Edit::NewWeft(name, other)).filter(|edit| !edits.contains(edit)),
            );
            if needle.lay_doubled && !doubled.contains(&needle.name) {
                doubled.push(needle.name.clone());
            }
            names.push(needle.name);
        }
        edits.push(Edit::Set(Set::BandWefts(band, names)));
        for name in doubled {
            // Its number among the wefts is that which it has then.
            let then = edits.iter().try_fold(plan.clone(), |plan, edit| edit.apply(&plan)).ok()?;
            let weft = then.wefts.iter().position(|weft| weft.name == name)?;
            edits.push(Edit::WeftDoubled(WeftId(weft), true));
        }
        Some(if edits.len() == 1 { edits.swap_remove(0) } else { Edit::Together(edits) })
    };
    others.into_iter().filter_map(with).take(2).collect()
}

/// A needle for a yarn that lies doubled on it, or single.
struct Needle {
    /// Its name.
    name: String,
    /// The same where it must be put in by that name first.
    new: Option<String>,
    /// Whether it must be doubled.
    lay_doubled: bool,
}

impl Needle {
    /// The one there is, or the yarn's own, or another; `None` where none can be called so.
    fn with(plan: &Plan, yarn: YarnId, doubled: bool) -> Option<Needle> {
        let carry = || plan.wefts.iter().filter(|weft| weft.yarn == yarn);
        if let Some(known) = carry().find(|weft| weft.doubled == doubled) {
            return Some(Needle { name: known.name.clone(), new: None, lay_doubled: false });
        }
        let own = &plan.yarns[yarn.0].name;
        let free = |name: &str| {
            plan.wefts.iter().all(|weft| weft.name != name) && plan.yarns.iter().all(|yarn| yarn.name != name)
        };
        // A yarn's name becomes a needle with it, unless it is that of another one.
        if carry().next().is_none() && plan.wefts.iter().all(|weft| weft.name != *own) {
            return Some(Needle { name: own.clone(), new: None, lay_doubled: doubled });
        }
        let name = format!("{} {own}", if doubled { "doubled" } else { "single" });
        free(&name).then(|| Needle { name: name.clone(), new: Some(name), lay_doubled: doubled })
    }
}

/// A binding point in the middle of a float.
fn tie_down(piece: &Piece, strand: Strand, rows: (u32, u32), ends: Span) -> Option<Edit> {
    let row = match strand {
        Strand::Weft => rows.1,
        Strand::Warp => u32::midpoint(rows.0, rows.1),
    };
    let end = u32::midpoint(ends.first(), ends.last());
    let pass: Pass = piece.crossings(row).pass(end)?.opposite();
    let here = piece.row(row);
    let touch = Touch { at: TouchedRows::Row(here.band_row), ends: Span::new(end, end)?, pass };
    Some(Edit::Touch(piece.place_of(row).band, touch))
}
