//! Choices that bring a piece near a finished size: each is what it says it is, and they come as near as they can.

use fellmark_core::fit::{Choice, Limit, fit, limits};
use fellmark_core::piece::Place;
use fellmark_core::plan::{Edit, Plan, StackEdit, StackEntry, StackList, Wanted};
use fellmark_core::quantity::Mm;
use fellmark_core::sound::{Kind, Severity};
use fellmark_core::study::study;

fn example(name: &str) -> (String, Plan) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let text = std::fs::read_to_string(folder.join(name).with_extension("toml")).unwrap();
    let plan = fellmark_note::read(&text).unwrap().plan;
    (text, plan)
}

fn wanted(width: Option<f64>, length: Option<f64>) -> Wanted {
    Wanted { width: width.map(Mm::new), length: length.map(Mm::new) }
}

/// Plans with sizes that their frames allow.
fn cases() -> Vec<(&'static str, Wanted)> {
    vec![
        ("tideline-mat", wanted(Some(110.0), Some(120.0))),
        ("tideline-mat", wanted(None, Some(100.0))),
        ("tideline-mat", wanted(Some(70.0), None)),
        ("lichen-coaster", wanted(Some(100.0), Some(100.0))),
        ("sandpiper-earrings", wanted(Some(25.0), Some(45.0))),
        ("sandpiper-earrings", wanted(Some(40.0), None)),
        ("tideline-bookmark", wanted(Some(60.0), Some(120.0))),
    ]
}

#[test]
fn the_edits_made_on_the_text_and_studied_again_give_what_the_choice_says() {
    for (name, wanted) in cases() {
        let (text, plan) = example(name);
        let choices = fit(&plan, wanted);
        assert!((1..=6).contains(&choices.len()), "{name}: {}", choices.len());
        for choice in &choices {
            let edited = choice.edits.iter().fold(text.clone(), |text, edit| {
                fellmark_note::apply(&text, edit)
                    .unwrap_or_else(|error| panic!("{name}: {edit:?}: {error:?}"))
            });
            let again = study(&fellmark_note::read(&edited).unwrap().plan).unwrap();
            assert_eq!(again.size, choice.study.size, "{name}: {:?}", choice.edits);
            assert_eq!(again.findings, choice.study.findings, "{name}: {:?}", choice.edits);
            assert_eq!(again.piece.ends.len(), choice.study.piece.ends.len());
            assert_eq!(again.piece.rows, choice.study.piece.rows);
            let finished = again.size.finished;
            assert_eq!(choice.wider, wanted.width.map(|width| finished.width.likely - width));
            assert_eq!(choice.longer, wanted.length.map(|length| finished.length.likely - length));
        }
    }
}

/// Half a repeat of ends and of rows as they come out finished: as near as whole repeats can come.
fn half_a_repeat(plan: &Plan, choice: &Choice) -> (Mm, Mm) {
    let (piece, finished) = (&choice.study.piece, choice.study.size.finished);
    let ends = piece.places.iter().filter_map(|place| place.repeat).map(|(ends, _)| ends).max().unwrap_or(1);
    // The colours are whole too: of two rows of one and two of another four belong together.
    let turn = |place: &Place| plan.bands[place.band.0].wefts.as_ref().map_or(1, Vec::len) as u32;
    let whole = |place: &Place| {
        let (rows, turn) = (place.repeat?.1, turn(place).max(1));
        (1..=turn).map(|times| rows * times).find(|rows| rows % turn == 0)
    };
    let rows = piece.places.iter().filter_map(whole).max().unwrap_or(1);
    // A row of a band comes as often as the band.
    let times = piece.places.iter().map(|place| place.nth.1).max().unwrap_or(1);
    (
        finished.width.likely / f64::from(piece.end_count()) * f64::from(ends) / 2.0,
        finished.length.likely / f64::from(piece.row_count()) * f64::from(rows * times) / 2.0,
    )
}

#[test]
fn the_nearest_choice_comes_within_half_a_repeat() {
    for (name, wanted) in cases() {
        let plan = example(name).1;
        let choices = fit(&plan, wanted);
        let nearest = choices.iter().min_by(|a, b| a.off(wanted).total_cmp(&b.off(wanted))).unwrap();
        let (across, along) = half_a_repeat(&plan, nearest);
        assert!(nearest.wider.is_none_or(|off| off.abs() <= across), "{name}: {:?}", nearest.wider);
        assert!(nearest.longer.is_none_or(|off| off.abs() <= along), "{name}: {:?}", nearest.longer);
        assert!(nearest.comes_near(wanted), "{name}");
        if wanted.length.is_none() {
            // Every number of ends can be had, so the nearest is within half an end.
            let end = nearest.study.piece.spacing();
            assert!(nearest.wider.is_some_and(|off| off.abs() <= end * 0.51), "{name}: {:?}", nearest.wider);
        }
        // The others are about as near, to a twentieth, but for one whose repeats come out.
        let uneven = |choice: &Choice| {
            choice.study.findings.iter().filter(|f| matches!(f.kind, Kind::RepeatsUneven { .. })).count()
        };
        let (last, others) = choices.split_last().unwrap();
        assert!(others.iter().all(|choice| choice.off(wanted) <= nearest.off(wanted) + 0.05), "{name}");
        let even = others.iter().all(|choice| uneven(choice) > uneven(last));
        let within = if even { 0.2 } else { 0.05 };
        assert!(last.off(wanted) <= nearest.off(wanted) + within, "{name}");
    }
}

#[test]
fn what_has_to_be_mended_comes_before_how_near_it_is() {
    for (name, wanted) in cases() {
        let choices = fit(&example(name).1, wanted);
        let errors = |choice: &Choice| {
            choice.study.findings.iter().filter(|finding| finding.severity == Severity::Error).count()
        };
        assert!(choices.iter().all(|choice| errors(choice) == 0), "{name}");
        let loose = |choice: &Choice| {
            let edges = choice.study.findings.iter();
            edges
                .filter(|finding| {
                    matches!(
                        finding.kind,
                        Kind::LooseTurns { .. } | Kind::UnwrappedEdge { .. } | Kind::FallsApart { .. }
                    )
                })
                .count()
        };
        // One whose repeats come out may stand last for that.
        let near = |choice: &&Choice| choice.off(wanted) <= choices[0].off(wanted) + 0.05;
        let near: Vec<&Choice> = choices.iter().filter(near).collect();
        assert!(near.windows(2).all(|pair| loose(pair[0]) <= loose(pair[1])), "{name}");
    }
}

#[test]
fn a_plan_that_fits_is_left_as_it_is() {
    let (_, plan) = example("sandpiper-earrings");
    let is = study(&plan).unwrap().size.finished;
    let choices = fit(&plan, Wanted { width: Some(is.width.likely), length: Some(is.length.likely) });
    assert_eq!(choices[0].edits, []);
    assert_eq!((choices[0].more_warp, choices[0].more_weft), (Mm::ZERO, Mm::ZERO));
}

#[test]
fn a_frame_that_is_too_small_is_used_as_far_as_it_goes() {
    let (_, plan) = example("tideline-bookmark");
    let wide = wanted(Some(500.0), None);
    let choices = fit(&plan, wide);
    assert!(choices.iter().any(|choice| choice.edits == [Edit::WarpEnds(60)]), "the frame has 60 notches");
    assert!(choices.iter().all(|choice| !choice.comes_near(wide)));
    // However much wider than any frame: what is nearest comes first.
    assert_eq!(fit(&plan, wanted(Some(11e6), None))[0].edits, [Edit::WarpEnds(60)]);
    let long = fit(&plan, wanted(None, Some(500.0)));
    let reach = plan.loom.reach();
    let lengths: Vec<Mm> = long.iter().map(|choice| choice.study.size.on_loom.length.likely).collect();
    assert!(!lengths.is_empty() && lengths.iter().all(|length| *length <= reach), "{lengths:?}");
    assert!(lengths.iter().any(|length| *length > reach * 0.9), "{lengths:?}");
}

#[test]
fn a_band_that_fills_goes_on_filling_where_the_frame_is_the_limit() {
    let (_, plan) = example("tideline-mat");
    let first = &fit(&plan, wanted(Some(110.0), Some(140.0)))[0];
    assert_eq!(first.edits.len(), 1, "{:?}", first.edits);
    assert!(matches!(first.edits[0], Edit::WarpEnds(_)), "{:?}", first.edits);
    // 29 ends are no whole repeats of 6: that it costs, and nothing else.
    assert!(first.new.iter().all(|finding| matches!(finding.kind, Kind::RepeatsUneven { repeat: 6, .. })));
    assert_eq!(first.new.len(), 1, "{:?}", first.new);
}

/// A headband of a tide and a line, again and again: to be longer it is woven so more often, as its weaver means it, before a band
/// of it gets other rows.
#[test]
fn what_is_woven_again_and_again_is_woven_more_or_less_often() {
    let (_, plan) = example("kelp-headband");
    let often = |plan: &Plan| match plan.stack[..] {
        [_, StackEntry::Group { times, .. }, ..] => times,
        _ => panic!("its middle is a group"),
    };
    let now = study(&plan).unwrap().size.finished.length.likely;
    // A tide and a line are 20 rows of 370.
    let each = now * (20.0 / 370.0);
    for more in [-6.0, -3.0, 2.0] {
        let choices = fit(&plan, wanted(None, Some((now + each * more).mm())));
        let [Edit::Stack(StackList::Piece, StackEdit::Times { times, .. })] = choices[0].edits[..] else {
            panic!("{more}: {:?}", choices[0].edits)
        };
        assert_eq!(f64::from(times), f64::from(often(&plan)) + more);
        assert_eq!(often(&choices[0].plan), times);
        assert!(choices.iter().any(|choice| matches!(choice.edits[..], [Edit::BandRows(..)])), "{more}");
    }
}

/// A diagonal of 6 ends and a columned border of 8: whoever wants a width between whole repeats is also told the nearest number of
/// ends with which they come out, and what it is off.
#[test]
fn a_choice_whose_repeats_come_out_is_always_there() {
    for (name, wanted, ends) in [
        ("marsh-light-panel", wanted(Some(140.0), Some(300.0)), 36),
        ("kelp-headband", wanted(Some(70.0), Some(400.0)), 21),
    ] {
        let (_, plan) = example(name);
        let choices = fit(&plan, wanted);
        let uneven = |choice: &Choice| {
            choice.study.findings.iter().any(|finding| matches!(finding.kind, Kind::RepeatsUneven { .. }))
        };
        let even: Vec<u32> =
            choices.iter().filter(|choice| !uneven(choice)).map(|c| c.study.piece.end_count()).collect();
        assert_eq!(even, [ends], "{name}");
    }
}

/// "Twelve by twenty" on a frame in which 13.5 cm can be woven: no choice is longer, and the frame is why.
#[test]
fn what_of_the_frame_is_the_limit_is_told() {
    let (_, plan) = example("tideline-mat");
    let told = |wanted: Wanted| limits(&fit(&plan, wanted), wanted);
    assert_eq!(told(wanted(Some(120.0), Some(200.0))), [Limit::Reach(plan.loom.reach())]);
    assert_eq!(told(wanted(Some(400.0), None)), [Limit::Notches(40)]);
    assert_eq!(told(wanted(Some(110.0), Some(120.0))), []);
    // What is too small to be had is no limit of the frame.
    assert_eq!(told(wanted(Some(1.0), None)), []);
}

/// To be larger, a piece may take more yarn than there is: that is what it costs, and no reason to offer nothing.
#[test]
fn yarn_that_runs_out_leaves_a_choice() {
    let (_, plan) = example("first-try");
    let wanted = wanted(Some(80.0), Some(80.0));
    let first = &fit(&plan, wanted)[0];
    assert!(first.comes_near(wanted), "{:?}", first.edits);
    assert!(first.new.iter().any(|finding| matches!(finding.kind, Kind::RunsOut { .. })));
}

#[test]
fn no_choice_is_worse_than_another_of_as_many_ends_in_all_that_counts() {
    let (_, plan) = example("tideline-mat");
    let wanted = wanted(Some(110.0), Some(140.0));
    let choices = fit(&plan, wanted);
    let looks = |choice: &Choice| (choice.new.len(), choice.off(wanted));
    for a in &choices {
        for b in choices.iter().filter(|b| b.study.piece.end_count() == a.study.piece.end_count()) {
            let ((new, off), (other, nearer)) = (looks(a), looks(b));
            assert!(!(other < new && nearer < off), "{:?} beside {:?}", a.edits, b.edits);
        }
    }
}

#[test]
fn nothing_wanted_and_nothing_woven_leave_nothing_to_choose() {
    let (_, plan) = example("tideline-mat");
    assert!(fit(&plan, Wanted::default()).is_empty());
    let mut unmade = plan.clone();
    unmade.warp.ends = fellmark_core::plan::EndsWanted::Count(4000);
    assert!(fit(&unmade, wanted(Some(100.0), None)).is_empty(), "the notches don't take it");
    // Sizes that are no sizes lead nowhere, but they lead to an end.
    for odd in [0.0, -5.0, 1e12, f64::NAN, f64::INFINITY] {
        let _ = fit(&plan, wanted(Some(odd), Some(odd)));
    }
}

#[test]
fn the_same_plan_has_the_same_choices() {
    let (_, plan) = example("lichen-coaster");
    let wanted = wanted(Some(100.0), Some(100.0));
    assert_eq!(fit(&plan, wanted), fit(&plan, wanted));
}
