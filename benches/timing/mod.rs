//! How the benches take a time.

use std::time::{Duration, Instant};

/// The median of several goes, after a few that warm up.
pub fn median(goes: usize, mut work: impl FnMut()) -> Duration {
    for _ in 0..goes.div_ceil(10) {
        work();
    }
    let mut times: Vec<Duration> = (0..goes)
        .map(|_| {
            let begun = Instant::now();
            work();
            begun.elapsed()
        })
        .collect();
    times.sort();
    times[goes / 2]
}
