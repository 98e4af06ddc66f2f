//! Lists of quotes, without what they froze.

use jiff::Timestamp;
use jiff::civil::Date;
use rust_decimal::Decimal;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::{Day, Exact, Instant, NullableDay};
use super::db::on_backend;
use super::quotes::folded;
use super::{StoreError, Tx};

/// A quote with one of its revisions, as lists show it.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct QuoteSummary {
    /// The id of the quote.
    pub id: Uuid,
    /// Its number.
    pub number: String,
    /// The name of who it goes to.
    pub customer: String,
    /// The project it is for.
    pub project: String,
    /// When the quote was made.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// The version of the quote.
    pub version: i64,
    /// The revision shown.
    pub revision: i64,
    /// The state of the revision.
    pub state: String,
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
    /// The day the revision was issued.
    #[sqlx(try_from = "NullableDay")]
    pub issued_on: Option<Date>,
    /// The last day it may be accepted.
    #[sqlx(try_from = "NullableDay")]
    pub valid_until: Option<Date>,
    /// When the revision last changed.
    #[sqlx(try_from = "Instant")]
    pub changed_at: Timestamp,
}

/// Which quotes a list shows. What is `None` does not narrow it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct QuoteFilter {
    /// The state of the current revision.
    pub state: Option<String>,
    /// A part of the customer's name, in any case.
    pub customer: Option<String>,
    /// A part of the project's name, in any case.
    pub project: Option<String>,
    /// A part of number, customer, project or purchase order number, in any case.
    pub text: Option<String>,
    /// The first and the last day of issue.
    pub issued: (Option<Date>, Option<Date>),
    /// The least and the most that the total with tax may be.
    pub gross: (Option<Decimal>, Option<Decimal>),
}

/// The order of a list.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Order {
    /// Oldest first.
    #[default]
    OldestFirst,
    /// Newest first.
    NewestFirst,
}

/// Which part of a list is asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Page {
    /// The order.
    pub order: Order,
    /// The id of the last row of the page before.
    pub after: Option<Uuid>,
    /// At most so many rows.
    pub limit: i64,
}

macro_rules! summaries {
    ($rest:literal) => {
        concat!(
            "select q.id, q.number, q.customer, q.project, q.created_at, q.version,
                    r.revision, r.state, r.currency, r.net, r.tax, r.gross, r.issued_on, r.valid_until, r.changed_at
             from quotes q join quote_revisions r on r.quote_id = q.id ",
            $rest
        )
    };
}

/// A page of quotes with their current revisions, in the order of their ids.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    filter: &QuoteFilter,
    page: Page,
) -> Result<Vec<QuoteSummary>, StoreError> {
    const OLDEST_FIRST: &str = summaries!(
        "where r.revision = q.current_revision and ($1 is null or r.state = $1)
           and q.customer_folded like $2 escape '\\' and q.project_folded like $3 escape '\\'
           and ($6 is null or r.issued_on >= $6) and ($7 is null or r.issued_on <= $7)
           and ($8 is null or cast(r.gross as numeric) >= cast($8 as numeric))
           and ($9 is null or cast(r.gross as numeric) <= cast($9 as numeric))
           and (q.customer_folded like $10 escape '\\' or q.project_folded like $10 escape '\\'
               or lower(q.number) like $10 escape '\\' or lower(coalesce(r.po_number, '')) like $10 escape '\\')
           and q.id > $4 order by q.id limit $5"
    );
    const NEWEST_FIRST: &str = summaries!(
        "where r.revision = q.current_revision and ($1 is null or r.state = $1)
           and q.customer_folded like $2 escape '\\' and q.project_folded like $3 escape '\\'
           and ($6 is null or r.issued_on >= $6) and ($7 is null or r.issued_on <= $7)
           and ($8 is null or cast(r.gross as numeric) >= cast($8 as numeric))
           and ($9 is null or cast(r.gross as numeric) <= cast($9 as numeric))
           and (q.customer_folded like $10 escape '\\' or q.project_folded like $10 escape '\\'
               or lower(q.number) like $10 escape '\\' or lower(coalesce(r.po_number, '')) like $10 escape '\\')
           and q.id < $4 order by q.id desc limit $5"
    );
    let (sql, after) = match page.order {
        Order::OldestFirst => (OLDEST_FIRST, page.after.unwrap_or(Uuid::nil())),
        Order::NewestFirst => (NEWEST_FIRST, page.after.unwrap_or(Uuid::max())),
    };
    Ok(on_backend!(tx, db => {
        sqlx::query_as(sql)
            .bind(&filter.state)
            .bind(anywhere(filter.customer.as_deref()))
            .bind(anywhere(filter.project.as_deref()))
            .bind(after)
            .bind(page.limit)
            .bind(filter.issued.0.map(Day))
            .bind(filter.issued.1.map(Day))
            .bind(filter.gross.0.map(Exact))
            .bind(filter.gross.1.map(Exact))
            .bind(anywhere(filter.text.as_deref()))
            .fetch_all(db)
            .await?
    }))
}

/// Up to `limit` issued revisions whose validity ended before `day`, those that ended first first: due to expire.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn due_to_expire(
    tx: &mut Tx,
    day: Date,
    limit: i64,
) -> Result<Vec<QuoteSummary>, StoreError> {
    const SQL: &str = summaries!(
        "where r.state = 'issued' and r.valid_until < $1
         order by r.valid_until, q.id, r.revision limit $2"
    );
    let day = Day(day);
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(day).bind(limit).fetch_all(db).await?))
}

/// A `like` pattern for a part anywhere in a folded text. Both sides are in one case already, so it does not matter
/// that one database's `like` minds case and the other's does not.
fn anywhere(part: Option<&str>) -> String {
    let mut pattern = String::from("%");
    if let Some(part) = part {
        for letter in folded(part).chars() {
            if matches!(letter, '%' | '_' | '\\') {
                pattern.push('\\');
            }
            pattern.push(letter);
        }
        pattern.push('%');
    }
    pattern
}
