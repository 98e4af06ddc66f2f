//! The settings of the shop.

mod crew;
mod history;
mod logo;
mod mapping;
mod settings;
mod spread;
mod templates;

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

use super::kept::{TrialQuery, check_version_if_given, demand_version, json_tag};
use crate::app::AppError;
use crate::http::auth::{Caller, MayAdmin, Scope, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::problem::{Problem, ProblemBody, Slug};
use crate::http::state::ApiState;
use crate::http::wire::{WireJson, WireQuery};
pub use history::{__path_list_shop_history, list_shop_history};
pub use logo::{
    __path_delete_logo, __path_get_logo, __path_put_logo, delete_logo, get_logo, put_logo,
};
pub use settings::PaperName;
use settings::ShopSettings;
pub use templates::{
    __path_delete_template, __path_get_template, __path_put_template, delete_template,
    get_template, put_template,
};

/// There is one shop, so that its version alone tells versions apart.
const THE_SHOP: Uuid = Uuid::nil();

/// The shop
///
/// Any scope. Who the shop is, how it prices, how it quotes. What comes here can be sent back with `PUT`.
#[utoipa::path(get, path = "/v1/shop", tag = "shop",
    responses(
        (status = 200, description = "The settings that hold now.", body = ShopSettings,
            headers(("ETag" = String, description = "Version, for `If-Match`."))),
        (status = 404, description = "None were set yet.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_shop(caller: Caller, State(state): State<ApiState>) -> Result<Response, Problem> {
    caller.require(Scope::ALL)?;
    match state.app().current_shop().await {
        Ok((shop, version)) => {
            Ok(Tagged(json_tag(THE_SHOP, version), Json(mapping::answer(&shop))).into_response())
        }
        Err(AppError::NoShop) => Err(Problem::new(Slug::NotFound).with_detail(
            "The shop has no settings yet. Enter its name and currency with PUT /v1/shop; the first time needs no If-Match.",
        )),
        Err(error) => Err(error.into()),
    }
}

/// Set up the shop
///
/// Scope `admin`. Replaces the settings whole; earlier ones are kept, and quotes keep those they were
/// made with. The first time needs no `If-Match`, every other time does.
#[utoipa::path(put, path = "/v1/shop", tag = "shop",
    params(TrialQuery,
        ("If-Match" = Option<String>, Header, description = "The `ETag` of the settings that are being changed.", example = "*")),
    request_body(content = ShopSettings, example = json!({
        "letterhead": {"name": "Quay Street Pipe Shop", "address": ["12 Quay Street", "Harbour City"], "phone": "+1 555 0100"},
        "currency": "USD",
        "pricing": {"crew_rate": "48.00", "burden": "35", "tube_waste": "8", "overhead": "15",
            "profit": {"kind": "markup", "percent": "20"}, "tax": {"name": "Sales tax", "rate": "7.25"}},
        "quoting": {"valid_days": 30, "exclusions": ["Delivery"]}})),
    responses(
        (status = 200, description = "The settings as they are now; with `validate_only`, as they would be, without `ETag`.", body = ShopSettings,
            headers(("ETag" = String, description = "The new version.")))))]
pub async fn put_shop(
    _caller: MayAdmin,
    State(state): State<ApiState>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    WireJson(settings): WireJson<ShopSettings>,
) -> Result<Response, Problem> {
    let version = match state.app().current_shop().await {
        Ok((_, version)) => {
            demand_version(&if_match, THE_SHOP, version)?;
            version
        }
        Err(AppError::NoShop) => {
            check_version_if_given(&if_match, THE_SHOP, 0)?;
            0
        }
        Err(error) => return Err(error.into()),
    };
    let shop = settings.to_shop();
    if trial.is_trial() {
        return Ok(Json(mapping::answer(&shop)).into_response());
    }
    let version = state.app().set_shop(&shop, version).await?;
    let body = Json(mapping::answer(&shop));
    Ok((StatusCode::OK, Tagged(json_tag(THE_SHOP, version), body)).into_response())
}
