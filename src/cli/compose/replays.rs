//! Answers kept for requests that come twice, in the database.

use std::collections::BTreeMap;
use std::sync::Mutex;

use crate::app::App;
use crate::http::idempotency::{Claim, Fingerprint, ReplaySlot, ReplayStore, StoredAnswer};
use crate::http::state::Unavailable;
use crate::store::replays::{self, Answer, NewClaim, ReplayKey};
use crate::store::{StoreError, Tx};
use futures::future::BoxFuture;
use jiff::SignedDuration;
use uuid::Uuid;

/// How long an answer is kept.
const KEPT: SignedDuration = SignedDuration::from_hours(48);
/// A claim this old belongs to a process that died: requests end after 30 seconds, and what they began, heavy work that
/// waited for its turn included, soon after.
const STALE: SignedDuration = SignedDuration::from_mins(2);

/// Keeps answers in the database. It remembers which claims are its own until they are finished.
pub struct StoredReplays {
    app: App,
    claims: Mutex<BTreeMap<ReplaySlot, Uuid>>,
}

impl StoredReplays {
    /// Over the database of the use cases.
    pub fn new(app: App) -> Self {
        Self {
            app,
            claims: Mutex::new(BTreeMap::new()),
        }
    }

    fn own(&self) -> std::sync::MutexGuard<'_, BTreeMap<ReplaySlot, Uuid>> {
        self.claims
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    async fn claim_now(&self, slot: &ReplaySlot, fingerprint: &str) -> Result<Claim, StoreError> {
        let now = self.app.now();
        let new = NewClaim {
            claim_id: self.app.new_id(),
            fingerprint: fingerprint.to_owned(),
            at: now,
            expires_at: now.saturating_add(KEPT).unwrap_or(now),
            stale_before: now.saturating_sub(STALE).unwrap_or(now),
        };
        let mut tx = self.app.db().write().await?;
        replays::delete_expired(&mut tx, now).await?;
        let claim = replays::claim(&mut tx, &key(slot), &new).await?;
        tx.commit().await?;
        Ok(match claim {
            replays::Claim::Claimed => {
                self.own().insert(slot.clone(), new.claim_id);
                Claim::Fresh
            }
            replays::Claim::Running {
                fingerprint: theirs,
            } if theirs == fingerprint => Claim::Running,
            replays::Claim::Done {
                fingerprint: theirs,
                answer,
            } if theirs == fingerprint => Claim::Done(stored(answer)),
            replays::Claim::Running { .. } | replays::Claim::Done { .. } => Claim::OtherRequest,
        })
    }

    async fn finish_now(&self, slot: &ReplaySlot, answer: &Answer) -> Result<(), StoreError> {
        let Some(claim) = self.own().remove(slot) else {
            return Ok(());
        };
        let mut tx: Tx = self.app.db().write().await?;
        if !replays::finish(&mut tx, &key(slot), claim, answer).await? {
            tracing::warn!(operation = %slot.operation, "an answer came after its claim had run out");
        }
        tx.commit().await
    }

    async fn release_now(&self, slot: &ReplaySlot) -> Result<(), StoreError> {
        let Some(claim) = self.own().remove(slot) else {
            return Ok(());
        };
        let mut tx = self.app.db().write().await?;
        replays::release(&mut tx, &key(slot), claim).await?;
        tx.commit().await
    }
}

fn key(slot: &ReplaySlot) -> ReplayKey {
    ReplayKey {
        key_id: slot.key_id,
        operation: slot.operation.clone(),
        idempotency_key: slot.idempotency_key.clone(),
    }
}

fn stored(answer: Answer) -> StoredAnswer {
    StoredAnswer {
        status: u16::try_from(answer.status).unwrap_or(500),
        // Written by this file below, so that it reads; fields of an unreadable row are left out.
        headers: serde_json::from_str(&answer.headers).unwrap_or_default(),
        body: answer.body,
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unavailable(error: StoreError) -> Unavailable {
    Unavailable(error.to_string())
}

impl ReplayStore for StoredReplays {
    fn claim<'a>(
        &'a self,
        slot: &'a ReplaySlot,
        fingerprint: &'a Fingerprint,
    ) -> BoxFuture<'a, Result<Claim, Unavailable>> {
        Box::pin(async move {
            self.claim_now(slot, &hex(fingerprint))
                .await
                .map_err(unavailable)
        })
    }

    fn finish<'a>(
        &'a self,
        slot: &'a ReplaySlot,
        answer: StoredAnswer,
    ) -> BoxFuture<'a, Result<(), Unavailable>> {
        Box::pin(async move {
            let headers = serde_json::to_string(&answer.headers)
                .map_err(|error| Unavailable(error.to_string()))?;
            let answer = Answer {
                status: i64::from(answer.status),
                headers,
                body: answer.body,
            };
            self.finish_now(slot, &answer).await.map_err(unavailable)
        })
    }

    fn release<'a>(&'a self, slot: &'a ReplaySlot) -> BoxFuture<'a, Result<(), Unavailable>> {
        Box::pin(async move { self.release_now(slot).await.map_err(unavailable) })
    }
}
