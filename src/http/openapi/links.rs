//! What can be done next with what an answer has made or moved: links in the document (OpenAPI 3.1
//! section 4.8.20), so that tools find the way from making a quote to issuing it. They follow from
//! the addresses, and thus hold for new calls, too.

use std::collections::BTreeMap;
use utoipa::openapi::link::{Link, LinkBuilder};
use utoipa::openapi::path::Operation;
use utoipa::openapi::schema::{Components, Schema};
use utoipa::openapi::{OpenApi, RefOr};

/// An operation that can be next: its id, the parameters of its address, and whether it wants to
/// know the version it changes.
struct Next {
    path: String,
    id: String,
    names: Vec<String>,
    wants_version: bool,
}

/// Adds the links to every answer of success that a call gives which makes or moves something.
pub(super) fn linked(mut document: OpenApi) -> OpenApi {
    let components = document.components.clone().unwrap_or_default();
    let all = every_next(&document);
    for (path, item) in &mut document.paths.paths {
        let Some(operation) = item.post.as_mut() else {
            continue;
        };
        let own = operation.operation_id.clone().unwrap_or_default();
        let makes = operation.responses.responses.contains_key("201");
        for (status, answer) in &mut operation.responses.responses {
            // 200 from a call that makes something was a trial: there is nothing that could be next.
            let RefOr::T(answer) = answer else { continue };
            if makes && status != "201" {
                continue;
            }
            let schema = answer
                .content
                .get("application/json")
                .and_then(|content| match content {
                    RefOr::T(content) => content.schema.as_ref(),
                    RefOr::Ref(_) => None,
                });
            let Some(schema) = schema else { continue };
            let found = |name: &str| in_body(schema, &components, name);
            let versioned = answer.headers.contains_key("ETag");
            answer.links = places(path, status)
                .iter()
                .flat_map(|place| all.iter().filter(move |next| is_below(&next.path, place)))
                .filter(|next| next.id != own)
                .filter_map(|next| {
                    Some((
                        next.id.clone(),
                        RefOr::T(link(next, path, versioned, found)?),
                    ))
                })
                .collect::<BTreeMap<_, _>>();
        }
    }
    document
}

/// The addresses of single things that an answer to POST at that path is about: below the list it
/// was sent to, below the list of that name at the top, or the thing it moved.
fn places(path: &str, status: &str) -> Vec<String> {
    let Some((above, last)) = path.rsplit_once('/') else {
        return Vec::new();
    };
    let mut places = Vec::new();
    if status == "201" {
        places.push(format!("{path}/{{"));
        places.push(format!("/v1/{last}/{{"));
    }
    if above.ends_with('}') && matches!(status, "200" | "201") {
        places.push(above.to_owned());
    }
    places.dedup();
    places
}

/// Whether a path is that thing's, or one step below it. A place that ends in a brace stands for
/// whatever the parameter is called.
fn is_below(path: &str, place: &str) -> bool {
    let Some(rest) = path.strip_prefix(place) else {
        return false;
    };
    let rest = match place.ends_with('{') {
        true => rest.split_once('}').map_or("", |(_, rest)| rest),
        false => rest,
    };
    rest.is_empty() || rest.starts_with('/')
}

fn link(
    next: &Next,
    path: &str,
    versioned: bool,
    found: impl Fn(&str) -> Option<String>,
) -> Option<Link> {
    let mut link = LinkBuilder::new().operation_id(next.id.clone());
    for name in &next.names {
        let from = match found(name) {
            Some(pointer) => format!("$response.body#{pointer}"),
            None if path.contains(&format!("{{{name}}}")) => format!("$request.path.{name}"),
            None => return None,
        };
        link = link.parameter(name.clone(), from);
    }
    if next.wants_version && versioned {
        link = link.parameter("If-Match", "$response.header.ETag");
    }
    Some(link.build())
}

/// The place of a field in an answer: at its top, or one below in what was made.
fn in_body(schema: &RefOr<Schema>, components: &Components, name: &str) -> Option<String> {
    let top = properties(schema, components);
    if top.contains_key(name) {
        return Some(format!("/{name}"));
    }
    // The thing made may stand beside a secret that is shown once.
    let mut below = top
        .iter()
        .filter(|(_, schema)| matches!(schema, RefOr::Ref(_)));
    below
        .find(|(_, schema)| properties(schema, components).contains_key(name))
        .map(|(field, _)| format!("/{field}/{name}"))
}

fn properties(schema: &RefOr<Schema>, components: &Components) -> BTreeMap<String, RefOr<Schema>> {
    let schema = match schema {
        RefOr::T(schema) => Some(schema),
        RefOr::Ref(to) => to
            .ref_location
            .rsplit('/')
            .next()
            .and_then(|name| components.schemas.get(name))
            .and_then(|named| match named {
                RefOr::T(schema) => Some(schema),
                RefOr::Ref(_) => None,
            }),
    };
    match schema {
        Some(Schema::Object(object)) => object.properties.clone().into_iter().collect(),
        Some(Schema::AllOf(all)) => {
            let parts = all.items.iter();
            parts
                .flat_map(|part| properties(part, components))
                .collect()
        }
        _ => BTreeMap::new(),
    }
}

fn every_next(document: &OpenApi) -> Vec<Next> {
    let mut all = Vec::new();
    for (path, item) in &document.paths.paths {
        let operations = [&item.get, &item.put, &item.post, &item.delete];
        for operation in operations.into_iter().flatten() {
            let Some(id) = operation.operation_id.clone() else {
                continue;
            };
            all.push(Next {
                path: path.clone(),
                id,
                names: names(path),
                wants_version: wants_version(operation),
            });
        }
    }
    all
}

/// The parameters of an address.
fn names(path: &str) -> Vec<String> {
    path.split('/')
        .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
        .map(str::to_owned)
        .collect()
}

fn wants_version(operation: &Operation) -> bool {
    operation
        .parameters
        .iter()
        .flatten()
        .any(|parameter| matches!(parameter, RefOr::T(parameter) if parameter.name == "If-Match"))
}
