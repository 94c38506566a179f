//! Archives: all pieces with their histories and weavings in one file that other programs can read too, a zip of
//! plan files and JSON. `docs/archive.md` describes it for people.
//!
//! An archive only adds. What is known already, by its id, stays as it is; so taking an archive in twice
//! changes nothing, and two machines can hand archives to and fro.

mod add;
mod json;
mod pack;
mod unpack;

pub use add::{Brought, Came, Imported};

/// The version of the format; a reader refuses later ones.
const FORMAT: u32 = 2;
/// The entry that says that this zip is an archive, and its version.
const ABOUT: &str = "fellmark-archive.json";
const PIECES: &str = "pieces/";
const WEAVINGS: &str = "weavings/";
const HISTORY: &str = "history.json";
