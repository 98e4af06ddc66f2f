//! Who quotes go to.

use axum::Json;
use axum::http::Uri;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::kept::{ListQuery, Trial, TrialQuery, created, demand_version, instant, json_tag};
use crate::app::customers::KnownCustomer;
use crate::http::auth::{MayEstimate, State};
use crate::http::etag::{IfMatch, Tagged};
use crate::http::idempotency::IdempotencyKey;
use crate::http::paging::Page;
use crate::http::problem::{Problem, ProblemBody};
use crate::http::state::ApiState;
use crate::http::wire::{List, Text, WireJson, WirePath, WireQuery, wire_struct};
use crate::shop::quote::Customer;

wire_struct! {
    /// A customer to keep.
    #[example = {"name": "Harbour Heating", "contact": "R. Sample", "address": ["1 Pier Road", "Harbour City"], "email": "office@harbour-heating.example"}]
    pub struct CustomerIn {
        /// Name of the firm or person.
        #[example = "Harbour Heating"]
        name: Text<200>,
        /// Who is addressed.
        #[example = "R. Sample"]
        contact: Option<Text<200, 0>>,
        /// Address, a line each.
        #[example = ["1 Pier Road", "Harbour City"]]
        address: Option<List<Text<200>, 8, 0>>,
        /// Email.
        #[example = "office@harbour-heating.example"]
        email: Option<Text<200, 0>>,
    }
}

impl CustomerIn {
    fn to_customer(&self) -> Customer {
        let text = |given: &Option<Text<200, 0>>| {
            given
                .as_ref()
                .map_or_else(String::new, |text| text.as_str().trim().to_owned())
        };
        let address = self
            .address
            .as_ref()
            .map(List::as_slice)
            .unwrap_or_default();
        Customer {
            name: self.name.as_str().trim().to_owned(),
            contact: text(&self.contact),
            address: address
                .iter()
                .map(|line| line.as_str().trim().to_owned())
                .collect(),
            email: text(&self.email),
        }
    }
}

/// A customer that is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct CustomerOut {
    /// Its id.
    #[schema(value_type = String, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Uuid,
    /// Name of the firm or person.
    #[schema(example = "Harbour Heating")]
    name: String,
    /// Who is addressed; may be empty.
    #[schema(example = "R. Sample")]
    contact: String,
    /// Address, a line each.
    #[schema(example = json!(["1 Pier Road", "Harbour City"]))]
    address: Vec<String>,
    /// Email; may be empty.
    #[schema(example = "office@harbour-heating.example")]
    email: String,
    /// When it was added.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    created_at: String,
    /// When it last changed.
    #[schema(format = "date-time", example = "2026-11-25T08:05:36Z")]
    changed_at: String,
}

impl From<KnownCustomer> for CustomerOut {
    fn from(known: KnownCustomer) -> Self {
        let Customer {
            name,
            contact,
            address,
            email,
        } = known.customer;
        Self {
            id: known.id,
            name,
            contact,
            address,
            email,
            created_at: instant(known.created_at),
            changed_at: instant(known.changed_at),
        }
    }
}

fn tagged(known: KnownCustomer) -> Tagged<Json<CustomerOut>> {
    Tagged(json_tag(known.id, known.version), Json(known.into()))
}

/// Add a customer
///
/// Scope `estimate`. Quotes name it by its id.
#[utoipa::path(post, path = "/v1/customers", tag = "shop", params(TrialQuery, IdempotencyKey),
    request_body(content = CustomerIn, example = json!({"name": "Harbour Heating", "contact": "R. Sample",
        "address": ["1 Pier Road", "Harbour City"], "email": "office@harbour-heating.example"})),
    responses(
        (status = 201, description = "Added.", body = CustomerOut,
            headers(("ETag" = String, description = "Its version."), ("Location" = String, description = "Its address."))),
        (status = 200, description = "With `validate_only`: it would be taken.", body = Trial)))]
pub async fn create_customer(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(trial): WireQuery<TrialQuery>,
    WireJson(given): WireJson<CustomerIn>,
) -> Result<Response, Problem> {
    if trial.is_trial() {
        return Ok(Trial::passed(1).into_response());
    }
    let known = state.app().add_customer(given.to_customer()).await?;
    let tag = json_tag(known.id, known.version);
    let location = format!("/v1/customers/{}", known.id);
    Ok(created(&location, tag, CustomerOut::from(known)))
}

/// The customers
///
/// Scope `estimate`. In the order they were added.
#[utoipa::path(get, path = "/v1/customers", tag = "shop", params(ListQuery),
    responses((status = 200, description = "A page of customers.", body = Page<CustomerOut>)))]
pub async fn list_customers(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WireQuery(query): WireQuery<ListQuery>,
    uri: Uri,
) -> Result<Page<CustomerOut>, Problem> {
    let (after, limit) = query.window()?;
    let found = state.app().customers(after, limit).await?;
    let found = found.into_iter().map(CustomerOut::from).collect();
    query.page(found, |customer| customer.id, &uri)
}

/// A customer
///
/// Scope `estimate`.
#[utoipa::path(get, path = "/v1/customers/{id}", tag = "shop",
    params(("id" = String, Path, format = "uuid", description = "Id of the customer.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")),
    responses(
        (status = 200, description = "The customer.", body = CustomerOut,
            headers(("ETag" = String, description = "Its version, for `If-Match`."))),
        (status = 404, description = "There is no such customer.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn get_customer(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
) -> Result<Tagged<Json<CustomerOut>>, Problem> {
    Ok(tagged(state.app().find_customer(id).await?))
}

/// Change a customer
///
/// Scope `estimate`. Replaces it whole. Quotes keep the customer as it was when they were made.
#[utoipa::path(put, path = "/v1/customers/{id}", tag = "shop",
    params(TrialQuery,
        ("id" = String, Path, format = "uuid", description = "Id of the customer.", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e"),
        ("If-Match" = String, Header, description = "The `ETag` of the customer that is being changed.", example = "*")),
    request_body(content = CustomerIn, example = json!({"name": "Harbour Heating and Cooling"})),
    responses(
        (status = 200, description = "The customer as it is now; with `validate_only`, as it would be, without `ETag`.", body = CustomerOut,
            headers(("ETag" = String, description = "The new version."))),
        (status = 404, description = "There is no such customer.", body = ProblemBody, content_type = "application/problem+json")))]
pub async fn replace_customer(
    _caller: MayEstimate,
    State(state): State<ApiState>,
    WirePath(id): WirePath<Uuid>,
    WireQuery(trial): WireQuery<TrialQuery>,
    if_match: IfMatch,
    WireJson(given): WireJson<CustomerIn>,
) -> Result<Response, Problem> {
    let known = state.app().find_customer(id).await?;
    demand_version(&if_match, id, known.version)?;
    let customer = given.to_customer();
    if trial.is_trial() {
        let as_it_would_be = KnownCustomer { customer, ..known };
        return Ok(Json(CustomerOut::from(as_it_would_be)).into_response());
    }
    let known = state
        .app()
        .change_customer(id, known.version, &customer)
        .await?;
    Ok(tagged(known).into_response())
}
