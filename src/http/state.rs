//! What every handler can reach, and what the composition root must hand in.

use super::auth::KeyRing;
use super::heavy::HeavyPool;
use super::idempotency::ReplayStore;
use super::known::KnownAnswers;
use super::rate::{RateLimit, RateLimiter};
use crate::app::App;
use crate::shop::audit::Actor;
use futures::future::BoxFuture;
use metrics_exporter_prometheus::{BuildError, PrometheusBuilder, PrometheusRecorder};
use std::fmt;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

/// Makes ids.
pub type MakeId = Arc<dyn Fn() -> String + Send + Sync>;
/// Reads a clock that only goes forward.
pub type ReadClock = Arc<dyn Fn() -> Instant + Send + Sync>;

/// Something the server depends on does not answer. The text is for the log.
#[derive(Debug, Clone, thiserror::Error)]
#[error("{0}")]
pub struct Unavailable(pub String);

/// Says whether what the server depends on answers.
pub trait Readiness: Send + Sync {
    /// Asks it.
    fn check(&self) -> BoxFuture<'_, Result<(), Unavailable>>;
}

/// Limits and sizes.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// How long a request may take.
    pub timeout: Duration,
    /// How many requests a key may make; `None` for any number.
    pub rate: Option<RateLimit>,
    /// Heavy jobs done at once.
    pub heavy_workers: usize,
    /// Heavy jobs that may wait.
    pub heavy_queue: usize,
    /// Whether notices may go to private addresses, and without TLS.
    pub private_webhooks: bool,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            timeout: Duration::from_secs(30),
            rate: None,
            heavy_workers: 2,
            heavy_queue: 32,
            private_webhooks: false,
        }
    }
}

/// What the composition root hands in.
#[derive(Clone)]
pub struct Ports {
    /// The use cases.
    pub app: App,
    /// Finds keys.
    pub keys: Arc<dyn KeyRing>,
    /// Remembers answers for retries.
    pub replays: Arc<dyn ReplayStore>,
    /// Says whether the server is ready.
    pub readiness: Arc<dyn Readiness>,
    /// Makes request ids.
    pub ids: MakeId,
    /// Reads the clock for rate limits.
    pub clock: ReadClock,
    /// How customers reach the server, without a slash at the end, where that is known.
    pub public_url: Option<Arc<str>>,
}

impl fmt::Debug for Ports {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("Ports")
    }
}

/// The state of the HTTP interface, shared by all handlers.
#[derive(Debug, Clone)]
pub struct ApiState {
    inner: Arc<Inner>,
    app: App,
}

struct Inner {
    ports: Ports,
    limits: Limits,
    heavy: HeavyPool,
    known: KnownAnswers,
    rate: Option<RateLimiter>,
    recorder: PrometheusRecorder,
    document: OnceLock<String>,
    answered: AtomicU64,
}

impl fmt::Debug for Inner {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Inner")
            .field("limits", &self.limits)
            .finish_non_exhaustive()
    }
}

impl ApiState {
    /// From its parts.
    ///
    /// # Errors
    /// When the metrics cannot be set up.
    pub fn new(ports: Ports, limits: Limits) -> Result<Self, BuildError> {
        /// Upper bounds of the latency histogram, in seconds.
        const BUCKETS: &[f64] = &[
            0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0,
        ];
        let recorder = PrometheusBuilder::new()
            .set_buckets(BUCKETS)?
            .build_recorder();
        let app = ports.app.clone();
        let inner = Arc::new(Inner {
            heavy: HeavyPool::new(limits.heavy_workers, limits.heavy_queue),
            known: KnownAnswers::default(),
            rate: limits.rate.map(RateLimiter::new),
            ports,
            limits,
            recorder,
            document: OnceLock::new(),
            answered: AtomicU64::new(0),
        });
        Ok(Self { inner, app })
    }

    /// What was handed in.
    pub fn ports(&self) -> &Ports {
        &self.inner.ports
    }

    /// The use cases.
    pub fn app(&self) -> &App {
        &self.app
    }

    /// The same state, for somebody who acts.
    #[must_use]
    pub fn acting_as(&self, actor: Actor) -> Self {
        Self {
            inner: Arc::clone(&self.inner),
            app: self.app.acting_as(actor),
        }
    }

    /// The limits.
    pub fn limits(&self) -> &Limits {
        &self.inner.limits
    }

    /// The pool for heavy work.
    pub fn heavy(&self) -> &HeavyPool {
        &self.inner.heavy
    }

    /// Answers that are known already.
    pub fn known(&self) -> &KnownAnswers {
        &self.inner.known
    }

    /// The rate limiter, when there is one.
    pub fn rate(&self) -> Option<&RateLimiter> {
        self.inner.rate.as_ref()
    }

    /// Where metrics are counted.
    pub fn recorder(&self) -> &PrometheusRecorder {
        &self.inner.recorder
    }

    /// Folds up the samples of the metrics now and then, so that they do not pile up when nobody
    /// reads them.
    pub(super) fn tend_metrics(&self) {
        const EVERY: u64 = 1_000;
        if self.inner.answered.fetch_add(1, Ordering::Relaxed) % EVERY == EVERY - 1 {
            self.inner.recorder.handle().run_upkeep();
        }
    }

    /// The OpenAPI document as served; empty until the router is built.
    pub fn document(&self) -> &str {
        self.inner.document.get().map_or("", String::as_str)
    }

    pub(super) fn set_document(&self, document: String) {
        // A second router over the same state serves the same document.
        let _ = self.inner.document.set(document);
    }
}
