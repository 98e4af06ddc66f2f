//! Every answer to GET has a version, and a client that has it already is spared the body.

use crate::http::etag::{Etag, has_already};
use crate::http::problem::Problem;
use axum::body::{Body, HttpBody as _, to_bytes};
use axum::extract::Request;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE, ETAG};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Bytes of an answer that are looked through for a version; ours are far smaller.
const MOST_BYTES: u64 = 32 * 1024 * 1024;

/// Adds `ETag` where the handler set none, and answers 304 to a fitting `If-None-Match`.
pub async fn conditional(request: Request, next: Next) -> Result<Response, Problem> {
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        return Ok(next.run(request).await);
    }
    // For HEAD too the body is there: the router, further out, drops it.
    let headers = request.headers().clone();
    let response = next.run(request).await;
    if response.status() != StatusCode::OK {
        return Ok(response);
    }
    let response = with_version(response).await?;
    let fits = response
        .headers()
        .get(ETAG)
        .is_some_and(|current| has_already(&headers, current));
    if !fits {
        return Ok(response);
    }
    let (mut parts, _) = response.into_parts();
    parts.status = StatusCode::NOT_MODIFIED;
    parts.headers.remove(CONTENT_LENGTH);
    parts.headers.remove(CONTENT_TYPE);
    Ok((parts, Body::empty()).into_response())
}

async fn with_version(response: Response) -> Result<Response, Problem> {
    let known = response.body().size_hint().exact();
    let small = known
        .filter(|bytes| *bytes <= MOST_BYTES)
        .and_then(|bytes| usize::try_from(bytes).ok());
    let (None, Some(most)) = (response.headers().get(ETAG), small) else {
        return Ok(response);
    };
    let (mut parts, body) = response.into_parts();
    let bytes = to_bytes(body, most)
        .await
        .map_err(|error| Problem::internal(&error))?;
    parts
        .headers
        .insert(ETAG, Etag::of_bytes(&bytes).to_header());
    Ok(Response::from_parts(parts, Body::from(bytes)))
}
