//! Where the width is measured while weaving: every few centimetres, over the whole width, best after a plain row, and
//! never where nothing follows from it (common practice, no source).

use fellmark_core::quantity::Mm;
use fellmark_core::side::{Side, Span};
use fellmark_core::study::Study;
use fellmark_core::walk::Step;
use fellmark_core::weaving::Woven;
use fellmark_core::width::measured_before;
use fellmark_laws::run::{Case, on_plans};

/// How high the fell lies when so many rows are woven.
fn fell(study: &Study, rows: u32) -> f64 {
    study.piece.rows[..rows as usize].iter().map(|row| row.height.mm()).fold(0.0, f64::max)
}

fn is_plain(study: &Study, row: u32) -> bool {
    study.piece.crossings(row).runs(Side::Left).all(|run| run.ends == 1)
}

#[test]
fn it_is_measured_every_few_centimetres_over_the_whole_width() {
    let measured = std::cell::Cell::new(0_usize);
    on_plans(61, 1500, |case| {
        let study = &case.study;
        let piece = &study.piece;
        let spans = (0..piece.row_count()).map(|row| piece.crossings(row).span());
        let whole = spans.reduce(Span::hull).ok_or("no row")?;
        let rows = measured_before(piece);
        if whole.len() == 1 {
            // A single end has no width to lose.
            return if rows.is_empty() { Ok(()) } else { Err("a single end is measured".into()) };
        }
        measured.set(measured.get() + rows.len());
        let top = fell(study, piece.row_count());
        let is_whole = |row: &u32| piece.crossings(row - 1).span() == whole;
        // First about 1.5 cm up, and from there every 4 cm, each a quarter more or less.
        let (mut last, mut on) = (0.0, 15.0);
        for &row in &rows {
            let here = fell(study, row);
            if !is_whole(&row) || here - last < on * 0.75 - 1e-9 || top - here < 20.0 - 1e-9 {
                return Err(format!("measured before row {} at {here} of {top} mm", row + 1));
            }
            // A better place near by would have been taken.
            let near = |row: &u32| (last + on * 0.75..=last + on * 1.25).contains(&fell(study, *row));
            let mut others = (1..piece.row_count()).filter(near).filter(is_whole);
            let useful = |row: &u32| top - fell(study, *row) >= 20.0;
            if !is_plain(study, row - 1) && others.any(|row| useful(&row) && is_plain(study, row - 1)) {
                return Err(format!("a plain row near row {} would be better", row + 1));
            }
            (last, on) = (here, 40.0);
        }
        // And it is not forgotten.
        let forgotten = (1..piece.row_count()).filter(is_whole).find(|row| {
            let here = fell(study, *row);
            here - last > on * 1.25 + 1.0 && top - here >= 20.0
        });
        forgotten
            .map_or(Ok(()), |row| Err(format!("never measured past {last} mm, as before row {}", row + 1)))
    });
    assert!(measured.get() > 60, "only {} measured", measured.get());
}

#[test]
fn what_is_measured_is_the_width_on_the_loom_and_leaves_nothing_in_a_row_as_woven() {
    on_plans(62, 300, |case| {
        let study = &case.study;
        let rows = measured_before(&study.piece);
        for (row, walk) in (0_u32..).zip(&study.walk.rows) {
            let widths: Vec<_> = walk
                .before
                .iter()
                .filter_map(|step| match step {
                    Step::Measure { width } => Some(*width),
                    _ => None,
                })
                .collect();
            let expected: &[_] = if rows.contains(&row) { &[study.size.on_loom.width] } else { &[] };
            if widths != expected || widths.len() == 1 && !matches!(walk.before[0], Step::Measure { .. }) {
                return Err(format!("before row {}: {:?}", row + 1, walk.before));
            }
        }
        let mut unmeasured = study.walk.clone();
        for row in &mut unmeasured.rows {
            row.before.retain(|step| !matches!(step, Step::Measure { .. }));
        }
        let woven = |walk| -> Vec<_> {
            (0..study.piece.row_count()).map(|row| Woven::of(&study.piece, walk, row)).collect()
        };
        if woven(&unmeasured) == woven(&study.walk) { Ok(()) } else { Err("another row as woven".into()) }
    });
}

#[test]
fn it_is_measured_at_the_same_places_from_the_back_and_in_a_mirror() {
    on_plans(63, 300, |case| {
        let study = &case.study;
        let here = measured_before(&study.piece);
        for there in [study.turned(), study.mirrored()] {
            let off = |a: Mm, b: Mm| (a - b).mm().abs() > 1e-6;
            let (width, seen) = (study.size.on_loom.width, there.size.on_loom.width);
            if measured_before(&there.piece) != here
                || off(width.likely, seen.likely)
                || off(width.low, seen.low)
                || off(width.high, seen.high)
            {
                return Err(format!("{here:?}, {width:?}, {seen:?}"));
            }
        }
        Ok(())
    });
}

#[test]
fn a_piece_too_short_to_mend_its_width_is_not_measured() {
    let case = Case::written(include_str!("../../../examples/sandpiper-earrings.toml"));
    let short = case.study.up_to(20).unwrap();
    assert!(fell(&short, 20) < 30.0);
    assert_eq!(measured_before(&short.piece), [] as [u32; 0]);
    // Of the whole one enough is left to weave.
    assert_eq!(measured_before(&case.study.piece).len(), 1);
}
