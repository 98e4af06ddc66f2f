//! Answers where no handler answers: unknown paths and methods, panics, and time running out.

use crate::http::problem::{Problem, Slug};
use crate::http::state::ApiState;
use axum::extract::{Request, State};
use axum::http::header::CONNECTION;
use axum::http::{HeaderValue, Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::any::Any;

/// No route has that path.
pub async fn no_such_path(uri: Uri) -> Problem {
    let path: String = uri.path().chars().take(120).collect();
    Problem::new(Slug::NoSuchPath).with_detail(format!(
        "There is nothing at {path:?}. See /docs for every address."
    ))
}

/// The path has no such method. OPTIONS asks just that, and needs no key: some spreadsheets send
/// it first and give up when it is refused. The router adds the `Allow` field to both answers.
pub async fn other_method(method: Method) -> Response {
    if method == Method::OPTIONS {
        return StatusCode::NO_CONTENT.into_response();
    }
    Problem::new(Slug::MethodNotAllowed)
        .with_detail(format!(
            "{method} is not one of the methods of this address; the Allow field lists them."
        ))
        .into_response()
}

/// A handler panicked.
pub fn after_panic(panic: Box<dyn Any + Send + 'static>) -> Response {
    let said = panic
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| panic.downcast_ref::<&str>().copied())
        .unwrap_or("no message");
    Problem::internal(&format_args!("a handler panicked: {said}")).into_response()
}

/// Bytes of an address, and of all header fields together, that are read. What a macro or a
/// spreadsheet sends is a small part of that; the server itself gives up, without a word, far beyond.
const ADDRESS_LIMIT: usize = 16 * 1024;
const HEADER_LIMIT: usize = 64 * 1024;

/// Refuses a request whose head is too large.
pub async fn of_sensible_size(request: Request, next: Next) -> Response {
    let address = request
        .uri()
        .path_and_query()
        .map_or(0, |address| address.as_str().len());
    if address > ADDRESS_LIMIT {
        return Problem::new(Slug::AddressTooLong)
            .with_detail(format!(
                "The address has {address} bytes; {ADDRESS_LIMIT} are read. Ask in several requests."
            ))
            .into_response();
    }
    let fields = request.headers().iter();
    let bytes: usize = fields
        .map(|(name, value)| name.as_str().len() + value.len())
        .sum();
    if bytes > HEADER_LIMIT {
        return Problem::new(Slug::HeaderTooLarge)
            .with_detail(format!(
                "The header fields have {bytes} bytes together; {HEADER_LIMIT} are read. Leave out what is not needed."
            ))
            .into_response();
    }
    next.run(request).await
}

/// Ends a request that takes too long.
pub async fn in_time(State(state): State<ApiState>, request: Request, next: Next) -> Response {
    let allowed = state.limits().timeout;
    match tokio::time::timeout(allowed, next.run(request)).await {
        Ok(response) => response,
        Err(_) => Problem::new(Slug::RequestTimeout)
            .with_detail(format!(
                "The request was not received and answered within {} seconds. Try again, or send fewer manifolds at a time.",
                allowed.as_secs()
            ))
            // What is left of the request cannot be told from a next one.
            .with_header(CONNECTION, HeaderValue::from_static("close"))
            .into_response(),
    }
}
