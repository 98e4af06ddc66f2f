//! What surrounds every route. From the outside in: compression, then observation (request id,
//! log line, metrics, and the last word on problems and header fields), then panics, the size of the head, and time.

mod conditional;
mod finish;
mod guard;
mod observe;

pub(super) use conditional::conditional;
pub(super) use finish::settle;
pub(super) use observe::RequestId;

use super::state::ApiState;
use axum::Router;
use axum::middleware::{from_fn, from_fn_with_state};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;

/// Puts the layers around all routes. A layer added later stands further out.
pub(super) fn surround(router: Router<ApiState>, state: &ApiState) -> Router<ApiState> {
    router
        .fallback(guard::no_such_path)
        .method_not_allowed_fallback(guard::other_method)
        .layer(from_fn_with_state(state.clone(), guard::in_time))
        .layer(from_fn(guard::of_sensible_size))
        .layer(CatchPanicLayer::custom(guard::after_panic))
        .layer(from_fn_with_state(state.clone(), observe::observe))
        .layer(CompressionLayer::new().gzip(true).br(true))
}
