//! When a cloth hangs together, and which layers lift off.
//!
//! At every crossing one strand lies over the other. Strands that lie over all others they cross lift off as
//! a layer; if no strands do, short of all of them, the cloth hangs together. Seen as arcs from the strand on
//! top to the one beneath, it hangs together exactly if every strand can be reached from every other.
//!
//! If every row covers every end, the sums of rows and ends alone decide it: `sums`, after Clapham, *When a
//! fabric hangs together*, Bull. London Math. Soc. 12 (1980) 161-164 (from memory; the criterion is proved
//! again there). Where rows cover only some ends, or several strands are one yarn, arcs are followed:
//! `arcs`.
//!
//! Edges, sliding and ravelling are no part of this: a cloth can hang together and be useless, and a tube is
//! two layers by design.

mod arcs;
mod set;
mod sums;

use crate::grid::Grid;
use std::collections::BTreeMap;

/// Strands that lift off together, once everything over them is gone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layer {
    /// How deep it lies: 0 at the front, otherwise one deeper than the deepest layer that lies over one of
    /// its strands. Layers of one level don't cross each other.
    pub level: u32,
    /// Its ends, ascending.
    pub ends: Vec<u32>,
    /// Its rows, ascending.
    pub rows: Vec<u32>,
    /// Whether its strands hold each other. If not, they are strands of one direction that lie loose side by
    /// side: one layer to the eye.
    pub bound: bool,
}

/// The layers of a cloth from the front to the back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layers {
    layers: Vec<Layer>,
}

impl Layers {
    /// The layers by level from the front; within a level by direction (bound layers first, then loose ends,
    /// then loose rows), and bound ones by their first end.
    #[must_use]
    pub fn as_slice(&self) -> &[Layer] {
        &self.layers
    }

    /// Whether they lie beside each other and none over another: strips, as of a slit that goes from hem to hem.
    #[must_use]
    pub fn lie_side_by_side(&self) -> bool {
        self.layers.len() > 1 && self.layers.iter().all(|layer| layer.level == 0 && layer.bound)
    }

    /// Whether no strand, and no strands short of all, can be lifted off or left lying apart. Ends without
    /// rows don't hang together, rows without ends neither, nor pieces side by side that nothing joins.
    #[must_use]
    pub fn hangs_together(&self) -> bool {
        matches!(&self.layers[..], [only] if only.bound)
    }
}

/// The layers of a grid in which every row and every end is a strand of its own. Takes time in proportion to
/// the grid's words, and reads them once, if all rows cover all ends.
#[must_use]
pub fn layers(grid: &Grid) -> Layers {
    if grid.is_full() {
        sums::layers(&grid.sums())
    } else {
        let strands = grid.rows() as usize + grid.ends() as usize;
        arcs::layers(grid, (0..strands).collect())
    }
}

/// Which yarn every strand is: equal numbers, one yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Strands<'a> {
    /// The yarn of each row, from the bottom.
    pub of_rows: &'a [u32],
    /// The yarn of each end, from the left.
    pub of_ends: &'a [u32],
}

/// The strands named don't fit the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StrandsError {
    /// Rows of the grid, and rows named.
    pub rows: (u32, usize),
    /// Ends of the grid, and ends named.
    pub ends: (u32, usize),
}

/// The layers when rows or ends are parts of longer yarns: a yarn lifts off whole or not at all, so that
/// turning at the edges may join what the crossings alone would let fall apart.
///
/// A layer that is one yarn alone is loose if the yarn runs in one direction only, and bound if it is both
/// row and end or if there are others in the layer.
///
/// # Errors
/// There are more or fewer strands than the grid has rows or ends.
pub fn layers_of_piece(grid: &Grid, strands: Strands<'_>) -> Result<Layers, StrandsError> {
    let Strands { of_rows, of_ends } = strands;
    if of_rows.len() != grid.rows() as usize || of_ends.len() != grid.ends() as usize {
        return Err(StrandsError { rows: (grid.rows(), of_rows.len()), ends: (grid.ends(), of_ends.len()) });
    }
    // Yarns are numbered anew without gaps, in the order of their numbers.
    let all = || of_rows.iter().chain(of_ends);
    let mut numbers: BTreeMap<u32, usize> = all().map(|&yarn| (yarn, 0)).collect();
    for (new, number) in numbers.values_mut().enumerate() {
        *number = new;
    }
    Ok(arcs::layers(grid, all().filter_map(|yarn| numbers.get(yarn)).copied().collect()))
}

/// How many crossings must be turned, at the least, so that the cloth falls apart: 0 if it does not hang
/// together, 1 if a single one holds it. `None` unless every row covers every end.
#[must_use]
pub fn firmness(grid: &Grid) -> Option<u64> {
    grid.is_full().then(|| sums::firmness(&grid.sums()))
}

#[cfg(test)]
mod tests;
