//! Cut plans against optima from outside, and what must hold of every plan.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod job;
mod known;
mod limits;
mod sums;
