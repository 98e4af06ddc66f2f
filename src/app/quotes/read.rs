//! Reading quotes.

use jiff::civil::Date;
use rust_decimal::Decimal;
use uuid::Uuid;

use super::write::{found, revision_of};
use super::{QuoteMark, QuoteView, stored_state};
use crate::app::{App, AppError};
use crate::store::quote_lists::{Order, Page, QuoteFilter, page};

pub use crate::store::quote_lists::QuoteSummary;

/// Which quotes a list shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct QuoteQuery {
    /// The state of the current revision.
    pub state: Option<String>,
    /// A part of the customer's name.
    pub customer: Option<String>,
    /// A part of the project's name.
    pub project: Option<String>,
    /// A part of number, customer, project or purchase order number, in any case.
    pub text: Option<String>,
    /// The first and the last day of issue.
    pub issued: (Option<Date>, Option<Date>),
    /// The least and the most that the total with tax may be.
    pub gross: (Option<Decimal>, Option<Decimal>),
    /// The last quote of the page before.
    pub after: Option<Uuid>,
    /// At most so many.
    pub limit: u32,
}

/// A page of quotes, oldest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteListing {
    /// The quotes.
    pub quotes: Vec<QuoteSummary>,
    /// There are more.
    pub more: bool,
}

impl App {
    /// A quote with its current revision.
    ///
    /// # Errors
    /// When there is no such quote.
    pub async fn quote(&self, number: &str) -> Result<QuoteView, AppError> {
        let mut tx = self.db.read().await?;
        let (quote, revision) = found(&mut tx, number).await?;
        QuoteView::of(quote, revision, self.today())
    }

    /// A revision of a quote.
    ///
    /// # Errors
    /// When there is no such quote or revision.
    pub async fn quote_revision(&self, number: &str, revision: i64) -> Result<QuoteView, AppError> {
        let mut tx = self.db.read().await?;
        let (quote, current) = found(&mut tx, number).await?;
        let row = revision_of(&mut tx, (&quote, current), Some(revision)).await?;
        QuoteView::of(quote, row, self.today())
    }

    /// By what a revision of a quote is told from what it was before; of the current one when none is named.
    ///
    /// # Errors
    /// When there is no such quote or revision.
    pub async fn quote_mark(
        &self,
        number: &str,
        revision: Option<i64>,
    ) -> Result<QuoteMark, AppError> {
        let mut tx = self.db.read().await?;
        let (quote, current) = found(&mut tx, number).await?;
        let row = revision_of(&mut tx, (&quote, current), revision).await?;
        let state = stored_state(&row)?.as_of(row.valid_until, self.today());
        Ok(QuoteMark::of(&quote, &row, state))
    }

    /// A page of quotes, every expiry that is due written down first.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn quotes(&self, query: QuoteQuery) -> Result<QuoteListing, AppError> {
        self.expire_due_quotes().await?;
        let mut tx = self.db.read().await?;
        let filter = QuoteFilter {
            state: query.state,
            customer: query.customer,
            project: query.project,
            text: query.text,
            issued: query.issued,
            gross: query.gross,
        };
        let wanted = Page {
            order: Order::OldestFirst,
            after: query.after,
            limit: i64::from(query.limit) + 1,
        };
        let mut quotes = page(&mut tx, &filter, wanted).await?;
        let more = quotes.len() > query.limit as usize;
        quotes.truncate(query.limit as usize);
        Ok(QuoteListing { quotes, more })
    }
}
