//! `fellmark`: exit codes are 0 for done, 1 if `check` found something to mend, and 2 if the plan or the
//! arguments could not be used; then nothing was written.

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    match fellmark::run(fellmark::Args::parse()) {
        Ok(code) => code,
        Err(error) => {
            // A closed pipe is no mistake of anybody's.
            if !fellmark::is_closed_pipe(&error) {
                let _ = writeln!(anstream::stderr(), "{}", error.to_string().trim_end());
            }
            ExitCode::from(2)
        }
    }
}
