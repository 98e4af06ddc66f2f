//! The problem document as it is sent.

use crate::http::wire::Fault;
use axum::Json;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

/// The media type of a problem document, as sent.
pub const MEDIA_TYPE: &str = "application/problem+json; charset=utf-8";

/// A problem document (RFC 9457).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemBody {
    /// Address of a page on this server that explains this kind of problem.
    #[serde(rename = "type")]
    #[schema(format = "uri-reference", example = "/problems/invalid-body")]
    pub kind: String,
    /// The kind of problem in a few words.
    #[schema(example = "The body does not say what this call needs")]
    pub title: String,
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599, example = 422)]
    pub status: u16,
    /// What is wrong this time, and what to do.
    #[schema(
        example = "`pitch` is the bare number 5; write a length with its unit, for example \"4 1/2 in\""
    )]
    pub detail: String,
    /// Path of the request that failed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(
        format = "uri-reference",
        example = "/v1/manifolds/check",
        nullable = false
    )]
    pub instance: Option<String>,
    /// Id of the request, also in `X-Request-Id` and in the log.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e", nullable = false)]
    pub request_id: Option<String>,
    /// Where a move was refused: the moves that are open instead.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Vec<String>>, example = json!(["issue", "withdraw"]), nullable = false)]
    pub moves: Option<Vec<&'static str>>,
    /// Every fault of the request, at most 200.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub errors: Option<Vec<Fault>>,
    /// True when there were more faults than are listed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub errors_truncated: Option<bool>,
}

impl IntoResponse for ProblemBody {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut response = (status, Json(self)).into_response();
        response
            .headers_mut()
            .insert(CONTENT_TYPE, HeaderValue::from_static(MEDIA_TYPE));
        response
    }
}
