//! What a piece's parts are now, for whoever would change them: the frame, the warp, the bands and the stack.

use crate::edit::meaning::{loom_json, path_json, recipe_json};
use crate::edit::{EditJson, LoomJson, WeaveJson};
use fellmark_core::edit::{borders, lowered, raised};
use fellmark_core::plan::{
    Band, BandId, Edit, EndsWanted, Extent, Flag, Known, LoomKeys, Plan, SequenceId, Source, StackEntry,
    StackList, Weft, WeftId, YarnId, YarnUses,
};
use fellmark_core::say::{self, Units};
use fellmark_core::sound::floats;
use fellmark_core::study::Study;
use fellmark_core::weave::{Recipe, WantedStep, Weave};
use fellmark_core::yarn::Yarn;
use fellmark_note::{Choice, typed};
use serde::Serialize;

/// All of them.
#[derive(Debug, Clone, Serialize)]
pub struct Panels {
    /// What the piece is called.
    pub name: String,
    /// What it is for, as a word of the plan's `use`.
    pub r#use: String,
    /// The side meant to be seen, as a word of the plan's `shows`.
    pub shows: &'static str,
    /// What is done with it off the loom, as a word of the plan's `finish`.
    pub finish: &'static str,
    /// What happens at the edge ends, as a word of the plan's `edges`.
    pub edges: &'static str,
    /// The finished size it should have, as it was typed.
    pub finished: Option<String>,
    /// The longest float that will do, as it was typed.
    pub longest_float: Option<String>,
    /// What floats are, how long one may usually be, and the longest there is, in words.
    pub floats: String,
    /// How a finished size may be typed.
    pub finished_hint: String,
    /// How a yarn's size may be typed.
    pub size_hint: String,
    /// The frame, each length as it was typed.
    pub loom: LoomJson,
    /// The warp.
    pub warp: WarpKeys,
    /// What is put in below the first row.
    pub header: HeaderKeys,
    /// The yarns, in the order in which they are written.
    pub sizes: Vec<YarnKeys>,
    /// What can weave: the wefts, and the yarns that are none yet.
    pub needles: Vec<NeedleJson>,
    /// The bands, in the order in which they are written.
    pub bands: Vec<BandJson>,
    /// The stack from the bottom up.
    pub stack: Vec<EntryJson>,
    /// What the upper border of each place moves when it is drawn, from the bottom up.
    pub borders: Vec<BorderJson>,
}

/// What the upper border of a place moves.
#[derive(Debug, Clone, Serialize)]
pub struct BorderJson {
    /// The band that becomes longer or shorter.
    pub band: String,
    /// How many of its rows the border goes up for each row more of that band: below 0 it goes down, 0: it stays.
    pub by: i32,
}

/// The warp as the plan says it.
#[derive(Debug, Clone, Serialize)]
pub struct WarpKeys {
    /// How many ends it has.
    pub ends: u32,
    /// The width that was asked for, as it was typed.
    pub width: Option<String>,
    /// The yarns of the ends from the left, such as `24 reed`.
    pub order: Vec<String>,
    /// The names of its yarns.
    pub yarns: Vec<String>,
    /// Ends in which every band's weave comes round, if there are so many.
    pub repeat: Option<u32>,
    /// How many ends a repeat less would leave; null: not a whole one.
    pub repeat_fewer: Option<u32>,
    /// How many a repeat more would come to; null: more than the frame takes, or every number is a repeat.
    pub repeat_more: Option<u32>,
    /// How it is wound, as a word of the plan's `path`.
    pub path: &'static str,
    /// The most ends that the frame takes.
    pub most: u32,
}

/// The header as the plan says it.
#[derive(Debug, Clone, Serialize)]
pub struct HeaderKeys {
    /// How much of the warp it takes, as it was typed; null: there is none.
    pub length: Option<String>,
    /// Its yarn; null: it is a strip of card.
    pub yarn: Option<String>,
    /// What it may be.
    pub choices: Vec<HeaderChoice>,
    /// A length to begin with.
    pub usual: &'static str,
    /// What its length means.
    pub about: String,
}

/// What a header may be.
#[derive(Debug, Clone, Serialize)]
pub struct HeaderChoice {
    /// The yarn that it is woven with; null: none.
    pub yarn: Option<String>,
    /// The same in words.
    pub words: String,
}

/// A yarn as the plan says it.
#[derive(Debug, Clone, Serialize)]
pub struct YarnKeys {
    /// Its name.
    pub name: String,
    /// Its size, as it was typed.
    pub size: String,
    /// What it is made of.
    pub fibre: &'static str,
    /// What a maker may know of it beside its label.
    pub known: Vec<KnownJson>,
    /// All that is known of it so, in a few words.
    pub all_known: String,
    /// What is made of it, in a sentence.
    pub used: String,
    /// Whether nothing is, so that it may go.
    pub unused: bool,
    /// What it may be taken in place of.
    pub instead: Vec<OfferJson>,
}

/// What may be known of a yarn.
#[derive(Debug, Clone, Serialize)]
pub struct KnownJson {
    /// The key of the plan, by which an edit names it: `yarn_halo` has `halo`.
    pub key: &'static str,
    /// What it is, in words.
    pub words: &'static str,
    /// As it was typed; null where it is not known.
    pub typed: Option<String>,
    /// What may be typed.
    pub hint: String,
}

/// A change that may be taken.
#[derive(Debug, Clone, Serialize)]
pub struct OfferJson {
    /// What it is, in a few words.
    pub words: String,
    /// The edit.
    pub edit: EditJson,
}

/// A needle that can weave.
#[derive(Debug, Clone, Serialize)]
pub struct NeedleJson {
    /// The weft's name, or that of a yarn which becomes a weft when it is named.
    pub name: String,
    /// Its yarn.
    pub yarn: String,
    /// Its yarn's colour.
    pub colour: String,
    /// Whether the yarn lies doubled on it; null where it is no weft yet.
    pub doubled: Option<bool>,
    /// The side its first row starts from, `left` or `right`; null where it is no weft yet.
    pub from: Option<&'static str>,
    /// Whether it is a needle that no band is woven with, which may go.
    pub idle: bool,
}

/// A band.
#[derive(Debug, Clone, Serialize)]
pub struct BandJson {
    /// Its name.
    pub name: String,
    /// How it is woven, in words.
    pub words: String,
    /// How it is woven, if it has one weave, its own or that of the band it is like.
    pub weave: Option<WeaveJson>,
    /// Its wefts in turn, before they are exchanged.
    pub wefts: Vec<String>,
    /// How many rows it has: none where it has no place or no room.
    pub rows: u32,
    /// Rows that come and go together.
    pub turn: u32,
    /// Its length, if that is what the plan says, as it was typed.
    pub length: Option<String>,
    /// Whether it fills what the others leave.
    pub fills: bool,
    /// How closely its rows are beaten, as it was typed, if it says so itself.
    pub beat: Option<String>,
    /// How closely they are beaten if it doesn't, in words.
    pub beat_else: String,
    /// The row of its weave on which it is told to start; null: it is not told.
    pub start: Option<u32>,
    /// What happens at its edge ends, as a word of the plan's `edges`.
    pub edges: &'static str,
    /// Whether it says so itself.
    pub edges_own: bool,
    /// Where it has that from if it doesn't, in words.
    pub edges_else: String,
    /// Ends of one repeat of its weave.
    pub repeat_ends: Option<u32>,
    /// Rows of one repeat of its weave.
    pub repeat_rows: Option<u32>,
    /// In how many places it stands.
    pub places: u32,
    /// Where a change of it shows, in words, if it stands in several places.
    pub everywhere: Option<String>,
    /// Whether its rows are written out.
    pub written: bool,
    /// What it would mean to write them out, in words; null where they are.
    pub write_out: Option<String>,
    /// Whether it was changed by hand so often that its rows had better be written out, and can be.
    pub much_touched: bool,
    /// Whether its two wefts have changed places; null where they can't.
    pub exchanged: Option<bool>,
    /// Whether left and right have changed places.
    pub mirrored: Option<bool>,
    /// Whether over and under have changed places; null where that is not done.
    pub over_for_under: Option<bool>,
}

/// A line of the stack.
#[derive(Debug, Clone, Serialize)]
pub struct EntryJson {
    /// The sequence whose list it stands in; null: the piece.
    pub sequence: Option<String>,
    /// Its line, and further ones within repeats.
    pub at: Vec<u32>,
    /// `band`, `sequence` or `repeat`.
    pub kind: &'static str,
    /// What it is called.
    pub words: String,
    /// How often it is woven, of a repeat.
    pub times: Option<u32>,
    /// The places that it stands for, by their number from the bottom.
    pub places: Vec<u32>,
    /// Where it goes to when it is moved up; null: nowhere.
    pub up: Option<Vec<u32>>,
    /// The place above it.
    pub above: Vec<u32>,
    /// Where it goes to when it is moved down; null: nowhere.
    pub down: Option<Vec<u32>>,
    /// Whether it stands alone in its list, which may not be empty.
    pub alone: bool,
    /// What it holds, of a repeat or a sequence.
    pub entries: Vec<EntryJson>,
}

/// As many changes by hand over a weave are no longer easily read as changes of it (habit, no source).
const MANY_TOUCHES: usize = 12;

/// For so many bands it is tried whether they can be written out; each takes as long as making the piece.
const MOST_TRIED: usize = 4;

impl WeaveJson {
    /// The keys that make a weave.
    #[must_use]
    pub fn of(weave: &Weave) -> WeaveJson {
        recipe_json(&Recipe {
            name: None,
            opening: Some(weave.opening.clone()),
            opposite: weave.opposite,
            step: (weave.step.right != 0)
                .then_some(WantedStep { right: weave.step.right, every: Some(weave.step.every_rows) }),
            turn_rows: weave.turn_rows,
            turn_ends: weave.turn_ends,
        })
    }
}

/// What a piece's parts are now.
#[must_use]
pub fn panels(plan: &Plan, study: &Study, units: Units) -> Panels {
    let needles = plan.wefts.iter().enumerate().map(|(k, weft)| NeedleJson {
        idle: plan.bands_naming(WeftId(k)).next().is_none(),
        ..needle(&weft.name, &plan.yarns[weft.yarn.0], Some(weft))
    });
    let others = plan.yarns.iter().filter(|yarn| !plan.wefts.iter().any(|weft| weft.name == yarn.name));
    let needles = needles.chain(others.map(|yarn| needle(&yarn.name, yarn, None)));
    Panels {
        name: plan.name.clone(),
        shows: plan.shows.word(),
        finish: plan.finish.word(),
        edges: plan.edges.word(),
        finished: plan.finished.as_ref().map(|size| size.typed.clone()),
        longest_float: plan.longest_float.as_ref().map(|length| length.typed.clone()),
        floats: say::floats(&study.piece, &floats::list(&study.piece, &study.walk, &study.habits), units),
        finished_hint: say::such_as(say::finished_examples(units)),
        size_hint: say::such_as(say::size_examples(units)),
        r#use: plan.purpose.word().to_owned(),
        loom: loom(plan),
        warp: warp(plan, study),
        header: header(plan, units),
        sizes: yarns(plan, study, units),
        needles: needles.collect(),
        bands: (0..plan.bands.len()).map(|band| self::band(plan, study, BandId(band))).collect(),
        stack: stack(plan, study),
        borders: borders(plan, &study.piece)
            .into_iter()
            .map(|border| BorderJson { band: plan.bands[border.band.0].name.clone(), by: border.by })
            .collect(),
    }
}

/// A header to begin with: two fingers of it (common practice, no source).
fn header(plan: &Plan, units: Units) -> HeaderKeys {
    let header = plan.header.as_ref();
    let yarns = std::iter::once(None).chain(plan.yarns.iter().map(|yarn| Some(yarn.name.as_str())));
    HeaderKeys {
        length: header.map(|header| header.length.typed.clone()),
        yarn: header.and_then(|header| header.yarn).map(|yarn| plan.yarns[yarn.0].name.clone()),
        choices: yarns
            .map(|yarn| HeaderChoice { yarn: yarn.map(str::to_owned), words: say::header_of(yarn) })
            .collect(),
        usual: match units {
            Units::Metric => "2 cm",
            Units::Inch => "3/4 in",
        },
        about: typed::header_length(),
    }
}

fn loom(plan: &Plan) -> LoomJson {
    let loom = &plan.loom;
    loom_json(&LoomKeys {
        name: loom.name.clone(),
        notches: Some(loom.notches),
        pitch: Some(loom.pitch.clone()),
        turn_to_turn: Some(loom.turn_to_turn.clone()),
        clear_height: Some(loom.clear_height.clone()),
        out_of_reach: loom.out_of_reach.clone(),
        notch_width: loom.notch_width.clone(),
        notch_depth: loom.notch_depth.clone(),
        strands: Some(loom.strands),
        strands_act: Some(loom.strands_act),
    })
}

fn warp(plan: &Plan, study: &Study) -> WarpKeys {
    let name = |yarn: fellmark_core::plan::YarnId| plan.yarns[yarn.0].name.clone();
    let mut yarns: Vec<String> = Vec::new();
    for run in &plan.warp.order {
        if !yarns.contains(&name(run.yarn)) {
            yarns.push(name(run.yarn));
        }
    }
    let (ends, most) = (study.piece.end_count(), plan.loom.most_ends());
    let repeat = study.piece.repeat_ends().filter(|&repeat| repeat > 1);
    WarpKeys {
        ends,
        width: match &plan.warp.ends {
            EndsWanted::Count(_) => None,
            EndsWanted::Width(width) => Some(width.typed.clone()),
        },
        order: plan.warp.order.iter().map(|run| format!("{} {}", run.ends, name(run.yarn))).collect(),
        yarns,
        repeat: study.piece.repeat_ends(),
        repeat_fewer: repeat.and_then(|repeat| ends.checked_sub(repeat).filter(|&left| left >= repeat)),
        repeat_more: repeat.map(|repeat| ends.saturating_add(repeat)).filter(|&more| more <= most),
        path: plan.warp.path.word(),
        most,
    }
}

/// Of so many yarns each is told what it may be taken in place of, and of each so much: a plan with more is no longer
/// changed yarn by yarn.
const MOST_OFFERED: usize = 40;

fn yarns(plan: &Plan, study: &Study, units: Units) -> Vec<YarnKeys> {
    let mut woven: Vec<BandId> = study.piece.places.iter().map(|place| place.band).collect();
    woven.sort_unstable();
    woven.dedup();
    let keys = |(k, uses): (usize, YarnUses)| {
        let yarn = &plan.yarns[k];
        YarnKeys {
            name: yarn.name.clone(),
            size: yarn.size.typed.clone(),
            fibre: yarn.fibre.name(),
            known: Known::of(yarn).iter().map(|one| known(one, yarn, units)).collect(),
            all_known: say::all_known(yarn),
            used: say::yarn_used(plan, &uses),
            unused: uses.is_none(),
            instead: if plan.yarns.len() <= MOST_OFFERED {
                instead(plan, &woven, YarnId(k))
            } else {
                Vec::new()
            },
        }
    };
    plan.uses().into_iter().enumerate().map(keys).collect()
}

fn known(one: &Known, yarn: &Yarn, units: Units) -> KnownJson {
    let asked = say::known(one, yarn.fibre, units);
    KnownJson { key: one.key(), words: asked.words, typed: one.typed().map(str::to_owned), hint: asked.hint }
}

/// What a yarn may be taken in place of: of other yarns in the warp, and of other wefts in bands that have rows.
fn instead(plan: &Plan, woven: &[BandId], id: YarnId) -> Vec<OfferJson> {
    let name = &plan.yarns[id.0].name;
    let mut all = Vec::new();
    let mut met: Vec<YarnId> = vec![id];
    for run in &plan.warp.order {
        if !met.contains(&run.yarn) {
            met.push(run.yarn);
            let other = &plan.yarns[run.yarn.0].name;
            let edit = EditJson::WarpYarn { yarn: other.clone(), to: name.clone() };
            all.push(OfferJson { words: say::yarn_in(other, None), edit });
        }
    }
    // Its needle, or its name, which becomes one: unless that is a needle with another yarn.
    let needle = plan.wefts.iter().find(|weft| weft.yarn == id).map_or(name, |weft| &weft.name);
    if plan.wefts.iter().any(|weft| weft.name == *needle && weft.yarn != id) {
        return all;
    }
    for &band in woven {
        let wefts = wefts(plan, band);
        let band = &plan.bands[band.0];
        if all.len() >= MOST_OFFERED {
            break;
        }
        // With one yarn for both of its wefts a band would be another.
        if wefts.iter().any(|weft| plan.wefts[weft.0].yarn == id) {
            continue;
        }
        let mut met: Vec<WeftId> = Vec::new();
        for &weft in &wefts {
            if met.contains(&weft) {
                continue;
            }
            met.push(weft);
            let named =
                |other: &WeftId| if *other == weft { needle } else { &plan.wefts[other.0].name }.clone();
            let edit =
                EditJson::BandWefts { band: band.name.clone(), wefts: wefts.iter().map(named).collect() };
            all.push(OfferJson { words: say::yarn_in(&plan.wefts[weft.0].name, Some(&band.name)), edit });
        }
    }
    all
}

/// The wefts of a band, its own or those of the band it is like, before they are exchanged.
fn wefts(plan: &Plan, band: BandId) -> Vec<WeftId> {
    match (&plan.bands[band.0].wefts, &plan.bands[band.0].source) {
        (None, Source::Like(other)) => plan.wefts_in_turn(*other),
        (own, _) => own.clone().unwrap_or_default(),
    }
}

fn needle(name: &str, yarn: &Yarn, weft: Option<&Weft>) -> NeedleJson {
    NeedleJson {
        name: name.to_owned(),
        yarn: yarn.name.clone(),
        colour: yarn.colour.to_string(),
        doubled: weft.map(|weft| weft.doubled),
        from: weft.map(|weft| weft.from.word()),
        idle: false,
    }
}

fn band(plan: &Plan, study: &Study, id: BandId) -> BandJson {
    let here = &plan.bands[id.0];
    let place = study.piece.places.iter().find(|place| place.band == id);
    let places = place.map_or(0, |place| place.nth.1);
    let extent = plan.extent_of(id);
    let flag = |flag: Flag| (here.flag(flag) || plan.takes_flag(id, flag)).then_some(here.flag(flag));
    let written = matches!(here.source, Source::Written(_));
    let many = |band: &Band| band.touched.len() >= MANY_TOUCHES && !matches!(band.source, Source::Written(_));
    let much_touched = many(here)
        && plan.bands[..id.0].iter().filter(|band| many(band)).take(MOST_TRIED).count() < MOST_TRIED
        && Edit::WriteOut(id).changes(plan).is_ok();
    BandJson {
        name: here.name.clone(),
        words: say::woven(plan, id),
        weave: weave_of(plan, id).map(WeaveJson::of),
        wefts: wefts(plan, id).iter().map(|weft| plan.wefts[weft.0].name.clone()).collect(),
        rows: place.map_or(0, |place| place.rows),
        turn: plan.rows_in_turn(id),
        length: match extent {
            Some(Extent::Length(length)) => Some(length.typed.clone()),
            _ => None,
        },
        fills: extent == Some(&Extent::Fill),
        beat: here.beat.as_ref().map(|beat| beat.typed.clone()),
        beat_else: say::beat_elsewhere(plan, id),
        start: here.start.map(std::num::NonZeroU32::get),
        edges: plan.edges_of(id).unwrap_or(plan.edges).word(),
        edges_own: here.edges.is_some(),
        edges_else: say::edges_elsewhere(plan, id),
        repeat_ends: place.and_then(|place| place.repeat).map(|(ends, _)| ends),
        repeat_rows: place.and_then(|place| place.repeat).map(|(_, rows)| rows),
        places,
        everywhere: say::everywhere(places),
        written,
        write_out: (!written).then(|| say::written_out(much_touched.then_some(here.touched.len() as u32))),
        much_touched,
        exchanged: flag(Flag::Exchanged),
        mirrored: flag(Flag::Mirrored),
        over_for_under: flag(Flag::OverForUnder),
    }
}

fn weave_of(plan: &Plan, band: BandId) -> Option<&Weave> {
    match &plan.bands[band.0].source {
        Source::Weave(weave) => Some(weave),
        Source::Like(other) => weave_of(plan, *other),
        Source::Written(_) | Source::Parts(_) => None,
    }
}

fn stack(plan: &Plan, study: &Study) -> Vec<EntryJson> {
    let mut lines = entries(plan, StackList::Piece, &plan.stack, &[]);
    let woven: Vec<bool> = (0..plan.bands.len())
        .map(|band| study.piece.places.iter().any(|place| place.band == BandId(band)))
        .collect();
    let mut place = 0;
    count(&plan.stack, &mut lines, plan, &woven, &mut place);
    gather(&mut lines);
    lines
}

fn entries(plan: &Plan, list: StackList, held: &[StackEntry], above: &[usize]) -> Vec<EntryJson> {
    let sequence = match list {
        StackList::Piece => None,
        StackList::Sequence(SequenceId(id)) => plan.sequences.get(id).map(|sequence| sequence.name.clone()),
    };
    let line = |(at, entry): (usize, &StackEntry)| {
        let path: Vec<usize> = above.iter().copied().chain([at]).collect();
        let (kind, times, inner) = match entry {
            StackEntry::Band(_) => ("band", None, Vec::new()),
            StackEntry::Sequence(id) => {
                let held = plan.sequences.get(id.0).map_or(&[][..], |sequence| &sequence.entries);
                ("sequence", None, entries(plan, StackList::Sequence(*id), held, &[]))
            }
            StackEntry::Group { times, entries: held } => {
                ("repeat", Some(*times), entries(plan, list, held, &path))
            }
        };
        EntryJson {
            sequence: sequence.clone(),
            at: path_json(&path),
            kind,
            words: say::called(entry, plan),
            times,
            places: Vec::new(),
            up: raised(plan, list, &path).as_deref().map(path_json),
            above: path_json(&above.iter().copied().chain([at + 1]).collect::<Vec<_>>()),
            down: lowered(plan, list, &path).as_deref().map(path_json),
            alone: held.len() == 1,
            entries: inner,
        }
    };
    held.iter().enumerate().map(line).collect()
}

/// Numbers the places of bands as they come, from 1; a band that has no rows has none.
fn count(held: &[StackEntry], lines: &mut [EntryJson], plan: &Plan, woven: &[bool], place: &mut u32) {
    for (entry, line) in held.iter().zip(lines) {
        match entry {
            StackEntry::Band(band) if woven.get(band.0) == Some(&true) => {
                *place += 1;
                line.places.push(*place);
            }
            StackEntry::Band(_) => {}
            StackEntry::Sequence(id) => {
                if let Some(sequence) = plan.sequences.get(id.0) {
                    count(&sequence.entries, &mut line.entries, plan, woven, place);
                }
            }
            StackEntry::Group { times, entries } => {
                for _ in 0..*times {
                    count(entries, &mut line.entries, plan, woven, place);
                }
            }
        }
    }
}

/// A repeat or a sequence stands for the places of what it holds.
fn gather(lines: &mut [EntryJson]) {
    for line in lines.iter_mut().filter(|line| line.kind != "band") {
        gather(&mut line.entries);
        line.places = line.entries.iter().flat_map(|inner| inner.places.iter().copied()).collect();
        line.places.sort_unstable();
    }
}
