//! API keys. Only the hash of a key is kept.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::{Instant, NullableInstant};
use super::db::on_backend;
use super::{StoreError, Tx};

/// An API key, without the key itself.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct KeyRow {
    /// Its id.
    pub id: Uuid,
    /// What people call it.
    pub label: String,
    /// What it may do: scopes with a space between.
    pub scopes: String,
    /// SHA-256 of the key, in lower-case hex. Unique.
    pub hash: String,
    /// When it was made.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// When it was taken out of use, if it was.
    #[sqlx(try_from = "NullableInstant")]
    pub revoked_at: Option<Timestamp>,
}

/// Adds a key.
///
/// # Errors
/// [`StoreError::Conflict`] when the id or the hash is there already.
pub async fn insert(tx: &mut Tx, key: &KeyRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into api_keys (id, label, scopes, hash, created_at, revoked_at)
        values ($1, $2, $3, $4, $5, $6)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(key.id)
            .bind(&key.label)
            .bind(&key.scopes)
            .bind(&key.hash)
            .bind(Instant(key.created_at))
            .bind(key.revoked_at.map(Instant))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The key with this hash, unless it was revoked. `None` when there is no such key in use.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn find_live_by_hash(tx: &mut Tx, hash: &str) -> Result<Option<KeyRow>, StoreError> {
    const SQL: &str = "
        select id, label, scopes, hash, created_at, revoked_at
        from api_keys where hash = $1 and revoked_at is null";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(hash).fetch_optional(db).await?))
}

/// Every key, revoked ones too, oldest first.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn list(tx: &mut Tx) -> Result<Vec<KeyRow>, StoreError> {
    const SQL: &str =
        "select id, label, scopes, hash, created_at, revoked_at from api_keys order by id";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).fetch_all(db).await?))
}

/// Takes a key out of use. `false`, and nothing changed, when it is not there or was revoked before.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn revoke(tx: &mut Tx, id: Uuid, at: Timestamp) -> Result<bool, StoreError> {
    const SQL: &str = "update api_keys set revoked_at = $2 where id = $1 and revoked_at is null";
    let changed = on_backend!(tx, db => {
        sqlx::query(SQL).bind(id).bind(Instant(at)).execute(db).await?.rows_affected()
    });
    Ok(changed == 1)
}

/// How many keys are in use.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn count_live(tx: &mut Tx) -> Result<i64, StoreError> {
    const SQL: &str = "select count(*) from api_keys where revoked_at is null";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).fetch_one(db).await?))
}
