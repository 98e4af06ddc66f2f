//! The settings of the shop, every version kept.

use jiff::Timestamp;
use sqlx::FromRow;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx, Written};

/// One version of the settings.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct SettingsRow {
    /// Counted from 1.
    pub version: i64,
    /// The settings, as JSON.
    pub body: String,
    /// When they were set.
    #[sqlx(try_from = "Instant")]
    pub changed_at: Timestamp,
}

/// The settings that hold now. `None` when none were ever set.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn current(tx: &mut Tx) -> Result<Option<SettingsRow>, StoreError> {
    const SQL: &str =
        "select version, body, changed_at from shop_settings order by version desc limit 1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).fetch_optional(db).await?))
}

/// Adds a version after `expected` (0 when none was ever set): [`Written::Done`] with its number, or
/// [`Written::Stale`] and nothing changed when `expected` is not the current version. Never answers otherwise.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn append(
    tx: &mut Tx,
    expected: i64,
    body: &str,
    at: Timestamp,
) -> Result<Written, StoreError> {
    // The conflict is with another who adds the same version at the same moment.
    const SQL: &str = "
        insert into shop_settings (version, body, changed_at)
        select $1 + 1, $2, $3 where $1 = (select coalesce(max(version), 0) from shop_settings)
        on conflict (version) do nothing
        returning version";
    let version: Option<i64> = on_backend!(tx, db => {
        sqlx::query_scalar(SQL).bind(expected).bind(body).bind(Instant(at)).fetch_optional(db).await?
    });
    Ok(version.map_or(Written::Stale, Written::Done))
}

/// Up to `limit` versions, newest first, of those before `before`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn history(
    tx: &mut Tx,
    before: Option<i64>,
    limit: i64,
) -> Result<Vec<SettingsRow>, StoreError> {
    const SQL: &str = "
        select version, body, changed_at from shop_settings
        where $1 is null or version < $1
        order by version desc limit $2";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(before).bind(limit).fetch_all(db).await?
    }))
}
