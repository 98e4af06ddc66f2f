//! The words of the documents, in one place.
//!
//! Another language is a variant of [`Language`], a folder beside `en`, and an arm of [`Words::of`].
//! The words on drawings are in [`drawing`]; what is said of a manifold (`shop/quote/describe.rs`) and
//! what checks find is frozen with a quote, in the language of the answers.

pub mod drawing;

use crate::shop::settings::Language;

/// The words of one language: each a JSON object, the texts by name.
#[derive(Debug, Clone, Copy)]
pub struct Words {
    /// Of the quotation, in whatever form.
    pub quote: &'static str,
    /// Of the quotation as a page, and of the customer's answer, beyond those.
    pub page: &'static str,
    /// Of the bench sheet.
    pub bench: &'static str,
}

impl Words {
    /// The words of a language.
    pub const fn of(language: Language) -> Self {
        match language {
            Language::En => Self {
                quote: include_str!("words/en/quote.json"),
                page: include_str!("words/en/page.json"),
                bench: include_str!("words/en/bench.json"),
            },
        }
    }
}
