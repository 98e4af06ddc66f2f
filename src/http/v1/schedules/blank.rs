//! A blank sheet for a schedule.

use axum::response::Response;

use super::super::kept::RowsQuery;
use super::super::manifold::{BuildName, EndName, ServiceIn, TemperName};
use super::super::sheet::{self, BlankColumn};
use super::columns::{COLUMNS, Holds};
use crate::http::auth::MayEstimate;
use crate::http::negotiate::{CSV, Negotiator, XLSX};
use crate::http::problem::Problem;
use crate::http::wire::WireQuery;

/// Words that a column takes, for the list in its cells.
fn words(column: &str) -> Vec<&'static str> {
    match column {
        "service" => ServiceIn::ALL.iter().map(|one| one.as_str()).collect(),
        "build" => BuildName::ALL.iter().map(|one| one.as_str()).collect(),
        "first_end" | "second_end" => EndName::ALL.iter().map(|one| one.as_str()).collect(),
        "temper" => TemperName::ALL.iter().map(|one| one.as_str()).collect(),
        _ => Vec::new(),
    }
}

/// A row as people fill it in, for the page beside.
const EXAMPLE: &[(&str, &str)] = &[
    ("mark", "H-1"),
    ("quantity", "2"),
    ("service", "hydronic_heating"),
    ("design_pressure", "75 psi"),
    ("design_temperature", "180 degF"),
    ("build", "formed_outlets"),
    ("run_tube", "b88-l-2"),
    ("first_end", "cap"),
    ("second_end", "plain"),
    ("second_beyond", "4 in"),
    ("branch_tube", "b88-l-1"),
    ("outlets", "6"),
    ("first", "4 in"),
    ("pitch", "5 in"),
    ("stub", "3 in"),
];

/// A blank sheet for a schedule
///
/// Scope `estimate`. As a workbook: a heading with notes, cells that keep sizes as text, lists of the words
/// that a column takes, whole numbers where there must be some, and a filled row on a page beside. As CSV:
/// the heading alone.
#[utoipa::path(get, path = "/v1/schedules/blank", tag = "estimates", params(RowsQuery),
    responses((status = 200, description = "The sheet.",
        content((Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
            (String = "text/csv", example = json!("mark,quantity,service,design_pressure\r\n"))))))]
pub async fn get_blank_schedule(
    _caller: MayEstimate,
    _form: WireQuery<RowsQuery>,
    negotiator: Negotiator,
) -> Result<Response, Problem> {
    let form = negotiator.choose(&[XLSX, CSV])?;
    let columns = COLUMNS.iter().map(|column| BlankColumn {
        name: column.name,
        says: column.says,
        required: column.required,
        whole: column.holds == Holds::Whole,
        words: words(column.name),
        example: EXAMPLE
            .iter()
            .find(|(name, _)| *name == column.name)
            .map_or("", |(_, cell)| *cell),
    });
    sheet::blank(form, &columns.collect::<Vec<_>>(), "schedule")
}
