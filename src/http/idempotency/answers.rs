//! Answers kept for retries, and where they are kept.

use crate::http::state::Unavailable;
use axum::body::Body;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, ETAG, LINK, LOCATION};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use futures::future::BoxFuture;
use uuid::Uuid;

/// The header fields kept with an answer.
const KEPT_FIELDS: [HeaderName; 5] = [CONTENT_TYPE, LOCATION, ETAG, LINK, CONTENT_DISPOSITION];

/// Which answer: one per key, operation and `Idempotency-Key`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReplaySlot {
    /// Id of the caller's key.
    pub key_id: Uuid,
    /// Method and route template, such as `POST /v1/quotes`.
    pub operation: String,
    /// What the client sent.
    pub idempotency_key: String,
}

/// SHA-256 over method, path, query and body: the same request or another one.
pub type Fingerprint = [u8; 32];

/// An answer kept whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredAnswer {
    /// The status.
    pub status: u16,
    /// The header fields that belong to the answer.
    pub headers: Vec<(String, String)>,
    /// The body, byte for byte.
    pub body: Vec<u8>,
}

/// What became of a claim.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Claim {
    /// Nobody had it: the caller runs the request, then finishes or releases the slot.
    Fresh,
    /// The same request is running.
    Running,
    /// The same request has been answered.
    Done(StoredAnswer),
    /// Another request has the slot.
    OtherRequest,
}

/// Remembers answers. A claim is atomic: of many at once, one gets [`Claim::Fresh`]. A claim that is
/// never finished (the process died) must run out after a while.
pub trait ReplayStore: Send + Sync {
    /// Claims the slot for a request.
    fn claim<'a>(
        &'a self,
        slot: &'a ReplaySlot,
        fingerprint: &'a Fingerprint,
    ) -> BoxFuture<'a, Result<Claim, Unavailable>>;
    /// Keeps the answer.
    fn finish<'a>(
        &'a self,
        slot: &'a ReplaySlot,
        answer: StoredAnswer,
    ) -> BoxFuture<'a, Result<(), Unavailable>>;
    /// Gives the slot up: nothing was done.
    fn release<'a>(&'a self, slot: &'a ReplaySlot) -> BoxFuture<'a, Result<(), Unavailable>>;
}

impl StoredAnswer {
    pub(super) fn new(status: StatusCode, headers: &HeaderMap, body: &[u8]) -> Self {
        let headers = KEPT_FIELDS
            .iter()
            .flat_map(|name| headers.get_all(name).iter().map(move |value| (name, value)))
            .filter_map(|(name, value)| Some((name.to_string(), value.to_str().ok()?.to_owned())))
            .collect();
        Self {
            status: status.as_u16(),
            headers,
            body: body.to_vec(),
        }
    }
}

impl IntoResponse for StoredAnswer {
    fn into_response(self) -> Response {
        let mut response = Response::new(Body::from(self.body));
        *response.status_mut() = StatusCode::from_u16(self.status).unwrap_or(StatusCode::OK);
        for (name, value) in self.headers {
            if let (Ok(name), Ok(value)) =
                (HeaderName::try_from(name), HeaderValue::try_from(value))
            {
                response.headers_mut().append(name, value);
            }
        }
        response
    }
}
