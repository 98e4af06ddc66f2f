//! The papers of issued revisions, kept as they were first printed. Rows are only ever added.

use jiff::Timestamp;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx};

/// A paper as it was first printed.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct PaperRow {
    /// The quote.
    pub quote_id: Uuid,
    /// The revision.
    pub revision: i64,
    /// SHA-256 of the content, in lower-case hex.
    pub sha256: String,
    /// The PDF.
    pub content: Vec<u8>,
    /// When it was printed.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
}

/// Keeps a paper, unless the revision has one already; whether it was kept.
///
/// # Errors
/// [`StoreError::Dangling`] when the revision is not there.
pub async fn keep(tx: &mut Tx, paper: &PaperRow) -> Result<bool, StoreError> {
    const SQL: &str = "
        insert into quote_papers (quote_id, revision, sha256, content, at)
        values ($1, $2, $3, $4, $5)
        on conflict (quote_id, revision) do nothing";
    Ok(on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(paper.quote_id)
            .bind(paper.revision)
            .bind(&paper.sha256)
            .bind(&paper.content)
            .bind(Instant(paper.at))
            .execute(db)
            .await?
            .rows_affected()
            == 1
    }))
}

/// The paper of a revision; `None` when it was never printed.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(
    tx: &mut Tx,
    quote_id: Uuid,
    revision: i64,
) -> Result<Option<PaperRow>, StoreError> {
    const SQL: &str = "
        select quote_id, revision, sha256, content, at from quote_papers
        where quote_id = $1 and revision = $2";
    Ok(
        on_backend!(tx, db => sqlx::query_as(SQL).bind(quote_id).bind(revision).fetch_optional(db).await?),
    )
}
