//! Logs.
