//! Where a fault is, and the faults found so far.

use serde::Serialize;
use std::borrow::Cow;
use utoipa::ToSchema;

/// Faults beyond this many are counted, not kept.
const MOST_FAULTS: usize = 200;

/// A place in a request: a path that is written out only when a fault is reported.
#[derive(Debug, Clone, Copy)]
pub struct At<'a> {
    parent: Option<&'a At<'a>>,
    step: Step<'a>,
}

#[derive(Debug, Clone, Copy)]
enum Step<'a> {
    Body,
    Parameter(&'a str),
    Field(&'a str),
    Index(usize),
}

impl<'a> At<'a> {
    /// The whole body.
    pub const BODY: At<'static> = At {
        parent: None,
        step: Step::Body,
    };

    /// A query parameter.
    pub const fn parameter(name: &'a str) -> Self {
        Self {
            parent: None,
            step: Step::Parameter(name),
        }
    }

    /// A field of the object here.
    pub const fn field(&'a self, name: &'a str) -> At<'a> {
        At {
            parent: Some(self),
            step: Step::Field(name),
        }
    }

    /// An item of the list here, counted from 0.
    pub const fn index(&'a self, index: usize) -> At<'a> {
        At {
            parent: Some(self),
            step: Step::Index(index),
        }
    }

    /// The place as a JSON pointer (RFC 6901); empty for the whole body.
    pub fn pointer(&self) -> String {
        let mut text = self.parent.map(At::pointer).unwrap_or_default();
        match self.step {
            Step::Body | Step::Parameter(_) => {}
            Step::Field(name) => {
                text.push('/');
                text.push_str(&name.replace('~', "~0").replace('/', "~1"));
            }
            Step::Index(index) => {
                text.push('/');
                text.push_str(&index.to_string());
            }
        }
        text
    }

    /// What a sentence calls this place: `` `pitch` ``, `item 3 of `outlets``, `the body`.
    /// Items are counted from 1 here, as people do.
    pub fn name(&self) -> String {
        match self.step {
            Step::Body => "the body".to_owned(),
            Step::Field(name) | Step::Parameter(name) => format!("`{name}`"),
            Step::Index(index) => {
                let list = self.parent.map_or_else(String::new, At::name);
                format!("item {} of {list}", index + 1)
            }
        }
    }

    fn parameter_name(&self) -> Option<&str> {
        match (self.parent, self.step) {
            (_, Step::Parameter(name)) => Some(name),
            (Some(parent), _) => parent.parameter_name(),
            (None, _) => None,
        }
    }
}

/// A place in a text that was sent, such as a template or an SVG picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct TextPlace {
    /// The line, counted from 1.
    #[schema(example = 12)]
    pub line: u32,
    /// The character in it, counted from 1.
    #[schema(example = 5)]
    pub column: u32,
}

/// One thing wrong with a request: where, what kind, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Fault {
    /// JSON pointer (RFC 6901) to the faulty part of the body; empty for the whole body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "/manifolds/0/outlets/0/pitch", nullable = false)]
    pub pointer: Option<String>,
    /// Name of the faulty query parameter, header or path part, when it is not in the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "limit", nullable = false)]
    pub parameter: Option<String>,
    /// Stable kind of the fault. Programs rely on this; the sentence may change.
    #[schema(value_type = String, example = "unit_missing")]
    pub code: Cow<'static, str>,
    /// What was given, what is wanted, and what to do.
    #[schema(
        example = "`pitch` is the bare number 5; write a length with its unit, for example \"4 1/2 in\""
    )]
    pub detail: String,
    /// Where in the text that was sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub place: Option<TextPlace>,
    /// Row of the sheet that was sent, counted from 1 with the header row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 4, nullable = false)]
    pub sheet_row: Option<u32>,
    /// Heading of the sheet's column.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "pitch", nullable = false)]
    pub column: Option<String>,
}

impl Fault {
    /// A fault in the body.
    pub fn new(
        pointer: impl Into<String>,
        code: impl Into<Cow<'static, str>>,
        detail: impl Into<String>,
    ) -> Self {
        Self {
            pointer: Some(pointer.into()),
            parameter: None,
            code: code.into(),
            detail: detail.into(),
            place: None,
            sheet_row: None,
            column: None,
        }
    }

    /// The same at a place in the text that was sent.
    #[must_use]
    pub fn at_place(self, place: Option<TextPlace>) -> Self {
        Self { place, ..self }
    }

    /// A fault in a query parameter, header or path part.
    pub fn of_parameter(
        name: impl Into<String>,
        code: impl Into<Cow<'static, str>>,
        detail: impl Into<String>,
    ) -> Self {
        Self {
            pointer: None,
            parameter: Some(name.into()),
            ..Self::new("", code, detail)
        }
    }

    /// The same fault, found in that cell of a sheet.
    pub fn in_cell(mut self, sheet_row: u32, column: impl Into<String>) -> Self {
        self.sheet_row = Some(sheet_row);
        self.column = Some(column.into());
        self
    }
}

/// The faults found so far, in the order they were found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults {
    list: Vec<Fault>,
    dropped: usize,
}

impl Faults {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Reports a fault at a place.
    pub fn report(
        &mut self,
        at: &At<'_>,
        code: impl Into<Cow<'static, str>>,
        detail: impl Into<String>,
    ) {
        let fault = match at.parameter_name() {
            Some(name) => Fault::of_parameter(name, code, detail),
            None => Fault::new(at.pointer(), code, detail),
        };
        self.push(fault);
    }

    /// The same faults, each told otherwise.
    pub fn map(mut self, tell: impl FnMut(Fault) -> Fault) -> Self {
        self.list = self.list.into_iter().map(tell).collect();
        self
    }

    /// Adds a fault made elsewhere.
    pub fn push(&mut self, fault: Fault) {
        if self.list.len() < MOST_FAULTS {
            self.list.push(fault);
        } else {
            self.dropped += 1;
        }
    }

    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// How many were found, kept or not.
    pub fn count(&self) -> usize {
        self.list.len() + self.dropped
    }

    /// The faults that were kept.
    pub fn as_slice(&self) -> &[Fault] {
        &self.list
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        let mut faults = Self::new();
        faults.push(fault);
        faults
    }
}

impl FromIterator<Fault> for Faults {
    fn from_iter<I: IntoIterator<Item = Fault>>(iter: I) -> Self {
        let mut faults = Self::new();
        iter.into_iter().for_each(|fault| faults.push(fault));
        faults
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pointers_escape_as_rfc_6901_section_3_says() {
        let slash = At::BODY.field("a/b");
        let tilde = slash.field("m~n");
        assert_eq!(tilde.index(0).pointer(), "/a~1b/m~0n/0");
        assert_eq!(At::BODY.pointer(), "");
    }

    #[test]
    fn faults_beyond_the_cap_are_counted() {
        let faults: Faults = (0..201)
            .map(|i| Fault::new(format!("/{i}"), "x", "y"))
            .collect();
        assert_eq!(faults.as_slice().len(), 200);
        assert_eq!(faults.count(), 201);
    }
}
