//! A warp on a frame can't be let off: where ends stand so close that rows bend them, it tightens.

use fellmark_core::need::row_lengths;
use fellmark_core::quantity::Mm;
use fellmark_core::remedy::remedies;
use fellmark_core::say;
use fellmark_core::sound::{Kind, Severity};
use fellmark_core::study::{Study, study};

/// Plain cloth of one yarn, 2 mm thick lying free, in both directions.
fn square(pitch: f64, habits: &str) -> Study {
    study(&fellmark_note::read(&plan(pitch, habits)).unwrap().plan).unwrap()
}

fn plan(pitch: f64, habits: &str) -> String {
    format!(
        "schema = 1\nname = \"Trial\"\n[loom]\nnotches = 60\npitch = \"{pitch} mm\"\nturn-to-turn = \"34 cm\"\n\
         clear-height = \"32 cm\"\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"5 wraps per cm\"\nfibre = \"cotton\"\n\
         [warp]\nends = 24\norder = [\"1 reed\"]\n[band.cloth]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = 40\n\
         [piece]\nbands = [\"cloth\"]\n[habits]\n{habits}\n"
    )
}

/// What would take it away.
fn eased(pitch: f64) -> Vec<(String, Study)> {
    let text = plan(pitch, "");
    let plan = fellmark_note::read(&text).unwrap().plan;
    let studied = study(&plan).unwrap();
    let finding = studied.findings.iter().find(|f| matches!(f.kind, Kind::WarpTightens { .. })).unwrap();
    let edits = remedies(&plan, &studied, finding);
    edits.iter().map(|edit| (say::edit(edit, &plan), study(&edit.apply(&plan).unwrap()).unwrap())).collect()
}

fn tightens(study: &Study) -> Option<(f64, f64, Mm)> {
    study.findings.iter().find_map(|finding| match finding.kind {
        Kind::WarpTightens { stretch, breaks_at, by, .. } => {
            assert_eq!(finding.severity, Severity::Warning);
            Some((stretch, breaks_at, by))
        }
        _ => None,
    })
}

/// "12 + 12 is easy, 14 + 14 needs a strong machine, plain cloth jams at 16 + 16" (cover factors of warp and weft, as read of
/// Peirce's geometry in references 4.2, item G2). With a cover factor of 28 for threads side by side, K = 28 d / p.
#[test]
fn cloth_up_to_where_plain_jams_is_woven_and_beyond_it_the_warp_can_t_give() {
    let pitch = |cover: f64| 28.0 * 2.0 / cover;
    for cover in [12.0, 14.0, 16.0] {
        assert_eq!(tightens(&square(pitch(cover), "")), None, "{cover} + {cover}");
    }
    for cover in [20.0, 24.0] {
        let found = tightens(&square(pitch(cover), ""));
        let Some((stretch, breaks_at, by)) = found else { panic!("{cover} + {cover}") };
        assert!(stretch > breaks_at / 2.0 && by > Mm::ZERO, "{stretch} {breaks_at} {by:?}");
    }
}

#[test]
fn the_closer_the_ends_the_more_it_tightens_and_rows_laid_apart_ease_it() {
    let stretch = |pitch, habits: &str| tightens(&square(pitch, habits)).map_or(0.0, |found| found.0);
    assert!(stretch(2.4, "") > stretch(2.8, "") && stretch(2.8, "") > 0.0);
    // 40 rows laid farther apart are longer, and still take less: the warp bends less round each.
    assert!(stretch(2.8, "comb = 2.5") < stretch(2.8, ""));
}

/// The remedy is a beat, and no more open than it need be: half a row more to the centimetre and the warp is too tight again.
#[test]
fn rows_laid_just_far_enough_apart_ease_it() {
    let eased = eased(2.8);
    let [(words, study)] = eased.as_slice() else { panic!("{}", eased.len()) };
    let rows: f64 = words
        .strip_prefix("beat cloth to ")
        .and_then(|rest| rest.strip_suffix(" rows per cm"))
        .and_then(|rows| rows.parse().ok())
        .unwrap_or_else(|| panic!("{words}"));
    assert_eq!(tightens(study), None);
    let closer =
        plan(2.8, "").replace("rows = 40", &format!("rows = 40\nbeat = \"{} rows per cm\"", rows + 0.5));
    let closer = fellmark_core::study::study(&fellmark_note::read(&closer).unwrap().plan).unwrap();
    assert!(tightens(&closer).is_some(), "{words}");
}

/// Two strands side by side on the loom, `d` thick lying free, and hard: a flattened strand is 0.9 d thick, and two lie 1.8 d
/// wide.
fn side_by_side(pitch: f64, warp: u32, doubled: bool) -> Study {
    hard(pitch, warp, doubled, 40, "34 cm")
}

fn hard(pitch: f64, warp: u32, doubled: bool, rows: u32, turn_to_turn: &str) -> Study {
    let text = format!(
        "schema = 1\nname = \"Trial\"\n[loom]\nnotches = 60\npitch = \"{pitch} mm\"\nturn-to-turn = \"{turn_to_turn}\"\n\
         clear-height = \"32 cm\"\nstrands = {warp}\nstrands-act-as = \"one end\"\n[yarn.reed]\ncolour = \"#a88b4c\"\n\
         size = \"10 wraps per cm\"\nfibre = \"linen\"\n[weft.reed]\ndoubled = {doubled}\n[warp]\nends = 24\n\
         order = [\"1 reed\"]\n[band.cloth]\nwefts = [\"reed\"]\nweave = \"plain\"\nrows = {rows}\n\
         [piece]\nbands = [\"cloth\"]\n[habits]\ndraw-in = 0\n"
    );
    study(&fellmark_note::read(&text).unwrap().plan).unwrap()
}

fn rows_apart(study: &Study) -> f64 {
    let lies = |row| study.cloth.row(row).mean().mm();
    (lies(39) - lies(1)) / 38.0
}

#[track_caller]
fn near(is: f64, expected: f64, tolerance: f64) {
    assert!((is - expected).abs() <= tolerance, "{is}, not {expected}");
}

/// Kemp's racetrack: with the straight part a - b of the section taken from spacing and length, Peirce's equations hold (A.
/// Kemp, *J. Text. Inst.* 49 (1958) T44; citation and form from memory). Strands of 1 mm, 0.9 thick where they cross: D = 1.8,
/// a - b = 0.9 mm for two of them side by side.
///
/// ```text
/// ends at 2.5 mm, two strands   p' = 2.5 - 0.9 = 1.6, p'/D = 8/9:  cos t1 = sqrt(1 - 64/81)   = 0.45812
///   both jammed                 cos t2 = 1 - 0.45812 = 0.54188:    D sin t2 = 1.8 x 0.84046   = 1.51282 mm
/// ends at 1.5 mm, one strand    p/D = 5/6:                         cos t1 = sqrt(1 - 25/36)   = 0.55277
///   both jammed                 cos t2 = 0.44723:                  D sin t2 = 1.8 x 0.89442   = 1.60995 mm
///   rows of two strands         and the flat 0.9 mm of each                                     2.50995 mm
/// ```
#[test]
fn strands_side_by_side_jam_as_kemps_racetracks() {
    near(rows_apart(&side_by_side(2.5, 2, false)), 1.512_82, 1e-4);
    near(rows_apart(&side_by_side(1.5, 1, false)), 1.609_95, 1e-4);
    near(rows_apart(&side_by_side(1.5, 1, true)), 2.509_95, 1e-4);
    // Where p' is more than D = 1.8 the ends stay straight, and rows lie as close as on single strands.
    near(rows_apart(&side_by_side(2.75, 2, false)), 0.9, 1e-4);
    near(rows_apart(&side_by_side(2.75, 1, false)), 0.9, 1e-4);
}

/// A weft over the same racetracks: 0.9 mm straight over two strands, and arc and line between them at p' = 5 - 0.9 = 4.1 mm.
///
/// ```text
/// D asin(D/p') + sqrt(p'^2 - D^2) = 1.8 x 0.454509 + sqrt(16.81 - 3.24) = 0.81812 + 3.68375 = 4.50187;  with 0.9:  5.40187 mm
/// round the edge end              = D pi/2 + 0.9 = 2.82743 + 0.9                                                   3.72743 mm
/// ```
#[test]
fn a_weft_runs_straight_over_strands_side_by_side() {
    let study = side_by_side(5.0, 2, false);
    let lengths = row_lengths(&study.piece, &study.walk, &study.cloth, &study.habits);
    near(lengths[20].path.mm(), 23.0 * 5.401_87, 1e-3);
    // And up by what a row takes, 0.9 mm.
    near(lengths[20].turn.mm(), 3.727_43 + 0.9, 1e-3);
}

/// The warp round rows of two strands, jammed: between the flat parts it is all arc, D t2 long, and its crimp is that over the
/// whole spacing: (1.8 x 1.10714 + 0.9) / 2.50995 - 1 = 15.26 %, with t2 = acos 0.44723.
#[test]
fn the_crimp_of_a_warp_round_doubled_rows_is_kemps() {
    let size = side_by_side(1.5, 1, true).size;
    near(size.course.warp_crimp[0], 0.152_56, 1e-4);
}

/// A frame lets nothing off: what rows take of a close warp stretches it, and a part of that goes with its tension. 20 rows of
/// single strands at 1.5 mm, as in the table above, the warp all arc from row to row:
///
/// ```text
/// crimp        D t2 / p2 - 1 = 1.8 x 1.10714 / 1.60995 - 1            = 0.23783
/// cloth        19 x 1.60995 + 0.9 = 31.489 mm; it takes 0.23783 of that: 7.4891 mm more
/// stretch      7.4891 / 340                                            = 0.022027, of the 0.03 at which flax breaks
/// comes back   0.65 of it (flax, from memory): 0.65 x 0.022027 / 1.022027 = 0.014009
/// springs back 0.005 as it was wound, and 0.995 x 0.014009             = 0.018939
/// ```
#[test]
fn what_rows_stretched_a_close_warp_springs_back_in_part() {
    let size = hard(1.5, 1, false, 20, "34 cm").size;
    near(size.course.warp_taken.mm(), 7.4891, 2e-3);
    near(size.course.from_stretch, 0.013_939, 5e-6);
    near(size.course.spring_back, 0.018_939, 5e-6);
    // A taller frame has more warp to stretch: the same rows come off longer.
    let tall = hard(1.5, 1, false, 20, "3.4 m").size;
    assert_eq!(tall.on_loom.length.likely, size.on_loom.length.likely);
    let shorter = size.released.length.likely / tall.released.length.likely;
    assert!((0.98..0.995).contains(&shorter), "{shorter}");
    let told = fellmark_core::say::course(&size).join(" ");
    assert!(
        told.contains("springs back by about 2 %, 1.5 % of it because close rows have stretched it."),
        "{told}"
    );
    // On open ends nothing is stretched.
    let open = hard(4.0, 1, false, 20, "34 cm").size;
    assert_eq!(open.course.from_stretch, 0.0);
    near(open.course.spring_back, 0.005, 1e-12);
}
