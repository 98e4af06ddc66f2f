//! Version 1 of the interface: one file per resource.

pub mod manifold;
mod units;

use super::state::ApiState;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Every resource, one line each. POST calls that make or move something stand in
/// [`idempotent`](super::idempotency::idempotent).
pub fn routes(_state: &ApiState) -> OpenApiRouter<ApiState> {
    OpenApiRouter::new().routes(routes!(units::list_units))
}
