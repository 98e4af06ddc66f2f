//! The OpenAPI document: what is common to all operations. The rest comes from the handlers.

mod links;

use super::negotiate::{PDF, XLSX};
use super::problem::{ProblemBody, Slug};
use super::wire::CODES;
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::collections::btree_map::Entry;
use utoipa::OpenApi as _;
use utoipa::openapi::path::{Operation, Parameter, ParameterIn, PathItem};
use utoipa::openapi::schema::{Components, KnownFormat, ObjectBuilder, Schema, SchemaFormat, Type};
use utoipa::openapi::security::{Http, HttpAuthScheme, HttpBuilder, SecurityScheme};
use utoipa::openapi::{ContentBuilder, OpenApi, Ref, RefOr, Required, Response, ResponseBuilder};

/// Media types of files.
const FILES: [&str; 3] = [XLSX.media, PDF.media, "image/png"];

/// The document without its paths.
#[derive(utoipa::OpenApi)]
#[openapi(
    info(
        title = "offtake",
        description = "Checks, estimates, quotes and bench papers for copper pipe manifolds.\n\nQuantities are texts with their unit (`\"4 1/2 in\"`). Everything that is wrong with a request is answered at once, as a problem document (RFC 9457). Figures here help a shop; they replace neither the local code nor licensed practice.",
        license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
    ),
    servers((url = "/", description = "This server.")),
    security(("bearer_key" = []), ("basic_key" = [])),
    tags(
        (name = "reference", description = "Tube, fittings, fillers, units: what there is."),
        (name = "manifolds", description = "Checks, layouts and flow of manifolds. Nothing is stored."),
        (name = "estimates", description = "Prices, hours, estimates and comparisons."),
        (name = "sticks", description = "Cut plans, and the offcut rack."),
        (name = "quotes", description = "Quotes and their papers."),
        (name = "webhooks", description = "Signed notices of quote changes."),
        (name = "accounting", description = "Totals for the books."),
        (name = "shop", description = "The shop, its customers, and its keys."),
        (name = "meta", description = "The service itself. No key is needed."),
    ),
    components(schemas(ProblemBody)),
)]
struct Skeleton;

/// The document before any route is added.
pub(super) fn skeleton() -> OpenApi {
    let mut document = Skeleton::openapi();
    let components = document.components.get_or_insert_default();
    let mut bearer = Http::new(HttpAuthScheme::Bearer);
    bearer.description = Some("A key, as `Authorization: Bearer KEY`.".to_owned());
    let basic = HttpBuilder::new()
        .scheme(HttpAuthScheme::Basic)
        .description(Some(
            "Any name, with the key as password: for tools that know nothing else.",
        ))
        .build();
    components.add_security_scheme("bearer_key", SecurityScheme::Http(bearer));
    components.add_security_scheme("basic_key", SecurityScheme::Http(basic));
    document
}

/// The document with the answers that every operation of a kind can give.
pub(super) fn completed(mut document: OpenApi) -> OpenApi {
    let mut used = BTreeSet::new();
    for item in document.paths.paths.values_mut() {
        for (operation, has_body) in operations(item) {
            complete(operation, has_body, &mut used);
            files(operation);
            left_out(operation);
        }
    }
    let components = document.components.get_or_insert_default();
    for status in used {
        components
            .responses
            .insert(name(status), problem(status).into());
    }
    name_the_codes(components);
    links::linked(without_unused(document))
}

/// Programs can learn every code of a fault from the document; new ones may come, so that it is
/// no closed list.
fn name_the_codes(components: &mut Components) {
    let Some(RefOr::T(Schema::Object(fault))) = components.schemas.get_mut("Fault") else {
        return;
    };
    if let Some(RefOr::T(Schema::Object(code))) = fault.properties.get_mut("code") {
        code.example = None;
        code.examples = CODES.iter().map(|(code, _)| json!(code)).collect();
    }
}

/// Bodies that are files are bytes, whatever the handler's type for them looks like.
fn files(operation: &mut Operation) {
    let request = match operation.request_body.as_mut() {
        Some(RefOr::T(body)) => Some(body),
        _ => None,
    };
    let request = request.into_iter().flat_map(|body| body.content.iter_mut());
    let answers = operation.responses.responses.values_mut();
    let answers = answers.filter_map(|answer| match answer {
        RefOr::T(answer) => Some(answer),
        RefOr::Ref(_) => None,
    });
    let answers = answers.flat_map(|answer| answer.content.iter_mut());
    for (media, content) in request.chain(answers) {
        if let (true, RefOr::T(content)) = (FILES.contains(&media.as_str()), content) {
            let bytes = ObjectBuilder::new()
                .schema_type(Type::String)
                .format(Some(SchemaFormat::KnownFormat(KnownFormat::Binary)));
            content.schema = Some(bytes.into());
        }
    }
}

/// A body that may be left out is not required; it is never `null`.
fn left_out(operation: &mut Operation) {
    let Some(RefOr::T(body)) = operation.request_body.as_mut() else {
        return;
    };
    for content in body.content.values_mut() {
        let RefOr::T(content) = content else {
            continue;
        };
        let Some(RefOr::T(Schema::OneOf(choice))) = &content.schema else {
            continue;
        };
        let named = |item: &&RefOr<Schema>| matches!(item, RefOr::Ref(_));
        if let (2, Some(named)) = (choice.items.len(), choice.items.iter().find(named)) {
            content.schema = Some(named.clone());
            body.required = Some(Required::False);
        }
    }
}

/// Generators and linters stumble over schemas that nothing refers to.
fn without_unused(mut document: OpenApi) -> OpenApi {
    loop {
        let Ok(text) = serde_json::to_string(&document) else {
            return document;
        };
        let schemas = &mut document.components.get_or_insert_default().schemas;
        let before = schemas.len();
        schemas.retain(|name, _| text.contains(&format!("\"#/components/schemas/{name}\"")));
        if schemas.len() == before {
            return document;
        }
    }
}

fn name(status: u16) -> String {
    format!("Problem{status}")
}

/// One answer for all problems of a status.
fn problem(status: u16) -> Response {
    let kinds: Vec<Slug> = Slug::ALL
        .iter()
        .copied()
        .filter(|slug| slug.status().as_u16() == status)
        .collect();
    let text = kinds
        .iter()
        .map(|slug| format!("{}: {}", slug.as_str(), slug.title()))
        .collect::<Vec<_>>()
        .join("; ");
    let example = kinds.first().map(|slug| example(*slug));
    let content = ContentBuilder::new()
        .schema(Some(Ref::from_schema_name("Problem")))
        .example(example)
        .build();
    ResponseBuilder::new()
        .description(text)
        .content("application/problem+json", content)
        .build()
}

fn example(slug: Slug) -> Value {
    json!({
        "type": format!("/problems/{}", slug.as_str()),
        "title": slug.title(),
        "status": slug.status().as_u16(),
        "detail": slug.explanation(),
        "instance": "/v1/units",
        "request_id": "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e",
    })
}

/// The operations of a path, and whether each takes a body.
fn operations(item: &mut PathItem) -> impl Iterator<Item = (&mut Operation, bool)> {
    let reads = [item.get.as_mut()]
        .into_iter()
        .flatten()
        .map(|one| (one, false));
    let writes = [
        item.put.as_mut(),
        item.post.as_mut(),
        item.patch.as_mut(),
        item.delete.as_mut(),
    ];
    reads.chain(writes.into_iter().flatten().map(|one| {
        let has_body = one.request_body.is_some();
        (one, has_body)
    }))
}

/// Adds the answers that the operation's handler need not describe, and notes which were added.
fn complete(operation: &mut Operation, has_body: bool, used: &mut BTreeSet<u16>) {
    // An operation that says `security(())` is open to all.
    let needs_key = operation.security.is_none();
    let mut can_answer = vec![
        StatusCode::INTERNAL_SERVER_ERROR,
        StatusCode::REQUEST_TIMEOUT,
        StatusCode::URI_TOO_LONG,
        StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE,
    ];
    if needs_key {
        can_answer.extend([
            StatusCode::UNAUTHORIZED,
            StatusCode::FORBIDDEN,
            StatusCode::TOO_MANY_REQUESTS,
            StatusCode::SERVICE_UNAVAILABLE,
        ]);
    }
    if has_body {
        can_answer.extend([
            StatusCode::BAD_REQUEST,
            StatusCode::PAYLOAD_TOO_LARGE,
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            StatusCode::UNPROCESSABLE_ENTITY,
        ]);
    }
    can_answer.extend(of_parameters(operation));
    for status in can_answer.into_iter().map(|status| status.as_u16()) {
        let answers = &mut operation.responses.responses;
        if let Entry::Vacant(place) = answers.entry(status.to_string()) {
            place.insert(RefOr::Ref(Ref::from_response_name(name(status))));
            used.insert(status);
        }
    }
}

/// The answers that come of the parameters an operation takes.
fn of_parameters(operation: &Operation) -> Vec<StatusCode> {
    let mut can_answer = Vec::new();
    let parameters: Vec<&Parameter> = operation
        .parameters
        .iter()
        .flatten()
        .filter_map(|parameter| match parameter {
            RefOr::T(parameter) => Some(parameter),
            RefOr::Ref(_) => None,
        })
        .collect();
    let has = |wanted: &str| parameters.iter().any(|parameter| parameter.name == wanted);
    if has("format") {
        can_answer.push(StatusCode::NOT_ACCEPTABLE);
    }
    if has("Idempotency-Key") {
        can_answer.extend([
            StatusCode::BAD_REQUEST,
            StatusCode::CONFLICT,
            StatusCode::UNPROCESSABLE_ENTITY,
        ]);
    }
    if has("If-Match") {
        can_answer.extend([
            StatusCode::PRECONDITION_FAILED,
            StatusCode::PRECONDITION_REQUIRED,
        ]);
    }
    if parameters
        .iter()
        .any(|parameter| parameter.parameter_in == ParameterIn::Query)
    {
        can_answer.push(StatusCode::BAD_REQUEST);
    }
    can_answer
}
