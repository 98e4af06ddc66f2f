//! What opens by a link instead of a key. Addresses below `/q/` hold a token: they never reach the log, and
//! nothing that is answered there is kept by a browser or sent on by it.

mod page;
mod readings;

use axum::Router;
use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::map_response;
use axum::response::Response;

use super::state::ApiState;
use crate::shop::link::Purpose;

pub(in crate::http) use page::policy;

/// Everything whose address holds a token begins so.
const PLACE: &str = "/q/";

/// A path as it may be logged and shown in problems: without the token it may hold.
pub(super) fn without_token(path: &str) -> &str {
    match path.starts_with(PLACE) {
        true => "/q/...",
        false => path,
    }
}

/// The address of what a token opens.
pub(super) fn address(purpose: Purpose, token: &str) -> String {
    let ending = match purpose {
        Purpose::QuotePage => "",
        Purpose::QuoteTotal => "/total",
        Purpose::QuoteDocument => "/document",
        Purpose::Totals => "/totals",
    };
    format!("{PLACE}{token}{ending}")
}

/// The addresses. They are for people and their spreadsheets, and not part of the described interface.
pub(super) fn routes() -> Router<ApiState> {
    page::routes()
        .merge(readings::routes())
        .layer(map_response(secluded))
}

async fn secluded(mut response: Response) -> Response {
    let headers = response.headers_mut();
    for (name, value) in [
        (CACHE_CONTROL, "no-store"),
        (REFERRER_POLICY, "no-referrer"),
        (HeaderName::from_static("x-robots-tag"), "noindex"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if let Ok(policy) = HeaderValue::try_from(policy()) {
        headers.insert(CONTENT_SECURITY_POLICY, policy);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::without_token;

    #[test]
    fn no_token_is_logged() {
        for path in ["/q/abc", "/q/abc/accept", "/q/abc/no/such/place"] {
            assert_eq!(without_token(path), "/q/...");
        }
        assert_eq!(without_token("/v1/quotes/q/abc"), "/v1/quotes/q/abc");
    }
}
