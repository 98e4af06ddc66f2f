//! The craft: what a copper pipe manifold is, whether it can be made, and whether it holds.
//!
//! Pure: no I/O, no clock, no JSON, no SQL. Every figure that comes from outside names its
//! source; `data/*.csv` are the tables, embedded at build time.

pub mod quantity;
