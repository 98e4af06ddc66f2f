//! The paper of an issued revision, kept as it was first printed: whatever later becomes of the
//! program, its fonts or its templates, the same revision is the same bytes.

use serde_json::json;

use super::QuoteView;
use crate::app::audit::{Done, sha256};
use crate::app::{App, AppError};
use crate::shop::audit::Deed;
use crate::store::quote_papers::{self, PaperRow};

/// A paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptPaper {
    /// The PDF.
    pub content: Vec<u8>,
    /// Its SHA-256 in lower-case hex, where the paper is kept: that of a draft is not.
    pub sha256: Option<String>,
}

impl App {
    /// The paper that is kept of a revision; `None` when it was never printed.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn kept_paper(&self, view: &QuoteView) -> Result<Option<KeptPaper>, AppError> {
        if view.revision.issued_on.is_none() {
            return Ok(None);
        }
        let mut tx = self.db.read().await?;
        let kept = quote_papers::get(&mut tx, view.quote.id, view.revision.revision).await?;
        Ok(kept.map(paper))
    }

    /// Keeps the paper of an issued revision and gives back what is kept, which is that of whoever was
    /// first. The paper of a draft is given back as it is.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn keep_paper(
        &self,
        view: &QuoteView,
        content: Vec<u8>,
    ) -> Result<KeptPaper, AppError> {
        if view.revision.issued_on.is_none() {
            return Ok(KeptPaper {
                content,
                sha256: None,
            });
        }
        let (quote, revision) = (&view.quote, view.revision.revision);
        let printed = PaperRow {
            quote_id: quote.id,
            revision,
            sha256: sha256(&content),
            content,
            at: self.now(),
        };
        let mut tx = self.db.write().await?;
        if !quote_papers::keep(&mut tx, &printed).await? {
            let kept = quote_papers::get(&mut tx, quote.id, revision).await?;
            return Ok(paper(kept.unwrap_or(printed)));
        }
        let detail = json!({"sha256": printed.sha256});
        let done = Done::new(Deed::QuotePrinted, &quote.number).version(revision);
        self.record(&mut tx, done.with(detail)).await?;
        tx.commit().await?;
        Ok(paper(printed))
    }
}

fn paper(row: PaperRow) -> KeptPaper {
    KeptPaper {
        content: row.content,
        sha256: Some(row.sha256),
    }
}
