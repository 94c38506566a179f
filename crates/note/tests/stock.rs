//! Whether there is enough of a yarn: it is told how sure that is.

use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Kind, Severity};
use fellmark_core::study::study;
use fellmark_note::read;

/// What is found of the foam of the mat if there is so much of it, and in what words.
fn with_foam(have: &str) -> Option<(Severity, String)> {
    let mat = include_str!("../../../examples/tideline-mat.toml");
    let line = mat.lines().find(|line| line.starts_with("have")).unwrap();
    let known = study(&read(&mat.replace(line, &format!("have = \"{have}\""))).unwrap().plan).unwrap();
    let found = known.findings.iter().find(|finding| matches!(finding.kind, Kind::RunsOut { .. }))?;
    Some((found.severity, say::finding(found, &known.piece, Units::Metric).to_string()))
}

#[test]
fn less_than_the_least_runs_out_and_less_than_the_most_may() {
    let mat = include_str!("../../../examples/tideline-mat.toml");
    let known = study(&read(mat).unwrap().plan).unwrap();
    let foam = known.need.yarns.iter().find(|yarn| yarn.have.is_some()).unwrap();
    let total = foam.total;
    let metres = |long: Mm| format!("{:.3} m", long.mm() / 1000.0);

    let (severity, words) = with_foam(&metres(total.low - Mm::new(1000.0))).unwrap();
    assert_eq!(severity, Severity::Error);
    assert!(words.starts_with("Foam runs out in row "), "{words}");
    // What is missing is what it takes less what there is: a metre at least.
    assert!(words.contains(" (1 to "), "{words}");

    let (severity, words) = with_foam(&metres((total.low + total.likely) / 2.0)).unwrap();
    assert_eq!(severity, Severity::Warning);
    assert!(words.starts_with("Foam may run out in row "), "{words}");
    assert!(words.contains(", at most "), "{words}");

    let (severity, _) = with_foam(&metres((total.likely + total.high) / 2.0)).unwrap();
    assert_eq!(severity, Severity::Note);
    assert_eq!(with_foam(&metres(total.high + Mm::new(1.0))), None);
}
