//! Quotes: written, issued, taken or not. Nothing issued ever changes.

mod expire;
mod freeze;
mod kept;
mod moves;
mod options;
mod papers;
mod read;
mod together;
mod write;

use jiff::civil::Date;
use rust_decimal::Decimal;
use uuid::Uuid;

use super::AppError;
use super::estimates::Choice;
use crate::shop::quote::{
    Customer, Move, Order, Presentation, QuoteRecord, RecordTotals, State, Totals,
};
use crate::store::quote_changes::QuoteChange;
use crate::store::quote_revisions::RevisionRow;
use crate::store::quotes::QuoteRow;
use crate::trade::manifold::Manifold;

pub use freeze::FrozenQuote;
pub use kept::KeptPaper;
pub(super) use moves::again_while_stale;
pub use moves::{Acceptance, MoveRequest};
pub use papers::PrintableQuote;
pub use read::{QuoteListing, QuoteQuery, QuoteSummary};
pub(super) use together::MoveLine;
pub(super) use write::{found, revision_of};

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
    /// What may be ordered otherwise or beside it.
    pub options: Vec<OptionRequest>,
    /// How the customer's papers show the price.
    pub presentation: Presentation,
    /// Which prices and times.
    pub choice: Choice,
    /// Last day it stands, when it is not the shop's usual.
    pub valid_until: Option<Date>,
    /// The request itself, as canonical JSON text.
    pub text: String,
}

/// An option to offer.
#[derive(Debug, Clone, PartialEq)]
pub struct OptionRequest {
    /// Its name.
    pub name: String,
    /// The place in the schedule of the manifold it is an alternate of; none for an addition.
    pub instead_of: Option<usize>,
    /// What is offered.
    pub manifold: Manifold,
}

/// By what a revision of a quote is told from what it was before: the quote counts its changes, and the day may
/// expire it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuoteMark {
    /// The quote.
    pub id: Uuid,
    /// Its version.
    pub version: i64,
    /// The revision.
    pub revision: i64,
    /// Its state today.
    pub state: State,
}

impl QuoteMark {
    const fn of(quote: &QuoteRow, revision: &RevisionRow, state: State) -> Self {
        Self {
            id: quote.id,
            version: quote.version,
            revision: revision.revision,
            state,
        }
    }
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
    /// What was ordered, once it is accepted.
    pub ordered: Option<Order>,
}

impl QuoteView {
    pub(super) fn of(
        quote: QuoteRow,
        revision: RevisionRow,
        today: Date,
    ) -> Result<Self, AppError> {
        let record: QuoteRecord = read(&revision.frozen)?;
        let state = stored_state(&revision)?.as_of(revision.valid_until, today);
        let ordered = match (&revision.ordered, state) {
            (Some(text), _) => Some(read(text)?),
            // Earlier programs knew no options: what was offered was ordered.
            (None, State::Accepted) => record.order(&[]).ok(),
            (None, _) => None,
        };
        Ok(Self {
            quote,
            revision,
            record,
            state,
            ordered,
        })
    }

    /// The moves that are open. A draft that is no longer current stands beside what the customer took: it cannot be
    /// issued any more.
    pub fn moves(&self) -> &'static [Move] {
        match self.state {
            State::Draft if self.revision.revision != self.quote.current_revision => {
                &[Move::Withdraw]
            }
            state => state.moves(),
        }
    }

    /// By what it is told from what it was before.
    pub const fn mark(&self) -> QuoteMark {
        QuoteMark::of(&self.quote, &self.revision, self.state)
    }

    /// What it comes to: what was ordered, else what is offered.
    pub fn totals(&self) -> &Totals {
        let ordered = self.ordered.as_ref();
        ordered.map_or(&self.record.totals, |order| &order.totals)
    }
}

fn read<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, AppError> {
    serde_json::from_str(text).map_err(damaged)
}

fn damaged(source: serde_json::Error) -> AppError {
    AppError::Damaged {
        what: "quote",
        source,
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

/// What a revision counts for in the books.
pub(super) struct Booked {
    /// Without tax.
    pub net: Decimal,
    /// Tax.
    pub tax: Decimal,
    /// With tax.
    pub gross: Decimal,
    /// Net by cost head, as JSON.
    pub heads: String,
    /// Each tax with its rate, as JSON.
    pub taxes: String,
    /// Names of the options that were ordered.
    pub options: Vec<String>,
}

/// What a revision counts for in the books: what was ordered, else what is offered.
pub(super) fn booked(revision: &RevisionRow) -> Result<Booked, AppError> {
    let Some(text) = &revision.ordered else {
        let record: RecordTotals = read(&revision.frozen)?;
        return Ok(Booked {
            net: revision.net,
            tax: revision.tax,
            gross: revision.gross,
            heads: revision.heads.clone(),
            taxes: serde_json::to_string(&record.taxes()).map_err(damaged)?,
            options: Vec::new(),
        });
    };
    let order: Order = read(text)?;
    Ok(Booked {
        net: order.totals.net,
        tax: order.totals.tax,
        gross: order.totals.gross,
        heads: serde_json::to_string(&order.heads).map_err(damaged)?,
        taxes: serde_json::to_string(&order.totals.taxes).map_err(damaged)?,
        options: order.options,
    })
}

/// What the log of changes says of a revision.
pub(super) fn change_of(quote: &QuoteRow, revision: &RevisionRow, booked: Booked) -> QuoteChange {
    QuoteChange {
        quote_id: quote.id,
        number: quote.number.clone(),
        revision: revision.revision,
        state: revision.state.clone(),
        customer: quote.customer.clone(),
        project: quote.project.clone(),
        currency: revision.currency.clone(),
        net: booked.net,
        tax: booked.tax,
        gross: booked.gross,
        issued_on: revision.issued_on,
        accepted_on: revision.accepted_on,
        po_number: revision.po_number.clone(),
        heads: booked.heads,
        taxes: Some(booked.taxes),
        at: revision.changed_at,
    }
}
