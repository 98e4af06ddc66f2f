//! The service itself: its description, its health, its front page. No key is needed.

mod catalog;
mod health;

use super::page::page;
use super::problem::Problem;
use super::state::ApiState;
use axum::Router;
use axum::extract::State;
use axum::http::header::{CONTENT_TYPE, LINK};
use axum::response::{IntoResponse, Response};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use utoipa_swagger_ui::{Config, SwaggerUi};

/// Where machines find the description of this service (RFC 9727).
const CATALOG_LINK: &str = "</.well-known/api-catalog>; rel=\"api-catalog\", </openapi.json>; rel=\"service-desc\", </docs/>; rel=\"service-doc\"";

/// The routes.
pub(super) fn routes() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(get_front_page))
        .routes(routes!(get_openapi))
        .routes(routes!(get_metrics))
        .routes(routes!(health::get_liveness))
        .routes(routes!(health::get_readiness))
        .routes(routes!(catalog::get_api_catalog))
}

/// The pages that show the description; everything they load comes from this server.
pub(super) fn docs() -> Router<ApiState> {
    let config = Config::new(["/openapi.json"])
        .validator_url("none")
        .display_request_duration(true)
        .persist_authorization(true);
    SwaggerUi::new("/docs").config(config).into()
}

/// The front page
///
/// Says what this is and where to go on.
#[utoipa::path(get, path = "/", tag = "meta", security(()),
    responses((status = 200, description = "A page for people.", body = String, content_type = "text/html")))]
async fn get_front_page() -> impl IntoResponse {
    let content = "<p>An HTTP API for shops that make copper pipe manifolds: check designs, estimate, compare ways to build, quote, and read totals for the books.</p>\n\
        <ul>\n<li><a href=\"/docs/\">Every call, to read and to try</a></li>\n\
        <li><a href=\"/openapi.json\">The OpenAPI 3.1 description</a></li>\n\
        <li><a href=\"/problems\">What can be wrong, and what to do about it</a></li>\n\
        <li><a href=\"/rules\">Every rule that manifolds are checked by, with its formula, source and an example</a></li>\n\
        <li><a href=\"/health/ready\">Whether the service is ready</a></li>\n</ul>\n\
        <p>Calls under <code>/v1</code> need a key, which whoever runs this server makes with <code>offtake keys create</code>.</p>\n\
        <p>What it computes helps a shop. It replaces neither the local code nor licensed practice.</p>";
    ([(LINK, CATALOG_LINK)], page("Welcome", content))
}

/// The description of this service
///
/// OpenAPI 3.1.
#[utoipa::path(get, path = "/openapi.json", tag = "meta", security(()),
    responses((status = 200, description = "The document.", body = serde_json::Value, content_type = "application/json")))]
async fn get_openapi(State(state): State<ApiState>) -> impl IntoResponse {
    (
        [(CONTENT_TYPE, "application/json")],
        state.document().to_owned(),
    )
}

/// Counters for whoever watches over the service
///
/// Requests by route and status, and how long they took, in the Prometheus text format.
#[utoipa::path(get, path = "/metrics", tag = "meta", security(()),
    responses((status = 200, description = "The counters.", body = String, content_type = "text/plain")))]
async fn get_metrics(State(state): State<ApiState>) -> Result<Response, Problem> {
    let text = state.recorder().handle().render();
    Ok((
        [(CONTENT_TYPE, "text/plain; version=0.0.4; charset=utf-8")],
        text,
    )
        .into_response())
}
