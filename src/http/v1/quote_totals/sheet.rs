//! Totals as a sheet.

use axum::response::Response;
use rust_decimal::Decimal;

use super::{amounts, whole_seconds};
use crate::app::totals::NumberedChange;
use crate::http::negotiate::Offer;
use crate::http::problem::Problem;
use crate::http::v1::sheet::{self, Cell, CsvForm, Page};
use crate::http::wire::DecimalMark;
use crate::shop::quote::TaxLine;

/// Columns before the cost heads.
const FIRST: [&str; 12] = [
    "number",
    "revision",
    "state",
    "customer",
    "project",
    "currency",
    "net",
    "tax",
    "gross",
    "issued_on",
    "accepted_on",
    "po_number",
];

/// Cost heads that have a column of their own; the rest is in `other`.
const HEADS: [&str; 7] = [
    "tube",
    "fittings",
    "consumables",
    "labour",
    "equipment",
    "overhead",
    "profit",
];

/// Taxes that have columns of their own, and what those are; further ones are one sum.
const TAXES: usize = 3;
const OF_A_TAX: [&str; 4] = ["name", "rate", "base", "amount"];

/// Rows of totals as CSV or as a workbook.
///
/// # Errors
/// 500 when what is stored cannot be read, or the sheet not be written.
pub fn answer(
    form: Offer,
    decimal: Option<DecimalMark>,
    rows: &[(NumberedChange, Vec<TaxLine>)],
) -> Result<Response, Problem> {
    let heading = FIRST
        .into_iter()
        .chain(HEADS)
        .chain(["other", "changed_at"])
        .map(str::to_owned)
        .chain((1..=TAXES).flat_map(|place| OF_A_TAX.map(|what| format!("tax_{place}_{what}"))))
        .chain([
            "other_taxes_base".to_owned(),
            "other_taxes_amount".to_owned(),
        ]);
    let page = Page {
        name: "totals".to_owned(),
        heading: heading.collect(),
        cells: rows.iter().map(cells).collect::<Result<_, _>>()?,
        marked: std::collections::BTreeSet::new(),
    };
    let written = match decimal {
        Some(DecimalMark::Comma) => CsvForm::WITH_COMMAS,
        Some(DecimalMark::Point) | None => CsvForm::PLAIN,
    };
    sheet::answer_pages(form, written, vec![page], "quote-totals")
}

fn cells((row, taxes): &(NumberedChange, Vec<TaxLine>)) -> Result<Vec<Cell>, Problem> {
    let change = &row.change;
    let mut heads = amounts(row)?;
    let text = |text: &str| Cell::Text(text.to_owned());
    let amount = |amount: Decimal| Cell::Number(amount.to_string());
    let day = |day: Option<jiff::civil::Date>| {
        Cell::Text(day.map_or_else(String::new, |day| day.to_string()))
    };
    let mut cells = vec![
        text(&change.number),
        Cell::Number(change.revision.to_string()),
        text(&change.state),
        text(&change.customer),
        text(&change.project),
        text(&change.currency),
        amount(change.net),
        amount(change.tax),
        amount(change.gross),
        day(change.issued_on),
        day(change.accepted_on),
        text(change.po_number.as_deref().unwrap_or_default()),
    ];
    let mut zero = Decimal::ZERO;
    zero.rescale(change.net.scale());
    cells.extend(HEADS.map(|head| amount(heads.remove(head).unwrap_or(zero))));
    cells.push(amount(
        heads.into_values().fold(zero, |sum, part| sum + part),
    ));
    cells.push(Cell::Text(whole_seconds(change.at)));
    cells.extend(tax_cells(taxes, zero));
    Ok(cells)
}

/// Each tax in its columns; empty where there are fewer.
fn tax_cells(taxes: &[TaxLine], zero: Decimal) -> impl Iterator<Item = Cell> {
    let (own, others) = taxes.split_at(taxes.len().min(TAXES));
    let sum = |part: fn(&TaxLine) -> Decimal| {
        let sum = others.iter().map(part).fold(zero, |sum, part| sum + part);
        Cell::Number(sum.to_string())
    };
    let sums = [sum(|tax| tax.base), sum(|tax| tax.amount)];
    let own = own.iter().flat_map(|tax| {
        [
            Cell::Text(tax.name.clone()),
            Cell::Number(tax.rate.number().normalize().to_string()),
            Cell::Number(tax.base.to_string()),
            Cell::Number(tax.amount.to_string()),
        ]
    });
    let empty = std::iter::repeat_with(|| Cell::Text(String::new()));
    let own: Vec<Cell> = own.chain(empty).take(TAXES * OF_A_TAX.len()).collect();
    own.into_iter().chain(sums)
}
