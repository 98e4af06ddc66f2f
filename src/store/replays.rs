//! Answers kept so that a request sent twice is done once.
//!
//! In a transaction of its own a request is claimed; it is then done and its answer kept with [`finish`], in the
//! same transaction as the work; or the claim is given back with [`release`]. A claim whose holder died is taken
//! over by a later request.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx};

/// What makes a request the same request: who sent it, to which operation, with which `Idempotency-Key`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReplayKey {
    /// The API key it came with.
    pub key_id: Uuid,
    /// The operation asked for.
    pub operation: String,
    /// The value of the `Idempotency-Key` field.
    pub idempotency_key: String,
}

/// A wish to do a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewClaim {
    /// A fresh id of this try. Only who holds it may finish or release the claim.
    pub claim_id: Uuid,
    /// A digest of the request's content.
    pub fingerprint: String,
    /// Now.
    pub at: Timestamp,
    /// When the answer need no longer be kept.
    pub expires_at: Timestamp,
    /// A claim still running that was made before this instant is taken over.
    pub stale_before: Timestamp,
}

/// An answer as it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The status.
    pub status: i64,
    /// The header fields, as JSON.
    pub headers: String,
    /// The content.
    pub body: Vec<u8>,
}

/// What came of a claim.
#[derive(Debug, Clone, PartialEq, Eq)]
#[must_use = "only who holds the claim may do the work"]
pub enum Claim {
    /// The claim is held: do the work.
    Claimed,
    /// Somebody is at it.
    Running {
        /// The digest of the content they were sent.
        fingerprint: String,
    },
    /// It was done before.
    Done {
        /// The digest of the content it was done for.
        fingerprint: String,
        /// The answer given then.
        answer: Answer,
    },
}

#[derive(FromRow)]
struct ReplayRow {
    fingerprint: String,
    status: Option<i64>,
    headers: Option<String>,
    body: Option<Vec<u8>>,
}

/// Claims a request. Of any number who claim the same one, one gets [`Claim::Claimed`]. A kept answer that has
/// expired, and a claim still running that is stale, count as not there. On Postgres a rival waits until the
/// claimer's transaction ends, so commit it at once.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn claim(tx: &mut Tx, key: &ReplayKey, new: &NewClaim) -> Result<Claim, StoreError> {
    const CLAIM: &str = "
        insert into replays
            (key_id, operation, idempotency_key, claim_id, fingerprint, state, claimed_at, expires_at)
        values ($1, $2, $3, $4, $5, 'running', $6, $7)
        on conflict (key_id, operation, idempotency_key) do update set
            claim_id = excluded.claim_id, fingerprint = excluded.fingerprint, state = 'running',
            claimed_at = excluded.claimed_at, expires_at = excluded.expires_at,
            status = null, headers = null, body = null
        where replays.expires_at <= $6 or (replays.state = 'running' and replays.claimed_at < $8)";
    // Even when its `where` says no, Postgres has locked the row, so it cannot vanish before this is asked.
    const EXISTING: &str = "
        select fingerprint, status, headers, body from replays
        where key_id = $1 and operation = $2 and idempotency_key = $3";
    let claimed = on_backend!(&mut *tx, db => {
        sqlx::query(CLAIM)
            .bind(key.key_id)
            .bind(&key.operation)
            .bind(&key.idempotency_key)
            .bind(new.claim_id)
            .bind(&new.fingerprint)
            .bind(Instant(new.at))
            .bind(Instant(new.expires_at))
            .bind(Instant(new.stale_before))
            .execute(db)
            .await?
            .rows_affected()
    });
    if claimed == 1 {
        return Ok(Claim::Claimed);
    }
    let row: ReplayRow = on_backend!(tx, db => {
        sqlx::query_as(EXISTING)
            .bind(key.key_id)
            .bind(&key.operation)
            .bind(&key.idempotency_key)
            .fetch_one(db)
            .await?
    });
    Ok(match (row.status, row.headers, row.body) {
        (Some(status), Some(headers), Some(body)) => Claim::Done {
            fingerprint: row.fingerprint,
            answer: Answer {
                status,
                headers,
                body,
            },
        },
        _ => Claim::Running {
            fingerprint: row.fingerprint,
        },
    })
}

/// Keeps the answer of a claimed request. `false`, and nothing changed, when the claim is no longer held under
/// `claim_id` (taken over, released, finished): undo the work then.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn finish(
    tx: &mut Tx,
    key: &ReplayKey,
    claim_id: Uuid,
    answer: &Answer,
) -> Result<bool, StoreError> {
    const SQL: &str = "
        update replays set state = 'done', status = $5, headers = $6, body = $7
        where key_id = $1 and operation = $2 and idempotency_key = $3 and claim_id = $4 and state = 'running'";
    let changed = on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(key.key_id)
            .bind(&key.operation)
            .bind(&key.idempotency_key)
            .bind(claim_id)
            .bind(answer.status)
            .bind(&answer.headers)
            .bind(&answer.body)
            .execute(db)
            .await?
            .rows_affected()
    });
    Ok(changed == 1)
}

/// Gives a claim back after a failure, so that the request may be sent again. `false`, and nothing changed, when the
/// claim is no longer held under `claim_id`.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn release(tx: &mut Tx, key: &ReplayKey, claim_id: Uuid) -> Result<bool, StoreError> {
    const SQL: &str = "
        delete from replays
        where key_id = $1 and operation = $2 and idempotency_key = $3 and claim_id = $4 and state = 'running'";
    let gone = on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(key.key_id)
            .bind(&key.operation)
            .bind(&key.idempotency_key)
            .bind(claim_id)
            .execute(db)
            .await?
            .rows_affected()
    });
    Ok(gone == 1)
}

/// Forgets what has expired by `now`; how many there were.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn delete_expired(tx: &mut Tx, now: Timestamp) -> Result<u64, StoreError> {
    const SQL: &str = "delete from replays where expires_at <= $1";
    Ok(
        on_backend!(tx, db => sqlx::query(SQL).bind(Instant(now)).execute(db).await?.rows_affected()),
    )
}
