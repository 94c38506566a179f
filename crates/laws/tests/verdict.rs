//! What is said of whether a piece holds agrees with what is found in it, and what is not held is said first.

use fellmark_core::say::{self, Units};
use fellmark_core::sound::{Kind, Severity};
use fellmark_laws::plans;
use fellmark_laws::run::{Case, on_texts};
use std::cell::Cell;

/// The sentence about whether it holds.
fn verdict(case: &Case) -> String {
    let s = &case.study;
    let all = say::follows(&s.piece, &s.walk, &s.findings, &s.need, &s.size, Units::Metric).to_string();
    all.split_once(" Finished it will be").unwrap().0.to_owned()
}

fn is_at(case: &Case, is: fn(&Kind) -> bool) -> bool {
    case.study.findings.iter().any(|finding| is(&finding.kind))
}

#[test]
fn a_piece_holds_only_where_nothing_is_found_that_says_otherwise() {
    let seen = [const { Cell::new(0) }; 3];
    let count = |which: usize| seen[which].set(seen[which].get() + 1);
    let law = |case: &Case| {
        let said = verdict(case);
        let to_mend = case.study.findings.iter().any(|finding| finding.severity == Severity::Error);
        let gives = is_at(case, |kind| {
            matches!(
                kind,
                Kind::LooseTurns { .. }
                    | Kind::HeldByTail { .. }
                    | Kind::UnwrappedEdge { .. }
                    | Kind::FallsApart { .. }
                    | Kind::OneEnd
                    | Kind::EndsTouch { .. }
                    | Kind::WarpTightens { .. }
            )
        });
        let slides = is_at(case, |kind| matches!(kind, Kind::OpenSett { .. } | Kind::OpenBeat { .. }));
        let (holds, nowhere) = (said.ends_with("holds."), said.contains("comes apart nowhere"));
        let right = match (to_mend || gives, slides) {
            (true, _) => !holds && !nowhere,
            (false, true) => !holds && nowhere && said.contains("but the cloth will slide"),
            (false, false) => holds && !nowhere,
        };
        count(if to_mend || gives { 0 } else { 1 + usize::from(slides) });
        right.then_some(()).ok_or_else(|| format!("{said}\n{:?}", case.study.findings))
    };
    on_texts(
        47,
        500,
        |tape| {
            let text = plans::text(tape);
            match tape.up_to(2) {
                0 => text,
                1 => text.replace("pitch = \"6 mm\"", "pitch = \"16 mm\""),
                _ => text.replace("pitch = \"6 mm\"", "pitch = \"2 mm\""),
            }
        },
        law,
    );
    assert!(seen.iter().all(|seen| seen.get() >= 5), "{seen:?}");
}

/// Ends 16 mm apart, of yarns of a millimetre or two: where only one of two wefts is thin, the cloth slides there.
#[test]
fn where_one_weft_is_too_thin_for_its_ends_the_cloth_slides_where_that_one_weaves() {
    let case = |pitch: &str, wefts: &str| {
        Case::written(&format!(
            "{}[band.tide]\nwefts = [{wefts}]\nweave = \"plain\"\nrows = 8\n[band.hem]\nwefts = [\"slate\"]\n\
             weave = \"plain\"\nrows = 4\n[piece]\nbands = [\"hem\", \"tide\"]\n",
            plans::head(12, "").replace("6 mm", pitch)
        ))
    };
    assert_eq!(verdict(&case("3.6 mm", "\"slate\"")), "It wraps the edge at every turn and holds.");
    let both = verdict(&case("16 mm", "\"sea lavender\""));
    assert!(
        both.starts_with(
            "It wraps the edge at every turn and comes apart nowhere, but the cloth will slide: the ends"
        ),
        "{both}"
    );
    let one = verdict(&case("3.6 mm", "\"sea lavender\""));
    assert!(one.contains(", but the cloth will slide where sea lavender weaves: the ends stand 2."), "{one}");
}
