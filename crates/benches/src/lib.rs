//! What the benches share: measuring several things in turn, so that a busy machine slows all of them alike,
//! and the peak of memory. No test asserts a time; `cargo bench -p fellmark-benches` prints them.

pub mod plans;

use std::time::{Duration, Instant};

/// Whether the measuring was asked for: `cargo bench` says so, other ways of running a bench only want to
/// see it work.
#[must_use]
pub fn asked_for() -> bool {
    std::env::args().any(|arg| arg == "--bench")
}

/// Runs each of `works` in turn, `turns` times over, and gives the median time of each.
pub fn in_turn<const N: usize>(turns: usize, mut works: [&mut dyn FnMut(); N]) -> [Duration; N] {
    let mut times = [(); N].map(|()| Vec::with_capacity(turns));
    for _ in 0..turns {
        for (work, times) in works.iter_mut().zip(&mut times) {
            let start = Instant::now();
            work();
            times.push(start.elapsed());
        }
    }
    times.map(|mut times| {
        times.sort_unstable();
        times.get(times.len() / 2).copied().unwrap_or_default()
    })
}

/// How often one over the other.
#[must_use]
pub fn ratio(a: Duration, b: Duration) -> f64 {
    a.as_secs_f64() / b.as_secs_f64()
}

/// The most memory this process has held so far, in MiB, where the system tells (Linux: `VmHWM`).
#[must_use]
pub fn peak_memory_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib / 1024.0)
}
