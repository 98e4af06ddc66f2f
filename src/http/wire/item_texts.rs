//! A body that is mostly one list, taken apart without reading its items: an item whose text was
//! seen before need not be read again.

use super::{At, Faults, FromWire, strict_json};
use serde::de::{Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;
use std::fmt;

/// The texts of a list's items, and what stands beside the list.
#[derive(Debug)]
pub struct ItemTexts<'a> {
    /// The items, as they were sent.
    pub items: Vec<&'a str>,
    /// The body with `null` as the only item.
    pub rest: String,
}

impl<'a> ItemTexts<'a> {
    /// Takes a body apart. `None` when that is not as simple as it should be: then the body is read
    /// as a whole, and what is wrong with it is told.
    pub fn of(body: &'a [u8], list: &'static str) -> Option<Self> {
        let mut reader = serde_json::Deserializer::from_slice(body);
        let members = reader.deserialize_map(Members { list }).ok()?;
        reader.end().ok()?;
        let items = members.items?;
        let mut rest = format!("{{\"{list}\":[null]");
        for (place, (name, value)) in members.others.iter().enumerate() {
            if *name == list
                || members.others[..place]
                    .iter()
                    .any(|(other, _)| other == name)
            {
                return None;
            }
            rest.push(',');
            rest.push_str(&serde_json::to_string(name).ok()?);
            rest.push(':');
            rest.push_str(value.get());
        }
        rest.push('}');
        Some(Self {
            items: items.into_iter().map(RawValue::get).collect(),
            rest,
        })
    }
}

/// Reads the text of one item, as if it stood at that place. `None` when it names a field twice.
pub fn read_item<T: FromWire>(text: &str, at: &At<'_>) -> Option<Result<T, Faults>> {
    let mut faults = Faults::new();
    let value = strict_json::parse(text.as_bytes(), &mut faults).ok()?;
    if !faults.is_empty() {
        return None;
    }
    let read = T::read(&value, at, &mut faults);
    Some(read.filter(|_| faults.is_empty()).ok_or(faults))
}

struct Members {
    list: &'static str,
}

struct Found<'a> {
    items: Option<Vec<&'a RawValue>>,
    others: Vec<(String, &'a RawValue)>,
}

impl<'de> Visitor<'de> for Members {
    type Value = Found<'de>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Found<'de>, A::Error> {
        let mut found = Found {
            items: None,
            others: Vec::new(),
        };
        while let Some(name) = map.next_key::<String>()? {
            if name == self.list && found.items.is_none() {
                found.items = Some(map.next_value()?);
            } else {
                found.others.push((name, map.next_value()?));
            }
        }
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn apart(body: &str) -> Option<(Vec<String>, String)> {
        let texts = ItemTexts::of(body.as_bytes(), "of")?;
        Some((
            texts.items.into_iter().map(str::to_owned).collect(),
            texts.rest,
        ))
    }

    #[test]
    fn items_are_texts_and_the_rest_stays() {
        let (items, rest) =
            apart(r#" {"units": "metric", "of": [{"a": [1, 2]},  "x" ,null], "\u0061": {}} "#)
                .unwrap();
        assert_eq!(items, [r#"{"a": [1, 2]}"#, r#""x""#, "null"]);
        assert_eq!(rest, r#"{"of":[null],"units":"metric","a":{}}"#);
    }

    #[test]
    fn what_is_not_simple_is_left_to_the_whole_reader() {
        for body in [
            "",
            "[]",
            "{}",
            r#"{"of": 1}"#,
            r#"{"of": [1], "of": [2]}"#,
            r#"{"of": [1], "units": 1, "units": 2}"#,
            r#"{"of": [1]} x"#,
            r#"{"of": [1,]}"#,
            "\u{feff}{\"of\": [1]}",
        ] {
            assert!(apart(body).is_none(), "{body}");
        }
    }
}
