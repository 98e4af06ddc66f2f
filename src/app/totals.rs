//! Totals for the books: a pull reads the log of quote changes as it stood when the pull began,
//! each revision once; the next pull goes on where it ended.

use jiff::Timestamp;

use super::{App, AppError};
use crate::shop::quote::{RecordTotals, TaxLine};
use crate::store::quote_changes::{self, Pull};
use crate::store::{Tx, quote_revisions};

pub use crate::store::quote_changes::{ChangeFilter, NumberedChange};

/// Where a pull begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PullFrom {
    /// With everything there is.
    Beginning,
    /// With what changed at an instant or later.
    Instant(Timestamp),
    /// Where an earlier pull ended.
    End(i64),
    /// In the middle of a pull: what it covers, and the last row that was given out.
    Middle {
        /// Only later changes.
        since: i64,
        /// The log as it stood.
        upto: i64,
        /// The last row given out.
        after: i64,
    },
}

/// A page of totals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TotalsPage {
    /// The rows, each with its taxes.
    pub rows: Vec<(NumberedChange, Vec<TaxLine>)>,
    /// Where the pull began.
    pub since: i64,
    /// The log as it stood when the pull began: the next pull begins here.
    pub upto: i64,
    /// There are more rows in this pull.
    pub more: bool,
}

impl App {
    /// A page of totals.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn quote_totals(
        &self,
        from: PullFrom,
        filter: ChangeFilter,
        limit: u32,
    ) -> Result<TotalsPage, AppError> {
        if !matches!(from, PullFrom::Middle { .. }) {
            self.expire_due_quotes().await?;
        }
        let mut tx = self.db.read().await?;
        let (since, upto, after) = match from {
            PullFrom::Middle { since, upto, after } => (since, upto, after),
            other => {
                let since = match other {
                    PullFrom::Instant(instant) => quote_changes::since(&mut tx, instant).await?,
                    PullFrom::End(since) => since,
                    PullFrom::Beginning | PullFrom::Middle { .. } => 0,
                };
                (since, quote_changes::head(&mut tx).await?, 0)
            }
        };
        let pull = Pull {
            since,
            upto,
            after,
            filter,
            limit: i64::from(limit) + 1,
        };
        let mut rows = quote_changes::page(&mut tx, &pull).await?;
        let more = rows.len() > limit as usize;
        rows.truncate(limit as usize);
        let mut taxed = Vec::with_capacity(rows.len());
        for row in rows {
            let taxes = taxes_of(&mut tx, &row).await?;
            taxed.push((row, taxes));
        }
        Ok(TotalsPage {
            rows: taxed,
            since,
            upto,
            more,
        })
    }
}

/// The taxes of a row. Earlier programs wrote none beside it; then they are those of the record.
async fn taxes_of(tx: &mut Tx, row: &NumberedChange) -> Result<Vec<TaxLine>, AppError> {
    let damaged = |source| AppError::Damaged {
        what: "quote",
        source,
    };
    let change = &row.change;
    if let Some(taxes) = &change.taxes {
        return serde_json::from_str(taxes).map_err(damaged);
    }
    let revision = quote_revisions::get(tx, change.quote_id, change.revision)
        .await?
        .ok_or_else(|| AppError::not_found("revision", &change.number))?;
    let record: RecordTotals = serde_json::from_str(&revision.frozen).map_err(damaged)?;
    if (record.totals.net, record.totals.tax) == (change.net, change.tax) {
        return Ok(record.taxes());
    }
    // The draft was written anew since: of what it was then, one tax on all of it is known.
    let tax = &record.shop.pricing.tax;
    Ok(vec![TaxLine {
        name: tax.name.clone(),
        rate: tax.rate,
        base: change.net,
        amount: change.tax,
    }])
}
