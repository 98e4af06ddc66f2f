//! How a header shares its water: losses, the split, and what sizes would do.
//!
//! [`Case::of`](case::Case::of) turns a manifold and its supply into a network or names every
//! fault; [`solve`](solve::solve) finds the split; [`Outcome`](outcome::Outcome) is what people
//! are told.

pub mod case;
mod end_use;
pub mod fluid;
pub mod friction;
pub mod limits;
mod line;
pub mod outcome;
mod slope;
pub mod solve;
pub mod tee;

/// Standard gravity, m/s2 (by definition).
pub const GRAVITY: f64 = 9.806_65;
