//! offtake: checks, estimates, quotes and bench papers for copper pipe manifolds.
//!
//! The house has few rooms, and knowledge points inward only:
//!
//! - [`trade`] is the craft: tube, joints, formed outlets, layout, checks. Pure; knows nothing else here.
//! - [`shop`] is the business: money, prices, hours, estimates, quotes. Pure; knows `trade`.
//! - [`documents`] is what people read: drawings and quote papers. Knows `trade` and `shop`.
//! - [`store`] is SQL, and the only place that knows it.
//! - [`app`] holds the use cases: load, decide by calling the pure rooms, save, in one transaction.
//! - [`http`] is axum and OpenAPI, and the only place that knows them.
//!
//! Around them stands the composition root: [`cli`], [`config`], [`telemetry`], [`server`], [`demo`].
//! `tests/architecture.rs` holds these rules as ordinary tests.

pub mod trade;

pub mod shop;

pub mod documents;

pub mod store;

pub mod app;

pub mod http;

pub mod cli;
pub mod config;
pub mod demo;
pub mod server;
pub mod telemetry;
