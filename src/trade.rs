//! The craft: what a copper pipe manifold is, whether it can be made, and whether it holds.
//!
//! Pure: no I/O, no clock, no JSON, no SQL. Every figure that comes from outside names its
//! source; `data/*.csv` are the tables, embedded at build time.

pub mod quantity;
pub mod source;

pub mod catalogue;
pub mod filler;
pub mod fitting;
pub mod service;
pub mod tube;

pub mod manifold;
pub mod metal;

pub mod forming;
pub mod outlet;
pub mod reinforcement;
pub mod rule_set;

pub mod joint;
pub mod strength;

pub mod flow;

pub mod layout;
pub mod takeoff;
pub mod template;

pub mod body;
pub mod growth;
pub mod support;

pub mod check;
pub mod explain;
pub mod finding;

pub mod sizing;
