//! The catalogue by which machines find the service (RFC 9727), as a link set (RFC 9264).

use super::CATALOG_LINK;
use axum::http::header::{CONTENT_TYPE, LINK};
use axum::response::IntoResponse;
use serde_json::json;

/// What is here, for machines
///
/// A link set (RFC 9264) as RFC 9727 asks.
#[utoipa::path(get, path = "/.well-known/api-catalog", tag = "meta", security(()),
    responses((status = 200, description = "The link set.", body = serde_json::Value, content_type = "application/linkset+json")))]
pub async fn get_api_catalog() -> impl IntoResponse {
    let links = json!({"linkset": [{
        "anchor": "/v1",
        "service-desc": [{"href": "/openapi.json", "type": "application/json"}],
        "service-doc": [{"href": "/docs/", "type": "text/html"}],
        "status": [{"href": "/health/ready", "type": "application/json"}],
    }]});
    let kind = "application/linkset+json; profile=\"https://www.rfc-editor.org/info/rfc9727\"";
    (
        [(CONTENT_TYPE, kind), (LINK, CATALOG_LINK)],
        links.to_string(),
    )
}
