//! A piece as a line drawing: strands that pass over and under, in true size, as SVG.
//!
//! The drawing is made from where strands really lie (the heights of rows at every end, the thicknesses of yarn where it
//! crosses and where it lies free), not from squares: what passes over lies in front, what passes under
//! vanishes behind the warp, and at the edges each turn can be followed round the last end.

mod cloth;
mod drawing;
mod edge;
mod frame;
mod header;
mod ink;
mod labels;
mod pages;
mod path;
#[cfg(test)]
#[path = "../tests/support/plans.rs"]
mod plans;
pub mod relief;
mod ruler;
mod strand;
mod svg;
mod type_size;
mod warp;
mod way;
mod winding;

pub use drawing::{Drawing, drawing};
pub use pages::{PAGE, pages};
pub use ruler::numbers as ruler_numbers;
pub use winding::winding;
