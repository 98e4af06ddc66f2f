//! Where notices go, and the notices on their way there.
//!
//! A notice is written in the transaction of the change it tells of, one delivery for each place it
//! goes to, so that it is there when the change is and not when it is not.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::{Instant, NullableInstant};
use super::db::on_backend;
use super::{StoreError, Tx};

/// A place that notices go to.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct WebhookRow {
    /// Its id.
    pub id: Uuid,
    /// Its address.
    pub url: String,
    /// What the shop calls it.
    pub label: String,
    /// Kinds of notices it gets, with a space between; all when empty.
    pub kinds: String,
    /// The secret that signs.
    pub secret: String,
    /// The secret before, while it signs, too.
    pub old_secret: Option<String>,
    /// Until when that is.
    #[sqlx(try_from = "NullableInstant")]
    pub old_until: Option<Timestamp>,
    /// Why it gets nothing any more; it does when there is none.
    pub disabled: Option<String>,
    /// When it was made.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
}

/// A notice.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct NoticeRow {
    /// Its id: the same at every try.
    pub id: Uuid,
    /// Its kind.
    pub kind: String,
    /// Its body.
    pub body: String,
    /// When it was written.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
}

/// A notice on its way to a place.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct DeliveryRow {
    /// The notice.
    pub notice_id: Uuid,
    /// The place.
    pub webhook_id: Uuid,
    /// `waiting`, `delivered` or `failed`.
    pub state: String,
    /// How often it was tried since it was last sent on its way.
    pub tries: i64,
    /// When it is tried next.
    #[sqlx(try_from = "Instant")]
    pub next_at: Timestamp,
}

/// A try to deliver.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct TryRow {
    /// Its id; later ones sort later.
    pub id: Uuid,
    /// The notice.
    pub notice_id: Uuid,
    /// The place.
    pub webhook_id: Uuid,
    /// When.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
    /// The status that was answered; none when nothing was.
    pub status: Option<i64>,
    /// What came of it, in words.
    pub detail: String,
}

/// A delivery with its notice, for the log.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct LoggedDelivery {
    /// The delivery.
    #[sqlx(flatten)]
    pub delivery: DeliveryRow,
    /// The kind of the notice.
    pub kind: String,
    /// Its body.
    pub body: String,
    /// When it was written.
    #[sqlx(try_from = "Instant")]
    pub created_at: Timestamp,
}

/// Adds a place.
///
/// # Errors
/// [`StoreError::Conflict`] when the id is there already.
pub async fn insert(tx: &mut Tx, hook: &WebhookRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into webhooks (id, url, label, kinds, secret, old_secret, old_until, disabled, created_at)
        values ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(hook.id)
            .bind(&hook.url)
            .bind(&hook.label)
            .bind(&hook.kinds)
            .bind(&hook.secret)
            .bind(&hook.old_secret)
            .bind(hook.old_until.map(Instant))
            .bind(&hook.disabled)
            .bind(Instant(hook.created_at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// Writes what may change of a place: its secrets, and whether it gets anything. `false` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn update(tx: &mut Tx, hook: &WebhookRow) -> Result<bool, StoreError> {
    const SQL: &str = "
        update webhooks set secret = $2, old_secret = $3, old_until = $4, disabled = $5 where id = $1";
    let changed = on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(hook.id)
            .bind(&hook.secret)
            .bind(&hook.old_secret)
            .bind(hook.old_until.map(Instant))
            .bind(&hook.disabled)
            .execute(db)
            .await?
            .rows_affected()
    });
    Ok(changed == 1)
}

/// A place. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, id: Uuid) -> Result<Option<WebhookRow>, StoreError> {
    const SQL: &str = "
        select id, url, label, kinds, secret, old_secret, old_until, disabled, created_at
        from webhooks where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// Every place, in the order they were made.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn all(tx: &mut Tx) -> Result<Vec<WebhookRow>, StoreError> {
    const SQL: &str = "
        select id, url, label, kinds, secret, old_secret, old_until, disabled, created_at
        from webhooks order by id";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).fetch_all(db).await?))
}

/// Adds a notice.
///
/// # Errors
/// [`StoreError::Conflict`] when the id is there already.
pub async fn write_notice(tx: &mut Tx, notice: &NoticeRow) -> Result<(), StoreError> {
    const SQL: &str = "insert into notices (id, kind, body, created_at) values ($1, $2, $3, $4)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(notice.id)
            .bind(&notice.kind)
            .bind(&notice.body)
            .bind(Instant(notice.created_at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// A notice. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn notice(tx: &mut Tx, id: Uuid) -> Result<Option<NoticeRow>, StoreError> {
    const SQL: &str = "select id, kind, body, created_at from notices where id = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(id).fetch_optional(db).await?))
}

/// Sends a notice on its way to a place, or again on its way.
///
/// # Errors
/// [`StoreError::Dangling`] when notice or place are not there.
pub async fn send(tx: &mut Tx, delivery: &DeliveryRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into deliveries (notice_id, webhook_id, state, tries, next_at) values ($1, $2, $3, $4, $5)
        on conflict (notice_id, webhook_id)
        do update set state = excluded.state, tries = excluded.tries, next_at = excluded.next_at";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(delivery.notice_id)
            .bind(delivery.webhook_id)
            .bind(&delivery.state)
            .bind(delivery.tries)
            .bind(Instant(delivery.next_at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// A delivery. `None` when it is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn delivery(
    tx: &mut Tx,
    notice_id: Uuid,
    webhook_id: Uuid,
) -> Result<Option<DeliveryRow>, StoreError> {
    const SQL: &str = "
        select notice_id, webhook_id, state, tries, next_at
        from deliveries where notice_id = $1 and webhook_id = $2";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(notice_id).bind(webhook_id).fetch_optional(db).await?
    }))
}

/// Whether any delivery to a place that gets notices is due.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn any_due(tx: &mut Tx, now: Timestamp) -> Result<bool, StoreError> {
    const SQL: &str = "
        select count(*) from (
            select 1 from deliveries d join webhooks w on w.id = d.webhook_id
            where d.state = 'waiting' and d.next_at <= $1 and w.disabled is null limit 1) due";
    let due: i64 =
        on_backend!(tx, db => sqlx::query_scalar(SQL).bind(Instant(now)).fetch_one(db).await?);
    Ok(due > 0)
}

/// Takes deliveries that are due: nobody else takes them before `until`, and when nothing has come of them by then,
/// they are due again. One try more is counted.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn take_due(
    tx: &mut Tx,
    now: Timestamp,
    until: Timestamp,
    limit: i64,
) -> Result<Vec<DeliveryRow>, StoreError> {
    // The outer conditions stand once more so that Postgres, which waits here for another who took the row, looks
    // at it again.
    const SQL: &str = "
        update deliveries set next_at = $2, tries = tries + 1
        where state = 'waiting' and next_at <= $1 and (notice_id, webhook_id) in (
            select d.notice_id, d.webhook_id from deliveries d join webhooks w on w.id = d.webhook_id
            where d.state = 'waiting' and d.next_at <= $1 and w.disabled is null
            order by d.next_at, d.notice_id limit $3)
        returning notice_id, webhook_id, state, tries, next_at";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL)
            .bind(Instant(now))
            .bind(Instant(until))
            .bind(limit)
            .fetch_all(db)
            .await?
    }))
}

/// Writes down a try.
///
/// # Errors
/// [`StoreError::Dangling`] when there is no such delivery.
pub async fn log_try(tx: &mut Tx, tried: &TryRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into delivery_tries (id, notice_id, webhook_id, at, status, detail)
        values ($1, $2, $3, $4, $5, $6)";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(tried.id)
            .bind(tried.notice_id)
            .bind(tried.webhook_id)
            .bind(Instant(tried.at))
            .bind(tried.status)
            .bind(&tried.detail)
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The deliveries to a place, latest first: those older than the notice `before`.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn log(
    tx: &mut Tx,
    webhook_id: Uuid,
    before: Option<Uuid>,
    limit: i64,
) -> Result<Vec<LoggedDelivery>, StoreError> {
    const SQL: &str = "
        select d.notice_id, d.webhook_id, d.state, d.tries, d.next_at, n.kind, n.body, n.created_at
        from deliveries d join notices n on n.id = d.notice_id
        where d.webhook_id = $1 and ($2 is null or d.notice_id < $2)
        order by d.notice_id desc limit $3";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(webhook_id).bind(before).bind(limit).fetch_all(db).await?
    }))
}

/// The tries of a delivery, in order.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn tries(
    tx: &mut Tx,
    notice_id: Uuid,
    webhook_id: Uuid,
) -> Result<Vec<TryRow>, StoreError> {
    const SQL: &str = "
        select id, notice_id, webhook_id, at, status, detail
        from delivery_tries where notice_id = $1 and webhook_id = $2 order by at, id";
    Ok(on_backend!(tx, db => {
        sqlx::query_as(SQL).bind(notice_id).bind(webhook_id).fetch_all(db).await?
    }))
}
