//! The reader of one value, and the plain kinds of value it reads.

use super::{At, Faults, code, schema};
use jiff::civil::Date;
use rust_decimal::Decimal;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::openapi::schema::{Schema, SchemaType, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr};
use uuid::Uuid;

/// A type that is read from a request.
///
/// A reader never stops at a fault of its own parts: it reports each and answers `None` at the
/// end, so that one answer names every fault.
pub trait FromWire: Sized {
    /// Reads the value, or reports why not.
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self>;

    /// What is wanted, with its article: `a whole number`.
    fn wanted() -> Cow<'static, str>;

    /// How the OpenAPI document describes it: inline, or a reference to a component.
    fn schema() -> RefOr<Schema>;

    /// The components that the schema refers to.
    fn components(_list: &mut Vec<(String, RefOr<Schema>)>) {}

    /// What an absent field means; a fault unless the type says otherwise.
    fn absent(at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        faults.report(
            at,
            code::MISSING,
            format!("{} is missing; give {}", at.name(), Self::wanted()),
        );
        None
    }

    /// Reads a query parameter, which is always text.
    fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        Self::read(&Value::String(text.to_owned()), at, faults)
    }

    /// Whether the field must be there.
    const REQUIRED: bool = true;
}

/// What was given, for a sentence: `the number 4.5`, `the text "abc"`, `a list`.
pub fn given(value: &Value) -> String {
    const MOST: usize = 60;
    match value {
        Value::Null => "null".to_owned(),
        Value::Bool(yes) => format!("the value {yes}"),
        Value::Number(number) => format!("the number {number}"),
        Value::String(text) if text.chars().count() > MOST => {
            let start: String = text.chars().take(MOST).collect();
            format!("the text {:?} and more", start)
        }
        Value::String(text) => format!("the text {text:?}"),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    }
}

/// Reports a value of the wrong type.
pub(super) fn wrong_type<T: FromWire>(
    value: &Value,
    at: &At<'_>,
    faults: &mut Faults,
) -> Option<T> {
    let detail = format!("{} is {}; give {}", at.name(), given(value), T::wanted());
    faults.report(at, code::WRONG_TYPE, detail);
    None
}

/// An absent field and `null` are both "not given".
impl<T: FromWire> FromWire for Option<T> {
    const REQUIRED: bool = false;

    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match value {
            Value::Null => Some(None),
            value => T::read(value, at, faults).map(Some),
        }
    }

    fn wanted() -> Cow<'static, str> {
        T::wanted()
    }

    fn absent(_at: &At<'_>, _faults: &mut Faults) -> Option<Self> {
        Some(None)
    }

    fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        T::read_parameter(text, at, faults).map(Some)
    }

    fn schema() -> RefOr<Schema> {
        match T::schema() {
            RefOr::T(Schema::Object(mut object)) => {
                if let SchemaType::Type(one) = object.schema_type {
                    object.schema_type = SchemaType::Array(vec![one, Type::Null]);
                }
                if let Some(values) = &mut object.enum_values {
                    values.push(Value::Null);
                }
                object.into()
            }
            other => OneOfBuilder::new()
                .item(ObjectBuilder::new().schema_type(Type::Null))
                .item(other)
                .into(),
        }
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        T::components(list);
    }
}

impl FromWire for bool {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        value.as_bool().or_else(|| wrong_type(value, at, faults))
    }

    fn wanted() -> Cow<'static, str> {
        "true or false".into()
    }

    fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match text {
            "true" => Some(true),
            "false" => Some(false),
            other => wrong_type(&Value::from(other), at, faults),
        }
    }

    fn schema() -> RefOr<Schema> {
        schema::of_type(Type::Boolean).into()
    }
}

impl FromWire for f64 {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        value
            .as_f64()
            .filter(|number| number.is_finite())
            .or_else(|| wrong_type(value, at, faults))
    }

    fn wanted() -> Cow<'static, str> {
        "a number".into()
    }

    fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let number = text.parse().ok().filter(|n: &f64| n.is_finite());
        number.or_else(|| wrong_type(&Value::from(text), at, faults))
    }

    fn schema() -> RefOr<Schema> {
        schema::of_type(Type::Number).into()
    }
}

/// A decimal is exact: given as text, or as a number with few enough digits to be exact.
impl FromWire for Decimal {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        /// Digits that a JSON number keeps exactly on the way through a binary number.
        const EXACT_DIGITS: usize = 15;
        /// Digits that the decimal type keeps exactly.
        const MOST_DIGITS: usize = 28;
        let (text, most) = match value {
            Value::String(text) => (text.trim().to_owned(), MOST_DIGITS),
            Value::Number(number) => (number.to_string(), EXACT_DIGITS),
            _ => return wrong_type(value, at, faults),
        };
        let digits = text.chars().filter(char::is_ascii_digit).count();
        if digits > most {
            let hint = if value.is_number() {
                "send it as a text"
            } else {
                "round it"
            };
            let detail = format!(
                "{} has {digits} digits; {hint}, with at most {MOST_DIGITS} digits",
                at.name()
            );
            faults.report(at, code::TOO_MANY_DIGITS, detail);
            return None;
        }
        let plain = text.strip_prefix('-').unwrap_or(&text);
        let shaped = !plain.is_empty()
            && plain.starts_with(|c: char| c.is_ascii_digit())
            && plain.ends_with(|c: char| c.is_ascii_digit())
            && plain.chars().all(|c| c.is_ascii_digit() || c == '.');
        let number = shaped.then(|| Self::from_str_exact(&text).ok()).flatten();
        if number.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::NOT_A_DECIMAL, detail);
        }
        number
    }

    fn wanted() -> Cow<'static, str> {
        "a decimal number such as \"1234.50\", with a point and without thousands separators".into()
    }

    fn schema() -> RefOr<Schema> {
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(r"^-?[0-9]{1,28}(\.[0-9]{1,28})?$"));
        OneOfBuilder::new()
            .item(text)
            .item(schema::of_type(Type::Number))
            .into()
    }
}

impl FromWire for Date {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::String(text) = value else {
            return wrong_type(value, at, faults);
        };
        let shaped = text.len() == 10 && text.is_ascii() && !text.starts_with(['+', '-']);
        let date = shaped.then(|| text.parse().ok()).flatten();
        if date.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::NOT_A_DATE, detail);
        }
        date
    }

    fn wanted() -> Cow<'static, str> {
        "a date of the calendar as YYYY-MM-DD, for example \"2026-12-11\" for 11 December 2026"
            .into()
    }

    fn schema() -> RefOr<Schema> {
        schema::formatted("date").into()
    }
}

impl FromWire for Uuid {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::String(text) = value else {
            return wrong_type(value, at, faults);
        };
        let id = Self::try_parse(text).ok();
        if id.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::NOT_AN_ID, detail);
        }
        id
    }

    fn wanted() -> Cow<'static, str> {
        "an id such as \"0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e\"".into()
    }

    fn schema() -> RefOr<Schema> {
        schema::formatted("uuid").into()
    }
}
