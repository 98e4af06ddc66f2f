//! Logs, on standard error: results have standard output to themselves.

use crate::config::{LogConfig, LogFormat};
use std::error::Error;
use std::io;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt;

/// Starts logging, at `usual` when the settings name no level.
///
/// # Errors
/// When the filter cannot be read, or logging was started before.
pub fn start(config: &LogConfig, usual: &str) -> Result<(), Box<dyn Error + Send + Sync>> {
    let filter = EnvFilter::builder().parse(config.log.as_deref().unwrap_or(usual))?;
    let lines = fmt().with_env_filter(filter).with_writer(io::stderr);
    match config.log_format {
        LogFormat::Text => lines.with_ansi(false).try_init(),
        LogFormat::Json => lines.json().flatten_event(true).try_init(),
    }
}
