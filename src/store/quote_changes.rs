//! The log of quote changes that accounting pulls from. Rows are only ever added.
//!
//! Numbers of changes appear in the order of their commits (see [`counters::next`]), so once a reader has seen a
//! head, no change at or below it can appear later. A pull fixes `upto` to the head it found, pages through what
//! lies between, and the next pull starts at `upto`: nothing is missed and nothing repeated, whatever writers do.

use jiff::Timestamp;
use jiff::civil::Date;
use rust_decimal::Decimal;
use sqlx::{FromRow, QueryBuilder};
use uuid::Uuid;

use super::columns::{Day, Exact, Instant, NullableDay};
use super::db::on_backend;
use super::{StoreError, Tx, counters};

/// What a revision of a quote became.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct QuoteChange {
    /// The quote.
    pub quote_id: Uuid,
    /// Its number.
    pub number: String,
    /// The revision.
    pub revision: i64,
    /// Its state from now on.
    pub state: String,
    /// The name of the customer.
    pub customer: String,
    /// The project.
    pub project: String,
    /// The currency of the totals, by ISO 4217.
    pub currency: String,
    /// The total before tax.
    #[sqlx(try_from = "Exact")]
    pub net: Decimal,
    /// The tax.
    #[sqlx(try_from = "Exact")]
    pub tax: Decimal,
    /// The total with tax.
    #[sqlx(try_from = "Exact")]
    pub gross: Decimal,
    /// The day it was issued.
    #[sqlx(try_from = "NullableDay")]
    pub issued_on: Option<Date>,
    /// The day it was accepted.
    #[sqlx(try_from = "NullableDay")]
    pub accepted_on: Option<Date>,
    /// The customer's purchase order number.
    pub po_number: Option<String>,
    /// The net by cost head, as JSON.
    pub heads: String,
    /// Each tax with its rate, as JSON; `None` in what earlier programs wrote.
    pub taxes: Option<String>,
    /// When it changed.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
}

/// A change with its number in the log.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct NumberedChange {
    /// Its number, from 1 without gaps.
    pub seq: i64,
    /// The change.
    #[sqlx(flatten)]
    pub change: QuoteChange,
}

/// Which revisions, by their latest change. What is empty or `None` does not narrow it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ChangeFilter {
    /// Only in one of these states.
    pub states: Vec<String>,
    /// The first and the last day of issue.
    pub issued: (Option<Date>, Option<Date>),
    /// The first and the last day of acceptance.
    pub accepted: (Option<Date>, Option<Date>),
}

/// Which part of the log is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pull {
    /// Only what changed after this number: where the last pull ended, or 0.
    pub since: i64,
    /// The log as it stood at this number: the head at the start of the pull.
    pub upto: i64,
    /// The number of the last row of the page before, or 0.
    pub after: i64,
    /// Only these revisions.
    pub filter: ChangeFilter,
    /// At most so many rows.
    pub limit: i64,
}

/// Adds changes, one at least, with consecutive numbers; the first of these. Call it last in the transaction: until
/// that ends, others who change quotes wait.
///
/// # Errors
/// [`StoreError::Dangling`] when a revision is not there.
pub async fn append(tx: &mut Tx, changes: &[QuoteChange]) -> Result<i64, StoreError> {
    const SQL: &str = "
        insert into quote_changes
            (seq, quote_id, number, revision, state, customer, project, currency, net, tax, gross,
             issued_on, accepted_on, po_number, heads, taxes, at) ";
    let first = counters::take(tx, "quote_change", changes.len() as i64).await?;
    on_backend!(tx, db => {
        let mut insert = QueryBuilder::new(SQL);
        insert.push_values((first..).zip(changes), |mut row, (seq, change)| {
            row.push_bind(seq)
                .push_bind(change.quote_id)
                .push_bind(&change.number)
                .push_bind(change.revision)
                .push_bind(&change.state)
                .push_bind(&change.customer)
                .push_bind(&change.project)
                .push_bind(&change.currency)
                .push_bind(Exact(change.net))
                .push_bind(Exact(change.tax))
                .push_bind(Exact(change.gross))
                .push_bind(change.issued_on.map(Day))
                .push_bind(change.accepted_on.map(Day))
                .push_bind(&change.po_number)
                .push_bind(&change.heads)
                .push_bind(&change.taxes)
                .push_bind(Instant(change.at));
        });
        insert.build().execute(db).await?;
    });
    Ok(first)
}

/// The number of the latest change; 0 when there is none.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn head(tx: &mut Tx) -> Result<i64, StoreError> {
    const SQL: &str = "select coalesce(max(seq), 0) from quote_changes";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).fetch_one(db).await?))
}

/// The number to pull since, to miss no change made at `instant` or later. Clocks of several instances may differ, so
/// some changes a little before it may come along.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn since(tx: &mut Tx, instant: Timestamp) -> Result<i64, StoreError> {
    const SQL: &str = "
        select coalesce(
            (select min(seq) - 1 from quote_changes where at >= $1),
            (select max(seq) from quote_changes),
            0)";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).bind(Instant(instant)).fetch_one(db).await?))
}

/// A page of a pull: each revision at most once, with its latest change up to `upto`, and only if that came after
/// `since`; in the order of their numbers.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(tx: &mut Tx, pull: &Pull) -> Result<Vec<NumberedChange>, StoreError> {
    // States are plain words, so they can be looked up in one text, which both databases can bind; neither can bind
    // a list the same way.
    const SQL: &str = "
        select c.seq, c.quote_id, c.number, c.revision, c.state, c.customer, c.project, c.currency, c.net, c.tax,
               c.gross, c.issued_on, c.accepted_on, c.po_number, c.heads, c.taxes, c.at
        from quote_changes c
        where c.seq > $1 and c.seq <= $2
          and ($3 is null or $3 like '%,' || c.state || ',%')
          and ($5 is null or c.issued_on >= $5) and ($6 is null or c.issued_on <= $6)
          and ($7 is null or c.accepted_on >= $7) and ($8 is null or c.accepted_on <= $8)
          and not exists (
              select 1 from quote_changes later
              where later.quote_id = c.quote_id and later.revision = c.revision
                and later.seq > c.seq and later.seq <= $2)
        order by c.seq
        limit $4";
    let ChangeFilter {
        states,
        issued,
        accepted,
    } = &pull.filter;
    let states = (!states.is_empty()).then(|| format!(",{},", states.join(",")));
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL)
            .bind(pull.since.max(pull.after))
            .bind(pull.upto)
            .bind(states)
            .bind(pull.limit)
            .bind(issued.0.map(Day))
            .bind(issued.1.map(Day))
            .bind(accepted.0.map(Day))
            .bind(accepted.1.map(Day))
            .fetch_all(db)
            .await?
    }))
}
