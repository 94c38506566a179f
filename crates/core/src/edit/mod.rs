//! What an edit means for a plan: the changes of keys that it comes to. The plan and its text both follow these,
//! so that neither works out by itself what a gesture meant.

mod beat;
mod carry;
mod length;
mod stack;
mod touch;
mod ways;
mod write_out;

pub(crate) use beat::{halves, halves_of};
pub use carry::{Border, Gap, Height, borders, gaps, were};
pub(crate) use length::{at_most, unit_of};
pub use length::{drawn, said};
pub use stack::lands;
pub(crate) use stack::{places_of, stays};
pub use ways::{lowered, raised};

use crate::piece::PieceError;
use crate::plan::{
    Band, BandId, Change, Edit, Extent, Misfit, NewBand, NewTable, Plan, Set, Source, WeftId, YarnId, bounds,
};
use crate::side::Span;

/// Why an edit does not fit a plan.
#[derive(Debug, Clone, PartialEq)]
pub enum EditError {
    /// It names a weft, a band, a yarn or a weave that the plan doesn't have.
    NotThere,
    /// It names a weft that is neither a weft nor a yarn.
    NoSuchWeft(String),
    /// A band has no such place.
    NoSuchPlace {
        /// The band.
        band: String,
        /// The place, from 1.
        nth: u32,
        /// How many it has.
        places: u32,
    },
    /// The band stands in one place only, so that there is nothing to part it from.
    OnlyPlace(String),
    /// The band has no rows in the piece.
    NotInPiece(String),
    /// No rows at all, or more than any piece has.
    Rows(u32),
    /// A touch outside the rows or ends of its band.
    OutsideBand {
        /// The band.
        band: String,
        /// How many rows it has.
        rows: u32,
        /// Its ends, from 0.
        ends: Span,
    },
    /// A fill whose border is drawn, and no other band that could make room.
    FillAlone(String),
    /// The stack has no entry at this path (from 0).
    NoEntry(Vec<usize>),
    /// The entry at this path is no group.
    NoGroup(Vec<usize>),
    /// An entry would go into itself.
    IntoItself,
    /// A list or a group would hold nothing.
    WouldBeEmpty,
    /// So often nothing is woven, or too much.
    Times(u32),
    /// The band is not woven alike in all its places, so that one list of rows does not do.
    NotAlike(String),
    /// Bands that are like this one, or what fills the rest, would be woven otherwise.
    OthersChange(String),
    /// The band's rows are written out already.
    IsWrittenOut(String),
    /// A name that is taken.
    NameTaken(String),
    /// A yarn that can't go because something is made of it.
    YarnInUse {
        /// The yarn.
        yarn: String,
        /// Whether ends are made of it.
        warp: bool,
        /// Whether the header is.
        header: bool,
        /// The bands that are woven with it.
        bands: Vec<String>,
    },
    /// A needle that can't go because bands are woven with it.
    WeftInUse {
        /// The weft.
        weft: String,
        /// The bands that name it.
        bands: Vec<String>,
    },
    /// A list that may not be empty.
    Nothing,
    /// The plan makes no piece, which the edit needs.
    NoPiece(PieceError),
}

impl From<Misfit> for EditError {
    fn from(_: Misfit) -> EditError {
        EditError::NotThere
    }
}

impl From<PieceError> for EditError {
    fn from(error: PieceError) -> EditError {
        EditError::NoPiece(error)
    }
}

impl Edit {
    /// The plan as it becomes.
    ///
    /// # Errors
    /// Why the edit does not fit the plan.
    pub fn apply(&self, plan: &Plan) -> Result<Plan, EditError> {
        if let Edit::Together(edits) = self {
            return edits.iter().try_fold(plan.clone(), |plan, edit| edit.apply(&plan));
        }
        let mut plan = plan.clone();
        for change in self.changes(&plan)? {
            change.apply(&mut plan)?;
        }
        Ok(plan)
    }

    /// The changes that the edit comes to, one after the other; none where the plan is so already.
    ///
    /// # Errors
    /// Why the edit does not fit the plan.
    pub fn changes(&self, plan: &Plan) -> Result<Vec<Change>, EditError> {
        if let Edit::BandRows(_, rows) | Edit::Length(_, rows) = *self
            && (rows == 0 || rows > bounds::ROWS)
        {
            return Err(EditError::Rows(rows));
        }
        self.names_what_is_there(plan)?;
        Ok(match self {
            Edit::Together(edits) => {
                let mut plan = plan.clone();
                let mut all = Vec::new();
                for edit in edits {
                    let changes = edit.changes(&plan)?;
                    for change in &changes {
                        change.apply(&mut plan)?;
                    }
                    all.extend(changes);
                }
                all
            }
            Edit::WarpEnds(ends) => vec![Change::WarpEnds(*ends)],
            Edit::WeftFrom(weft, side) => vec![Change::WeftFrom(*weft, *side)],
            Edit::WeftDoubled(weft, doubled) => vec![Change::WeftDoubled(*weft, *doubled)],
            Edit::PieceEdges(edges) => vec![Change::PieceEdges(*edges)],
            Edit::BandEdges(band, edges) => vec![Change::BandEdges(*band, *edges)],
            Edit::BandBeat(band, beat) => vec![Change::BandBeat(*band, beat.clone())],
            Edit::BandStart(band, row) => vec![Change::BandStart(*band, *row)],
            Edit::BandRows(band, rows) => vec![Change::BandExtent(*band, Extent::Rows(*rows))],
            Edit::BandStep(band, step) => vec![Change::BandStep(*band, *step)],
            Edit::Touch(band, touch) => touch::changes(plan, *band, *touch)?,
            Edit::Length(band, rows) => length::changes(plan, *band, *rows)?,
            Edit::Part(band, nth) => stack::part(plan, *band, *nth)?,
            Edit::WriteOut(band) => write_out::changes(plan, *band)?,
            Edit::Stack(list, edit) => stack::changes(plan, *list, edit)?,
            Edit::NewYarn(new) => {
                if plan.yarns.iter().any(|yarn| told_alike(&yarn.name, &new.name)) {
                    return Err(EditError::NameTaken(new.name.clone()));
                }
                vec![Change::NewYarn(new.clone())]
            }
            Edit::NewWeft(name, yarn) => {
                let own = |weft: &crate::plan::Weft| weft.name == *name && weft.table.is_some();
                if plan.wefts.iter().any(own) || plan.yarns.iter().any(|yarn| yarn.name == *name) {
                    return Err(EditError::NameTaken(name.clone()));
                }
                vec![Change::NewWeft(name.clone(), *yarn)]
            }
            Edit::RenameYarn(yarn, name) => {
                let now = plan.yarns[yarn.0].name == *name;
                let others = (0..).zip(&plan.yarns).filter(|(k, _)| *k != yarn.0);
                let taken = others.into_iter().any(|(_, other)| told_alike(&other.name, name))
                    || plan.wefts.iter().any(|weft| weft.name == *name);
                match (now, taken) {
                    (true, _) => Vec::new(),
                    (false, true) => return Err(EditError::NameTaken(name.clone())),
                    (false, false) => vec![Change::YarnName(*yarn, name.clone())],
                }
            }
            Edit::RenameBand(band, name) => rename_band(plan, *band, name)?,
            Edit::RemoveYarn(yarn) => remove_yarn(plan, *yarn)?,
            Edit::RemoveWeft(weft) => {
                let bands: Vec<String> = plan.bands_naming(*weft).map(|band| band.name.clone()).collect();
                if !bands.is_empty() {
                    return Err(EditError::WeftInUse { weft: plan.wefts[weft.0].name.clone(), bands });
                }
                vec![Change::RemoveWeft(*weft)]
            }
            Edit::Set(Set::BandWeave(band, recipe)) => {
                let mut changes = vec![Change::Set(Set::BandWeave(*band, recipe.clone()))];
                changes.extend(made_its_own(plan, *band));
                changes
            }
            Edit::Set(set) => vec![Change::Set(set.clone())],
        })
    }

    fn names_what_is_there(&self, plan: &Plan) -> Result<(), EditError> {
        let there = match self {
            Edit::WeftFrom(weft, _) | Edit::WeftDoubled(weft, _) | Edit::RemoveWeft(weft) => {
                weft.0 < plan.wefts.len()
            }
            Edit::BandEdges(band, _)
            | Edit::BandStart(band, _)
            | Edit::BandBeat(band, _)
            | Edit::BandRows(band, _)
            | Edit::RenameBand(band, _)
            | Edit::Touch(band, _)
            | Edit::Length(band, _)
            | Edit::Part(band, _)
            | Edit::WriteOut(band) => band.0 < plan.bands.len(),
            Edit::BandStep(band, _) => {
                plan.bands.get(band.0).is_some_and(|band| matches!(band.source, Source::Weave(_)))
            }
            Edit::NewWeft(_, yarn) | Edit::RenameYarn(yarn, _) | Edit::RemoveYarn(yarn) => {
                yarn.0 < plan.yarns.len()
            }
            Edit::Set(set) => return set_fits(set, plan),
            Edit::WarpEnds(_)
            | Edit::PieceEdges(_)
            | Edit::Stack(..)
            | Edit::NewYarn(_)
            | Edit::Together(_) => true,
        };
        if there { Ok(()) } else { Err(EditError::NotThere) }
    }
}

/// Whether two names are one where a sentence begins with them.
fn told_alike(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

/// Bands and sequences stand in the same lists, by their names.
fn rename_band(plan: &Plan, band: BandId, name: &str) -> Result<Vec<Change>, EditError> {
    if plan.bands[band.0].name == name {
        return Ok(Vec::new());
    }
    let others = (0..).zip(&plan.bands).filter(|(k, _)| *k != band.0).map(|(_, other)| &other.name);
    let mut taken = others.chain(plan.sequences.iter().map(|sequence| &sequence.name));
    if taken.any(|other| told_alike(other, name)) {
        return Err(EditError::NameTaken(name.to_owned()));
    }
    Ok(vec![Change::BandName(band, name.to_owned())])
}

/// A yarn goes, and before it the needles that only their tables tell of, the last first.
fn remove_yarn(plan: &Plan, yarn: YarnId) -> Result<Vec<Change>, EditError> {
    let uses = plan.uses().swap_remove(yarn.0);
    if !uses.is_none() {
        return Err(EditError::YarnInUse {
            yarn: plan.yarns[yarn.0].name.clone(),
            warp: uses.warp,
            header: uses.header,
            bands: uses.bands.iter().map(|band| plan.bands[band.0].name.clone()).collect(),
        });
    }
    let carries = |weft: &usize| plan.wefts[*weft].yarn == yarn;
    let wefts = (0..plan.wefts.len()).rev().filter(carries).map(|weft| Change::RemoveWeft(WeftId(weft)));
    Ok(wefts.chain([Change::RemoveYarn(yarn)]).collect())
}

fn set_fits(set: &Set, plan: &Plan) -> Result<(), EditError> {
    let yarn = |yarn: crate::plan::YarnId| yarn.0 < plan.yarns.len();
    let there = match set {
        Set::YarnColour(id, _) | Set::YarnSize(id, ..) | Set::YarnKnown(id, _) => yarn(*id),
        Set::WeftYarn(weft, id) => weft.0 < plan.wefts.len() && yarn(*id),
        Set::WarpOrder(order) if order.is_empty() => return Err(EditError::Nothing),
        Set::WarpOrder(order) => order.iter().all(|run| yarn(run.yarn) && run.ends > 0),
        Set::BandWefts(band, names) => {
            weft_names_fit(plan, names)?;
            band.0 < plan.bands.len()
        }
        Set::Header(Some(header)) => header.yarn.is_none_or(yarn),
        Set::BandWeave(band, recipe) => band.0 < plan.bands.len() && recipe.weave().is_some(),
        Set::BandFlag(band, ..) => band.0 < plan.bands.len(),
        Set::Name(_)
        | Set::Use(_)
        | Set::Shows(_)
        | Set::Finish(_)
        | Set::Finished(_)
        | Set::LongestFloat(_)
        | Set::Needleful(_)
        | Set::Header(None)
        | Set::Loom(_)
        | Set::WarpWidth(_)
        | Set::WarpPath(_) => true,
    };
    if there { Ok(()) } else { Err(EditError::NotThere) }
}

fn weft_names_fit(plan: &Plan, names: &[String]) -> Result<(), EditError> {
    if names.is_empty() {
        return Err(EditError::Nothing);
    }
    let known = |name: &&String| {
        plan.wefts.iter().any(|weft| weft.name == **name) || plan.yarns.iter().any(|yarn| yarn.name == **name)
    };
    match names.iter().find(|name| !known(name)) {
        Some(name) => Err(EditError::NoSuchWeft(name.clone())),
        None => Ok(()),
    }
}

fn weft_names(plan: &Plan, wefts: &[WeftId]) -> Vec<String> {
    wefts.iter().filter_map(|weft| plan.wefts.get(weft.0)).map(|weft| weft.name.clone()).collect()
}

/// What a band had from the one it was like, or from its written rows, and must say itself when it is woven
/// otherwise.
fn made_its_own(plan: &Plan, band: BandId) -> Vec<Change> {
    let here = &plan.bands[band.0];
    let mut changes = Vec::new();
    if let Source::Like(other) = here.source {
        if here.wefts.is_none() {
            let wefts = weft_names(plan, &plan.wefts_in_turn(other));
            changes.push(Change::Set(Set::BandWefts(band, wefts)));
        }
        if let (None, Some(ends)) = (here.ends, plan.ends_of(other)) {
            changes.push(Change::BandEnds(band, ends));
        }
        if let (None, Some(edges)) = (here.edges, plan.edges_of(other)) {
            changes.push(Change::BandEdges(band, Some(edges)));
        }
        if let (None, Some(beat)) = (&here.beat, plan.beat_of(other)) {
            changes.push(Change::BandBeat(band, Some(beat.clone())));
        }
    }
    if here.extent.is_none() {
        let extent = plan.extent_of(band).cloned().or_else(|| once_through(plan, here));
        changes.extend(extent.map(|extent| Change::BandExtent(band, extent)));
    }
    changes
}

/// How long a band is that says no length: once through the rows that are written for it.
fn once_through(plan: &Plan, band: &Band) -> Option<Extent> {
    match &band.source {
        Source::Written(rows) => Some(Extent::Rows(rows.len() as u32)),
        Source::Like(other) => once_through(plan, &plan.bands[other.0]),
        Source::Weave(_) | Source::Parts(_) => None,
    }
}

/// The table of a new band, once its name is settled and its wefts are known.
fn new_band(plan: &Plan, new: &NewBand) -> Result<Change, EditError> {
    weft_names_fit(plan, &new.wefts)?;
    if new.weave.weave().is_none() {
        return Err(EditError::Nothing);
    }
    if new.rows == 0 || new.rows > bounds::ROWS {
        return Err(EditError::Rows(new.rows));
    }
    let name = match &new.name {
        Some(name) if is_free(plan, name) => name.clone(),
        Some(name) => return Err(EditError::NameTaken(name.clone())),
        None => free_name(plan, "band", 1),
    };
    Ok(Change::NewBand(NewTable::Woven(name, new.clone())))
}

fn is_free(plan: &Plan, name: &str) -> bool {
    !plan.bands.iter().any(|band| band.name == name) && !plan.sequences.iter().any(|s| s.name == name)
}

/// The first of `base-2`, `base-3` and so on that no band and no sequence has.
fn free_name(plan: &Plan, base: &str, first: u32) -> String {
    let mut number = first;
    loop {
        let name = format!("{base}-{number}");
        if is_free(plan, &name) {
            return name;
        }
        number += 1;
    }
}
