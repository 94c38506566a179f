//! A piece written out row by row as another plan: as it is, or in a mirror.

use fellmark_core::piece::Piece;
use fellmark_core::side::{Pass, Side};
use std::fmt::Write;

/// The plan of the same rows, all of them written out, sides and ranges and rows mirrored if it is asked. The rows are
/// those of a plan whose text begins with `head`: its loom, yarns and warp.
#[must_use]
pub fn written_out(head: &str, piece: &Piece, mirrored: bool, habits: &str) -> String {
    let tables = ["[weft.", "[habits]", "[band."].map(|table| head.find(table).unwrap_or(head.len()));
    let above = &head[..tables.into_iter().min().unwrap_or_default()];
    // The rows are as the edges have made them.
    let kept: Vec<&str> = above.lines().filter(|line| !line.starts_with("edges")).collect();
    let mut text = kept.join("\n") + "\n";
    for weft in &piece.wefts {
        let from = if mirrored { weft.from.other() } else { weft.from };
        let from = if from == Side::Left { "left" } else { "right" };
        let doubled = weft.strands > 1;
        let _ = writeln!(text, "[weft.\"{}\"]\nfrom = \"{from}\"\ndoubled = {doubled}", weft.name);
    }
    // A band that is not woven names the wefts first, so that they come in the same order.
    let order: Vec<String> = piece.wefts.iter().map(|weft| format!("\"{}\"", weft.name)).collect();
    let _ = writeln!(text, "[band.order]\nwefts = [{}]\nweave = \"plain\"\nrows = 1", order.join(", "));
    let mut names = Vec::new();
    for (number, place) in piece.places.iter().enumerate() {
        names.push(format!("\"b{number}\""));
        let wefts: Vec<String> =
            place.row_range().map(|row| format!("\"{}\"", piece.wefts[piece.row(row).weft.0].name)).collect();
        let rows: Vec<String> = place.row_range().map(|row| written_row(piece, row, mirrored)).collect();
        let _ =
            writeln!(text, "[band.b{number}]\nwefts = [{}]\nrows = [{}]", wefts.join(", "), rows.join(", "));
        if let Some(apart) = piece.row(place.first_row).apart {
            let _ = writeln!(text, "beat = \"1 row per {} mm\"", apart.mm());
        }
    }
    let _ = writeln!(text, "[piece]\nbands = [{}]\n{habits}", names.join(", "));
    if let Some(header) = &piece.header {
        let _ = writeln!(text, "[header]\nlength = \"{}\"", header.length.typed);
        if let Some(rows) = header.rows() {
            let _ = writeln!(text, "yarn = \"{}\"", piece.yarns[rows.wefts[0].yarn.0].name);
        }
    }
    text
}

fn written_row(piece: &Piece, row: u32, mirrored: bool) -> String {
    let crossings = piece.crossings(row);
    let span = crossings.span();
    let mut passes: Vec<Pass> = span.ends().filter_map(|end| crossings.pass(end)).collect();
    let (mut first, mut last) = (span.first(), span.last());
    if mirrored {
        passes.reverse();
        (first, last) = (piece.end_count() - 1 - last, piece.end_count() - 1 - first);
    }
    let words: Vec<&str> =
        passes.iter().map(|pass| if pass.is_over() { "over 1" } else { "under 1" }).collect();
    format!("{{ row = \"{}\", ends = \"{} to {}\" }}", words.join(", "), first + 1, last + 1)
}
