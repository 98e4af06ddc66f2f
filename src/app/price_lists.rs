//! Price lists: drafts are filled, then published; a published list never changes.

mod rules;

use jiff::Timestamp;
use jiff::civil::Date;
use serde_json::json;
use uuid::Uuid;

use super::audit::{Done, content};
use super::drafts::{SameDay, damaged, frozen, no_overlap, settled, stored_word};
use super::{App, AppError, AppFault, BookState};
use crate::shop::audit::Deed;
use crate::shop::money::Currency;
use crate::shop::price_list::{Heading, ItemKind, PriceBreaks, PriceItem, PriceList, PriceUnit};
use crate::store::price_items::PriceItemRow;
use crate::store::price_lists::PriceListRow;
use crate::store::{Tx, price_items, price_lists};

pub use rules::{CodeFault, canonical_code};

const KIND: &str = "price list";

/// What a price list says of itself, without its items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceListInfo {
    /// Its id.
    pub id: Uuid,
    /// Its name.
    pub name: String,
    /// Who sells at these prices.
    pub supplier: String,
    /// The currency of every price in it.
    pub currency: Currency,
    /// The first day its prices hold.
    pub effective_on: Date,
    /// Whether it may still change.
    pub state: BookState,
    /// When it was added.
    pub created_at: Timestamp,
    /// When it was published, if it was.
    pub published_at: Option<Timestamp>,
    /// Counted from 1 with each change.
    pub version: i64,
}

impl PriceListInfo {
    /// Refuses to go on with a list that never changes again.
    ///
    /// # Errors
    /// [`AppError::Conflict`] that says why.
    pub fn require_draft(&self) -> Result<(), AppError> {
        match self.state {
            BookState::Draft => Ok(()),
            BookState::Published => Err(frozen(KIND, self.id)),
        }
    }
}

/// A price list to be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewPriceList {
    /// Its name.
    pub name: String,
    /// Who sells at these prices.
    pub supplier: String,
    /// The currency of every price in it.
    pub currency: Currency,
    /// The first day its prices hold.
    pub effective_on: Date,
    /// Its items; they have been checked by the rules of this file's [`canonical_code`].
    pub items: Vec<PriceItem>,
}

fn info(row: PriceListRow) -> Result<PriceListInfo, AppError> {
    Ok(PriceListInfo {
        currency: Currency::new(&row.currency).map_err(|no| damaged(KIND, &no.to_string()))?,
        state: stored_word(KIND, &row.state, &BookState::ALL, BookState::word)?,
        id: row.id,
        name: row.name,
        supplier: row.supplier,
        effective_on: row.effective_on,
        created_at: row.created_at,
        published_at: row.published_at,
        version: row.version,
    })
}

fn to_row(item: &PriceItem) -> PriceItemRow {
    PriceItemRow {
        code: item.code.clone(),
        kind: item.kind.word().to_owned(),
        text: item.text.clone(),
        unit: item.unit.word().to_owned(),
        price: item.price,
        stick: None,
        breaks: (!item.breaks.is_empty()).then(|| item.breaks.to_string()),
    }
}

fn from_row(row: PriceItemRow) -> Result<PriceItem, AppError> {
    let table = PriceBreaks::parse(row.breaks.as_deref().unwrap_or_default());
    let breaks = table.and_then(|table| PriceBreaks::new(row.price, table).ok());
    Ok(PriceItem {
        breaks: breaks.ok_or_else(|| damaged(KIND, "price breaks that do not read"))?,
        kind: stored_word(KIND, &row.kind, &ItemKind::ALL, ItemKind::word)?,
        unit: stored_word(KIND, &row.unit, &PriceUnit::ALL, PriceUnit::word)?,
        code: row.code,
        text: row.text,
        price: row.price,
    })
}

async fn find(tx: &mut Tx, id: Uuid) -> Result<PriceListInfo, AppError> {
    let row = price_lists::get(tx, id).await?;
    info(row.ok_or_else(|| AppError::not_found(KIND, id))?)
}

async fn items_of(tx: &mut Tx, id: Uuid) -> Result<Vec<PriceItem>, AppError> {
    let rows = price_items::all(tx, id).await?;
    rows.into_iter().map(from_row).collect()
}

async fn whole(tx: &mut Tx, list: PriceListInfo) -> Result<PriceList, AppError> {
    let items = items_of(tx, list.id).await?;
    let heading = Heading {
        id: list.id.to_string(),
        name: list.name,
        supplier: list.supplier,
        currency: list.currency,
        effective_on: list.effective_on,
    };
    Ok(PriceList::new(heading, items))
}

/// Lists in one currency each hold from a day of their own.
async fn require_own_day(
    tx: &mut Tx,
    draft: &PriceListInfo,
    in_place_of: Option<Uuid>,
) -> Result<(), AppError> {
    let day = draft.effective_on;
    let held = price_lists::in_force(tx, day, Some(draft.currency.code())).await?;
    let other = held.as_ref().filter(|list| list.effective_on == day);
    let other = other.map(|list| SameDay {
        id: list.id,
        name: &list.name,
        day,
    });
    no_overlap(KIND, other, in_place_of)
}

impl App {
    /// What a price list says of itself.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn price_list(&self, id: Uuid) -> Result<PriceListInfo, AppError> {
        let mut tx = self.db().read().await?;
        find(&mut tx, id).await
    }

    /// A price list with its items.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn price_list_items(&self, id: Uuid) -> Result<(PriceListInfo, PriceList), AppError> {
        let mut tx = self.db().read().await?;
        let list = find(&mut tx, id).await?;
        let items = whole(&mut tx, list.clone()).await?;
        Ok((list, items))
    }

    /// Up to `limit` price lists in the order they were added, after the one of that id.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn price_lists(
        &self,
        after: Option<Uuid>,
        limit: u32,
    ) -> Result<Vec<PriceListInfo>, AppError> {
        let mut tx = self.db().read().await?;
        let rows = price_lists::page(&mut tx, after, i64::from(limit)).await?;
        rows.into_iter().map(info).collect()
    }

    /// Makes a draft.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn add_price_list(&self, new: &NewPriceList) -> Result<PriceListInfo, AppError> {
        let mut tx = self.db().write().await?;
        let list = self.insert_price_list(&mut tx, new).await?;
        self.record(&mut tx, done(Deed::PriceListAdded, &list, &new.items))
            .await?;
        tx.commit().await?;
        Ok(list)
    }

    /// Makes a list and publishes it, or does neither.
    ///
    /// # Errors
    /// [`AppError::Unprocessable`] when it has no items, or another in its currency holds from the
    /// same day that it is not said to take the place of.
    pub async fn add_published_price_list(
        &self,
        new: &NewPriceList,
        in_place_of: Option<Uuid>,
    ) -> Result<PriceListInfo, AppError> {
        let mut tx = self.db().write().await?;
        let draft = self.insert_price_list(&mut tx, new).await?;
        let added = done(Deed::PriceListAdded, &draft, &new.items);
        let list = self.publish_in(&mut tx, draft, in_place_of).await?;
        self.record(&mut tx, added).await?;
        self.record(&mut tx, published(&list, &new.items, in_place_of))
            .await?;
        tx.commit().await?;
        Ok(list)
    }

    async fn insert_price_list(
        &self,
        tx: &mut Tx,
        new: &NewPriceList,
    ) -> Result<PriceListInfo, AppError> {
        let row = PriceListRow {
            id: self.new_id(),
            name: new.name.clone(),
            supplier: new.supplier.clone(),
            currency: new.currency.code().to_owned(),
            state: BookState::Draft.word().to_owned(),
            effective_on: new.effective_on,
            created_at: self.now(),
            published_at: None,
            version: 1,
        };
        price_lists::insert(tx, &row).await?;
        if !new.items.is_empty() {
            put_items(tx, row.id, row.version, &new.items).await?;
        }
        find(tx, row.id).await
    }

    /// Puts these items in place of all items of a draft that is at version `expected`.
    ///
    /// # Errors
    /// [`AppError::NotFound`], [`AppError::Stale`], or [`AppError::Conflict`] when it is published.
    pub async fn replace_price_items(
        &self,
        id: Uuid,
        expected: i64,
        items: &[PriceItem],
    ) -> Result<PriceListInfo, AppError> {
        let mut tx = self.db().write().await?;
        put_items(&mut tx, id, expected, items).await?;
        let list = find(&mut tx, id).await?;
        self.record(&mut tx, done(Deed::PriceItemsReplaced, &list, items))
            .await?;
        tx.commit().await?;
        Ok(list)
    }

    /// Publishes a draft that is at version `expected`.
    ///
    /// # Errors
    /// [`AppError::NotFound`], [`AppError::Stale`], [`AppError::Conflict`] when it is published already,
    /// [`AppError::Unprocessable`] when it has no items, or another in its currency holds from the
    /// same day that it is not said to take the place of.
    pub async fn publish_price_list(
        &self,
        id: Uuid,
        expected: i64,
        in_place_of: Option<Uuid>,
    ) -> Result<PriceListInfo, AppError> {
        let mut tx = self.db().write().await?;
        let draft = find(&mut tx, id).await?;
        if draft.version != expected {
            draft.require_draft()?;
            return Err(AppError::Stale);
        }
        let list = self.publish_in(&mut tx, draft, in_place_of).await?;
        let items = items_of(&mut tx, id).await?;
        self.record(&mut tx, published(&list, &items, in_place_of))
            .await?;
        tx.commit().await?;
        Ok(list)
    }

    /// Says what publishing would say, and does nothing.
    ///
    /// # Errors
    /// As [`App::publish_price_list`].
    pub async fn try_publish_price_list(
        &self,
        id: Uuid,
        in_place_of: Option<Uuid>,
    ) -> Result<(), AppError> {
        let mut tx = self.db().read().await?;
        let draft = find(&mut tx, id).await?;
        draft.require_draft()?;
        require_items(&mut tx, id).await?;
        require_own_day(&mut tx, &draft, in_place_of).await
    }

    async fn publish_in(
        &self,
        tx: &mut Tx,
        draft: PriceListInfo,
        in_place_of: Option<Uuid>,
    ) -> Result<PriceListInfo, AppError> {
        draft.require_draft()?;
        require_items(tx, draft.id).await?;
        require_own_day(tx, &draft, in_place_of).await?;
        let done = price_lists::publish(tx, draft.id, draft.version, self.now()).await?;
        settled(KIND, draft.id, done)?;
        find(tx, draft.id).await
    }

    /// The prices that an estimate of a day rests on: the list that is named, be it a draft or not; else the
    /// published list in that currency that took effect last.
    ///
    /// # Errors
    /// [`AppError::NotFound`] for a name that is none, [`AppError::NothingInForce`] when no published list holds.
    pub async fn price_list_in_force(
        &self,
        tx: &mut Tx,
        on: Date,
        currency: Currency,
        chosen: Option<Uuid>,
    ) -> Result<PriceList, AppError> {
        let list = match chosen {
            Some(id) => find(tx, id).await?,
            None => {
                let row = price_lists::in_force(tx, on, Some(currency.code())).await?;
                info(row.ok_or_else(|| nothing_in_force(on, currency))?)?
            }
        };
        whole(tx, list).await
    }

    /// The list of an id with its items, within other work.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub(super) async fn whole_price_list(
        &self,
        tx: &mut Tx,
        id: Uuid,
    ) -> Result<PriceList, AppError> {
        let list = find(tx, id).await?;
        whole(tx, list).await
    }
}

/// What is written down of a list: its heading, and the digest of its prices, sorted by their codes.
fn done(deed: Deed, list: &PriceListInfo, items: &[PriceItem]) -> Done {
    let mut lines: Vec<String> = items.iter().map(line).collect();
    lines.sort_unstable();
    Done::new(deed, list.id).version(list.version).with(json!({
        "name": list.name,
        "effective_on": list.effective_on.to_string(),
        "items": items.len(),
        "content": content(&lines.concat()),
    }))
}

/// An item as one line, fields between tabs; the price without zeros that say nothing.
fn line(item: &PriceItem) -> String {
    let row = to_row(item);
    let price = row.price.normalize().to_string();
    let breaks = row.breaks.unwrap_or_default();
    format!(
        "{}\t{}\t{}\t{}\t{price}\t{breaks}\n",
        row.code, row.kind, row.text, row.unit
    )
}

fn published(list: &PriceListInfo, items: &[PriceItem], in_place_of: Option<Uuid>) -> Done {
    done(Deed::PriceListPublished, list, items).with(json!({"in_place_of": in_place_of}))
}

fn nothing_in_force(on: Date, currency: Currency) -> AppError {
    AppError::NothingInForce(format!(
        "No published price list in {currency} holds on {on}. Make one with POST /v1/price-lists and publish it with POST /v1/price-lists/ID/publish, with an effective_on of that day or before; or name a draft as `price_list`."
    ))
}

async fn put_items(
    tx: &mut Tx,
    id: Uuid,
    expected: i64,
    items: &[PriceItem],
) -> Result<i64, AppError> {
    let rows: Vec<PriceItemRow> = items.iter().map(to_row).collect();
    settled(
        KIND,
        id,
        price_items::replace(tx, id, expected, &rows).await?,
    )
}

async fn require_items(tx: &mut Tx, id: Uuid) -> Result<(), AppError> {
    match price_items::all(tx, id).await?.len() {
        0 => Err(AppError::Unprocessable {
            detail:
                "The price list has no items, so there is nothing to publish. Put its items first."
                    .to_owned(),
            faults: Vec::<AppFault>::new(),
        }),
        _ => Ok(()),
    }
}
