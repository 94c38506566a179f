//! The rows, each with its steps and its turn.

use crate::EditJson;
use crate::common::{EstimateJson, PlanJson, SCHEMA, letters_on, rounded};
use fellmark_core::piece::Piece;
use fellmark_core::ruler::{Choice, choices};
use fellmark_core::say::{self, Units};
use fellmark_core::side::Pass;
use fellmark_core::study::Study;
use fellmark_core::walk::{Goes, Grip, Hold, Room, Step, Turn, TurnState};
use fellmark_core::weave::Run;
use serde::Serialize;
use std::ops::RangeInclusive;

/// What `rows --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct Rows {
    /// The version of this object.
    pub schema: u32,
    /// The plan.
    pub plan: PlanJson,
    /// The rows, in the order in which they are woven.
    pub rows: Vec<RowJson>,
}

/// One row.
#[derive(Debug, Clone, Serialize)]
pub struct RowJson {
    /// Its number from the bottom.
    pub number: u32,
    /// Its band.
    pub band: String,
    /// Its number within the band.
    pub band_row: u32,
    /// The weft that weaves it.
    pub weft: String,
    /// The yarn on that needle.
    pub yarn: String,
    /// The side its needle starts from.
    pub from: &'static str,
    /// First and last end that it is woven over.
    pub ends: [u32; 2],
    /// Over and under, in the direction of travel.
    pub runs: Vec<RunJson>,
    /// The same runs in the groups in which the words say them.
    pub phrases: Vec<PhraseJson>,
    /// How often the needle dips under.
    pub strokes: u32,
    /// The ends that it covers in words, "ends 10 to 20"; null where it covers all.
    pub over_ends: Option<String>,
    /// From where its needle comes, with those ends, in words.
    pub comes: String,
    /// The row in words.
    pub words: String,
    /// How it is taken out again.
    pub unpick: String,
    /// What to do before it.
    pub before: Vec<StepJson>,
    /// What to do after it.
    pub after: Vec<StepJson>,
    /// The turn that it completes.
    pub turn: Option<TurnJson>,
    /// Every end from left to right, seen from the front: `o` over, `u` under, `.` not woven in this row.
    pub crossings: String,
}

/// Neighbouring ends that are passed alike.
#[derive(Debug, Clone, Serialize)]
pub struct RunJson {
    /// `over` or `under`.
    pub pass: &'static str,
    /// How many ends.
    pub ends: u32,
}

/// A group of runs, and how often it is woven.
#[derive(Debug, Clone, Serialize)]
pub struct PhraseJson {
    /// The group, once.
    pub runs: Vec<RunJson>,
    /// How often.
    pub times: u32,
    /// The same in words; null for a run that is woven once.
    pub times_words: Option<String>,
}

/// One thing to do.
#[derive(Debug, Clone, Serialize)]
pub struct StepJson {
    /// What is to be done: `do`, and its facts.
    #[serde(flatten)]
    pub step: DoJson,
    /// Whether it is done so often that it need not be said each time.
    pub routine: bool,
    /// The same in words.
    pub words: String,
}

/// A step's facts.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "do", rename_all = "snake_case")]
pub enum DoJson {
    /// Measure the width of the cloth at the fell, and its height.
    Measure {
        /// How wide it should be there.
        width_mm: EstimateJson,
        /// How high the fell should stand above the foot of row 1.
        height_mm: EstimateJson,
        /// How high a needle reaches, where the fell may stand higher; else null.
        reach_mm: Option<f64>,
        /// What to do from there on where it is narrower, in words.
        if_narrower: &'static str,
        /// What to do where it is wider, in words.
        if_wider: &'static str,
        /// What to do where it is lower, in words.
        if_lower: &'static str,
        /// What to do where it is higher, in words.
        if_higher: &'static str,
    },
    /// Measure what is open up to the far bar.
    Room {
        /// The band whose number of rows says whether that is enough.
        band: String,
        /// Rows of it that are still to come.
        rows_to_come: u32,
        /// What is needed for those and all that follows, with what a needle can't reach.
        needed_mm: EstimateJson,
        /// What of that must be left above them.
        left_mm: EstimateJson,
        /// What to do where less is open, in words.
        if_less: String,
        /// What to do where more is open, in words.
        if_more: String,
        /// The numbers of rows there are to choose from, fewest first.
        choices: Vec<RoomChoiceJson>,
    },
    /// Look at what is left of a yarn before a needleful is cut.
    Scarce {
        /// The yarn.
        yarn: String,
        /// The row in which it runs out, or may; null where the warp takes more than there is.
        row: Option<u32>,
        /// Whether it surely does.
        surely: bool,
        /// Whether the needleful that is cut now is the last there is yarn for.
        last: bool,
    },
    /// Put the header in.
    Header {
        /// How much of the warp it takes.
        length_mm: f64,
        /// The waste yarn that it is woven with; null: it is a strip of card.
        yarn: Option<String>,
        /// Its colour.
        colour: Option<String>,
        /// What letters on it are read best in: `ink` or `paper`.
        letters: Option<&'static str>,
        /// How many rows of it.
        rows: Option<u32>,
    },
    /// Take the header out.
    HeaderOut,
    /// Begin a yarn.
    Begin {
        /// The weft.
        weft: String,
        /// Where.
        side: &'static str,
        /// The first end that it passes.
        end: u32,
        /// The tail to leave.
        tail_mm: f64,
        /// The same in words.
        tail_words: String,
        /// How long it is cut for the needle; of a weft that lies doubled, of the doubled yarn.
        cut_mm: Option<f64>,
        /// What else there is to know, before the first row.
        more: &'static [&'static str],
    },
    /// Join another length to the needle's yarn in the row that comes next.
    Join {
        /// The weft.
        weft: String,
        /// How long the new one is cut, as above.
        cut_mm: f64,
        /// First and last end over which both lie.
        ends: [u32; 2],
    },
    /// Take the weft round another.
    Cross {
        /// The weft whose row comes next.
        weft: String,
        /// `under` or `over` the other.
        pass: &'static str,
        /// The other.
        other: String,
        /// What of the other: `yarn`, `starting_tail` or `ending_tail`.
        grip: &'static str,
        /// That in words: "foam", "the starting tail of foam".
        other_words: String,
        /// Where the other's yarn goes from there: `waits` (its needle waits there), `turns` (into another row) or
        /// `ends` (a tail).
        other_goes: &'static str,
        /// Where.
        side: &'static str,
        /// The edge end.
        end: u32,
        /// Whether the weft lies `over` or `under` the edge end, in its last row and in the one that comes next.
        lies: &'static str,
        /// Whether the other does.
        other_lies: &'static str,
        /// The weft's last row.
        since_row: u32,
        /// The other's row whose yarn is at the edge.
        other_row: u32,
    },
    /// Take up a weft that has waited.
    Carry {
        /// The weft.
        weft: String,
        /// Where.
        side: &'static str,
        /// The end at which it waited.
        end: u32,
        /// The weft's last row.
        since_row: u32,
        /// Rows woven meanwhile over the edge end.
        past_rows: u32,
        /// How far up.
        up_mm: f64,
    },
    /// Lead the weft in front of ends that only one of its two rows covers.
    Lead {
        /// The weft.
        weft: String,
        /// First and last of the ends.
        ends: [u32; 2],
    },
    /// Lay it in as a hill.
    Hill,
    /// From this row on rows are combed down otherwise than before.
    Beat {
        /// How far apart rows are to lie from here on; null: as close as they come.
        apart_mm: Option<f64>,
        /// The same in words.
        apart_words: Option<String>,
    },
    /// Comb it down.
    Comb {
        /// How far it stays from the row below; null: as close as it comes.
        apart_mm: Option<f64>,
    },
    /// Cut it and leave a tail.
    Cut {
        /// The weft.
        weft: String,
        /// Where.
        side: &'static str,
        /// The last end that it passes.
        end: u32,
        /// The tail to leave.
        tail_mm: f64,
        /// The same in words.
        tail_words: String,
    },
}

/// A number of rows, for what is open up to the far bar.
#[derive(Debug, Clone, Serialize)]
pub struct RoomChoiceJson {
    /// How many rows of the band.
    pub rows: u32,
    /// How much must be open for them, at the least.
    pub open_mm: f64,
    /// Whether it is the number that the plan comes to.
    pub now: bool,
    /// The edit that makes it so.
    pub edit: EditJson,
    /// Both in words.
    pub words: String,
}

/// A turn.
#[derive(Debug, Clone, Serialize)]
pub struct TurnJson {
    /// Where.
    pub side: &'static str,
    /// The edge end it turns round.
    pub end: u32,
    /// The row that led to it.
    pub since_row: u32,
    /// `caught`, `loose_at_edge` or `loose_everywhere`.
    pub state: &'static str,
    /// The end to which a loop that is loose at the edge slips.
    pub slips_to: Option<u32>,
    /// What holds a loose turn.
    pub held_by: Option<HoldJson>,
}

/// What holds a turn.
#[derive(Debug, Clone, Serialize)]
pub struct HoldJson {
    /// The row in which the holding weft came out at this edge or went in.
    pub row: u32,
    /// The weft that holds.
    pub weft: String,
    /// `in_front` of the turn or `behind` it.
    pub pass: &'static str,
    /// What of it holds: `yarn`, `starting_tail` or `ending_tail`.
    pub grip: &'static str,
}

/// The rows of a study whose numbers (from 1) lie in the range.
#[must_use]
pub fn rows(study: &Study, range: RangeInclusive<u32>, units: Units) -> Rows {
    let piece = &study.piece;
    let rows = (0..piece.row_count()).filter(|row| range.contains(&(row + 1)));
    Rows {
        schema: SCHEMA,
        plan: PlanJson::of(piece),
        rows: rows.map(|row| self::row(study, row, units)).collect(),
    }
}

/// One row, counted from 0.
#[must_use]
pub fn row(study: &Study, row: u32, units: Units) -> RowJson {
    let (piece, walk) = (&study.piece, &study.walk.rows[row as usize]);
    let this = piece.row(row);
    let crossings = piece.crossings(row);
    let runs: Vec<Run> = crossings.runs(this.from).collect();
    let steps = |steps: &[Step]| steps.iter().map(|step| of_step(step, row, study, units)).collect();
    RowJson {
        number: row + 1,
        band: piece.place_of(row).name.clone(),
        band_row: this.band_row + 1,
        weft: piece.wefts[this.weft.0].name.clone(),
        yarn: piece.yarn_of(this.weft).name.clone(),
        from: say::side(this.from),
        ends: [crossings.span().first() + 1, crossings.span().last() + 1],
        strokes: walk.strokes,
        over_ends: say::over_ends(piece, crossings.span()),
        comes: say::comes_from(piece, this.from, crossings.span()),
        words: say::row_words(&runs),
        unpick: say::unpick_words(&runs, this.from),
        runs: runs.iter().map(of_run).collect(),
        phrases: say::row_phrases(&runs).into_iter().map(of_phrase).collect(),
        before: steps(&walk.before),
        after: steps(&walk.after),
        turn: walk.turn.as_ref().map(|turn| of_turn(turn, piece)),
        crossings: (0..piece.end_count())
            .map(|end| match crossings.pass(end) {
                Some(Pass::Over) => 'o',
                Some(Pass::Under) => 'u',
                None => '.',
            })
            .collect(),
    }
}

fn grip(grip: Grip) -> &'static str {
    match grip {
        Grip::Yarn => "yarn",
        Grip::StartingTail => "starting_tail",
        Grip::EndingTail => "ending_tail",
    }
}

fn of_run(run: &Run) -> RunJson {
    RunJson { pass: say::pass(run.pass), ends: run.ends }
}

fn of_phrase(phrase: say::RowPhrase<'_>) -> PhraseJson {
    PhraseJson {
        runs: phrase.runs.iter().map(of_run).collect(),
        times: phrase.times,
        times_words: phrase.times_words,
    }
}

fn of_step(step: &Step, row: u32, study: &Study, units: Units) -> StepJson {
    let piece = &study.piece;
    // What is crossed or taken up before a row is what turns there.
    let turn = study.walk.rows[row as usize].turn.as_ref();
    let since_row = turn.map_or(row, |turn| turn.since + 1);
    let weft = |weft: fellmark_core::plan::WeftId| piece.wefts[weft.0].name.clone();
    let (routine, words) = (step.is_routine(), say::step(step, piece, units));
    let step = match *step {
        Step::Header { length, woven } => DoJson::Header {
            length_mm: rounded(length.mm()),
            yarn: woven.map(|(yarn, _)| piece.yarns[yarn.0].name.clone()),
            colour: woven.map(|(yarn, _)| piece.yarns[yarn.0].colour.to_string()),
            letters: woven.map(|(yarn, _)| letters_on(piece.yarns[yarn.0].colour)),
            rows: woven.map(|(_, rows)| rows),
        },
        Step::HeaderOut => DoJson::HeaderOut,
        Step::Measure { width, height, reach } => {
            let ([if_narrower, if_wider], [if_lower, if_higher]) = (say::off_width(), say::off_height());
            DoJson::Measure {
                width_mm: EstimateJson::mm(width),
                height_mm: EstimateJson::mm(height),
                reach_mm: reach.map(|reach| rounded(reach.mm())),
                if_narrower,
                if_wider,
                if_lower,
                if_higher,
            }
        }
        Step::Room(ref room) => of_room(room, piece, units),
        Step::Scarce { yarn, row, surely, last } => DoJson::Scarce {
            yarn: piece.yarns[yarn.0].name.clone(),
            row: row.map(|row| row + 1),
            surely,
            last,
        },
        Step::Begin { weft: w, side, end, tail, cut } => DoJson::Begin {
            weft: weft(w),
            side: say::side(side),
            end: end + 1,
            tail_mm: rounded(tail.mm()),
            tail_words: say::length(tail, units),
            cut_mm: cut.map(|cut| rounded(cut.mm())),
            more: if row == 0 { &say::FIRST_MET } else { &[] },
        },
        Step::Join { weft: w, cut, ends } => DoJson::Join {
            weft: weft(w),
            cut_mm: rounded(cut.mm()),
            ends: [ends.first() + 1, ends.last() + 1],
        },
        Step::Cross { weft: w, pass, other, grip: g, side, end } => {
            let other_row = turn.and_then(|turn| turn.held).map_or(row, |hold| hold.row);
            let lies = turn.map_or(piece.leads, |turn| turn.lies(piece));
            DoJson::Cross {
                weft: weft(w),
                pass: say::pass(pass),
                other: weft(other),
                grip: grip(g),
                other_words: say::gripped(piece, other, g),
                other_goes: match study.walk.goes(&study.piece, other_row, g, side, row) {
                    Goes::Ends => "ends",
                    Goes::Waits => "waits",
                    Goes::Turns => "turns",
                },
                side: say::side(side),
                end: end + 1,
                lies: say::pass(lies),
                other_lies: say::pass(lies.opposite()),
                since_row,
                other_row: other_row + 1,
            }
        }
        Step::Carry { weft: w, side, end, past, up } => DoJson::Carry {
            weft: weft(w),
            side: say::side(side),
            end: end + 1,
            since_row,
            past_rows: past,
            up_mm: rounded(up.mm()),
        },
        Step::Lead { weft: w, ends } => {
            DoJson::Lead { weft: weft(w), ends: [ends.first() + 1, ends.last() + 1] }
        }
        Step::Hill => DoJson::Hill,
        Step::Beat { apart } => DoJson::Beat {
            apart_mm: apart.map(|apart| rounded(apart.mm())),
            apart_words: apart.map(|apart| say::length(apart, units)),
        },
        Step::Comb { apart } => DoJson::Comb { apart_mm: apart.map(|apart| rounded(apart.mm())) },
        Step::Cut { weft: w, side, end, tail } => {
            let (tail_mm, tail_words) = (rounded(tail.mm()), say::length(tail, units));
            DoJson::Cut { weft: weft(w), side: say::side(side), end: end + 1, tail_mm, tail_words }
        }
    };
    StepJson { step, routine, words }
}

fn of_room(room: &Room, piece: &Piece, units: Units) -> DoJson {
    let place = &piece.places[room.place.0];
    let choice = |choice: Choice| RoomChoiceJson {
        rows: choice.rows,
        open_mm: rounded(choice.open.mm()),
        now: choice.rows == place.rows,
        edit: EditJson::BandRows { band: place.name.clone(), rows: choice.rows },
        words: say::room_choice(&choice, room, piece, units),
    };
    let [if_less, if_more] = say::other_room(room, piece, units);
    DoJson::Room {
        band: place.name.clone(),
        rows_to_come: room.to_come,
        needed_mm: EstimateJson::mm(room.needed),
        left_mm: EstimateJson::mm(room.left),
        if_less,
        if_more,
        choices: choices(room, piece).into_iter().map(choice).collect(),
    }
}

fn of_turn(turn: &Turn, piece: &Piece) -> TurnJson {
    let (state, slips_to) = match turn.state {
        TurnState::Caught => ("caught", None),
        TurnState::LooseAtEdge { slips_to } => ("loose_at_edge", Some(slips_to + 1)),
        TurnState::LooseEverywhere => ("loose_everywhere", None),
    };
    TurnJson {
        side: say::side(turn.side),
        end: turn.end + 1,
        since_row: turn.since + 1,
        state,
        slips_to,
        held_by: turn.held.map(|Hold { row, weft, pass, grip: g, .. }| HoldJson {
            row: row + 1,
            weft: piece.wefts[weft.0].name.clone(),
            pass: if pass.is_over() { "in_front" } else { "behind" },
            grip: grip(g),
        }),
    }
}

/// The same rows as comma-separated values (RFC 4180), one line each under a line of names.
#[must_use]
pub fn rows_csv(rows: &Rows) -> String {
    let mut text =
        String::from("number,band,weft,yarn,from,first_end,last_end,before,words,after,crossings\r\n");
    for row in &rows.rows {
        let steps =
            |steps: &[StepJson]| steps.iter().map(|step| step.words.as_str()).collect::<Vec<_>>().join("; ");
        let fields = [
            row.number.to_string(),
            row.band.clone(),
            row.weft.clone(),
            row.yarn.clone(),
            row.from.to_owned(),
            row.ends[0].to_string(),
            row.ends[1].to_string(),
            steps(&row.before),
            row.words.clone(),
            steps(&row.after),
            row.crossings.clone(),
        ];
        let fields: Vec<String> = fields.iter().map(|field| quoted(field)).collect();
        text.push_str(&fields.join(","));
        text.push_str("\r\n");
    }
    text
}

fn quoted(field: &str) -> String {
    if field.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    }
}
