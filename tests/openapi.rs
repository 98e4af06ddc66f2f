//! The OpenAPI document: the committed one is the one the program prints, and it describes
//! everything. That the server answers its examples is told in `tests/job/examples.rs`.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

use std::process::Command;

use serde_json::Value;

const COMMITTED: &str = include_str!("../openapi/offtake.json");

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
