//! SQL, and the only place that knows it.
//!
//! One body of SQL serves two databases: SQLite, embedded, and Postgres. [`Db`] is the way in; [`Db::read`] and
//! [`Db::write`] begin a transaction, and the plain functions of each subject take `&mut Tx`.
//!
//! - A transaction that is dropped without [`Tx::commit`] leaves nothing behind.
//! - Instants are kept as whole microseconds, so a nanosecond part is cut off on the way in.
//! - JSON documents are kept as the very text that was given.
//! - On Postgres, after an error every later statement of the same transaction fails: drop it.
//! - To keep writers from waiting on each other in a ring, rows come first and counters last: move a quote, then log
//!   the change. A transaction that moves several quotes moves them in the order of their ids, and logs none before
//!   it has moved all.

mod columns;
mod db;
mod error;
mod migrations;
mod written;

pub mod audit;
pub mod counters;
pub mod customers;
pub mod forming_profiles;
pub mod keys;
pub mod labour_models;
pub mod links;
pub mod offcuts;
pub mod price_items;
pub mod price_lists;
pub mod quote_changes;
pub mod quote_lists;
pub mod quote_papers;
pub mod quote_revisions;
pub mod quotes;
pub mod replays;
pub mod settings;
pub mod shop_files;
pub mod webhooks;

pub use db::{Db, SqlitePools, Tx};
pub use error::StoreError;
pub use migrations::{POSTGRES_MIGRATIONS, SQLITE_MIGRATIONS};
pub use written::Written;
