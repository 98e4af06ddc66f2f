//! Whether the service lives, and whether it can work.

use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use axum::Json;
use axum::extract::State;
use serde::Serialize;
use utoipa::ToSchema;

/// How the service is.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// `ok`.
    #[schema(value_type = String, example = "ok")]
    status: &'static str,
}

/// Whether the process answers
///
/// Nothing else is asked; a supervisor restarts the process when this fails.
#[utoipa::path(get, path = "/health/live", tag = "meta", security(()),
    responses((status = 200, description = "It answers.", body = Health)))]
pub async fn get_liveness() -> Json<Health> {
    Json(Health { status: "ok" })
}

/// Whether the service can work
///
/// Asks what it depends on, such as its database.
#[utoipa::path(get, path = "/health/ready", tag = "meta", security(()),
    responses(
        (status = 200, description = "It can.", body = Health),
        (status = 503, description = "It cannot, for now.", body = ProblemBody, content_type = "application/problem+json"),
    ))]
pub async fn get_readiness(State(state): State<ApiState>) -> Result<Json<Health>, Problem> {
    state.ports().readiness.check().await?;
    Ok(Json(Health { status: "ok" }))
}
