//! What a change of a quote leaves behind: an entry in the log for the books, notices on their way to
//! whoever wants them, and an entry in the audit trail.

use serde_json::json;
use uuid::Uuid;

use super::audit::{Done, content, record_all};
use super::quotes::{Booked, booked, change_of};
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::shop::quote::State;
use crate::shop::webhook::kind;
use crate::store::quote_revisions::RevisionRow;
use crate::store::quotes::QuoteRow;
use crate::store::webhooks::{self, DeliveryRow, NoticeRow, WebhookRow};
use crate::store::{Tx, quote_changes};

/// That a revision became what it is now.
#[derive(Debug, Clone, Copy)]
pub(super) struct Change<'a> {
    /// Acting as whoever did it.
    pub by: &'a App,
    /// What was done.
    pub deed: Deed,
    /// The quote.
    pub quote: &'a QuoteRow,
    /// Its revision, as it is now.
    pub revision: &'a RevisionRow,
    /// The quote and revision that it was copied from.
    pub copied_from: Option<&'a str>,
}

impl<'a> Change<'a> {
    /// A change of a quote that was not copied.
    pub const fn new(
        by: &'a App,
        deed: Deed,
        (quote, revision): (&'a QuoteRow, &'a RevisionRow),
    ) -> Self {
        Self {
            by,
            deed,
            quote,
            revision,
            copied_from: None,
        }
    }
}

impl App {
    /// Logs what a revision became, as [`log_changes`] does.
    pub(super) async fn log_change(
        &self,
        tx: &mut Tx,
        deed: Deed,
        became: (&QuoteRow, &RevisionRow),
    ) -> Result<(), AppError> {
        log_changes(tx, &[Change::new(self, deed, became)]).await
    }
}

/// Logs what revisions became, sends notices of them on their way, and writes down what
/// was done. Call it last in the transaction: until that ends, others who change anything wait.
pub(super) async fn log_changes(tx: &mut Tx, changes: &[Change<'_>]) -> Result<(), AppError> {
    if changes.is_empty() {
        return Ok(());
    }
    let hooks = webhooks::all(tx).await?;
    let mut rows = Vec::with_capacity(changes.len());
    let mut done = Vec::with_capacity(changes.len());
    for change in changes {
        let booked = booked(change.revision)?;
        change.send(tx, &hooks, &booked).await?;
        done.push((change.by, change.done(&booked)));
        rows.push(change_of(change.quote, change.revision, booked));
    }
    quote_changes::append(tx, &rows).await?;
    record_all(tx, done).await
}

impl Change<'_> {
    /// Sends a notice on its way to every place that wants one of its kind.
    async fn send(
        &self,
        tx: &mut Tx,
        hooks: &[WebhookRow],
        booked: &Booked,
    ) -> Result<(), AppError> {
        let Some(state) = State::from_word(&self.revision.state) else {
            return Err(AppError::Conflict(format!(
                "{:?} is no state of a quote",
                self.revision.state
            )));
        };
        let kind = kind(state);
        let wanted: Vec<Uuid> = hooks
            .iter()
            .filter(|hook| hook.disabled.is_none())
            .filter(|hook| hook.kinds.is_empty() || hook.kinds.split(' ').any(|word| word == kind))
            .map(|hook| hook.id)
            .collect();
        if wanted.is_empty() {
            return Ok(());
        }
        let notice = self.notice(kind, booked);
        webhooks::write_notice(tx, &notice).await?;
        for webhook_id in wanted {
            let delivery = DeliveryRow {
                notice_id: notice.id,
                webhook_id,
                state: "waiting".to_owned(),
                tries: 0,
                next_at: notice.created_at,
            };
            webhooks::send(tx, &delivery).await?;
        }
        Ok(())
    }

    fn notice(&self, kind: &str, booked: &Booked) -> NoticeRow {
        let (quote, revision) = (self.quote, self.revision);
        let now = self.by.now();
        let body = json!({
            "type": kind,
            "timestamp": now.to_string(),
            "data": {
                "number": quote.number,
                "revision": revision.revision,
                "state": revision.state,
                "customer": quote.customer,
                "project": quote.project,
                "currency": revision.currency,
                "net": booked.net.to_string(),
                "tax": booked.tax.to_string(),
                "gross": booked.gross.to_string(),
                "issued_on": revision.issued_on.map(|day| day.to_string()),
                "valid_until": revision.valid_until.map(|day| day.to_string()),
                "accepted_on": revision.accepted_on.map(|day| day.to_string()),
                "po_number": revision.po_number,
            }
        });
        NoticeRow {
            id: self.by.new_id(),
            kind: kind.to_owned(),
            body: body.to_string(),
            created_at: now,
        }
    }

    /// What is written down of it: the quote's heading, its amounts, the options that were ordered, and
    /// the digest of what it froze.
    fn done(&self, booked: &Booked) -> Done {
        let (quote, revision) = (self.quote, self.revision);
        let options = (!booked.options.is_empty()).then_some(&booked.options);
        Done::new(self.deed, &quote.number)
            .version(revision.revision)
            .with(json!({
                "customer": quote.customer,
                "project": quote.project,
                "currency": revision.currency,
                "net": booked.net.to_string(),
                "gross": booked.gross.to_string(),
                "options": options,
                "valid_until": revision.valid_until.map(|day| day.to_string()),
                "accepted_on": revision.accepted_on.map(|day| day.to_string()),
                "accepted_by": revision.accepted_by,
                "po_number": revision.po_number,
                "reason": revision.reason,
                "copied_from": self.copied_from,
                "content": content(&revision.frozen),
            }))
    }
}
