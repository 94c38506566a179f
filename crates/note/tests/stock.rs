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

/// What there is too little of reaches for fewer rows, or for another yarn where it would run out.
#[test]
fn a_yarn_that_runs_out_has_remedies_that_are_enough() {
    use fellmark_core::plan::{Edit, Set};
    use fellmark_core::remedy::Trials;
    let mat = include_str!("../../../examples/tideline-mat.toml");
    let line = mat.lines().find(|line| line.starts_with("have")).unwrap();
    let plan = read(&mat.replace(line, "have = \"6 m\"")).unwrap().plan;
    let known = study(&plan).unwrap();
    let found = known.findings.iter().find(|finding| matches!(finding.kind, Kind::RunsOut { .. })).unwrap();
    let remedies = Trials::new(&plan, &known).remedies(found);
    let words: Vec<String> = remedies.iter().map(|edit| say::edit(edit, &plan)).collect();
    let fewer = remedies.iter().find_map(|edit| match edit {
        Edit::BandRows(band, rows) => Some((*band, *rows)),
        _ => None,
    });
    let (band, rows) = fewer.unwrap_or_else(|| panic!("{words:?}"));
    assert_eq!(plan.bands[band.0].name, "rising-tide");
    // So many and no more: two rows more, a turn of its wefts, would be too many.
    let foam = |rows: u32| {
        let after = study(&Edit::BandRows(band, rows).apply(&plan).unwrap()).unwrap();
        let need = after.need.yarns.iter().find(|yarn| yarn.have.is_some()).unwrap();
        need.total.high <= need.have.unwrap().low
    };
    assert!(foam(rows) && !foam(rows + 2), "{rows}");
    let other = remedies.iter().any(|edit| matches!(edit, Edit::Set(Set::BandWefts(..))));
    assert!(other, "{words:?}");
}

/// A weft that lies doubled is not made thinner by another yarn, nor one that lies single thicker.
#[test]
fn a_remedy_that_weaves_with_another_yarn_keeps_the_needle_doubled() {
    use fellmark_core::plan::{Edit, Set};
    use fellmark_core::remedy::Trials;
    let mat = include_str!("../../../examples/tideline-mat.toml");
    let line = mat.lines().find(|line| line.starts_with("have")).unwrap();
    // One band of foam alone, of which there is little. Slate and reed have no needle yet.
    let (head, _) = mat.split_once("[weft.foam]").unwrap();
    let head = head.replace(line, "have = \"2 m\"");
    for doubled in [true, false] {
        let text = format!(
            "{head}[weft.foam]\ndoubled = {doubled}\n[band.hem]\nwefts = [\"foam\"]\nweave = \"plain\"\nrows = 30\n\
             [piece]\nbands = [\"hem\"]\n"
        );
        let plan = read(&text).unwrap().plan;
        let known = study(&plan).unwrap();
        let found = known.findings.iter().find(|found| matches!(found.kind, Kind::RunsOut { .. })).unwrap();
        let others: Vec<Edit> = Trials::new(&plan, &known)
            .remedies(found)
            .into_iter()
            .filter(|edit| {
                let wefts = |edit: &Edit| matches!(edit, Edit::Set(Set::BandWefts(..)));
                wefts(edit) || matches!(edit, Edit::Together(all) if all.iter().any(wefts))
            })
            .collect();
        assert!(!others.is_empty(), "{doubled}");
        for edit in others {
            let after = study(&read(&fellmark_note::apply(&text, &edit).unwrap()).unwrap().plan).unwrap();
            let strands = |study: &fellmark_core::study::Study| -> Vec<u32> {
                let rows = study.piece.rows.iter().filter(|row| row.place.0 == 0);
                rows.map(|row| study.piece.wefts[row.weft.0].strands).collect()
            };
            assert_eq!(strands(&after)[..4], strands(&known)[..4], "{}", say::edit(&edit, &plan));
            let told = say::edit(&edit, &plan);
            assert_eq!(told.contains("doubled"), doubled, "{told}");
        }
    }
}

/// A hank that was weighed counts, and is told to where its label says a fifth more or less (common practice, no source).
#[test]
fn a_hank_far_from_its_label_is_told_and_counts() {
    let mat = include_str!("../../../examples/tideline-mat.toml");
    let with = |size: &str| {
        let text = mat.replace(
            "size = \"4.5 wraps per cm\"",
            &format!("size = \"{size}\"\nmeasured = \"12.4 g, 31 m\""),
        );
        study(&read(&text).unwrap().plan).unwrap()
    };
    let told = |known: &fellmark_core::study::Study| {
        let found = known.findings.iter().find(|found| matches!(found.kind, Kind::WeightsDisagree { .. }))?;
        Some(say::finding(found, &known.piece, Units::Metric).to_string())
    };
    let [far, near] = ["100 m per 100 g", "230 m per 100 g"].map(with);
    // 31 m of 12.4 g are 250 m of 100 g.
    assert_eq!(
        told(&far).unwrap(),
        "Foam is 2.5 times as fine by the hank you weighed (12.4 g, 31 m) as its label says (100 m per 100 g). The hank \
         counts; if that is not so, one of the two is mistyped."
    );
    assert_eq!(told(&near), None);
    assert_eq!(told(&with("4.5 wraps per cm")), None, "a ruler says nothing of its weight");
    let tex = |known: &fellmark_core::study::Study| known.habits.tex(&known.piece.yarns[1]).tex();
    assert!((tex(&far) - 400.0).abs() < 1e-9 && (tex(&near) - 400.0).abs() < 1e-9);
}
