//! What is put in below the first row: what it takes of the warp and of its yarn, when it goes in and comes out.

use fellmark_core::plan::{Edit, Set};
use fellmark_core::quantity::Mm;
use fellmark_core::remedy::remedies;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::Kind;
use fellmark_core::study::{Study, study};
use fellmark_core::walk::Step;
use fellmark_note::{apply, read};

const MODEL: &str = include_str!("data/model.toml");

fn with(header: &str) -> String {
    MODEL.replacen("[yarn.reed]", &format!("{header}\n[yarn.reed]"), 1)
}

fn studied(text: &str) -> Study {
    study(&read(text).unwrap_or_else(|problem| panic!("{}", problem.message)).plan).unwrap()
}

#[test]
fn what_it_takes_of_the_warp_is_not_woven() {
    let (without, card, woven) = (
        studied(MODEL),
        studied(&with("[header]\nlength = \"2 cm\"")),
        studied(&with("[header]\nlength = \"2 cm\"\nyarn = \"foam\"")),
    );
    assert_eq!(without.piece.reach() - card.piece.reach(), Mm::new(20.0));
    // What it is made of changes nothing of the piece: its band that fills is as much lower.
    assert_eq!(card.piece.rows, woven.piece.rows);
    let lower = without.cloth.highest() - card.cloth.highest();
    assert!((lower.mm() - 20.0).abs() < 2.5, "{lower:?}");
    assert!(card.cloth.highest() <= card.piece.reach() + Mm::new(1e-3));
    assert!(card.findings.iter().all(|finding| !matches!(finding.kind, Kind::TooTall { .. })));
}

#[test]
fn its_rows_are_plain_and_as_many_as_come_nearest_to_its_length() {
    let study = studied(&with("[header]\nlength = \"2 cm\"\nyarn = \"foam\""));
    let header = study.header().unwrap();
    let (rows, high) = (header.piece.row_count(), header.cloth.highest().mm());
    assert!((high - 20.0).abs() <= high / f64::from(rows), "{rows} rows are {high} mm");
    for row in 0..rows {
        let crossings = header.piece.crossings(row);
        assert!(
            crossings.span().ends().all(|end| crossings.over(end) == Some((end + row).is_multiple_of(2)))
        );
    }
    assert_eq!(header.piece.end_count(), study.piece.end_count());
    assert!(study.turned().header().unwrap().piece.turned() == header.piece, "it turns with the piece");
}

#[test]
fn its_yarn_is_told_by_itself_and_counts_with_the_rest() {
    let without = studied(MODEL);
    let with = studied(&with("[header]\nlength = \"2 cm\"\nyarn = \"foam\""));
    let of = |study: &Study, name: &str| {
        study.need.yarns.iter().find(|need| study.piece.yarns[need.yarn.0].name == name).cloned().unwrap()
    };
    let (foam, reed) = (of(&with, "foam"), of(&with, "reed"));
    assert_eq!((of(&without, "foam").header.likely, reed.header.likely), (Mm::ZERO, Mm::ZERO));
    // A row of it takes the width and the waves of plain weave, and two tails of 8 cm hang out. Peirce's path with a straight
    // warp takes 57.08 % more than the width where ends stand as far apart as both yarns are thick, and 5.61 % more at three
    // times that (F. T. Peirce, The Geometry of Cloth Structure, 1937); these stand between.
    let rows = with.header().unwrap().piece.row_count();
    let width = with.piece.spacing() * f64::from(with.piece.end_count() - 1);
    let straight = width * f64::from(rows) + Mm::new(160.0);
    let more = foam.header.likely / straight;
    assert!(more > 1.05 && more < 1.45, "{more}");
    assert_eq!(foam.total.likely, foam.warp.likely + foam.weft.likely + foam.header.likely);
    assert!(foam.header.low < foam.header.likely && foam.header.likely < foam.header.high);
    let follows =
        say::follows(&with.piece, &with.walk, &with.findings, &with.need, &with.size, Units::Metric);
    assert!(follows.to_string().contains(" for the header."), "{follows}");
    let lines = say::goes_into(&foam);
    assert!(lines.iter().any(|(name, length)| *name == "header, comes out again" && *length == foam.header));
}

#[test]
fn it_goes_in_before_the_first_row_and_comes_out_after_the_last() {
    for (yarn, words) in [
        ("yarn = \"foam\"", "weave a header of 2 cm with foam, about "),
        ("", "slip a strip of card 2 cm wide in as a header, over 1 and under 1"),
    ] {
        let study = studied(&with(&format!("[header]\nlength = \"2 cm\"\n{yarn}")));
        let rows = &study.walk.rows;
        let first = rows.first().unwrap().before.first().unwrap();
        assert!(say::step(first, &study.piece, Units::Metric).starts_with(words));
        assert_eq!(rows.last().unwrap().after.last(), Some(&Step::HeaderOut));
        let steps = rows.iter().flat_map(|row| row.before.iter().chain(&row.after));
        let count = steps.filter(|step| matches!(step, Step::Header { .. } | Step::HeaderOut)).count();
        assert_eq!(count, 2);
        assert!(say::asked(&study.piece, Units::Metric).to_string().ends_with(", above a header of 2 cm."));
        // As it was typed, where the reader measures so.
        assert!(say::asked(&study.piece, Units::Inch).to_string().ends_with(", above a header of 13/16 in."));
    }
}

#[test]
fn above_it_a_piece_may_be_too_tall_and_it_can_give_way() {
    let tall = with("[header]\nlength = \"3 cm\"").replace("length = \"fill\"", "rows = 280");
    let plan = read(&tall).unwrap().plan;
    let found = study(&plan).unwrap();
    let finding = found.findings.iter().find(|finding| matches!(finding.kind, Kind::TooTall { .. })).unwrap();
    let words = say::finding(finding, &found.piece, Units::Metric).to_string();
    assert!(words.contains(", but above the header a needle reaches 17.5 cm"), "{words}");
    let offered = remedies(&plan, &found, finding);
    let lower = |edit: &Edit| match edit {
        Edit::Set(Set::Header(Some(shorter))) => Some(shorter.clone()),
        _ => None,
    };
    let Some(shorter) = offered.iter().find_map(lower) else { panic!("{offered:?}") };
    assert!(shorter.length.value < Mm::new(30.0) && shorter.length.value > Mm::new(1.0), "{shorter:?}");
    assert!(shorter.length.typed.ends_with(" cm"), "in the unit that it was typed in: {shorter:?}");
    for edit in &offered {
        let mended = studied(&apply(&tall, edit).unwrap());
        assert!(
            mended.findings.iter().all(|finding| !matches!(finding.kind, Kind::TooTall { .. })),
            "{edit:?}"
        );
    }
}
