//! Lists page by page, with cursors that keep their place while others add.

use super::problem::{Problem, Slug};
use super::wire::{At, Fault, Faults, FromWire, code, given};
use axum::Json;
use axum::http::header::LINK;
use axum::http::{HeaderValue, Uri};
use axum::response::{IntoResponse, Response};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::de::DeserializeOwned;
use serde::{Serialize, Serializer};
use serde_json::Value;
use std::borrow::Cow;
use utoipa::ToSchema;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

/// Items of a page when the client does not say.
const USUAL: u32 = 50;
/// Items of the largest page; asking for more gives this many.
const MOST: u32 = 500;

/// How many items a page may have, `?limit=`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limit(u32);

impl Limit {
    /// The number.
    pub const fn get(self) -> u32 {
        self.0
    }
}

impl Default for Limit {
    fn default() -> Self {
        Self(USUAL)
    }
}

impl FromWire for Limit {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        Self::read_parameter(value.as_str().unwrap_or_default(), at, faults)
    }

    fn wanted() -> Cow<'static, str> {
        format!("a whole number from 1 to {MOST}").into()
    }

    fn read_parameter(text: &str, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match text.parse::<u32>() {
            Ok(number) if number >= 1 => Some(Self(number.min(MOST))),
            _ => {
                let detail = format!("{} is {:?}; give {}", at.name(), text, Self::wanted());
                faults.report(at, code::OUT_OF_RANGE, detail);
                None
            }
        }
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::Integer)
            .minimum(Some(1))
            .maximum(Some(u32::MAX))
            .default(Some(Value::from(USUAL)))
            .description(Some(format!(
                "Items of a page; more than {MOST} gives {MOST}."
            )))
            .into()
    }
}

/// A place in a list, `?after=`. Clients send it back as they got it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cursor(String);

impl Cursor {
    /// From the sort key of the last item of a page.
    ///
    /// # Errors
    /// 500 when the key cannot be written.
    pub fn of<K: Serialize>(key: &K) -> Result<Self, Problem> {
        let text = serde_json::to_vec(key).map_err(|error| Problem::internal(&error))?;
        Ok(Self(URL_SAFE_NO_PAD.encode(text)))
    }

    /// The sort key.
    ///
    /// # Errors
    /// 400 when this list did not give the cursor out.
    pub fn key<K: DeserializeOwned>(&self) -> Result<K, Problem> {
        let key = URL_SAFE_NO_PAD
            .decode(&self.0)
            .ok()
            .and_then(|text| serde_json::from_slice(&text).ok());
        key.ok_or_else(|| {
            Problem::new(Slug::InvalidQuery).with_errors([Fault::of_parameter(
                "after",
                code::NOT_A_CURSOR,
                "`after` is not a cursor of this list; leave it out to begin at the start, or follow `next`",
            )])
        })
    }
}

impl Serialize for Cursor {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl FromWire for Cursor {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let text = value.as_str().filter(|text| {
            (1..=400).contains(&text.len())
                && text
                    .bytes()
                    .all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'))
        });
        if text.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::NOT_A_CURSOR, detail);
        }
        text.map(|text| Self(text.to_owned()))
    }

    fn wanted() -> Cow<'static, str> {
        "a cursor out of `next`, or leave it out to begin at the start".into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some("^[A-Za-z0-9_-]{1,400}$"))
            .into()
    }
}

/// One page of a list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Page<T> {
    /// The items, in a stable order.
    pub items: Vec<T>,
    /// Address of the next page, relative to this server; `null` on the last one.
    #[schema(
        required,
        format = "uri-reference",
        example = "/v1/tubes?limit=50&after=WyJiODgtbC0yIl0"
    )]
    pub next: Option<String>,
}

impl<T> Page<T> {
    /// A page of the list at that address; `after` is the cursor of its last item when more follow.
    pub fn new(items: Vec<T>, after: Option<Cursor>, uri: &Uri) -> Self {
        let next = after.map(|cursor| {
            let others = uri.query().unwrap_or_default().split('&');
            let mut query: Vec<String> = others
                .filter(|pair| !pair.is_empty() && !pair.starts_with("after="))
                .map(str::to_owned)
                .collect();
            query.push(format!("after={}", cursor.0));
            format!("{}?{}", uri.path(), query.join("&"))
        });
        Self { items, next }
    }
}

impl<T: Serialize> IntoResponse for Page<T> {
    fn into_response(self) -> Response {
        let link = self
            .next
            .as_ref()
            .and_then(|next| HeaderValue::try_from(format!("<{next}>; rel=\"next\"")).ok());
        let mut response = Json(self).into_response();
        if let Some(link) = link {
            response.headers_mut().append(LINK, link);
        }
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_comes_back_as_its_key_and_a_made_up_one_is_refused() {
        let key = ("2026-11-25".to_owned(), 7_u32);
        let cursor = Cursor::of(&key).unwrap();
        assert_eq!(cursor.key::<(String, u32)>().unwrap(), key);
        let other = Cursor("AAAA".to_owned())
            .key::<(String, u32)>()
            .unwrap_err();
        assert_eq!(other.slug(), Slug::InvalidQuery);
    }

    #[test]
    fn the_next_address_keeps_the_other_parameters() {
        let uri: Uri = "/v1/quotes?limit=2&after=old&state=draft".parse().unwrap();
        let page = Page::new(vec![1, 2], Some(Cursor("new".to_owned())), &uri);
        assert_eq!(
            page.next.as_deref(),
            Some("/v1/quotes?limit=2&state=draft&after=new")
        );
    }

    #[test]
    fn a_large_limit_is_brought_down_and_a_bad_one_refused() {
        let at = At::parameter("limit");
        let mut faults = Faults::new();
        assert_eq!(
            Limit::read_parameter("10000", &at, &mut faults),
            Some(Limit(500))
        );
        assert!(faults.is_empty());
        for bad in ["0", "-1", "x", "1.5", ""] {
            assert_eq!(Limit::read_parameter(bad, &at, &mut faults), None, "{bad}");
        }
        assert_eq!(faults.count(), 5);
    }
}
