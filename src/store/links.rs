//! Links that open one thing to whoever holds them, and what was done with them. Only the hash of a token is kept.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::{Instant, NullableInstant};
use super::db::on_backend;
use super::{StoreError, Tx};

/// A link, without its token.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct LinkRow {
    /// Its id.
    pub id: Uuid,
    /// SHA-256 of the token, in lower-case hex. Unique.
    pub hash: String,
    /// What it opens, as a word of `shop::link::Purpose`.
    pub purpose: String,
    /// The quote it opens, where it opens one.
    pub quote_id: Option<Uuid>,
    /// The revision it opens, where it opens a certain one.
    pub revision: Option<i64>,
    /// Whom it was made for, in the shop's words.
    pub label: String,
    /// The key it was made with.
    pub made_by: Uuid,
    /// When it was made.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// From when on it opens nothing.
    #[sqlx(try_from = "Instant")]
    pub expires_at: Timestamp,
    /// When it was revoked, if it was.
    #[sqlx(try_from = "NullableInstant")]
    pub revoked_at: Option<Timestamp>,
}

/// Something done with a link.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct LinkEventRow {
    /// Its id; later ones sort later.
    pub id: Uuid,
    /// The link.
    pub link_id: Uuid,
    /// What was done, as a word of `shop::link::Act`.
    pub what: String,
    /// Who did it, by their own word; empty when nobody said.
    pub name: String,
    /// What they said, or why it was refused.
    pub detail: String,
    /// When.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
}

/// Adds a link.
///
/// # Errors
/// [`StoreError::Conflict`] when the id or the hash is there already; [`StoreError::Dangling`] when the quote or its
/// revision is not.
pub async fn insert(tx: &mut Tx, link: &LinkRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into link_tokens
            (id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(link.id)
            .bind(&link.hash)
            .bind(&link.purpose)
            .bind(link.quote_id)
            .bind(link.revision)
            .bind(&link.label)
            .bind(link.made_by)
            .bind(Instant(link.created_at))
            .bind(Instant(link.expires_at))
            .bind(link.revoked_at.map(Instant))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The link whose token has this hash, in use or not.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn find_by_hash(tx: &mut Tx, hash: &str) -> Result<Option<LinkRow>, StoreError> {
    const SQL: &str = "
        select id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at
        from link_tokens where hash = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(hash).fetch_optional(db).await?))
}

/// A link. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, id: Uuid) -> Result<Option<LinkRow>, StoreError> {
    const SQL: &str = "
        select id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at
        from link_tokens where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// The links of a quote, in the order they were made.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn of_quote(tx: &mut Tx, quote_id: Uuid) -> Result<Vec<LinkRow>, StoreError> {
    const SQL: &str = "
        select id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at
        from link_tokens where quote_id = $1 order by id";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(quote_id).fetch_all(db).await?))
}

/// A page of all links, in the order they were made: those after `after`, at most `limit`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<LinkRow>, StoreError> {
    const SQL: &str = "
        select id, hash, purpose, quote_id, revision, label, made_by, created_at, expires_at, revoked_at
        from link_tokens where id > $1 order by id limit $2";
    let after = after.unwrap_or(Uuid::nil());
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(after).bind(limit).fetch_all(db).await?))
}

/// Takes a link out of use. `false`, and nothing changed, when it is not there or was revoked before.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn revoke(tx: &mut Tx, id: Uuid, at: Timestamp) -> Result<bool, StoreError> {
    const SQL: &str = "update link_tokens set revoked_at = $2 where id = $1 and revoked_at is null";
    let changed = on_backend!(tx, db => {
        sqlx::query(SQL).bind(id).bind(Instant(at)).execute(db).await?.rows_affected()
    });
    Ok(changed == 1)
}

/// Writes down what was done with a link.
///
/// # Errors
/// [`StoreError::Dangling`] when there is no such link.
pub async fn record(tx: &mut Tx, event: &LinkEventRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into link_events (id, link_id, what, name, detail, at)
        values ($1, $2, $3, $4, $5, $6)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(event.id)
            .bind(event.link_id)
            .bind(&event.what)
            .bind(&event.name)
            .bind(&event.detail)
            .bind(Instant(event.at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The latest that was done with a link, latest first.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn events(
    tx: &mut Tx,
    link_id: Uuid,
    limit: i64,
) -> Result<Vec<LinkEventRow>, StoreError> {
    const SQL: &str = "
        select id, link_id, what, name, detail, at
        from link_events where link_id = $1 order by at desc, id desc limit $2";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(link_id).bind(limit).fetch_all(db).await?))
}

/// How often a link was used that way.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn count(tx: &mut Tx, link_id: Uuid, what: &str) -> Result<i64, StoreError> {
    const SQL: &str = "select count(*) from link_events where link_id = $1 and what = $2";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).bind(link_id).bind(what).fetch_one(db).await?))
}
