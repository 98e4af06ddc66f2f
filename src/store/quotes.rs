//! Quotes. A quote has a number, and revisions of which one is current; its version counts every change to it or to
//! any of its revisions.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::Instant;
use super::db::on_backend;
use super::quote_revisions::{self, RevisionRow};
use super::{StoreError, Tx, Written};

/// A quote, without its revisions.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct QuoteRow {
    /// Its id.
    pub id: Uuid,
    /// Its number, unique.
    pub number: String,
    /// The name of who it goes to.
    pub customer: String,
    /// The project it is for.
    pub project: String,
    /// When it was made.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// The revision that is current.
    pub current_revision: i64,
    /// Counted from 1 with each change.
    pub version: i64,
}

/// A text as it is searched: the two databases differ in what is one letter in two cases, so this program decides.
pub(super) fn folded(text: &str) -> String {
    text.to_lowercase()
}

/// Adds a quote with its first revision.
///
/// # Errors
/// [`StoreError::Conflict`] when the id or the number is there already; [`StoreError::Dangling`] when the revision
/// names another quote, or a price list or labour model that is not there.
pub async fn insert(tx: &mut Tx, quote: &QuoteRow, first: &RevisionRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into quotes
            (id, number, customer, customer_folded, project, project_folded, created_at, current_revision, version)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    on_backend!(&mut *tx, db => {
        sqlx::query(SQL)
            .bind(quote.id)
            .bind(&quote.number)
            .bind(&quote.customer)
            .bind(folded(&quote.customer))
            .bind(&quote.project)
            .bind(folded(&quote.project))
            .bind(Instant(quote.created_at))
            .bind(quote.current_revision)
            .bind(quote.version)
            .execute(db)
            .await?;
    });
    quote_revisions::add(tx, first).await
}

/// The quote with this number and its current revision. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, number: &str) -> Result<Option<(QuoteRow, RevisionRow)>, StoreError> {
    const SQL: &str = "
        select id, number, customer, project, created_at, current_revision, version
        from quotes where number = $1";
    let found: Option<QuoteRow> =
        on_backend!(&mut *tx, db => sqlx::query_as(SQL).bind(number).fetch_optional(db).await?);
    let Some(quote) = found else {
        return Ok(None);
    };
    // Revisions are never deleted, so the one named current is there.
    let revision = quote_revisions::get(tx, quote.id, quote.current_revision).await?;
    Ok(Some((quote, revision.ok_or(sqlx::Error::RowNotFound)?)))
}

/// The number of a quote. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn number(tx: &mut Tx, id: Uuid) -> Result<Option<String>, StoreError> {
    const SQL: &str = "select number from quotes where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).bind(id).fetch_optional(db).await?))
}

/// Gives a quote another customer and project, as a draft that is written anew does. It counts as no change of its own:
/// call it in the transaction that changes the draft. `false` when the quote is not there.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn readdress(
    tx: &mut Tx,
    id: Uuid,
    customer: &str,
    project: &str,
) -> Result<bool, StoreError> {
    const SQL: &str = "
        update quotes set customer = $2, customer_folded = $3, project = $4, project_folded = $5 where id = $1";
    let changed = on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(id)
            .bind(customer)
            .bind(folded(customer))
            .bind(project)
            .bind(folded(project))
            .execute(db)
            .await?
            .rows_affected()
    });
    Ok(changed == 1)
}

/// Marks a quote as changed, if it has `revision` and is at the version expected; keeps others from changing it
/// until the transaction ends.
pub(super) async fn touch(
    tx: &mut Tx,
    quote_id: Uuid,
    expected: i64,
    revision: i64,
) -> Result<Option<i64>, StoreError> {
    const SQL: &str = "
        update quotes set version = version + 1
        where id = $1 and version = $2
          and exists (select 1 from quote_revisions r where r.quote_id = $1 and r.revision = $3)
        returning version";
    Ok(on_backend!(tx, db => {
        sqlx::query_scalar(SQL).bind(quote_id).bind(expected).bind(revision).fetch_optional(db).await?
    }))
}

/// Makes a revision the current one, as [`touch`] does for a change within one.
pub(super) async fn advance(
    tx: &mut Tx,
    quote_id: Uuid,
    expected: i64,
    to: i64,
) -> Result<Written, StoreError> {
    const SQL: &str = "
        update quotes set version = version + 1, current_revision = $3
        where id = $1 and version = $2
        returning version";
    const THERE: &str = "select count(*) from quotes where id = $1";
    let version: Option<i64> = on_backend!(&mut *tx, db => {
        sqlx::query_scalar(SQL).bind(quote_id).bind(expected).bind(to).fetch_optional(db).await?
    });
    if let Some(version) = version {
        return Ok(Written::Done(version));
    }
    let there: i64 =
        on_backend!(tx, db => sqlx::query_scalar(THERE).bind(quote_id).fetch_one(db).await?);
    Ok(if there == 0 {
        Written::Missing
    } else {
        Written::Stale
    })
}
