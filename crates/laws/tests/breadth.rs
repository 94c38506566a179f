//! The random plans are wide enough for the laws to mean something.

use fellmark_core::walk::{Grip, TurnState};
use fellmark_laws::run::on_plans;
use std::cell::RefCell;
use std::collections::BTreeMap;

#[test]
fn the_plans_hold_every_kind_of_turn_and_of_hold() {
    let seen: RefCell<BTreeMap<&str, u32>> = RefCell::default();
    on_plans(3, 1000, |case| {
        let mut seen = seen.borrow_mut();
        let mut count = |kind| *seen.entry(kind).or_insert(0) += 1;
        count("plans");
        let (piece, walk) = (&case.study.piece, &case.study.walk);
        if !piece.grid.is_full() {
            count("plans with rows that do not span all ends");
        }
        if walk.stretches.len() > piece.wefts.len() {
            count("plans with yarns begun again");
        }
        for turn in walk.turns() {
            count(match turn.state {
                TurnState::Caught => "caught",
                TurnState::LooseAtEdge { .. } => "loose at the edge",
                TurnState::LooseEverywhere => "loose everywhere",
            });
            let passed = |row: u32| piece.crossings(row).span();
            if passed(turn.since).edge(turn.side) != passed(turn.row).edge(turn.side) {
                count("turns between rows of different widths");
            }
            match turn.held {
                _ if turn.state == TurnState::Caught => {}
                None => count("held by nothing"),
                Some(hold) if !hold.made_here => count("held by the other's crossing"),
                Some(hold) => count(match hold.grip {
                    Grip::StartingTail => "held by a starting tail",
                    Grip::EndingTail => "held by an ending tail",
                    Grip::Yarn => {
                        let turned = |row: u32| row > hold.row && row < turn.row;
                        let again = walk.turns().any(|other| other.since == hold.row && turned(other.row));
                        if again { "held by a weft that has turned again" } else { "held by a waiting weft" }
                    }
                }),
            }
        }
        Ok(())
    });
    let seen = seen.borrow();
    println!("{seen:#?}");
    assert_eq!(seen.len(), 13, "{seen:#?}");
    assert!(seen.values().all(|&count| count >= 20), "{seen:#?}");
}
