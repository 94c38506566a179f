//! How to wind the warp, line by line, and a picture of it in text.

use super::{Units, counted, length, yarn};
use crate::piece::Piece;
use crate::plan::WarpPath;
use crate::warp::{Bar, Block, Winding, outer_width};

fn bar(bar: Bar) -> &'static str {
    match bar {
        Bar::Near => "near",
        Bar::Far => "far",
    }
}

/// The instructions, in the order in which they are followed.
#[must_use]
pub fn winding(winding: &Winding, piece: &Piece, units: Units) -> Vec<String> {
    let (first, last) = (winding.first_notch + 1, winding.first_notch + winding.used);
    let spare = winding.notches - winding.used;
    let (left, right) = (winding.first_notch, spare - winding.first_notch);
    let mut lines = vec![
        format!(
            "{} on {} of {} notches, in the middle: notches {first} to {last} ({left} free at the left, {right} at \
             the right).",
            super::sentence(&counted(piece.end_count(), "end", "ends")),
            winding.used,
            winding.notches,
        ),
        match winding.path {
            WarpPath::Zigzag => {
                "Up one notch and down the next, always with the same tension; the near bar is the one before you."
                    .into()
            }
            WarpPath::Round => {
                "Round and round the frame, one turn to a notch, always with the same tension; the near bar is the \
                 one before you."
                    .into()
            }
        },
    ];
    if winding.strands > 1 {
        lines.push(format!("{} strands lie in each notch.", winding.strands));
    }
    for block in &winding.blocks {
        lines.push(block_line(block, winding, piece, units));
    }
    lines.push(format!(
        "Count before you weave: {}; outer ends {} apart.",
        counted(piece.end_count(), "end", "ends"),
        length(outer_width(piece), units)
    ));
    lines
}

fn block_line(block: &Block, winding: &Winding, piece: &Piece, units: Units) -> String {
    let notch = |end: u32| winding.first_notch + piece.ends.get(end as usize).map_or(0, |end| end.notch) + 1;
    let last = block.first + (block.ends.saturating_sub(1)) * block.every;
    let every = if block.every == 2 { ", every second notch" } else { "" };
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
    format!(
        "{}: cut {} for {} ({which}{every}); {knots}. It makes {} at the near bar and {} at the far bar.",
        super::sentence(yarn(piece, block.yarn)),
        length(block.cut(), units),
        counted(block.ends, "end", "ends"),
        counted(block.loops_near, "loop", "loops"),
        counted(block.loops_far, "loop", "loops"),
    )
}

/// The ends of a warp that a picture shows at each side; what lies between is left out of a wide one.
const SHOWN: usize = 10;

/// The warp seen from the front, as text: both bars with their loops (`---`) and knots (`*`), the ends between
/// them. A wide warp shows its two sides.
#[must_use]
pub fn picture(winding: &Winding, piece: &Piece) -> Vec<String> {
    let count = piece.ends.len();
    let shown: Vec<usize> = if count <= 2 * SHOWN + 4 {
        (0..count).collect()
    } else {
        (0..SHOWN).chain(count - SHOWN..count).collect()
    };
    let (loops, knots) = at_bars(winding, count);
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
        row(&|end| if knots[end] { "*".into() } else { "+".into() }, &|end| loops[end])
    };
    let number = |end: usize| {
        let told = end == 0 || (end + 1).is_multiple_of(5) || end + 1 == count;
        if told { (end + 1).to_string() } else { " ".into() }
    };
    let strand = row(&|_| "|".into(), &|_| false);
    vec![
        format!("far   {}", bar(1)),
        format!("      {strand}"),
        format!("      {strand}"),
        format!("near  {}", bar(0)),
        format!("ends  {}", row(&number, &|_| false)),
    ]
}

/// For each bar, near and far: whether a loop lies between an end and the next, and whether a knot sits at it.
fn at_bars(winding: &Winding, count: usize) -> ([Vec<bool>; 2], [Vec<bool>; 2]) {
    let mut loops = [vec![false; count], vec![false; count]];
    let mut knots = [vec![false; count], vec![false; count]];
    for block in &winding.blocks {
        let ends: Vec<usize> = block.ends().map(|end| end as usize).collect();
        let lengths = (block.loops_near + block.loops_far + 1) / block.ends.max(1);
        for (k, pair) in (1..).zip(ends.windows(2)) {
            // After an odd number of lengths the yarn is at the far bar.
            let far = winding.path == WarpPath::Zigzag && (k * lengths.max(1)) % 2 == 1;
            loops[usize::from(far)][pair[0]..pair[1]].fill(true);
        }
        if let (Some(&first), Some(&last)) = (ends.first(), ends.last()) {
            knots[usize::from(block.begins == Bar::Far)][first] = true;
            knots[usize::from(block.finishes == Bar::Far)][last] = true;
        }
    }
    (loops, knots)
}
