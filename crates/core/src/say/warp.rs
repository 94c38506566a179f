//! How to wind the warp, line by line, and a picture of it in text.

use super::{Units, counted, length, yarn};
use crate::piece::Piece;
use crate::plan::WarpPath;
use crate::warp::{Bar, Block, Length, Task, Winding, outer_width};

fn bar(bar: Bar) -> &'static str {
    match bar {
        Bar::Near => "near",
        Bar::Far => "far",
    }
}

/// One thing to do when the warp is wound, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WindingStep {
    /// What is done, as other steps are said: no sentence of its own.
    pub words: String,
    /// What else there is to know, a sentence each.
    pub more: Vec<String>,
}

/// The instructions, in the order in which they are followed.
#[must_use]
pub fn winding(winding: &Winding, piece: &Piece, units: Units) -> Vec<String> {
    let lines = winding.tasks().into_iter().flat_map(|task| {
        let WindingStep { words, more } = wind(&task, winding, piece, units);
        let first = format!("{}.", super::sentence(&words));
        match task {
            Task::Wind(_) => vec![std::iter::once(first).chain(more).collect::<Vec<_>>().join(" ")],
            Task::Place | Task::Count => std::iter::once(first).chain(more).collect(),
        }
    });
    lines.collect()
}

/// One of the instructions.
#[must_use]
pub fn wind(task: &Task<'_>, winding: &Winding, piece: &Piece, units: Units) -> WindingStep {
    match task {
        Task::Place => place(winding, piece),
        Task::Wind(group) => match group.as_slice() {
            [block] => block_step(block, winding, piece, units),
            [first, ..] => group_step(first, group, winding, piece, units),
            [] => WindingStep { words: String::new(), more: Vec::new() },
        },
        Task::Count => {
            let mut ends = counted(piece.end_count(), "end", "ends");
            if piece.loom.strands_per_end() > 1 {
                ends.push_str(&format!(" of {} strands each", piece.loom.strands_per_end()));
            }
            let apart = match piece.end_count() {
                1 => String::new(),
                _ => format!("; outer ends {} apart", length(outer_width(piece), units)),
            };
            WindingStep { words: format!("count before you weave: {ends}{apart}"), more: Vec::new() }
        }
    }
}

fn place(winding: &Winding, piece: &Piece) -> WindingStep {
    let (first, last) = (winding.first_notch + 1, winding.first_notch + winding.used);
    let spare = winding.notches - winding.used;
    let (left, right) = (winding.first_notch, spare - winding.first_notch);
    let ends = counted(piece.end_count(), "end", "ends");
    let words = if spare == 0 {
        format!("{ends} on all {last} notches")
    } else {
        let notches =
            if first == last { format!("notch {first}") } else { format!("notches {first} to {last}") };
        format!(
            "{ends} on {} of {} notches, in the middle: {notches} ({left} free at the left, {right} at the right)",
            winding.used, winding.notches
        )
    };
    let mut more = vec![match winding.path {
        WarpPath::Zigzag => {
            "Up one notch and down the next, always with the same tension; the near bar is the one before you."
                .into()
        }
        WarpPath::Round => {
            "Round and round the frame, one turn to a notch, always with the same tension; the near bar is the \
             one before you."
                .into()
        }
    }];
    if winding.strands > 1 {
        let lies = if piece.loom.strands_per_end() > 1 { 1 } else { winding.strands };
        let last = piece.ends.last().map_or(0, |end| end.notch);
        let left = piece.ends.iter().filter(|end| end.notch == last).count() as u32;
        // An odd end has the last notch to itself.
        let odd = if winding.used > 1 && left < lies {
            let notch = winding.first_notch + last + 1;
            format!(
                ", but {} in notch {notch}, the last",
                if left == 1 { "one".to_owned() } else { left.to_string() }
            )
        } else {
            String::new()
        };
        more.push(format!(
            "{} strands lie in each notch{odd}: lengths that go through the same notches are laid side by side and wound \
             as one.",
            winding.strands
        ));
    }
    let elsewhere = |group: &Vec<&Block>| {
        group.iter().any(|block| notch(winding, piece, block.first) != notch(winding, piece, group[0].first))
    };
    if winding.alike().iter().any(elsewhere) {
        more.push(
            "What is wound alike is said once. Wind all of it, each length where its ends are, and leave the notches between \
             free for what comes next."
                .into(),
        );
    }
    WindingStep { words, more }
}

/// Which loops a length of warp makes round the bars; `makes` begins the sentence.
fn loops(makes: &str, near: u32, far: u32) -> String {
    let at = |count: u32, bar: &str| format!("{} at the {bar} bar", counted(count, "loop", "loops"));
    match (near, far) {
        (0, 0) => format!("{makes} no loop."),
        (near, 0) => format!("{makes} {}.", at(near, "near")),
        (0, far) => format!("{makes} {}.", at(far, "far")),
        (near, far) => format!("{makes} {} and {}.", at(near, "near"), at(far, "far")),
    }
}

fn notch(winding: &Winding, piece: &Piece, end: u32) -> u32 {
    winding.first_notch + piece.ends.get(end as usize).map_or(0, |end| end.notch)
}

fn last_end(block: &Block) -> u32 {
    block.first + block.ends.saturating_sub(1) * block.every
}

/// Which of the ends from the first to the last a length makes, where it isn't all of them.
fn every(block: &Block, winding: &Winding) -> String {
    let several = winding.ends_in_notch();
    match block.every {
        _ if block.ends < 2 || block.every == 1 => String::new(),
        2 if several == 1 => ", every second notch".to_owned(),
        2 => ", every second end".to_owned(),
        3 => ", every third end".to_owned(),
        4 => ", every fourth end".to_owned(),
        every => format!(", one of every {every} ends"),
    }
}

/// Blocks that are wound alike: what is done with each, how often, and where.
fn group_step(
    first: &Block,
    group: &[&Block],
    winding: &Winding,
    piece: &Piece,
    units: Units,
) -> WindingStep {
    let ends: Vec<(u32, u32)> = group.iter().map(|block| (block.first, last_end(block))).collect();
    let notches: Vec<(u32, u32)> =
        ends.iter().map(|&(a, b)| (notch(winding, piece, a), notch(winding, piece, b))).collect();
    let (ends, notches) = (once_each(ends), once_each(notches));
    let (begins, finishes) = (bar(first.begins), bar(first.finishes));
    let knots = match (first.ends, begins == finishes) {
        (1, true) => format!("tie both its ends at the {begins} bar"),
        (1, false) => format!("tie it at the {begins} bar and at the {finishes} bar"),
        (_, true) => format!("tie it at the {begins} bar in its first and in its last notch"),
        (_, false) => {
            format!("tie it at the {begins} bar in its first notch and at the {finishes} bar in its last")
        }
    };
    let one = first.ends == 1;
    let words = format!(
        "{}: cut {} lengths of {}, each for {}{}: {} {} ({} {})",
        yarn(piece, first.yarn),
        group.len(),
        super::cut(first.cut(), units),
        counted(first.ends, "end", "ends"),
        every(first, winding),
        if one { "end" } else { "ends" },
        places(&ends, "end", "ends"),
        if one { "notch" } else { "notches" },
        places(&notches, "notch", "notches"),
    );
    let more = vec![format!("For each, {knots}."), loops("Each makes", first.loops_near, first.loops_far)];
    WindingStep { words, more }
}

/// What lies side by side goes through the same places: they are named once, where as many lie in each.
fn once_each(places: Vec<(u32, u32)>) -> Vec<(u32, u32)> {
    let mut once = places.clone();
    once.dedup();
    let many = places.len() / once.len().max(1);
    let alike = places.chunks(many.max(1)).zip(&once).all(|(run, place)| run.iter().all(|one| one == place));
    if alike && many * once.len() == places.len() { once } else { places }
}

/// Up to how many places are named one by one.
const NAMED: usize = 3;

/// Where things stand that are alike, from 0: "1 to 2, 5 to 6 and 9 to 10", or "1 to 2, 5 to 6 and so on every 4 ends,
/// the last 21 to 22" where there are more at even distances.
fn places(ranges: &[(u32, u32)], one: &str, many: &str) -> String {
    let name = |&(first, last): &(u32, u32)| {
        if first == last { format!("{}", first + 1) } else { format!("{} to {}", first + 1, last + 1) }
    };
    let step = ranges.get(1).zip(ranges.first()).map_or(0, |(second, first)| second.0 - first.0);
    let even = ranges.windows(2).all(|pair| pair[1].0 - pair[0].0 == step);
    match ranges {
        [first, second, .., last] if even && ranges.len() > NAMED => {
            let every = counted(step, one, many);
            format!("{}, {} and so on every {every}, the last {}", name(first), name(second), name(last))
        }
        _ => {
            let names: Vec<String> = ranges.iter().map(name).collect();
            super::list(&names)
        }
    }
}

fn block_step(block: &Block, winding: &Winding, piece: &Piece, units: Units) -> WindingStep {
    let notch = |end: u32| notch(winding, piece, end) + 1;
    let last = last_end(block);
    let every = every(block, winding);
    let which = super::ends(block.first, last);
    let knots = if block.ends == 1 && block.begins != block.finishes {
        format!("tie it at the near bar and at the far bar, notch {}", notch(block.first))
    } else {
        format!(
            "tie it at the {} bar, notch {}, and at the {} bar, notch {}",
            bar(block.begins),
            notch(block.first),
            bar(block.finishes),
            notch(last)
        )
    };
    let words = format!(
        "{}: cut {} for {} ({which}{every}); {knots}",
        yarn(piece, block.yarn),
        super::cut(block.cut(), units),
        counted(block.ends, "end", "ends"),
    );
    let more = vec![loops("It makes", block.loops_near, block.loops_far)];
    WindingStep { words, more }
}

/// What a drawing of the winding has written beside a notch.
#[must_use]
pub fn notch_told(number: u32) -> String {
    format!("notch {number}")
}

/// What a drawing of the winding has written where a length of yarn is tied first, and where it is tied last.
pub const TIED: [&str; 2] = ["start", "finish"];

/// The ends of a warp that a picture shows at each side; what lies between is left out of a wide one.
const SHOWN: usize = 10;

/// The warp seen from the front, as text: both bars with their loops (`---`) and knots (`*`), the ends between
/// them. A wide warp shows its two sides. Lengths that lie among each other are shown one after the other.
#[must_use]
pub fn picture(winding: &Winding, piece: &Piece) -> Vec<String> {
    if winding.blocks.iter().all(|block| block.every == 1) {
        return pictured(winding, piece, &winding.blocks.iter().collect::<Vec<_>>());
    }
    let mut lines = Vec::new();
    for group in winding.alike() {
        let mut apart: Vec<&Block> = Vec::new();
        for block in group {
            if apart
                .iter()
                .all(|other| notch(winding, piece, other.first) != notch(winding, piece, block.first))
            {
                apart.push(block);
            }
        }
        lines.extend(apart.first().map(|block| format!("{}:", yarn(piece, block.yarn))));
        lines.extend(pictured(winding, piece, &apart));
    }
    lines
}

fn pictured(winding: &Winding, piece: &Piece, blocks: &[&Block]) -> Vec<String> {
    let count = piece.ends.len();
    let shown: Vec<usize> = if count <= 2 * SHOWN + 4 {
        (0..count).collect()
    } else {
        (0..SHOWN).chain(count - SHOWN..count).collect()
    };
    let (loops, knots) = at_bars(winding, blocks, count);
    let mut wound = vec![false; count];
    blocks.iter().flat_map(|block| block.ends()).for_each(|end| wound[end as usize] = true);
    // Each end with what joins it to the next, three columns wide.
    let row = |mark: &dyn Fn(usize) -> String, joint: &dyn Fn(usize) -> bool| {
        let mut line = String::new();
        for (k, &end) in shown.iter().enumerate() {
            let mark = mark(end);
            let width = mark.len();
            line.push_str(&mark);
            match shown.get(k + 1) {
                None => {}
                Some(&next) if next == end + 1 => {
                    let fill = if joint(end) { '-' } else { ' ' };
                    line.extend(std::iter::repeat_n(fill, 3 - width.min(3)));
                }
                Some(_) => line.push_str(if width > 1 { " ...  " } else { "  ...  " }),
            }
        }
        line.trim_end().to_owned()
    };
    let bar = |at: usize| {
        let knots = &knots[at];
        let loops = &loops[at];
        let mark = |end: usize| match (knots[end], wound[end], end > 0 && loops[end - 1] && loops[end]) {
            (true, ..) => "*",
            (_, true, _) => "+",
            (_, _, true) => "-",
            _ => " ",
        };
        row(&|end| mark(end).to_owned(), &|end| loops[end])
    };
    let number = |end: usize| {
        let told = end == 0 || (end + 1).is_multiple_of(5) || end + 1 == count;
        if told { (end + 1).to_string() } else { " ".into() }
    };
    let strand = row(&|end| if wound[end] { "|".into() } else { " ".into() }, &|_| false);
    vec![
        format!("far   {}", bar(1)),
        format!("      {strand}"),
        format!("      {strand}"),
        format!("near  {}", bar(0)),
        format!("ends  {}", row(&number, &|_| false)),
    ]
}

/// For each bar, near and far: whether a loop lies between an end and the next, and whether a knot sits at it.
fn at_bars(winding: &Winding, blocks: &[&Block], count: usize) -> ([Vec<bool>; 2], [Vec<bool>; 2]) {
    let at = |bar: Bar| usize::from(bar == Bar::Far);
    let mut loops = [vec![false; count], vec![false; count]];
    let mut knots = [vec![false; count], vec![false; count]];
    for block in blocks {
        let mut last: Option<Length> = None;
        for length in winding.lengths(block) {
            if let Some(last) = last.filter(|last| last.end != length.end) {
                loops[at(length.from)][last.end as usize..length.end as usize].fill(true);
            }
            last = Some(length);
        }
        if let Some(last) = last {
            knots[at(block.begins)][block.first as usize] = true;
            knots[at(block.finishes)][last.end as usize] = true;
        }
    }
    (loops, knots)
}
