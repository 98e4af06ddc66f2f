//! What was done, entry by entry. Entries are only added.

use jiff::Timestamp;
use sqlx::{FromRow, QueryBuilder};
use uuid::Uuid;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx, counters};

/// The counter that numbers entries.
const NUMBERS: &str = "audit_entry";

/// An entry.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct AuditRow {
    /// Its number, from 1 without gaps.
    pub number: i64,
    /// When it was done.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
    /// What kind of actor did it, as a word of `shop::audit::Actor`.
    pub actor: String,
    /// The key or link it was done with.
    pub actor_id: Option<Uuid>,
    /// What the actor is called.
    pub actor_label: String,
    /// What its key may do: words with a space between.
    pub actor_scopes: String,
    /// What was done, as a word of `shop::audit::Deed`.
    pub deed: String,
    /// What kind of thing it was done to.
    pub subject: String,
    /// The id or number of that thing.
    pub subject_id: String,
    /// The version or revision it came to.
    pub subject_version: Option<i64>,
    /// What changed, as canonical JSON.
    pub detail: String,
    /// The hash of the entry before.
    pub previous: String,
    /// Its own hash.
    pub hash: String,
}

/// Which entries. What is `None` does not narrow it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AuditFilter {
    /// Only later ones than this number.
    pub after: i64,
    /// The key or link they were done with.
    pub actor_id: Option<Uuid>,
    /// What was done.
    pub deed: Option<String>,
    /// The id or number of what it was done to.
    pub subject_id: Option<String>,
    /// Done at this instant or later.
    pub from: Option<Timestamp>,
    /// Done before this instant.
    pub to: Option<Timestamp>,
}

/// The number of the first of the next `count` entries, and the hash of the one before it; `None` before the very
/// first. Until the transaction ends, others who write an entry wait.
///
/// # Errors
/// [`StoreError::Busy`] when others were in the way too long.
pub async fn next(tx: &mut Tx, count: i64) -> Result<(i64, Option<String>), StoreError> {
    const SQL: &str = "select hash from audit_entries order by number desc limit 1";
    // The counter first: only once it is held does nobody else add an entry.
    let number = counters::take(tx, NUMBERS, count).await?;
    let hash = on_backend!(tx, db => sqlx::query_scalar(SQL).fetch_optional(db).await?);
    Ok((number, hash))
}

/// The number given to the latest entry, whether it is still there or not; 0 before the first.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn last_number(tx: &mut Tx) -> Result<i64, StoreError> {
    counters::last(tx, NUMBERS).await
}

/// Adds entries, one at least.
///
/// # Errors
/// [`StoreError::Conflict`] when there is one of the number of any of them.
pub async fn insert(tx: &mut Tx, entries: &[AuditRow]) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into audit_entries
            (number, at, actor, actor_id, actor_label, actor_scopes, deed,
             subject, subject_id, subject_version, detail, previous, hash) ";
    on_backend!(tx, db => {
        let mut insert = QueryBuilder::new(SQL);
        insert.push_values(entries, |mut row, entry| {
            row.push_bind(entry.number)
                .push_bind(Instant(entry.at))
                .push_bind(&entry.actor)
                .push_bind(entry.actor_id)
                .push_bind(&entry.actor_label)
                .push_bind(&entry.actor_scopes)
                .push_bind(&entry.deed)
                .push_bind(&entry.subject)
                .push_bind(&entry.subject_id)
                .push_bind(entry.subject_version)
                .push_bind(&entry.detail)
                .push_bind(&entry.previous)
                .push_bind(&entry.hash);
        });
        insert.build().execute(db).await?;
    });
    Ok(())
}

/// Up to `limit` entries, in the order of their numbers.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn page(
    tx: &mut Tx,
    filter: &AuditFilter,
    limit: i64,
) -> Result<Vec<AuditRow>, StoreError> {
    const SQL: &str = "
        select number, at, actor, actor_id, actor_label, actor_scopes, deed,
               subject, subject_id, subject_version, detail, previous, hash
        from audit_entries
        where number > $1
          and ($2 is null or actor_id = $2)
          and ($3 is null or deed = $3)
          and ($4 is null or subject_id = $4)
          and ($5 is null or at >= $5)
          and ($6 is null or at < $6)
        order by number limit $7";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL)
            .bind(filter.after)
            .bind(filter.actor_id)
            .bind(&filter.deed)
            .bind(&filter.subject_id)
            .bind(filter.from.map(Instant))
            .bind(filter.to.map(Instant))
            .bind(limit)
            .fetch_all(db)
            .await?
    }))
}
