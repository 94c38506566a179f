//! From the JSON of an edit to the edit, and back.

use super::EditJsonError;
use super::form::{EditJson, InsertedJson, LoomJson, NewBandJson, WeaveJson};
use fellmark_core::plan::{
    BandId, ColourRun, Edit, Flag, Header, Inserted, Known, LoomKeys, NewBand, NewYarn, Plan, SequenceId,
    Set, StackEdit, StackList, Touch, TouchedRows, WeftId, YarnId,
};
use fellmark_core::quantity::{Mm, Typed};
use fellmark_core::say;
use fellmark_core::side::{Pass, Span};
use fellmark_core::weave::{Recipe, Step};
use fellmark_note::{Choice, Problem, typed};

/// The value of one of a few words.
fn chosen<T: Copy>(words: &[(&'static str, T)], word: &str) -> Result<T, EditJsonError> {
    let found = words.iter().find(|(known, _)| *known == word).map(|(_, value)| *value);
    found.ok_or_else(|| {
        let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let help = format!("Write one of {}.", say::list(&known));
        EditJsonError::new(format!("{word:?} is no word known here."), help)
    })
}

/// A number that counts from 1, from 0.
fn from_one(number: u32, what: &str) -> Result<u32, EditJsonError> {
    number.checked_sub(1).ok_or_else(|| {
        EditJsonError::new(format!("There is no {what} 0."), "Rows, ends and lines count from 1.")
    })
}

fn path_of(path: &[u32]) -> Result<Vec<usize>, EditJsonError> {
    if path.is_empty() {
        return Err(EditJsonError::new(
            "A place in the stack is missing.",
            "Write the number of its line, such as [2], and further ones within repeats.",
        ));
    }
    path.iter().map(|&line| from_one(line, "line").map(|line| line as usize)).collect()
}

pub(crate) fn path_json(path: &[usize]) -> Vec<u32> {
    path.iter().map(|&at| u32::try_from(at).unwrap_or(u32::MAX).saturating_add(1)).collect()
}

/// A line of the stack, or of the sequence that is named.
pub(crate) fn line_of(
    plan: &Plan,
    sequence: Option<&str>,
    line: &[u32],
) -> Result<(StackList, Vec<usize>), EditJsonError> {
    Ok((Names(plan).list(sequence)?, path_of(line)?))
}

/// A plan whose names edits use.
pub(super) struct Names<'a>(pub &'a Plan);

impl Names<'_> {
    fn weft(&self, name: &str) -> Result<WeftId, EditJsonError> {
        let at = self.0.wefts.iter().position(|weft| weft.name == name);
        at.map(WeftId).ok_or_else(|| unknown(name, "weft", self.0.wefts.iter().map(|w| w.name.as_str())))
    }

    fn band(&self, name: &str) -> Result<BandId, EditJsonError> {
        let at = self.0.bands.iter().position(|band| band.name == name);
        at.map(BandId).ok_or_else(|| unknown(name, "band", self.0.bands.iter().map(|b| b.name.as_str())))
    }

    fn yarn(&self, name: &str) -> Result<YarnId, EditJsonError> {
        let at = self.0.yarns.iter().position(|yarn| yarn.name == name);
        at.map(YarnId).ok_or_else(|| unknown(name, "yarn", self.0.yarns.iter().map(|y| y.name.as_str())))
    }

    fn list(&self, sequence: Option<&str>) -> Result<StackList, EditJsonError> {
        let Some(name) = sequence else { return Ok(StackList::Piece) };
        let at = self.0.sequences.iter().position(|sequence| sequence.name == name);
        let known = self.0.sequences.iter().map(|s| s.name.as_str());
        at.map(|at| StackList::Sequence(SequenceId(at))).ok_or_else(|| unknown(name, "sequence", known))
    }

    fn order(&self, order: &[String]) -> Result<Vec<ColourRun>, EditJsonError> {
        let run = |text: &String| {
            let (ends, name) = typed::ends_of(text)?;
            Ok(ColourRun { ends, yarn: self.yarn(name)? })
        };
        order.iter().map(run).collect()
    }

    fn inserted(&self, what: &InsertedJson) -> Result<Inserted, EditJsonError> {
        Ok(match what {
            InsertedJson::Entry(name) => {
                let sequence = self.0.sequences.iter().position(|sequence| sequence.name == *name);
                match sequence {
                    Some(at) => Inserted::Sequence(SequenceId(at)),
                    None => Inserted::Band(self.band(name)?),
                }
            }
            InsertedJson::Copy(path) => Inserted::Copy(path_of(path)?),
            InsertedJson::New(new) => Inserted::New(NewBand {
                name: new.name.clone(),
                wefts: new.wefts.clone(),
                weave: recipe(&new.weave)?,
                rows: new.rows,
            }),
        })
    }

    /// What is known of a yarn, from the text that says it.
    fn known<T>(
        &self,
        yarn: &str,
        text: &Option<String>,
        read: fn(&str) -> Result<T, Problem>,
        known: fn(Option<T>) -> Known,
    ) -> Result<Edit, EditJsonError> {
        let value = text.as_deref().map(read).transpose()?;
        Ok(Edit::Set(Set::YarnKnown(self.yarn(yarn)?, known(value))))
    }

    pub(super) fn edit(&self, json: &EditJson) -> Result<Edit, EditJsonError> {
        let length = |text: &String| typed::some_length(text);
        let stack = |sequence: &Option<String>, edit: StackEdit| -> Result<Edit, EditJsonError> {
            Ok(Edit::Stack(self.list(sequence.as_deref())?, edit))
        };
        Ok(match json {
            EditJson::WarpEnds { ends } => Edit::WarpEnds(*ends),
            EditJson::WeftFrom { weft, from } => Edit::WeftFrom(self.weft(weft)?, typed::choice(from)?),
            EditJson::WeftDoubled { weft, doubled } => Edit::WeftDoubled(self.weft(weft)?, *doubled),
            EditJson::PieceEdges { edges } => Edit::PieceEdges(typed::choice(edges)?),
            EditJson::BandEdges { band, edges } => Edit::BandEdges(
                self.band(band)?,
                edges.as_ref().map(|edges| typed::choice(edges)).transpose()?,
            ),
            EditJson::BandBeat { band, beat } => {
                Edit::BandBeat(self.band(band)?, beat.as_ref().map(|beat| typed::beat(beat)).transpose()?)
            }
            EditJson::BandStart { band, start } => Edit::BandStart(self.band(band)?, *start),
            EditJson::BandRows { band, rows } => Edit::BandRows(self.band(band)?, *rows),
            EditJson::BandStep { band, right, every_rows } => {
                Edit::BandStep(self.band(band)?, Step { right: *right, every_rows: *every_rows })
            }
            EditJson::Touch { band, row, every, ends, pass } => {
                let first = from_one(*row, "row")?;
                let at = match every {
                    None => TouchedRows::Row(first),
                    Some(rows) => TouchedRows::Every { rows: *rows, from: first },
                };
                let (left, right) = (from_one(ends[0], "end")?, from_one(ends[1], "end")?);
                let ends = Span::new(left, right).ok_or_else(|| {
                    EditJsonError::new(
                        format!("The ends go from {} back to {}.", ends[0], ends[1]),
                        "Write the smaller one first.",
                    )
                })?;
                let passes = [Pass::Over, Pass::Under].map(|pass| (say::pass(pass), pass));
                Edit::Touch(self.band(band)?, Touch { at, ends, pass: chosen(&passes, pass)? })
            }
            EditJson::Length { band, rows } => Edit::Length(self.band(band)?, *rows),
            EditJson::Part { band, place } => Edit::Part(self.band(band)?, *place),
            EditJson::WriteOut { band } => Edit::WriteOut(self.band(band)?),
            EditJson::Toggle { band, flag, on } => {
                let id = self.band(band)?;
                let flag = chosen(&Flag::ALL.map(|flag| (flag.key(), flag)), flag)?;
                let now = self.0.bands[id.0].flag(flag);
                Edit::Set(Set::BandFlag(id, flag, on.unwrap_or(!now)))
            }
            EditJson::BandWeave { band, weave } => {
                Edit::Set(Set::BandWeave(self.band(band)?, recipe(weave)?))
            }
            EditJson::BandWefts { band, wefts } => Edit::Set(Set::BandWefts(self.band(band)?, wefts.clone())),
            EditJson::Name { name } => Edit::Set(Set::Name(name.clone())),
            EditJson::Use { r#use } => Edit::Set(Set::Use(typed::choice(r#use)?)),
            EditJson::Shows { shows } => Edit::Set(Set::Shows(typed::choice(shows)?)),
            EditJson::Finish { finish } => Edit::Set(Set::Finish(typed::choice(finish)?)),
            EditJson::Finished { size } => {
                Edit::Set(Set::Finished(size.as_ref().map(|size| typed::wanted(size)).transpose()?))
            }
            EditJson::LongestFloat { length: text } => {
                Edit::Set(Set::LongestFloat(text.as_ref().map(length).transpose()?))
            }
            EditJson::Needleful { length: text } => {
                Edit::Set(Set::Needleful(text.as_ref().map(length).transpose()?))
            }
            EditJson::Loom(keys) => Edit::Set(Set::Loom(loom(keys)?)),
            EditJson::WarpWidth { width } => Edit::Set(Set::WarpWidth(length(width)?)),
            EditJson::WarpOrder { order } => Edit::Set(Set::WarpOrder(self.order(order)?)),
            EditJson::WarpYarn { yarn, to } => {
                let (old, new) = (self.yarn(yarn)?, self.yarn(to)?);
                let runs = self.0.warp.order.iter();
                let order =
                    runs.map(|run| if run.yarn == old { ColourRun { yarn: new, ..*run } } else { *run });
                Edit::Set(Set::WarpOrder(order.collect()))
            }
            EditJson::Header { length: None, yarn: Some(_) } => {
                return Err(EditJsonError::new(
                    "This header has a yarn and no length.",
                    "Add \"length\": \"2 cm\", or leave out the yarn too.",
                ));
            }
            EditJson::Header { length: text, yarn } => Edit::Set(Set::Header(match text {
                None => None,
                Some(text) => {
                    let yarn = yarn.as_ref().map(|yarn| self.yarn(yarn)).transpose()?;
                    Some(Header { length: length(text)?, yarn })
                }
            })),
            EditJson::WarpPath { path } => Edit::Set(Set::WarpPath(typed::choice(path)?)),
            EditJson::YarnColour { yarn, colour } => {
                Edit::Set(Set::YarnColour(self.yarn(yarn)?, typed::colour(colour)?))
            }
            EditJson::YarnSize { yarn, size, fibre } => {
                let id = self.yarn(yarn)?;
                let fibre = fibre.as_ref().map(|fibre| typed::fibre(fibre)).transpose()?;
                let (size, fibre) = match (fibre, typed::size(size, None)) {
                    (None, Ok((typed, fibre))) if names_fibre(size, fibre) => (typed, fibre),
                    (None, _) => typed::size(size, Some(self.0.yarns[id.0].fibre))?,
                    (fibre, _) => typed::size(size, fibre)?,
                };
                Edit::Set(Set::YarnSize(id, size, fibre))
            }
            EditJson::YarnHave { yarn, have } => self.known(yarn, have, typed::stock, Known::Have)?,
            EditJson::YarnPrice { yarn, price } => self.known(yarn, price, typed::price, Known::Price)?,
            EditJson::YarnWraps { yarn, wraps } => self.known(yarn, wraps, typed::wraps, Known::Wraps)?,
            EditJson::YarnMeasured { yarn, measured } => {
                self.known(yarn, measured, typed::hank, Known::Measured)?
            }
            EditJson::YarnHalo { yarn, halo } => self.known(yarn, halo, typed::halo, Known::Halo)?,
            EditJson::YarnNew { yarn, colour, size, fibre } => {
                let fibre = fibre.as_ref().map(|fibre| typed::fibre(fibre)).transpose()?;
                let (size, fibre) = typed::size(size, fibre)?;
                let colour = typed::colour(colour)?;
                Edit::NewYarn(NewYarn { name: yarn.clone(), colour, size, fibre })
            }
            EditJson::YarnRename { yarn, name } => Edit::RenameYarn(self.yarn(yarn)?, name.clone()),
            EditJson::BandRename { band, name } => Edit::RenameBand(self.band(band)?, name.clone()),
            EditJson::YarnRemove { yarn } => Edit::RemoveYarn(self.yarn(yarn)?),
            EditJson::WeftYarn { weft, yarn } => Edit::Set(Set::WeftYarn(self.weft(weft)?, self.yarn(yarn)?)),
            EditJson::WeftNew { weft, yarn } => Edit::NewWeft(weft.clone(), self.yarn(yarn)?),
            EditJson::WeftRemove { weft } => Edit::RemoveWeft(self.weft(weft)?),
            EditJson::StackMove { sequence, from, to } => {
                stack(sequence, StackEdit::Move { from: path_of(from)?, to: path_of(to)? })?
            }
            EditJson::StackInsert { sequence, at, what } => {
                stack(sequence, StackEdit::Insert { at: path_of(at)?, what: self.inserted(what)? })?
            }
            EditJson::StackGroup { sequence, at, count, times } => stack(
                sequence,
                StackEdit::Group { first: path_of(at)?, count: *count as usize, times: *times },
            )?,
            EditJson::StackTimes { sequence, at, times } => {
                stack(sequence, StackEdit::Times { at: path_of(at)?, times: *times })?
            }
            EditJson::StackUngroup { sequence, at } => {
                stack(sequence, StackEdit::Ungroup { at: path_of(at)? })?
            }
            EditJson::StackRemove { sequence, at } => {
                stack(sequence, StackEdit::Remove { at: path_of(at)? })?
            }
            EditJson::Together { .. } => json.on(self.0)?,
        })
    }
}

/// Whether a size names the fibre that was read from it.
fn names_fibre(size: &str, fibre: fellmark_core::yarn::Fibre) -> bool {
    size.to_lowercase().contains(fibre.name())
}

fn unknown<'a>(name: &str, kind: &str, known: impl Iterator<Item = &'a str>) -> EditJsonError {
    let mut known: Vec<&str> = known.take(12).collect();
    let message = format!("{name:?} is no {kind} of this plan.");
    match known.pop() {
        None => EditJsonError::new(message, format!("The plan has no {kind} yet.")),
        Some(last) if known.is_empty() => EditJsonError::new(message, format!("It has {last}.")),
        Some(last) => EditJsonError::new(message, format!("It has {} and {last}.", known.join(", "))),
    }
}

fn recipe(json: &WeaveJson) -> Result<Recipe, EditJsonError> {
    if json.weave.is_none() && json.opening.is_none() {
        return Err(EditJsonError::new(
            "This does not say how it is woven.",
            "Add \"weave\": \"plain\" or \"opening\": \"over 5, under 3\".",
        ));
    }
    Ok(Recipe {
        name: json.weave.as_deref().map(typed::weave).transpose()?,
        opening: json.opening.as_deref().map(typed::runs).transpose()?,
        opposite: json.opposite,
        step: json.step.as_deref().map(typed::step).transpose()?,
        turn_rows: json.turn_back.as_deref().map(typed::turn_back).transpose()?,
        turn_ends: json.turn_ends.as_deref().map(typed::turn_ends).transpose()?,
    })
}

pub(crate) fn recipe_json(recipe: &Recipe) -> WeaveJson {
    WeaveJson {
        weave: recipe.name.as_ref().map(|name| name.typed.clone()),
        opening: recipe.opening.as_ref().map(say::runs),
        opposite: recipe.opposite,
        step: recipe.step.map(typed::written_step),
        turn_back: recipe.turn_rows.map(typed::written_turn_back),
        turn_ends: recipe.turn_ends.map(typed::written_turn_ends),
    }
}

fn loom(json: &LoomJson) -> Result<LoomKeys, EditJsonError> {
    let some = |text: &Option<String>| text.as_deref().map(typed::some_length).transpose();
    let any = |text: &Option<String>| text.as_deref().map(typed::length).transpose();
    let act = json.strands_act_as.as_deref().map(typed::choice).transpose()?;
    Ok(LoomKeys {
        name: json.name.clone(),
        notches: json.notches.map(std::num::NonZeroU32::get),
        pitch: some(&json.pitch)?,
        turn_to_turn: some(&json.turn_to_turn)?,
        clear_height: some(&json.clear_height)?,
        out_of_reach: any(&json.out_of_reach)?,
        notch_width: any(&json.notch_width)?,
        notch_depth: any(&json.notch_depth)?,
        strands: json.strands.map(std::num::NonZeroU32::get),
        strands_act: act,
    })
}

pub(crate) fn loom_json(keys: &LoomKeys) -> LoomJson {
    let text = |length: &Option<Typed<Mm>>| length.as_ref().map(|length| length.typed.clone());
    LoomJson {
        name: keys.name.clone(),
        notches: keys.notches.and_then(std::num::NonZeroU32::new),
        pitch: text(&keys.pitch),
        turn_to_turn: text(&keys.turn_to_turn),
        clear_height: text(&keys.clear_height),
        out_of_reach: text(&keys.out_of_reach),
        notch_width: text(&keys.notch_width),
        notch_depth: text(&keys.notch_depth),
        strands: keys.strands.and_then(std::num::NonZeroU32::new),
        strands_act_as: keys.strands_act.map(|act| act.word().into()),
    }
}

impl EditJson {
    /// An edit of a plan that has the bands, wefts and yarns it names.
    #[must_use]
    pub fn of(edit: &Edit, plan: &Plan) -> EditJson {
        let weft = |id: &WeftId| plan.wefts.get(id.0).map_or_else(String::new, |weft| weft.name.clone());
        let band = |id: &BandId| plan.bands.get(id.0).map_or_else(String::new, |band| band.name.clone());
        match edit {
            Edit::WarpEnds(ends) => EditJson::WarpEnds { ends: *ends },
            Edit::WeftFrom(w, side) => EditJson::WeftFrom { weft: weft(w), from: side.word().into() },
            Edit::WeftDoubled(w, doubled) => EditJson::WeftDoubled { weft: weft(w), doubled: *doubled },
            Edit::PieceEdges(edges) => EditJson::PieceEdges { edges: edges.word().into() },
            Edit::BandEdges(b, edges) => {
                EditJson::BandEdges { band: band(b), edges: edges.map(|edges| edges.word().into()) }
            }
            Edit::BandBeat(b, beat) => {
                EditJson::BandBeat { band: band(b), beat: beat.as_ref().map(|beat| beat.typed.clone()) }
            }
            Edit::BandStart(b, start) => EditJson::BandStart { band: band(b), start: *start },
            Edit::BandRows(b, rows) => EditJson::BandRows { band: band(b), rows: *rows },
            Edit::BandStep(b, step) => {
                EditJson::BandStep { band: band(b), right: step.right, every_rows: step.every_rows }
            }
            Edit::Length(b, rows) => EditJson::Length { band: band(b), rows: *rows },
            Edit::Part(b, place) => EditJson::Part { band: band(b), place: *place },
            Edit::WriteOut(b) => EditJson::WriteOut { band: band(b) },
            Edit::Touch(b, touch) => {
                let (row, every) = match touch.at {
                    TouchedRows::Row(row) => (row, None),
                    TouchedRows::Every { rows, from } => (from, Some(rows)),
                };
                EditJson::Touch {
                    band: band(b),
                    row: row.saturating_add(1),
                    every,
                    ends: [touch.ends.first(), touch.ends.last()].map(|end| end.saturating_add(1)),
                    pass: say::pass(touch.pass).into(),
                }
            }
            Edit::Set(set) => set_json(set, plan),
            Edit::Stack(list, edit) => stack_json(*list, edit, plan),
            Edit::NewYarn(new) => EditJson::YarnNew {
                yarn: new.name.clone(),
                colour: new.colour.to_string(),
                size: new.size.typed.clone(),
                fibre: Some(new.fibre.name().into()),
            },
            Edit::RenameYarn(yarn, name) => {
                EditJson::YarnRename { yarn: yarn_name(plan, *yarn), name: name.clone() }
            }
            Edit::RenameBand(b, name) => EditJson::BandRename { band: band(b), name: name.clone() },
            Edit::RemoveYarn(yarn) => EditJson::YarnRemove { yarn: yarn_name(plan, *yarn) },
            Edit::RemoveWeft(w) => EditJson::WeftRemove { weft: weft(w) },
            Edit::NewWeft(name, yarn) => {
                EditJson::WeftNew { weft: name.clone(), yarn: yarn_name(plan, *yarn) }
            }
            Edit::Together(edits) => {
                let mut plan = plan.clone();
                let mut all = Vec::with_capacity(edits.len());
                for edit in edits {
                    all.push(EditJson::of(edit, &plan));
                    if let Ok(after) = edit.apply(&plan) {
                        plan = after;
                    }
                }
                EditJson::Together { edits: all }
            }
        }
    }
}

fn yarn_name(plan: &Plan, yarn: YarnId) -> String {
    plan.yarns.get(yarn.0).map_or_else(String::new, |yarn| yarn.name.clone())
}

fn set_json(set: &Set, plan: &Plan) -> EditJson {
    let band = |id: &BandId| plan.bands.get(id.0).map_or_else(String::new, |band| band.name.clone());
    match set {
        Set::Name(name) => EditJson::Name { name: name.clone() },
        Set::Use(purpose) => EditJson::Use { r#use: purpose.word().into() },
        Set::Shows(surface) => EditJson::Shows { shows: surface.word().into() },
        Set::Finish(finish) => EditJson::Finish { finish: finish.word().into() },
        Set::Finished(size) => EditJson::Finished { size: size.as_ref().map(|size| size.typed.clone()) },
        Set::LongestFloat(length) => {
            EditJson::LongestFloat { length: length.as_ref().map(|length| length.typed.clone()) }
        }
        Set::Needleful(length) => {
            EditJson::Needleful { length: length.as_ref().map(|length| length.typed.clone()) }
        }
        Set::Loom(keys) => EditJson::Loom(loom_json(keys)),
        Set::WarpWidth(width) => EditJson::WarpWidth { width: width.typed.clone() },
        Set::WarpOrder(order) => {
            let runs = order.iter().map(|run| format!("{} {}", run.ends, yarn_name(plan, run.yarn)));
            EditJson::WarpOrder { order: runs.collect() }
        }
        Set::Header(header) => EditJson::Header {
            length: header.as_ref().map(|header| header.length.typed.clone()),
            yarn: header.as_ref().and_then(|header| header.yarn).map(|yarn| yarn_name(plan, yarn)),
        },
        Set::WarpPath(path) => EditJson::WarpPath { path: path.word().into() },
        Set::YarnColour(yarn, colour) => {
            EditJson::YarnColour { yarn: yarn_name(plan, *yarn), colour: colour.to_string() }
        }
        Set::YarnSize(yarn, size, fibre) => EditJson::YarnSize {
            yarn: yarn_name(plan, *yarn),
            size: size.typed.clone(),
            fibre: Some(fibre.name().into()),
        },
        Set::YarnKnown(yarn, known) => {
            let (yarn, typed) = (yarn_name(plan, *yarn), known.typed().map(str::to_owned));
            match known {
                Known::Have(_) => EditJson::YarnHave { yarn, have: typed },
                Known::Price(_) => EditJson::YarnPrice { yarn, price: typed },
                Known::Wraps(_) => EditJson::YarnWraps { yarn, wraps: typed },
                Known::Measured(_) => EditJson::YarnMeasured { yarn, measured: typed },
                Known::Halo(_) => EditJson::YarnHalo { yarn, halo: typed },
            }
        }
        Set::WeftYarn(weft, yarn) => EditJson::WeftYarn {
            weft: plan.wefts.get(weft.0).map_or_else(String::new, |weft| weft.name.clone()),
            yarn: yarn_name(plan, *yarn),
        },
        Set::BandWefts(b, wefts) => EditJson::BandWefts { band: band(b), wefts: wefts.clone() },
        Set::BandWeave(b, recipe) => EditJson::BandWeave { band: band(b), weave: recipe_json(recipe) },
        Set::BandFlag(b, flag, on) => {
            EditJson::Toggle { band: band(b), flag: flag.key().into(), on: Some(*on) }
        }
    }
}

fn stack_json(list: StackList, edit: &StackEdit, plan: &Plan) -> EditJson {
    let sequence = match list {
        StackList::Piece => None,
        StackList::Sequence(id) => plan.sequences.get(id.0).map(|sequence| sequence.name.clone()),
    };
    match edit {
        StackEdit::Move { from, to } => {
            EditJson::StackMove { sequence, from: path_json(from), to: path_json(to) }
        }
        StackEdit::Insert { at, what } => {
            let what = match what {
                Inserted::Band(id) => {
                    InsertedJson::Entry(plan.bands.get(id.0).map_or_else(String::new, |b| b.name.clone()))
                }
                Inserted::Sequence(id) => {
                    let name = plan.sequences.get(id.0).map(|sequence| sequence.name.clone());
                    InsertedJson::Entry(name.unwrap_or_default())
                }
                Inserted::Copy(path) => InsertedJson::Copy(path_json(path)),
                Inserted::New(new) => InsertedJson::New(NewBandJson {
                    name: new.name.clone(),
                    wefts: new.wefts.clone(),
                    weave: recipe_json(&new.weave),
                    rows: new.rows,
                }),
            };
            EditJson::StackInsert { sequence, at: path_json(at), what }
        }
        StackEdit::Group { first, count, times } => EditJson::StackGroup {
            sequence,
            at: path_json(first),
            count: u32::try_from(*count).unwrap_or(u32::MAX),
            times: *times,
        },
        StackEdit::Times { at, times } => EditJson::StackTimes { sequence, at: path_json(at), times: *times },
        StackEdit::Ungroup { at } => EditJson::StackUngroup { sequence, at: path_json(at) },
        StackEdit::Remove { at } => EditJson::StackRemove { sequence, at: path_json(at) },
    }
}
