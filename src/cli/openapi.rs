//! `offtake openapi`: prints the OpenAPI document.

use super::{Outcome, compose, print};
use crate::http::router;
use crate::http::state::{ApiState, Limits};
use crate::store::Db;

/// Prints it. The document says nothing of what is stored, so an empty database in memory will do.
pub async fn run() -> Outcome {
    let app = compose::app_over(Db::connect("sqlite::memory:").await?)?;
    let state = ApiState::new(compose::ports(&app), Limits::default())?;
    let document = serde_json::to_string_pretty(&router::document(&state))?;
    print(&document)?;
    Ok(())
}
