//! A finding in a sentence: what is so, and where.

use super::{
    Mark, Text, Units, about, band, counted, degree, ends, length, pass, rows, rows_in, sentence, side, weft,
    yarn,
};
use crate::hang::{Layer, Layers};
use crate::piece::Piece;
use crate::plan::{BandId, Purpose, WeftId};
use crate::quantity::{Estimate, Mm, Tex};
use crate::side::{Pass, Side, Surface};
use crate::sound::floats::Float;
use crate::sound::{Finding, Kind, Severity, Strand, Unlike};
use crate::walk::Grip;
use crate::yarn::Yarn;

/// What a finding is for, by how much it matters.
#[must_use]
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "to mend",
        Severity::Warning => "worth a look",
        Severity::Note => "to know",
    }
}

/// "1 thing to mend", "3 things to mend".
#[must_use]
pub fn things_to_mend(count: usize) -> String {
    format!("{} to mend", counted(count as u32, "thing", "things"))
}

/// How far apart the ends stand for a weft.
pub(crate) fn open_sett(piece: &Piece, w: WeftId, ratio: f64) -> String {
    // Strands side by side make an end no thicker: what counts is the room from its last to the first of the next.
    let ends = if piece.loom.strands_per_end() > 1 { "the nearest strands of two ends" } else { "the ends" };
    format!("{ends} stand {ratio:.1} times as far apart as warp and {} are thick together", weft(piece, w))
}

/// How open a beat is: "the rows of pools lie 3.2 times as far apart as warp and weft are thick together".
#[must_use]
pub(crate) fn open_beat(piece: &Piece, b: BandId, ratio: f64) -> String {
    format!(
        "the rows of {} lie {ratio:.1} times as far apart as warp and weft are thick together",
        band(piece, b)
    )
}

/// A finding in words.
#[must_use]
pub fn finding(finding: &Finding, piece: &Piece, units: Units) -> Text {
    Text::default().marked(words(finding, piece, units), Mark::Holds)
}

fn words(finding: &Finding, piece: &Piece, units: Units) -> String {
    match &finding.kind {
        Kind::LooseTurns { weft: w, band: b, side, count, everywhere, slips_to, first } => {
            let turns =
                LooseTurns { count: *count, everywhere: *everywhere, slips_to: *slips_to, first: *first };
            loose_turns(weft(piece, *w), &band(piece, *b), *side, &turns)
        }
        Kind::HeldByTail { weft: w, other, side: s, grip, row } => {
            let tail = match grip {
                Grip::EndingTail => "ending",
                Grip::StartingTail | Grip::Yarn => "starting",
            };
            format!(
                "Before row {}, {} has only the {tail} tail of {} to hold on to at the {}: secure that tail well.",
                row + 1,
                weft(piece, *w),
                weft(piece, *other),
                side(*s)
            )
        }
        Kind::UnwrappedEdge { side: s, length: l } => {
            let (first, last) = finding.at.rows;
            format!(
                "No turn wraps the {} edge end from row {} to row {} ({}): off the loom it slips out sideways.",
                side(*s),
                first + 1,
                last + 1,
                length(*l, units)
            )
        }
        Kind::LongFloats { strand, surface, advice, count, worst } => {
            long_floats(piece, (*strand, *surface), *advice, *count, worst, units)
        }
        Kind::SameOpeningAcross { below, above } => {
            let (below, above) = (&piece.places[below.0], &piece.places[above.0]);
            let row = above.first_row;
            format!(
                "The last row of {} and the first of {} (rows {} and {}) have the same opening: they lie as one.",
                below.name,
                above.name,
                row,
                row + 1
            )
        }
        Kind::SameOpeningWithin { band: b, count } => {
            let pairs = counted(*count, "pair of neighbouring rows has", "pairs of neighbouring rows have");
            format!("In {} {pairs} the same opening: they lie as one, thicker row.", band(piece, *b))
        }
        Kind::FallsApart { layers, as_piece } => falls_apart(layers, *as_piece),
        Kind::EndsNeverInterlace { ends, pass } => ends_never_interlace(ends, *pass),
        Kind::OneEnd => {
            "One end makes no cloth: the weft only winds round it. Set two ends or more.".to_owned()
        }
        Kind::RowsNeverInterlace { rows, pass } => rows_never_interlace(rows, *pass),
        Kind::RepeatsUneven { band: b, repeat, ends, even, alike } => format!(
            "The repeat of {repeat} ends in {} doesn't come out on {ends} ends{}.",
            band(piece, *b),
            numbers_that_do(even, alike)
        ),
        Kind::TooThickForNotch { yarn: y, thickness, notch } => format!(
            "{} is about {} thick; a notch takes {}.",
            sentence(yarn(piece, *y)),
            length(*thickness, units),
            length(*notch, units)
        ),
        Kind::EndsTouch { yarn: y, thickness, spacing } => format!(
            "The ends of {} take {} and stand {} apart: no weft fits between them.",
            yarn(piece, *y),
            length(*thickness, units),
            length(*spacing, units)
        ),
        Kind::OpenSett { weft: w, ratio } => format!(
            "{}: the cloth will slide. A thicker weft or a thicker warp makes it firmer.",
            sentence(&open_sett(piece, *w, *ratio))
        ),
        Kind::BuildUp { hump, rows: Some((most, least)) } => format!(
            "Rows pile up at {}: {most} cross them by row {}, and only {least} the ends beside, so that the fell there stands {} \
             above its mean. Weave the ends beside up to it before a row goes over all.",
            ends(hump.ends.first(), hump.ends.last()),
            hump.row + 1,
            length(hump.above, units)
        ),
        Kind::BuildUp { hump, rows: None } => format!(
            "Rows pile up at {}: by row {} ({} woven) the fell there stands {} above its mean. Move the places where \
             colours change, or put plain rows between.",
            ends(hump.ends.first(), hump.ends.last()),
            hump.row + 1,
            length(hump.woven, units),
            length(hump.above, units)
        ),
        Kind::WarpShows { surface, share } => format!(
            "At the {} the warp shows through: the rows leave {} of it bare where they were meant to hide it. A softer \
             or thicker weft hides more.",
            if *surface == Surface::Front { "front" } else { "back" },
            degree(*share)
        ),
        Kind::BeatNotReached { band: b, wanted, lie } => format!(
            "Rows of {} are to lie {}, but the yarn keeps them {}: they come no closer. A thinner weft lies closer.",
            band(piece, *b),
            rows_in(*wanted, units),
            rows_in(*lie, units)
        ),
        Kind::OpenBeat { band: b, ratio } => {
            format!("{}: they will slide. Beat them closer.", sentence(&open_beat(piece, *b, *ratio)))
        }
        Kind::WarpTightens { yarn: y, woven, by, stretch, breaks_at } => format!(
            "The ends stand close, so that the rows bend them: {} of cloth take {} more warp than the frame gives. {} \
             would stretch by {}, and breaks at about {}. Set the ends wider, take a thinner weft, or lay the rows in \
             farther apart.",
            length(*woven, units),
            length(*by, units),
            sentence(yarn(piece, *y)),
            degree(*stretch),
            degree(*breaks_at)
        ),
        Kind::SizesDisagree { yarn: y, by_weight, by_wraps } => format!(
            "{} should be {} thick by its weight and {} by its wraps: one of the two is mistyped, or the yarn is \
             very soft.",
            sentence(yarn(piece, *y)),
            length(*by_weight, units),
            length(*by_wraps, units)
        ),
        Kind::WeightsDisagree { yarn, by_label, by_hank } => {
            weights_disagree(&piece.yarns[yarn.0], *by_label, *by_hank)
        }
        Kind::TooTall { height, reach, row } => format!(
            "The rows come to {}, but {}a needle reaches {}: from row {} on they don't fit.",
            length(*height, units),
            if piece.header.is_some() { "above the header " } else { "" },
            length(*reach, units),
            row + 1
        ),
        Kind::Slits { left, length: long, count } => {
            let more = match count - 1 {
                0 => String::new(),
                more => format!(" {} elsewhere.", counted(more, "shorter one", "shorter ones")),
            };
            format!(
                "Between ends {} and {} no row goes across from row {} to row {}: a slit of {} stays open. Leave it so, or \
                 sew it up when the piece is off the loom.{more}",
                left + 1,
                left + 2,
                finding.at.rows.0 + 1,
                finding.at.rows.1 + 1,
                length(*long, units)
            )
        }
        Kind::MayNotFit { height, reach, row } => format!(
            "The rows fit if they lie as is likely, but they may come to {}, and {}a needle reaches {}. Then they don't fit from \
             row {} on: measure as you go.",
            length(height.high, units),
            if piece.header.is_some() { "above the header " } else { "" },
            length(*reach, units),
            row + 1
        ),
        Kind::FillTooShort { band: b, rows: 0, .. } => {
            let name = band(piece, *b);
            let name = if name.is_empty() { "the band that fills".into() } else { name };
            format!("Nothing is left for {name}.")
        }
        Kind::FillTooShort { band: b, rows: n, repeat } => format!(
            "What is left for {} is {}, less than one repeat of {repeat} rows.",
            band(piece, *b),
            counted(*n, "row", "rows")
        ),
        Kind::TouchAsleep { band: b, touch } => format!(
            "Touch {} of {} lies outside its rows or ends and has no effect now.",
            touch + 1,
            band(piece, *b)
        ),
        Kind::ShrinksUnlike { more, less, how, parts: [much, little] } => {
            let (more, less) = (sentence(yarn(piece, *more)), yarn(piece, *less));
            let (done, much) = (super::finish(piece.finish), degree(*much));
            let little = degree(*little);
            let so = match how {
                Unlike::WarpAndWeft => "warp and weft shrink unlike, and the pattern is drawn out one way",
                Unlike::Ends => "ends beside each other shrink unlike, and the cloth may pucker",
                Unlike::Wefts => "wefts above each other shrink unlike, and the edges draw in and out",
            };
            format!("{more} loses about {much} when it is {done}, {less} about {little}: {so}.")
        }
        Kind::OtherSize { across, wanted, likely } => {
            let side = if *across { "wide" } else { "long" };
            format!(
                "Finished it will be about {} {side}, not {}.",
                length(*likely, units),
                length(*wanted, units)
            )
        }
        Kind::RunsOut { yarn: y, short, row } => runs_out(yarn(piece, *y), *short, *row, units),
        Kind::ShortNeedleful { weft: w, longest, takes, .. } => format!(
            "A needleful of {} is too short for rows of {} as wide as these: a row, with the way to a join in the next, \
             takes {}, so that it is joined in every row. Cut longer ones.",
            super::cut(*longest, units),
            weft(piece, *w),
            super::cut(*takes, units)
        ),
        Kind::ColoursAlike { yarns: (one, other), bands, likeness, lightness, .. } => {
            let pair = format!("{} and {}", yarn(piece, *one), yarn(piece, *other));
            super::colour::alike(&pair, &bands_of(piece, bands), likeness, *lightness)
        }
    }
}

/// Turns of a weft at one side of a band that nothing catches.
struct LooseTurns {
    count: u32,
    everywhere: u32,
    slips_to: Option<u32>,
    first: (u32, u32),
}

fn loose_turns(name: &str, band: &str, at: Side, turns: &LooseTurns) -> String {
    let LooseTurns { count, everywhere, slips_to, first } = *turns;
    let (name, at) = (sentence(name), side(at));
    let between = format!("between rows {} and {}", first.0 + 1, first.1 + 1);
    let turns = if count == 1 { between } else { format!("{count} turns, first {between}") };
    match (everywhere, count) {
        (0, _) => {
            let slips = slips_to.map(|end| format!(": the loop slips in to end {}", end + 1));
            format!("{name} is loose at the {at} edge in {band} ({turns}){}.", slips.unwrap_or_default())
        }
        (all, count) if all == count => {
            let comes = if all == 1 { "the row comes" } else { "those rows come" };
            format!(
                "{name} goes back through its own opening at the {at} in {band} ({turns}) and nothing holds it: {comes} \
                 out."
            )
        }
        (some, _) => {
            let (goes, held, comes) = if some == 1 {
                ("one of them goes", "it", "its row comes")
            } else {
                ("some of them go", "them", "their rows come")
            };
            format!(
                "{name} is loose at the {at} edge in {band} ({turns}); {goes} back through the same opening, and nothing \
                 holds {held}: {comes} out."
            )
        }
    }
}

/// Layers or strips that hang together by nothing, or by their turns and loops alone.
fn falls_apart(layers: &Layers, as_piece: bool) -> String {
    let all = layers.as_slice();
    let count = all.len();
    if layers.lie_side_by_side() {
        let ends: Vec<String> = all.iter().map(|layer| numbered("end", &layer.ends)).collect();
        let which = super::list(&ends);
        return if as_piece {
            format!("It falls into {count} strips side by side, and nothing joins them: {which}.")
        } else {
            format!("Only its turns and loops join {count} strips that lie side by side: {which}.")
        };
    }
    let top = all.first().map_or_else(String::new, strands);
    if as_piece {
        format!("It falls into {count} layers: {top} lift off the front.")
    } else {
        format!("Only its turns and loops keep {count} layers together: cut, {top} would lift off the front.")
    }
}

fn ends_never_interlace(which: &[u32], side_of_rows: Pass) -> String {
    let face = if side_of_rows == Pass::Over { "behind" } else { "in front of" };
    let name = sentence(&numbered("end", which));
    if which.len() == 1 {
        format!("{name} lies {face} every row and never interlaces.")
    } else {
        format!("{name} lie {face} every row and never interlace.")
    }
}

fn rows_never_interlace(which: &[u32], of_ends: Pass) -> String {
    let (name, passed) = (sentence(&numbered("row", which)), pass(of_ends));
    if which.len() == 1 {
        format!("{name} passes {passed} every end and never interlaces: it lies loose.")
    } else {
        format!("{name} pass {passed} every end and never interlace: they lie loose.")
    }
}

/// ": 24 or 30 ends make whole repeats, 27 make both edges alike"; nothing where no number does.
fn numbers_that_do(even: &[u32], alike: &[u32]) -> String {
    let all = |numbers: &[u32]| numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(" or ");
    let mut choices = Vec::new();
    if !even.is_empty() {
        choices.push(format!("{} ends make whole repeats", all(even)));
    }
    // Whole repeats may do that too.
    let alike: Vec<u32> = alike.iter().filter(|ends| !even.contains(ends)).copied().collect();
    if !alike.is_empty() {
        choices.push(format!("{} make both edges alike", all(&alike)));
    }
    if choices.is_empty() { String::new() } else { format!(": {}", choices.join(", ")) }
}

fn weights_disagree(yarn: &Yarn, by_label: Tex, by_hank: Tex) -> String {
    let hank = yarn.measured.as_ref().map_or("", |hank| hank.typed.as_str());
    let ratio = by_hank.tex() / by_label.tex();
    let (ratio, how) = if ratio < 1.0 { (1.0 / ratio, "fine") } else { (ratio, "heavy") };
    format!(
        "{} is {ratio:.1} times as {how} by the hank you weighed ({hank}) as its label says ({}). The hank counts; if that \
         is not so, one of the two is mistyped.",
        sentence(&yarn.name),
        yarn.size.typed,
    )
}

fn runs_out(yarn: &str, short: Estimate<Mm>, row: Option<u32>, units: Units) -> String {
    let name = sentence(yarn);
    let surely = short.low > Mm::ZERO;
    match row {
        Some(row) if surely => format!("{name} runs out in row {}: {} short.", row + 1, about(short, units)),
        Some(row) => {
            let most = length(short.high, units);
            format!("{name} may run out in row {}, at most {most} short.", row + 1)
        }
        None => format!("There is less {name} than the warp takes: {} short.", about(short, units)),
    }
}

/// "pools", "pools and shoals", "5 bands".
fn bands_of(piece: &Piece, bands: &[BandId]) -> String {
    if bands.len() > 3 {
        return format!("{} bands", bands.len());
    }
    let names: Vec<String> = bands.iter().map(|&of| band(piece, of)).collect();
    super::list(&names)
}

pub(super) fn purpose_of(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Sample => "a sample",
        Purpose::Bookmark => "a bookmark",
        Purpose::Coaster => "a coaster",
        Purpose::Mat => "a mat",
        Purpose::Jewellery => "jewellery",
        Purpose::Garment => "something worn",
        Purpose::Hanging => "a hanging",
    }
}

fn long_floats(
    piece: &Piece,
    (strand, surface): (Strand, Surface),
    advice: crate::quantity::Mm,
    count: u32,
    worst: &[Float],
    units: Units,
) -> String {
    let front = if surface == Surface::Front { "front" } else { "back" };
    let (name, per) = match strand {
        Strand::Weft => ("weft", "ends"),
        Strand::Warp => ("warp", "rows"),
    };
    // Only those that are as long as the longest are where it says the longest is.
    let alike = |float: &&Float| worst.first().is_some_and(|first| float.length == first.length);
    let mut places: Vec<String> =
        worst.iter().take_while(alike).map(|float| float_place(float, strand)).collect();
    let elsewhere = count - (places.len() as u32).min(count);
    places.extend((elsewhere > 0).then(|| format!("{elsewhere} more elsewhere")));
    let allowed = length(advice, units);
    let longest = worst.first().map_or_else(String::new, |float| {
        let long = length(float.length, units);
        let over = if long == allowed { "a little over " } else { "" };
        format!("{} {per}, {over}{long}", float.count)
    });
    let number = counted(count, &format!("{name} float"), &format!("{name} floats"));
    let verb = if count == 1 { "is" } else { "are" };
    format!(
        "At the {front} {number} {verb} longer than {} for {}: the longest is {longest} ({}).",
        allowed,
        purpose_of(piece.purpose),
        places.join("; ")
    )
}

fn float_place(float: &Float, strand: Strand) -> String {
    let (a, b) = float.rows;
    let at = ends(float.ends.first(), float.ends.last());
    match strand {
        Strand::Weft if float.round_edge => format!("rows {} and {} round the edge at {at}", a + 1, b + 1),
        Strand::Weft => format!("{}, {at}", rows(a, b)),
        Strand::Warp => format!("{at}, {}", rows(a, b)),
    }
}

/// The strands of a layer: "ends 1 to 4 and rows 2 and 5".
fn strands(layer: &Layer) -> String {
    let ends = (!layer.ends.is_empty()).then(|| numbered("end", &layer.ends));
    let rows = (!layer.rows.is_empty()).then(|| numbered("row", &layer.rows));
    match (ends, rows) {
        (Some(ends), Some(rows)) => format!("{ends} and {rows}"),
        (one, other) => one.or(other).unwrap_or_default(),
    }
}

/// The longest list of numbers that is read out; of a longer one the first few are named.
const NAMED: usize = 6;

/// "end 3", "ends 1 to 4", "rows 1, 3 and 5".
fn numbered(noun: &str, numbers: &[u32]) -> String {
    let ranges = ranges(numbers);
    let one =
        |&(a, b): &(u32, u32)| if a == b { (a + 1).to_string() } else { format!("{} to {}", a + 1, b + 1) };
    let mut said: Vec<String> = ranges.iter().take(NAMED).map(one).collect();
    if ranges.len() > NAMED {
        said.push(format!("others, {} in all", numbers.len()));
    }
    let said: Vec<&str> = said.iter().map(String::as_str).collect();
    format!("{noun}{} {}", if numbers.len() == 1 { "" } else { "s" }, super::list(&said))
}

/// Neighbouring numbers as ranges.
fn ranges(numbers: &[u32]) -> Vec<(u32, u32)> {
    let mut ranges: Vec<(u32, u32)> = Vec::new();
    for &number in numbers {
        match ranges.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => ranges.push((number, number)),
        }
    }
    ranges
}
