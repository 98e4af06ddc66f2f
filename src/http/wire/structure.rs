//! Reading an object field by field.

use super::{At, Faults, FromWire, code, fields::given, nearest};
use serde_json::{Map, Value};

/// An object being read.
#[derive(Debug)]
pub struct Fields<'v, 'a> {
    map: &'v Map<String, Value>,
    at: &'a At<'a>,
}

impl<'v, 'a> Fields<'v, 'a> {
    /// Opens the object, reporting the fields it should not have.
    pub fn open(
        value: &'v Value,
        at: &'a At<'a>,
        known: &[&'static str],
        faults: &mut Faults,
    ) -> Option<Self> {
        let Value::Object(map) = value else {
            let detail = format!(
                "{} is {}; give an object with the fields {}",
                at.name(),
                given(value),
                known.join(", ")
            );
            faults.report(at, code::WRONG_TYPE, detail);
            return None;
        };
        for name in map.keys().filter(|name| !known.contains(&name.as_str())) {
            faults.report(&at.field(name), code::UNKNOWN_FIELD, unknown(name, known));
        }
        Some(Self { map, at })
    }

    /// Reads one field.
    pub fn take<T: FromWire>(&self, name: &'static str, faults: &mut Faults) -> Option<T> {
        let at = self.at.field(name);
        match self.map.get(name) {
            None => T::absent(&at, faults),
            Some(value) => T::read(value, &at, faults),
        }
    }
}

fn unknown(name: &str, known: &[&'static str]) -> String {
    let shown: String = name.chars().take(60).collect();
    match nearest(name, known.iter().copied()) {
        Some(near) => format!("`{shown}` is not known here; did you mean `{near}`?"),
        None => format!(
            "`{shown}` is not known here; leave it out, the fields are {}",
            known.join(", ")
        ),
    }
}
