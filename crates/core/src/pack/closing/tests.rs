//! The closing against its definition, and its laws.

use super::close;
use crate::pack::Height;
use proptest::prelude::*;

fn closed(contacts: &[i64], sag: i64) -> Vec<i64> {
    let mut row: Vec<Height> = contacts.iter().map(|&c| Height(c)).collect();
    close(&mut row, Height(sag), &mut Vec::new());
    row.into_iter().map(|h| h.0).collect()
}

/// The definition, slowly and in other terms: at every place the highest of what each pair of contacts (or of a
/// contact and its image in the mirror at an edge) makes of it, rounded down.
fn by_definition(contacts: &[i64], sag: i64) -> Vec<i64> {
    let last = contacts.len() as i64 - 1;
    let at = |x: i64| {
        let x = if x < 0 {
            -x
        } else if x > last {
            2 * last - x
        } else {
            x
        };
        i128::from(contacts[x as usize])
    };
    let (sag, range) = (i128::from(sag), -last..=2 * last);
    (0..=last)
        .map(|x| {
            let mut best = at(x);
            for q in range.clone().filter(|&q| q < x) {
                for r in range.clone().filter(|&r| r > x) {
                    let (a, b) = (i128::from(x - q), i128::from(r - x));
                    best = best.max((at(q) * b + at(r) * a).div_euclid(a + b) - sag * a * b);
                }
            }
            best as i64
        })
        .collect()
}

fn contacts() -> impl Strategy<Value = Vec<i64>> {
    let rough = prop::collection::vec(0_i64..200, 1..24);
    let steps = prop::collection::vec(prop::sample::select(vec![0_i64, 1000, 1_000_000]), 1..24);
    prop_oneof![rough, steps]
}

fn sag() -> impl Strategy<Value = i64> {
    prop::sample::select(vec![0_i64, 1, 2, 3, 7, 40, 1000, 1 << 30])
}

proptest! {
    #[test]
    fn it_is_what_the_definition_says(contacts in contacts(), sag in 1_i64..50) {
        prop_assert_eq!(closed(&contacts, sag), by_definition(&contacts, sag));
    }

    #[test]
    fn it_clears_every_contact_and_once_is_enough(contacts in contacts(), sag in sag()) {
        let row = closed(&contacts, sag);
        prop_assert!(row.iter().zip(&contacts).all(|(lies, contact)| lies >= contact));
        prop_assert_eq!(closed(&row, sag), row);
    }

    #[test]
    fn nothing_that_is_raised_lowers_anything(
        contacts in contacts(), sag in sag(), raised in prop::collection::vec((0_usize..24, 0_i64..2_000_000), 1..4)
    ) {
        let mut higher = contacts.clone();
        for (at, by) in raised {
            let at = at % higher.len();
            higher[at] += by;
        }
        let (low, high) = (closed(&contacts, sag), closed(&higher, sag));
        prop_assert!(low.iter().zip(&high).all(|(low, high)| low <= high));
    }

    #[test]
    fn a_mirrored_row_lies_mirrored(contacts in contacts(), sag in sag()) {
        let mirrored: Vec<i64> = contacts.iter().rev().copied().collect();
        let mut row = closed(&contacts, sag);
        row.reverse();
        prop_assert_eq!(closed(&mirrored, sag), row);
    }

    #[test]
    fn a_stiffer_row_lies_nowhere_lower(contacts in contacts(), a in sag(), b in sag()) {
        let (stiff, limp) = (closed(&contacts, a.min(b)), closed(&contacts, a.max(b)));
        prop_assert!(stiff.iter().zip(&limp).all(|(stiff, limp)| stiff >= limp));
    }

    /// Two steps are what rounding down may add to a second difference.
    #[test]
    fn it_nowhere_curves_upward_more_sharply_than_it_can(contacts in contacts(), sag in sag()) {
        let row = closed(&contacts, sag);
        prop_assert!(row.windows(3).all(|w| w[0] - 2 * w[1] + w[2] <= 2 * sag + 2));
        // At its edges it runs out level.
        if let [first, second, ..] = row.as_slice() {
            prop_assert!(second - first <= sag + 1);
        }
    }

    #[test]
    fn a_row_that_does_not_bend_is_level_and_a_limp_one_lies_on_its_contacts(contacts in contacts()) {
        let highest = contacts.iter().copied().max().unwrap();
        prop_assert!(closed(&contacts, 0).iter().all(|&height| height == highest));
        prop_assert_eq!(closed(&contacts, highest + 1), contacts);
    }
}

#[test]
fn a_row_hangs_between_its_supports_in_a_parabola() {
    // Two supports 4 places apart and a sag of 1 a place: 1 * 2 * 2 below them halfway.
    assert_eq!(closed(&[10, 0, 0, 0, 10], 1), [10, 7, 6, 7, 10]);
    // Beyond the only support it runs out level at the edges.
    assert_eq!(closed(&[0, 0, 100, 0, 0], 1), [96, 97, 100, 97, 96]);
    assert_eq!(closed(&[5], 1), [5]);
}
