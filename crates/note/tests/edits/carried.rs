//! A line of the stack that is carried by hand: where it may go, and in which words.

use super::*;
use fellmark_core::edit::{Border, borders, gaps};

const MAT: &str = include_str!("../../../../examples/tideline-mat.toml");

fn of_mat(from: &[usize]) -> Vec<(Vec<usize>, usize, f64)> {
    let (note, study) = fellmark_note::study(MAT).unwrap();
    let gaps = gaps(&note.plan, &study.piece, StackList::Piece, from);
    // From the bottom up, as a finger passes them.
    let height = |gap: &fellmark_core::edit::Gap| gap.at.within.0 as f64 + gap.at.share;
    assert!(gaps.is_sorted_by(|a, b| height(a) < height(b)), "{gaps:?}");
    gaps.iter().map(|gap| (gap.to.clone(), gap.below, height(gap))).collect()
}

/// The mat is hem, twice pools and shoals, rising-tide, hem: seven places.
#[test]
fn a_band_that_comes_from_outside_finds_the_outer_gap_at_the_border_of_a_repeat() {
    let third = 1.0 / 3.0;
    // The hem at the top.
    let expected: Vec<(Vec<usize>, usize, f64)> = vec![
        (vec![0], 0, 0.0),
        (vec![1], 1, 1.0),
        (vec![1, 0], 1, 1.0 + third),
        (vec![1, 1], 2, 2.0),
        (vec![1, 2], 3, 3.0),
        (vec![1, 1], 4, 4.0),
        (vec![1, 2], 5, 4.0 + 2.0 * third),
        (vec![2], 5, 5.0),
        (vec![3], 6, 6.0),
        (vec![4], 7, 7.0),
    ];
    let near = |all: Vec<(Vec<usize>, usize, f64)>| -> Vec<(Vec<usize>, usize, String)> {
        all.into_iter().map(|(to, below, at)| (to, below, format!("{at:.3}"))).collect()
    };
    assert_eq!(near(of_mat(&[3])), near(expected));
    // Pools is at home in the repeat: there its borders are meant, and beyond them the way out.
    let own = of_mat(&[1, 0]);
    let at =
        |to: &[usize]| own.iter().filter(|(there, ..)| there == to).map(|(.., at)| *at).collect::<Vec<_>>();
    assert_eq!(at(&[1, 0]), [1.0]);
    assert_eq!(at(&[1, 2]), [3.0, 5.0]);
    assert!((at(&[1])[0] - 2.0 * third).abs() < 1e-9 && (at(&[2])[0] - (5.0 + third)).abs() < 1e-9);
    // What fills the rest is woven once, and goes into no repeat.
    assert!(of_mat(&[2]).iter().all(|(to, ..)| to.len() == 1));
    // The repeat doesn't go into itself.
    assert!(of_mat(&[1]).iter().all(|(to, ..)| to.len() == 1));
    assert!(gaps_of_none());
}

fn gaps_of_none() -> bool {
    let (note, study) = fellmark_note::study(MAT).unwrap();
    [&[][..], &[9], &[1, 7], &[0, 0]]
        .iter()
        .all(|line| gaps(&note.plan, &study.piece, StackList::Piece, line).is_empty())
}

#[test]
fn where_a_line_goes_is_told_with_its_repeat_and_how_often_it_is_woven_there() {
    let plan = read(MAT).unwrap().plan;
    let told = |from: &[usize], to: &[usize]| {
        let edit = StackEdit::Move { from: from.to_vec(), to: to.to_vec() };
        say::edit(&Edit::Stack(StackList::Piece, edit), &plan)
    };
    let repeat = "the repeat of pools and shoals";
    for (from, to, words) in [
        (&[3][..], &[1, 2][..], format!("move hem into {repeat}, above shoals: it is woven twice")),
        (&[3], &[1, 0], format!("move hem into {repeat}, below pools: it is woven twice")),
        (&[3], &[1, 1], format!("move hem into {repeat}, below shoals: it is woven twice")),
        (&[3], &[2], format!("move hem above {repeat}")),
        (&[3], &[1], format!("move hem below {repeat}")),
        (&[3], &[0], "move hem to the bottom".into()),
        (&[0], &[3], "move hem below hem".into()),
        (&[0], &[4], "move hem to the top".into()),
        (&[0], &[1], "leave hem where it is".into()),
        (&[1, 0], &[1, 2], format!("move pools above shoals in {repeat}, which is woven twice")),
        (&[1, 1], &[1, 0], format!("move shoals below pools in {repeat}, which is woven twice")),
        (&[1, 0], &[2], format!("move pools out of {repeat}, above it: it is woven once")),
        (&[1, 0], &[1], format!("move pools out of {repeat}, below it: it is woven once")),
        (&[1, 0], &[4], format!("move pools out of {repeat}, to the top: it is woven once")),
        (&[1], &[3], format!("move {repeat} below hem")),
    ] {
        assert_eq!(told(from, to), words);
    }
    let put = |at: &[usize], what: fellmark_core::plan::Inserted| {
        let edit = StackEdit::Insert { at: at.to_vec(), what };
        say::edit(&Edit::Stack(StackList::Piece, edit), &plan)
    };
    use fellmark_core::plan::Inserted::Copy;
    assert_eq!(put(&[4], Copy(vec![3])), "put another hem at the top");
    assert_eq!(put(&[3], Copy(vec![1])), format!("put {repeat} once more below hem"));
    assert_eq!(
        put(&[1, 1], Copy(vec![1, 0])),
        format!("put another pools below shoals in {repeat}, which is woven twice")
    );
    let twice = StackEdit::Group { first: vec![1], count: 2, times: 2 };
    assert_eq!(
        say::done(&Edit::Stack(StackList::Piece, twice), &plan),
        format!("wove {repeat} with rising-tide, all of it twice")
    );
}

/// A border goes where it is drawn: as often as the band stands beneath it, or above it where a fill takes the rest.
#[test]
fn a_drawn_border_moves_the_band_that_lies_there_as_often_as_it_stands() {
    let (note, study) = fellmark_note::study(MAT).unwrap();
    let named = |name: &str| BandId(note.plan.bands.iter().position(|band| band.name == name).unwrap());
    let [hem, pools, shoals] = ["hem", "pools", "shoals"].map(named);
    let of = |band, by| Border { band, by };
    assert_eq!(
        borders(&note.plan, &study.piece),
        // Shoals is as long as pools, which it is like; of its own it gets no longer with it.
        [of(hem, 1), of(pools, 1), of(shoals, 1), of(pools, 3), of(shoals, 2), of(hem, -1), of(hem, 0)]
    );
    // Five rows more of the hem at both ends: the border of the fill goes down by as many.
    let more = Edit::Length(hem, 9).apply(&note.plan).unwrap();
    let after = fellmark_core::study::study(&more).unwrap().piece;
    let (was, is) = (&study.piece.places, &after.places);
    assert_eq!(
        say::lengths(&study.piece, &after, hem),
        format!("hem: 9 rows, in both places; rising-tide: {} rows", is[5].rows)
    );
    assert!(is[5].rows < was[5].rows && is[0].rows == 9 && is[6].rows == 9);
    assert_eq!(say::done(&Edit::Length(hem, 9), &note.plan), "made hem 9 rows in both places");
}
