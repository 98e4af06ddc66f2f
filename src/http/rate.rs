//! How many requests a key may make: one bucket of tokens per key.

use super::auth::Caller;
use super::problem::{Problem, Slug};
use super::state::ApiState;
use axum::extract::{Request, State};
use axum::http::{HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};
use uuid::Uuid;

/// So many requests in so long; the whole share may be used at once.
#[derive(Debug, Clone, Copy)]
pub struct RateLimit {
    /// Requests.
    pub requests: u32,
    /// In this time.
    pub window: Duration,
}

/// The buckets. Only good keys have one, so their number is bounded.
#[derive(Debug)]
pub struct RateLimiter {
    limit: RateLimit,
    buckets: Mutex<BTreeMap<Uuid, Bucket>>,
}

#[derive(Debug, Clone, Copy)]
struct Bucket {
    tokens: f64,
    seen: Instant,
}

/// What is left to a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// Whether this request is within it.
    pub granted: bool,
    /// Whole requests left.
    pub left: u64,
    /// Seconds until one more is there.
    pub wait: u64,
}

impl RateLimiter {
    /// With that limit.
    pub fn new(limit: RateLimit) -> Self {
        Self {
            limit,
            buckets: Mutex::new(BTreeMap::new()),
        }
    }

    /// Charges a key for one request.
    pub fn charge(&self, key: Uuid, now: Instant) -> Share {
        let full = f64::from(self.limit.requests.max(1));
        let per_second = full / self.limit.window.as_secs_f64().max(1.0);
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let bucket = buckets.entry(key).or_insert(Bucket {
            tokens: full,
            seen: now,
        });
        let passed = now.saturating_duration_since(bucket.seen).as_secs_f64();
        bucket.tokens = (bucket.tokens + passed * per_second).min(full);
        bucket.seen = now;
        let granted = bucket.tokens >= 1.0;
        if granted {
            bucket.tokens -= 1.0;
        }
        let wait = ((1.0 - bucket.tokens).max(0.0) / per_second).ceil() as u64;
        Share {
            granted,
            left: bucket.tokens as u64,
            wait,
        }
    }
}

/// The layer that charges callers. HEAD is free, as is OPTIONS, which does not come this far.
pub(super) async fn charge(
    State(state): State<ApiState>,
    request: Request,
    next: Next,
) -> Response {
    let caller = request.extensions().get::<Caller>().map(Caller::key_id);
    let (Some(limiter), Some(key)) = (state.rate(), caller) else {
        return next.run(request).await;
    };
    if request.method() == Method::HEAD {
        return next.run(request).await;
    }
    let share = limiter.charge(key, (state.ports().clock)());
    let mut response = if share.granted {
        next.run(request).await
    } else {
        Problem::new(Slug::TooManyRequests)
            .with_retry_after(share.wait.max(1))
            .with_detail(format!(
                "This key has used up its {} requests in {} seconds. Try again in {} seconds.",
                limiter.limit.requests,
                limiter.limit.window.as_secs(),
                share.wait.max(1)
            ))
            .into_response()
    };
    // Field syntax of the IETF draft "RateLimit header fields for HTTP", revision 10 (from memory).
    let policy = format!(
        "\"key\";q={};w={}",
        limiter.limit.requests,
        limiter.limit.window.as_secs()
    );
    let left = format!("\"key\";r={};t={}", share.left, share.wait);
    for (name, text) in [("ratelimit-policy", policy), ("ratelimit", left)] {
        if let Ok(value) = HeaderValue::try_from(text) {
            response.headers_mut().insert(name, value);
        }
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_used_up_and_grows_again() {
        let limiter = RateLimiter::new(RateLimit {
            requests: 2,
            window: Duration::from_secs(60),
        });
        let (key, start) = (Uuid::nil(), Instant::now());
        assert!(limiter.charge(key, start).granted);
        assert!(limiter.charge(key, start).granted);
        let refused = limiter.charge(key, start);
        assert_eq!((refused.granted, refused.wait), (false, 30));
        assert!(!limiter.charge(key, start + Duration::from_secs(29)).granted);
        assert!(limiter.charge(key, start + Duration::from_secs(31)).granted);
        assert!(limiter.charge(Uuid::from_u128(1), start).granted);
    }
}
