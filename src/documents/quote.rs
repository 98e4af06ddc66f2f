//! The quotation as a paper: PDF/A-3a with PDF/UA-1, its content attached as JSON and UBL.
//!
//! The customer sees the offer: schedule, totals, terms, drawings, cautions. How the price came
//! about (build-up, hours, overhead, profit) stays in the shop and is not read here at all.
//! Totals are printed as `USD 1,234.50`, amounts of the schedule without the currency, so a
//! reader of the text finds each total once, in the order net, tax, gross.

mod data;

use jiff::civil::Date;

use super::logo::LogoPicture;
use super::offer::offer_json;
use super::typst_world::{DocumentError, Papers};
use super::ubl::quotation_ubl;
use super::words::Words;
use crate::shop::quote::{QuoteRecord, State};

/// The built-in template of the paper.
pub const TEMPLATE: &str = include_str!("quote/quote.typ");

/// What a quotation is printed from.
#[derive(Debug, Clone, Copy)]
pub struct QuotePaper<'a> {
    /// What the revision holds.
    pub record: &'a QuoteRecord,
    /// Its number; empty while it has none.
    pub number: &'a str,
    /// Which revision.
    pub revision: u32,
    /// Where it stands.
    pub state: State,
    /// The day it was put before the customer.
    pub issued_on: Option<Date>,
    /// Its last day.
    pub valid_until: Option<Date>,
    /// The day it was written: the date of the paper until it is issued.
    pub prepared_on: Date,
    /// The shop's logo, as the revision froze it.
    pub logo: Option<&'a LogoPicture>,
}

/// What a template reads, by name.
pub type PaperFiles = Vec<(&'static str, Vec<u8>)>;

/// Prints a quotation. The same input gives the same bytes.
///
/// # Errors
/// When the paper cannot be set, which is a fault of the template.
pub fn quote_pdf(paper: &QuotePaper<'_>) -> Result<Vec<u8>, DocumentError> {
    Papers {
        template: TEMPLATE,
        files: paper_files(paper)?,
    }
    .pdf()
}

/// What a template of the paper reads.
///
/// # Errors
/// When it cannot be written.
pub fn paper_files(paper: &QuotePaper<'_>) -> Result<PaperFiles, DocumentError> {
    let words = Words::of(paper.record.shop.style.language).quote;
    let mut files = vec![
        ("words.json", words.as_bytes().to_vec()),
        ("quote.json", serde_json::to_vec(&data::of(paper)?)?),
        ("attachment.json", offer_json(paper)?.into_bytes()),
        ("attachment.xml", quotation_ubl(paper)?),
    ];
    if let Some(logo) = paper.logo {
        files.push(("logo", logo.bytes.clone()));
    }
    Ok(files)
}
