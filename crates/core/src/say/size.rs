//! How large it is, in words.

use super::{Units, length, likely, list, mass, sentence, spread, yarn};
use crate::cloth::measures::Measures;
use crate::cloth::size::{Course, Dimensions, Size};
use crate::habits::Habits;
use crate::need::Weight;
use crate::piece::Piece;
use crate::plan::{Finish, Wanted, WarpPath, YarnId};
use crate::quantity::{Estimate, Gram, Mm};
use crate::yarn::{Hardness, Yarn};

/// Which soft yarns' thickness, and with it how close rows lie, is only worked out from what they weigh; nothing where none is.
#[must_use]
pub fn thickness_guessed(piece: &Piece, habits: &Habits, units: Units) -> Option<String> {
    let used = piece.wefts.iter().map(|needle| needle.yarn).chain(piece.ends.iter().map(|end| end.yarn));
    let soft = |yarn: &Yarn| yarn.fibre.hardness() == Hardness::Soft && yarn.thickness_is_guessed();
    let mut guessed: Vec<YarnId> = used.filter(|yarn| soft(&piece.yarns[yarn.0])).collect();
    guessed.sort_unstable();
    guessed.dedup();
    // Yarns of one thickness are told together.
    let mut taken: Vec<(String, Vec<&str>)> = Vec::new();
    for &id in &guessed {
        let thick = spread(habits.diameter_between(&piece.yarns[id.0]), units);
        match taken.iter_mut().find(|(known, _)| *known == thick) {
            Some((_, names)) => names.push(yarn(piece, id)),
            None => taken.push((thick, vec![yarn(piece, id)])),
        }
    }
    let taken: Vec<String> = taken
        .iter()
        .map(|(thick, names)| {
            let are = if names.len() == 1 { "is" } else { "are" };
            format!("{} {are} taken to lie {thick} thick", list(names))
        })
        .collect();
    let them = match guessed[..] {
        [] => return None,
        [_] => "it round a ruler and write its wraps",
        _ => "them round a ruler and write their wraps",
    };
    Some(format!(
        "{}: that is worked out from the weight, and how far rows lie apart goes with it. Lay {them}, and the ranges get \
         narrower.",
        sentence(&list(&taken))
    ))
}

/// What is done with a cloth off the loom, after "it is".
#[must_use]
pub fn finish(finish: Finish) -> &'static str {
    match finish {
        Finish::AsItIs => "left as it is",
        Finish::Steamed => "steamed",
        Finish::Washed => "washed",
        Finish::Pinned => "pinned out",
    }
}

/// Width and length: "11 x 14 cm", or "8 mm x 3.5 cm" where each has its own unit.
#[must_use]
pub fn sides(width: Mm, long: Mm, units: Units) -> String {
    joined(&length(width, units), &length(long, units))
}

fn joined(width: &str, long: &str) -> String {
    match (width.rsplit_once(' '), long.rsplit_once(' ')) {
        (Some((number, unit)), Some((_, other))) if unit == other => format!("{number} x {long}"),
        _ => format!("{width} x {long}"),
    }
}

/// The likely width and length of an estimate, each as exactly as it is known.
#[must_use]
pub fn likely_sides(size: Dimensions<Estimate<Mm>>, units: Units) -> String {
    joined(&likely(size.width, units), &likely(size.length, units))
}

/// The three states, each with its name: "on the loom", "released", and what is done to finish it.
#[must_use]
pub fn states(size: &Size) -> [(String, Dimensions<Estimate<Mm>>); 3] {
    [
        ("on the loom".to_owned(), size.on_loom),
        ("released".to_owned(), size.released),
        (format!("finished, {}", finish(size.finish)), size.finished),
    ]
}

/// A state: "9.8 cm (9.5 to 10) wide, 13 cm (12 to 15) long".
#[must_use]
pub fn state(size: Dimensions<Estimate<Mm>>, units: Units) -> String {
    format!("{} wide, {} long", spread(size.width, units), spread(size.length, units))
}

/// What makes the difference between the states, a sentence each.
#[must_use]
pub fn course(size: &Size) -> Vec<String> {
    let Course { spring_back, from_stretch, warp_crimp, weft_crimp, shrink, .. } = size.course;
    let mut said = Vec::new();
    if share(spring_back) != share(0.0) {
        let stretched = if share(from_stretch) == share(0.0) {
            String::new()
        } else {
            format!(", {} of it because close rows have stretched it", share(from_stretch))
        };
        said.push(format!("The warp springs back by about {}{stretched}.", share(spring_back)));
    }
    let crimp = |name: &str, [before, after]: [f64; 2]| match (share(before), share(after)) {
        (before, after) if before == after && after == share(0.0) => format!("the {name} stays straight"),
        (before, after) if before == after => format!("the {name} keeps a crimp of {after}"),
        (before, after) => format!("the crimp of the {name} goes from {before} to {after}"),
    };
    if weft_crimp != [0.0; 2] || warp_crimp != [0.0; 2] {
        let (weft, warp) = (crimp("weft", weft_crimp), crimp("warp", warp_crimp));
        said.push(format!("Where they change face, {weft}, and {warp}."));
    }
    said.push(match size.finish {
        Finish::AsItIs => "It is left as it is and stays so until it is washed.".to_owned(),
        _ if share(shrink.length) == share(shrink.width) => {
            format!("When it is {} it loses about {} both ways.", finish(size.finish), share(shrink.width))
        }
        _ => format!(
            "When it is {} it loses about {} of its width and {} of its length.",
            finish(size.finish),
            share(shrink.width),
            share(shrink.length)
        ),
    });
    said
}

/// That the upper end of what it may measure on the loom lies beyond a needle's reach, where it does: it can't be woven so
/// long.
#[must_use]
pub fn past_reach(size: &Size, piece: &Piece, units: Units) -> Option<String> {
    let (long, reach) = (size.on_loom.length, piece.reach());
    (long.high > reach && reach > Mm::ZERO).then(|| {
        format!(
            "On the loom no more than {} can be woven{}: should its rows lie further apart than is likely, there is room for \
             fewer.",
            length(reach, units),
            if piece.header.is_some() { " above the header" } else { "" }
        )
    })
}

/// How much warp stays unwoven: "Of each end 1.4 cm stay unwoven at the near bar and about 3.5 cm (2.4 to 4.5) at the far one,
/// with what turns round the bars."
#[must_use]
pub fn unwoven(open: [Estimate<Mm>; 2], piece: &Piece, units: Units) -> String {
    let [near, far] = open.map(|open| spread(open, units));
    let behind = match piece.path {
        WarpPath::Zigzag => "with what turns round the bars",
        WarpPath::Round => "with what goes behind the frame, half of it to each",
    };
    format!("Of each end {near} stays unwoven at the near bar and {far} at the far one, {behind}.")
}

/// What the cloth weighs: "The cloth weighs about 17 g (15 g to 19 g) without tails and fringe, about 2 kg for each square
/// metre."
#[must_use]
pub fn weighs(weight: &Weight, units: Units) -> String {
    let [likely, low, high] =
        [weight.mass.likely, weight.mass.low, weight.mass.high].map(|part| mass(part, units));
    let spread = if low == high { String::new() } else { format!(" ({low} to {high})") };
    let of_square = |side: Mm| Gram::new(weight.per_area.grams_per_m2() * side.metres() * side.metres());
    let (square, name) = match units {
        Units::Metric => (of_square(Mm::new(1000.0)), "square metre"),
        Units::Inch => (of_square(Mm::new(914.4)), "square yard"),
    };
    format!(
        "The cloth weighs about {likely}{spread} without tails and fringe, about {} for each {name}.",
        mass(square, units)
    )
}

/// What the finished cloth measures: "Finished it is about 3.3 mm thick, and has 2.5 ends and 9 rows to the centimetre."
#[must_use]
pub fn measures(measures: &Measures, units: Units) -> String {
    let (factor, unit) = match units {
        Units::Metric => (1.0, "centimetre"),
        Units::Inch => (2.54, "inch"),
    };
    let of = |per_cm: f64| {
        let per = per_cm * factor;
        if per < 9.95 { format!("{}", (per * 10.0).round() / 10.0) } else { format!("{}", per.round()) }
    };
    format!(
        "Finished it is about {} thick, with {} ends and {} rows to the {unit}.",
        length(measures.thickness, units),
        of(measures.ends_per_cm),
        of(measures.rows_per_cm)
    )
}

/// A small part in per cent, to half a per cent.
fn share(part: f64) -> String {
    let halves = (part * 200.0).round() / 2.0;
    format!("{halves} %")
}

/// A size that is wished for: "11 x 14 cm", "11 cm wide", "14 cm long".
#[must_use]
pub fn wanted(wanted: Wanted, units: Units) -> String {
    match (wanted.width, wanted.length) {
        (Some(width), Some(long)) => sides(width, long, units),
        (Some(width), None) => format!("{} wide", length(width, units)),
        (None, Some(long)) => format!("{} long", length(long, units)),
        (None, None) => String::new(),
    }
}

/// How a finished size may be asked for, by examples.
#[must_use]
pub fn finished_examples(units: Units) -> [&'static str; 3] {
    match units {
        Units::Metric => ["11 cm x 14 cm", "11 cm wide", "14 cm long"],
        Units::Inch => ["4 1/2 in x 5 1/2 in", "4 1/2 in wide", "5 1/2 in long"],
    }
}
