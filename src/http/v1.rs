//! Version 1 of the interface: one file per resource.

pub mod audit;
pub mod bulk;
pub mod check;
pub mod compare;
mod customers;
pub mod cut_plans;
mod derivation;
pub mod estimates;
mod figures;
pub mod fillers;
pub mod findings;
mod fittings;
pub mod flow;
pub mod forming_profiles;
mod kept;
mod labour_models;
pub mod layout;
mod lengths;
pub mod links;
pub mod manifold;
pub mod offcuts;
pub mod price_lists;
pub mod priced;
pub mod quote_totals;
pub mod quotes;
mod risk;
mod rows;
mod rule_sets;
mod schedules;
mod sheet;
mod shop;
pub mod size;
pub mod tubes;
pub mod units;
pub mod webhooks;
mod words;

use super::idempotency::idempotent;
use super::state::ApiState;
use super::wire::UPLOAD_LIMIT;
use axum::Extension;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Every resource, one line each. POST calls that make or move something stand in
/// [`idempotent`](super::idempotency::idempotent).
pub fn routes(state: &ApiState) -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .merge(looking_up())
        .routes(routes!(shop::get_shop, shop::put_shop))
        .routes(routes!(shop::list_shop_history))
        .routes(routes!(shop::get_logo, shop::put_logo, shop::delete_logo))
        .routes(routes!(
            shop::get_template,
            shop::put_template,
            shop::delete_template
        ))
        .merge(forming().layer(Extension(UPLOAD_LIMIT)))
        .merge(idempotent(customers(), state))
        .merge(idempotent(rack(), state))
        .merge(idempotent(books(), state).layer(Extension(UPLOAD_LIMIT)))
        .merge(checking())
        .merge(idempotent(estimating(), state))
        .merge(idempotent(quoting(), state))
        .merge(linking())
        .merge(noticing())
        .routes(routes!(quote_totals::list_quote_totals))
        .routes(routes!(audit::list_audit_entries))
        .routes(routes!(audit::verify_audit))
}

fn looking_up() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(units::list_units))
        .routes(routes!(tubes::list_tubes))
        .routes(routes!(tubes::get_tube))
        .routes(routes!(tubes::get_tube_rating))
        .routes(routes!(fillers::list_fillers))
        .routes(routes!(fillers::get_filler))
        .routes(routes!(fittings::list_fittings))
        .routes(routes!(fittings::get_fitting))
        .routes(routes!(rule_sets::list_rule_sets))
        .routes(routes!(rule_sets::get_rule_set))
}

/// What the shop can draw, which may come as a large sheet.
fn forming() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(forming_profiles::list_forming_profiles))
        .routes(routes!(forming_profiles::get_blank_forming_profile))
        .routes(routes!(
            forming_profiles::get_forming_profile,
            forming_profiles::put_forming_profile
        ))
}

fn checking() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(check::check_manifolds))
        .routes(routes!(layout::lay_out_manifolds))
        .routes(routes!(flow::work_out_flows))
        .routes(routes!(size::size_manifolds))
}

fn estimating() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(estimates::create_estimate))
        .routes(routes!(compare::create_comparison))
}

fn quoting() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(quotes::create_quote, quotes::list_quotes))
        .routes(routes!(quotes::get_quote, quotes::replace_quote))
        .routes(routes!(quotes::issue_quote))
        .routes(routes!(quotes::accept_quote))
        .routes(routes!(quotes::decline_quote))
        .routes(routes!(quotes::withdraw_quote))
        .routes(routes!(quotes::create_quote_revision))
        .routes(routes!(quotes::copy_quote))
        .routes(routes!(quotes::get_quote_changes))
        .routes(routes!(quotes::get_quote_revision))
        .routes(routes!(quotes::get_quote_document))
}

/// Webhooks come with a secret that is shown once, so their answers are not kept for retries.
fn noticing() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(webhooks::create_webhook, webhooks::list_webhooks))
        .routes(routes!(webhooks::get_webhook))
        .routes(routes!(webhooks::rotate_webhook_secret))
        .routes(routes!(webhooks::disable_webhook))
        .routes(routes!(webhooks::enable_webhook))
        .routes(routes!(webhooks::list_deliveries))
        .routes(routes!(webhooks::replay_delivery))
}

/// Links hold a token that is shown once, so their answers are not kept for retries.
fn linking() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(links::create_quote_link, links::list_quote_links))
        .routes(routes!(links::create_totals_link, links::list_links))
        .routes(routes!(links::get_link))
        .routes(routes!(links::revoke_link))
}

fn customers() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(
            customers::create_customer,
            customers::list_customers
        ))
        .routes(routes!(
            customers::get_customer,
            customers::replace_customer
        ))
}

/// Sticks, and what is left of them.
fn rack() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(cut_plans::create_cut_plan))
        .routes(routes!(offcuts::create_offcut, offcuts::list_offcuts))
        .routes(routes!(offcuts::get_offcut))
        .routes(routes!(offcuts::reserve_offcut))
        .routes(routes!(offcuts::take_offcut))
        .routes(routes!(offcuts::return_offcut))
}

/// Prices and times may come as large sheets.
fn books() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(
            price_lists::create_price_list,
            price_lists::list_price_lists
        ))
        .routes(routes!(price_lists::get_price_list))
        .routes(routes!(
            price_lists::items::get_price_items,
            price_lists::items::replace_price_items
        ))
        .routes(routes!(price_lists::publish_price_list))
        .routes(routes!(price_lists::diff::diff_price_lists))
        .routes(routes!(price_lists::reprice::reprice_open_quotes))
        .routes(routes!(
            labour_models::create_labour_model,
            labour_models::list_labour_models
        ))
        .routes(routes!(schedules::price_schedule))
        .routes(routes!(schedules::quote_schedule))
        .routes(routes!(schedules::get_blank_schedule))
        .routes(routes!(labour_models::times::get_blank_times))
        .routes(routes!(labour_models::get_labour_model))
        .routes(routes!(
            labour_models::times::get_times,
            labour_models::times::replace_times
        ))
        .routes(routes!(
            labour_models::conditions::get_conditions,
            labour_models::conditions::replace_conditions
        ))
        .routes(routes!(
            labour_models::repetition::get_repetition,
            labour_models::repetition::replace_repetition
        ))
        .routes(routes!(labour_models::publish_labour_model))
}
