//! The demo: an invented shop walks through the whole main job, through the HTTP API, as an
//! estimator, a customer and an accountant would.
//!
//! Shop, prices, times and schedule are invented; estimates on them say so.

mod client;
mod report;
mod walk;

use std::io;
use std::path::PathBuf;

pub use client::{Client, ClientError};
pub use walk::walk;

/// What the demo needs to begin.
#[derive(Debug, Clone)]
pub struct Demo {
    /// Address of the running server.
    pub base: String,
    /// A key that may do everything.
    pub key: String,
    /// Folder that papers are written to.
    pub out: PathBuf,
    /// The server stays up afterwards.
    pub stays: bool,
    /// Today, as the server has it.
    pub today: jiff::civil::Date,
}

/// Why the demo did not come to its end.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// A call failed.
    #[error(transparent)]
    Client(#[from] ClientError),
    /// A file or the terminal could not be written.
    #[error("a file or the terminal could not be written")]
    Io(#[from] io::Error),
    /// The demo's own data do not read, or an answer lacks a field: a fault of this program.
    #[error("{0} is not as the demo expects it")]
    Unexpected(String),
}
