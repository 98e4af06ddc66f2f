//! Price lists. A draft may change; a published list never does.

use jiff::Timestamp;
use jiff::civil::Date;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::{Day, Instant, NullableInstant};
use super::db::on_backend;
use super::{StoreError, Tx, Written};

/// A price list, without its items.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct PriceListRow {
    /// Its id.
    pub id: Uuid,
    /// Its name.
    pub name: String,
    /// Whose prices they are.
    pub supplier: String,
    /// The currency of every price in it, by ISO 4217.
    pub currency: String,
    /// `draft` or `published`.
    pub state: String,
    /// The first day its prices hold.
    #[sqlx(try_from = "Day")]
    pub effective_on: Date,
    /// When it was added.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// When it was published, if it was.
    #[sqlx(try_from = "NullableInstant")]
    pub published_at: Option<Timestamp>,
    /// Counted from 1 with each change.
    pub version: i64,
}

/// Adds a price list.
///
/// # Errors
/// [`StoreError::Conflict`] when the id is there already.
pub async fn insert(tx: &mut Tx, list: &PriceListRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into price_lists
            (id, name, supplier, currency, state, effective_on, created_at, published_at, version)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(list.id)
            .bind(&list.name)
            .bind(&list.supplier)
            .bind(&list.currency)
            .bind(&list.state)
            .bind(Day(list.effective_on))
            .bind(Instant(list.created_at))
            .bind(list.published_at.map(Instant))
            .bind(list.version)
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The price list with this id. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, id: Uuid) -> Result<Option<PriceListRow>, StoreError> {
    const SQL: &str = "
        select id, name, supplier, currency, state, effective_on, created_at, published_at, version
        from price_lists where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// Up to `limit` price lists in the order they were added, after the one with id `after`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<PriceListRow>, StoreError> {
    const SQL: &str = "
        select id, name, supplier, currency, state, effective_on, created_at, published_at, version
        from price_lists where id > $1 order by id limit $2";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(after.unwrap_or_default()).bind(limit).fetch_all(db).await?
    }))
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
        update price_lists set state = 'published', published_at = $3, version = version + 1
        where id = $1 and version = $2 and state = 'draft'
        returning version";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL).bind(id).bind(expected).bind(Instant(at)).fetch_optional(db).await?
    });
    written(tx, id, version).await
}

/// The published list in force on a day: of those effective by then, the one effective last, and of these the one
/// published last. `None` when there is none. With a `currency`, only lists in it count.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn in_force(
    tx: &mut Tx,
    on: Date,
    currency: Option<&str>,
) -> Result<Option<PriceListRow>, StoreError> {
    const SQL: &str = "
        select id, name, supplier, currency, state, effective_on, created_at, published_at, version
        from price_lists
        where state = 'published' and effective_on <= $1 and ($2 is null or currency = $2)
        order by effective_on desc, published_at desc, id desc
        limit 1";
    Ok(
        on_backend!(tx, db => sqlx::query_as(SQL).bind(Day(on)).bind(currency).fetch_optional(db).await?),
    )
}

/// Marks a draft as changed, for a change of its items; keeps others from changing it until the transaction ends.
pub(super) async fn touch(tx: &mut Tx, id: Uuid, expected: i64) -> Result<Written, StoreError> {
    const SQL: &str = "
        update price_lists set version = version + 1
        where id = $1 and version = $2 and state = 'draft'
        returning version";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL).bind(id).bind(expected).fetch_optional(db).await?
    });
    written(tx, id, version).await
}

async fn written(tx: &mut Tx, id: Uuid, version: Option<i64>) -> Result<Written, StoreError> {
    if let Some(version) = version {
        return Ok(Written::Done(version));
    }
    let found = get(tx, id).await?;
    Ok(Written::refusal(
        found.as_ref().map(|list| list.state.as_str()),
    ))
}
