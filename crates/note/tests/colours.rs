//! Yarns that are hard to tell apart by their colours are named where both show, and only there.

use fellmark_core::colour::Likeness;
use fellmark_core::piece::PlaceId;
use fellmark_core::plan::YarnId;
use fellmark_core::say::{self, Units};
use fellmark_core::side::Surface;
use fellmark_core::sound::{Finding, Kind, Severity};
use fellmark_core::study::{Study, study};
use fellmark_note::read;

/// A band of two wefts in columns, the warp woven in, and a band in which warp and weft both show.
const PLAN: &str = r##"
schema = 1
name = "Two pools"
use = "coaster"
[loom]
notches = 30
pitch = "4 mm"
turn-to-turn = "20 cm"
clear-height = "18 cm"
[yarn.reed]
colour = "REED"
size = "5 wraps per cm"
fibre = "linen"
[yarn.slate]
colour = "SLATE"
size = "5 wraps per cm"
fibre = "wool"
[yarn.samphire]
colour = "SAMPHIRE"
size = "5 wraps per cm"
fibre = "wool"
[warp]
ends = 24
order = ["1 reed"]
[weft.slate]
from = "right"
[weft.samphire]
from = "right"
[band.pools]
wefts = ["slate", "samphire"]
opening = "over 4, under 4"
opposite = true
rows = 12
[band.flats]
wefts = ["slate"]
weave = "satin 5"
rows = 15
[piece]
bands = STACK
"##;

fn plan(reed: &str, slate: &str, samphire: &str, stack: &str) -> Study {
    let text = PLAN
        .replace("REED", reed)
        .replace("SLATE", slate)
        .replace("SAMPHIRE", samphire)
        .replace("STACK", stack);
    let note = read(&text).unwrap_or_else(|problem| panic!("{}", problem.render(&text, "plan", false)));
    study(&note.plan).unwrap()
}

fn alike(study: &Study) -> Vec<&Finding> {
    study.findings.iter().filter(|f| matches!(f.kind, Kind::ColoursAlike { .. })).collect()
}

#[track_caller]
fn only(study: &Study) -> &Finding {
    match alike(study)[..] {
        [only] => only,
        ref found => panic!("{found:?}"),
    }
}

fn words(study: &Study, finding: &Finding) -> String {
    say::finding(finding, &study.piece, Units::Metric).to_string()
}

const FOAM: &str = "#e3e9de";
const SLATE: &str = "#2d6f73";

#[test]
fn two_wefts_of_one_colour_are_a_warning() {
    let study = plan(FOAM, SLATE, "#2e7074", r#"["pools"]"#);
    let finding = only(&study);
    assert_eq!(finding.severity, Severity::Warning);
    assert_eq!((finding.at.rows, finding.at.band), ((0, 11), Some(study.piece.places[0].band)));
    assert_eq!(
        words(&study, finding),
        "Slate and samphire are nearly the same colour: what they draw in pools will hardly be seen."
    );
}

#[test]
fn a_warp_of_the_wefts_colour_is_a_note_where_it_shows() {
    let shows = plan("#2e7074", SLATE, FOAM, r#"["flats"]"#);
    assert_eq!(only(&shows).severity, Severity::Note);
    let woven_in = plan("#2e7074", SLATE, FOAM, r#"["pools"]"#);
    assert!(alike(&woven_in).is_empty(), "the wefts cover the warp");
}

/// The greens and browns of the marsh: apart to most, but not without red and green. To coloraide 8.13.1, which
/// has the same method, they are 18.5 apart, and 4.8 and 2.5 to deutan and protan eyes.
#[test]
fn what_red_and_green_alone_tell_apart_is_named() {
    let study = plan("#a88b4c", "#6f8f3f", FOAM, r#"["flats"]"#);
    let finding = only(&study);
    assert_eq!(finding.severity, Severity::Note);
    assert_eq!(
        words(&study, finding),
        "In flats, reed and slate look nearly alike to many who don't see red and green apart: they differ \
         little in lightness."
    );
    let Kind::ColoursAlike { likeness, difference, lightness, .. } = &finding.kind else { panic!() };
    assert!(matches!(likeness, Likeness::ToSome(visions) if visions.len() == 2));
    assert!((difference.units() - 18.5).abs() < 0.1 && (lightness - 3.8).abs() < 0.1, "{finding:?}");
}

#[test]
fn close_colours_and_equal_greys_are_notes() {
    let close = plan(FOAM, SLATE, "#3a7a70", r#"["pools"]"#);
    let finding = only(&close);
    assert_eq!(finding.severity, Severity::Note);
    let wanted = "Slate and samphire are close in colour: what they draw in pools will be faint.";
    assert_eq!(words(&close, finding), wanted);
    let grey = plan(FOAM, SLATE, "#6d5f50", r#"["pools"]"#);
    let wanted = "In pools, slate and samphire differ in hue but hardly in lightness: from afar and in dim \
                  light what they draw fades.";
    assert_eq!(words(&grey, only(&grey)), wanted);
}

#[test]
fn colours_far_apart_are_not_named_nor_are_yarns_that_never_meet() {
    assert!(alike(&plan("#a88b4c", SLATE, FOAM, r#"["pools", "flats"]"#)).is_empty());
    // Samphire is in no row.
    assert!(alike(&plan(FOAM, SLATE, SLATE, r#"["flats"]"#)).is_empty());
}

#[test]
fn a_pair_is_named_once_with_all_its_bands_and_from_the_back_too() {
    let study = plan("#2e7074", SLATE, SLATE, r#"["flats", "pools", "flats"]"#);
    let found = alike(&study);
    let bands = |finding: &Finding| match &finding.kind {
        Kind::ColoursAlike { yarns, bands, .. } => (*yarns, bands.len()),
        other => panic!("{other:?}"),
    };
    let all: Vec<_> = found.iter().map(|finding| bands(finding)).collect();
    // The two wefts, which matter more, and the warp with the weft of the flats.
    assert_eq!(all, [((YarnId(1), YarnId(2)), 1), ((YarnId(0), YarnId(1)), 1)]);
    let turned = study.turned();
    let from_behind: Vec<_> = alike(&turned).iter().map(|finding| bands(finding)).collect();
    assert_eq!(from_behind, all);
}

#[test]
fn what_shows_is_what_the_rows_leave_open() {
    let study = plan(FOAM, SLATE, "#6f8f3f", r#"["pools", "flats"]"#);
    let (reed, slate, samphire) = (0, 1, 2);
    for side in [Surface::Front, Surface::Back] {
        let in_place = |place| study.cloth.cover_in(&study.piece, PlaceId(place), side);
        let (pools, flats) = (in_place(0), in_place(1));
        // Columns: on every end one weft lies over, the other under; each covers half, and the warp is hidden.
        assert!((pools.weft[slate] - pools.weft[samphire]).abs() < 0.1, "{pools:?}");
        assert!(pools.weft[slate] > 0.4 && pools.bare_warp() < 0.1, "{pools:?}");
        // A satin shows its warp before and its weft behind.
        let shows = if side == Surface::Front { flats.warp[reed] > 0.25 } else { flats.weft[slate] > 0.6 };
        assert!(shows, "{flats:?}");
        assert_eq!((flats.weft[samphire], flats.warp[slate]), (0.0, 0.0));
    }
}
