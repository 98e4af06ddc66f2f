//! Notices of quote changes, sent to addresses that the shop names (Standard Webhooks 1.0.0).
//!
//! What is to be sent is written in the transaction of the change itself (`app/changes.rs`), so
//! that neither a crash nor a receiver that is down loses a notice. A [`Courier`] carries them; it
//! is handed in, and what it may reach is for it to know.

mod deliver;
mod log;
mod reach;

use jiff::{SignedDuration, Timestamp};
use serde_json::json;
use uuid::Uuid;

use super::audit::Done;
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::shop::webhook::secret_of;
use crate::store::Tx;
use crate::store::webhooks::{self, WebhookRow};

pub use deliver::{Courier, Parcel, Receipt};
pub use log::{DeliveryQuery, LoggedNotice, LoggedTry};
pub use reach::is_public;

/// A place to send notices to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewWebhook {
    /// Its address.
    pub url: String,
    /// What the shop calls it.
    pub label: String,
    /// Kinds of notices it gets; all when empty.
    pub kinds: Vec<String>,
}

/// What is known of a place; never its secret.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Webhook {
    /// Its id.
    pub id: Uuid,
    /// Its address.
    pub url: String,
    /// What the shop calls it.
    pub label: String,
    /// Kinds of notices it gets; all when empty.
    pub kinds: Vec<String>,
    /// Why it gets nothing any more; it does when there is none.
    pub disabled: Option<String>,
    /// Until when the secret before signs, too.
    pub old_until: Option<Timestamp>,
    /// When it was made.
    pub created_at: Timestamp,
}

fn known(row: WebhookRow) -> Webhook {
    Webhook {
        id: row.id,
        url: row.url,
        label: row.label,
        kinds: row.kinds.split_whitespace().map(str::to_owned).collect(),
        disabled: row.disabled,
        old_until: row.old_until,
        created_at: row.created_at,
    }
}

impl App {
    /// Adds a place; with its secret, which is shown this once.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn create_webhook(&self, new: &NewWebhook) -> Result<(Webhook, String), AppError> {
        let secret = secret_of(&self.new_secret()?);
        let row = WebhookRow {
            id: self.new_id(),
            url: new.url.clone(),
            label: new.label.clone(),
            kinds: new.kinds.join(" "),
            secret: secret.clone(),
            old_secret: None,
            old_until: None,
            disabled: None,
            created_at: self.now(),
        };
        let mut tx = self.db.write().await?;
        webhooks::insert(&mut tx, &row).await?;
        self.record(&mut tx, done(Deed::WebhookAdded, &row)).await?;
        tx.commit().await?;
        Ok((known(row), secret))
    }

    /// Every place, in the order they were made.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn webhooks(&self) -> Result<Vec<Webhook>, AppError> {
        let mut tx = self.db.read().await?;
        let rows = webhooks::all(&mut tx).await?;
        Ok(rows.into_iter().map(known).collect())
    }

    /// A place.
    ///
    /// # Errors
    /// When it is not there.
    pub async fn webhook(&self, id: Uuid) -> Result<Webhook, AppError> {
        let mut tx = self.db.read().await?;
        Ok(known(place(&mut tx, id).await?))
    }

    /// Gives a place another secret. The one before signs beside it for `overlap`.
    ///
    /// # Errors
    /// When it is not there.
    pub async fn rotate_webhook(
        &self,
        id: Uuid,
        overlap: SignedDuration,
    ) -> Result<(Webhook, String), AppError> {
        let secret = secret_of(&self.new_secret()?);
        let mut tx = self.db.write().await?;
        let row = place(&mut tx, id).await?;
        let until = self.now().checked_add(overlap).unwrap_or(Timestamp::MAX);
        let row = WebhookRow {
            old_secret: Some(row.secret),
            old_until: Some(until),
            secret: secret.clone(),
            ..row
        };
        webhooks::update(&mut tx, &row).await?;
        let rotated = done(Deed::WebhookSecretRotated, &row);
        let detail = json!({"old_until": until.to_string()});
        self.record(&mut tx, rotated.with(detail)).await?;
        tx.commit().await?;
        Ok((known(row), secret))
    }

    /// Lets a place get notices, or none any more; what waits for it meanwhile is kept.
    ///
    /// # Errors
    /// When it is not there.
    pub async fn switch_webhook(
        &self,
        id: Uuid,
        disabled: Option<&str>,
    ) -> Result<Webhook, AppError> {
        let mut tx = self.db.write().await?;
        let before = place(&mut tx, id).await?;
        let switched = before.disabled.is_some() != disabled.is_some();
        let row = WebhookRow {
            disabled: disabled.map(str::to_owned),
            ..before
        };
        webhooks::update(&mut tx, &row).await?;
        if switched {
            self.record(&mut tx, switched_to(&row)).await?;
        }
        tx.commit().await?;
        Ok(known(row))
    }
}

/// What is written down of a place: never its secret, and of its address only where it leads, for the
/// rest often is a secret, too.
fn done(deed: Deed, row: &WebhookRow) -> Done {
    let host = row.url.split('/').nth(2);
    Done::new(deed, row.id).with(json!({
        "host": host,
        "label": row.label,
        "kinds": row.kinds,
    }))
}

/// That a place was switched on or off.
fn switched_to(row: &WebhookRow) -> Done {
    match &row.disabled {
        Some(why) => done(Deed::WebhookDisabled, row).with(json!({"why": why})),
        None => done(Deed::WebhookEnabled, row),
    }
}

/// The place of an id.
async fn place(tx: &mut Tx, id: Uuid) -> Result<WebhookRow, AppError> {
    webhooks::get(tx, id)
        .await?
        .ok_or_else(|| AppError::not_found("webhook", id))
}
