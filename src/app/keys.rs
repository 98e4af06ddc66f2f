//! Keys of callers. The key itself is shown once and never kept: only its hash is.

use jiff::Timestamp;
use serde_json::json;
use uuid::Uuid;

use super::audit::Done;
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::store::keys::{self, KeyRow};

/// What is known of a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyInfo {
    /// Its id; never the key itself.
    pub id: Uuid,
    /// What its owner calls it.
    pub label: String,
    /// What it may do: words with a space between.
    pub scopes: String,
    /// When it was made.
    pub created_at: Timestamp,
    /// When it was taken out of use, if it was.
    pub revoked_at: Option<Timestamp>,
}

fn info(row: KeyRow) -> KeyInfo {
    KeyInfo {
        id: row.id,
        label: row.label,
        scopes: row.scopes,
        created_at: row.created_at,
        revoked_at: row.revoked_at,
    }
}

impl App {
    /// Keeps a new key by its hash (SHA-256, in lower-case hex); `scopes` are words with a space between.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn add_key(
        &self,
        label: &str,
        scopes: &str,
        hash: String,
    ) -> Result<KeyInfo, AppError> {
        let row = KeyRow {
            id: self.new_id(),
            label: label.to_owned(),
            scopes: scopes.to_owned(),
            hash,
            created_at: self.now(),
            revoked_at: None,
        };
        let mut tx = self.db().write().await?;
        keys::insert(&mut tx, &row).await?;
        let detail = json!({"label": row.label, "scopes": row.scopes});
        self.record(&mut tx, Done::new(Deed::KeyCreated, row.id).with(detail))
            .await?;
        tx.commit().await?;
        Ok(info(row))
    }

    /// Every key, revoked ones too, oldest first.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn keys(&self) -> Result<Vec<KeyInfo>, AppError> {
        let mut tx = self.db().read().await?;
        Ok(keys::list(&mut tx).await?.into_iter().map(info).collect())
    }

    /// Takes a key out of use, at once and for good.
    ///
    /// # Errors
    /// [`AppError::NotFound`], also when it was revoked before.
    pub async fn revoke_key(&self, id: Uuid) -> Result<(), AppError> {
        let mut tx = self.db().write().await?;
        if !keys::revoke(&mut tx, id, self.now()).await? {
            return Err(AppError::not_found("key in use", id));
        }
        self.record(&mut tx, Done::new(Deed::KeyRevoked, id))
            .await?;
        tx.commit().await?;
        Ok(())
    }
}
