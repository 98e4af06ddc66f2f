//! Quotes whose last day has passed. Reading one always tells the truth by the day; lists and
//! totals are kept true by writing it down before they are read.

use super::moves::{Decided, write_moves};
use super::stored_state;
use super::write::{found, revision_of};
use crate::app::changes::log_changes;
use crate::app::{App, AppError};
use crate::shop::audit::{Actor, Deed};
use crate::shop::quote::State;
use crate::store::quote_lists::due_to_expire;
use crate::store::quote_revisions::RevisionRow;
use crate::store::quotes;

/// How many are written down in one transaction.
const BATCH: i64 = 200;

impl App {
    /// Writes down every expiry that is due.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn expire_due_quotes(&self) -> Result<(), AppError> {
        loop {
            let mut tx = self.db.read().await?;
            let due = due_to_expire(&mut tx, self.today(), 1).await?;
            drop(tx);
            if due.is_empty() {
                return Ok(());
            }
            self.expire_batch().await?;
        }
    }

    async fn expire_batch(&self) -> Result<(), AppError> {
        let mut tx = self.db.write().await?;
        let due = due_to_expire(&mut tx, self.today(), BATCH).await?;
        let numbers: Vec<String> = due.iter().map(|summary| summary.number.clone()).collect();
        quotes::hold(&mut tx, &numbers).await?;
        let mut expired = Vec::new();
        for summary in due {
            let (quote, current) = found(&mut tx, &summary.number).await?;
            let revision = revision_of(&mut tx, (&quote, current), Some(summary.revision)).await?;
            // Otherwise another has moved it since it was found due.
            if stored_state(&revision)? == State::Issued {
                expired.push(Decided {
                    deed: Deed::QuoteExpired,
                    quote,
                    revision: RevisionRow {
                        state: State::Expired.word().to_owned(),
                        changed_at: self.now(),
                        ..revision
                    },
                    superseded: None,
                    current: None,
                });
            }
        }
        write_moves(&mut tx, &mut expired).await?;
        // Whoever happens to ask, it is the day that expires a quote.
        let program = self.acting_as(Actor::Program("expiry"));
        let changes = expired.iter().flat_map(|one| one.changes(&program));
        log_changes(&mut tx, &changes.collect::<Vec<_>>()).await?;
        tx.commit().await?;
        Ok(())
    }
}
