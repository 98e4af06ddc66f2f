//! The items of a price list.

use rust_decimal::Decimal;
use sqlx::FromRow;
use uuid::Uuid;

use super::columns::Exact;
use super::db::on_backend;
use super::{StoreError, Tx, Written, price_lists};

/// One item of a price list.
#[derive(Debug, Clone, PartialEq, Eq, FromRow)]
pub struct PriceItemRow {
    /// What it is known by; unique in its list.
    pub code: String,
    /// What kind of thing it is: tube, fitting, filler and so on.
    pub kind: String,
    /// What people read.
    pub text: String,
    /// The unit the price is for.
    pub unit: String,
    /// The price of one unit, in the currency of the list.
    #[sqlx(try_from = "Exact")]
    pub price: Decimal,
    /// The length it is sold in, as written, for tube.
    pub stick: Option<String>,
    /// Lower prices from a quantity on, as written.
    pub breaks: Option<String>,
}

/// Puts these items in place of all items of a draft list. [`Written::Missing`], [`Written::Stale`] or
/// [`Written::Fixed`], and nothing changed, when there is no draft at the version expected.
///
/// # Errors
/// [`StoreError::Conflict`] when a code comes twice; nothing is to be kept of the transaction then.
pub async fn replace(
    tx: &mut Tx,
    list: Uuid,
    expected: i64,
    items: &[PriceItemRow],
) -> Result<Written, StoreError> {
    const CLEAR: &str = "delete from price_items where list_id = $1";
    const INSERT: &str = "
        insert into price_items (list_id, code, kind, text, unit, price, stick, breaks)
        values ($1, $2, $3, $4, $5, $6, $7, $8)";
    let touched = price_lists::touch(tx, list, expected).await?;
    if !matches!(touched, Written::Done(_)) {
        return Ok(touched);
    }
    on_backend!(tx, db => {
        sqlx::query(CLEAR).bind(list).execute(&mut *db).await?;
        for item in items {
            sqlx::query(INSERT)
                .bind(list)
                .bind(&item.code)
                .bind(&item.kind)
                .bind(&item.text)
                .bind(&item.unit)
                .bind(Exact(item.price))
                .bind(&item.stick)
                .bind(&item.breaks)
                .execute(&mut *db)
                .await?;
        }
    });
    Ok(touched)
}

/// The items of a list, by code in the order of its bytes. Empty when the list has none or is not there.
///
/// # Errors
/// Any [`StoreError`] of a read.
pub async fn all(tx: &mut Tx, list: Uuid) -> Result<Vec<PriceItemRow>, StoreError> {
    const SQL: &str = "
        select code, kind, text, unit, price, stick, breaks
        from price_items where list_id = $1 order by code";
    Ok(on_backend!(tx, db => sqlx::query_as(SQL).bind(list).fetch_all(db).await?))
}
