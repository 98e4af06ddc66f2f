//! Quotes: written, issued, taken or not. Nothing issued ever changes.

mod expire;
mod freeze;
mod moves;
mod papers;
mod read;
mod write;

use jiff::civil::Date;
use uuid::Uuid;

use super::AppError;
use super::estimates::Choice;
use crate::shop::quote::{Customer, QuoteRecord, State};
use crate::store::quote_changes::QuoteChange;
use crate::store::quote_revisions::RevisionRow;
use crate::store::quotes::QuoteRow;
use crate::trade::manifold::Manifold;

pub use freeze::FrozenQuote;
pub(super) use moves::again_while_stale;
pub use moves::{Acceptance, MoveRequest};
pub use papers::PrintableQuote;
pub use read::{QuoteListing, QuoteQuery, QuoteSummary};
pub(super) use write::found;

/// Whom a quote goes to: written out, or kept by the shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Addressee {
    /// Written out in the request.
    Given(Customer),
    /// A customer the shop keeps.
    Stored(Uuid),
}

/// What a quote is to be made from.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteRequest {
    /// Whom it goes to.
    pub addressee: Addressee,
    /// The project.
    pub project: String,
    /// A note to the customer.
    pub note: String,
    /// The schedule.
    pub manifolds: Vec<Manifold>,
    /// Which prices and times.
    pub choice: Choice,
    /// Last day it stands, when it is not the shop's usual.
    pub valid_until: Option<Date>,
    /// The request itself, as canonical JSON text.
    pub text: String,
}

/// A revision of a quote as it stands today.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteView {
    /// The quote.
    pub quote: QuoteRow,
    /// The revision.
    pub revision: RevisionRow,
    /// What the revision froze.
    pub record: QuoteRecord,
    /// Its state today.
    pub state: State,
}

impl QuoteView {
    pub(super) fn of(
        quote: QuoteRow,
        revision: RevisionRow,
        today: Date,
    ) -> Result<Self, AppError> {
        let record =
            serde_json::from_str(&revision.frozen).map_err(|source| AppError::Damaged {
                what: "quote",
                source,
            })?;
        let state = stored_state(&revision)?.as_of(revision.valid_until, today);
        Ok(Self {
            quote,
            revision,
            record,
            state,
        })
    }
}

/// The state as stored, without regard to the day.
fn stored_state(revision: &RevisionRow) -> Result<State, AppError> {
    State::from_word(&revision.state).ok_or_else(|| {
        AppError::Conflict(format!(
            "the stored state {:?} is not one of ours",
            revision.state
        ))
    })
}

/// What the log of changes says of a revision.
pub(super) fn change_of(quote: &QuoteRow, revision: &RevisionRow) -> QuoteChange {
    QuoteChange {
        quote_id: quote.id,
        number: quote.number.clone(),
        revision: revision.revision,
        state: revision.state.clone(),
        customer: quote.customer.clone(),
        project: quote.project.clone(),
        currency: revision.currency.clone(),
        net: revision.net,
        tax: revision.tax,
        gross: revision.gross,
        issued_on: revision.issued_on,
        accepted_on: revision.accepted_on,
        po_number: revision.po_number.clone(),
        heads: revision.heads.clone(),
        at: revision.changed_at,
    }
}
