//! The log of deliveries, and sending by hand.

use jiff::Timestamp;
use serde_json::json;
use uuid::Uuid;

use super::deliver::again;
use super::{done, place};
use crate::app::{App, AppError};
use crate::shop::audit::Deed;
use crate::store::webhooks::{self, LoggedDelivery};

/// Which deliveries of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DeliveryQuery {
    /// The place.
    pub webhook_id: Uuid,
    /// The last notice of the page before.
    pub after: Option<Uuid>,
    /// At most so many.
    pub limit: u32,
}

/// A notice and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoggedNotice {
    /// Its id.
    pub id: Uuid,
    /// Its kind.
    pub kind: String,
    /// Its body, JSON.
    pub body: String,
    /// When it was written.
    pub created_at: Timestamp,
    /// `waiting`, `delivered` or `failed`.
    pub state: String,
    /// When it is tried next, while it waits.
    pub next_at: Option<Timestamp>,
    /// Every try, in order.
    pub tries: Vec<LoggedTry>,
}

/// A try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoggedTry {
    /// When.
    pub at: Timestamp,
    /// The status that was answered.
    pub status: Option<i64>,
    /// What came of it, in words.
    pub detail: String,
}

impl App {
    /// The deliveries to a place, latest first; one more than asked for when there are more.
    ///
    /// # Errors
    /// When there is no such place.
    pub async fn deliveries(&self, query: DeliveryQuery) -> Result<Vec<LoggedNotice>, AppError> {
        let mut tx = self.db.read().await?;
        place(&mut tx, query.webhook_id).await?;
        let rows = webhooks::log(
            &mut tx,
            query.webhook_id,
            query.after,
            i64::from(query.limit),
        )
        .await?;
        let mut logged = Vec::new();
        for row in rows {
            let tries = webhooks::tries(&mut tx, row.delivery.notice_id, query.webhook_id).await?;
            logged.push(LoggedNotice {
                tries: tries
                    .into_iter()
                    .map(|tried| LoggedTry {
                        at: tried.at,
                        status: tried.status,
                        detail: tried.detail,
                    })
                    .collect(),
                ..logged_notice(row)
            });
        }
        Ok(logged)
    }

    /// Sends a notice once more, at once, whatever became of it before.
    ///
    /// # Errors
    /// When there is no such place, the notice never went there, or the place gets nothing at present.
    pub async fn replay_notice(&self, webhook_id: Uuid, notice_id: Uuid) -> Result<(), AppError> {
        let mut tx = self.db.write().await?;
        let hook = place(&mut tx, webhook_id).await?;
        let delivery = webhooks::delivery(&mut tx, notice_id, webhook_id)
            .await?
            .ok_or_else(|| AppError::not_found("delivery", notice_id))?;
        if let Some(why) = &hook.disabled {
            // It would wait for as long as the place is switched off, though "at once" was asked for.
            return Err(AppError::Conflict(format!(
                "The webhook is disabled ({why}) and gets nothing; enable it first with POST /v1/webhooks/{webhook_id}/enable, then send the notice again."
            )));
        }
        webhooks::send(&mut tx, &again(delivery, self.now())).await?;
        let replayed = done(Deed::NoticeReplayed, &hook);
        self.record(&mut tx, replayed.with(json!({"notice": notice_id})))
            .await?;
        tx.commit().await?;
        Ok(())
    }
}

fn logged_notice(row: LoggedDelivery) -> LoggedNotice {
    let waits = row.delivery.state == "waiting";
    LoggedNotice {
        id: row.delivery.notice_id,
        kind: row.kind,
        body: row.body,
        created_at: row.created_at,
        state: row.delivery.state,
        next_at: waits.then_some(row.delivery.next_at),
        tries: Vec::new(),
    }
}
