//! Slits between fields that are woven beside each other (a *slit* as tapestry weavers have it: common practice, no source).

mod common;

use common::on_slate;
use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Finding, Kind, Severity};
use fellmark_core::study::Study;

/// A field over these ends: so many rows of plain weave.
fn field(name: &str, weft: &str, ends: &str, rows: u32) -> String {
    format!("[band.{name}]\nwefts = [\"{weft}\"]\nweave = \"plain\"\nends = \"{ends}\"\nrows = {rows}\n")
}

/// Bands in this order between two hems over all 24 ends.
fn between_hems(bands: &str, order: &str) -> Study {
    let hem = "[band.hem]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 4\n";
    on_slate(24, &format!("[piece]\nbands = [\"hem\", {order}, \"hem\"]\n{hem}{bands}"))
}

fn slits(study: &Study) -> Option<&Finding> {
    study.findings.iter().find(|finding| matches!(finding.kind, Kind::Slits { .. }))
}

#[test]
fn fields_that_turn_back_beside_each_other_leave_a_slit_as_long_as_they_are_tall() {
    let fields = field("left", "slate", "1 to 12", 20) + &field("right", "foam", "13 to 24", 20);
    let study = between_hems(&fields, "\"left\", \"right\"");
    let found = slits(&study).expect("a slit");
    let Kind::Slits { left, length, count } = found.kind else { unreachable!() };
    assert_eq!((found.severity, left, count), (Severity::Note, 11, 1));
    // From the last row of the hem below (row 4) to the first of the hem above (row 45).
    assert_eq!(length, study.piece.row(44).height - study.piece.row(3).height);
    assert!(length > Mm::new(15.0), "{length:?}");
    assert_eq!((found.at.rows, found.at.ends.first(), found.at.ends.last()), ((4, 43), 11, 12));
    let words = say::finding(found, &study.piece, Units::Metric).to_string();
    assert!(
        words.starts_with("Between ends 12 and 13 no row goes across from row 5 to row 44: a slit of "),
        "{words}"
    );
}

#[test]
fn the_longest_is_told_and_the_others_are_counted() {
    let fields = field("a", "slate", "1 to 8", 16)
        + &field("b", "foam", "9 to 16", 16)
        + &field("c", "slate", "17 to 24", 16);
    let lower = field("d", "slate", "1 to 12", 30) + &field("e", "foam", "13 to 24", 30);
    let study = between_hems(&(fields + &lower), "\"a\", \"b\", \"c\", \"hem\", \"d\", \"e\"");
    let found = slits(&study).expect("slits");
    let Kind::Slits { left, count, .. } = found.kind else { unreachable!() };
    assert_eq!((left, count), (11, 3));
    assert!(
        say::finding(found, &study.piece, Units::Metric).to_string().ends_with(" 2 shorter ones elsewhere.")
    );
}

#[test]
fn what_is_no_slit_is_not_called_one() {
    // Too short to be seen: four rows of this wool are some 3 mm.
    let short = field("left", "slate", "1 to 12", 4) + &field("right", "foam", "13 to 24", 4);
    assert_eq!(slits(&between_hems(&short, "\"left\", \"right\"")), None);
    // A wedge beside bare ends: nothing turns back on the other side.
    assert_eq!(slits(&between_hems(&field("left", "slate", "1 to 12", 30), "\"left\"")), None);
    // Each row over all ends.
    assert_eq!(slits(&between_hems(&field("all", "foam", "1 to 24", 40), "\"all\"")), None);
    // From bottom to top it is two strips, which is found by that name.
    let strips = field("left", "slate", "1 to 12", 30) + &field("right", "foam", "13 to 24", 30);
    let study = on_slate(24, &format!("[piece]\nbands = [\"left\", \"right\"]\n{strips}"));
    assert_eq!(slits(&study), None);
    assert!(study.findings.iter().any(|finding| matches!(finding.kind, Kind::FallsApart { .. })));
}
