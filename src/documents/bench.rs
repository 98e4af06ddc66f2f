//! The bench sheet: what whoever makes a manifold works from, as PDF/A-3a with PDF/UA-1.
//!
//! Drawing, cut list, holes, branch ends, brazing, test and sign-off, cautions; then pages that
//! print at true size: a marking strip to lay along the run and saddle templates to wrap round
//! the branches, each page with a ruler to check the printer by.

mod data;
mod strip;
mod tables;
mod template;

use jiff::civil::Date;

use super::drawing::FigureStyle;
use super::typst_world::{DocumentError, Papers};
use super::words::Words;
use crate::shop::settings::{DecimalMark, Language, Paper, Units};
use crate::trade::catalogue::Catalogue;
use crate::trade::check::Checked;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;

/// The template.
const TEMPLATE: &str = include_str!("bench/bench.typ");

/// What a bench sheet is printed from.
#[derive(Debug, Clone, Copy)]
pub struct BenchSheet<'a> {
    /// The manifold.
    pub manifold: &'a Manifold,
    /// Its check, which holds its take-off and layout.
    pub checked: &'a Checked,
    /// The tables of the trade.
    pub catalogue: &'a Catalogue,
    /// The rules it was checked by.
    pub rules: &'a RuleSet,
    /// Trading name of the shop; empty when it has none.
    pub shop: &'a str,
    /// Units of its dimensions.
    pub units: Units,
    /// What stands between whole and parts of its figures.
    pub decimal_mark: DecimalMark,
    /// Its paper.
    pub paper: Paper,
    /// Its language.
    pub language: Language,
    /// The day it is printed.
    pub printed_on: Date,
}

impl BenchSheet<'_> {
    /// How its figures are written.
    const fn figures(&self) -> FigureStyle {
        FigureStyle::on_paper(self.units, self.decimal_mark)
    }
}

/// Prints a bench sheet. The same input gives the same bytes.
///
/// # Errors
/// When the paper cannot be set, which is a fault of the template.
pub fn bench_pdf(sheet: &BenchSheet<'_>) -> Result<Vec<u8>, DocumentError> {
    Papers {
        template: TEMPLATE,
        files: vec![
            (
                "words.json",
                Words::of(sheet.language).bench.as_bytes().to_vec(),
            ),
            ("bench.json", serde_json::to_vec(&data::of(sheet))?),
        ],
    }
    .pdf()
}
