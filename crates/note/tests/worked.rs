//! Whole pieces worked out by hand from the formulas of Peirce's geometry and the arithmetic of the trade, step by
//! step beside the figures, to hold the program's against. What has no source (flattening, slack, tails, joins) is a
//! habit: the habits' likely values stand in the sums.

use fellmark_core::cloth::Across;
use fellmark_core::cloth::measures::measures;
use fellmark_core::quantity::{Estimate, Mm};
use fellmark_core::say::{self, Units};
use fellmark_core::side::Surface;
use fellmark_core::sound::Kind;
use fellmark_core::study::{Study, study};

fn studied(text: &str) -> Study {
    let note = fellmark_note::read(text).unwrap_or_else(|problem| panic!("{}", problem.message));
    study(&note.plan).expect("it makes a piece")
}

#[track_caller]
fn near(is: f64, expected: f64, tolerance: f64) {
    assert!((is - expected).abs() <= tolerance, "{is}, not {expected}");
}

/// 25 ends of cotton at 4 mm; two wool wefts in columns of 3, 5, 2, 5, 2, 5, 3 ends between hems of 4 plain rows: 74 rows,
/// 37 of each weft, and 8 of the hems.
///
/// ```text
/// cotton   363.636 tex, v = 1.1 cm3/g (Peirce):       0.03568248 sqrt(400) = 0.71365 mm, free 1.4 times that: 0.9991 mm
/// wool     757.576 tex, v = 1/(0.45 x 1.31):          0.03568248 sqrt(1285.1) = 1.27916 mm, free 1.55 times that: 1.9827 mm
/// contact  D = 0.75 x 0.9991 + 0.65 x 1.9827 = 2.038 mm, less than the pitch: the warp stays straight
/// a change (arc and line, cloth model 4)  p (asin(1/x) + sqrt(x^2 - 1)) / x at x = 4/2.038:     4.5316 mm
/// a hem row    24 gaps, all changes       24 x 4.5316 = 108.757 mm
/// a column row 24 gaps, 6 changes         18 x 4 + 6 x 4.5316 = 99.189 mm
/// ```
#[test]
fn the_weft_of_a_coaster_is_what_a_hand_sum_says() {
    let study = studied(include_str!("../../../examples/lichen-coaster.toml"));
    let need = |name: &str| {
        let of = |need: &&fellmark_core::need::YarnNeed| study.piece.yarns[need.yarn.0].name == name;
        study.need.yarns.iter().find(of).expect("it is there")
    };
    let mm = |one: Estimate<Mm>| one.likely.mm();

    let samphire = need("samphire");
    near(mm(samphire.parts.rows), 37.0 * 99.189, 0.1);
    // Each of its 36 turns goes by the edge end from face to face: once the contact of both.
    near(mm(samphire.parts.turns), 36.0 * 2.0383, 0.05);
    // A hill of 4 %: 146.8; two tails of 8 cm; three joins over 4 gaps of 4 mm; each of three needlefuls leaves 9 cm, and 1 cm.
    near(mm(samphire.parts.slack), 0.04 * 37.0 * 99.189, 0.05);
    near(mm(samphire.parts.tails), 160.0, 1e-9);
    near(mm(samphire.parts.joins), 48.0, 1e-9);
    near(mm(samphire.parts.rests), 280.0, 1e-9);
    near(mm(samphire.parts.carries), 77.27, 0.05);
    near(mm(samphire.parts.rises), 29.04, 0.1);
    near(mm(samphire.total), 4484.5, 0.5);
    // 4.4845 m of 132 m per 100 g.
    near(samphire.mass.likely.grams(), 3.3974, 0.002);

    let mud_lark = need("mud-lark");
    near(mm(mud_lark.parts.rows), 37.0 * 99.189 + 8.0 * 108.757, 0.1);
    near(mm(mud_lark.total), 5639.1, 0.5);
    near(mud_lark.mass.likely.grams(), 4.2721, 0.002);
}

/// The same coaster: drawn in by 3 %, 24 spaces of 3.88 mm, one flattened end (0.75 mm) and two of weft (1.2884 mm). Its rows
/// touch and its warp lies straight, so that off the loom nothing changes but what the warp springs back (1.5 %, cotton).
/// Steamed, wool loses 8 % x 0.4 across and cotton 6 % x 0.4 along.
#[test]
fn the_sizes_of_a_coaster_are_what_a_hand_sum_says() {
    let size = studied(include_str!("../../../examples/lichen-coaster.toml")).size;
    let wide = 24.0 * 3.88 + 0.75 + 2.0 * 1.2884;
    near(size.on_loom.width.likely.mm(), wide, 0.01);
    near(size.released.width.likely.mm(), wide, 0.05);
    near(size.released.length.likely / size.on_loom.length.likely, 0.985, 2e-4);
    near(size.finished.width.likely / size.released.width.likely, 1.0 - 0.08 * 0.4, 1e-9);
    near(size.finished.length.likely / size.released.length.likely, 1.0 - 0.06 * 0.4, 1e-9);
}

/// A sample on a frame of 34 cm from turn to turn, 4 mm from notch to notch.
struct Sample<'a> {
    warp: &'a str,
    weft: &'a str,
    top: &'a str,
    bands: &'a str,
}

const PLAIN: Sample<'_> = Sample {
    warp: "size = \"275 m per 100 g\"\nfibre = \"cotton\"",
    weft: "size = \"132 m per 100 g\"\nfibre = \"wool\"",
    top: "",
    bands: "[band.cloth]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 40\n[piece]\nbands = [\"cloth\"]\n",
};

impl Sample<'_> {
    fn study(&self) -> Study {
        let Sample { warp, weft, top, bands } = self;
        studied(&format!(
            "schema = 1\nname = \"Trial\"\n[loom]\nnotches = 60\npitch = \"4 mm\"\nturn-to-turn = \"34 cm\"\n\
             clear-height = \"32 cm\"\n[yarn.reed]\ncolour = \"#a88b4c\"\n{warp}\n[yarn.slate]\n\
             colour = \"#2d6f73\"\n{weft}\n[warp]\nends = 20\norder = [\"1 reed\"]\n{top}\n{bands}"
        ))
    }
}

/// Rows that the comb has pressed together come no closer off the loom than the warp springs back, and the cloth gets no
/// wider: what width the weft would gain the warp would have to bend for. (common practice, no source: width is lost off
/// the loom, never gained)
#[test]
fn rows_in_contact_follow_the_warp_and_no_width_is_gained() {
    let doubled = Sample { top: "[weft.slate]\ndoubled = true", ..PLAIN };
    let silk = Sample { warp: "size = \"20 tex\"\nfibre = \"silk\"", ..PLAIN };
    for (sample, springs) in [(PLAIN, 0.015), (doubled, 0.015), (silk, 0.015)] {
        let size = sample.study().size;
        near(size.released.width.likely / size.on_loom.width.likely, 1.0, 1e-3);
        near(size.released.length.likely / size.on_loom.length.likely, 1.0 - springs, 1e-3);
    }
}

/// Two strips side by side that never cross are as wide as one cloth of the same rows, however long either is.
#[test]
fn unequal_strips_are_as_wide_as_equal_ones() {
    let strips = |right: u32| {
        let bands = format!(
            "[band.l]\nwefts = [\"slate\"]\nweave = \"plain\"\nends = \"1 to 10\"\nrows = 40\n\
             [band.r]\nwefts = [\"slate\"]\nweave = \"plain\"\nends = \"11 to 20\"\nrows = {right}\n\
             [piece]\nbands = [\"l\", \"r\"]\n"
        );
        Sample { bands: &bands, ..PLAIN }.study().size
    };
    let (equal, unequal) = (strips(40), strips(10));
    near(unequal.released.width.likely.mm(), equal.released.width.likely.mm(), 0.01);
    near(unequal.released.length.likely.mm(), equal.released.length.likely.mm(), 0.01);
}

/// The length of a warp: n lengths of H, a hop of one pitch from each to the next, two ties of 15 cm, and up to two notch
/// depths per length (cloth model, section 2; the sums by hand).
#[test]
fn the_length_of_a_warp_is_what_a_hand_sum_says() {
    let warp = |ends: u32, loom: &str, path: &str| {
        let text = format!(
            "schema = 1\nname = \"Trial\"\n[loom]\nnotches = 60\npitch = \"4 mm\"\nturn-to-turn = \"34 cm\"\n\
             clear-height = \"32 cm\"\n{loom}\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"275 m per 100 g\"\n\
             fibre = \"cotton\"\n[warp]\nends = {ends}\norder = [\"1 reed\"]\n{path}\n[band.cloth]\n\
             wefts = [\"reed\"]\nweave = \"plain\"\nrows = 4\n[piece]\nbands = [\"cloth\"]\n"
        );
        studied(&text).need.yarns[0].warp.likely.mm()
    };
    // 7 x 340 + 6 x 4 + 300, and 7 x 2 x 3 in the notches.
    near(warp(7, "", ""), 2704.0, 1e-9);
    near(warp(7, "notch-depth = \"3 mm\"", ""), 2746.0, 1e-9);
    near(warp(8, "", ""), 8.0 * 340.0 + 7.0 * 4.0 + 300.0, 1e-9);
    // Two lengths of yarn side by side, each with its ties: yarn can't turn within a notch.
    near(warp(7, "strands = 2", ""), 2.0 * (7.0 * 340.0 + 6.0 * 4.0 + 300.0), 1e-9);
    // Round the frame every end has a length behind it, and the hop is at one bar alone.
    near(warp(7, "notch-depth = \"3 mm\"", "path = \"round\""), 14.0 * 346.0 + 6.0 * 4.0 + 300.0, 1e-9);
}

/// `0.1 sum n T (1 + c)` of the finished cloth, in g/m2 (the textbook formula; its pieces are checked against published
/// cloths in peirce.rs): what `size` tells lies above it by what the formula leaves out, which is edges, slack and joins.
#[test]
fn what_cloth_weighs_follows_from_its_threads() {
    let study = studied(include_str!("../../../examples/lichen-coaster.toml"));
    let told = fellmark_core::need::weight(&study.piece, &study.need, &study.size, &study.habits)
        .expect("it is woven");
    let (width, length) = (study.size.finished.width.likely, study.size.finished.length.likely);
    let threads = |spacing: Mm, tex: f64, crimp: f64| {
        let tex = fellmark_core::quantity::Tex::new(tex);
        fellmark_core::cloth::measures::Threads { spacing, tex, crimp }.mass_per_area().grams_per_m2()
    };
    // 25 ends over the width, longer than the cloth by what it lost from the loom on, but for the 1.5 % by which they were
    // stretched there; 74 rows of 99.189 and 8 of 108.757 mm.
    let slack = study.size.on_loom.length.likely * 0.985;
    let warp = threads(width / 25.0, 363.636, slack / length - 1.0);
    let row = (74.0 * 99.189 + 8.0 * 108.757) / 82.0;
    let weft = threads(length / 82.0, 757.576, Mm::new(row) / width - 1.0);
    let over = told.per_area.grams_per_m2() / (warp + weft) - 1.0;
    assert!((0.04..0.10).contains(&over), "{over}");
    near(told.mass.likely.grams(), told.per_area.grams_per_m2() * width.metres() * length.metres(), 1e-9);
}

/// Rows per cm are what a ruler laid along an end counts: two fields with a slit between them have no more of them than one
/// cloth of the same rows, however many rows the plan has. Rows of 1.9827 mm wool lie 0.55 x 1.9827 = 1.09049 mm apart, half of
/// 0.65 x 1.9827 mm from the foot and from the fell: 40 in 39 x 1.09049 + 1.28876 = 43.8177 mm in the gaps, where they cross. On
/// the ends between they sag as far as they bend, to a radius of 20 thicknesses: (4/2)^2 / (2 x 39.654) = 0.0504 mm.
#[test]
fn rows_per_cm_are_counted_along_an_end() {
    let side_by_side = "[band.l]\nwefts = [\"slate\"]\nweave = \"plain\"\nends = \"1 to 10\"\nrows = 40\n\
                        [band.r]\nwefts = [\"slate\"]\nweave = \"plain\"\nends = \"11 to 20\"\nrows = 40\n\
                        [piece]\nbands = [\"l\", \"r\"]\n";
    for sample in [PLAIN, Sample { bands: side_by_side, ..PLAIN }] {
        let study = sample.study();
        near(study.cloth.rows_per_cm().unwrap(), 40.0 / 4.37672, 1e-4);
        let lies = |place| study.cloth.row(20).at(place).unwrap();
        near((lies(Across::Gap(4)) - lies(Across::End(4))).mm(), 0.0504, 1e-4);
    }
}

/// A wedge: 30 rows over ends 1 to 10 alone, 29 x 1.09049 + 1.28876 = 32.9 mm high, then rows over all. These hang from it as far
/// as they bend, to a radius of 39.654 mm, and run out level at the edge 40 mm away: x mm beyond the wedge they are (80 x - x^2)
/// / 79.31 mm lower, 14.43 mm on average at ten ends 4 mm apart. So the fell stands 7.2 mm over its mean, and a little more after
/// the second. It is the rows that pile up and not the colours, of which there is one.
#[test]
fn a_wedge_of_short_rows_is_told_by_its_rows() {
    let wedge = "[band.l]\nwefts = [\"slate\"]\nweave = \"plain\"\nends = \"1 to 10\"\nrows = 30\n\
                 [band.all]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 2\n[piece]\nbands = [\"l\", \"all\"]\n";
    let study = Sample { bands: wedge, ..PLAIN }.study();
    let found = study.findings.iter().find(|found| matches!(found.kind, Kind::BuildUp { .. }));
    let found = found.expect("it piles up");
    let Kind::BuildUp { hump, rows } = found.kind else { unreachable!() };
    assert_eq!(rows, Some((32, 2)));
    near(hump.above.mm(), 7.2, 0.6);
    let told = say::finding(found, &study.piece, Units::Metric).to_string();
    assert!(told.contains("32 cross them by row 32, and only 2 the ends beside"), "{told}");
    assert!(!told.contains("colours"), "{told}");
}

/// "Needles of unequal length" are what goes wrong without a plan, and a last length for one row or three isn't worth
/// threading. A comfortable needleful is 1.2 m: the headband's 14.8, 13.6 and 7.5 m of weft without what is left on needles
/// take 15, 14 and 8 of them, and no fewer than before they are shared out alike.
#[test]
fn needlefuls_are_about_as_long_as_each_other() {
    let study = studied(include_str!("../../../examples/kelp-headband.toml"));
    let all = study.need.yarns.iter().filter(|need| !need.needlefuls.is_empty());
    for (need, count) in all.zip([15, 14, 8]) {
        let cut: Vec<f64> = need.needlefuls.iter().map(|one| one.length.mm()).collect();
        assert_eq!(cut.len(), count);
        let (short, long) =
            cut.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), &one| (a.min(one), b.max(one)));
        assert!(short > 0.6 * long && long <= 1200.0, "{cut:?}");
    }
}

/// The coaster finished, by hand from its figures above. Its warp lies straight, and the weft goes round it from face to face:
/// two wefts and an end thick, 0.75 x 0.9991 + 2 x 0.65 x 1.9827 = 3.3268 mm. 24 spaces of 3.88 mm, less 3.2 % across, leave 2.6625
/// ends to the cm. Cover factor, `n sqrt(T) / 10` (textbook form, checked against published cloths in peirce.rs): 2.6625 x
/// sqrt(363.636) / 10 = 5.0772. Its firmness is the fewest crossings that free a strand: of the outermost group of 3 ends each is
/// crossed on one face by every other row alone.
#[test]
fn the_measures_of_a_coaster_are_what_a_hand_sum_says() {
    let study = studied(include_str!("../../../examples/lichen-coaster.toml"));
    let measured = measures(&study.piece, &study.cloth, &study.size, &study.habits).expect("it is woven");
    near(measured.thickness.mm(), 3.3268, 1e-3);
    near(measured.ends_per_cm, 10.0 / (3.88 * 0.968), 1e-3);
    near(measured.cover_factor[0], 5.0772, 1e-3);
    // 82 rows on the loom are so many per cm of what is left of them: 1.5 % goes with the tension, 2.4 % when it is steamed.
    let per_cm = study.cloth.rows_per_cm().unwrap() / (0.985 * 0.976);
    near(measured.rows_per_cm, per_cm, 2e-3);
    near(measured.cover_factor[1], per_cm * 757.576_f64.sqrt() / 10.0, 1e-2);
    let told = say::measures(&measured, Units::Metric);
    assert!(told.starts_with("Finished it is about 3.3 mm thick, with 2.7 ends and "), "{told}");
}

/// In plain weave of an even number of rows each end goes under half of them: turn those, and it lies over all and lifts off.
/// (The criterion on sums after Clapham, Bull. London Math. Soc. 12 (1980) 161-164, from memory; here counted by hand.) A row is
/// freed by half as many crossings as there are ends.
#[test]
fn so_many_crossings_woven_wrong_free_a_strand() {
    let why = |sample: Sample<'_>| {
        let study = sample.study();
        say::holds_because(&study.piece, &study.walk, &study.findings).join(" ")
    };
    // 20 ends and 40 rows: 10 crossings free a row.
    assert!(why(PLAIN).contains("At the least 10 crossings would have to be woven wrong"), "{}", why(PLAIN));
    let few =
        "[band.cloth]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 2\n[piece]\nbands = [\"cloth\"]\n";
    let told = why(Sample { bands: few, ..PLAIN });
    assert!(told.contains("One crossing woven wrong would let a part of it lift off"), "{told}");
}

/// A brushed yarn covers more than its core (the cloth model, section 1), and the two are told apart. Rows of 1.5 mm cord lie
/// 1.8 x 1.5 = 2.7 mm apart on either face and are 1.5 / 0.9 mm wide on an end, which leaves 2.7 - 1.6667 = 1.0333 mm of it bare
/// between them. Hairs that stand out 0.2 mm on both sides veil 0.4 of that, and from 0.517 mm on all of it.
#[test]
fn hairs_veil_what_a_core_leaves_bare() {
    let cover = |halo: &str| {
        let weft = format!("size = \"{} wraps per cm\"\nfibre = \"linen\"\n{halo}", 10.0 / 1.5);
        let study = Sample { weft: &weft, ..PLAIN }.study();
        study.cloth.cover(&study.piece, Surface::Front)
    };
    let smooth = cover("");
    assert!(smooth.bare_warp() > 0.05 && smooth.veiled == 0.0, "{smooth:?}");
    for (halo, share) in [("0.1 mm", 0.2 / 1.0333), ("0.2 mm", 0.4 / 1.0333), ("0.4 mm", 0.8 / 1.0333)] {
        let hairy = cover(&format!("halo = \"{halo}\""));
        assert_eq!((&hairy.weft, &hairy.warp, hairy.open), (&smooth.weft, &smooth.warp, smooth.open));
        near(hairy.veiled / (hairy.bare_warp() + hairy.open), share, 0.03);
    }
    let brushed = cover("halo = \"0.6 mm\"");
    assert!(brushed.veiled > 0.95 * (brushed.bare_warp() + brushed.open), "{brushed:?}");
}

/// Balanced cloth that was laid in gently: off the loom the warp takes up a part of the crimp, so that it is shorter by more than
/// the warp springs back, and hardly any width is gained (common practice, no source).
#[test]
fn balanced_cloth_comes_off_shorter_and_hardly_wider() {
    let size = studied(include_str!("../../../examples/tideline-bookmark.toml")).size;
    let wider = size.released.width.likely / size.on_loom.width.likely;
    assert!((0.97..1.03).contains(&wider), "{wider}");
    let longer = size.released.length.likely / size.on_loom.length.likely;
    assert!((0.92..0.975).contains(&longer), "{longer}");
    assert!(size.course.warp_crimp[1] > size.course.warp_crimp[0] + 0.01, "{:?}", size.course);
}
