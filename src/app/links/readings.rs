//! What is only read by a link: figures and papers of a quote, and the totals. Reading leaves no trace but
//! for papers: a spreadsheet asks again whenever it works out its cells.

use uuid::Uuid;

use super::Link;
use crate::app::quotes::QuoteView;
use crate::app::totals::{ChangeFilter, PullFrom, TotalsPage};
use crate::app::{App, AppError};
use crate::shop::link::{Act, Purpose, Standing};
use crate::store::links::{self, LinkRow};
use crate::store::{Tx, quote_revisions};

/// Rows of totals that a link gives at most.
const MOST_TOTALS: u32 = 20_000;

/// A page of links, in the order they were made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LinkListing {
    /// The links.
    pub links: Vec<Link>,
    /// There are more.
    pub more: bool,
}

impl App {
    /// The quote whose figures a link opens, as it stands today.
    ///
    /// # Errors
    /// When no link has that token, or it has ended.
    pub async fn linked_total(&self, token: &str) -> Result<QuoteView, AppError> {
        let mut tx = self.db.read().await?;
        let link = self.live_link(&mut tx, token, Purpose::QuoteTotal).await?;
        self.newest_of(&mut tx, &link).await
    }

    /// The quote whose paper a link opens; `is_fetched` writes down that it was.
    ///
    /// # Errors
    /// When no link has that token, or it has ended.
    pub async fn linked_document(
        &self,
        token: &str,
        is_fetched: bool,
    ) -> Result<QuoteView, AppError> {
        let mut tx = self.db.read().await?;
        let link = self
            .live_link(&mut tx, token, Purpose::QuoteDocument)
            .await?;
        let view = self.newest_of(&mut tx, &link).await?;
        drop(tx);
        if is_fetched {
            let mut tx = self.db.write().await?;
            links::record(&mut tx, &self.link_event(link.id, Act::Downloaded)).await?;
            tx.commit().await?;
        }
        Ok(view)
    }

    /// The totals that a link opens, all at once.
    ///
    /// # Errors
    /// When no link has that token, it has ended, or there are more rows than one answer may have.
    pub async fn linked_totals(
        &self,
        token: &str,
        from: PullFrom,
        filter: ChangeFilter,
    ) -> Result<TotalsPage, AppError> {
        let mut tx = self.db.read().await?;
        self.live_link(&mut tx, token, Purpose::Totals).await?;
        drop(tx);
        let page = self.quote_totals(from, filter, MOST_TOTALS).await?;
        if page.more {
            return Err(AppError::Conflict(format!(
                "There are more than {MOST_TOTALS} totals; ask for less with changed_since, state, or days of issue or acceptance."
            )));
        }
        Ok(page)
    }

    /// A page of all links.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn links(&self, after: Option<Uuid>, limit: u32) -> Result<LinkListing, AppError> {
        let mut tx = self.db.read().await?;
        let mut rows = links::page(&mut tx, after, i64::from(limit) + 1).await?;
        let more = rows.len() > limit as usize;
        rows.truncate(limit as usize);
        let mut listed = Vec::with_capacity(rows.len());
        for row in rows {
            listed.push(self.described(&mut tx, row).await?);
        }
        Ok(LinkListing {
            links: listed,
            more,
        })
    }

    async fn live_link(
        &self,
        tx: &mut Tx,
        token: &str,
        purpose: Purpose,
    ) -> Result<LinkRow, AppError> {
        let (link, standing) = self.find_link(tx, token, purpose).await?;
        match standing {
            Standing::Live => Ok(link),
            Standing::Expired | Standing::Revoked => Err(AppError::LinkEnded(standing.word())),
        }
    }

    /// The revision a link names, else the newest that was issued.
    async fn newest_of(&self, tx: &mut Tx, link: &LinkRow) -> Result<QuoteView, AppError> {
        let view = self.linked_quote(tx, link).await?;
        if link.revision.is_some() {
            return Ok(view);
        }
        let newest = quote_revisions::newest_issued(tx, view.quote.id)
            .await?
            .ok_or_else(|| AppError::not_found("revision", "that was issued"))?;
        QuoteView::of(view.quote, newest, self.today())
    }
}
