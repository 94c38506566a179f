//! The commands' text, one file each.

pub(crate) mod begin;
pub(crate) mod check;
pub(crate) mod draw;
pub(crate) mod edit;
pub(crate) mod fit;
pub(crate) mod man;
pub(crate) mod new;
pub(crate) mod open;
pub(crate) mod picture;
pub(crate) mod rows;
pub(crate) mod size;
pub(crate) mod warp;
pub(crate) mod yarn;
