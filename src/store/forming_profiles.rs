//! What the shop's forming equipment can draw, every version kept.

use jiff::Timestamp;
use sqlx::FromRow;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx, Written};

/// One version of a forming profile.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct FormingProfileRow {
    /// What it is known by.
    pub id: String,
    /// Counted from 1.
    pub version: i64,
    /// Its name.
    pub name: String,
    /// The limits, as JSON.
    pub body: String,
    /// When this version was made.
    #[sqlx(try_from = "Instant")]
    pub changed_at: Timestamp,
}

/// A profile in that version, or in its newest. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(
    tx: &mut Tx,
    id: &str,
    version: Option<i64>,
) -> Result<Option<FormingProfileRow>, StoreError> {
    const SQL: &str = "
        select id, version, name, body, changed_at from forming_profiles
        where id = $1 and ($2 is null or version = $2)
        order by version desc limit 1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).bind(version).fetch_optional(db).await?))
}

/// Adds a version after `expected` (0 when there is none yet): [`Written::Done`] with its number, or
/// [`Written::Stale`] and nothing changed when `expected` is not the newest. Never answers otherwise.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn append(
    tx: &mut Tx,
    expected: i64,
    row: &FormingProfileRow,
) -> Result<Written, StoreError> {
    // The conflict is with another who adds the same version at the same moment.
    const SQL: &str = "
        insert into forming_profiles (id, version, name, body, changed_at)
        select $1, $2 + 1, $3, $4, $5
        where $2 = (select coalesce(max(version), 0) from forming_profiles where id = $1)
        on conflict (id, version) do nothing
        returning version";
    let version: Option<i64> = on_backend!(tx, db => {
        sqlx::query_scalar(SQL)
            .bind(&row.id)
            .bind(expected)
            .bind(&row.name)
            .bind(&row.body)
            .bind(Instant(row.changed_at))
            .fetch_optional(db)
            .await?
    });
    Ok(version.map_or(Written::Stale, Written::Done))
}

/// Up to `limit` profiles in their newest version, by id, after the one of id `after`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    after: Option<&str>,
    limit: i64,
) -> Result<Vec<FormingProfileRow>, StoreError> {
    const SQL: &str = "
        select id, version, name, body, changed_at from forming_profiles as newest
        where id > $1
            and version = (select max(version) from forming_profiles where id = newest.id)
        order by id limit $2";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(after.unwrap_or_default()).bind(limit).fetch_all(db).await?
    }))
}
