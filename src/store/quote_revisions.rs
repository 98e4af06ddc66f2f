//! Revisions of quotes. A draft may change; of an issued one only its state and what goes with that ever changes,
//! and the database itself holds this with triggers.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;
use rust_decimal::Decimal;
use sqlx::{FromRow, QueryBuilder};
use uuid::Uuid;

use super::columns::{Day, Exact, Instant, NullableDay};
use super::db::on_backend;
use super::quotes::Wanted;
use super::{StoreError, Tx, Written, quotes};

/// A revision of a quote.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct RevisionRow {
    /// The quote it is a revision of.
    pub quote_id: Uuid,
    /// Counted from 1 in its quote.
    pub revision: i64,
    /// `draft`, `issued`, `accepted`, `declined`, `withdrawn`, `expired` or `superseded`.
    pub state: String,
    /// All it was made from and all that came of it, as JSON.
    pub frozen: String,
    /// The currency of its totals, by ISO 4217.
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
    /// The net by cost head, as JSON.
    pub heads: String,
    /// The last day it may be accepted.
    #[sqlx(try_from = "NullableDay")]
    pub valid_until: Option<Date>,
    /// The day it was issued.
    #[sqlx(try_from = "NullableDay")]
    pub issued_on: Option<Date>,
    /// The day it was accepted.
    #[sqlx(try_from = "NullableDay")]
    pub accepted_on: Option<Date>,
    /// Who accepted it.
    pub accepted_by: Option<String>,
    /// The customer's purchase order number.
    pub po_number: Option<String>,
    /// Why it was declined or withdrawn.
    pub reason: Option<String>,
    /// What was ordered when it was accepted, as JSON; revisions accepted by earlier programs have none.
    pub ordered: Option<String>,
    /// The price list it was made from.
    pub price_list_id: Option<Uuid>,
    /// The labour model it was made from.
    pub labour_model_id: Option<Uuid>,
    /// When it was made.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
    /// When it last changed.
    #[sqlx(try_from = "Instant")]
    pub changed_at: Timestamp,
}

/// A move of a revision to another state. What is `None` stays as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateMove {
    /// The quote.
    pub quote_id: Uuid,
    /// The version of the quote it is to be a move of.
    pub expected: i64,
    /// The revision that moves.
    pub revision: i64,
    /// The revision of the quote that is current from then on; stays when none.
    pub current: Option<i64>,
    /// The new state; never `draft`.
    pub state: String,
    /// Now.
    pub at: Timestamp,
    /// The last day it may be accepted.
    pub valid_until: Option<Date>,
    /// The day it was issued.
    pub issued_on: Option<Date>,
    /// The day it was accepted.
    pub accepted_on: Option<Date>,
    /// Who accepted it.
    pub accepted_by: Option<String>,
    /// The customer's purchase order number.
    pub po_number: Option<String>,
    /// Why it was declined or withdrawn.
    pub reason: Option<String>,
    /// What was ordered, as JSON; once said it never changes.
    pub ordered: Option<String>,
}

/// Adds a revision and makes it the current one. [`Written::Missing`] or [`Written::Stale`], and nothing changed,
/// when the quote is not there at the version expected. The revision before it stays in its state.
///
/// # Errors
/// [`StoreError::Conflict`] when the quote has this revision already; [`StoreError::Dangling`] when it names a price
/// list or labour model that is not there.
pub async fn insert(
    tx: &mut Tx,
    expected: i64,
    revision: &RevisionRow,
) -> Result<Written, StoreError> {
    let advanced = quotes::advance(tx, revision.quote_id, expected, revision.revision).await?;
    if matches!(advanced, Written::Done(_)) {
        add(tx, revision).await?;
    }
    Ok(advanced)
}

/// Adds the row alone.
pub(super) async fn add(tx: &mut Tx, revision: &RevisionRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into quote_revisions
            (quote_id, revision, state, currency, net, tax, gross, heads, valid_until, issued_on,
             accepted_on, accepted_by, po_number, reason, ordered, price_list_id, labour_model_id, created_at, changed_at)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19)";
    const RECORD: &str =
        "insert into quote_records (quote_id, revision, content) values ($1, $2, $3)";
    on_backend!(&mut *tx, db => {
        sqlx::query(SQL)
            .bind(revision.quote_id)
            .bind(revision.revision)
            .bind(&revision.state)
            .bind(&revision.currency)
            .bind(Exact(revision.net))
            .bind(Exact(revision.tax))
            .bind(Exact(revision.gross))
            .bind(&revision.heads)
            .bind(revision.valid_until.map(Day))
            .bind(revision.issued_on.map(Day))
            .bind(revision.accepted_on.map(Day))
            .bind(&revision.accepted_by)
            .bind(&revision.po_number)
            .bind(&revision.reason)
            .bind(&revision.ordered)
            .bind(revision.price_list_id)
            .bind(revision.labour_model_id)
            .bind(Instant(revision.created_at))
            .bind(Instant(revision.changed_at))
            .execute(db)
            .await?;
    });
    on_backend!(tx, db => {
        sqlx::query(RECORD)
            .bind(revision.quote_id)
            .bind(revision.revision)
            .bind(&revision.frozen)
            .execute(db)
            .await?;
    });
    Ok(())
}

/// A revision of a quote. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(
    tx: &mut Tx,
    quote_id: Uuid,
    revision: i64,
) -> Result<Option<RevisionRow>, StoreError> {
    const SQL: &str = "
        select r.quote_id, r.revision, state, content as frozen, currency, net, tax, gross, heads, valid_until, issued_on,
               accepted_on, accepted_by, po_number, reason, ordered, price_list_id, labour_model_id, created_at, changed_at
        from quote_revisions r
        join quote_records c on c.quote_id = r.quote_id and c.revision = r.revision
        where r.quote_id = $1 and r.revision = $2";
    Ok(
        on_backend!(tx, db => sqlx::query_as(SQL).bind(quote_id).bind(revision).fetch_optional(db).await?),
    )
}

/// The number of the last revision of a quote; 0 when there is none.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn last(tx: &mut Tx, quote_id: Uuid) -> Result<i64, StoreError> {
    const SQL: &str = "select coalesce(max(revision), 0) from quote_revisions where quote_id = $1";
    Ok(on_backend!(tx, db => sqlx::query_scalar(SQL).bind(quote_id).fetch_one(db).await?))
}

/// The newest revision of a quote that was issued. `None` when none was.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn newest_issued(tx: &mut Tx, quote_id: Uuid) -> Result<Option<RevisionRow>, StoreError> {
    const SQL: &str = "
        select r.quote_id, r.revision, state, content as frozen, currency, net, tax, gross, heads, valid_until, issued_on,
               accepted_on, accepted_by, po_number, reason, ordered, price_list_id, labour_model_id, created_at, changed_at
        from quote_revisions r
        join quote_records c on c.quote_id = r.quote_id and c.revision = r.revision
        where r.quote_id = $1 and issued_on is not null
        order by r.revision desc limit 1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(quote_id).fetch_optional(db).await?))
}

/// Puts the content of `draft` in place of what the same revision holds: frozen text, totals, validity, sources and
/// the instant of change. [`Written::Missing`], [`Written::Stale`] or [`Written::Fixed`] (no longer a draft), and
/// nothing changed, when there is no draft and the quote at the version expected.
///
/// # Errors
/// [`StoreError::Dangling`] when it names a price list or labour model that is not there.
pub async fn update_draft(
    tx: &mut Tx,
    expected: i64,
    draft: &RevisionRow,
) -> Result<Written, StoreError> {
    const SQL: &str = "
        update quote_revisions set
            currency = $3, net = $4, tax = $5, gross = $6, heads = $7, valid_until = $8,
            price_list_id = $9, labour_model_id = $10, changed_at = $11
        where quote_id = $1 and revision = $2 and state = 'draft'";
    const RECORD: &str =
        "update quote_records set content = $3 where quote_id = $1 and revision = $2";
    // Asked first, so that a refusal changes nothing; a revision that left the draft never comes back to it.
    match get(tx, draft.quote_id, draft.revision).await? {
        None => return Ok(Written::Missing),
        Some(found) if found.state != "draft" => return Ok(Written::Fixed),
        Some(_) => {}
    }
    let wanted = Wanted {
        quote_id: draft.quote_id,
        version: expected,
        revision: draft.revision,
        current: None,
    };
    let touched = quotes::touch(tx, &[wanted]).await?;
    let Some(version) = touched.into_values().next() else {
        return Ok(Written::Stale);
    };
    on_backend!(&mut *tx, db => {
        sqlx::query(RECORD)
            .bind(draft.quote_id)
            .bind(draft.revision)
            .bind(&draft.frozen)
            .execute(db)
            .await?;
    });
    let changed = on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(draft.quote_id)
            .bind(draft.revision)
            .bind(&draft.currency)
            .bind(Exact(draft.net))
            .bind(Exact(draft.tax))
            .bind(Exact(draft.gross))
            .bind(&draft.heads)
            .bind(draft.valid_until.map(Day))
            .bind(draft.price_list_id)
            .bind(draft.labour_model_id)
            .bind(Instant(draft.changed_at))
            .execute(db)
            .await?
            .rows_affected()
    });
    // The version had not moved, so nobody can have issued it since it was asked.
    if changed == 1 {
        Ok(Written::Done(version))
    } else {
        Err(sqlx::Error::RowNotFound.into())
    }
}

/// Moves revisions of different quotes to other states; the versions that these quotes came to. A quote
/// that does not have the revision, or is not at the version expected, is not among them, and nothing of it changed.
/// Which moves make sense is for the caller.
///
/// # Errors
/// [`StoreError::Refused`] for a state that does not exist, or a move back to draft; drop the transaction then.
pub async fn move_states(
    tx: &mut Tx,
    moves: &[StateMove],
) -> Result<BTreeMap<Uuid, i64>, StoreError> {
    const MOVES: &str = "
        with moves (of_quote, of_revision, to_state, at, until, issued, accepted, taker, po, why, taken) as (";
    const SQL: &str = ")
        update quote_revisions set
            state = to_state, changed_at = at,
            valid_until = coalesce(until, valid_until), issued_on = coalesce(issued, issued_on),
            accepted_on = coalesce(accepted, accepted_on), accepted_by = coalesce(taker, accepted_by),
            po_number = coalesce(po, po_number), reason = coalesce(why, reason),
            ordered = coalesce(taken, ordered)
        from moves where quote_id = of_quote and revision = of_revision";
    let wanted: Vec<Wanted> = moves.iter().map(StateMove::wanted).collect();
    let versions = quotes::touch(tx, &wanted).await?;
    if versions.is_empty() {
        return Ok(versions);
    }
    let moves = moves
        .iter()
        .filter(|to| versions.contains_key(&to.quote_id));
    let changed = on_backend!(tx, db => {
        let mut update = QueryBuilder::new(MOVES);
        update.push_values(moves, |mut row, to| {
            row.push_bind(to.quote_id)
                .push_bind(to.revision)
                .push_bind(&to.state)
                .push_bind(Instant(to.at))
                .push_bind(to.valid_until.map(Day))
                .push_bind(to.issued_on.map(Day))
                .push_bind(to.accepted_on.map(Day))
                .push_bind(&to.accepted_by)
                .push_bind(&to.po_number)
                .push_bind(&to.reason)
                .push_bind(&to.ordered);
        });
        update.push(SQL);
        update.build().execute(db).await?.rows_affected()
    });
    // `touch` found the revisions, and revisions are never deleted.
    if changed == versions.len() as u64 {
        Ok(versions)
    } else {
        Err(sqlx::Error::RowNotFound.into())
    }
}

impl StateMove {
    const fn wanted(&self) -> Wanted {
        Wanted {
            quote_id: self.quote_id,
            version: self.expected,
            revision: self.revision,
            current: self.current,
        }
    }
}
