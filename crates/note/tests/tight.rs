//! A warp on a frame can't be let off: where ends stand so close that rows bend them, it tightens.

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
