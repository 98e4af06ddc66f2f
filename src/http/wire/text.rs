//! Texts with a length.

use super::{At, Faults, FromWire, code, fields};
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

/// Characters of a text that does not say otherwise.
const USUAL_MOST: usize = 2_000;

/// A text of `MIN` to `MAX` characters, without control characters but line break and tab.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct Text<const MAX: usize, const MIN: usize = 1>(String);

impl<const MAX: usize, const MIN: usize> Text<MAX, MIN> {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The text, owned.
    pub fn into_string(self) -> String {
        self.0
    }
}

impl<const MAX: usize, const MIN: usize> AsRef<str> for Text<MAX, MIN> {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl<const MAX: usize, const MIN: usize> FromWire for Text<MAX, MIN> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::String(text) = value else {
            return fields::wrong_type(value, at, faults);
        };
        let length = text.chars().count();
        let fault = if length > MAX {
            let detail = format!("has {length} characters; shorten it to at most {MAX}");
            Some((code::TOO_LONG, detail))
        } else if text.trim().chars().count() < MIN {
            let detail = match MIN {
                1 => "is empty; give a text or leave the field out if it is optional".to_owned(),
                _ => format!("has {length} characters; give at least {MIN}"),
            };
            Some((code::TOO_SHORT, detail))
        } else {
            text.chars()
                .find(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
                .map(|c| {
                    let detail = format!(
                        "contains the control character U+{:04X}; take it out",
                        u32::from(c)
                    );
                    (code::CONTROL_CHARACTER, detail)
                })
        };
        match fault {
            None => Some(Self(text.clone())),
            Some((code, detail)) => {
                faults.report(at, code, format!("{} {detail}", at.name()));
                None
            }
        }
    }

    fn wanted() -> Cow<'static, str> {
        "a text".into()
    }

    fn schema() -> RefOr<Schema> {
        let schema = ObjectBuilder::new()
            .schema_type(Type::String)
            .max_length(Some(MAX));
        let schema = if MIN > 0 {
            schema.min_length(Some(MIN))
        } else {
            schema
        };
        schema.into()
    }
}

/// Any text of usual length, also an empty one.
impl FromWire for String {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        Text::<USUAL_MOST, 0>::read(value, at, faults).map(Text::into_string)
    }

    fn wanted() -> Cow<'static, str> {
        "a text".into()
    }

    fn schema() -> RefOr<Schema> {
        <Text<USUAL_MOST, 0> as FromWire>::schema()
    }
}
