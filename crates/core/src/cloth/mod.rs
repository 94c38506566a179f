//! How yarns lie in the cloth: their paths, their spacing, what the cloth weighs and covers.

pub mod measures;
pub mod peirce;
pub mod size;
