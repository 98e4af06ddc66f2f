//! The last touches to an answer.

use super::RequestId;
use crate::http::problem::{Problem, Slug};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, VARY, X_CONTENT_TYPE_OPTIONS};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};

/// Writes a problem with the id and path of its request. A bare error that some library answered
/// becomes a problem too, so that no other form of error ever shows.
pub fn settle(mut response: Response, id: &RequestId, path: &str) -> Response {
    let Some(problem) = response
        .extensions_mut()
        .remove::<Problem>()
        .or_else(|| missing(&response))
    else {
        return response;
    };
    let (before, _) = response.into_parts();
    let mut settled = problem.answer(id.as_str(), path);
    for (name, value) in &before.headers {
        if !settled.headers().contains_key(name) && *name != "content-length" {
            settled.headers_mut().append(name, value.clone());
        }
    }
    settled
}

fn missing(response: &Response) -> Option<Problem> {
    let status = response.status();
    let is_error = status.is_client_error() || status.is_server_error();
    let said = response
        .headers()
        .get(CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok());
    // A page is for people, and written by nobody but us.
    let ours =
        |kind: &str| kind.starts_with("application/problem+json") || kind.starts_with("text/html");
    if !is_error || said.is_some_and(ours) {
        return None;
    }
    let slug = match status {
        StatusCode::NOT_FOUND => Slug::NoSuchPath,
        status => Slug::ALL
            .iter()
            .copied()
            .find(|slug| slug.status() == status)
            .unwrap_or(if status.is_client_error() {
                Slug::MalformedBody
            } else {
                Slug::InternalError
            }),
    };
    Some(Problem::new(slug))
}

/// Header fields that every answer has.
pub fn finish(mut response: Response, is_private: bool) -> Response {
    let headers = response.headers_mut();
    name_the_charset(headers);
    headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.append(VARY, HeaderValue::from_static("Accept"));
    if is_private {
        headers.append(VARY, HeaderValue::from_static("Authorization"));
        headers
            .entry(CACHE_CONTROL)
            .or_insert(HeaderValue::from_static("private, no-cache"));
    }
    response.into_response()
}

/// Old HTTP libraries guess the charset of a text that does not name it.
fn name_the_charset(headers: &mut HeaderMap) {
    let Some(kind) = headers
        .get(CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok())
    else {
        return;
    };
    let essence = kind.split(';').next().unwrap_or_default().trim();
    let is_text = essence.starts_with("text/")
        || matches!(
            essence,
            "application/json" | "application/xml" | "application/javascript"
        )
        || essence.ends_with("+json")
        || essence.ends_with("+xml");
    if !is_text || kind.contains("charset=") {
        return;
    }
    if let Ok(named) = HeaderValue::try_from(format!("{kind}; charset=utf-8")) {
        headers.insert(CONTENT_TYPE, named);
    }
}
