//! What edits come to: changes of single keys, of lists, of tables. A plan is changed here; its text is changed
//! by the note, key for key. Whatever an edit means is settled before: a change only does as it says.

use super::{
    Band, BandId, Beat, Edges, EndsWanted, Extent, Known, Plan, Reading, Set, Source, StackEntry, StackList,
    Touch, Weft, WeftId, WrittenRow, YarnId,
};
use crate::habits::Habit;
use crate::quantity::Typed;
use crate::side::{Side, Span};
use crate::weave::{Runs, Step};
use crate::yarn::Yarn;
use std::num::NonZeroU32;

/// A change of a plan's keys.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// A key and its value.
    Set(Set),
    /// `warp.ends`, in place of `warp.width`.
    WarpEnds(u32),
    /// `weft.NAME.from`, in a table that may be new.
    WeftFrom(WeftId, Side),
    /// `weft.NAME.doubled`, in a table that may be new.
    WeftDoubled(WeftId, bool),
    /// `edges`.
    PieceEdges(Edges),
    /// `band.NAME.edges`; without a value the key goes.
    BandEdges(BandId, Option<Edges>),
    /// `band.NAME.beat`; without a value the key goes.
    BandBeat(BandId, Option<Typed<Beat>>),
    /// `band.NAME.start`; without a value the key goes.
    BandStart(BandId, Option<NonZeroU32>),
    /// `band.NAME.step`, of a band that has a weave.
    BandStep(BandId, Step),
    /// `band.NAME.rows` or `band.NAME.length`.
    BandExtent(BandId, Extent),
    /// `band.NAME.ends`.
    BandEnds(BandId, Span),
    /// `band.NAME.touched`, line by line; the key goes with its last line.
    Touched(BandId, Vec<Touch>),
    /// One row of a band of written rows, counted from 0.
    WrittenRow(BandId, usize, Runs),
    /// All that says how a band is woven.
    WrittenOut(BandId, WrittenOut),
    /// A table `[band.NAME]` after all others.
    NewBand(NewTable),
    /// A table `[yarn.NAME]` after all others.
    NewYarn(super::NewYarn),
    /// A table `[weft.NAME]` after all others.
    NewWeft(String, YarnId),
    /// A yarn, and the weft that is called so, get this name.
    YarnName(YarnId, String),
    /// A band gets this name, and so it is called wherever it is named.
    BandName(BandId, String),
    /// The table `[yarn.NAME]` goes: of a yarn that no end and no weft has.
    RemoveYarn(YarnId),
    /// The table `[weft.NAME]` goes: of a weft that no band names.
    RemoveWeft(WeftId),
    /// Lines of a list.
    Stack(StackList, StackChange),
}

/// What a new band is.
#[derive(Debug, Clone, PartialEq)]
pub enum NewTable {
    /// Like another, and nothing else.
    Like(String, BandId),
    /// Woven by itself, with this name.
    Woven(String, super::NewBand),
}

/// A band's rows, and what must be said beside them.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenOut {
    /// Its rows, from the bottom up.
    pub rows: Vec<WrittenRow>,
    /// Its wefts in turn, where they are not the ones it names.
    pub wefts: Option<Vec<WeftId>>,
    /// How long it is, where that is not once through its rows.
    pub extent: Option<Extent>,
    /// How closely its rows are beaten, where a band it was like says so.
    pub beat: Option<Typed<Beat>>,
    /// The ends it lies within, where they are not all and not those it names.
    pub ends: Option<Span>,
    /// What happens at its edge ends, where the piece or a band it was like says something else.
    pub edges: Option<Edges>,
}

/// A change of a list of bands, sequences and groups. Paths count from 0.
#[derive(Debug, Clone, PartialEq)]
pub enum StackChange {
    /// Entries are put before the one at the path.
    Put(Vec<usize>, Vec<StackEntry>),
    /// The entry at the path gives way to others: one at least.
    Swap(Vec<usize>, Vec<StackEntry>),
    /// The entry at the path goes.
    Take(Vec<usize>),
    /// The entry at the first path goes to stand before the second, as it counts when the first is gone.
    Move(Vec<usize>, Vec<usize>),
    /// So many entries from the path on become a group.
    Wrap(Vec<usize>, usize, u32),
    /// The group at the path gives way to what it holds.
    Unwrap(Vec<usize>),
    /// The group at the path is woven so often.
    Times(Vec<usize>, u32),
}

/// A change that doesn't fit the plan: it names what isn't there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Misfit;

impl Change {
    /// Makes the change.
    ///
    /// # Errors
    /// If it names what the plan doesn't have.
    pub fn apply(&self, plan: &mut Plan) -> Result<(), Misfit> {
        match self {
            Change::Set(set) => set.apply(plan)?,
            Change::WarpEnds(ends) => plan.warp.ends = EndsWanted::Count(*ends),
            Change::WeftFrom(weft, side) => plan.weft_table(*weft)?.from = *side,
            Change::WeftDoubled(weft, doubled) => plan.weft_table(*weft)?.doubled = *doubled,
            Change::PieceEdges(edges) => plan.edges = *edges,
            Change::BandEdges(band, edges) => plan.band_mut(*band)?.edges = *edges,
            Change::BandBeat(band, beat) => plan.band_mut(*band)?.beat.clone_from(beat),
            Change::BandStart(band, row) => plan.band_mut(*band)?.start = *row,
            Change::BandStep(band, step) => match &mut plan.band_mut(*band)?.source {
                Source::Weave(weave) => weave.step = *step,
                Source::Written(_) | Source::Parts(_) | Source::Like(_) => return Err(Misfit),
            },
            Change::BandExtent(band, extent) => plan.band_mut(*band)?.extent = Some(extent.clone()),
            Change::BandEnds(band, ends) => plan.band_mut(*band)?.ends = Some(*ends),
            Change::Touched(band, touched) => plan.band_mut(*band)?.touched.clone_from(touched),
            Change::WrittenRow(band, at, runs) => match &mut plan.band_mut(*band)?.source {
                Source::Written(rows) => rows.get_mut(*at).ok_or(Misfit)?.runs = runs.clone(),
                Source::Weave(_) | Source::Parts(_) | Source::Like(_) => return Err(Misfit),
            },
            Change::WrittenOut(band, written) => written.apply(plan, *band)?,
            Change::NewBand(table) => {
                let band = table.band(plan)?;
                plan.bands.push(band);
                plan.put_wefts_in_order();
            }
            Change::NewYarn(new) => plan.yarns.push(Yarn {
                name: new.name.clone(),
                colour: new.colour,
                size: new.size.clone(),
                wraps: None,
                measured: None,
                halo: None,
                fibre: new.fibre,
                price: None,
                have: None,
            }),
            Change::NewWeft(name, yarn) => {
                let table = Some(plan.weft_tables());
                let known = plan.wefts.iter().position(|weft| weft.name == *name);
                let new = Weft { name: name.clone(), yarn: *yarn, from: Side::Left, doubled: false, table };
                match known.and_then(|at| plan.wefts.get_mut(at)) {
                    Some(weft) => *weft = new,
                    None => plan.wefts.push(new),
                }
            }
            Change::YarnName(yarn, name) => plan.rename_yarn(*yarn, name)?,
            Change::BandName(band, name) => plan.band_mut(*band)?.name.clone_from(name),
            Change::RemoveYarn(yarn) => plan.remove_yarn(*yarn)?,
            Change::RemoveWeft(weft) => plan.remove_weft(*weft)?,
            Change::Stack(list, change) => change.apply(plan.list_mut(*list)?)?,
        }
        Ok(())
    }
}

impl NewTable {
    fn band(&self, plan: &mut Plan) -> Result<Band, Misfit> {
        Ok(match self {
            NewTable::Like(name, other) => Band::new(name, Source::Like(*other)),
            NewTable::Woven(name, new) => {
                let wefts = plan.wefts_named(&new.wefts)?;
                let source = Source::Weave(new.weave.weave().ok_or(Misfit)?);
                Band { wefts: Some(wefts), extent: Some(Extent::Rows(new.rows)), ..Band::new(name, source) }
            }
        })
    }
}

impl WrittenOut {
    fn apply(&self, plan: &mut Plan, band: BandId) -> Result<(), Misfit> {
        let here = plan.band_mut(band)?;
        *here = Band {
            name: std::mem::take(&mut here.name),
            source: Source::Written(self.rows.clone()),
            wefts: self.wefts.clone().or(here.wefts.take()),
            extent: self.extent.clone(),
            beat: self.beat.clone().or(here.beat.take()),
            start: None,
            mirrored: false,
            over_for_under: false,
            exchanged: false,
            touched: Vec::new(),
            ends: self.ends.or(here.ends),
            edges: self.edges.or(here.edges),
            read: Reading::FromTheLeft,
        };
        plan.put_wefts_in_order();
        Ok(())
    }
}

impl Set {
    fn apply(&self, plan: &mut Plan) -> Result<(), Misfit> {
        match self {
            Set::Name(name) => plan.name.clone_from(name),
            Set::Use(purpose) => plan.purpose = *purpose,
            Set::Shows(surface) => plan.shows = *surface,
            Set::Finish(finish) => plan.finish = *finish,
            Set::Finished(wanted) => plan.finished.clone_from(wanted),
            Set::LongestFloat(length) => plan.longest_float.clone_from(length),
            Set::Needleful(length) => {
                plan.habits.retain(|(habit, _)| *habit != Habit::Needleful);
                plan.habits.extend(length.as_ref().map(|length| (Habit::Needleful, length.value.mm())));
                plan.habits.sort_by_key(|(habit, _)| Habit::ALL.iter().position(|known| known == habit));
            }
            Set::Loom(keys) => {
                let loom = &mut plan.loom;
                if keys.name.is_some() {
                    loom.name.clone_from(&keys.name);
                }
                loom.notches = keys.notches.unwrap_or(loom.notches);
                let needed = [
                    (&mut loom.pitch, &keys.pitch),
                    (&mut loom.turn_to_turn, &keys.turn_to_turn),
                    (&mut loom.clear_height, &keys.clear_height),
                ];
                for (old, new) in needed {
                    if let Some(new) = new {
                        old.clone_from(new);
                    }
                }
                let others = [
                    (&mut loom.out_of_reach, &keys.out_of_reach),
                    (&mut loom.notch_width, &keys.notch_width),
                    (&mut loom.notch_depth, &keys.notch_depth),
                ];
                for (old, new) in others {
                    if new.is_some() {
                        old.clone_from(new);
                    }
                }
                loom.strands = keys.strands.unwrap_or(loom.strands);
                loom.strands_act = keys.strands_act.unwrap_or(loom.strands_act);
            }
            Set::WarpWidth(width) => plan.warp.ends = EndsWanted::Width(width.clone()),
            Set::WarpOrder(order) => plan.warp.order.clone_from(order),
            Set::WarpPath(path) => plan.warp.path = *path,
            Set::Header(header) => plan.header.clone_from(header),
            Set::YarnColour(yarn, colour) => plan.yarns.get_mut(yarn.0).ok_or(Misfit)?.colour = *colour,
            Set::YarnSize(yarn, size, fibre) => {
                let yarn = plan.yarns.get_mut(yarn.0).ok_or(Misfit)?;
                yarn.size.clone_from(size);
                yarn.fibre = *fibre;
            }
            Set::YarnKnown(yarn, known) => {
                let yarn = plan.yarns.get_mut(yarn.0).ok_or(Misfit)?;
                match known {
                    Known::Have(have) => yarn.have.clone_from(have),
                    Known::Price(price) => yarn.price.clone_from(price),
                    Known::Wraps(wraps) => yarn.wraps.clone_from(wraps),
                    Known::Measured(hank) => yarn.measured.clone_from(hank),
                    Known::Halo(halo) => yarn.halo.clone_from(halo),
                }
            }
            Set::WeftYarn(weft, yarn) => plan.weft_table(*weft)?.yarn = *yarn,
            Set::BandWefts(band, names) => {
                let wefts = plan.wefts_named(names)?;
                plan.band_mut(*band)?.wefts = Some(wefts);
                plan.put_wefts_in_order();
            }
            Set::BandWeave(band, recipe) => {
                let weave = recipe.weave().ok_or(Misfit)?;
                plan.band_mut(*band)?.source = Source::Weave(weave);
            }
            Set::BandFlag(band, flag, on) => {
                let band = plan.band_mut(*band)?;
                *match flag {
                    super::Flag::Exchanged => &mut band.exchanged,
                    super::Flag::Mirrored => &mut band.mirrored,
                    super::Flag::OverForUnder => &mut band.over_for_under,
                } = *on;
            }
        }
        Ok(())
    }
}

impl StackChange {
    fn apply(&self, list: &mut Vec<StackEntry>) -> Result<(), Misfit> {
        match self {
            StackChange::Put(path, entries) => {
                let (list, at) = list_at(list, path)?;
                (at <= list.len()).then(|| list.splice(at..at, entries.iter().cloned())).ok_or(Misfit)?;
            }
            StackChange::Swap(path, entries) => {
                let (list, at) = list_at(list, path)?;
                (at < list.len()).then(|| list.splice(at..=at, entries.iter().cloned())).ok_or(Misfit)?;
            }
            StackChange::Take(path) => {
                let (list, at) = list_at(list, path)?;
                (at < list.len()).then(|| list.remove(at)).ok_or(Misfit)?;
            }
            StackChange::Move(from, to) => {
                let (held, at) = list_at(list, from)?;
                let entry = (at < held.len()).then(|| held.remove(at)).ok_or(Misfit)?;
                let (held, at) = list_at(list, to)?;
                (at <= held.len()).then(|| held.insert(at, entry)).ok_or(Misfit)?;
            }
            StackChange::Wrap(path, count, times) => {
                let (list, at) = list_at(list, path)?;
                let end =
                    at.checked_add(*count).filter(|&end| end <= list.len() && end > at).ok_or(Misfit)?;
                let entries: Vec<StackEntry> = list.drain(at..end).collect();
                list.insert(at, StackEntry::Group { times: *times, entries });
            }
            StackChange::Unwrap(path) => {
                let (list, at) = list_at(list, path)?;
                let Some(StackEntry::Group { entries, .. }) = list.get_mut(at) else { return Err(Misfit) };
                let entries = std::mem::take(entries);
                list.splice(at..=at, entries);
            }
            StackChange::Times(path, new) => {
                let (list, at) = list_at(list, path)?;
                let Some(StackEntry::Group { times, .. }) = list.get_mut(at) else { return Err(Misfit) };
                *times = *new;
            }
        }
        Ok(())
    }
}

/// The list that a path leads into, and the place in it.
fn list_at<'a>(
    list: &'a mut Vec<StackEntry>,
    path: &[usize],
) -> Result<(&'a mut Vec<StackEntry>, usize), Misfit> {
    match path {
        [] => Err(Misfit),
        [at] => Ok((list, *at)),
        [group, rest @ ..] => match list.get_mut(*group) {
            Some(StackEntry::Group { entries, .. }) => list_at(entries, rest),
            _ => Err(Misfit),
        },
    }
}

impl Plan {
    fn band_mut(&mut self, band: BandId) -> Result<&mut Band, Misfit> {
        self.bands.get_mut(band.0).ok_or(Misfit)
    }

    fn list_mut(&mut self, list: StackList) -> Result<&mut Vec<StackEntry>, Misfit> {
        match list {
            StackList::Piece => Ok(&mut self.stack),
            StackList::Sequence(id) => {
                self.sequences.get_mut(id.0).map(|sequence| &mut sequence.entries).ok_or(Misfit)
            }
        }
    }

    /// How many wefts have tables of their own.
    fn weft_tables(&self) -> usize {
        self.wefts.iter().filter(|weft| weft.table.is_some()).count()
    }

    /// A weft, which gets a table of its own if it has none.
    fn weft_table(&mut self, weft: WeftId) -> Result<&mut Weft, Misfit> {
        let tables = self.weft_tables();
        let weft = self.wefts.get_mut(weft.0).ok_or(Misfit)?;
        weft.table.get_or_insert(tables);
        Ok(weft)
    }

    /// The wefts of these names; a yarn's name is a weft at its first use.
    fn wefts_named(&mut self, names: &[String]) -> Result<Vec<WeftId>, Misfit> {
        let mut wefts = Vec::new();
        for name in names {
            let known = self.wefts.iter().position(|weft| weft.name == *name);
            wefts.push(WeftId(match known {
                Some(at) => at,
                None => {
                    let yarn = self.yarns.iter().position(|yarn| yarn.name == *name).ok_or(Misfit)?;
                    self.wefts.push(Weft {
                        name: name.clone(),
                        yarn: YarnId(yarn),
                        from: Side::Left,
                        doubled: false,
                        table: None,
                    });
                    self.wefts.len() - 1
                }
            }));
        }
        if wefts.is_empty() { Err(Misfit) } else { Ok(wefts) }
    }

    fn rename_yarn(&mut self, yarn: YarnId, name: &str) -> Result<(), Misfit> {
        let weft = self.weft_called_like(yarn);
        self.yarns.get_mut(yarn.0).ok_or(Misfit)?.name = name.to_owned();
        if let Some(weft) = weft.and_then(|weft| self.wefts.get_mut(weft.0)) {
            weft.name = name.to_owned();
        }
        Ok(())
    }

    /// Takes out a yarn that nothing is made of.
    fn remove_yarn(&mut self, yarn: YarnId) -> Result<(), Misfit> {
        let used = self.warp.order.iter().any(|run| run.yarn == yarn)
            || self.header.as_ref().is_some_and(|header| header.yarn == Some(yarn))
            || self.wefts.iter().any(|weft| weft.yarn == yarn);
        if used || yarn.0 >= self.yarns.len() {
            return Err(Misfit);
        }
        self.yarns.remove(yarn.0);
        let held = self.warp.order.iter_mut().map(|run| &mut run.yarn);
        let header = self.header.iter_mut().filter_map(|header| header.yarn.as_mut());
        for id in held.chain(header).chain(self.wefts.iter_mut().map(|weft| &mut weft.yarn)) {
            if id.0 > yarn.0 {
                id.0 -= 1;
            }
        }
        Ok(())
    }

    /// Takes out a weft that no band names.
    fn remove_weft(&mut self, weft: WeftId) -> Result<(), Misfit> {
        let named = self.bands.iter().flat_map(|band| band.wefts.iter().flatten()).any(|&id| id == weft);
        let gone = self.wefts.get(weft.0).filter(|_| !named).ok_or(Misfit)?.table;
        self.wefts.remove(weft.0);
        for table in self.wefts.iter_mut().filter_map(|weft| weft.table.as_mut()) {
            if gone.is_some_and(|gone| *table > gone) {
                *table -= 1;
            }
        }
        for id in self.bands.iter_mut().flat_map(|band| band.wefts.iter_mut().flatten()) {
            if id.0 > weft.0 {
                id.0 -= 1;
            }
        }
        Ok(())
    }

    /// Wefts stand in the order in which bands name them, then those that only have a table; a yarn that no band
    /// names any more is no weft.
    fn put_wefts_in_order(&mut self) {
        let mut order: Vec<usize> = Vec::new();
        let named = self.bands.iter().flat_map(|band| band.wefts.iter().flatten()).map(|weft| weft.0);
        let mut tables: Vec<usize> =
            (0..self.wefts.len()).filter(|&weft| self.wefts[weft].table.is_some()).collect();
        tables.sort_by_key(|&weft| self.wefts[weft].table);
        for weft in named.chain(tables) {
            if !order.contains(&weft) {
                order.push(weft);
            }
        }
        let now = |weft: WeftId| WeftId(order.iter().position(|&old| old == weft.0).unwrap_or(weft.0));
        for weft in self.bands.iter_mut().flat_map(|band| band.wefts.iter_mut().flatten()) {
            *weft = now(*weft);
        }
        self.wefts = order.iter().filter_map(|&old| self.wefts.get(old).cloned()).collect();
    }
}
