//! The rules: each provoked by a design of its own, and what must hold of all designs.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod bodies;
mod choices;
mod designs;
mod holding;
mod layouts;
mod provoked;
mod services;
<<<<<<< HEAD
mod worse;
=======
mod steam;
>>>>>>> b41e5f0 (Rate soldered and brazed joints for saturated steam, hold every choice of a rule set to change an answer, and caution by service)
