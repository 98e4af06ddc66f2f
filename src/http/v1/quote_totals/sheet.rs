//! Totals as a sheet.

use axum::response::Response;
use rust_decimal::Decimal;

use super::{amounts, whole_seconds};
use crate::app::totals::NumberedChange;
use crate::http::negotiate::Offer;
use crate::http::problem::Problem;
use crate::http::v1::sheet::{self, Cell, CsvForm, Page};
use crate::http::wire::DecimalMark;

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

/// Rows of totals as CSV or as a workbook.
///
/// # Errors
/// 500 when what is stored cannot be read, or the sheet not be written.
pub fn answer(
    form: Offer,
    decimal: Option<DecimalMark>,
    rows: &[NumberedChange],
) -> Result<Response, Problem> {
    let heading = FIRST
        .into_iter()
        .chain(HEADS)
        .chain(["other", "changed_at"]);
    let page = Page {
        name: "totals".to_owned(),
        heading: heading.map(str::to_owned).collect(),
        cells: rows.iter().map(cells).collect::<Result<_, _>>()?,
        marked: std::collections::BTreeSet::new(),
    };
    let written = match decimal {
        Some(DecimalMark::Comma) => CsvForm::WITH_COMMAS,
        Some(DecimalMark::Point) | None => CsvForm::PLAIN,
    };
    sheet::answer_pages(form, written, vec![page], "quote-totals")
}

fn cells(row: &NumberedChange) -> Result<Vec<Cell>, Problem> {
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
    Ok(cells)
}
