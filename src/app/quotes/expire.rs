//! Quotes whose last day has passed. Reading one always tells the truth by the day; lists and
//! totals are kept true by writing it down before they are read.

use super::moves::state_move;
use crate::app::{App, AppError};
use crate::shop::audit::{Actor, Deed};
use crate::shop::quote::State;
use crate::store::quote_lists::due_to_expire;
use crate::store::quotes::QuoteRow;
use crate::store::{Written, quote_revisions, quotes};

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
        let mut due = due_to_expire(&mut tx, self.today(), BATCH).await?;
        // Everybody takes quotes in the order of their ids, so that nobody waits in a circle.
        due.sort_by_key(|summary| (summary.id, summary.revision));
        let mut changed = Vec::new();
        for summary in due {
            let Some((quote, _)) = quotes::get(&mut tx, &summary.number).await? else {
                continue;
            };
            let Some(mut revision) =
                quote_revisions::get(&mut tx, quote.id, summary.revision).await?
            else {
                continue;
            };
            revision.state = State::Expired.word().to_owned();
            revision.changed_at = self.now();
            let written = quote_revisions::move_state(
                &mut tx,
                quote.id,
                &state_move(quote.version, &revision),
            )
            .await?;
            // Otherwise another has changed the quote at the same moment; what is due then is asked again.
            if let Written::Done(version) = written {
                changed.push((QuoteRow { version, ..quote }, revision));
            }
        }
        // Whoever happens to ask, it is the day that expires a quote.
        let program = self.acting_as(Actor::Program("expiry"));
        for (quote, revision) in &changed {
            let expired = (quote, revision);
            program
                .log_change(&mut tx, Deed::QuoteExpired, expired)
                .await?;
        }
        tx.commit().await?;
        Ok(())
    }
}
