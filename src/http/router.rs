//! The table of contents: what is where, and what surrounds it.

use super::auth::authenticate;
use super::layers::{conditional, surround};
use super::rate::charge;
use super::state::ApiState;
use super::{linked, meta, openapi, problem, rule_pages, v1};
use axum::Router;
use axum::middleware::{from_fn, from_fn_with_state};
use utoipa::openapi::OpenApi;
use utoipa_axum::router::OpenApiRouter;

/// The whole service.
///
/// # Errors
/// When the OpenAPI document cannot be written.
pub fn router(state: ApiState) -> Result<Router, serde_json::Error> {
    let resources = v1::routes(&state);
    router_of(state, resources)
}

/// The whole service around other resources than our own; tests put theirs beside [`v1::routes`].
///
/// # Errors
/// When the OpenAPI document cannot be written.
pub fn router_of(
    state: ApiState,
    resources: OpenApiRouter<ApiState>,
) -> Result<Router, serde_json::Error> {
    let (routes, document) = contents(&state, resources).split_for_parts();
    let text = serde_json::to_string_pretty(&openapi::completed(document))?;
    state.set_document(text);
    let routes = routes.merge(meta::docs()).merge(linked::routes());
    Ok(surround(routes, &state).with_state(state))
}

/// The OpenAPI document of the whole service.
pub fn document(state: &ApiState) -> OpenApi {
    let (_, document) = contents(state, v1::routes(state)).split_for_parts();
    openapi::completed(document)
}

/// Everything under `/v1` needs a key, whatever its handler asks beyond that.
fn contents(state: &ApiState, resources: OpenApiRouter<ApiState>) -> OpenApiRouter<ApiState> {
    let resources = resources
        .layer(from_fn(conditional))
        .layer(from_fn_with_state(state.clone(), charge))
        .layer(from_fn_with_state(state.clone(), authenticate));
    OpenApiRouter::with_openapi(openapi::skeleton())
        .merge(meta::routes())
        .merge(problem::routes())
        .merge(rule_pages::routes())
        .merge(resources)
}
