//! The whole process from start to exit for a plan of 40 x 200, against an empty process (`true`), in turn; and,
//! where valgrind is installed, how many instructions it takes, which a busy machine doesn't change.
//!
//! Build the program first: `cargo build --release && cargo bench -p fellmark-benches --bench process`.

use fellmark_benches::{asked_for, in_turn, plans};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn program() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/release/fellmark")
}

fn quietly(command: &mut Command) -> bool {
    let command = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().is_ok_and(|status| status.code().is_some_and(|code| code < 2))
}

fn instructions(args: &[&str]) -> Option<u64> {
    let output = Command::new("valgrind")
        .args(["--tool=callgrind", "--callgrind-out-file=/dev/null"])
        .arg(program())
        .args(args)
        .output()
        .ok()?;
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    let line = text.lines().find_map(|line| line.split_once("Collected :"))?;
    line.1.trim().replace(',', "").parse().ok()
}

fn main() {
    if !asked_for() {
        return;
    }
    let plan = std::env::temp_dir().join(format!("fellmark-bench-{}.toml", std::process::id()));
    if std::fs::write(&plan, plans::diagonal(40, 200)).is_err() || !program().exists() {
        println!("type: cargo build --release");
        return;
    }
    let path = plan.to_string_lossy().into_owned();
    println!(
        "{:>8} {:>10} {:>10} {:>10} {:>14}",
        "command", "empty ms", "whole ms", "over ms", "instructions"
    );
    for command in ["check", "rows", "yarn", "warp", "begin"] {
        let (mut works_empty, mut works) = (true, true);
        let [empty, whole] = in_turn(
            31,
            [&mut || works_empty &= quietly(&mut Command::new("true")), &mut || {
                works &= quietly(Command::new(program()).args([command, &path]))
            }],
        );
        let ms = |time: std::time::Duration| time.as_secs_f64() * 1e3;
        let count = instructions(&[command, &path]).map_or_else(|| "-".into(), |n| n.to_string());
        println!(
            "{command:>8} {:>10.2} {:>10.2} {:>10.2} {count:>14}{}",
            ms(empty),
            ms(whole),
            ms(whole) - ms(empty),
            if works && works_empty { "" } else { "  failed" }
        );
    }
    let _ = std::fs::remove_file(plan);
}
