//! Every request has an id, one line in the log, and its place in the metrics.

use super::finish::{finish, settle};
use crate::http::linked::without_token;
use crate::http::state::ApiState;
use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::Response;
use metrics::{counter, histogram, with_local_recorder};
use std::time::Duration;
use tracing::Instrument as _;

const FIELD: HeaderName = HeaderName::from_static("x-request-id");

/// The id of a request: the client's own, or one made here.
#[derive(Debug, Clone, Default)]
pub struct RequestId(String);

impl RequestId {
    /// The id.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The client's, when it is short and plain enough for a log.
    fn of_client(headers: &HeaderMap) -> Option<Self> {
        let text = headers.get(FIELD)?.to_str().ok()?;
        let plain = (1..=100).contains(&text.len())
            && text
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"-_.:/+=".contains(&byte));
        plain.then(|| Self(text.to_owned()))
    }
}

/// The outermost look at a request and its answer.
pub async fn observe(State(state): State<ApiState>, mut request: Request, next: Next) -> Response {
    let clock = &state.ports().clock;
    let began = clock();
    let id =
        RequestId::of_client(request.headers()).unwrap_or_else(|| RequestId((state.ports().ids)()));
    let method = request.method().clone();
    // The path alone, and not even that whole: queries and tokens do not belong in a log.
    let path = without_token(request.uri().path()).to_owned();
    let route = request
        .extensions()
        .get::<MatchedPath>()
        .map_or("none", MatchedPath::as_str)
        .to_owned();
    request.extensions_mut().insert(id.clone());
    let span =
        tracing::info_span!("request", request_id = %id.as_str(), key_id = tracing::field::Empty);
    let response = next.run(request).instrument(span.clone()).await;

    let response = settle(response, &id, &path);
    let mut response = finish(response, route.starts_with("/v1/"));
    if let Ok(value) = HeaderValue::from_str(id.as_str()) {
        response.headers_mut().insert(FIELD, value);
    }
    let took = clock().saturating_duration_since(began);
    let status = response.status().as_u16();
    span.in_scope(|| {
        let microseconds = u64::try_from(took.as_micros()).unwrap_or(u64::MAX);
        tracing::info!(%method, path, route, status, microseconds, "answered");
    });
    count(
        &state,
        &Answered {
            method,
            route,
            status,
            took,
        },
    );
    response
}

struct Answered {
    method: Method,
    route: String,
    status: u16,
    took: Duration,
}

fn count(state: &ApiState, answered: &Answered) {
    // Made-up methods must not make up time series.
    let known = [
        Method::GET,
        Method::HEAD,
        Method::POST,
        Method::PUT,
        Method::PATCH,
        Method::DELETE,
        Method::OPTIONS,
    ];
    let method = known
        .iter()
        .find(|method| **method == answered.method)
        .map_or("other", Method::as_str)
        .to_owned();
    let route = answered.route.clone();
    with_local_recorder(state.recorder(), || {
        counter!("http_requests_total", "method" => method.clone(), "route" => route.clone(), "status" => answered.status.to_string())
            .increment(1);
        histogram!("http_request_duration_seconds", "method" => method, "route" => route)
            .record(answered.took.as_secs_f64());
    });
    state.tend_metrics();
}
