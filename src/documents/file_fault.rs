//! What is wrong with a file that a shop sent: a logo, a template.

use std::fmt;

use serde::{Deserialize, Serialize};

/// The most faults of one file that are told.
pub const MOST_FAULTS: usize = 100;

/// Where in a text, both counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Place {
    /// The line.
    pub line: u32,
    /// The character in it.
    pub column: u32,
}

impl Place {
    /// The place of a byte of a text.
    pub fn of_byte(text: &str, byte: usize) -> Self {
        let mut end = byte.min(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        let before = &text[..end];
        let line = before.rsplit('\n').next().unwrap_or_default();
        let counted = |count: usize| u32::try_from(count + 1).unwrap_or(u32::MAX);
        Self {
            line: counted(before.matches('\n').count()),
            column: counted(line.chars().count()),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "line {}, column {}", self.line, self.column)
    }
}

/// Kinds of fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum FileFlaw {
    /// It is not what its media type says, or is damaged.
    NotAPicture,
    /// It has more pixels, bytes or parts than a logo may have.
    PictureTooLarge,
    /// It has no size to be shown at.
    NoSize,
    /// It could run or do something.
    Active,
    /// It refers to something outside itself.
    RefersOutside,
    /// It has a part that a logo may not have.
    PartNotAllowed,
    /// A text that is too long.
    TooLong,
    /// The engine does not take it.
    Template,
    /// It takes more time, memory or steps than it may.
    TooCostly,
    /// It would show what people typed as markup.
    Unescaped,
    /// A customer could not answer on it.
    FormMissing,
}

/// Something wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileFault {
    /// What kind of fault.
    pub flaw: FileFlaw,
    /// Where, when it is at a place.
    pub place: Option<Place>,
    /// What is wrong, and what to do.
    pub detail: String,
}

impl FileFault {
    /// A fault of the file as a whole.
    pub fn whole(flaw: FileFlaw, detail: impl Into<String>) -> Self {
        Self {
            flaw,
            place: None,
            detail: detail.into(),
        }
    }

    /// A fault at a place.
    pub fn at(flaw: FileFlaw, place: Place, detail: impl Into<String>) -> Self {
        Self {
            place: Some(place),
            ..Self::whole(flaw, detail)
        }
    }
}

impl fmt::Display for FileFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.place {
            Some(place) => write!(out, "{place}: {}", self.detail),
            None => out.write_str(&self.detail),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_counted_in_characters_from_one() {
        let text = "a\nØß€x\n";
        let at = |byte| {
            let Place { line, column } = Place::of_byte(text, byte);
            (line, column)
        };
        assert_eq!(at(0), (1, 1));
        assert_eq!(at(2), (2, 1));
        assert_eq!(at(text.find('x').unwrap()), (2, 4));
        assert_eq!(at(5), (2, 2), "inside a character counts as at it");
        assert_eq!(at(999), (3, 1));
    }
}
