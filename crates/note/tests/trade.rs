//! What the trade has printed of cloths and lengths, through whole plans: setts that are woven, one that is too loose, how
//! far rows lie apart, how long floats are.

use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Kind, Severity, floats};
use fellmark_core::study::{Study, study};

fn studied(text: &str) -> Study {
    study(&fellmark_note::read(text).unwrap_or_else(|problem| panic!("{}", problem.message)).plan).unwrap()
}

/// A warp of reed at so many mm, and one band of slate, or of slate and foam.
struct Cloth<'a> {
    pitch: f64,
    loom: &'a str,
    reed: &'a str,
    slate: &'a str,
    foam: &'a str,
    band: &'a str,
    habits: &'a str,
}

const WOOL: &str = "size = \"6.6666666667 wraps per cm\"\nfibre = \"wool\"";
const CORD: &str = "size = \"10 wraps per cm\"\nfibre = \"linen\"";
const PLAIN: &str = "wefts = [\"slate\"]\nweave = \"plain\"\nrows = 41";

const OPEN: Cloth<'_> =
    Cloth { pitch: 6.0, loom: "", reed: CORD, slate: WOOL, foam: CORD, band: PLAIN, habits: "" };

impl Cloth<'_> {
    fn study(&self) -> Study {
        let Cloth { pitch, loom, reed, slate, foam, band, habits } = self;
        studied(&format!(
            "schema = 1\nname = \"Trial\"\nedges = \"taken\"\n[loom]\nnotches = 60\npitch = \"{pitch} mm\"\n\
             turn-to-turn = \"50 cm\"\nclear-height = \"48 cm\"\n{loom}\n[yarn.reed]\ncolour = \"#a88b4c\"\n{reed}\n\
             [yarn.slate]\ncolour = \"#2d6f73\"\n{slate}\n[yarn.foam]\ncolour = \"#e3e9de\"\n{foam}\n[warp]\n\
             ends = 24\norder = [\"1 reed\"]\n[band.cloth]\n{band}\n[piece]\nbands = [\"cloth\"]\n[habits]\n{habits}\n"
        ))
    }

    /// How far its rows lie apart on average, once those at the foot are left out.
    fn advance(&self) -> f64 {
        let study = self.study();
        let lies = |row| study.cloth.row(row).mean().mm();
        (lies(40) - lies(10)) / 30.0
    }
}

#[track_caller]
fn near(is: f64, expected: f64, tolerance: f64) {
    assert!((is - expected).abs() <= tolerance, "{is}, not {expected}");
}

/// Cotton counts and ends to the inch of the "India Handloom" specification, annexure I (2018): plain cloths that are woven by
/// hand, so that nothing is to be said of how their ends stand.
#[test]
fn setts_that_are_woven_by_hand_are_neither_too_close_nor_too_open() {
    for (warp, ends, weft) in [
        (80, 72, 80),
        (100, 80, 100),
        (80, 72, 100),
        (100, 80, 80),
        (80, 68, 80),
        (40, 60, 40),
        (60, 64, 40),
        (60, 64, 60),
        (80, 68, 60),
        (40, 56, 40),
        (50, 64, 50),
        (60, 72, 60),
    ] {
        let cotton = |count: i32| format!("size = \"{count} Ne\"\nfibre = \"cotton\"");
        let (reed, slate) = (cotton(warp), cotton(weft));
        let study = Cloth { pitch: 25.4 / f64::from(ends), reed: &reed, slate: &slate, ..OPEN }.study();
        let told = study.findings.iter().find(|finding| {
            matches!(finding.kind, Kind::WarpTightens { .. } | Kind::EndsTouch { .. } | Kind::OpenSett { .. })
        });
        assert_eq!(told, None, "{ends} ends of {warp}s, woven with {weft}s");
    }
}

/// "Knitting wool of about 200 m in 100 g on 12/6 cotton at 6 ends to the inch is too loose" (a weaver's column of 2018; how
/// long 100 g of such a wool are is from memory).
#[test]
fn a_sett_that_was_found_too_loose_is_told() {
    let cloth = Cloth {
        pitch: 25.4 / 6.0,
        reed: "size = \"12/6 cotton\"",
        slate: "size = \"200 m per 100 g\"\nfibre = \"wool\"",
        ..OPEN
    };
    let found = cloth.study().findings.into_iter().find_map(|finding| match finding.kind {
        Kind::OpenSett { ratio, .. } => Some((finding.severity, ratio)),
        _ => None,
    });
    // 12s of six strands are 2 Ne, 295.27 tex: 0.6431 mm of v = 1.1; 500 tex of wool, v = 1 / (0.45 x 1.31), are 1.0392 mm. Lying
    // free they are 1.4 and 1.55 times as thick.
    let (severity, ratio) = found.expect("it is too loose");
    assert_eq!(severity, Severity::Warning);
    near(ratio, 25.4 / 6.0 / (0.75 * 1.4 * 0.6431 + 0.65 * 1.55 * 1.0392), 1e-3);
}

/// Rows of plain weave on an open sett lie `f d` apart, f the squeezed thickness in the gap (the cloth model, section 3): 0.55 x
/// 1.5 = 0.825 mm of a soft wool, times what the comb does. Of two wefts taken in turn it is the mean of both: 0.55 x 1.5 and 0.9
/// x 1 of a cord make 0.8625 mm.
#[test]
fn rows_lie_as_far_apart_as_two_strands_take_where_they_cross() {
    near(OPEN.advance(), 0.825, 1e-4);
    near(Cloth { habits: "comb = 0.92", ..OPEN }.advance(), 0.759, 1e-4);
    near(Cloth { habits: "comb = 1.12", ..OPEN }.advance(), 0.924, 1e-4);
    let both = "wefts = [\"slate\", \"foam\"]\nweave = \"plain\"\nrows = 41";
    near(Cloth { band: both, ..OPEN }.advance(), 0.8625, 1e-4);
    near(Cloth { band: both, habits: "comb = 0.92", ..OPEN }.advance(), 0.92 * 0.8625, 1e-4);
}

/// A cloth of strands twice as thick at twice the distance is the same cloth, twice as large: on ends that stay straight, and on
/// ends that rows bend. Twice the rows lie twice as high.
#[test]
fn packing_has_no_size_of_its_own() {
    let sizes = |mm: f64| format!("size = \"{} wraps per cm\"\nfibre = \"linen\"", 10.0 / mm);
    for pitch in [1.5, 1.7, 3.0, 5.0] {
        let of = |scale: f64| {
            let yarn = sizes(scale);
            Cloth { pitch: pitch * scale, reed: &yarn, slate: &yarn, ..OPEN }.study()
        };
        let (one, two) = (of(1.0), of(2.0));
        for row in [0, 1, 7, 40] {
            let lies = |study: &Study| study.cloth.row(row).mean().mm();
            near(lies(&two), 2.0 * lies(&one), 1e-5 * lies(&two));
        }
        let lies = |row| one.cloth.row(row).mean().mm();
        near(lies(40) - lies(22), lies(20) - lies(2), 1e-4);
    }
}

/// "A float over 5 at 6 ends to the cm is less than 1 cm (0.833), over 5 at 20 to the cm 2.5 mm" (arithmetic of a page on floats).
#[test]
fn floats_are_so_many_ends_long() {
    for (per_cm, mm) in [(6.0, 8.333), (20.0, 2.5)] {
        let fine = "size = \"60 Ne\"\nfibre = \"cotton\"";
        let band = "wefts = [\"slate\", \"foam\"]\nopening = \"over 5, under 5\"\nopposite = true\nrows = 12\nedges = \"crossed\"";
        let study = Cloth { pitch: 10.0 / per_cm, reed: fine, slate: fine, band, ..OPEN }.study();
        let list = floats::list(&study.piece, &study.walk, &study.habits);
        let longest = list.weft_front.worst.first().expect("it floats");
        assert_eq!(longest.count, 5);
        near(longest.length.mm(), mm, 1e-3);
    }
}

/// 12/6 cotton is 0.643 mm thick packed close (2 Ne, v = 1.1), and lying free 1.4 times that, 0.9003 mm: it lies easily in a notch of
/// 0.95 mm and not in one of 0.85. Two strands of 0.9991 mm (275 m of cotton in 100 g, 0.7137 mm packed
/// close) leave nothing of 1.99 mm, and something of 2.1.
#[test]
fn what_a_notch_and_a_pitch_take_is_told_in_mm() {
    let thickness = |cloth: &Cloth<'_>| {
        cloth.study().findings.into_iter().find_map(|finding| match finding.kind {
            Kind::TooThickForNotch { thickness, .. } | Kind::EndsTouch { thickness, .. } => Some(thickness),
            _ => None,
        })
    };
    let notch = |loom: &str| thickness(&Cloth { loom, reed: "size = \"12/6 cotton\"", ..OPEN });
    assert_eq!(notch("notch-width = \"0.95 mm\""), None);
    near(notch("notch-width = \"0.85 mm\"").map_or(0.0, Mm::mm), 0.9003, 1e-3);
    let cotton = "size = \"275 m per 100 g\"\nfibre = \"cotton\"";
    let two = |pitch| {
        let loom = "strands = 2\nstrands-act-as = \"one end\"";
        thickness(&Cloth { pitch, loom, reed: cotton, ..OPEN })
    };
    near(two(1.99).map_or(0.0, Mm::mm), 1.9982, 1e-3);
    assert_eq!(two(2.1), None);
}

/// Yarn that is known by its weight alone may lie thinner or thicker: hand-knitting wool winds twice as thick round a ruler as one
/// that is spun for weaving (common practice, no source). Where nobody has looked, that is told, and it is in the ranges.
#[test]
fn how_thick_a_soft_yarn_lies_is_told_as_it_is_guessed_until_it_is_wrapped() {
    let with = |size: &str| {
        let text = include_str!("../../../examples/tideline-mat.toml").replace("\"132 m per 100 g\"", size);
        let text = text.replace("length = \"fill\"", "rows = 98");
        let study = studied(&text);
        let said = say::thickness_guessed(&study.piece, &study.habits, Units::Metric);
        (said, study.size.on_loom.length)
    };
    let (said, guessed) = with("\"132 m per 100 g\"");
    let said = said.expect("nobody has looked");
    assert!(said.starts_with("Slate is taken to lie 2 mm (1.5 to 2.6) thick: that is worked out"), "{said}");
    for known in ["\"132 m per 100 g\"\nwraps = \"5 wraps per cm\"", "\"5 wraps per cm\""] {
        let (said, length) = with(known);
        assert_eq!(said, None);
        // 5 wraps to the cm are 2 mm, as likely as that; now it is known.
        near(length.likely / guessed.likely, 1.0, 0.02);
        assert!((length.high - length.low) < (guessed.high - guessed.low) * 0.8, "{length:?} of {guessed:?}");
    }
    // If it lies as the ends of the guess have it, so does the piece.
    for (wraps, end) in [(6.51, guessed.low), (3.91, guessed.high)] {
        let (_, length) = with(&format!("\"132 m per 100 g\"\nwraps = \"{wraps} wraps per cm\""));
        let off = (length.likely - guessed.likely) / (end - guessed.likely);
        assert!((0.6..=1.0).contains(&off), "{off}");
    }
}
