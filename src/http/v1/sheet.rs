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

pub use csv::CsvForm;

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
pub enum Cell {
    /// A text, blank where there is nothing.
    Text(String),
    /// A number, as it is written.
    Number(String),
    /// Something that is not what was typed, or nothing that could be used.
    Wrong {
        /// The kind of fault.
        code: &'static str,
        /// What is wrong, and what to do.
        detail: String,
        /// What the cell shows.
        shown: String,
    },
}

impl Default for Cell {
    fn default() -> Self {
        Self::Text(String::new())
    }
}

impl Cell {
    fn wrong((code, shown): (&'static str, &str), detail: impl Into<String>) -> Self {
        Self::Wrong {
            code,
            detail: detail.into(),
            shown: shown.to_owned(),
        }
    }

    /// The text, without the spaces around it.
    pub fn text(&self) -> &str {
        match self {
            Self::Text(text) | Self::Number(text) => text.trim_matches([' ', '\u{a0}']),
            Self::Wrong { .. } => "",
        }
    }

    /// Whether there is nothing in it.
    pub fn is_blank(&self) -> bool {
        !matches!(self, Self::Wrong { .. }) && self.text().is_empty()
    }

    fn size(&self) -> usize {
        match self {
            Self::Text(text) | Self::Number(text) => text.len(),
            Self::Wrong { detail, .. } => detail.len(),
        }
    }
}

/// A row of a sheet.
#[derive(Debug, Clone, Default)]
pub struct Line {
    /// Counted from 1.
    pub number: u32,
    /// Its cells, up to the last that has anything in it.
    pub cells: Vec<Cell>,
}

/// A page of an answer.
#[derive(Debug, Clone)]
pub struct Page {
    /// What it is called.
    pub name: String,
    /// Its heading.
    pub heading: Vec<String>,
    /// Its rows below that.
    pub cells: Vec<Vec<Cell>>,
    /// Cells that have a fault, by row and column; a workbook shows them in colour.
    pub marked: BTreeSet<(usize, usize)>,
}

/// A column of a blank sheet.
#[derive(Debug, Clone)]
pub struct BlankColumn {
    /// Its heading.
    pub name: &'static str,
    /// What it is, as a note.
    pub says: &'static str,
    /// Whether it must be filled in.
    pub required: bool,
    /// Whether its cells are whole numbers.
    pub whole: bool,
    /// The words it takes; any text where there are none.
    pub words: Vec<&'static str>,
    /// How it may be filled in.
    pub example: &'static str,
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

/// The rows of a sheet whose columns are somebody else's matter, and how a CSV was written. `named` says how
/// many columns a heading names.
///
/// # Errors
/// As [`read`].
pub fn lines(
    form: Offer,
    bytes: &[u8],
    named: &dyn Fn(&Line) -> usize,
    faults: &mut Faults,
) -> Result<(Vec<Line>, CsvForm), Problem> {
    match form.is(XLSX) {
        true => Ok((xlsx::lines(bytes, named, faults)?, CsvForm::PLAIN)),
        false => csv::detected(bytes),
    }
}

/// Pages as one workbook, or the first of them as CSV in the form that came, to be saved under that name.
///
/// # Errors
/// 500 when they cannot be written.
pub fn answer_pages(
    form: Offer,
    csv_form: CsvForm,
    pages: Vec<Page>,
    name: &str,
) -> Result<Response, Problem> {
    let bytes = match form.is(XLSX) {
        true => workbook::write(&pages)?,
        false => match pages.into_iter().next() {
            Some(page) => csv::write(&page.heading, page.cells, csv_form)?,
            None => Vec::new(),
        },
    };
    Ok(saved(form, bytes, name))
}

/// A blank sheet in that form.
///
/// # Errors
/// 500 when it cannot be written.
pub fn blank(form: Offer, columns: &[BlankColumn], name: &str) -> Result<Response, Problem> {
    let heading: Vec<String> = columns
        .iter()
        .map(|column| column.name.to_owned())
        .collect();
    let bytes = match form.is(XLSX) {
        true => workbook::blank(columns, name)?,
        false => csv::write(&heading, Vec::new(), CsvForm::PLAIN)?,
    };
    Ok(saved(form, bytes, name))
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
    let is_number: Vec<bool> = heading.iter().map(|name| numbers.contains(name)).collect();
    let cells = rows.into_iter().map(|row| {
        let cells = row.into_iter().enumerate();
        cells
            .map(|(place, cell)| match is_number.get(place) {
                Some(true) => Cell::Number(cell),
                _ => Cell::Text(cell),
            })
            .collect()
    });
    let page = Page {
        name: name.to_owned(),
        heading: heading.iter().map(|name| (*name).to_owned()).collect(),
        cells: cells.collect(),
        marked: BTreeSet::new(),
    };
    answer_pages(form, CsvForm::PLAIN, vec![page], name)
}

fn saved(form: Offer, bytes: Vec<u8>, name: &str) -> Response {
    let media = match form.is(XLSX) {
        true => XLSX.media,
        false => "text/csv; charset=utf-8; header=present",
    };
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(media));
    let file = format!("attachment; filename=\"{name}.{}\"", form.format);
    if let Ok(value) = HeaderValue::try_from(file) {
        headers.insert(CONTENT_DISPOSITION, value);
    }
    response
}

/// The rows under the heading, which is the first line.
fn gather(lines: impl IntoIterator<Item = Line>, columns: Columns, faults: &mut Faults) -> Sheet {
    let mut sheet = Sheet::default();
    let mut lines = lines.into_iter();
    let Some(heading) = lines.next() else {
        return sheet;
    };
    let heading = read_heading(&heading, columns, &mut sheet, faults);
    for line in lines {
        if let Some(row) = read_row(&line, &heading, (columns, &mut sheet), faults) {
            sheet.rows.push(row);
            sheet.numbers.push(line.number);
        }
    }
    sheet
}

/// A heading as people write it, as a column is called.
pub fn column_name(cell: &str) -> String {
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
            (Some(Some(column)), Cell::Text(_) | Cell::Number(_)) => {
                is_filled |= columns.filled.contains(column);
                row.insert((*column).to_owned(), Value::from(cell.text()));
            }
            (Some(Some(column)), Cell::Wrong { code, detail, .. }) => {
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
