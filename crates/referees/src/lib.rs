//! Referees: programs from outside that are asked whether Fellmark's numbers are right.
//!
//! GNU units converts, and Python's pint, scipy, networkx and colour-science convert, solve, count and compare
//! colours. `tools/test-setup.sh` installs them. A test that can't find its referee fails and says what to type;
//! it is never skipped. The tests are the files of `tests/`, one subject each; here is only how they reach the
//! programs.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What to type when a referee is missing.
const SETUP: &str = "a program that this test asks is missing; type: tools/test-setup.sh";

/// The Python that has the packages of `requirements.txt`: the one named by `FELLMARK_PYTHON`, else that of the
/// environment which `tools/test-setup.sh` makes.
fn python_path() -> PathBuf {
    match std::env::var_os("FELLMARK_PYTHON") {
        Some(path) => PathBuf::from(path),
        None => Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/referees-venv/bin/python"),
    }
}

/// Runs a program with a text on its standard input and returns what it prints.
fn ask(mut program: Command, input: &str) -> String {
    let name = program.get_program().to_string_lossy().into_owned();
    let started = program.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let mut child = started.unwrap_or_else(|error| panic!("{SETUP} ({name}: {error})"));
    if let Some(mut stdin) = child.stdin.take() {
        // A program that has stopped reading says why on its standard error.
        let _ = stdin.write_all(input.as_bytes());
    }
    let output = child.wait_with_output().unwrap_or_else(|error| panic!("{name}: {error}"));
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(!error.contains("ModuleNotFoundError"), "{SETUP} ({error})");
    assert!(output.status.success(), "{name}: {}{error}", String::from_utf8_lossy(&output.stdout));
    String::from_utf8(output.stdout).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn numbers(text: &str) -> Vec<f64> {
    let number = |word: &str| word.parse().unwrap_or_else(|_| panic!("no number: {word:?} in {text:?}"));
    text.split_whitespace().map(number).collect()
}

/// Asks GNU units how much of `want` a quantity is; reciprocal units, such as yards per pound and tex, convert.
///
/// # Panics
/// Where GNU units is missing or can't convert.
#[must_use]
pub fn units(have: &str, want: &str) -> f64 {
    let mut program = Command::new("units");
    program.args(["--one-line", "--compact", "--output-format", "%.17g", have, want]);
    // It remarks on units that convert as one over the other, such as yards per pound and tex.
    let answer = numbers(&ask(program, "").replace("reciprocal conversion", ""));
    assert_eq!(answer.len(), 1, "units {have:?} {want:?}: {answer:?}");
    answer[0]
}

/// Runs a Python script with these numbers, one line each, on its standard input; it prints numbers.
///
/// # Panics
/// Where Python or a package is missing, the script fails or prints something else.
#[must_use]
pub fn python(script: &str, input: &[Vec<f64>]) -> Vec<f64> {
    let line = |row: &Vec<f64>| row.iter().map(f64::to_string).collect::<Vec<_>>().join(" ");
    let input = input.iter().map(line).collect::<Vec<_>>().join("\n");
    let mut program = Command::new(python_path());
    program.args(["-c", script]);
    numbers(&ask(program, &input))
}
