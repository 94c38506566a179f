//! The pure part of Fellmark: what a plan is, how it becomes rows, what the needles do, whether the cloth
//! holds, how it packs and how much yarn it takes, and how all of that is said in words.
//!
//! Nothing here reads a file, a clock or an environment, and nothing here knows TOML or JSON. The flow is
//! `Plan` with `Habits` -> [`piece::Piece`] -> [`walk::Walk`], findings, cloth and need -> [`say`].
//!
//! There is one frame of reference: the front (the side seen while weaving), end 1 at the left, row 1 at
//! the bottom, and *over* meaning that the weft passes over the end. Ends and rows are numbered from 0
//! inside the program and from 1 wherever a person sees them.

pub mod cloth;
pub mod colour;
pub mod edit;
pub mod fit;
pub mod grid;
pub mod habits;
pub mod hang;
pub mod loom;
pub mod math;
pub mod need;
pub mod needle;
pub mod pack;
pub mod peirce;
pub mod piece;
pub mod plan;
pub mod quantity;
pub mod racetrack;
pub mod remedy;
pub mod ruler;
pub mod say;
pub mod side;
pub mod sound;
pub mod study;
pub mod thread;
pub mod walk;
pub mod warp;
pub mod weave;
pub mod weaving;
pub mod yarn;
