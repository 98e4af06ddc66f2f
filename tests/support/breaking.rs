//! What of a later OpenAPI document would break clients of an earlier one.
//!
//! Nothing that an answer had goes away or may be missing; nothing that a request could say is refused,
//! and nothing new is demanded of it. Additions break nobody: clients are told to expect them.

use std::collections::BTreeSet;

use serde_json::Value;

const METHODS: [&str; 5] = ["get", "put", "post", "delete", "patch"];

/// Everything that would break, by its place.
pub fn breaking(old: &Value, new: &Value) -> Vec<String> {
    let mut found = Found {
        documents: [old, new],
        seen: BTreeSet::new(),
        breaks: Vec::new(),
    };
    for (path, item) in old["paths"].as_object().unwrap() {
        for method in METHODS {
            if let Some(operation) = item.get(method) {
                found.operation(
                    &format!("{method} {path}"),
                    operation,
                    &new["paths"][path][method],
                );
            }
        }
    }
    found.breaks
}

/// Who sends what a schema describes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Sent {
    ByClient,
    ByServer,
}

struct Found<'a> {
    documents: [&'a Value; 2],
    /// Pairs of components that were held against each other already.
    seen: BTreeSet<(Sent, String, String)>,
    breaks: Vec<String>,
}

fn strings(list: &Value) -> BTreeSet<String> {
    let texts = list.as_array().into_iter().flatten();
    texts
        .map(|text| {
            text.as_str()
                .map_or_else(|| text.to_string(), str::to_owned)
        })
        .collect()
}

fn types(schema: &Value) -> BTreeSet<String> {
    match &schema["type"] {
        Value::String(one) => BTreeSet::from([one.clone()]),
        several => strings(several),
    }
}

impl<'a> Found<'a> {
    fn says(&mut self, place: &str, what: impl std::fmt::Display) {
        self.breaks.push(format!("{place}: {what}"));
    }

    fn operation(&mut self, place: &str, old: &'a Value, new: &'a Value) {
        if new.is_null() {
            return self.says(place, "the call is gone");
        }
        if old["operationId"] != new["operationId"] {
            self.says(place, "it is called otherwise");
        }
        self.parameters(place, &old["parameters"], &new["parameters"]);
        let (asked, asks) = (&old["requestBody"], &new["requestBody"]);
        if asks["required"] == true && asked["required"] != true {
            self.says(place, "a body is demanded");
        }
        self.contents(
            &format!("{place} body"),
            (&asked["content"], &asks["content"]),
            Sent::ByClient,
        );
        for (status, answer) in old["responses"].as_object().unwrap() {
            if status.starts_with('2') {
                let answers = &new["responses"][status];
                if answers.is_null() {
                    self.says(place, format!("{status} is gone"));
                }
                let contents = (&answer["content"], &answers["content"]);
                self.contents(&format!("{place} {status}"), contents, Sent::ByServer);
            }
        }
    }

    fn parameters(&mut self, place: &str, old: &'a Value, new: &'a Value) {
        let list = |of: &'a Value| of.as_array().map_or(&[][..], Vec::as_slice);
        let same = |a: &Value, b: &Value| a["name"] == b["name"] && a["in"] == b["in"];
        for parameter in list(old) {
            let place = format!("{place} ?{}", parameter["name"]);
            match list(new).iter().find(|other| same(other, parameter)) {
                None => self.says(&place, "the parameter is gone"),
                Some(other) => {
                    if other["required"] == true && parameter["required"] != true {
                        self.says(&place, "it is demanded now");
                    }
                    self.schema(
                        &place,
                        (&parameter["schema"], &other["schema"]),
                        Sent::ByClient,
                    );
                }
            }
        }
        for parameter in list(new) {
            let is_new = !list(old).iter().any(|other| same(other, parameter));
            if is_new && parameter["required"] == true {
                self.says(place, format!("?{} is demanded", parameter["name"]));
            }
        }
    }

    fn contents(&mut self, place: &str, (old, new): (&'a Value, &'a Value), sent: Sent) {
        for (media, content) in old.as_object().into_iter().flatten() {
            match new.get(media) {
                None => self.says(place, format!("{media} is gone")),
                Some(other) => self.schema(place, (&content["schema"], &other["schema"]), sent),
            }
        }
    }

    fn resolved(&self, which: usize, schema: &'a Value) -> (&'a Value, String) {
        match schema["$ref"].as_str() {
            Some(to) => {
                let pointer = to.strip_prefix('#').unwrap();
                (
                    self.documents[which].pointer(pointer).unwrap(),
                    to.to_owned(),
                )
            }
            None => (schema, String::new()),
        }
    }

    fn schema(&mut self, place: &str, (old, new): (&'a Value, &'a Value), sent: Sent) {
        let ((old, old_name), (new, new_name)) = (self.resolved(0, old), self.resolved(1, new));
        if !old_name.is_empty() && !self.seen.insert((sent, old_name, new_name)) {
            return;
        }
        let (was, is) = (types(old), types(new));
        let fits = match sent {
            Sent::ByClient => is.is_empty() || was.is_subset(&is),
            Sent::ByServer => was.is_empty() || is.is_subset(&was),
        };
        if !fits {
            self.says(place, format!("it was {was:?} and is {is:?}"));
        }
        let (could, can) = (strings(&old["enum"]), strings(&new["enum"]));
        if sent == Sent::ByClient && !can.is_empty() {
            let gone: Vec<_> = could.difference(&can).collect();
            if !gone.is_empty() || could.is_empty() {
                self.says(place, format!("no longer taken: {gone:?}"));
            }
        }
        self.members(place, (old, new), sent);
        for part in ["allOf", "oneOf", "anyOf"] {
            let parts = |of: &'a Value| of[part].as_array().map_or(&[][..], Vec::as_slice);
            for (index, one) in parts(old).iter().enumerate() {
                match parts(new).get(index) {
                    None => self.says(place, format!("{part}/{index} is gone")),
                    Some(other) => {
                        self.schema(&format!("{place}/{part}/{index}"), (one, other), sent)
                    }
                }
            }
        }
        for part in ["items", "additionalProperties"] {
            if old[part].is_object() && new[part].is_object() {
                self.schema(&format!("{place}/{part}"), (&old[part], &new[part]), sent);
            }
        }
    }

    fn members(&mut self, place: &str, (old, new): (&'a Value, &'a Value), sent: Sent) {
        let (had_to, has_to) = (strings(&old["required"]), strings(&new["required"]));
        match sent {
            Sent::ByClient => {
                for name in has_to.difference(&had_to) {
                    self.says(place, format!("{name} is demanded"));
                }
            }
            Sent::ByServer => {
                for name in had_to.difference(&has_to) {
                    self.says(place, format!("{name} may be missing"));
                }
            }
        }
        for (name, member) in old["properties"].as_object().into_iter().flatten() {
            match new["properties"].get(name) {
                None => self.says(place, format!("{name} is gone")),
                Some(other) => self.schema(&format!("{place}/{name}"), (member, other), sent),
            }
        }
    }
}
