//! What becomes of the warp at both bars, and what to beware of (common practice, no source).

mod common;

use common::on_slate;
use fellmark_core::plan::{Edit, Purpose, Set, WarpPath};
use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Kind, Severity};
use fellmark_core::study::{Study, study};
use fellmark_core::warp::{self, Bar, Kept};

/// So much of plain cloth on ends of which 22 cm can be woven; 24 ends of one length are tied at the near bar, both ends.
fn cloth(length: &str, more: &str) -> Study {
    on_slate(
        24,
        &format!(
            "{more}[piece]\nbands = [\"cloth\"]\n[band.cloth]\nwefts = [\"foam\"]\nweave = \"plain\"\nlength = \"{length}\"\n"
        ),
    )
}

fn kept(study: &Study) -> [Kept; 2] {
    let winding = warp::wind(&study.piece, &study.habits);
    let bars = warp::at_bars(&study.piece, &winding, study.size.on_loom.length.likely);
    assert_eq!(bars.map(|at| at.bar), [Bar::Near, Bar::Far]);
    // Up one notch and down the next: 24 ends make 12 loops at the far bar and 11 at the near one, where both knots are.
    assert_eq!(bars.map(|at| (at.loops, at.knots)), [(11, 2), (12, 0)]);
    bars.map(|at| at.kept())
}

#[test]
fn the_last_row_is_secured_where_it_would_slip_and_can_not_be_knotted() {
    let said = |study: &Study| say::off_the_loom(study, Units::Metric).join("\n");
    // Woven up to the bar: its loops hold it.
    let full = cloth("fill", "");
    assert_eq!(kept(&full), [Kept::AtTheBar, Kept::AtTheBar]);
    assert!(
        !said(&full).contains("secure")
            && said(&full).contains("hold the last row once the rows are eased out"),
        "{}",
        said(&full)
    );
    // 3 cm left: too little to be knotted, so it is done before the frame lets go.
    let short = cloth("19 cm", "");
    assert_eq!(kept(&short), [Kept::AtTheBar, Kept::TooShort]);
    let words = said(&short);
    assert!(
        words.find("secure the last row").unwrap() < words.find("Take it off the frame").unwrap(),
        "{words}"
    );
    // 10 cm left: knots.
    let long = cloth("12 cm", "");
    assert_eq!(kept(&long), [Kept::AtTheBar, Kept::Knotted]);
    assert!(!said(&long).contains("secure") && said(&long).contains("knot its"), "{}", said(&long));
    // Above a header the warp below is bare as well.
    assert_eq!(kept(&cloth("12 cm", "[header]\nlength = \"2 cm\"\n"))[0], Kept::TooShort);
}

#[test]
fn what_is_left_of_the_warp_is_what_is_not_woven() {
    let study = cloth("12 cm", "[header]\nlength = \"2 cm\"\n");
    let winding = warp::wind(&study.piece, &study.habits);
    let woven = study.size.on_loom.length.likely;
    let [near, far] = warp::at_bars(&study.piece, &winding, woven);
    // An end is 24 cm long from turn to turn: 1 cm of it at each bar, and below the first row what the header took.
    assert_eq!(near.open, Mm::new(30.0));
    assert!((far.open + woven + near.open - Mm::new(240.0)).abs() < Mm::new(1e-9));
}

/// A warp wound round and round goes on behind the frame: no loop holds a row, and it is cut there (common practice, no source).
#[test]
fn a_warp_that_goes_round_the_frame_is_cut_behind_it() {
    let full = cloth("fill", "");
    let mut piece = full.piece.clone();
    piece.path = WarpPath::Round;
    let winding = warp::wind(&piece, &full.habits);
    let [near, far] = warp::at_bars(&piece, &winding, full.size.on_loom.length.likely);
    assert_eq!(near.open, Mm::new(10.0 + 120.0), "round the bar, and half of the way behind");
    assert_eq!([near, far].map(|at| at.kept()), [Kept::Knotted; 2]);
    let note = fellmark_note::read(include_str!("../../../examples/tideline-mat.toml")).unwrap();
    let round = Edit::Set(Set::WarpPath(WarpPath::Round)).apply(&note.plan).unwrap();
    let said = say::off_the_loom(&study(&round).unwrap(), Units::Metric).join("\n");
    assert!(
        said.contains("Cut the warp behind it, halfway between the bars, and untie its knots. Knot its "),
        "{said}"
    );
    assert!(!said.contains("loops"), "{said}");
}

/// The usual cautions of the trade: small parts and metal of jewellery, cords near a child's neck, flames.
#[test]
fn each_use_that_touches_a_danger_says_the_usual_caution_and_sends_to_who_knows() {
    for (purpose, words) in [
        (Purpose::Jewellery, ["nickel", "small children"]),
        (Purpose::Garment, ["child's neck", "skin"]),
        (Purpose::Hanging, ["flames", "child's reach"]),
        (Purpose::Coaster, ["flames", "burn"]),
        (Purpose::Mat, ["flames", "burn"]),
    ] {
        let said = say::caution(purpose).unwrap();
        assert!(words.iter().all(|word| said.contains(word)), "{said}");
        assert!(said.contains("local rules") && said.contains("people who are qualified"), "{said}");
        assert!(!said.contains("safe"), "it never says that a piece is: {said}");
    }
    assert_eq!([Purpose::Sample, Purpose::Bookmark].map(say::caution), [None; 2]);
}

/// A yarn is pressed into a notch a little narrower than itself; one that is half as thick again can't be.
#[test]
fn a_notch_that_is_too_narrow_is_to_be_looked_at_and_one_that_is_much_too_narrow_to_be_mended() {
    let found = |width: &str| {
        let text = format!(
            "schema = 1\nname = \"T\"\n[loom]\nnotches = 20\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\nclear-height = \"22 cm\"\n\
             notch-width = \"{width}\"\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"5 wraps per cm\"\nfibre = \"cotton\"\n\
             [warp]\nends = 10\norder = [\"1 reed\"]\n[band.b]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = 8\n[piece]\nbands = [\"b\"]\n"
        );
        let study = study(&fellmark_note::read(&text).unwrap().plan).unwrap();
        let is = |kind: &Kind| matches!(kind, Kind::TooThickForNotch { .. });
        study.findings.iter().find(|finding| is(&finding.kind)).map(|finding| finding.severity)
    };
    // 5 wraps to the centimetre are 2 mm each.
    assert_eq!(found("2.5 mm"), None);
    assert_eq!(found("1.6 mm"), Some(Severity::Warning));
    assert_eq!(found("1.2 mm"), Some(Severity::Error));
}
