//! Logos and templates of the shop, by their digest. They are only added.

use jiff::Timestamp;
use sqlx::FromRow;

use super::columns::Instant;
use super::db::on_backend;
use super::{StoreError, Tx};

/// A file.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct ShopFileRow {
    /// The digest of its content.
    pub digest: String,
    /// What kind of file.
    pub media_type: String,
    /// Its content.
    pub content: Vec<u8>,
    /// When it was first put there.
    #[sqlx(try_from = "Instant")]
    pub at: Timestamp,
}

/// Adds a file; one that is there already stays as it is.
///
/// # Errors
/// Any [`StoreError`] of a write.
pub async fn insert(tx: &mut Tx, file: &ShopFileRow) -> Result<(), StoreError> {
    const SQL: &str = "
        insert into shop_files (digest, media_type, content, at) values ($1, $2, $3, $4)
        on conflict (digest) do nothing";
    on_backend!(tx, db => {
        sqlx::query(SQL)
            .bind(&file.digest)
            .bind(&file.media_type)
            .bind(&file.content)
            .bind(Instant(file.at))
            .execute(db)
            .await?;
    });
    Ok(())
}

/// The file of a digest.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn get(tx: &mut Tx, digest: &str) -> Result<Option<ShopFileRow>, StoreError> {
    const SQL: &str = "select digest, media_type, content, at from shop_files where digest = $1";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(digest).fetch_optional(db).await?))
}
