//! Totals for the books: a pull reads the log of quote changes as it stood when the pull began,
//! each revision once; the next pull goes on where it ended.

use jiff::Timestamp;

use super::{App, AppError};
use crate::store::quote_changes::{self, Pull};

pub use crate::store::quote_changes::NumberedChange;

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
    /// The rows.
    pub rows: Vec<NumberedChange>,
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
        states: Vec<String>,
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
            states,
            limit: i64::from(limit) + 1,
        };
        let mut rows = quote_changes::page(&mut tx, &pull).await?;
        let more = rows.len() > limit as usize;
        rows.truncate(limit as usize);
        Ok(TotalsPage {
            rows,
            since,
            upto,
            more,
        })
    }
}
