//! Every remedy that is offered takes its finding away and adds no error, on the text itself.

use fellmark_core::remedy::remedies;
use fellmark_core::sound::{Finding, Severity};
use fellmark_laws::run::{Case, on_plans};
use std::cell::Cell;

fn errors(case: &Case) -> Vec<&Finding> {
    case.study.findings.iter().filter(|finding| finding.severity == Severity::Error).collect()
}

#[test]
fn a_remedy_takes_its_finding_away_and_adds_no_error() {
    let tried = Cell::new(0);
    on_plans(31, 150, |case| {
        for finding in &case.study.findings {
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
                let before = errors(case);
                let is_new = |f: &&Finding| !before.iter().any(|g| g.kind.is_about_same(&f.kind));
                if let Some(new) = errors(&after).into_iter().find(is_new) {
                    return Err(format!("{edit:?} adds {new:?}:\n{}", after.text));
                }
            }
        }
        Ok(())
    });
    assert!(tried.get() >= 100, "only {} remedies were offered", tried.get());
}
