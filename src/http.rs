//! The HTTP interface, and the only place that knows axum and OpenAPI.
//!
//! [`router`] is the table of contents. What every call needs stands beside it: reading
//! ([`wire`]), refusing ([`problem`]), keys ([`auth`]), retries ([`idempotency`]), versions
//! ([`etag`]), lists ([`paging`]), forms of answer ([`negotiate`]). [`v1`] holds one file per resource.

pub mod auth;
pub mod bulk;
pub mod etag;
pub mod heavy;
pub mod idempotency;
pub mod known;
mod linked;
pub mod negotiate;
pub mod openapi;
pub mod page;
pub mod paging;
pub mod problem;
pub mod rate;
pub mod router;
pub mod state;
pub mod v1;
pub mod wire;

mod layers;
mod meta;
mod rule_pages;
