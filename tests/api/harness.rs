//! A server on a port of its own, and ways to talk to it.

use super::memory::{Replays, Ring, Switch};
use super::test_routes::{Counters, test_routes};
use jiff::Timestamp;
use offtake::app::App;
use offtake::http::auth::Scope;
use offtake::http::state::{ApiState, Limits, Ports};
use offtake::http::{router, v1};
use offtake::server::{Ended, Server};
use offtake::store::Db;
use offtake::trade::catalogue::Catalogue;
use reqwest::{Method, RequestBuilder, Response, StatusCode};
use serde_json::Value;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use uuid::Uuid;

/// A key that may do everything.
pub const ADMIN: &str = "key-admin";
/// A key that may check.
pub const CHECK: &str = "key-check";
/// A key that may estimate and quote.
pub const ESTIMATE: &str = "key-estimate";
/// A key that may read totals.
pub const ACCOUNT: &str = "key-account";

/// How long a test waits before it says that something hangs.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// A running server.
pub struct TestServer {
    pub address: SocketAddr,
    pub counters: Arc<Counters>,
    pub ready: Arc<Switch>,
    /// What the use cases take for now; a test may move it on.
    pub now: Arc<Mutex<Timestamp>>,
    client: reqwest::Client,
    stop: Option<oneshot::Sender<()>>,
    running: JoinHandle<Ended>,
}

impl TestServer {
    pub async fn start() -> Self {
        Self::with_limits(Limits::default()).await
    }

    pub async fn with_limits(limits: Limits) -> Self {
        let ring = Ring::default();
        ring.add(ADMIN, &[Scope::Admin]);
        ring.add(CHECK, &[Scope::Check]);
        ring.add(ESTIMATE, &[Scope::Estimate]);
        ring.add(ACCOUNT, &[Scope::Account]);
        let ready = Arc::new(Switch(AtomicBool::new(true)));
        let (next, start) = (AtomicU64::new(1), Instant::now());
        let now = Arc::new(Mutex::new("2026-11-25T08:00:00Z".parse().unwrap()));
        let ports = Ports {
            app: empty_shop(&now).await,
            keys: Arc::new(ring),
            replays: Arc::new(Replays::default()),
            readiness: ready.clone(),
            ids: Arc::new(move || format!("request-{}", next.fetch_add(1, Ordering::SeqCst))),
            // A clock that stands still: shares do not grow while a test runs.
            clock: Arc::new(move || start),
            public_url: Some("https://quotes.example.com".into()),
        };
        let state = ApiState::new(ports, limits).unwrap();
        let counters = Arc::new(Counters::default());
        let resources = v1::routes(&state).merge(test_routes(&state, &counters));
        let router = router::router_of(state, resources).unwrap();
        let server = Server::bind("127.0.0.1:0".parse().unwrap(), PATIENCE)
            .await
            .unwrap();
        let address = server.address();
        let (stop, stopped) = oneshot::channel::<()>();
        let running = tokio::spawn(server.run(router, async move {
            let _ = stopped.await;
        }));
        let client = reqwest::Client::builder()
            .timeout(PATIENCE)
            .redirect(reqwest::redirect::Policy::none())
            .build()
            .unwrap();
        Self {
            address,
            counters,
            ready,
            now,
            client,
            stop: Some(stop),
            running,
        }
    }

    pub fn request(&self, method: Method, path: &str) -> RequestBuilder {
        self.client
            .request(method, format!("http://{}{path}", self.address))
    }

    /// A request with the key that may do everything.
    pub fn admin(&self, method: Method, path: &str) -> RequestBuilder {
        self.request_as(method, path, ADMIN)
    }

    pub fn request_as(&self, method: Method, path: &str, key: &str) -> RequestBuilder {
        self.request(method, path).bearer_auth(key)
    }

    pub async fn get(&self, path: &str) -> Response {
        self.request(Method::GET, path).send().await.unwrap()
    }

    /// Sends bytes as they are and reads until the server closes.
    pub async fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = TcpStream::connect(self.address).await.unwrap();
        stream.write_all(bytes).await.unwrap();
        read_to_end(&mut stream).await
    }

    /// Tells the server to stop; it does so in its own time.
    pub fn begin_stop(&mut self) {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
    }

    pub async fn ended(self) -> Ended {
        soon(self.running).await.unwrap()
    }
}

/// The use cases over an empty database in memory, at a time that stands still.
pub async fn empty_shop(now: &Arc<Mutex<Timestamp>>) -> App {
    let db = Db::connect("sqlite::memory:").await.unwrap();
    db.migrate().await.unwrap();
    let (next, now) = (AtomicU64::new(1), Arc::clone(now));
    App::new(
        db,
        Catalogue::built_in().unwrap(),
        Arc::new(move || *now.lock().unwrap()),
        Arc::new(move || Uuid::from_u128(u128::from(next.fetch_add(1, Ordering::SeqCst)))),
        Arc::new(some_secret),
    )
}

/// What nobody can guess.
fn some_secret() -> Option<[u8; 32]> {
    let mut secret = [0; 32];
    getrandom::fill(&mut secret).ok().map(|()| secret)
}

/// Waits for something that must come soon; a test that would hang fails instead.
pub async fn soon<T>(it: impl Future<Output = T>) -> T {
    tokio::time::timeout(PATIENCE, it).await.unwrap()
}

pub async fn read_to_end(stream: &mut TcpStream) -> String {
    let mut answer = Vec::new();
    soon(stream.read_to_end(&mut answer)).await.unwrap();
    String::from_utf8_lossy(&answer).into_owned()
}

pub fn header<'a>(response: &'a Response, name: &str) -> &'a str {
    response
        .headers()
        .get(name)
        .map_or("", |value| value.to_str().unwrap())
}

/// Asserts that the answer is a problem document of that kind, whole and consistent.
pub async fn problem(response: Response, status: StatusCode, slug: &str) -> Value {
    assert_eq!(response.status(), status, "{slug}");
    assert_eq!(
        header(&response, "content-type"),
        "application/problem+json; charset=utf-8"
    );
    let id = header(&response, "x-request-id").to_owned();
    // What follows `/q/` is a secret.
    let path = match response.url().path() {
        secret if secret.starts_with("/q/") => "/q/...".to_owned(),
        path => path.to_owned(),
    };
    let body: Value = response.json().await.unwrap();
    assert_eq!(body["type"], format!("/problems/{slug}"));
    assert_eq!(body["status"], status.as_u16());
    assert_eq!(body["request_id"], id);
    assert_eq!(body["instance"], path);
    assert!(!body["title"].as_str().unwrap().is_empty());
    assert!(!body["detail"].as_str().unwrap().is_empty());
    body
}
