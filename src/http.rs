//! The HTTP interface, and the only place that knows axum and OpenAPI.
