//! What a band's own changes do to its rows.

use fellmark_core::piece::Piece;
use fellmark_core::side::Pass;
use fellmark_core::sound::{Finding, Kind};
use fellmark_laws::plans::{Tape, head};
use fellmark_laws::run::{Case, on_plans, on_texts};
use std::fmt::Write;

fn opening(tape: &mut Tape<'_>) -> String {
    let runs = tape.from_to(1, 2);
    (0..runs)
        .map(|_| format!("over {}, under {}", tape.from_to(1, 5), tape.from_to(1, 5)))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Three bands of two wefts: an opening with its opposite, the same exchanged, and that exchanged again.
fn exchanged(tape: &mut Tape<'_>) -> String {
    let mut text = head(tape.from_to(1, 40), "");
    if tape.once_in(2) {
        text.push_str("[weft.foam]\nfrom = \"right\"\n");
    }
    let (opening, rows) = (opening(tape), tape.from_to(1, 9));
    let _ = write!(
        text,
        "[band.pools]\nwefts = [\"slate\", \"foam\"]\nopening = \"{opening}\"\nopposite = true\nrows = {rows}\n"
    );
    if tape.once_in(2) {
        let _ = writeln!(
            text,
            "step = \"{} {} every pair\"",
            tape.from_to(1, 3),
            tape.one_of(&["right", "left"])
        );
    }
    text + "[band.shoals]\nlike = \"pools\"\nexchanged = true\n\
            [band.pools-again]\nlike = \"shoals\"\nexchanged = true\n\
            [piece]\nbands = [\"pools\", \"shoals\", \"pools-again\"]\n"
}

fn row_of(piece: &Piece, place: usize, row: u32) -> (usize, Vec<Pass>) {
    let number = piece.places[place].first_row + row;
    let crossings = piece.crossings(number);
    (piece.row(number).weft.0, crossings.span().ends().filter_map(|end| crossings.pass(end)).collect())
}

/// The weft that shows at each end of two rows in opposite openings.
fn shows(piece: &Piece, place: usize, pair: u32) -> Vec<usize> {
    let (first, second) = (row_of(piece, place, 2 * pair), row_of(piece, place, 2 * pair + 1));
    first.1.iter().map(|pass| if pass.is_over() { first.0 } else { second.0 }).collect()
}

#[test]
fn exchanging_changes_the_colour_that_shows_and_twice_is_the_band_again() {
    on_texts(41, 500, exchanged, |case| {
        let piece = &case.study.piece;
        // A band may begin on its next row, so that it does not repeat the opening below: then it is compared
        // from there.
        let skip = |place: usize| u32::from(row_of(piece, place, 0).1 != row_of(piece, 0, 0).1);
        let rows = piece.places[0].rows;
        for row in 0..rows - 1 {
            let (first, second, third) =
                (row_of(piece, 0, row), row_of(piece, 1, row), row_of(piece, 2, row));
            if skip(1) == 0 && (first.1 != second.1 || first.0 == second.0) {
                return Err(format!("row {row}: {first:?} {second:?}"));
            }
            if skip(2) == 0 && first != third {
                return Err(format!("row {row}: {first:?} {third:?}"));
            }
        }
        if skip(1) == 0 {
            for pair in 0..rows / 2 {
                let (pools, shoals) = (shows(piece, 0, pair), shows(piece, 1, pair));
                if pools.iter().zip(&shoals).any(|(a, b)| a == b) {
                    return Err(format!("pair {pair}: {pools:?} {shoals:?}"));
                }
            }
        }
        Ok(())
    });
}

/// A stepped opening may come upon the one below by its steps; then it is told.
#[test]
fn no_two_neighbouring_rows_share_an_opening_where_bands_are_exchanged() {
    on_texts(42, 500, exchanged, |case| {
        let piece = &case.study.piece;
        for row in 1..piece.row_count() {
            let place = piece.row(row).place;
            let said =
                |f: &Finding| matches!(f.kind, Kind::SameOpeningAcross { above, .. } if above == place);
            if place != piece.row(row - 1).place
                && piece.crossings(row) == piece.crossings(row - 1)
                && (!case.text.contains("step = ") || !case.study.findings.iter().any(said))
            {
                return Err(format!("rows {row} and {}", row + 1));
            }
        }
        Ok(())
    });
}

/// "A band like another starts from that band's finished rows, then applies its own": with no changes of its
/// own it has the same rows, wherever a needle comes from the same side.
#[test]
fn a_band_like_another_without_changes_has_its_rows() {
    on_plans(43, 500, |case| {
        let text = case.text.split("[piece]").next().unwrap_or_default();
        let last = (0..4).rev().find(|k| text.contains(&format!("[band.b{k}]"))).unwrap_or_default();
        let text =
            format!("{text}[band.copy]\nlike = \"b{last}\"\n[piece]\nbands = [\"b{last}\", \"copy\"]\n");
        let copy = Case::of(text)?;
        let piece = &copy.study.piece;
        if piece.places[0].rows != piece.places[1].rows {
            return Err(format!("other rows:\n{}", copy.text));
        }
        let (mut first, mut second) = (piece.places[0].row_range(), piece.places[1].row_range());
        let started = copy.study.piece.resolved.iter().any(|r| format!("{r:?}").contains("StartedOnNext"));
        if started {
            return Ok(());
        }
        for (a, b) in first.by_ref().zip(second.by_ref()) {
            if piece.row(a).from == piece.row(b).from && piece.crossings(a) != piece.crossings(b) {
                return Err(format!("rows {} and {} differ:\n{}", a + 1, b + 1, copy.text));
            }
        }
        Ok(())
    });
}

/// "Each row goes over the first end it meets and under the last, whatever the weave says."
#[test]
fn edges_taken_go_over_the_first_end_they_meet_and_under_the_last() {
    on_plans(44, 300, |case| {
        let text = case.text.replacen("name = \"Trial\"", "name = \"Trial\"\n#", 1);
        let keys: Vec<&str> =
            text.lines().filter(|line| !line.starts_with("edges") && !line.starts_with("touched")).collect();
        let text = keys.join("\n").replacen("\n#", "\nedges = \"taken\"", 1);
        let taken = Case::of(text)?;
        let piece = &taken.study.piece;
        for row in 0..piece.row_count() {
            let (from, crossings) = (piece.row(row).from, piece.crossings(row));
            let (first, last) = (crossings.span().edge(from), crossings.span().edge(from.other()));
            let passes = (crossings.pass(first), crossings.pass(last));
            if first != last && passes != (Some(Pass::Over), Some(Pass::Under)) {
                return Err(format!("row {}: {passes:?}", row + 1));
            }
        }
        // Where all rows span the same ends, every turn is caught then.
        if piece.grid.is_full() && piece.end_count() > 1 {
            let state = |turn: &fellmark_core::walk::Turn| turn.state;
            let caught = taken.study.walk.turns().all(|t| state(t) == fellmark_core::walk::TurnState::Caught);
            return if caught { Ok(()) } else { Err("a loose turn".into()) };
        }
        Ok(())
    });
}
