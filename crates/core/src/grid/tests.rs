use super::*;
use proptest::prelude::*;

/// A grid and the same crossings one by one: `None` where nothing is woven.
fn grids() -> impl Strategy<Value = (Grid, Vec<Vec<Option<bool>>>)> {
    (1_u32..200, 0_usize..150).prop_flat_map(|(ends, rows)| {
        let row = (0..ends, 0..ends, prop::collection::vec(any::<bool>(), ends as usize), any::<bool>());
        prop::collection::vec(row, rows).prop_map(move |rows| {
            let mut grid = Grid::new(ends);
            let mut cells = Vec::new();
            for (a, b, bits, whole) in rows {
                let span = if whole { Span::all(ends) } else { Span::new(a.min(b), a.max(b)) }.unwrap();
                grid.push_row(span).unwrap().fill(|end| bits[end as usize]);
                cells.push((0..ends).map(|e| span.contains(e).then(|| bits[e as usize])).collect());
            }
            (grid, cells)
        })
    })
}

proptest! {
    #[test]
    fn every_crossing_is_kept_and_nothing_else((grid, cells) in grids()) {
        prop_assert_eq!(grid.rows() as usize, cells.len());
        for (r, row) in (0..).zip(&cells) {
            for (e, &cell) in (0..).zip(row) {
                prop_assert_eq!(grid.over(r, e), cell);
            }
            prop_assert_eq!(grid.over(r, grid.ends()), None);
            let over = row.iter().filter(|&&cell| cell == Some(true)).count();
            let row = grid.row(r).unwrap();
            prop_assert_eq!(row.ends_over() as usize, over);
            let mut again = Grid::new(grid.ends());
            again.push_words(row.span(), row.words()).unwrap();
            prop_assert_eq!(again.row(0), Some(row));
        }
        prop_assert_eq!(grid.over(grid.rows(), 0), None);
        prop_assert_eq!(grid.iter().count(), cells.len());
        prop_assert!(grid.iter().eq((0..grid.rows()).filter_map(|r| grid.row(r))));
    }

    #[test]
    fn columns_hold_the_same_crossings((grid, cells) in grids()) {
        let columns = grid.columns();
        for e in 0..grid.ends() {
            for (r, row) in (0..).zip(&cells) {
                let cell = row[e as usize];
                prop_assert_eq!(bits::get(columns.over(e), r), cell == Some(true));
                prop_assert_eq!(bits::get(columns.woven(e), r), cell.is_some());
            }
            let counted: u32 = columns.woven(e).iter().map(|word| word.count_ones()).sum();
            prop_assert_eq!(counted as usize, cells.iter().filter(|row| row[e as usize].is_some()).count());
        }
        prop_assert!(columns.over(grid.ends()).is_empty());
    }

    #[test]
    fn sums_count_what_goes_over((grid, cells) in grids()) {
        let sums = grid.sums();
        let count = |cells: &mut dyn Iterator<Item = Option<bool>>| cells.filter(|&c| c == Some(true)).count() as u32;
        let of_rows: Vec<u32> = cells.iter().map(|row| count(&mut row.iter().copied())).collect();
        let of_ends: Vec<u32> =
            (0..grid.ends() as usize).map(|e| count(&mut cells.iter().map(|row| row[e]))).collect();
        prop_assert_eq!(sums, Sums { of_rows, of_ends });
    }

    #[test]
    fn runs_written_out_are_the_row_from_either_side((grid, cells) in grids()) {
        for (r, row) in (0..).zip(&cells) {
            for from in Side::BOTH {
                let runs: Vec<Run> = grid.runs(r, from).collect();
                prop_assert!(runs.windows(2).all(|two| two[0].pass != two[1].pass));
                let written: Vec<bool> =
                    runs.iter().flat_map(|run| (0..run.ends).map(|_| run.pass.is_over())).collect();
                let travelled: Vec<bool> =
                    grid.span(r).unwrap().travel(from).map(|e| row[e as usize].unwrap()).collect();
                prop_assert_eq!(written, travelled);
            }
        }
    }

    #[test]
    fn the_first_difference_is_the_first_one_met((grid, cells) in grids(), a: u32, b: u32) {
        if let (Some(a), Some(b)) = (a.checked_rem(grid.rows()), b.checked_rem(grid.rows())) {
            let (x, y) = (grid.row(a).unwrap(), grid.row(b).unwrap());
            let differ = |e: u32| {
                let (x, y) = (cells[a as usize][e as usize], cells[b as usize][e as usize]);
                x.is_some() && y.is_some() && x != y
            };
            prop_assert_eq!(x.first_difference(y, Side::Left), (0..grid.ends()).find(|&e| differ(e)));
            prop_assert_eq!(x.first_difference(y, Side::Right), (0..grid.ends()).rev().find(|&e| differ(e)));
        }
    }

    #[test]
    fn ranges_are_written_end_by_end((mut grid, _) in grids(), r: u32, a in 0_u32..200, b in 0_u32..200) {
        if let Some(r) = r.checked_rem(grid.rows()) {
            let range = Span::new(a.min(b), a.max(b)).unwrap();
            let mut one_by_one = grid.clone();
            for pass in [Pass::Over, Pass::Under] {
                grid.row_mut(r).unwrap().set_range(range, pass);
                for end in range.ends() {
                    one_by_one.row_mut(r).unwrap().set(end, pass);
                }
                prop_assert_eq!(&grid, &one_by_one);
            }
        }
    }

    #[test]
    fn exchanging_turns_every_crossing_of_the_row((mut grid, cells) in grids()) {
        for r in 0..grid.rows() {
            grid.row_mut(r).unwrap().exchange();
            for (e, cell) in (0..).zip(&cells[r as usize]) {
                prop_assert_eq!(grid.over(r, e), cell.map(|over| !over));
            }
            let row = grid.row(r).unwrap();
            prop_assert_eq!(row.ends_over() as usize,
                cells[r as usize].iter().filter(|&&cell| cell == Some(false)).count());
        }
    }
}

#[test]
fn equal_crossings_over_different_ends_are_different_rows() {
    let mut grid = Grid::new(70);
    for (first, last) in [(0, 69), (0, 68), (0, 69)] {
        grid.push_row(Span::new(first, last).unwrap())
            .unwrap()
            .set_range(Span::new(3, 66).unwrap(), Pass::Over);
    }
    assert_eq!(grid.row(0), grid.row(2));
    assert_ne!(grid.row(0), grid.row(1));
    assert_eq!(grid.words(0), grid.words(1));
    assert!(!grid.is_full());
}

#[test]
fn a_row_past_the_last_end_is_refused_and_leaves_the_grid_as_it_was() {
    let mut grid = Grid::new(64);
    let span = Span::new(60, 64).unwrap();
    assert_eq!(grid.push_row(span).err(), Some(GridError::SpanOutside { span, ends: 64 }));
    assert_eq!(grid, Grid::new(64));
}

#[test]
fn a_grid_without_ends_has_no_rows() {
    let mut grid = Grid::new(0);
    assert!(grid.push_row(Span::new(0, 0).unwrap()).is_err());
    assert!(grid.is_full());
    assert_eq!((grid.rows(), grid.iter().count(), grid.columns().ends()), (0, 0, 0));
    assert!(grid.words(0).is_empty());
}
