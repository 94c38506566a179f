//! Facts of the walk, each on the plan that shows it: the sides, turns and holds are worked out by hand from the
//! rule of what holds.

use fellmark_core::side::{Pass, Side};
use fellmark_core::sound::{Kind, Severity};
use fellmark_core::walk::{Grip, Hold, Step, Turn, TurnState};
use fellmark_laws::plans::head;
use fellmark_laws::run::Case;

fn turns(case: &Case) -> Vec<Turn> {
    case.study.walk.turns().copied().collect()
}

/// Row k of a 2/2 diagonal goes over ends k and k + 1 of each four (from 0, leaning right). On 8 ends end 1 is
/// over in rows 0 and 3 of four, end 8 in rows 2 and 3. From the left a needle turns at the right between rows
/// (0, 1), (2, 3): under and under, over and over; at the left between (1, 2), (3, 4): under and under, over
/// and over. From the right the same pairs turn at the other edge: left (0, 1): over, under; (2, 3): under,
/// over; right (1, 2): under, over; (3, 4): over, under. So all are loose from the left, all caught from the
/// right.
#[test]
fn a_diagonal_on_eight_ends_is_loose_from_the_left_and_caught_from_the_right() {
    let plan = |from: &str| {
        Case::written(&format!(
            "{}[weft.slate]\nfrom = \"{from}\"\n[band.tide]\nwefts = [\"slate\"]\nopening = \"over 2, under 2\"\n\
             step = \"1 right\"\nrows = 12\n[piece]\nbands = [\"tide\"]\n",
            head(8, "")
        ))
    };
    let left = turns(&plan("left"));
    assert_eq!(left.len(), 11);
    assert!(
        left.iter().all(|turn| matches!(turn.state, TurnState::LooseAtEdge { .. }) && turn.held.is_none())
    );
    let right = turns(&plan("right"));
    assert_eq!(right.len(), 11);
    assert!(right.iter().all(|turn| turn.state == TurnState::Caught));
}

/// Where the loop of a loose turn slips to: rows 0 and 1 of the diagonal are oouuoouu and uoouuoou; from the
/// right they are alike at end 8 and differ first at end 7.
#[test]
fn a_loop_slips_in_to_the_first_end_at_which_the_rows_differ() {
    let case = Case::written(&format!(
        "{}[band.tide]\nwefts = [\"slate\"]\nopening = \"over 2, under 2\"\nstep = \"1 right\"\nrows = 2\n\
         [piece]\nbands = [\"tide\"]\n",
        head(8, "")
    ));
    let turn = turns(&case)[0];
    assert_eq!((turn.side, turn.end, turn.state), (Side::Right, 7, TurnState::LooseAtEdge { slips_to: 6 }));
}

fn opposite_sheds(ends: u32, foam: &str, rows: u32) -> Case {
    Case::written(&format!(
        "{}[weft.foam]\nfrom = \"{foam}\"\n[band.pools]\nwefts = [\"slate\", \"foam\"]\n\
         opening = \"over 5, under 3\"\nopposite = true\nrows = {rows}\n[piece]\nbands = [\"pools\"]\n",
        head(ends, "")
    ))
}

/// Two wefts in opposite sheds: each goes back through its own opening, so nothing but crossing holds it; and
/// crossing holds every turn at both edges, save that a first turn may have but a tail.
#[test]
fn two_wefts_of_opposite_sheds_are_loose_everywhere_and_held_by_crossing_at_both_edges() {
    for ends in 1..=40 {
        for foam in ["left", "right"] {
            let all = turns(&opposite_sheds(ends, foam, 12));
            assert_eq!(all.len(), 10);
            assert!(all.iter().all(|turn| turn.state == TurnState::LooseEverywhere && turn.held.is_some()));
            assert!(Side::BOTH.iter().all(|side| all.iter().any(|turn| turn.side == *side)));
        }
    }
}

/// The wefts before whose rows the needle is crossed with the other's running yarn.
fn crossing_wefts(case: &Case) -> Vec<String> {
    let steps = case.study.walk.rows.iter().flat_map(|row| &row.before);
    steps
        .filter_map(|step| match step {
            Step::Cross { weft, grip: Grip::Yarn, .. } => Some(case.study.piece.wefts[weft.0].name.clone()),
            _ => None,
        })
        .collect()
}

/// "With both needles started from one side the first of the pair does the crossing each time; from opposite
/// sides the second does, and the first weft's first turn has only the other's starting tail to hold on to."
#[test]
fn from_one_side_the_first_of_the_pair_crosses_from_opposite_sides_the_second() {
    let one_side = opposite_sheds(24, "left", 12);
    assert_eq!(crossing_wefts(&one_side), ["slate"; 5]);
    assert!(turns(&one_side).iter().all(|turn| turn.held.is_some_and(|hold| hold.grip == Grip::Yarn)));
    let two_sides = opposite_sheds(24, "right", 12);
    let crossed = crossing_wefts(&two_sides);
    assert!(crossed.iter().all(|weft| weft == "foam"), "{crossed:?}");
    let first = turns(&two_sides)[0];
    assert_eq!(two_sides.study.piece.wefts[first.weft.0].name, "slate");
    assert_eq!(first.held.map(|hold| hold.grip), Some(Grip::StartingTail));
    let told = |kind: &Kind| matches!(kind, Kind::HeldByTail { grip: Grip::StartingTail, .. });
    assert!(two_sides.study.findings.iter().any(|finding| told(&finding.kind)));
    // The last turn has the other's ending tail, since slate wove its last row before foam did.
    let grips: Vec<Option<Grip>> =
        turns(&two_sides).iter().map(|turn| turn.held.map(|hold| hold.grip)).collect();
    assert!(grips[1..9].iter().all(|grip| *grip == Some(Grip::Yarn)), "{grips:?}");
    assert_eq!(grips[9], Some(Grip::EndingTail));
}

/// Whichever weft is under the last end comes over the other one.
#[test]
fn the_weft_under_the_last_end_comes_over() {
    for ends in [4, 5, 8, 24] {
        let case = opposite_sheds(ends, "left", 8);
        for turn in turns(&case) {
            let Some(Hold { row, pass, .. }) = turn.held else { panic!("{turn:?}") };
            let over = |row: u32| case.study.piece.grid.over(row, turn.end);
            assert_eq!(over(turn.row), Some(pass == Pass::Over), "in front of a turn that lies over");
            assert_eq!(over(row), over(turn.row).map(|over| !over), "the other lies on the other face");
        }
    }
}

/// "The needle goes back through the same opening: with one needle and nothing between, an error."
#[test]
fn one_needle_back_through_its_opening_is_an_error() {
    let case = Case::written(&format!(
        "{}[band.still]\nwefts = [\"slate\"]\nrows = [\"over 2, under 1\", \"over 2, under 1\"]\n\
         [piece]\nbands = [\"still\"]\n",
        head(9, "")
    ));
    assert_eq!(turns(&case)[0].state, TurnState::LooseEverywhere);
    let found = case.study.findings.iter().find(|f| matches!(f.kind, Kind::LooseTurns { everywhere: 1, .. }));
    assert_eq!(found.map(|finding| finding.severity), Some(Severity::Error));
}

/// "Edge ends always taken holds any number of wefts": over the first end and under the last, a needle that
/// leaves an end under comes back over it.
#[test]
fn edge_ends_taken_catch_every_turn_of_any_number_of_wefts() {
    let names = ["\"slate\"", "\"foam\"", "\"sea lavender\"", "\"mud-lark\""];
    for wefts in 1..=4 {
        for right in 0..1_u32 << wefts {
            for opening in ["over 5, under 3", "over 2, under 2", "under 1"] {
                let mut text = head(16, "edges = \"taken\"\n");
                for (k, name) in names[..wefts].iter().enumerate() {
                    let from = if right >> k & 1 == 1 { "right" } else { "left" };
                    text.push_str(&format!("[weft.{name}]\nfrom = \"{from}\"\n"));
                }
                text.push_str(&format!(
                    "[band.b]\nwefts = [{}]\nopening = \"{opening}\"\nopposite = true\nrows = 16\n\
                     [piece]\nbands = [\"b\"]\n",
                    names[..wefts].join(", ")
                ));
                let all = turns(&Case::written(&text));
                assert_eq!(all.len(), 16 - wefts);
                assert!(all.iter().all(|turn| turn.state == TurnState::Caught), "{text}");
            }
        }
    }
}

/// Plain weave in one weft wraps every edge end, whatever the number of ends and the side (common practice, no
/// source).
#[test]
fn plain_weave_in_one_weft_is_caught_at_every_turn() {
    for ends in 1..=40 {
        for from in ["left", "right"] {
            let case = Case::written(&format!(
                "{}[weft.slate]\nfrom = \"{from}\"\n[band.hem]\nwefts = [\"slate\"]\nweave = \"plain\"\nrows = 7\n\
                 [piece]\nbands = [\"hem\"]\n",
                head(ends, "")
            ));
            let all = turns(&case);
            assert_eq!(all.len(), 6);
            assert!(all.iter().all(|turn| turn.state == TurnState::Caught), "{ends} ends from the {from}");
        }
    }
}

/// Slate comes out over end 3 below foam's turn and goes in under it between foam's rows, which both lie over:
/// it wraps the end, and foam's loop cannot slip past it if slate passes in front (linking number 1).
#[test]
fn a_weft_that_goes_in_between_holds_a_turn_that_began_after_it_came_out() {
    let case = Case::written(&format!(
        "{}[band.b]\nwefts = [\"slate\", \"foam\"]\n\
         rows = [\"over 1, under 1, over 1\", \"under 2, over 1\", \"over 2, under 1\", \"over 1, under 1, over 1\"]\n\
         [piece]\nbands = [\"b\"]\n",
        head(3, "")
    ));
    let [slate, foam] = turns(&case)[..] else { panic!("two turns") };
    assert_eq!(slate.state, TurnState::Caught);
    assert_eq!(foam.state, TurnState::LooseAtEdge { slips_to: 0 });
    let hold = foam.held.map(|hold| (hold.row, hold.pass, hold.grip, hold.made_here));
    assert_eq!(hold, Some((2, Pass::Over, Grip::Yarn, true)));
    let taken_under = |step: &Step| matches!(step, Step::Cross { pass: Pass::Under, .. });
    assert!(case.study.walk.rows[3].before.iter().any(taken_under), "foam goes under slate");
}
