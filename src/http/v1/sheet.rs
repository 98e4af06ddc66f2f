//! Sheets: read with every fault named by row and column, from CSV or from an XLSX workbook, and
//! written as either.

mod csv;
mod workbook;
mod xlsx;

use std::collections::BTreeSet;

use axum::http::HeaderValue;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use serde_json::{Map, Value};

use crate::http::negotiate::{Offer, XLSX};
use crate::http::problem::Problem;
use crate::http::wire::{Fault, Faults, code, nearest};

/// The columns of a sheet.
#[derive(Debug, Clone, Copy)]
pub struct Columns {
    /// Columns that are read, in the order they are written.
    pub read: &'static [&'static str],
    /// Those of them that must be there.
    pub required: &'static [&'static str],
    /// Columns that stand there for people alone.
    pub ignored: &'static [&'static str],
    /// A row that has nothing in any of these is a row left blank.
    pub filled: &'static [&'static str],
    /// Columns whose cells are numbers in a workbook; all others are text there.
    pub numbers: &'static [&'static str],
}

/// A sheet as read: its rows as objects, with the rows they stand in.
#[derive(Debug, Default)]
pub struct Sheet {
    /// The rows.
    pub rows: Vec<Value>,
    /// Their numbers in the sheet, counted from 1 with the heading.
    pub numbers: Vec<u32>,
    /// Required columns that are not there; told once, not again for every row.
    pub missing: Vec<&'static str>,
    /// Cells that could not be read, by row and column; they are not missing on top of that.
    pub unread: BTreeSet<(u32, &'static str)>,
}

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Cell {
    /// A text, blank where there is nothing.
    Text(String),
    /// Something that is not what was typed, or nothing that could be used.
    Wrong { code: &'static str, detail: String },
}

impl Default for Cell {
    fn default() -> Self {
        Self::Text(String::new())
    }
}

impl Cell {
    fn wrong(code: &'static str, detail: impl Into<String>) -> Self {
        Self::Wrong {
            code,
            detail: detail.into(),
        }
    }

    /// The text, without the spaces around it.
    fn text(&self) -> &str {
        match self {
            Self::Text(text) => text.trim_matches([' ', '\u{a0}']),
            Self::Wrong { .. } => "",
        }
    }

    fn is_blank(&self) -> bool {
        matches!(self, Self::Text(_)) && self.text().is_empty()
    }

    fn size(&self) -> usize {
        match self {
            Self::Text(text) => text.len(),
            Self::Wrong { detail, .. } => detail.len(),
        }
    }
}

/// A row of a sheet.
#[derive(Debug, Clone)]
struct Line {
    /// Counted from 1.
    number: u32,
    cells: Vec<Cell>,
}

impl Line {
    /// How many of the columns it names, as a heading.
    fn named(&self, columns: Columns) -> usize {
        let names = self.cells.iter().map(|cell| column_name(cell.text()));
        names
            .filter(|name| columns.read.contains(&name.as_str()))
            .count()
    }
}

/// Reads a sheet in a form it may be sent in.
///
/// # Errors
/// 400 when it cannot be read as that at all, 413 when a workbook holds too much. Faults of single cells
/// are reported.
pub fn read(
    form: Offer,
    bytes: &[u8],
    columns: Columns,
    faults: &mut Faults,
) -> Result<Sheet, Problem> {
    match form.is(XLSX) {
        true => xlsx::read(bytes, columns, faults),
        false => csv::read(bytes, columns, faults),
    }
}

/// Writes rows under a heading in that form, to be saved under that name.
///
/// # Errors
/// 500 when they cannot be written.
pub fn answer(
    form: Offer,
    (heading, numbers): (&[&str], &[&str]),
    rows: impl IntoIterator<Item = Vec<String>>,
    name: &str,
) -> Result<Response, Problem> {
    let (bytes, media) = match form.is(XLSX) {
        true => (workbook::write(name, (heading, numbers), rows)?, XLSX.media),
        false => (
            csv::write(heading, rows)?,
            "text/csv; charset=utf-8; header=present",
        ),
    };
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(media));
    let file = format!("attachment; filename=\"{name}.{}\"", form.format);
    if let Ok(value) = HeaderValue::try_from(file) {
        headers.insert(CONTENT_DISPOSITION, value);
    }
    Ok(response)
}

/// The rows under the heading, which is the first line.
fn gather(
    lines: impl IntoIterator<Item = Line>,
    columns: Columns,
    faults: &mut Faults,
) -> Result<Sheet, Problem> {
    let mut sheet = Sheet::default();
    let mut lines = lines.into_iter();
    let Some(heading) = lines.next() else {
        return Ok(sheet);
    };
    let heading = read_heading(&heading, columns, &mut sheet, faults);
    for line in lines {
        if let Some(row) = read_row(&line, &heading, (columns, &mut sheet), faults) {
            sheet.rows.push(row);
            sheet.numbers.push(line.number);
        }
    }
    Ok(sheet)
}

/// A heading as people write it, as a column is called.
fn column_name(cell: &str) -> String {
    cell.trim().to_lowercase().replace([' ', '-'], "_")
}

/// The columns in the order of the sheet; none where a heading is of no use.
fn read_heading(
    line: &Line,
    columns: Columns,
    sheet: &mut Sheet,
    faults: &mut Faults,
) -> Vec<Option<&'static str>> {
    let mut found: Vec<Option<&'static str>> = Vec::new();
    for cell in line.cells.iter().map(Cell::text) {
        let name = column_name(cell);
        let known = columns.read.iter().copied().find(|column| **column == name);
        let told = columns.ignored.contains(&name.as_str()) || name.is_empty();
        if known.is_some_and(|column| found.contains(&Some(column))) {
            let detail = format!("the column `{name}` comes twice; keep one");
            faults.push(Fault::new("", code::DUPLICATE_FIELD, detail).in_cell(line.number, cell));
            found.push(None);
            continue;
        }
        if known.is_none() && !told {
            let detail = unknown_column(cell, &name, columns);
            faults.push(Fault::new("", code::UNKNOWN_FIELD, detail).in_cell(line.number, cell));
        }
        found.push(known);
    }
    for column in columns
        .required
        .iter()
        .filter(|column| !found.contains(&Some(column)))
    {
        let detail = format!("the column `{column}` is missing; the first row must name it");
        faults.push(Fault::new("", code::MISSING, detail).in_cell(line.number, *column));
        sheet.missing.push(column);
    }
    found
}

fn unknown_column(cell: &str, name: &str, columns: Columns) -> String {
    let shown: String = cell.chars().take(60).collect();
    if name.contains(';') || name.contains('\t') {
        return format!(
            "the columns of {shown:?} are parted by semicolons or tabs; part them by commas"
        );
    }
    match nearest(name, columns.read.iter().copied()) {
        Some(near) => format!("there is no column {shown:?}; did you mean `{near}`?"),
        None => format!(
            "there is no column {shown:?}; leave it out, the columns are {}",
            columns.read.join(", ")
        ),
    }
}

/// A row as an object of its filled cells; none when it is blank.
fn read_row(
    line: &Line,
    heading: &[Option<&'static str>],
    (columns, sheet): (Columns, &mut Sheet),
    faults: &mut Faults,
) -> Option<Value> {
    let number = line.number;
    let mut row = Map::new();
    let mut is_filled = false;
    for (index, cell) in line.cells.iter().enumerate() {
        match (heading.get(index), cell) {
            _ if cell.is_blank() => {}
            (Some(Some(column)), Cell::Text(_)) => {
                is_filled |= columns.filled.contains(column);
                row.insert((*column).to_owned(), Value::from(cell.text()));
            }
            (Some(Some(column)), Cell::Wrong { code, detail }) => {
                is_filled |= columns.filled.contains(column);
                sheet.unread.insert((number, column));
                faults.push(Fault::new("", *code, detail.clone()).in_cell(number, *column));
            }
            (Some(None), _) => {}
            (None, _) => {
                let shown: String = cell.text().chars().take(60).collect();
                let detail = format!(
                    "row {number} has {shown:?} in cell {}, where the first row names no column; put texts with commas in double quotes",
                    index + 1
                );
                faults.push(Fault::new("", "cell_without_column", detail).in_cell(number, ""));
            }
        }
    }
    is_filled.then_some(Value::Object(row))
}
