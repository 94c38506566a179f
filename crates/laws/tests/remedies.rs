//! Every remedy that is offered takes its finding away, brings nothing graver and leaves less to mend than before, on
//! the text itself; those that leave least come first.

use fellmark_core::remedy::remedies;
use fellmark_core::sound::{Finding, Kind, Severity};
use fellmark_laws::run::{Case, on_plans};
use std::cell::Cell;

/// How much there is to mend, to look at and to know, as the weaver reads it.
fn weight(case: &Case) -> [usize; 3] {
    [Severity::Error, Severity::Warning, Severity::Note]
        .map(|severity| case.study.findings.iter().filter(|finding| finding.severity == severity).count())
}

/// What a change brings that was not there, or was less grave.
fn brought<'a>(before: &Case, after: &'a Case) -> Vec<&'a Finding> {
    let known = |now: &Finding| {
        let mut before = before.study.findings.iter();
        before.any(|then| then.kind.is_about_same(&now.kind) && then.severity <= now.severity)
    };
    after.study.findings.iter().filter(|now| !known(now)).collect()
}

#[test]
fn a_remedy_takes_its_finding_away_and_leaves_less_to_mend() {
    let (tried, ranked) = (Cell::new(0), Cell::new(0));
    on_plans(31, 150, |case| {
        for finding in &case.study.findings {
            let mut last = [0; 3];
            for edit in remedies(&case.plan, &case.study, finding) {
                tried.set(tried.get() + 1);
                let text = fellmark_note::apply(&case.text, &edit).map_err(|e| format!("{edit:?}: {e:?}"))?;
                let after = Case::of(text)?;
                let applied = edit.apply(&case.plan).map_err(|e| format!("{e:?}"))?;
                if after.plan != applied {
                    return Err(format!("{edit:?} is another on the text:\n{}", after.text));
                }
                if after.study.findings.iter().any(|f| f.kind.is_about_same(&finding.kind)) {
                    return Err(format!("{edit:?} leaves {:?}:\n{}", finding.kind, after.text));
                }
                let is_grave = |f: &&&Finding| f.severity == Severity::Error || f.severity < finding.severity;
                if let Some(new) = brought(case, &after).iter().find(is_grave) {
                    return Err(format!("{edit:?} brings {new:?}:\n{}", after.text));
                }
                let left = weight(&after);
                if left >= weight(case) {
                    return Err(format!("{edit:?} leaves {left:?} of {:?}:\n{}", weight(case), after.text));
                }
                if left < last {
                    return Err(format!(
                        "{edit:?} leaves {left:?} and comes after {last:?}:\n{}",
                        after.text
                    ));
                }
                ranked.set(ranked.get() + u32::from(last != [0; 3] && left > last));
                last = left;
            }
        }
        Ok(())
    });
    assert!(tried.get() >= 100, "only {} remedies were offered", tried.get());
    assert!(ranked.get() >= 10, "only {} remedies leave more than the one before", ranked.get());
}

/// The examples' words: the tail that a note is about moves to the other end of the piece where the needle starts from
/// the other side, and nothing is won.
#[test]
fn what_only_moves_a_finding_is_no_remedy() {
    let case = Case::written(include_str!("../../../examples/lichen-coaster.toml"));
    let [tail] = case.study.findings.as_slice() else { panic!("{:?}", case.study.findings) };
    assert_eq!(remedies(&case.plan, &case.study, tail), []);
}

/// Ends that stand far apart stand closer with another strand, or with two of them in a notch; a doubled weft lies flat.
#[test]
fn a_cloth_that_slides_has_its_ends_brought_together() {
    let text = "schema = 1\nname = \"Open\"\n[loom]\nnotches = 30\npitch = \"6 mm\"\nturn-to-turn = \"24 cm\"\n\
                clear-height = \"22 cm\"\n[yarn.reed]\ncolour = \"#a88b4c\"\nsize = \"140 m per 100 g\"\nfibre = \"cotton\"\n\
                [yarn.foam]\ncolour = \"#e3e9de\"\nsize = \"7 wraps per cm\"\nfibre = \"wool\"\n\
                [warp]\nends = 14\norder = [\"7 reed\", \"7 foam\"]\n[band.shore]\nwefts = [\"foam\"]\nweave = \"plain\"\n\
                rows = 40\n[piece]\nbands = [\"shore\"]\n";
    let case = Case::written(text);
    let slides = |case: &Case| {
        case.study.findings.iter().find(|finding| matches!(finding.kind, Kind::OpenSett { .. })).cloned()
    };
    let found = slides(&case).expect("ends 6 mm apart are far for yarns of 1 to 2 mm");
    let all = remedies(&case.plan, &case.study, &found);
    assert!(!all.is_empty());
    let mut closer = false;
    for edit in all {
        let after = Case::of(fellmark_note::apply(text, &edit).unwrap()).unwrap();
        assert!(slides(&after).is_none(), "{edit:?}");
        if after.study.piece.ends.len() == 28 {
            closer = true;
            // As wide, with stripes as wide.
            let stripe = |case: &Case| {
                let first = case.study.piece.ends[0].yarn;
                let ends = case.study.piece.ends.iter().take_while(|end| end.yarn == first).count();
                case.study.piece.spacing().mm() * ends as f64
            };
            assert!((stripe(&after) - stripe(&case)).abs() < 1e-9, "{}", after.text);
        }
    }
    assert!(closer, "two ends in a notch are half as far apart");
}
