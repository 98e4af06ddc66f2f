//! Numbers without gaps or repeats.

use super::db::on_backend;
use super::{StoreError, Tx};

/// The next number of the counter `name`, from 1; a counter that is not there is made.
///
/// The number comes back when the transaction is undone, so there are no gaps; and the counter's row stays locked
/// until the transaction ends, so there are no repeats and numbers appear in the order of their commits. Take it as
/// late in the transaction as can be: others who need the same counter wait.
///
/// # Errors
/// [`StoreError::Busy`] when others held the counter too long.
pub async fn next(tx: &mut Tx, name: &str) -> Result<i64, StoreError> {
    take(tx, name, 1).await
}

/// The first of the next `count` numbers of a counter, all of which are taken, as [`next`] takes one.
///
/// # Errors
/// As of [`next`].
pub async fn take(tx: &mut Tx, name: &str, count: i64) -> Result<i64, StoreError> {
    const SQL: &str = "
        insert into counters (name, value) values ($1, $2)
        on conflict (name) do update set value = counters.value + $2
        returning value + 1 - $2";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).bind(name).bind(count).fetch_one(db).await?))
}

/// The number given out last by the counter `name`; 0 when none was.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn last(tx: &mut Tx, name: &str) -> Result<i64, StoreError> {
    const SQL: &str = "select coalesce(max(value), 0) from counters where name = $1";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).bind(name).fetch_one(db).await?))
}
