//! What changed from one price list to another.

use axum::Json;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::row::PriceItemOut;
use crate::http::auth::{MayEstimate, State};
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::v1::priced::UsedList;
use crate::http::wire::{WirePath, WireQuery, wire_enum, wire_query};
use crate::shop::price_diff::PriceChange;
use crate::shop::price_list::PriceList;
use crate::shop::quote::ListReference;

wire_query! {
    /// Since which list.
    pub struct DiffQuery {
        /// Id of the earlier list.
        #[example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"]
        from: Uuid,
    }
}

wire_enum! {
    /// How an item differs.
    pub enum ChangeWord {
        /// Only the later list has it.
        Added = "added",
        /// Only the earlier list has it.
        Removed = "removed",
        /// Both have it, but not alike.
        Changed = "changed",
    }
}

/// One item that differs.
#[derive(Debug, Serialize, ToSchema)]
pub struct PriceChangeOut {
    /// Its code.
    #[schema(example = "b88-l-2")]
    code: String,
    /// How it differs.
    change: ChangeWord,
    /// As it was; `null` when it is new.
    from: Option<PriceItemOut>,
    /// As it is; `null` when it is gone.
    to: Option<PriceItemOut>,
    /// By how much its price rose, in percent of what it was, as a decimal text; `null` where the
    /// two cannot be compared.
    #[schema(example = "4.2")]
    rise_percent: Option<String>,
}

impl From<&PriceChange> for PriceChangeOut {
    fn from(change: &PriceChange) -> Self {
        let rise = change.rise().map(|share| {
            let percent = (share * rust_decimal::Decimal::ONE_HUNDRED).round_dp(2);
            percent.normalize().to_string()
        });
        let (word, from, to) = match change {
            PriceChange::Added(item) => (ChangeWord::Added, None, Some(item)),
            PriceChange::Removed(item) => (ChangeWord::Removed, Some(item), None),
            PriceChange::Changed { from, to } => (ChangeWord::Changed, Some(from), Some(to)),
        };
        let code = to
            .or(from)
            .map_or_else(String::new, |item| item.code.clone());
        Self {
            code,
            change: word,
            from: from.map(PriceItemOut::from),
            to: to.map(PriceItemOut::from),
            rise_percent: rise,
        }
    }
}

/// Everything in which two lists differ.
#[derive(Debug, Serialize, ToSchema)]
pub struct PriceDiff {
    /// The earlier list.
    from: UsedList,
    /// The later list.
    to: UsedList,
    /// Every item that differs, by code; none when the lists are alike.
    items: Vec<PriceChangeOut>,
}

fn named(list: &PriceList) -> UsedList {
    UsedList::from(&ListReference {
        id: list.id.clone(),
        name: list.name.clone(),
        effective_on: list.effective_on,
    })
}

/// What changed from one price list to another
///
/// Scope `estimate`. Items added, removed, and changed in price, unit or description.
#[utoipa::path(get, path = "/v1/price-lists/{id}/diff", tag = "estimates",
    params(DiffQuery, ("id" = String, Path, format = "uuid", description = "Id of the later list.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "What changed.", body = PriceDiff),
        (status = 404, description = "There is no such price list.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn diff_price_lists(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(query): WireQuery<DiffQuery>,
) -> Result<Json<PriceDiff>, Problem> {
    let (from, to, changes) = state.app().price_changes(query.from, id).await?;
    Ok(Json(PriceDiff {
        from: named(&from),
        to: named(&to),
        items: changes.iter().map(PriceChangeOut::from).collect(),
    }))
}
