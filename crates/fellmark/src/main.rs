//! `fellmark`: raw arguments to meant arguments to a call, and an exit code.
//!
//! 0: done. 1: `check` found something to mend. 2: the plan or the arguments could not be used; nothing was
//! written.

mod args;
mod command;
mod file;
mod layout;
mod run;

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let args = args::Args::parse();
    match run::run(args) {
        Ok(code) => code,
        Err(error) => {
            // A closed pipe is no mistake of anybody's.
            if !file::is_closed_pipe(&error) {
                let _ = writeln!(anstream::stderr(), "{}", error.to_string().trim_end());
            }
            ExitCode::from(2)
        }
    }
}
