//! Rows that a maker keeps apart: balanced cloth, in which warp and weft show alike.

use fellmark_core::plan::{BandId, Beat, Edit, Set};
use fellmark_core::quantity::{Mm, Typed};
use fellmark_core::remedy::remedies;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Finding, Kind};
use fellmark_core::study::{Study, study};
use fellmark_core::walk::Step;
use fellmark_core::weave::Recipe;
use fellmark_note::{apply, read};

/// Plain cloth of a fine cotton with 5 ends to the centimetre.
fn text(bands: &str, stack: &str) -> String {
    format!(
        "schema = 1\nname = \"Trial\"\n[loom]\nnotches = 60\npitch = \"2 mm\"\nturn-to-turn = \"24 cm\"\n\
         clear-height = \"22 cm\"\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"12 wraps per cm\"\nfibre = \"cotton\"\n\
         [warp]\nends = 24\norder = [\"1 reed\"]\n{bands}[piece]\nbands = [{stack}]\n"
    )
}

fn band(keys: &str) -> String {
    format!("[band.cloth]\nwefts = [\"reed\"]\nweave = \"plain\"\n{keys}")
}

fn of(text: &str) -> Study {
    study(&read(text).unwrap().plan).unwrap()
}

fn cloth(keys: &str) -> Study {
    of(&text(&band(keys), "\"cloth\""))
}

fn beat(typed: &str) -> Typed<Beat> {
    Typed::new(Beat::parse(typed).unwrap(), typed)
}

fn the_one(study: &Study, is: fn(&Kind) -> bool) -> Finding {
    let found: Vec<&Finding> = study.findings.iter().filter(|finding| is(&finding.kind)).collect();
    assert_eq!(found.len(), 1, "{:?}", study.findings);
    found[0].clone()
}

/// Balanced plain cloth has as many rows to the centimetre as ends, and shows as much warp as weft (common practice, no
/// source). 75 rows, 2 mm from one to the next, are 14.8 cm from the first to the last.
#[test]
fn rows_lie_as_they_are_beaten_and_balanced_cloth_shows_warp_and_weft_alike() {
    let study = cloth("beat = \"5 rows per cm\"\nrows = 75\n");
    let (first, last) = (study.piece.row(0).height, study.piece.row(74).height);
    assert!(((last - first).mm() - 148.0).abs() < 1e-3, "{:?}", last - first);
    let front = study.cloth.cover(&study.piece, study.piece.shows);
    let (warp, weft) = (front.bare_warp(), front.weft.iter().sum::<f64>());
    assert!((warp - weft).abs() < 0.1 && warp > 0.2, "{warp} {weft}");
    // It is no flaw of it that warp shows.
    assert!(!study.findings.iter().any(|finding| matches!(finding.kind, Kind::WarpShows { .. })));
    // As close as they come, the rows hide the warp.
    assert!(cloth("rows = 75\n").cloth.rows_per_cm().unwrap() > 10.0);
}

#[test]
fn a_length_gives_as_many_rows_as_the_beat_lays_in_it() {
    let rows = |keys: &str| cloth(keys).piece.row_count();
    assert!(rows("beat = \"5 rows per cm\"\nlength = \"10 cm\"\n").abs_diff(50) <= 1);
    assert!(rows("beat = \"10 rows per inch\"\nlength = \"4 in\"\n").abs_diff(40) <= 1);
}

/// A hard beat and a soft hand change what the comb presses together, not what is kept apart.
#[test]
fn how_hard_is_beaten_does_not_move_rows_that_are_kept_apart() {
    let with = |comb: &str| {
        let habits = format!(
            "{}[habits]\ncomb = {comb}\n",
            text(&band("beat = \"5 rows per cm\"\nrows = 40\n"), "\"cloth\"")
        );
        of(&habits).piece.row(39).height
    };
    let off = with("0.9") - with("1.1");
    assert!(off.abs() < Mm::new(0.2), "{off:?}");
    let low_and_high = cloth("beat = \"5 rows per cm\"\nrows = 40\n").size.on_loom.length;
    assert!(low_and_high.high - low_and_high.low < Mm::new(1.0), "{low_and_high:?}");
}

#[test]
fn the_weaver_is_told_where_rows_are_laid_apart_and_where_no_more() {
    let bands = format!(
        "{}[band.hem]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = 4\n",
        band("beat = \"5 rows per cm\"\nrows = 4\n")
    );
    let study = of(&text(&bands, "\"hem\", \"cloth\", \"cloth\", \"hem\""));
    let told: Vec<(usize, Option<Mm>)> = study
        .walk
        .rows
        .iter()
        .enumerate()
        .flat_map(|(row, walk)| walk.before.iter().map(move |step| (row, *step)))
        .filter_map(|(row, step)| match step {
            Step::Beat { apart } => Some((row, apart)),
            _ => None,
        })
        .collect();
    assert_eq!(told, [(4, Some(Mm::new(2.0))), (12, None)]);
    let words = |apart, units| say::step(&Step::Beat { apart }, &study.piece, units);
    let loosely = "from here on comb gently: rows are to lie 5 to the centimetre, 2 mm from one to the next";
    assert_eq!(words(Some(Mm::new(2.0)), Units::Metric), loosely);
    assert!(words(Some(Mm::new(25.4 / 12.0)), Units::Inch).contains("rows are to lie 12 to the inch, "));
    assert!(study.walk.rows[5].after.contains(&Step::Comb { apart: Some(Mm::new(2.0)) }));
    assert!(study.walk.rows[0].after.contains(&Step::Comb { apart: None }));
}

#[test]
fn a_band_that_is_like_another_is_beaten_like_it_until_it_says_otherwise() {
    let bands = format!("{}[band.same]\nlike = \"cloth\"\n", band("beat = \"5 rows per cm\"\nrows = 6\n"));
    let plan = text(&bands, "\"cloth\", \"same\"");
    let (cloth, same) = (BandId(0), BandId(1));
    assert_eq!(of(&plan).piece.row(8).apart, Some(Mm::new(2.0)));
    let other = apply(&plan, &Edit::BandBeat(same, Some(beat("4 rows per cm")))).unwrap();
    assert_eq!(of(&other).piece.row(8).apart, Some(Mm::new(2.5)));
    // Woven otherwise, and with its rows written out, it keeps what it had from the other.
    let twill = Recipe { name: Some(fellmark_note::typed::weave("twill 2/2").unwrap()), ..Recipe::default() };
    for edit in [Edit::Set(Set::BandWeave(same, twill)), Edit::WriteOut(same), Edit::WriteOut(cloth)] {
        let changed = apply(&plan, &edit).unwrap();
        assert_eq!(of(&changed).piece.row(8).apart, Some(Mm::new(2.0)), "{changed}");
    }
}

#[test]
fn rows_that_the_yarn_keeps_apart_come_no_closer_and_that_is_found() {
    let study = cloth("beat = \"40 rows per cm\"\nrows = 40\n");
    let finding = the_one(&study, |kind| matches!(kind, Kind::BeatNotReached { .. }));
    let Kind::BeatNotReached { wanted, lie, .. } = finding.kind else { unreachable!() };
    assert_eq!(wanted, Mm::new(0.25));
    let close = cloth("rows = 40\n");
    let really = (close.piece.row(39).height - close.piece.row(0).height) / 39.0;
    assert!((lie - really).abs() < Mm::new(1e-6), "{lie:?} {really:?}");
    let plan = read(&text(&band("beat = \"40 rows per cm\"\nrows = 40\n"), "\"cloth\"")).unwrap().plan;
    assert_eq!(remedies(&plan, &study, &finding).first(), Some(&Edit::BandBeat(BandId(0), None)));
}

/// Cloth slides where its threads lie more than 2 to 2.5 times as far apart as both are thick together (the cloth model,
/// section 3; common practice, no source): that is as true of rows as of ends.
#[test]
fn rows_far_apart_slide_and_that_is_found() {
    let study = cloth("beat = \"1 row per cm\"\nrows = 15\n");
    let finding = the_one(&study, |kind| matches!(kind, Kind::OpenBeat { .. }));
    let Kind::OpenBeat { ratio, .. } = finding.kind else { unreachable!() };
    assert!(ratio > 5.0, "{ratio}");
    let plan = read(&text(&band("beat = \"1 row per cm\"\nrows = 15\n"), "\"cloth\"")).unwrap().plan;
    for edit in remedies(&plan, &study, &finding) {
        let after = fellmark_core::study::study(&edit.apply(&plan).unwrap()).unwrap();
        assert!(!after.findings.iter().any(|f| matches!(f.kind, Kind::OpenBeat { .. })), "{edit:?}");
    }
    assert!(!remedies(&plan, &study, &finding).is_empty());
    let said =
        say::follows(&study.piece, &study.walk, &study.findings, &study.need, &study.size, Units::Metric)
            .to_string();
    assert!(said.contains("but the cloth will slide: the rows of cloth lie"), "{said}");
}
