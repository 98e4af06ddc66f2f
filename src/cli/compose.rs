//! Puts the service together: the one place where clock, randomness and ids come from.

mod courier;
mod keys;
mod own_process;
mod readiness;
mod replays;

pub use courier::HttpCourier;
use own_process::OwnProcess;

use crate::app::App;
use crate::http::state::Ports;
use crate::store::{Db, StoreError};
use crate::trade::catalogue::Catalogue;
use jiff::Timestamp;
use std::error::Error;
use std::sync::Arc;
use std::time::Instant;
use uuid::Uuid;

/// The use cases over a database whose tables are brought up to date.
///
/// # Errors
/// When the database cannot be reached or its tables not be made.
pub async fn app(url: &str) -> Result<App, Box<dyn Error + Send + Sync>> {
    let db = Db::connect(url).await?;
    db.migrate().await?;
    Ok(app_over(db)?.with_apart(Arc::new(OwnProcess::new()?)))
}

/// The use cases over a database as it is, for what prints nothing.
///
/// # Errors
/// When the tables of the trade are damaged: a fault of the build.
pub fn app_over(db: Db) -> Result<App, &'static crate::trade::catalogue::DataFault> {
    Ok(App::new(
        db,
        Catalogue::built_in()?,
        Arc::new(now),
        Arc::new(new_uuid),
        Arc::new(|| secret().ok()),
    ))
}

/// What the HTTP interface is handed.
pub fn ports(app: &App) -> Ports {
    Ports {
        app: app.clone(),
        keys: Arc::new(keys::StoredKeys(app.clone())),
        replays: Arc::new(replays::StoredReplays::new(app.clone())),
        readiness: Arc::new(readiness::DatabaseAnswers(app.clone())),
        ids: Arc::new(|| new_uuid().to_string()),
        clock: Arc::new(Instant::now),
        public_url: None,
    }
}

/// Whether any key is good.
///
/// # Errors
/// When the database does not answer.
pub async fn has_keys(app: &App) -> Result<bool, StoreError> {
    let mut tx = app.db().read().await?;
    Ok(crate::store::keys::count_live(&mut tx).await? > 0)
}

/// Random bytes for a key.
///
/// # Errors
/// When the operating system has none to give.
pub fn secret() -> Result<[u8; 32], getrandom::Error> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)?;
    Ok(bytes)
}

#[expect(clippy::disallowed_methods, reason = "this is the composition root")]
fn now() -> Timestamp {
    Timestamp::now()
}

#[expect(clippy::disallowed_methods, reason = "this is the composition root")]
fn new_uuid() -> Uuid {
    Uuid::now_v7()
}
