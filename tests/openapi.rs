//! The OpenAPI document: the committed one is the one the program prints, and it describes
//! everything. That the server answers its examples is told in `tests/job/examples.rs`.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

#[path = "support/breaking.rs"]
mod breaking;

use std::process::Command;

use serde_json::{Value, json};

const COMMITTED: &str = include_str!("../openapi/offtake.json");
/// The document that clients are written against.
const PROMISED: &str = include_str!("../openapi/promised.json");

#[test]
fn what_clients_are_written_against_still_holds() {
    let promised = serde_json::from_str(PROMISED).unwrap();
    let breaks = breaking::breaking(&promised, &document());
    assert!(breaks.is_empty(), "{breaks:#?}");
}

/// Each of these would break somebody, and is found where it stands.
#[test]
fn a_break_is_found() {
    type Change = fn(&mut Value);
    let cases: [(Change, &str); 9] = [
        (
            |it| *it.pointer_mut("/paths/~1v1~1tubes/get").unwrap() = Value::Null,
            "the call is gone",
        ),
        (
            |it| {
                *it.pointer_mut("/paths/~1v1~1tubes/get/operationId")
                    .unwrap() = json!("x")
            },
            "called otherwise",
        ),
        (
            |it| {
                *it.pointer_mut("/paths/~1v1~1tubes/get/parameters/0/name")
                    .unwrap() = json!("x")
            },
            "the parameter is gone",
        ),
        (
            |it| {
                *it.pointer_mut("/paths/~1v1~1tubes/get/parameters/0/required")
                    .unwrap() = json!(true)
            },
            "is demanded now",
        ),
        (
            |it| {
                *it.pointer_mut("/paths/~1v1~1tubes/get/responses/200")
                    .unwrap() = Value::Null
            },
            "200 is gone",
        ),
        (
            |it| {
                it.pointer_mut("/components/schemas/QuoteTotal/properties")
                    .unwrap()["net"] = Value::Null
            },
            "net is gone",
        ),
        (
            |it| {
                *it.pointer_mut("/components/schemas/QuoteTotal/required")
                    .unwrap() = json!([])
            },
            "net may be missing",
        ),
        (
            |it| {
                *it.pointer_mut("/components/schemas/QuoteTotal/properties/net/type")
                    .unwrap() = json!("number")
            },
            "it was {\"string\"}",
        ),
        (
            |it| {
                it.pointer_mut("/components/schemas/ManifoldIn/required")
                    .unwrap()
                    .as_array_mut()
                    .unwrap()
                    .push(json!("temper"))
            },
            "temper is demanded",
        ),
    ];
    for (change, told) in cases {
        let mut changed = document();
        change(&mut changed);
        without_nulls(&mut changed);
        let breaks = breaking::breaking(&document(), &changed);
        assert!(
            breaks.iter().any(|found| found.contains(told)),
            "{told}: {breaks:?}"
        );
    }
    assert!(breaking::breaking(&document(), &document()).is_empty());
    // Additions break nobody.
    let mut added = document();
    added
        .pointer_mut("/components/schemas/QuoteTotal/properties")
        .unwrap()["more"] = json!({"type": "string"});
    added
        .pointer_mut("/components/schemas/ManifoldIn/properties")
        .unwrap()["more"] = json!({"type": "string"});
    assert!(breaking::breaking(&document(), &added).is_empty());
}

/// Takes out what a change has set to null.
fn without_nulls(value: &mut Value) {
    if let Value::Object(members) = value {
        members.retain(|_, member| !member.is_null());
        members.values_mut().for_each(without_nulls);
    }
}

#[test]
fn the_committed_document_is_the_one_the_program_prints() {
    let printed = Command::new(env!("CARGO_BIN_EXE_offtake"))
        .arg("openapi")
        .output()
        .unwrap();
    assert!(
        printed.status.success(),
        "{}",
        String::from_utf8_lossy(&printed.stderr)
    );
    assert!(
        printed.stdout == COMMITTED.as_bytes(),
        "openapi/offtake.json is not what the program serves; bring it up to date with\n  cargo run -- openapi > openapi/offtake.json"
    );
}

fn document() -> Value {
    serde_json::from_str(COMMITTED).unwrap()
}

/// Every operation with its method and path.
fn operations(document: &Value) -> Vec<(String, &Value)> {
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            if ["get", "put", "post", "delete", "patch"].contains(&method.as_str()) {
                found.push((format!("{} {path}", method.to_uppercase()), operation));
            }
        }
    }
    found
}

fn says(value: &Value, field: &str) -> bool {
    value[field]
        .as_str()
        .is_some_and(|text| !text.trim().is_empty())
}

#[test]
fn it_is_openapi_3_1_with_servers_and_security() {
    let document = document();
    assert!(document["openapi"].as_str().unwrap().starts_with("3.1"));
    for part in ["servers", "security", "tags"] {
        assert!(!document[part].as_array().unwrap().is_empty(), "{part}");
    }
}

#[test]
fn every_operation_is_named_and_described_once() {
    let document = document();
    let mut wanting = Vec::new();
    let mut ids = Vec::new();
    for (name, operation) in operations(&document) {
        for field in ["operationId", "summary", "description"] {
            if !says(operation, field) {
                wanting.push(format!("{name}: {field}"));
            }
        }
        if operation["tags"].as_array().is_none_or(Vec::is_empty) {
            wanting.push(format!("{name}: tags"));
        }
        let good = operation["responses"]
            .as_object()
            .unwrap()
            .keys()
            .any(|status| status.starts_with('2'));
        if !good {
            wanting.push(format!("{name}: an answer of success"));
        }
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            if !says(parameter, "description") {
                wanting.push(format!("{name}: parameter {}", parameter["name"]));
            }
        }
        ids.push(
            operation["operationId"]
                .as_str()
                .unwrap_or_default()
                .to_owned(),
        );
    }
    assert!(wanting.is_empty(), "{wanting:#?}");
    let count = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), count, "an operation id stands twice");
}

#[test]
fn every_body_has_an_example() {
    let document = document();
    let wanting: Vec<String> = operations(&document)
        .into_iter()
        .filter(|(_, operation)| {
            operation["requestBody"]["content"]
                .as_object()
                .is_some_and(|content| {
                    // A workbook or a picture is no text that a document could show.
                    let texts = content.iter().filter(|(kind, _)| {
                        !kind.contains("spreadsheetml") && *kind != "image/png"
                    });
                    texts
                        .into_iter()
                        .any(|(_, media)| example(&document, media).is_none())
                })
        })
        .map(|(name, _)| name)
        .collect();
    assert!(wanting.is_empty(), "{wanting:#?}");
}

/// The example of a body: its own, or the one of the schema it refers to.
fn example(document: &Value, media: &Value) -> Option<Value> {
    let own = media.get("example").cloned();
    own.or_else(|| {
        let name = media["schema"]["$ref"].as_str()?.rsplit('/').next()?;
        document["components"]["schemas"][name]["examples"][0]
            .as_object()
            .map(|object| object.clone().into())
    })
}

#[test]
fn every_field_is_described() {
    let document = document();
    let mut wanting = Vec::new();
    for (name, schema) in document["components"]["schemas"].as_object().unwrap() {
        for (field, property) in schema["properties"].as_object().into_iter().flatten() {
            let choices = property["oneOf"].as_array().into_iter().flatten();
            let described = says(property, "description")
                || choices.clone().any(|choice| says(choice, "description"));
            if !described {
                wanting.push(format!("{name}.{field}"));
            }
        }
    }
    assert!(wanting.is_empty(), "{wanting:#?}");
}
