//! Who quotes go to.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx, Written};

/// A customer.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct CustomerRow {
    /// Its id.
    pub id: Uuid,
    /// Its name.
    pub name: String,
    /// All that is known, as JSON.
    pub body: String,
    /// Counted from 1 with each change.
    pub version: i64,
    /// When it was added.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// When it last changed.
    #[sqlx(try_from = "Instant")]
    pub changed_at: Timestamp,
}

/// What of a customer changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CustomerChange {
    /// The version it is to be a change of.
    pub expected: i64,
    /// The new name.
    pub name: String,
    /// The new body, as JSON.
    pub body: String,
    /// Now.
    pub at: Timestamp,
}

/// Adds a customer.
///
/// # Errors
/// [`StoreError::Conflict`] when the id is there already.
pub async fn insert(tx: &mut Tx, customer: &CustomerRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into customers (id, name, body, version, created_at, changed_at)
        values ($1, $2, $3, $4, $5, $6)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(customer.id)
            .bind(&customer.name)
            .bind(&customer.body)
            .bind(customer.version)
            .bind(Instant(customer.created_at))
            .bind(Instant(customer.changed_at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The customer with this id. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, id: Uuid) -> Result<Option<CustomerRow>, StoreError> {
    const SQL: &str =
        "select id, name, body, version, created_at, changed_at from customers where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// Changes a customer. [`Written::Missing`] or [`Written::Stale`], and nothing changed, when it is not there at the
/// version expected.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn update(tx: &mut Tx, id: Uuid, change: &CustomerChange) -> Result<Written, StoreError> {
    const SQL: &str = "
        update customers set name = $3, body = $4, changed_at = $5, version = version + 1
        where id = $1 and version = $2
        returning version";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL)
            .bind(id)
            .bind(change.expected)
            .bind(&change.name)
            .bind(&change.body)
            .bind(Instant(change.at))
            .fetch_optional(db)
            .await?
    });
    Ok(match version {
        Some(version) => Written::Done(version),
        None if get(tx, id).await?.is_some() => Written::Stale,
        None => Written::Missing,
    })
}

/// Up to `limit` customers in the order they were added, after the one with id `after`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<CustomerRow>, StoreError> {
    const SQL: &str = "
        select id, name, body, version, created_at, changed_at
        from customers where id > $1 order by id limit $2";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(after.unwrap_or_default()).bind(limit).fetch_all(db).await?
    }))
}
