//! What a use case says of a change.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::chain::sha256;
use crate::shop::audit::Deed;

/// Characters of a value that are written down whole; of a longer one, its SHA-256 is.
const MOST_CHARACTERS: usize = 500;

/// Something done, to be written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    pub(super) deed: Deed,
    pub(super) subject: String,
    pub(super) version: Option<i64>,
    pub(super) detail: Map<String, Value>,
}

impl Done {
    /// This deed, to the thing of that id or number.
    pub fn new(deed: Deed, subject: impl ToString) -> Self {
        Self {
            deed,
            subject: subject.to_string(),
            version: None,
            detail: Map::new(),
        }
    }

    /// The version or revision it came to.
    pub fn version(self, version: i64) -> Self {
        Self {
            version: Some(version),
            ..self
        }
    }

    /// What changed: the members of an object, without those that are null. No secrets; and whole
    /// numbers or texts alone, which every reader of JSON reads alike.
    pub fn with(mut self, detail: Value) -> Self {
        if let Value::Object(members) = detail {
            let there = members.into_iter().filter(|(_, value)| !value.is_null());
            self.detail.extend(there);
        }
        self
    }
}

/// The digest of something that is kept elsewhere, so that it can be held against it later.
pub fn content(text: &str) -> Value {
    json!({"sha256": sha256(text)})
}

/// Every place in which two things differ, by JSON pointer, with what stood there and what stands there.
pub fn differences<T: Serialize>(before: Option<&T>, after: &T) -> Vec<Value> {
    let written = |it: &T| serde_json::to_value(it).unwrap_or(Value::Null);
    let before = before.map_or_else(|| json!({}), written);
    let mut found = Vec::new();
    compare(String::new(), &before, &written(after), &mut found);
    found
}

fn compare(at: String, before: &Value, after: &Value, found: &mut Vec<Value>) {
    if before == after {
        return;
    }
    let (Value::Object(old), Value::Object(new)) = (before, after) else {
        found.push(json!({"at": at, "before": short(before), "after": short(after)}));
        return;
    };
    let mut names: Vec<&String> = old.keys().chain(new.keys()).collect();
    names.sort_unstable();
    names.dedup();
    for name in names {
        let escaped = name.replace('~', "~0").replace('/', "~1");
        let at = format!("{at}/{escaped}");
        let (old, new) = (old.get(name), new.get(name));
        let null = &Value::Null;
        compare(at, old.unwrap_or(null), new.unwrap_or(null), found);
    }
}

fn short(value: &Value) -> Value {
    let text = value.to_string();
    match text.chars().count() > MOST_CHARACTERS {
        true => content(&text),
        false => value.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_are_told_by_their_place() {
        let before = json!({"name": "A", "pricing": {"a/b": "1", "same": [1]}, "gone": 1});
        let after = json!({"name": "B", "pricing": {"a/b": "2", "same": [1]}, "new": "x"});
        assert_eq!(
            Value::from(differences(Some(&before), &after)),
            json!([
                {"at": "/gone", "before": 1, "after": null},
                {"at": "/name", "before": "A", "after": "B"},
                {"at": "/new", "before": null, "after": "x"},
                {"at": "/pricing/a~1b", "before": "1", "after": "2"},
            ])
        );
        assert!(differences(Some(&after), &after).is_empty());
    }

    #[test]
    fn a_long_value_is_told_by_its_digest() {
        let long = "x".repeat(1_000);
        let told = differences(None, &json!({"logo": long}));
        assert_eq!(told[0]["at"], "/logo");
        assert_eq!(told[0]["after"]["sha256"].as_str().unwrap().len(), 64);
    }
}
