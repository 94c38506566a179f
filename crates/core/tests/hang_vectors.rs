//! Known cloths against the layers found: `data/hang_together.json`, made by another program that follows
//! arcs on small matrices and was compared with brute force over all sets of strands.
//!
//! The file is written the way drafts are: 1 where the warp lies over the weft, rows from the first on.

use fellmark_core::grid::Grid;
use fellmark_core::hang::{Strands, firmness, layers, layers_of_piece};
use fellmark_core::side::Span;
use serde_json::Value;

fn grid(rows: &[&str]) -> Grid {
    let ends = rows[0].len() as u32;
    let mut grid = Grid::new(ends);
    for row in rows {
        let warp_over = row.as_bytes();
        grid.push_row(Span::all(ends).unwrap()).unwrap().fill(|end| warp_over[end as usize] == b'0');
    }
    grid
}

fn numbers(list: &Value) -> Vec<u32> {
    list.as_array().unwrap().iter().map(|n| n.as_u64().unwrap() as u32).collect()
}

#[test]
fn a_one_of_the_file_is_an_end_over_a_row() {
    let one_row = grid(&["10"]);
    assert_eq!((one_row.over(0, 0), one_row.over(0, 1)), (Some(false), Some(true)));
}

#[test]
fn known_cloths_hang_together_or_come_apart_in_the_known_layers() {
    let known: Value = serde_json::from_str(include_str!("data/hang_together.json")).unwrap();
    let known = known.as_object().unwrap();
    assert_eq!(known.len(), 19);
    for (name, cloth) in known {
        let rows: Vec<&str> = cloth["rows"].as_array().unwrap().iter().map(|r| r.as_str().unwrap()).collect();
        let grid = grid(&rows);
        let (m, n) = (grid.rows(), grid.ends());
        let sums = grid.sums();
        let ends_over: Vec<u32> = sums.of_rows.iter().map(|over| n - over).collect();
        let rows_under: Vec<u32> = sums.of_ends.iter().map(|over| m - over).collect();
        assert_eq!(ends_over, numbers(&cloth["row_sums"]), "{name}");
        assert_eq!(rows_under, numbers(&cloth["col_sums"]), "{name}");

        let by_sums = layers(&grid);
        let of_rows: Vec<u32> = (0..m).collect();
        let of_ends: Vec<u32> = (m..m + n).collect();
        let by_arcs = layers_of_piece(&grid, Strands { of_rows: &of_rows, of_ends: &of_ends }).unwrap();
        assert_eq!(by_sums, by_arcs, "{name}");
        assert_eq!(by_sums.hangs_together(), cloth["hangs"].as_bool().unwrap(), "{name}");
        assert_eq!(firmness(&grid), cloth["firmness"].as_u64(), "{name}");
        let found: Vec<_> = by_sums.as_slice().iter().map(|l| (l.ends.clone(), l.rows.clone())).collect();
        let wanted = cloth["layers_top_to_bottom"].as_array().unwrap();
        let wanted: Vec<_> = wanted.iter().map(|l| (numbers(&l["warps"]), numbers(&l["wefts"]))).collect();
        assert_eq!(found, wanted, "{name}");
    }
}

/// Further cloths of the same maker that are not in the file.
#[test]
fn three_layers_and_chains_of_loose_strands_come_apart_in_order() {
    let of = |rows: &[&str]| -> Vec<(Vec<u32>, Vec<u32>)> {
        layers(&grid(rows)).as_slice().iter().map(|l| (l.ends.clone(), l.rows.clone())).collect()
    };
    assert_eq!(
        of(&["11", "01", "01"]),
        [(vec![1], vec![]), (vec![], vec![1, 2]), (vec![0], vec![]), (vec![], vec![0])]
    );
    assert_eq!(
        of(&["00010", "10111", "10000", "11110"]),
        [(vec![0, 3], vec![0, 2]), (vec![2], vec![]), (vec![1, 4], vec![1, 3])]
    );
}
