//! Runs a test on a database of its own. A test crate takes this in with
//! `#[cfg(test)] #[path = "../support/databases.rs"] mod databases;`.
//!
//! The test gets the address of an empty database, without tables, and runs on several threads. The database is
//! removed afterwards, whether the test passed or not.

use std::future::Future;

use tokio::runtime::{Builder, Runtime};

#[path = "postgres.rs"]
mod postgres;

/// Runs a test on a SQLite file that does not exist yet.
pub fn on_sqlite<F>(test: impl FnOnce(String) -> F)
where
    F: Future<Output = ()> + Send + 'static,
{
    let folder = tempfile::tempdir().unwrap();
    let url = format!("sqlite://{}", folder.path().join("offtake.db").display());
    runtime().block_on(test(url));
}

/// Runs a test on an empty Postgres database. Without a server the test does not run: see `postgres.rs`.
pub fn on_postgres<F>(test: impl FnOnce(String) -> F)
where
    F: Future<Output = ()> + Send + 'static,
{
    runtime().block_on(async {
        let Some(database) = postgres::fresh().await else {
            return;
        };
        // A task of its own, so that a failure is known here and the database goes all the same.
        let outcome = tokio::spawn(test(database.url.clone())).await;
        database.remove().await;
        if let Err(failure) = outcome {
            std::panic::resume_unwind(failure.into_panic());
        }
    });
}

fn runtime() -> Runtime {
    Builder::new_multi_thread()
        .worker_threads(4)
        .enable_all()
        .build()
        .unwrap()
}
