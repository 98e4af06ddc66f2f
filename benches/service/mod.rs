//! The service as the benches ask it: whole.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use offtake::app::App;
use offtake::http::auth::Scope;
use offtake::http::state::{ApiState, Limits, Ports};
use offtake::store::Db;
use offtake::trade::catalogue::Catalogue;

#[path = "../../tests/api/memory.rs"]
mod memory;

use memory::{Replays, Ring, Switch};

/// The key that the benches show.
pub const KEY: &str = "key-bench";

/// A fresh service on a fresh database, whose one key has that scope.
pub async fn state(scope: Scope, database: &str) -> ApiState {
    let ring = Ring::default();
    ring.add(KEY, &[scope]);
    let db = Db::connect(database).await.unwrap();
    db.migrate().await.unwrap();
    let (next, begun) = (Arc::new(AtomicU64::new(1)), Instant::now());
    let id = Arc::clone(&next);
    let app = App::new(
        db,
        Catalogue::built_in().unwrap(),
        Arc::new(|| "2026-11-25T08:00:00Z".parse().unwrap()),
        Arc::new(move || uuid::Uuid::from_u128(u128::from(id.fetch_add(1, Ordering::SeqCst)))),
        Arc::new(|| None),
    );
    let ports = Ports {
        app,
        keys: Arc::new(ring),
        replays: Arc::new(Replays::default()),
        readiness: Arc::new(Switch(true.into())),
        ids: Arc::new(move || format!("request-{}", next.fetch_add(1, Ordering::SeqCst))),
        clock: Arc::new(move || begun),
        public_url: None,
    };
    ApiState::new(ports, Limits::default()).unwrap()
}
