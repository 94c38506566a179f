//! A mirrored plan is the mirrored piece with the mirrored walk, and a piece turned over is the same cloth.

use fellmark_core::quantity::Mm;
use fellmark_core::side::{Pass, Side, Span};
use fellmark_core::study::Study;
use fellmark_core::walk::{Hold, Step, Turn, TurnState};
use fellmark_laws::run::{Case, on_plans};
use fellmark_laws::written::written_out;

fn habits(text: &str) -> &str {
    let start = text.find("[habits]").unwrap_or(text.len());
    let end = text[start..].find("[band.").map_or(text.len(), |offset| start + offset);
    &text[start..end]
}

/// A turn as it is in a mirror, or from the back.
fn seen_there(turn: &Turn, ends: u32, turned: bool) -> Turn {
    let there = |end: u32| ends - 1 - end;
    let pass = |pass: Pass| if turned { pass.opposite() } else { pass };
    Turn {
        side: turn.side.other(),
        end: there(turn.end),
        state: match turn.state {
            TurnState::LooseAtEdge { slips_to } => TurnState::LooseAtEdge { slips_to: there(slips_to) },
            state => state,
        },
        held: turn.held.map(|hold| Hold { pass: pass(hold.pass), ..hold }),
        led: turn.led.map(|led| span_there(led, ends)),
        ..*turn
    }
}

/// Without what the order of a sum makes of a length.
fn even(step: &Step) -> Step {
    let even = |long: Mm| Mm::new((long.mm() * 1e6).round() / 1e6);
    match *step {
        Step::Begin { weft, side, end, tail, cut } => {
            Step::Begin { weft, side, end, tail, cut: cut.map(even) }
        }
        Step::Join { weft, cut, ends } => Step::Join { weft, cut: even(cut), ends },
        Step::Measure { width, height, reach } => {
            Step::Measure { width: width.map(even), height: height.map(even), reach: reach.map(even) }
        }
        step => step,
    }
}

/// A plan whose rows are written out is one band: which place gives room is told otherwise (the laws of the ruler have it).
fn is_of_rows(step: &&Step) -> bool {
    !matches!(step, Step::Room(_))
}

fn span_there(span: Span, ends: u32) -> Span {
    Span::new(ends - 1 - span.last(), ends - 1 - span.first()).expect("as long as before")
}

fn step_there(step: Step, ends: u32, turned: bool) -> Step {
    let other = Side::other;
    let there = |end: u32| ends - 1 - end;
    match step {
        Step::Begin { weft, side, end, tail, cut } => {
            Step::Begin { weft, side: other(side), end: there(end), tail, cut }
        }
        Step::Join { weft, cut, ends: at } => Step::Join { weft, cut, ends: span_there(at, ends) },
        Step::Lead { weft, ends: at } => Step::Lead { weft, ends: span_there(at, ends) },
        Step::Cut { weft, side, end, tail } => Step::Cut { weft, side: other(side), end: there(end), tail },
        Step::Carry { weft, side, end, past, up } => {
            Step::Carry { weft, side: other(side), end: there(end), past, up }
        }
        Step::Cross { weft, pass, other: with, grip, side, end } => {
            let pass = if turned { pass.opposite() } else { pass };
            Step::Cross { weft, pass, other: with, grip, side: other(side), end: there(end) }
        }
        Step::Header { .. }
        | Step::HeaderOut
        | Step::Measure { .. }
        | Step::Room(_)
        | Step::Scarce { .. }
        | Step::Beat { .. }
        | Step::Hill
        | Step::Comb { .. } => step,
    }
}

fn same_there(here: &Study, there: &Study, turned: bool) -> Result<(), String> {
    let ends = here.piece.end_count();
    if here.walk.stretches.len() != there.walk.stretches.len()
        || here.walk.rows.len() != there.walk.rows.len()
    {
        return Err("other yarns".into());
    }
    for (number, (a, b)) in (0_u32..).zip(here.walk.rows.iter().zip(&there.walk.rows)) {
        let (row, seen) = (here.piece.crossings(number), there.piece.crossings(number));
        let span = Span::new(ends - 1 - row.span().last(), ends - 1 - row.span().first());
        let alike = row.span().ends().all(|end| {
            let pass = row.pass(end).map(|pass| if turned { pass.opposite() } else { pass });
            seen.pass(ends - 1 - end) == pass
        });
        let mine = a.before.iter().filter(is_of_rows);
        let steps: Vec<Step> = mine.map(|step| step_there(even(step), ends, turned)).collect();
        let there: Vec<Step> = b.before.iter().filter(is_of_rows).map(even).collect();
        let after: Vec<Step> = a.after.iter().map(|step| step_there(*step, ends, turned)).collect();
        let turn = a.turn.as_ref().map(|turn| seen_there(turn, ends, turned));
        let same = span == Some(seen.span())
            && alike
            && a.from.other() == b.from
            && turn == b.turn
            && steps == there
            && after == b.after;
        if !same {
            return Err(format!("row {}:\n{a:?}\n{b:?}", number + 1));
        }
    }
    Ok(())
}

#[test]
fn a_plan_written_out_row_by_row_has_the_same_walk() {
    on_plans(21, 300, |case| {
        let out = Case::of(written_out(&case.text, &case.study.piece, false, habits(&case.text)))?;
        let [mut here, mut there] = [case.study.walk.clone(), out.study.walk.clone()];
        for row in here.rows.iter_mut().chain(&mut there.rows) {
            row.before.retain(|step| is_of_rows(&step));
        }
        if here == there { Ok(()) } else { Err(format!("another walk: {}", out.text)) }
    });
}

#[test]
fn a_mirrored_plan_has_the_mirrored_walk() {
    on_plans(22, 500, |case| {
        let mirrored = Case::of(written_out(&case.text, &case.study.piece, true, habits(&case.text)))?;
        same_there(&case.study, &mirrored.study, false)
            .map_err(|differs| format!("{differs}\n{}", mirrored.text))
    });
}

#[test]
fn a_mirrored_study_is_the_study_of_the_mirrored_plan() {
    on_plans(25, 500, |case| {
        let mirrored = case.study.mirrored();
        same_there(&case.study, &mirrored, false)?;
        if mirrored.mirrored() == case.study { Ok(()) } else { Err("mirrored twice it is another".into()) }
    });
}

#[test]
fn turned_over_like_a_page_twice_it_is_the_piece_again() {
    on_plans(23, 500, |case| {
        let again = case.study.turned().turned();
        if again == case.study { Ok(()) } else { Err("another study".into()) }
    });
}

#[test]
fn looked_at_from_its_back_it_is_the_same_cloth_wherever_yarn_is_led() {
    on_plans(26, 500, |case| {
        let back = case.study.from_back();
        same_there(&case.study, &back, true)?;
        if back.from_back() == case.study {
            Ok(())
        } else {
            Err("from the back of its back it is another".into())
        }
    });
}

#[test]
fn from_the_back_the_rows_are_mirrored_and_exchanged_and_the_links_are_the_same() {
    on_plans(24, 500, |case| {
        // Where rows end inside the cloth their yarn is led along its front, which is another side of it.
        if !case.study.piece.grid.is_full() {
            return Ok(());
        }
        same_there(&case.study, &case.study.turned(), true)
    });
}
