//! The rules: each provoked by a design of its own, and what must hold of all designs.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod bodies;
mod choices;
mod designs;
mod holding;
mod layouts;
mod provoked;
mod services;
mod steam;
mod worse;
