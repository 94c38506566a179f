//! Slits: where rows on either side turn back between two ends, and none goes across.

use super::{Finding, Kind, Severity, Where};
use crate::piece::Piece;
use crate::quantity::Mm;
use crate::side::Span;

/// A slit as long as this is seen, and catches. Common practice, no source.
const SEEN: Mm = Mm::new(10.0);

/// What lies open between an end and the next one, since a row went across.
#[derive(Clone, Copy, Default)]
struct Open {
    /// The height of the row that went across last.
    from: Mm,
    /// Whether any row ever did.
    joined: bool,
    /// The first row and the last that turned back on the left, and those on the right.
    turned: [Option<(u32, u32)>; 2],
}

impl Open {
    /// How long it is at this height, and its rows; `None` unless rows turn back on both sides.
    fn slit(self, height: Mm) -> Option<(Mm, (u32, u32))> {
        let [Some(left), Some(right)] = self.turned else { return None };
        Some((height - self.from, (left.0.min(right.0), left.1.max(right.1))))
    }
}

/// One finding about the longest slit and how many there are. A piece that no row joins from bottom to top falls into strips,
/// which is found elsewhere.
pub(super) fn findings(piece: &Piece) -> Option<Finding> {
    let mut gaps = vec![Open::default(); piece.ends.len().saturating_sub(1)];
    let mut slits: Vec<(Mm, (u32, u32), u32)> = Vec::new();
    let mut fell = Mm::ZERO;
    for (number, row) in (0..).zip(&piece.rows) {
        let span = piece.crossings(number).span();
        fell = fell.max(row.height);
        let mut turn = |gap: Option<u32>, side: usize| {
            if let Some(open) = gap.and_then(|gap| gaps.get_mut(gap as usize)) {
                let first = open.turned[side].map_or(number, |(first, _)| first);
                open.turned[side] = Some((first, number));
            }
        };
        turn(Some(span.last()), 0);
        turn(span.first().checked_sub(1), 1);
        for gap in span.first()..span.last() {
            let open = &mut gaps[gap as usize];
            if let Some((length, rows)) = open.slit(row.height) {
                slits.push((length, rows, gap));
            }
            *open = Open { from: row.height, joined: true, ..Open::default() };
        }
    }
    let left = (0..).zip(&gaps).filter(|(_, open)| open.joined);
    slits.extend(left.filter_map(|(gap, open)| open.slit(fell).map(|(length, rows)| (length, rows, gap))));
    slits.retain(|(length, ..)| *length >= SEEN);
    let &(length, rows, gap) =
        slits.iter().max_by(|a, b| a.0.mm().total_cmp(&b.0.mm()).then(b.2.cmp(&a.2)))?;
    let at = Where { rows, ends: Span::new(gap, gap + 1)?, ..Where::everywhere(piece) };
    let kind = Kind::Slits { left: gap, length, count: slits.len() as u32 };
    Some(Finding { severity: Severity::Note, at, kind })
}
