//! What was asked, what follows, and what there is to find.

use crate::cloth::ClothJson;
use crate::common::{EstimateJson, PlaceJson, PlanJson, SCHEMA, band_name, rounded};
use crate::edit::EditJson;
use fellmark_core::cloth::measures::measures;
use fellmark_core::colour::Likeness;
use fellmark_core::hang::{self, Layers};
use fellmark_core::need;
use fellmark_core::piece::Piece;
use fellmark_core::plan::{Edit, Plan};
use fellmark_core::remedy::Trials;
use fellmark_core::say::{self, Mark, Text, Units};
use fellmark_core::side::Surface;
use fellmark_core::sound::floats::{self, Float, Floats};
use fellmark_core::sound::{Finding, Kind, Severity, Unlike, to_mend};
use fellmark_core::study::Study;
use fellmark_core::walk::TurnState;
use fellmark_core::warp;
use serde::Serialize;
use serde_json::{Value, json};

/// What `check --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct Check {
    /// The sentences, and what there is to find.
    #[serde(flatten)]
    pub told: Told,
    /// The floats of all four kinds.
    pub floats: FloatsJson,
    /// The layers of the cloth, each row and end a strand of its own, from the front to the back.
    pub layers: Vec<LayerJson>,
    /// How many crossings must be turned, at the least, so that it falls into layers, each row and end taken as a strand of
    /// its own: 0 if it does already; null unless every row covers every end.
    pub firmness: Option<u64>,
    /// The turns.
    pub turns: TurnsJson,
    /// How the rows lie.
    pub cloth: ClothJson,
}

/// What is told of a piece in words, and what there is to find.
#[derive(Debug, Clone, Serialize)]
pub struct Told {
    /// The version of this object.
    pub schema: u32,
    /// The plan.
    pub plan: PlanJson,
    /// What was asked, in a sentence.
    pub asked: String,
    /// What follows, in a sentence or two.
    pub follows: String,
    /// `asked` in parts, those that are about something marked.
    pub asked_parts: Vec<PartJson>,
    /// `follows` in parts, those that are about something marked.
    pub follows_parts: Vec<PartJson>,
    /// What the figures of `follows` are made of.
    pub why: WhyJson,
    /// What became of lengths, fills and starts.
    pub resolved: Vec<String>,
    /// How much of what there is to find must be mended.
    pub to_mend: usize,
    /// What there is to find, what matters most first.
    pub findings: Vec<FindingJson>,
    /// The usual caution, where what it is for touches one.
    pub caution: Option<&'static str>,
}

/// A part of a sentence.
#[derive(Debug, Clone, Serialize)]
pub struct PartJson {
    /// The words, with the spaces and signs between them and the next part.
    pub words: String,
    /// What they are about: `purpose`, `loom`, `ends`, `yarn`, `holds`, `size`, `need` or null.
    pub about: Option<&'static str>,
    /// The yarn's name, of a `yarn`.
    pub yarn: Option<String>,
}

/// What the figures of the second sentence are made of, some sentences each.
#[derive(Debug, Clone, Serialize)]
pub struct WhyJson {
    /// Whether it holds.
    pub holds: Vec<String>,
    /// How large it will be.
    pub size: Vec<String>,
    /// What it takes of each yarn.
    pub need: Vec<String>,
}

/// A finding.
#[derive(Debug, Clone, Serialize)]
pub struct FindingJson {
    /// Its stable name.
    pub kind: &'static str,
    /// `error`, `warning` or `note`.
    pub severity: &'static str,
    /// What that means, in words.
    pub weight: &'static str,
    /// Where.
    pub place: PlaceJson,
    /// In words.
    pub words: String,
    /// Its facts: fields by kind.
    pub facts: Value,
    /// What takes it away, each tried out; missing where that is asked for by itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedies: Option<Vec<RemedyJson>>,
}

/// A remedy.
#[derive(Debug, Clone, Serialize)]
pub struct RemedyJson {
    /// Its number for `check --apply`, counted over all findings.
    pub number: u32,
    /// In words.
    pub words: String,
    /// The edit.
    pub edit: EditJson,
}

/// The floats of all four kinds.
#[derive(Debug, Clone, Serialize)]
pub struct FloatsJson {
    /// The longest that does for this purpose.
    pub advice_mm: f64,
    /// Weft over ends.
    pub weft_front: KindJson,
    /// Weft under ends.
    pub weft_back: KindJson,
    /// Warp over rows.
    pub warp_front: KindJson,
    /// Warp under rows.
    pub warp_back: KindJson,
}

/// The floats of one kind. `longest_ends` counts the neighbours that the longest passes: ends for weft
/// floats, rows for warp floats.
#[derive(Debug, Clone, Serialize)]
pub struct KindJson {
    /// Neighbours that the longest passes.
    pub longest_ends: u32,
    /// Its length.
    pub longest_mm: f64,
    /// How many floats there are.
    pub count: u32,
    /// How many are longer than advised.
    pub too_long: u32,
    /// The longest few.
    pub worst: Vec<FloatJson>,
}

/// A float.
#[derive(Debug, Clone, Serialize)]
pub struct FloatJson {
    /// First and last row.
    pub rows: [u32; 2],
    /// First and last end.
    pub ends: [u32; 2],
    /// Neighbours that it passes.
    pub count: u32,
    /// Its length.
    pub length_mm: f64,
    /// Whether it goes round the edge through a turn that nothing holds.
    pub round_edge: bool,
}

/// A layer of the cloth.
#[derive(Debug, Clone, Serialize)]
pub struct LayerJson {
    /// Its ends.
    pub ends: Vec<u32>,
    /// Its rows.
    pub rows: Vec<u32>,
}

/// How many turns there are of each kind.
#[derive(Debug, Clone, Default, Serialize)]
pub struct TurnsJson {
    /// They wrap the edge end.
    pub caught: u32,
    /// They slip in some way, by themselves.
    pub loose_at_edge: u32,
    /// By themselves the row comes out.
    pub loose_everywhere: u32,
    /// Loose ones that something holds.
    pub held: u32,
}

/// A study as `check` tells it. `plan` is what it was made from.
#[must_use]
pub fn check(plan: &Plan, study: &Study, units: Units) -> Check {
    let Study { piece, walk, .. } = study;
    let list = floats::list(piece, walk, &study.habits);
    let mut told = told(study, units);
    for (finding, remedies) in told.findings.iter_mut().zip(remedies(plan, study)) {
        finding.remedies = Some(remedies);
    }
    Check {
        told,
        floats: FloatsJson {
            advice_mm: rounded(floats::advice(piece).mm()),
            weft_front: of_floats(&list.weft_front),
            weft_back: of_floats(&list.weft_back),
            warp_front: of_floats(&list.warp_front),
            warp_back: of_floats(&list.warp_back),
        },
        layers: of_layers(&hang::layers(&piece.grid)),
        firmness: hang::firmness(&piece.grid),
        turns: turns(study),
        cloth: ClothJson::of(study),
    }
}

/// What is told of a study, without what takes the findings away: to try that out takes about as long as the study.
#[must_use]
pub fn told(study: &Study, units: Units) -> Told {
    let Study { piece, walk, need, size, findings, habits, .. } = study;
    let (asked, follows) = (say::asked(piece, units), say::follows(piece, walk, findings, need, size, units));
    Told {
        schema: SCHEMA,
        plan: PlanJson::of(piece),
        asked: asked.to_string(),
        follows: follows.to_string(),
        asked_parts: of_text(asked, piece),
        follows_parts: of_text(follows, piece),
        why: WhyJson {
            holds: say::holds_because(piece, walk, findings),
            size: say::size_because(
                size,
                piece,
                need::weight(piece, need, size, habits).as_ref(),
                measures(piece, &study.cloth, size, habits).as_ref(),
                habits,
                warp::unwoven(piece, habits, size.on_loom.length),
                units,
            ),
            need: say::need_because(need, piece, units),
        },
        resolved: piece.resolved.iter().filter_map(|known| say::resolved(known, piece, units)).collect(),
        to_mend: to_mend(findings).count(),
        findings: findings.iter().map(|finding| of_finding(piece, finding, units)).collect(),
        caution: say::caution(piece.purpose),
    }
}

/// What takes each finding of a study away, in the order in which they are told. What takes several away has one number.
#[must_use]
pub fn remedies(plan: &Plan, study: &Study) -> Vec<Vec<RemedyJson>> {
    let mut told: Vec<RemedyJson> = Vec::new();
    let mut remedy = |edit: Edit| {
        let json = EditJson::of(&edit, plan);
        if let Some(same) = told.iter().find(|remedy| remedy.edit == json) {
            return same.clone();
        }
        let number = told.len() as u32 + 1;
        told.push(RemedyJson { number, words: say::edit(&edit, plan), edit: json });
        told[number as usize - 1].clone()
    };
    let mut trials = Trials::new(plan, study);
    let of = |finding| trials.remedies(finding).into_iter().map(&mut remedy).collect();
    study.findings.iter().map(of).collect()
}

fn of_text(text: Text, piece: &Piece) -> Vec<PartJson> {
    let part = |(words, mark)| PartJson {
        words,
        about: match mark {
            None => None,
            Some(Mark::Purpose) => Some("purpose"),
            Some(Mark::Loom) => Some("loom"),
            Some(Mark::Ends) => Some("ends"),
            Some(Mark::Header) => Some("header"),
            Some(Mark::Yarn(_)) => Some("yarn"),
            Some(Mark::Holds) => Some("holds"),
            Some(Mark::Size) => Some("size"),
            Some(Mark::Need) => Some("need"),
        },
        yarn: match mark {
            Some(Mark::Yarn(yarn)) => Some(piece.yarns[yarn.0].name.clone()),
            _ => None,
        },
    };
    text.parts.into_iter().map(part).collect()
}

fn turns(study: &Study) -> TurnsJson {
    let mut turns = TurnsJson::default();
    for turn in study.walk.turns() {
        match turn.state {
            TurnState::Caught => turns.caught += 1,
            TurnState::LooseAtEdge { .. } => turns.loose_at_edge += 1,
            TurnState::LooseEverywhere => turns.loose_everywhere += 1,
        }
        turns.held += u32::from(turn.held.is_some());
    }
    turns
}

fn of_layers(layers: &Layers) -> Vec<LayerJson> {
    let from_one = |all: &[u32]| all.iter().map(|n| n + 1).collect();
    layers
        .as_slice()
        .iter()
        .map(|layer| LayerJson { ends: from_one(&layer.ends), rows: from_one(&layer.rows) })
        .collect()
}

fn of_float(float: &Float) -> FloatJson {
    FloatJson {
        rows: [float.rows.0 + 1, float.rows.1 + 1],
        ends: [float.ends.first() + 1, float.ends.last() + 1],
        count: float.count,
        length_mm: rounded(float.length.mm()),
        round_edge: float.round_edge,
    }
}

fn of_floats(floats: &Floats) -> KindJson {
    let longest = floats.worst.first();
    KindJson {
        longest_ends: longest.map_or(0, |float| float.count),
        longest_mm: longest.map_or(0.0, |float| rounded(float.length.mm())),
        count: floats.count,
        too_long: floats.too_long,
        worst: floats.worst.iter().map(of_float).collect(),
    }
}

/// A severity's stable name.
pub(crate) fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

fn of_finding(piece: &Piece, finding: &Finding, units: Units) -> FindingJson {
    FindingJson {
        kind: finding.kind.name(),
        severity: severity(finding.severity),
        weight: say::severity(finding.severity),
        place: PlaceJson::of(&finding.at, piece),
        words: say::finding(finding, piece, units).to_string(),
        facts: facts(&finding.kind, piece),
        remedies: None,
    }
}

/// To whom colours are alike, and the kinds of eyes if only to some.
fn of_likeness(likeness: &Likeness) -> (&'static str, Vec<&'static str>) {
    match likeness {
        Likeness::Same => ("same", Vec::new()),
        Likeness::ToAll => ("to_all", Vec::new()),
        Likeness::ToSome(visions) => ("to_some", visions.iter().map(|vision| vision.name()).collect()),
        Likeness::InGrey => ("in_grey", Vec::new()),
    }
}

/// Where yarns lie that shrink unlike.
fn unlike(how: Unlike) -> &'static str {
    match how {
        Unlike::WarpAndWeft => "warp_and_weft",
        Unlike::Ends => "ends",
        Unlike::Wefts => "wefts",
    }
}

/// A finding's facts.
fn facts(kind: &Kind, piece: &Piece) -> Value {
    let weft = |weft: &fellmark_core::plan::WeftId| piece.wefts[weft.0].name.clone();
    let yarn = |yarn: &fellmark_core::plan::YarnId| piece.yarns[yarn.0].name.clone();
    let mm = |length: &fellmark_core::quantity::Mm| rounded(length.mm());
    let from_one = |all: &[u32]| all.iter().map(|n| n + 1).collect::<Vec<u32>>();
    match kind {
        Kind::LooseTurns { weft: w, band, side, count, everywhere, slips_to, first } => json!({
            "weft": weft(w), "band": band_name(piece, *band), "side": say::side(*side), "count": count,
            "everywhere": everywhere, "slips_to": slips_to.map(|end| end + 1),
            "first_rows": [first.0 + 1, first.1 + 1],
        }),
        Kind::HeldByTail { weft: w, other, side, row, .. } => json!({
            "weft": weft(w), "other": weft(other), "side": say::side(*side), "row": row + 1,
        }),
        Kind::UnwrappedEdge { side, length } => json!({ "side": say::side(*side), "length_mm": mm(length) }),
        Kind::LongFloats { advice, count, worst, .. } => json!({
            "advice_mm": mm(advice), "count": count,
            "worst": worst.iter().map(of_float).collect::<Vec<_>>(),
        }),
        Kind::SameOpeningAcross { below, above } => json!({
            "below": piece.places[below.0].name, "above": piece.places[above.0].name,
        }),
        Kind::SameOpeningWithin { band, count } => {
            json!({ "band": band_name(piece, *band), "count": count })
        }
        Kind::FallsApart { layers, as_piece } => json!({
            "as_piece": as_piece, "layers": of_layers(layers),
        }),
        Kind::EndsNeverInterlace { ends, pass } => {
            json!({ "ends": from_one(ends), "pass": say::pass(*pass) })
        }
        Kind::OneEnd => json!({}),
        Kind::RowsNeverInterlace { rows, pass } => {
            json!({ "rows": from_one(rows), "pass": say::pass(*pass) })
        }
        Kind::RepeatsUneven { band, repeat, ends, even, alike } => json!({
            "band": band_name(piece, *band), "repeat": repeat, "ends": ends, "even": even, "alike": alike,
        }),
        Kind::TooThickForNotch { yarn: y, thickness, notch } => json!({
            "yarn": yarn(y), "thickness_mm": mm(thickness), "notch_mm": mm(notch),
        }),
        Kind::EndsTouch { yarn: y, thickness, spacing } => json!({
            "yarn": yarn(y), "thickness_mm": mm(thickness), "spacing_mm": mm(spacing),
        }),
        Kind::OpenSett { weft: w, ratio } => json!({ "weft": weft(w), "ratio": rounded(*ratio) }),
        Kind::BeatNotReached { band: b, wanted, lie } => {
            json!({ "band": band_name(piece, *b), "wanted_mm": mm(wanted), "lie_mm": mm(lie) })
        }
        Kind::OpenBeat { band: b, ratio } => {
            json!({ "band": band_name(piece, *b), "ratio": rounded(*ratio) })
        }
        Kind::WarpTightens { yarn: y, woven, by, stretch, breaks_at } => json!({
            "yarn": yarn(y), "woven_mm": mm(woven), "by_mm": mm(by), "stretch": rounded(*stretch),
            "breaks_at": rounded(*breaks_at),
        }),
        Kind::BuildUp { hump, rows } => json!({
            "row": hump.row + 1, "ends": [hump.ends.first() + 1, hump.ends.last() + 1],
            "above_mm": mm(&hump.above), "range_mm": mm(&hump.range), "woven_mm": mm(&hump.woven),
            "in_5_cm_mm": mm(&hump.in_five_cm()), "rows_there": rows.map(|(most, _)| most),
            "rows_beside": rows.map(|(_, least)| least),
        }),
        Kind::WarpShows { surface, share } => json!({
            "surface": if *surface == Surface::Front { "front" } else { "back" }, "share": rounded(*share),
        }),
        Kind::SizesDisagree { yarn: y, by_weight, by_wraps } => json!({
            "yarn": yarn(y), "by_weight_mm": mm(by_weight), "by_wraps_mm": mm(by_wraps),
        }),
        Kind::WeightsDisagree { yarn: y, by_label, by_hank } => json!({
            "yarn": yarn(y), "by_label_tex": rounded(by_label.tex()), "by_hank_tex": rounded(by_hank.tex()),
        }),
        Kind::TooTall { height, reach, row } => json!({
            "height_mm": mm(height), "reach_mm": mm(reach), "row": row + 1,
        }),
        Kind::Slits { left, length, count } => {
            json!({ "ends": [left + 1, left + 2], "length_mm": mm(length), "count": count })
        }
        Kind::MayNotFit { height, reach, row } => json!({
            "height_mm": EstimateJson::mm(*height), "reach_mm": mm(reach), "row": row + 1,
        }),
        Kind::FillTooShort { band, rows, repeat } => json!({
            "band": band_name(piece, *band), "rows": rows, "repeat": repeat,
        }),
        Kind::TouchAsleep { band, touch } => json!({ "band": band_name(piece, *band), "touch": touch + 1 }),
        Kind::ShrinksUnlike { more, less, how, parts } => json!({
            "more": yarn(more), "less": yarn(less), "how": unlike(*how),
            "loses": parts.map(rounded),
        }),
        Kind::OtherSize { across, wanted, likely } => json!({
            "across": across, "wanted_mm": mm(wanted), "likely_mm": mm(likely),
        }),
        Kind::ShortNeedleful { weft: w, longest, takes, of_two: _ } => json!({
            "weft": weft(w),
            "needleful_mm": rounded(longest.mm()),
            "takes_mm": rounded(takes.mm()),
        }),
        Kind::RunsOut { yarn: y, short, row } => json!({
            "yarn": yarn(y), "short_mm": EstimateJson::mm(*short), "row": row.map(|row| row + 1),
        }),
        Kind::ColoursAlike { yarns: (one, other), bands, likeness, difference, lightness } => {
            let (alike, visions) = of_likeness(likeness);
            json!({
                "yarns": [yarn(one), yarn(other)],
                "bands": bands.iter().map(|&band| band_name(piece, band)).collect::<Vec<_>>(),
                "alike": alike, "visions": visions,
                "difference": rounded(difference.units()), "lightness": rounded(*lightness),
            })
        }
    }
}
