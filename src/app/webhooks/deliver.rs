//! Carrying notices to where they go.

use std::future::Future;
use std::pin::Pin;

use futures::future::join_all;
use jiff::{SignedDuration, Timestamp};
use uuid::Uuid;

use super::{place, switched_to};
use crate::app::{App, AppError};
use crate::shop::audit::Actor;
use crate::shop::webhook::{next_try, signatures};
use crate::store::Tx;
use crate::store::webhooks::{self, DeliveryRow, NoticeRow, TryRow, WebhookRow};

/// Deliveries carried at once.
const AT_ONCE: i64 = 16;
/// How long nobody else takes a delivery that is being carried: longer than a courier waits.
const HELD: SignedDuration = SignedDuration::from_secs(60);
/// Characters kept of what came of a try.
const MOST_DETAIL: usize = 500;
/// The answer of a receiver that wants no more notices.
const GONE: u16 = 410;

/// A notice made up to be sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parcel {
    /// Where to.
    pub url: String,
    /// `webhook-id`.
    pub id: String,
    /// `webhook-timestamp`, in seconds.
    pub timestamp: i64,
    /// `webhook-signature`.
    pub signature: String,
    /// The body, JSON.
    pub body: String,
}

/// What came of sending: the status answered, or why none was.
pub type Receipt = Result<u16, String>;

/// Carries parcels.
pub trait Courier: Send + Sync {
    /// Carries one. It waits for an answer for half a minute at most.
    fn carry(&self, parcel: Parcel) -> Pin<Box<dyn Future<Output = Receipt> + Send + '_>>;
}

impl App {
    /// Carries what is due, some at a time; how many were tried.
    ///
    /// # Errors
    /// When the database fails. What was not written down is carried again later.
    pub async fn deliver_due(&self, courier: &dyn Courier) -> Result<usize, AppError> {
        let now = self.now();
        let mut tx = self.db.read().await?;
        let any = webhooks::any_due(&mut tx, now).await?;
        drop(tx);
        if !any {
            return Ok(0);
        }
        let until = now.checked_add(HELD).unwrap_or(now);
        let mut tx = self.db.write().await?;
        let due = webhooks::take_due(&mut tx, now, until, AT_ONCE).await?;
        tx.commit().await?;
        let count = due.len();
        let carried = due.into_iter().map(|one| self.deliver(courier, one));
        for outcome in join_all(carried).await {
            outcome?;
        }
        Ok(count)
    }

    async fn deliver(&self, courier: &dyn Courier, due: DeliveryRow) -> Result<(), AppError> {
        let mut tx = self.db.read().await?;
        let hook = place(&mut tx, due.webhook_id).await?;
        let notice = webhooks::notice(&mut tx, due.notice_id)
            .await?
            .ok_or_else(|| AppError::not_found("notice", due.notice_id))?;
        drop(tx);
        let receipt = courier.carry(self.parcel(&hook, &notice)).await;
        self.write_down(&due, receipt).await
    }

    fn parcel(&self, hook: &WebhookRow, notice: &NoticeRow) -> Parcel {
        let now = self.now();
        let id = format!("msg_{}", notice.id.simple());
        let mut secrets = vec![hook.secret.as_str()];
        if let (Some(old), Some(until)) = (&hook.old_secret, hook.old_until)
            && now < until
        {
            secrets.push(old);
        }
        Parcel {
            url: hook.url.clone(),
            timestamp: now.as_second(),
            signature: signatures(&secrets, &id, now, &notice.body),
            body: notice.body.clone(),
            id,
        }
    }

    async fn write_down(&self, due: &DeliveryRow, receipt: Receipt) -> Result<(), AppError> {
        let now = self.now();
        let status = receipt.as_ref().ok().copied();
        let taken = status.is_some_and(|status| (200..300).contains(&status));
        let detail = match &receipt {
            Ok(status) if taken => format!("taken, {status}"),
            Ok(status) => format!("refused, {status}"),
            Err(why) => why.chars().take(MOST_DETAIL).collect(),
        };
        let id = self.new_id();
        let spread = id.as_bytes()[15];
        let (state, next_at) = match (taken, next_try(due.tries, now, spread)) {
            (true, _) => ("delivered", now),
            (false, Some(at)) if status != Some(GONE) => ("waiting", at),
            (false, _) => ("failed", now),
        };
        let mut tx = self.db.write().await?;
        let gone = match status {
            Some(GONE) => switch_off(&mut tx, due.webhook_id).await?,
            _ => None,
        };
        let tried = TryRow {
            id,
            notice_id: due.notice_id,
            webhook_id: due.webhook_id,
            at: now,
            status: status.map(i64::from),
            detail,
        };
        webhooks::log_try(&mut tx, &tried).await?;
        webhooks::send(
            &mut tx,
            &DeliveryRow {
                state: state.to_owned(),
                next_at,
                ..due.clone()
            },
        )
        .await?;
        if let Some(hook) = gone {
            let courier = self.acting_as(Actor::Program("courier"));
            courier.record(&mut tx, switched_to(&hook)).await?;
        }
        tx.commit().await?;
        Ok(())
    }
}

/// Sends a place no more notices, for it wants none; as it is then, unless that was so before.
async fn switch_off(tx: &mut Tx, id: Uuid) -> Result<Option<WebhookRow>, AppError> {
    let hook = place(tx, id).await?;
    if hook.disabled.is_some() {
        return Ok(None);
    }
    let why = "the receiver answered 410 Gone: it wants no more notices".to_owned();
    let hook = WebhookRow {
        disabled: Some(why),
        ..hook
    };
    webhooks::update(tx, &hook).await?;
    Ok(Some(hook))
}

/// The instant a delivery is due at once.
pub(super) fn again(due: DeliveryRow, now: Timestamp) -> DeliveryRow {
    DeliveryRow {
        state: "waiting".to_owned(),
        tries: 0,
        next_at: now,
        ..due
    }
}
