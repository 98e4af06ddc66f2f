//! Writing quotes: a new one, a draft written anew, another revision.

use super::freeze::FrozenQuote;
use super::moves::again_while_stale;
use super::{QuoteView, stored_state};
use crate::app::changes::{Change, log_changes};
use crate::app::{App, AppError};
use crate::shop::audit::Deed;
use crate::shop::quote::{Move, State};
use crate::store::quote_revisions::RevisionRow;
use crate::store::quotes::QuoteRow;
use crate::store::{Tx, Written, counters, quote_revisions, quotes};

/// The counter that quote numbers come from: one for all years, so that no number ever repeats.
const NUMBERS: &str = "quote_number";

impl App {
    /// Stores a new quote as a draft, with the next number.
    ///
    /// # Errors
    /// When the database fails; then no number is used up.
    pub async fn create_quote(&self, frozen: &FrozenQuote) -> Result<QuoteView, AppError> {
        self.add_quote(frozen, None).await
    }

    /// The same, for a quote that was copied from a revision of another.
    ///
    /// # Errors
    /// As [`App::create_quote`].
    pub async fn create_copy(
        &self,
        frozen: &FrozenQuote,
        of: &QuoteView,
    ) -> Result<QuoteView, AppError> {
        let of = format!("{}/{}", of.quote.number, of.revision.revision);
        self.add_quote(frozen, Some(&of)).await
    }

    async fn add_quote(
        &self,
        frozen: &FrozenQuote,
        copied_from: Option<&str>,
    ) -> Result<QuoteView, AppError> {
        let deed = match copied_from {
            Some(_) => Deed::QuoteCopied,
            None => Deed::QuoteCreated,
        };
        let now = self.now();
        let mut tx = self.db.write().await?;
        let number = self.next_number(&mut tx, frozen).await?;
        let quote = QuoteRow {
            id: self.new_id(),
            number,
            customer: frozen.record.customer.name.clone(),
            project: frozen.record.project.clone(),
            created_at: now,
            current_revision: 1,
            version: 1,
        };
        let revision = self.draft(&quote, 1, frozen)?;
        quotes::insert(&mut tx, &quote, &revision).await?;
        let made = Change {
            copied_from,
            ..Change::new(self, deed, (&quote, &revision))
        };
        log_changes(&mut tx, &[made]).await?;
        tx.commit().await?;
        QuoteView::of(quote, revision, self.today())
    }

    /// The next number that no quote has: under a pattern of before, one may have it already.
    async fn next_number(&self, tx: &mut Tx, frozen: &FrozenQuote) -> Result<String, AppError> {
        loop {
            let seq = counters::next(tx, NUMBERS).await?;
            let number = frozen.record.shop.quoting.number(self.today().year(), seq);
            if !quotes::is_there(tx, &number).await? {
                return Ok(number);
            }
        }
    }

    /// A quote as it would be stored, without a number; nothing is stored.
    ///
    /// # Errors
    /// When it cannot be written: a fault of this program.
    pub fn preview_quote(&self, frozen: FrozenQuote) -> Result<QuoteView, AppError> {
        let quote = QuoteRow {
            id: self.new_id(),
            number: String::new(),
            customer: frozen.record.customer.name.clone(),
            project: frozen.record.project.clone(),
            created_at: self.now(),
            current_revision: 1,
            version: 0,
        };
        let revision = self.draft(&quote, 1, &frozen)?;
        Ok(QuoteView {
            quote,
            revision,
            record: frozen.record,
            state: State::Draft,
            ordered: None,
        })
    }

    /// Writes the current draft of a quote anew.
    ///
    /// # Errors
    /// When there is no such quote, its current revision is no draft, or it changed since `expected`.
    pub async fn rewrite_draft(
        &self,
        number: &str,
        expected: i64,
        frozen: &FrozenQuote,
    ) -> Result<QuoteView, AppError> {
        let mut tx = self.db.write().await?;
        let (mut quote, current) = found(&mut tx, number).await?;
        let state = stored_state(&current)?;
        if state != State::Draft {
            return Err(AppError::Conflict(format!(
                "revision {} of {number} is {}; only a draft can be written anew. Make another revision",
                current.revision,
                state.word()
            )));
        }
        let draft = RevisionRow {
            created_at: current.created_at,
            ..self.draft(&quote, current.revision, frozen)?
        };
        quote.version = done(
            quote_revisions::update_draft(&mut tx, expected, &draft).await?,
            number,
        )?;
        quote.customer.clone_from(&frozen.record.customer.name);
        quote.project.clone_from(&frozen.record.project);
        quotes::readdress(&mut tx, quote.id, &quote.customer, &quote.project).await?;
        self.log_change(&mut tx, Deed::QuoteRewritten, (&quote, &draft))
            .await?;
        tx.commit().await?;
        QuoteView::of(quote, draft, self.today())
    }

    /// Adds a revision, a draft, and makes it the current one.
    ///
    /// # Errors
    /// When there is no such quote, its state allows no revision, or it changed since `expected`.
    pub async fn revise_quote(
        &self,
        number: &str,
        expected: Option<i64>,
        frozen: &FrozenQuote,
    ) -> Result<QuoteView, AppError> {
        again_while_stale(expected, || self.try_revise(number, expected, frozen)).await
    }

    async fn try_revise(
        &self,
        number: &str,
        expected: Option<i64>,
        frozen: &FrozenQuote,
    ) -> Result<QuoteView, AppError> {
        let mut tx = self.db.write().await?;
        let (mut quote, current) = found(&mut tx, number).await?;
        stored_state(&current)?
            .as_of(current.valid_until, self.today())
            .make(Move::Revise)?;
        let expected = expected.unwrap_or(quote.version);
        // Not the one after the current: a draft after that may have been given up.
        let last = quote_revisions::last(&mut tx, quote.id).await?;
        let draft = self.draft(&quote, last + 1, frozen)?;
        quote.version = done(
            quote_revisions::insert(&mut tx, expected, &draft).await?,
            number,
        )?;
        quote.current_revision = draft.revision;
        quote.customer.clone_from(&frozen.record.customer.name);
        quote.project.clone_from(&frozen.record.project);
        quotes::readdress(&mut tx, quote.id, &quote.customer, &quote.project).await?;
        self.log_change(&mut tx, Deed::QuoteRevised, (&quote, &draft))
            .await?;
        tx.commit().await?;
        QuoteView::of(quote, draft, self.today())
    }

    fn draft(
        &self,
        quote: &QuoteRow,
        revision: i64,
        frozen: &FrozenQuote,
    ) -> Result<RevisionRow, AppError> {
        let now = self.now();
        let stored = frozen.stored()?;
        let totals = &frozen.record.totals;
        Ok(RevisionRow {
            quote_id: quote.id,
            revision,
            state: State::Draft.word().to_owned(),
            frozen: stored.frozen,
            currency: totals.currency.code().to_owned(),
            net: totals.net,
            tax: totals.tax,
            gross: totals.gross,
            heads: stored.heads,
            valid_until: frozen.valid_until,
            issued_on: None,
            accepted_on: None,
            accepted_by: None,
            po_number: None,
            reason: None,
            ordered: None,
            price_list_id: frozen.price_list,
            labour_model_id: frozen.labour_model,
            created_at: now,
            changed_at: now,
        })
    }
}

/// The quote of a number with its current revision.
pub(in crate::app) async fn found(
    tx: &mut Tx,
    number: &str,
) -> Result<(QuoteRow, RevisionRow), AppError> {
    quotes::get(tx, number)
        .await?
        .ok_or_else(|| AppError::not_found("quote", number))
}

/// A revision of a quote that was found; the current one when none is named.
pub(in crate::app) async fn revision_of(
    tx: &mut Tx,
    (quote, current): (&QuoteRow, RevisionRow),
    wanted: Option<i64>,
) -> Result<RevisionRow, AppError> {
    match wanted {
        Some(wanted) if wanted != current.revision => quote_revisions::get(tx, quote.id, wanted)
            .await?
            .ok_or_else(|| AppError::not_found("revision", format!("{}/{wanted}", quote.number))),
        _ => Ok(current),
    }
}

/// The new version, or why nothing was written.
pub(super) fn done(written: Written, number: &str) -> Result<i64, AppError> {
    match written {
        Written::Done(version) => Ok(version),
        Written::Missing => Err(AppError::not_found("quote", number)),
        Written::Stale => Err(AppError::Stale),
        Written::Fixed => Err(AppError::Conflict(format!(
            "this revision of {number} is no longer a draft"
        ))),
    }
}
