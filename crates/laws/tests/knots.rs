//! The rule of what holds a loose turn, against the linking numbers of closed curves in space.

use fellmark::text::Hand;
use fellmark_core::say::Units;
use fellmark_laws::cloth::{Cloth, Lies, Link, Part};
use fellmark_laws::knots::{Other, Strand, linking_number, turn_and_other};
use fellmark_laws::reader;
use fellmark_laws::run::{Case, on_plans};

/// Curves whose linking number everybody knows: two rings of a chain, two apart, and a curve that winds twice
/// round another (Rolfsen, *Knots and Links*, 1976, from memory).
#[test]
fn known_links_have_their_numbers() {
    let ring = [[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0]];
    let hooked = [[5, 3, -5], [5, 4, 5], [25, 5, 5], [25, 6, -5]];
    let apart = [[5, 3, 2], [5, 4, 5], [25, 5, 5], [25, 6, 2]];
    assert_eq!(linking_number(&ring, &hooked).abs(), 1);
    assert_eq!(linking_number(&hooked, &ring), linking_number(&ring, &hooked));
    let mirrored = hooked.map(|[x, y, z]| [x, y, -z]);
    assert_eq!(linking_number(&ring, &mirrored), -linking_number(&ring, &hooked));
    assert_eq!(linking_number(&ring, &apart), 0);
    let twice =
        [[5, 3, -5], [6, 3, 5], [25, 3, 5], [26, 4, -5], [4, 5, -5], [4, 6, 5], [27, 7, 5], [28, 8, -5]];
    assert_eq!(linking_number(&ring, &twice).abs(), 2);
}

fn other(row: i64, over: bool, goes_on: Option<(i64, bool)>, in_front: bool) -> Other {
    let goes_on = goes_on.map(|(row, over)| Strand { row, over });
    Other { strand: Strand { row, over }, goes_on, in_front }
}

/// "Held if and only if another yarn comes out on the opposite face of the edge end, in front if the turn lies
/// over, behind if it lies under. The other way links nothing (linking number 0, not 1), and one on the same
/// face holds nothing either way."
#[test]
fn whichever_is_under_the_last_end_comes_over_the_other() {
    for lies_over in [true, false] {
        for other_over in [true, false] {
            for in_front in [true, false] {
                let holds = other_over != lies_over && in_front == lies_over;
                for goes_on in [None, Some((9, true)), Some((9, false))] {
                    let number = turn_and_other((1, 5), lies_over, other(3, other_over, goes_on, in_front));
                    assert_eq!(
                        number.abs(),
                        i64::from(holds),
                        "{lies_over} {other_over} {in_front} {goes_on:?}"
                    );
                }
            }
        }
    }
}

/// Two loops one inside the other, both loose and on opposite faces, are not linked, whichever way the inner
/// one passes. An inner one that wraps the edge end is, if it passes the right way.
#[test]
fn a_weft_that_has_turned_again_holds_only_if_its_own_turn_is_caught() {
    for lies_over in [true, false] {
        for in_front in [true, false] {
            for (first, second) in [(true, true), (true, false), (false, true), (false, false)] {
                let number = turn_and_other((1, 7), lies_over, other(3, first, Some((5, second)), in_front));
                let holds = first != second && in_front == lies_over;
                assert_eq!(number.abs(), i64::from(holds), "{lies_over} {in_front} {first} {second}");
            }
        }
    }
}

/// A yarn that had come out before the turn began, and goes in between its rows, is linked with it just as one
/// that comes out between them: the rule read from the top down.
#[test]
fn a_weft_that_goes_in_between_holds_as_one_that_comes_out() {
    for lies_over in [true, false] {
        for other_over in [true, false] {
            for in_front in [true, false] {
                for came_out in [true, false] {
                    let passing = other(3, other_over, Some((-2, came_out)), in_front);
                    let holds = other_over != lies_over && in_front == lies_over;
                    assert_eq!(turn_and_other((1, 5), lies_over, passing).abs(), i64::from(holds));
                }
            }
        }
    }
}

/// Every other yarn that comes out or goes in at the edge between the two rows of a turn.
fn others(cloth: &Cloth, row: usize) -> Vec<Other> {
    let (Some(since), Some(edge)) = (cloth.rows[row].since, cloth.edge(row)) else { return Vec::new() };
    let strand = |row: usize| Strand { row: row as i64, over: cloth.rows[row].passes(edge).unwrap_or(true) };
    let between = (since + 1..row).filter(|s| cloth.rows[*s].weft != cloth.rows[row].weft);
    let at_edge = between.filter_map(|s| {
        let goes_in = cloth.rows[s].from == cloth.rows[row].from;
        let end = if goes_in { cloth.rows[s].entry() } else { cloth.rows[s].exit() };
        let goes_on = if goes_in { cloth.rows[s].since } else { cloth.next(s) };
        // A row that stops short of this end has its yarn led along the front of it; such a yarn is no holder.
        let reaches = goes_on.is_none_or(|other| cloth.rows[other].passes(edge).is_some());
        let turn = if goes_in { Some(s) } else { goes_on };
        let same_end = end == edge && turn.and_then(|turn| cloth.edge(turn)).is_none_or(|end| end == edge);
        (reaches && same_end).then_some((s, goes_on))
    });
    at_edge
        .flat_map(|(s, goes_on)| {
            [true, false].map(|in_front| Other { strand: strand(s), goes_on: goes_on.map(strand), in_front })
        })
        .collect()
}

/// A turn is said to be held by nothing only if no yarn at this edge could be linked with it, whichever way.
#[test]
fn where_nothing_holds_a_turn_no_curve_there_can_be_linked_with_it() {
    on_plans(12, 1000, |case| {
        let cloth = woven(case)?;
        for row in 0..cloth.rows.len() {
            let open = cloth.lies(row).is_some_and(|lies| lies != Lies::Caught) && !cloth.is_held(row);
            let (Some(since), true) = (cloth.rows[row].since, open) else { continue };
            for other in others(&cloth, row) {
                let number = turn_and_other((since as i64, row as i64), cloth.lies_over(row).unwrap(), other);
                if number != 0 {
                    return Err(format!("row {} could be held by {other:?}", row + 1));
                }
            }
        }
        Ok(())
    });
}

fn woven(case: &Case) -> Result<Cloth, String> {
    let units = Units::Metric;
    let rows = fellmark_report::rows(&case.study, 1..=u32::MAX, units);
    let text = fellmark::text::rows(&case.study, &rows, units, Hand::Right);
    Ok(reader::read(&text, case.study.piece.end_count())?.cloth)
}

/// The closed curve of what a turn is linked with.
fn holder(cloth: &Cloth, link: &Link) -> Other {
    let strand = |row: usize| {
        let over = cloth.rows[row].passes(cloth.edge(link.row).unwrap()).unwrap_or(true);
        Strand { row: row as i64, over }
    };
    let goes_on = match link.part {
        Part::Yarn if cloth.rows[link.other].from == cloth.rows[link.row].from => {
            cloth.rows[link.other].since
        }
        Part::Yarn => cloth.next(link.other),
        Part::StartingTail | Part::EndingTail => None,
    };
    Other { strand: strand(link.other), goes_on: goes_on.map(strand), in_front: link.in_front }
}

#[test]
fn every_link_that_the_words_tie_is_one_and_the_other_way_is_none() {
    on_plans(11, 1000, |case| {
        let units = Units::Metric;
        let rows = fellmark_report::rows(&case.study, 1..=u32::MAX, units);
        let text = fellmark::text::rows(&case.study, &rows, units, Hand::Right);
        let cloth = reader::read(&text, case.study.piece.end_count())?.cloth;
        for link in &cloth.links {
            let (turn, over) = ((link.since as i64, link.row as i64), cloth.lies_over(link.row).unwrap());
            let other = holder(&cloth, link);
            let other_way = Other { in_front: !other.in_front, ..other };
            let numbers = [other, other_way].map(|other| turn_and_other(turn, over, other).abs());
            if numbers != [1, 0] {
                return Err(format!("{link:?} winds {numbers:?}\n{text}"));
            }
            // The same crossing holds the turn of one that came out and waits, where it is loose and round the same end.
            let partner = cloth.next(link.other).filter(|next| *next > link.row && link.part == Part::Yarn);
            let Some(next) = partner else { continue };
            if cloth.lies(next) == Some(Lies::Caught) || cloth.edge(next) != cloth.edge(link.row) {
                continue;
            }
            let strand = |row: usize| Strand { row: row as i64, over };
            let this = Other {
                strand: strand(link.row),
                goes_on: Some(strand(link.since)),
                in_front: !link.in_front,
            };
            let turn = (link.other as i64, next as i64);
            if turn_and_other(turn, cloth.lies_over(next).unwrap(), this).abs() != 1 {
                return Err(format!("{link:?} does not hold both\n{text}"));
            }
        }
        Ok(())
    });
}
