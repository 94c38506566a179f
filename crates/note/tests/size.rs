//! The three sizes of whole plans, and what is told of them.

use fellmark_core::cloth::size::{Dimensions, Size, likely};
use fellmark_core::habits::{Habit, Habits};
use fellmark_core::plan::{Finish, Plan};
use fellmark_core::quantity::{Estimate, Mm};
use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Kind, Severity, Unlike};
use fellmark_core::study::{Study, study};

/// A plain piece: its yarns' fibres, what comes at the top of its plan, and its habits.
struct Made<'a> {
    warp: &'a str,
    weft: &'a str,
    top: &'a str,
    habits: &'a str,
    ends: u32,
    rows: u32,
}

/// Yarns that lie as thick as their weight says.
const COTTON: Made<'_> = Made { warp: "cotton", weft: "cotton", top: "", habits: "", ends: 20, rows: 40 };

impl Made<'_> {
    fn text(&self) -> String {
        let Made { warp, weft, top, habits, ends, rows } = self;
        format!(
            "schema = 1\nname = \"Trial\"\n{top}\n[loom]\nnotches = 60\npitch = \"4 mm\"\nturn-to-turn = \"50 cm\"\n\
             clear-height = \"48 cm\"\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"400 tex\"\nfibre = \"{warp}\"\n\
             [yarn.foam]\ncolour = \"#e3e9de\"\nsize = \"1600 tex\"\nfibre = \"{weft}\"\n[warp]\nends = {ends}\n\
             order = [\"1 reed\"]\n[band.cloth]\nwefts = [\"foam\"]\nweave = \"plain\"\nrows = {rows}\n\
             [piece]\nbands = [\"cloth\"]\n[habits]\nloft-soft = 1\nloft-medium = 1\nloft-hard = 1\n{habits}\n"
        )
    }

    fn plan(&self) -> Plan {
        fellmark_note::read(&self.text()).unwrap_or_else(|problem| panic!("{}", problem.message)).plan
    }

    fn study(&self) -> Study {
        study(&self.plan()).expect("it makes a piece")
    }
}

fn examples() -> Vec<(String, Study)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let files = std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
    let plans = files.filter(|path| path.extension().is_some_and(|ext| ext == "toml"));
    let all: Vec<_> = plans
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let plan = fellmark_note::read(&text).unwrap().plan;
            (path.display().to_string(), study(&plan).unwrap())
        })
        .collect();
    assert!(all.len() >= 6, "the examples are missing");
    all
}

fn states(size: &Size) -> [Dimensions<Estimate<Mm>>; 3] {
    [size.on_loom, size.released, size.finished]
}

#[track_caller]
fn near(is: Mm, expected: f64, tolerance: f64) {
    assert!((is.mm() - expected).abs() <= tolerance, "{is:?}, not {expected}");
}

#[test]
fn on_the_loom_the_width_is_that_of_the_outer_ends_an_end_and_two_wraps() {
    // The cloth model, section 2: 19 pitches of 4 mm, one end, two wraps. Yarns of 400 and 1600 tex of cotton at
    // Peirce's 1.1 cm3/g are 0.03568248 sqrt(tex v) thick: 0.7485 and 1.4970 mm; where they cross they are 0.75 of it.
    let made = Made { habits: "draw-in = 0", ..COTTON };
    near(made.study().size.on_loom.width.likely, 76.0 + 0.75 * (0.748_48 + 2.0 * 1.496_96), 1e-3);
    // Drawn in by a twentieth only between the ends.
    let made = Made { habits: "draw-in = \"5 %\"", ..COTTON };
    near(made.study().size.on_loom.width.likely, 72.2 + 0.75 * (0.748_48 + 2.0 * 1.496_96), 1e-3);
    // A warp's width, counted the other way, is as wide.
    let ends = COTTON.text().replace("ends = 20", "width = \"78.8 mm\"");
    let plan = fellmark_note::read(&ends).unwrap().plan;
    assert_eq!(study(&plan).unwrap().piece.end_count(), 20);
}

#[test]
fn the_length_on_the_loom_is_the_height_of_level_rows_and_may_be_that_of_bent_ones() {
    for (name, study) in examples() {
        let length = study.size.on_loom.length;
        assert_eq!(length.likely, study.piece.height(&study.habits), "{name}");
        assert!(length.low <= study.cloth.length(), "{name}");
    }
}

#[test]
fn every_spread_holds_its_likely_value_and_rests_on_model_and_habit() {
    for (name, study) in examples() {
        for state in states(&study.size) {
            for side in [state.width, state.length] {
                assert!(Mm::ZERO < side.low && side.low <= side.likely && side.likely <= side.high, "{name}");
                assert_eq!(say::rests_on(&side), "model and habit", "{name}");
            }
        }
        let known = likely(&study.piece, &study.habits);
        assert_eq!(known.finished.width, study.size.finished.width.likely, "{name}");
        assert_eq!(known.course, study.size.course, "{name}");
    }
}

#[test]
fn seen_from_the_back_it_is_as_large() {
    for (name, study) in examples() {
        let back = study.turned();
        for (a, b) in states(&study.size).into_iter().zip(states(&back.size)) {
            let pairs = [(a.width, b.width), (a.length, b.length)];
            for (a, b) in pairs.map(|(a, b)| (a.likely.mm(), b.likely.mm())) {
                assert!((a - b).abs() < 1e-9 * a, "{name}: {a} {b}");
            }
        }
    }
}

#[test]
fn a_warp_that_springs_back_more_makes_shorter_cloth() {
    let length = |percent: u32| {
        let habits = format!("spring-back-cotton = \"{percent} %\"");
        Made { habits: &habits, ..COTTON }.study().size.released.length.likely
    };
    let lengths: Vec<Mm> = (0..20).map(length).collect();
    assert!(lengths.windows(2).all(|pair| pair[1] < pair[0]), "{lengths:?}");
    // Linen least, wool most: common practice, no source.
    let of = |warp| {
        let size = Made { warp, ..COTTON }.study().size;
        size.released.length.likely / size.on_loom.length.likely
    };
    assert!(of("linen") > of("cotton") && of("cotton") > of("wool"));
}

#[test]
fn a_part_of_the_size_goes_when_it_is_finished() {
    let finished = |top| Made { warp: "linen", weft: "wool", top, ..COTTON }.study().size;
    let asis = finished("finish = \"as it is\"");
    assert_eq!((asis.finish, asis.finished.width), (Finish::AsItIs, asis.released.width));
    assert_eq!(asis.finished.length, asis.released.length);
    let washed = finished("finish = \"washed\"");
    let habits = Habits::default();
    near(
        washed.finished.width.likely,
        asis.released.width.likely.mm() * (1.0 - habits.ratio(Habit::ShrinkAcrossWool)),
        1e-9,
    );
    near(
        washed.finished.length.likely,
        asis.released.length.likely.mm() * (1.0 - habits.ratio(Habit::ShrinkAlongLinen)),
        1e-9,
    );
    // Nothing said is steamed, which takes less than washing and more than pinning out.
    let [none, steamed, pinned] = ["", "finish = \"steamed\"", "finish = \"pinned\""].map(finished);
    assert_eq!(none, steamed);
    assert!(washed.finished.width.likely < steamed.finished.width.likely);
    assert!(steamed.finished.width.likely < pinned.finished.width.likely);
    assert!(pinned.finished.width.likely < asis.finished.width.likely);
}

#[test]
fn yarns_that_shrink_unlike_are_told() {
    let found = |warp, weft, top| {
        let study = Made { warp, weft, top, ..COTTON }.study();
        let all = study.findings.into_iter();
        let unlike = all.filter(|f| matches!(f.kind, Kind::ShrinksUnlike { .. }));
        unlike.map(|f| (f.severity, f.kind)).collect::<Vec<_>>()
    };
    let washed = "finish = \"washed\"";
    match found("polyester", "wool", washed).as_slice() {
        [(Severity::Warning, Kind::ShrinksUnlike { more, less, how: Unlike::WarpAndWeft, parts })] => {
            assert_eq!((more.0, less.0), (1, 0));
            assert_eq!(*parts, [0.08, 0.01]);
        }
        other => panic!("{other:?}"),
    }
    assert!(matches!(found("linen", "wool", washed).as_slice(), [(Severity::Note, _)]));
    assert!(found("cotton", "cotton", washed).is_empty());
    assert!(found("polyester", "wool", "finish = \"as it is\"").is_empty());
}

#[test]
fn wefts_above_each_other_that_shrink_unlike_are_told_apart_from_the_warp() {
    let text = Made { warp: "cotton", weft: "cotton", top: "finish = \"washed\"", ..COTTON }
        .text()
        .replace(
            "[warp]",
            "[yarn.slate]\ncolour = \"#2d6f73\"\nsize = \"1600 tex\"\nfibre = \"polyester\"\n[warp]",
        )
        .replace(
            "[piece]\nbands = [\"cloth\"]",
            "[band.sky]\nlike = \"cloth\"\nwefts = [\"slate\"]\n[piece]\nbands = [\"cloth\", \"sky\"]",
        );
    let study = study(&fellmark_note::read(&text).unwrap().plan).unwrap();
    let how: Vec<Unlike> = study
        .findings
        .iter()
        .filter_map(|f| match f.kind {
            Kind::ShrinksUnlike { how, .. } => Some(how),
            _ => None,
        })
        .collect();
    assert_eq!(how, [Unlike::WarpAndWeft, Unlike::Wefts]);
}

#[test]
fn a_size_that_is_asked_for_and_not_to_be_had_is_told_with_a_remedy() {
    let asked = |size: &str| {
        let top = format!("finished = \"{size}\"");
        let made = Made { top: &top, ..COTTON };
        let (plan, study) = (made.plan(), made.study());
        let others = study.findings.iter().filter(|f| matches!(f.kind, Kind::OtherSize { .. }));
        let told: Vec<_> = others
            .map(|f| {
                let remedies = fellmark_core::remedy::remedies(&plan, &study, f);
                let Kind::OtherSize { across, .. } = f.kind else { unreachable!() };
                (across, remedies.len())
            })
            .collect();
        (study.size.finished, told)
    };
    let (is, _) = asked("1 x 1 cm");
    let (_, told) = asked(&format!("{} mm x {} mm", is.width.likely.mm(), is.length.likely.mm()));
    assert_eq!(told, [], "it is what was asked for");
    let (_, told) = asked("120 mm x 20 cm");
    assert_eq!(told.iter().map(|&(across, _)| across).collect::<Vec<_>>(), [true, false]);
    assert!(told.iter().all(|&(_, remedies)| remedies > 0), "{told:?}");
}

#[test]
fn the_head_says_the_finished_size_after_what_is_not_held() {
    for (name, study) in examples() {
        let Study { piece, walk, findings, need, size, .. } = &study;
        for units in [Units::Metric, Units::Inch] {
            let head = say::follows(piece, walk, findings, need, size, units).to_string();
            let sides = say::likely_sides(size.finished, units);
            let at = head.find(&format!("Finished it will be about {sides};")).expect(&name);
            let held = head.find(" holds.").unwrap_or(0);
            assert!(held < at, "{name}: {head}");
            if let Some(error) = findings.iter().find(|f| f.severity == Severity::Error) {
                assert!(head.starts_with(&say::finding(error, piece, units).to_string()), "{name}: {head}");
            }
        }
    }
}

#[test]
fn a_piece_of_one_end_or_of_no_rows_has_a_size_too() {
    let one = Made { ends: 1, rows: 1, ..COTTON }.study().size;
    assert!(one.finished.length.likely > Mm::ZERO && one.finished.width.likely > Mm::ZERO);
    let none = COTTON.text().replace("rows = 40", "length = \"fill\"").replace("48 cm", "0.1 mm");
    let study = study(&fellmark_note::read(&none).unwrap().plan).unwrap();
    assert!(study.piece.rows.is_empty());
    assert_eq!(study.size.finished.length.likely, Mm::ZERO);
}

/// 48 cm can be woven. Rows of two yarns of 0.748 and 1.497 mm (0.7 of the weft's, where it crosses) lie 1.0479 mm apart, with
/// half of 0.75 x 1.497 at either end: 440 come to 461.1 mm, and rows that a comb leaves an eighth farther apart (the upper end of
/// what is usual) to 516.5 mm. 300 fit however they lie.
#[test]
fn rows_that_fit_only_if_they_lie_as_is_likely_are_told() {
    let found = |rows: u32| {
        let made = Made { rows, ..COTTON };
        let (plan, study) = (made.plan(), made.study());
        assert!(!study.findings.iter().any(|f| matches!(f.kind, Kind::TooTall { .. })), "{rows}");
        let near = study.findings.iter().find(|f| matches!(f.kind, Kind::MayNotFit { .. })).cloned();
        near.map(|f| {
            let remedies = fellmark_core::remedy::remedies(&plan, &study, &f);
            let words = say::finding(&f, &study.piece, Units::Metric).to_string();
            (f, remedies, words)
        })
    };
    let (finding, remedies, words) = found(440).expect("it may not fit");
    let Kind::MayNotFit { height, reach, row } = finding.kind else { panic!("{finding:?}") };
    assert_eq!((finding.severity, reach.mm()), (Severity::Note, 480.0));
    near(height.likely, 461.1, 0.5);
    assert!(height.high.mm() > 516.0, "{height:?}");
    // The first row that lies beyond if all lie so much farther apart.
    let at = |row: u32| (0.5612 + 1.0479 * f64::from(row)) * (height.high / height.likely);
    assert!(at(row) > 480.0 && at(row - 1) <= 480.5, "{row}");
    assert!(words.contains("don't fit from row") && words.contains("a needle reaches 48 cm"), "{words}");
    assert!(!remedies.is_empty());
    assert_eq!(found(300), None);
}

/// A band that fills the frame always comes near to what can be woven: she weaves as many of its rows as fit, and is told how much
/// what comes above takes: 6 rows of 1.0479 mm.
#[test]
fn of_a_fill_it_is_told_how_much_room_to_leave() {
    let told = |bands: &str| {
        let text = COTTON.text().replace("rows = 40", "length = \"fill\"").replace(
            "[piece]\nbands = [\"cloth\"]",
            &format!(
                "[band.hem]\nwefts = [\"foam\"]\nweave = \"plain\"\nrows = 6\n[piece]\nbands = [{bands}]"
            ),
        );
        let study = study(&fellmark_note::read(&text).unwrap().plan).unwrap();
        assert!(!study.findings.iter().any(|f| matches!(f.kind, Kind::MayNotFit { .. })));
        say::resolved(&study.piece.resolved[0], &study.piece, Units::Metric).unwrap()
    };
    let alone = told("\"hem\", \"cloth\"");
    assert!(
        alone.starts_with("Cloth fills what is left: ")
            && alone.ends_with(" rows, if they lie as is likely."),
        "{alone}"
    );
    let below = told("\"cloth\", \"hem\"");
    assert!(
        below.ends_with(" rows, if they lie as is likely; leave 6.3 mm for what comes above."),
        "{below}"
    );
}

/// Over one end there is nothing to interlace with, and rows that wind round it don't lie loose: each turn wraps it.
#[test]
fn on_one_end_the_weft_winds_round_it_and_no_row_is_called_loose() {
    let made = Made { ends: 1, ..COTTON };
    let (plan, study) = (made.plan(), made.study());
    let of = |f: &fellmark_core::sound::Finding| matches!(f.kind, Kind::OneEnd);
    let found = study.findings.iter().find(|f| of(f)).expect("one end is no cloth");
    assert_eq!(
        study.findings.iter().filter(|f| f.severity < Severity::Note).count(),
        1,
        "{:?}",
        study.findings
    );
    assert_eq!(fellmark_core::remedy::remedies(&plan, &study, found).len(), 2);
    let head =
        say::follows(&study.piece, &study.walk, &study.findings, &study.need, &study.size, Units::Metric);
    assert!(head.to_string().starts_with("One end makes no cloth"), "{head}");
    // A row over one end of several is none that passes all ends alike, either: its turns hold it or not.
    let narrow = COTTON.text().replace(
        "[piece]\nbands = [\"cloth\"]",
        "[band.cord]\nwefts = [\"foam\"]\nweave = \"plain\"\nends = \"20 to 20\"\nrows = 4\n\
         [piece]\nbands = [\"cloth\", \"cord\"]",
    );
    let study = fellmark_core::study::study(&fellmark_note::read(&narrow).unwrap().plan).unwrap();
    assert!(!study.findings.iter().any(|f| matches!(f.kind, Kind::RowsNeverInterlace { .. })));
}
