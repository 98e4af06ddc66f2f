//! The settings of the shop as they were.

use axum::http::Uri;
use serde::{Serialize, Serializer};
use utoipa::ToSchema;

use super::mapping;
use super::settings::ShopSettings;
use crate::app::shop::ShopVersion;
use crate::http::auth::{MayAdmin, State};
use crate::http::paging::{Cursor, Limit, Page};
use crate::http::problem::Problem;
use crate::http::state::ApiState;
use crate::http::v1::kept::instant;
use crate::http::wire::{WireQuery, wire_query};
use crate::shop::own::{OwnFiles, TemplateName};
use crate::shop::settings::Shop;

wire_query! {
    /// Which page.
    pub struct HistoryQuery {
        /// Items of a page.
        #[example = 50]
        limit: Option<Limit>,
        /// Where to go on: a cursor out of `next`.
        after: Option<Cursor>,
    }
}

/// The settings as they were from some moment on.
#[derive(Debug, Serialize, ToSchema)]
pub struct ShopVersionOut {
    /// Counted from 1 with each change.
    #[schema(example = 2)]
    version: i64,
    /// When they were set.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    changed_at: String,
    /// What the shop had put in place of ours on documents: `logo`, `quote.html`, `quote.typ`.
    #[schema(value_type = Vec<String>, example = json!(["logo"]))]
    own_files: Vec<&'static str>,
    /// The settings, as `PUT /v1/shop` takes them.
    #[serde(serialize_with = "settings")]
    #[schema(value_type = ShopSettings)]
    settings: Shop,
}

fn settings<S: Serializer>(shop: &Shop, serializer: S) -> Result<S::Ok, S::Error> {
    mapping::answer(shop).serialize(serializer)
}

fn own_files(own: &OwnFiles) -> Vec<&'static str> {
    let logo = own.logo.as_ref().map(|_| "logo");
    let templates = TemplateName::ALL.into_iter();
    let templates = templates.filter(|name| own.template(*name).is_some());
    logo.into_iter()
        .chain(templates.map(TemplateName::file))
        .collect()
}

impl From<ShopVersion> for ShopVersionOut {
    fn from(known: ShopVersion) -> Self {
        Self {
            version: known.version,
            changed_at: instant(known.changed_at),
            own_files: own_files(&known.shop.own),
            settings: known.shop,
        }
    }
}

/// The settings as they were
///
/// Scope `admin`. Every version, newest first. A quote keeps the settings it was made with,
/// whatever becomes of them later.
#[utoipa::path(get, path = "/v1/shop/history", tag = "shop", params(HistoryQuery),
    responses((status = 200, description = "A page of versions.", body = Page<ShopVersionOut>)))]
pub async fn list_shop_history(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<HistoryQuery>,
    uri: Uri,
) -> Result<Page<ShopVersionOut>, Problem> {
    let before: Option<i64> = query.after.as_ref().map(Cursor::key).transpose()?;
    let size = query.limit.unwrap_or_default().get();
    let mut found = state
        .app()
        .shop_history(before, size.saturating_add(1))
        .await?;
    let more = found.len() > size as usize;
    found.truncate(size as usize);
    let next = match found.last() {
        Some(last) if more => Some(Cursor::of(&last.version)?),
        _ => None,
    };
    let found = found.into_iter().map(ShopVersionOut::from);
    Ok(Page::new(found.collect(), next, &uri))
}
