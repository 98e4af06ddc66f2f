//! Small helpers for the schemas that the macros write.

use super::{At, Faults, FromWire, code, given, nearest};
use serde_json::Value;
use utoipa::openapi::path::{Parameter, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::{Object, OneOf, Schema, SchemaFormat, SchemaType, Type};
use utoipa::openapi::{ObjectBuilder, Ref, RefOr, Required};

/// A schema that only names a type.
pub fn of_type(one: Type) -> Object {
    ObjectBuilder::new().schema_type(one).build()
}

/// A text in a named format.
pub fn formatted(format: &str) -> Object {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .format(Some(SchemaFormat::Custom(format.to_owned())))
        .build()
}

/// A reference to a component.
pub fn reference(name: &str) -> RefOr<Schema> {
    Ref::from_schema_name(name).into()
}

/// Doc comment lines as one text.
pub fn doc(lines: &[&str]) -> String {
    let trimmed: Vec<_> = lines.iter().map(|line| line.trim()).collect();
    trimmed.join("\n").trim().to_owned()
}

/// An object whose fields must be there where that is said.
pub fn requiring(mut object: Object, fields: &[(&str, bool)]) -> RefOr<Schema> {
    let required = fields.iter().filter(|(_, required)| *required);
    object
        .required
        .extend(required.map(|(name, _)| (*name).to_owned()));
    object.into()
}

/// The schema with what a field's own definition says about it.
pub fn described(schema: RefOr<Schema>, text: String, example: Option<Value>) -> RefOr<Schema> {
    let text = Some(text).filter(|text| !text.is_empty());
    let examples: Vec<Value> = example.into_iter().collect();
    match schema {
        RefOr::Ref(mut reference) => {
            reference.description = text.unwrap_or_default();
            RefOr::Ref(reference)
        }
        RefOr::T(mut schema) => {
            match &mut schema {
                Schema::Object(object) => {
                    object.description = text.or(object.description.take());
                    put(&mut object.examples, examples);
                }
                Schema::Array(array) => {
                    array.description = text.or(array.description.take());
                    put(&mut array.examples, examples);
                }
                Schema::OneOf(one_of) => {
                    one_of.description = text.or(one_of.description.take());
                    put(&mut one_of.examples, examples);
                }
                _ => {}
            }
            RefOr::T(schema)
        }
    }
}

fn put(there: &mut Vec<Value>, examples: Vec<Value>) {
    if !examples.is_empty() {
        *there = examples;
    }
}

/// A field name as it stands on the wire (`r#type` is `type`).
pub const fn bare(name: &'static str) -> &'static str {
    match name.as_bytes() {
        [b'r', b'#', ..] => name.split_at(2).1,
        _ => name,
    }
}

/// A query parameter. A parameter that may be left out is not `null`: its plain type is described.
pub fn query_parameter<T: FromWire>(name: &str, text: String, example: Option<Value>) -> Parameter {
    let required = if T::REQUIRED {
        Required::True
    } else {
        Required::False
    };
    ParameterBuilder::new()
        .name(name)
        .parameter_in(ParameterIn::Query)
        .required(required)
        .description(Some(text))
        .schema(Some(inline::<T>(without_null(T::schema()))))
        .example(example)
        .build()
}

/// The component itself in place of a reference to it: parameters bring no components into the
/// document, so a reference from one would lead nowhere.
fn inline<T: FromWire>(schema: RefOr<Schema>) -> RefOr<Schema> {
    let RefOr::Ref(reference) = &schema else {
        return schema;
    };
    let mut components = Vec::new();
    T::components(&mut components);
    let name = reference
        .ref_location
        .rsplit('/')
        .next()
        .unwrap_or_default();
    let found = components.into_iter().find(|(known, _)| known == name);
    found.map_or(schema, |(_, component)| component)
}

fn without_null(schema: RefOr<Schema>) -> RefOr<Schema> {
    match schema {
        RefOr::T(Schema::Object(mut object)) => {
            if let SchemaType::Array(types) = &object.schema_type
                && let Some(one) = types.iter().find(|one| **one != Type::Null)
            {
                object.schema_type = SchemaType::Type(one.clone());
            }
            if let Some(values) = &mut object.enum_values {
                values.retain(|value| !value.is_null());
            }
            object.into()
        }
        RefOr::T(Schema::OneOf(one_of)) => {
            let mut items: Vec<_> = one_of
                .items
                .iter()
                .filter(|item| !is_null(item))
                .cloned()
                .collect();
            match items.len() {
                1 => items.remove(0),
                _ => Schema::OneOf(OneOf { items, ..one_of }).into(),
            }
        }
        other => other,
    }
}

fn is_null(schema: &RefOr<Schema>) -> bool {
    matches!(schema, RefOr::T(Schema::Object(object))
        if object.schema_type == SchemaType::Type(Type::Null))
}

/// Reports a value that is none of the choices.
pub fn report_unknown_value(
    value: &Value,
    at: &At<'_>,
    choices: &[&'static str],
    faults: &mut Faults,
) {
    let near = value
        .as_str()
        .and_then(|text| nearest(text, choices.iter().copied()))
        .map(|near| format!("did you mean \"{near}\"? "))
        .unwrap_or_default();
    let code = if value.is_string() {
        code::UNKNOWN_VALUE
    } else {
        code::WRONG_TYPE
    };
    let detail = format!(
        "{} is {}; {near}choose one of {}",
        at.name(),
        given(value),
        choices.join(", ")
    );
    faults.report(at, code, detail);
}
