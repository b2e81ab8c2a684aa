//! Times, medians and the peak of memory.

use std::time::{Duration, Instant};

use crate::Outcome;

/// How long a piece of work takes.
pub fn timed<T>(work: impl FnOnce() -> Outcome<T>) -> Outcome<(Duration, T)> {
    let begun = Instant::now();
    let done = work()?;
    Ok((begun.elapsed(), done))
}

/// The time of the program's work and of the bare work beside it.
#[derive(Clone, Copy)]
pub struct Pair {
    pub ours: Duration,
    pub bare: Duration,
}

/// The middle one; zero of none.
pub fn median(times: impl IntoIterator<Item = Duration>) -> Duration {
    let mut times: Vec<Duration> = times.into_iter().collect();
    times.sort();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

/// The median of the ratios of pairs: the two of a pair ran one after the
/// other, so that a slow minute of the computer falls on both.
pub fn ratio(pairs: &[Pair]) -> f64 {
    let mut ratios: Vec<f64> = pairs
        .iter()
        .map(|pair| pair.ours.as_secs_f64() / pair.bare.as_secs_f64())
        .collect();
    ratios.sort_by(f64::total_cmp);
    ratios.get(ratios.len() / 2).copied().unwrap_or(f64::NAN)
}

/// The most memory that this process has had, in kilobytes; nothing where the
/// system does not tell.
pub fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
