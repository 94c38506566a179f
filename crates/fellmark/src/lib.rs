//! The command line as a library: raw arguments to meant arguments to a call. `main` only hands over to it.

mod args;
mod asked_rows;
mod command;
mod file;
mod layout;
mod run;

pub use args::Args;
pub use file::is_closed_pipe;
pub use run::run;

pub mod text {
    //! The text that commands print, for tests that read it back.

    pub use crate::args::Hand;
    pub use crate::command::rows::{short as rows_once, text as rows};
}
