//! Labour models: how long operations take. A draft may change; a published model never does.

use jiff::Timestamp;
use jiff::civil::Date;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::{Day, Instant, NullableInstant};
use super::db::on_backend;
use super::{StoreError, Tx, Written};

/// A labour model.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct LabourModelRow {
    /// Its id.
    pub id: Uuid,
    /// Its name.
    pub name: String,
    /// `draft` or `published`.
    pub state: String,
    /// The first day it holds.
    #[sqlx(try_from = "Day")]
    pub effective_on: Date,
    /// Where its times come from.
    pub source: String,
    /// When it was added.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// When it was published, if it was.
    #[sqlx(try_from = "NullableInstant")]
    pub published_at: Option<Timestamp>,
    /// Counted from 1 with each change.
    pub version: i64,
    /// The times, as JSON.
    pub body: String,
}

/// Adds a labour model.
///
/// # Errors
/// [`StoreError::Conflict`] when the id is there already.
pub async fn insert(tx: &mut Tx, model: &LabourModelRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into labour_models
            (id, name, state, effective_on, source, created_at, published_at, version, body)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(model.id)
            .bind(&model.name)
            .bind(&model.state)
            .bind(Day(model.effective_on))
            .bind(&model.source)
            .bind(Instant(model.created_at))
            .bind(model.published_at.map(Instant))
            .bind(model.version)
            .bind(&model.body)
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The labour model with this id. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, id: Uuid) -> Result<Option<LabourModelRow>, StoreError> {
    const SQL: &str = "
        select id, name, state, effective_on, source, created_at, published_at, version, body
        from labour_models where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// Up to `limit` labour models in the order they were added, after the one with id `after`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<LabourModelRow>, StoreError> {
    const SQL: &str = "
        select id, name, state, effective_on, source, created_at, published_at, version, body
        from labour_models where id > $1 order by id limit $2";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(after.unwrap_or_default()).bind(limit).fetch_all(db).await?
    }))
}

/// Puts another body in a draft. [`Written::Missing`], [`Written::Stale`] or [`Written::Fixed`], and nothing changed,
/// when there is no draft at the version expected.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn replace_body(
    tx: &mut Tx,
    id: Uuid,
    expected: i64,
    body: &str,
) -> Result<Written, StoreError> {
    const SQL: &str = "
        update labour_models set body = $3, version = version + 1
        where id = $1 and version = $2 and state = 'draft'
        returning version";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL).bind(id).bind(expected).bind(body).fetch_optional(db).await?
    });
    written(tx, id, version).await
}

/// Publishes a draft. [`Written::Missing`], [`Written::Stale`] or [`Written::Fixed`] (published before), and nothing
/// changed, when there is no draft at the version expected.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn publish(
    tx: &mut Tx,
    id: Uuid,
    expected: i64,
    at: Timestamp,
) -> Result<Written, StoreError> {
    const SQL: &str = "
        update labour_models set state = 'published', published_at = $3, version = version + 1
        where id = $1 and version = $2 and state = 'draft'
        returning version";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL).bind(id).bind(expected).bind(Instant(at)).fetch_optional(db).await?
    });
    written(tx, id, version).await
}

/// The published model in force on a day: of those effective by then, the one effective last, and of these the one
/// published last. `None` when there is none.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn in_force(tx: &mut Tx, on: Date) -> Result<Option<LabourModelRow>, StoreError> {
    const SQL: &str = "
        select id, name, state, effective_on, source, created_at, published_at, version, body
        from labour_models
        where state = 'published' and effective_on <= $1
        order by effective_on desc, published_at desc, id desc
        limit 1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(Day(on)).fetch_optional(db).await?))
}

async fn written(tx: &mut Tx, id: Uuid, version: Option<i64>) -> Result<Written, StoreError> {
    if let Some(version) = version {
        return Ok(Written::Done(version));
    }
    let found = get(tx, id).await?;
    Ok(Written::refusal(
        found.as_ref().map(|model| model.state.as_str()),
    ))
}
