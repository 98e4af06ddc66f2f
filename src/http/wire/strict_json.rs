//! JSON text to a value, refusing an object that names a field twice.
//!
//! Plain `serde_json` keeps the last of two equal names in silence, so that one of two
//! quantities a client sent would be lost.

use super::{At, Fault, Faults, code};
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::fmt;

/// Reads JSON text.
///
/// # Errors
/// When the text is not JSON. Names given twice are reported as faults.
pub fn parse(bytes: &[u8], faults: &mut Faults) -> Result<Value, serde_json::Error> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let mut doubles = Vec::new();
    let seed = Node {
        at: At::BODY,
        doubles: &mut doubles,
    };
    let value = seed.deserialize(&mut reader)?;
    reader.end()?;
    doubles.into_iter().for_each(|fault| faults.push(fault));
    Ok(value)
}

struct Node<'a, 'f> {
    at: At<'a>,
    doubles: &'f mut Vec<Fault>,
}

impl<'de> DeserializeSeed<'de> for Node<'_, '_> {
    type Value = Value;
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Node<'_, '_> {
    type Value = Value;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("any JSON value")
    }
    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_bool<E: Error>(self, it: bool) -> Result<Value, E> {
        Ok(it.into())
    }
    fn visit_i64<E: Error>(self, it: i64) -> Result<Value, E> {
        Ok(it.into())
    }
    fn visit_u64<E: Error>(self, it: u64) -> Result<Value, E> {
        Ok(it.into())
    }
    fn visit_f64<E: Error>(self, it: f64) -> Result<Value, E> {
        Ok(it.into())
    }
    fn visit_str<E: Error>(self, it: &str) -> Result<Value, E> {
        Ok(it.into())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Value, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = seq.next_element_seed(Node {
            at: self.at.index(items.len()),
            doubles: &mut *self.doubles,
        })? {
            items.push(item);
        }
        Ok(Value::Array(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut fields = Map::new();
        while let Some(name) = map.next_key::<String>()? {
            let at = self.at.field(&name);
            if fields.contains_key(&name) {
                let detail = format!("{} is given twice; give it once", at.name());
                self.doubles
                    .push(Fault::new(at.pointer(), code::DUPLICATE_FIELD, detail));
            }
            let value = map.next_value_seed(Node {
                at,
                doubles: &mut *self.doubles,
            })?;
            fields.insert(name, value);
        }
        Ok(Value::Object(fields))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_same_value_as_the_plain_reader() {
        let text = r#"{"a":[1,-2,3.5,"x",null,true,{"b":{}}],"c":1e3}"#;
        let mut faults = Faults::new();
        let value = parse(text.as_bytes(), &mut faults).unwrap();
        assert_eq!(value, serde_json::from_str::<Value>(text).unwrap());
        assert!(faults.is_empty());
    }

    #[test]
    fn a_name_given_twice_is_reported_where_it_stands() {
        let mut faults = Faults::new();
        parse(br#"{"a":[{"b":1,"b":2}]}"#, &mut faults).unwrap();
        assert_eq!(faults.as_slice()[0].pointer.as_deref(), Some("/a/0/b"));
        assert_eq!(faults.as_slice()[0].code, "duplicate_field");
    }

    #[test]
    fn what_follows_the_value_is_refused() {
        assert!(parse(b"{} x", &mut Faults::new()).is_err());
        assert!(parse(&b"[".repeat(10_000), &mut Faults::new()).is_err());
    }
}
