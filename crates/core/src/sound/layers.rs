//! Whether the cloth hangs together, and ends and rows that never interlace.

use super::{Finding, Kind, Severity, Where};
use crate::habits::Habits;
use crate::hang;
use crate::piece::Piece;
use crate::side::{Pass, Side, Span};
use crate::walk::Walk;
use crate::warp;

/// Layers, as a cut cloth and as the piece, and strands that never interlace. On one end there is no cloth to fall into
/// layers.
pub fn findings(piece: &Piece, walk: &Walk, habits: &Habits) -> Vec<Finding> {
    let mut found = never(piece);
    let cut = hang::layers(&piece.grid);
    if cut.hangs_together() {
        return found;
    }
    if piece.end_count() == 1 {
        found.push(Finding { severity: Severity::Warning, at: Where::everywhere(piece), kind: Kind::OneEnd });
        return found;
    }
    let whole = as_piece(piece, walk, habits);
    let as_piece = !whole.hangs_together();
    // Loose single strands were told by name; layers are told where there is more to lift off.
    let cloths = cut.as_slice().iter().filter(|layer| layer.bound).count();
    if as_piece || cloths != 1 || found.is_empty() {
        found.push(Finding {
            severity: if as_piece { Severity::Error } else { Severity::Warning },
            at: Where::everywhere(piece),
            kind: Kind::FallsApart { layers: if as_piece { whole } else { cut }, as_piece },
        });
    }
    found
}

/// The layers of the piece as it is: each block of warp is one yarn, and each weft from a beginning to a cut.
fn as_piece(piece: &Piece, walk: &Walk, habits: &Habits) -> hang::Layers {
    let mut of_end = vec![0; piece.ends.len()];
    let winding = warp::wind(piece, habits);
    // Strands that are one end together lie as one.
    let blocks: Vec<&warp::Block> = winding.blocks.iter().filter(|block| block.strand == 0).collect();
    for (yarn, block) in blocks.iter().enumerate() {
        for end in block.ends() {
            of_end[end as usize] = yarn as u32;
        }
    }
    let warps = blocks.len() as u32;
    let of_row: Vec<u32> = walk.rows.iter().map(|row| warps + row.stretch as u32).collect();
    hang::layers_of_piece(&piece.grid, hang::Strands { of_rows: &of_row, of_ends: &of_end })
        .expect("each row and end was given its yarn")
}

/// Ends that all rows pass alike, and rows that pass all their ends alike, of more than one.
fn never(piece: &Piece) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut ever = [vec![false; piece.ends.len()], vec![false; piece.ends.len()]];
    let mut rows = [Vec::new(), Vec::new()];
    for row in 0..piece.row_count() {
        let crossings = piece.crossings(row);
        for end in crossings.span().ends() {
            let over = crossings.over(end).unwrap_or(false);
            ever[usize::from(over)][end as usize] = true;
        }
        let mut runs = crossings.runs(Side::Left);
        // A row over one end has nothing to change for: whether it stays is up to its turns.
        if let (Some(only), None) = (runs.next(), runs.next())
            && crossings.span().len() > 1
        {
            rows[usize::from(only.pass.is_over())].push(row);
        }
    }
    for pass in [Pass::Over, Pass::Under] {
        let (this, other) = (usize::from(pass.is_over()), usize::from(!pass.is_over()));
        let ends: Vec<u32> = (0..piece.end_count())
            .filter(|&end| ever[this][end as usize] && !ever[other][end as usize])
            .collect();
        if let (Some(&first), Some(&last)) = (ends.first(), ends.last()) {
            let span = Span::new(first, last).unwrap_or_else(|| super::all(piece));
            found.push(Finding {
                severity: Severity::Error,
                at: Where { ends: span, ..Where::everywhere(piece) },
                kind: Kind::EndsNeverInterlace { ends, pass },
            });
        }
        let rows = std::mem::take(&mut rows[this]);
        if let (Some(&first), Some(&last)) = (rows.first(), rows.last()) {
            let band = (first == last).then(|| piece.place_of(first).band);
            found.push(Finding {
                severity: Severity::Error,
                at: Where { rows: (first, last), band, ..Where::everywhere(piece) },
                kind: Kind::RowsNeverInterlace { rows, pass },
            });
        }
    }
    found
}
