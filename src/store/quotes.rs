//! Quotes. A quote has a number, and revisions of which one is current; its version counts every change to it or to
//! any of its revisions.

use std::collections::BTreeMap;

use jiff::Timestamp;
use sqlx::{FromRow, QueryBuilder};
use uuid::Uuid;

use super::columns::Instant;
use super::db::{PATIENCE, on_backend};
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
    #[sqlx(rename = "quote_created_at", try_from = "Instant")]
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

/// A quote and its current revision.
#[derive(FromRow)]
struct Current {
    #[sqlx(flatten)]
    quote: QuoteRow,
    #[sqlx(flatten)]
    revision: RevisionRow,
}

/// The quote with this number and its current revision. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, number: &str) -> Result<Option<(QuoteRow, RevisionRow)>, StoreError> {
    Ok(get_all(tx, &[number]).await?.pop())
}

/// The quotes with these numbers, one at least, and their current revisions, in the order of their ids. What is not
/// there is left out.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get_all(
    tx: &mut Tx,
    numbers: &[impl AsRef<str>],
) -> Result<Vec<(QuoteRow, RevisionRow)>, StoreError> {
    const SQL: &str = "
        select q.id, q.number, q.customer, q.project, q.created_at as quote_created_at, q.current_revision, q.version,
               r.quote_id, r.revision, state, content as frozen, currency, net, tax, gross, heads, valid_until, issued_on,
               accepted_on, accepted_by, po_number, reason, ordered, price_list_id, labour_model_id, r.created_at, changed_at
        from quotes q
        join quote_revisions r on r.quote_id = q.id and r.revision = q.current_revision
        join quote_records c on c.quote_id = q.id and c.revision = q.current_revision
        where q.number in (";
    let rows: Vec<Current> = on_backend!(tx, db => {
        let mut select = QueryBuilder::new(SQL);
        let mut list = select.separated(", ");
        for number in numbers {
            list.push_bind(number.as_ref());
        }
        select.push(") order by q.id");
        select.build_query_as().fetch_all(db).await?
    });
    let both = rows.into_iter().map(|row| (row.quote, row.revision));
    Ok(both.collect())
}

/// Keeps others from changing the quotes with these numbers until the transaction ends. Postgres locks their rows in the
/// order of their ids, so that of two who change several, one waits for the other, and never each for the other; it
/// waits no longer than SQLite does, whose one write lock is held already. Call it before they are read.
///
/// # Errors
/// [`StoreError::Busy`] when others held one of them, or the log, too long.
pub async fn hold(tx: &mut Tx, numbers: &[String]) -> Result<(), StoreError> {
    const WAIT: &str = "select set_config('lock_timeout', $1, true)";
    const SQL: &str = "
        select id from quotes where number = any($1) order by id for no key update";
    if let Tx::Postgres(db) = tx {
        let patience = format!("{}ms", PATIENCE.as_millis());
        sqlx::query(WAIT).bind(patience).execute(&mut **db).await?;
        sqlx::query(SQL).bind(numbers).execute(&mut **db).await?;
    }
    Ok(())
}

/// Whether there is a quote with this number.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn is_there(tx: &mut Tx, number: &str) -> Result<bool, StoreError> {
    const SQL: &str = "select count(*) from quotes where number = $1";
    let count: i64 =
        on_backend!(tx, db => sqlx::query_scalar(SQL).bind(number).fetch_one(db).await?);
    Ok(count > 0)
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

/// A quote as it is to be found to change it.
pub(super) struct Wanted {
    pub quote_id: Uuid,
    /// The version it is to be at.
    pub version: i64,
    /// A revision it is to have.
    pub revision: i64,
    /// The revision that is current from then on; stays when none.
    pub current: Option<i64>,
}

/// Marks those quotes as changed that are as wanted; the versions they came to. Keeps others from changing them until
/// the transaction ends.
pub(super) async fn touch(
    tx: &mut Tx,
    wanted: &[Wanted],
) -> Result<BTreeMap<Uuid, i64>, StoreError> {
    const WANTED: &str = "with wanted (of_quote, expected, of_revision, to_current) as (";
    const SQL: &str = ")
        update quotes set version = version + 1, current_revision = coalesce(to_current, current_revision)
        from wanted
        where id = of_quote and version = expected
          and exists (select 1 from quote_revisions r where r.quote_id = of_quote and r.revision = of_revision)
        returning id, version";
    if wanted.is_empty() {
        return Ok(BTreeMap::new());
    }
    let touched: Vec<(Uuid, i64)> = on_backend!(tx, db => {
        let mut update = QueryBuilder::new(WANTED);
        update.push_values(wanted, |mut row, wanted| {
            row.push_bind(wanted.quote_id)
                .push_bind(wanted.version)
                .push_bind(wanted.revision)
                .push_bind(wanted.current);
        });
        update.push(SQL);
        update.build_query_as().fetch_all(db).await?
    });
    Ok(touched.into_iter().collect())
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
