//! Texts with a length.

use super::{At, Faults, FromWire, code, fields};
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

/// Characters of a text that does not say otherwise.
const USUAL_MOST: usize = 2_000;

/// A text of `MIN` to `MAX` characters, of which one can be seen at least, without characters that a paper or
/// XML 1.0 cannot hold as they were typed ([`unfit`]).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct Text<const MAX: usize, const MIN: usize = 1>(String);

/// Why a character cannot stand in a text, if it cannot: nobody can print it, no XML 1.0 holds it, or it has
/// what follows read in another order than it was written in (Unicode UAX #9), so that a figure on paper says
/// something else than the same figure in the books.
pub fn unfit(c: char) -> Option<&'static str> {
    match c {
        '\n' | '\r' | '\t' => None,
        '\u{fffe}' | '\u{ffff}' => Some("which stands for no character"),
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            Some("which turns the text after it round on paper")
        }
        control if control.is_control() => Some("a control character"),
        _ => None,
    }
}

/// Whether nothing of a character is seen where it begins or ends a text.
pub fn is_unseen(c: char) -> bool {
    let without_width =
        matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}'..='\u{2064}' | '\u{feff}');
    c.is_whitespace() || without_width
}

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
        } else if text.trim_matches(is_unseen).chars().count() < MIN {
            let detail = match MIN {
                1 => "is empty; give a text or leave the field out if it is optional".to_owned(),
                _ => format!("has {length} characters; give at least {MIN}"),
            };
            Some((code::TOO_SHORT, detail))
        } else {
            text.chars().find_map(|c| {
                let detail = format!(
                    "contains U+{:04X}, {}; take it out",
                    u32::from(c),
                    unfit(c)?
                );
                Some((code::CONTROL_CHARACTER, detail))
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
