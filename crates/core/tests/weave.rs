//! Weaves against handbooks and facts of the trade.

use fellmark_core::side::{Pass, Side};
use fellmark_core::weave::{NamedWeave, SatinError, TwillKind, Weave, satin_steps};
use std::num::NonZeroU32;

fn n(value: u32) -> NonZeroU32 {
    NonZeroU32::new(value).unwrap()
}

/// Rows of a weave, from the bottom, as text: `o` over.
fn rows(weave: &Weave, rows: u32, ends: u32) -> Vec<String> {
    (0..rows).map(|row| (0..ends).map(|end| if weave.over(row, end) { 'o' } else { '.' }).collect()).collect()
}

fn twill(fraction: &[u32], lean: Side, kind: TwillKind) -> Weave {
    let fraction = fraction.iter().map(|&f| n(f)).collect();
    NamedWeave::Twill { fraction, lean, kind }.expand().unwrap()
}

/// A. Wolfensberger, *Theory of Silk Weaving*, the chapter on satin: the steps of the satins on 5 to 16 ends,
/// up to half (the others are their mirrors).
#[test]
fn satins_are_those_of_wolfensbergers_list() {
    let list: [(u32, &[u32]); 12] = [
        (5, &[2]),
        (6, &[]),
        (7, &[2, 3]),
        (8, &[3]),
        (9, &[2, 4]),
        (10, &[3]),
        (11, &[2, 3, 4, 5]),
        (12, &[5]),
        (13, &[2, 3, 4, 5, 6]),
        (14, &[3, 5]),
        (15, &[2, 4, 7]),
        (16, &[3, 5, 7]),
    ];
    for (on, steps) in list {
        let up_to_half: Vec<u32> = satin_steps(on).into_iter().filter(|&step| step <= on / 2).collect();
        assert_eq!(up_to_half, steps, "on {on} ends");
        for step in satin_steps(on) {
            assert!(satin_steps(on).contains(&(on - step)), "the mirror of {step} on {on}");
        }
    }
    // An exam item: the steps of an 8-end satin are 3 and 5 (cdquestions).
    assert_eq!(satin_steps(8), [3, 5]);
    assert_eq!(NamedWeave::satin(6, None, false), Err(SatinError::NoneOn(6)));
    assert_eq!(NamedWeave::satin(8, Some(2), true), Err(SatinError::Step { on: 8, steps: vec![3, 5] }));
    for on in 0..5 {
        assert_eq!(NamedWeave::satin(on, None, false), Err(SatinError::NoneOn(on)));
    }
}

/// C. P. Brooks, *Cotton Manufacturing*: the order of binding points of the 5-end satin with step 2 and of the
/// 12-end satin with step 5; the first also in Wolfensberger.
#[test]
fn binding_points_come_in_the_handbooks_order() {
    let order = |on: u32, step: u32| -> Vec<u32> {
        let weave = NamedWeave::satin(on, Some(step), true).unwrap().expand().unwrap();
        // A sateen's weft goes under one end in each row: there it is bound.
        (0..on).map(|row| (0..on).find(|&end| !weave.over(row, end)).unwrap() + 1).collect()
    };
    assert_eq!(order(5, 2), [1, 3, 5, 2, 4]);
    assert_eq!(order(12, 5), [1, 6, 11, 4, 9, 2, 7, 12, 5, 10, 3, 8]);
}

/// Satin is warp-faced and sateen weft-faced: common practice, no source.
#[test]
fn satin_shows_the_warp_and_sateen_the_weft() {
    let over = |weft_faced| {
        let weave = NamedWeave::satin(5, None, weft_faced).unwrap().expand().unwrap();
        (0..5).flat_map(|row| (0..5).map(move |end| (row, end))).filter(|&(r, e)| weave.over(r, e)).count()
    };
    assert_eq!((over(false), over(true)), (5, 20));
}

/// The trade's fraction counts warp up, then warp down (Wikipedia, "Bindungslehre"): the weft does the inverse.
#[test]
fn a_twills_fraction_counts_the_warp() {
    let weave = twill(&[3, 1], Side::Right, TwillKind::Straight);
    assert_eq!(rows(&weave, 1, 4), ["...o"]);
    let runs = weave.opening.runs();
    assert_eq!((runs[0].pass, runs[0].ends, runs[1].pass, runs[1].ends), (Pass::Under, 3, Pass::Over, 1));
    let longer = twill(&[5, 2, 1, 2], Side::Right, TwillKind::Straight);
    assert_eq!((longer.repeat_ends(), longer.repeat_rows()), (10, 10));
}

/// Z twill rises from left to right, S the other way (blog.vossberg.de, lexicon; ISO 2 for the letters).
#[test]
fn a_twill_that_leans_right_rises_to_the_right() {
    let right = twill(&[2, 2], Side::Right, TwillKind::Straight);
    let left = twill(&[2, 2], Side::Left, TwillKind::Straight);
    for row in 0..8 {
        for end in 1..8 {
            assert_eq!(right.over(row + 1, end), right.over(row, end - 1));
            assert_eq!(left.over(row + 1, end - 1), left.over(row, end));
        }
    }
}

/// The broken 2/2 twill takes its rows in the order 1, 2, 4, 3: common practice, no source.
#[test]
fn a_broken_twill_interrupts_the_step() {
    let straight = twill(&[2, 2], Side::Right, TwillKind::Straight);
    let broken = twill(&[2, 2], Side::Right, TwillKind::Broken(None));
    let (straight, broken) = (rows(&straight, 4, 8), rows(&broken, 8, 8));
    assert_eq!(broken[..4], [0, 1, 3, 2].map(|row: usize| straight[row].clone()));
    assert_eq!(broken[4..], broken[..4]);
}

/// A point has one row at its turn; common practice, no source.
#[test]
fn a_pointed_twill_turns_back_on_one_row() {
    let weave = twill(&[2, 2], Side::Right, TwillKind::Pointed(Some(n(3))));
    let rows = rows(&weave, 7, 8);
    assert_eq!(weave.repeat_rows(), 6);
    for k in 0..3 {
        assert_eq!(rows[3 - k], rows[3 + k], "{k} rows from the point");
    }
    assert_ne!(rows[3], rows[2]);
}

/// At a herringbone's cut the leans are opposite and floats don't join: the ends on either side of the cut
/// interlace as each other's opposite; common practice, no source.
#[test]
fn a_herringbone_is_cut_where_it_turns() {
    let weave = twill(&[2, 2], Side::Right, TwillKind::Herringbone(Some(n(8))));
    assert_eq!(weave.repeat_ends(), 16);
    for row in 0..4 {
        assert_ne!(weave.over(row, 7), weave.over(row, 8), "row {row}");
        for end in 1..8 {
            assert_eq!(weave.over(row + 1, end), weave.over(row, end - 1), "leans right");
            assert_eq!(weave.over(row + 1, 15 - end), weave.over(row, 16 - end), "leans left");
        }
    }
}

/// Plain weave is over one, under one, alternating; rib is plain with two as one in one direction, basket in
/// both (glossaries of the trade; common practice, no source).
#[test]
fn rib_and_basket_are_plain_weave_with_threads_as_one() {
    let plain = NamedWeave::Plain.expand().unwrap();
    assert_eq!(rows(&plain, 2, 4), ["o.o.", ".o.o"]);
    let of_ends = NamedWeave::RibOfEnds(n(2)).expand().unwrap();
    assert_eq!(rows(&of_ends, 2, 4), ["oo..", "..oo"]);
    let of_rows = NamedWeave::RibOfRows(n(2)).expand().unwrap();
    assert_eq!(rows(&of_rows, 4, 4), ["o.o.", "o.o.", ".o.o", ".o.o"]);
    let basket = NamedWeave::Basket { ends: n(3), rows: n(2) }.expand().unwrap();
    assert_eq!(rows(&basket, 4, 6), ["ooo...", "ooo...", "...ooo", "...ooo"]);
    for weave in [&plain, &of_ends, &of_rows, &basket] {
        let (wide, high) = (weave.repeat_ends(), weave.repeat_rows());
        for row in 0..high {
            for end in 0..wide {
                assert_eq!(weave.over(row, end), plain.over(row * 2 / high, end * 2 / wide));
            }
        }
    }
    assert!(plain.is_opening_and_opposite() && of_ends.is_opening_and_opposite());
    assert!(!of_rows.is_opening_and_opposite());
}

/// Every weave repeats where it says it does.
#[test]
fn weaves_repeat_where_they_say() {
    let kinds = [
        TwillKind::Straight,
        TwillKind::Pointed(None),
        TwillKind::Pointed(Some(n(5))),
        TwillKind::Broken(None),
        TwillKind::Broken(Some(n(3))),
        TwillKind::Herringbone(None),
        TwillKind::Herringbone(Some(n(6))),
    ];
    for fraction in [&[2_u32, 2][..], &[3, 1], &[2, 1, 1, 2], &[1, 4]] {
        for kind in kinds {
            for lean in Side::BOTH {
                let weave = twill(fraction, lean, kind);
                let (wide, high) = (weave.repeat_ends(), weave.repeat_rows());
                for row in 0..2 * high {
                    for end in 0..2 * wide {
                        assert_eq!(weave.over(row, end), weave.over(row + high, end), "{kind:?}");
                        assert_eq!(weave.over(row, end), weave.over(row, end + wide), "{kind:?}");
                    }
                }
            }
        }
    }
}
