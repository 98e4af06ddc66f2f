//! What a shop puts in place of ours on its documents: its logo, and templates of its own.
//!
//! Settings, and with them every quote, hold digests; what they stand for is kept apart and never changes, so that
//! a quote looks the same whatever the shop puts there later.

use serde::{Deserialize, Serialize};

/// What the shop has put in place of ours. Settings of earlier programs hold none.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnFiles {
    /// Its logo.
    pub logo: Option<Logo>,
    /// The digest of its template of the page.
    pub page: Option<String>,
    /// The digest of its template of the paper.
    pub paper: Option<String>,
}

impl OwnFiles {
    /// Whether everything is ours.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Whether a template is not ours.
    pub fn has_templates(&self) -> bool {
        self.page.is_some() || self.paper.is_some()
    }

    /// The digest of its template of that name.
    pub fn template(&self, name: TemplateName) -> Option<&str> {
        match name {
            TemplateName::Page => self.page.as_deref(),
            TemplateName::Paper => self.paper.as_deref(),
        }
    }

    /// The same with that template, or without one of its own.
    #[must_use]
    pub fn with_template(self, name: TemplateName, digest: Option<String>) -> Self {
        match name {
            TemplateName::Page => Self {
                page: digest,
                ..self
            },
            TemplateName::Paper => Self {
                paper: digest,
                ..self
            },
        }
    }
}

/// A logo.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Logo {
    /// The digest of the picture.
    pub digest: String,
    /// What kind of picture.
    pub kind: PictureKind,
    /// What it shows, for those who cannot see it; the shop's name when empty.
    pub text: String,
}

/// Kinds of picture that a logo may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PictureKind {
    /// Portable Network Graphics (ISO/IEC 15948).
    Png,
    /// Scalable Vector Graphics.
    Svg,
}

impl PictureKind {
    /// Its media type.
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Png => "image/png",
            Self::Svg => "image/svg+xml",
        }
    }

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Svg => "svg",
        }
    }
}

/// Templates that a shop may replace.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TemplateName {
    /// The page of a quotation.
    Page,
    /// The paper of a quotation.
    Paper,
}

impl TemplateName {
    /// Each of them.
    pub const ALL: [Self; 2] = [Self::Page, Self::Paper];

    /// Its name.
    pub const fn file(self) -> &'static str {
        match self {
            Self::Page => "quote.html",
            Self::Paper => "quote.typ",
        }
    }
}
