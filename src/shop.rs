//! The business of a shop: money, prices, hours, estimates, quotes.
//!
//! Pure: no I/O, no clock, no JSON, no SQL. `serde` stands only on what a quote freezes.

pub mod money;
pub mod own;
pub mod settings;

pub mod labour;
pub mod price_diff;
pub mod price_list;

pub mod break_even;
pub mod compare;
pub mod cut_plan;
pub mod estimate;
pub mod offcut;
pub mod reprice;
pub mod risk;

pub mod audit;
pub mod link;
pub mod quote;
pub mod webhook;
