//! Sheets as XLSX workbooks (ISO/IEC 29500), read within bounds.
//!
//! A workbook is a zip archive, and a small one can hold a large one. Before anything is read its parts
//! are inflated once and counted: [`MOST_INFLATED`] bytes in all at most, in [`MOST_PARTS`] parts. Cells
//! are then read one after another, and their texts counted, since many cells may share one long text:
//! [`MOST_TEXT`] bytes at most. So reading holds, beside the body itself, about the inflated parts once
//! and the texts twice: under 200 MB whatever is sent.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use calamine::{DataRef, Reader, SheetType, SheetVisible, Xlsx, XlsxError};
use zip::ZipArchive;

use super::{Cell, Columns, Line, Sheet, gather};
use crate::http::problem::{Problem, Slug};
use crate::http::wire::{Fault, Faults};

/// Most bytes of all parts of a workbook, inflated.
const MOST_INFLATED: u64 = 64 << 20;
/// Most parts of a workbook.
const MOST_PARTS: usize = 1_000;
/// Most bytes of the texts of all cells.
const MOST_TEXT: usize = 32 << 20;
/// Most columns of a sheet.
const MOST_COLUMNS: u32 = 256;

/// Reads the sheet of a workbook whose first row names the columns.
///
/// # Errors
/// As [`lines`]. Faults of single cells are reported.
pub fn read(bytes: &[u8], columns: Columns, faults: &mut Faults) -> Result<Sheet, Problem> {
    let lines = lines(bytes, &|line| line.named(columns), faults)?;
    Ok(gather(lines, columns, faults))
}

/// The rows of a sheet of a workbook: of the first that is shown and has a heading, else of the first that
/// is shown. `named` says how many columns a first row names.
///
/// # Errors
/// 400 when it is no workbook that can be read, 413 when it holds too much.
pub fn lines(
    bytes: &[u8],
    named: &dyn Fn(&Line) -> usize,
    faults: &mut Faults,
) -> Result<Vec<Line>, Problem> {
    within_bounds(bytes)?;
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| unreadable(&error))?;
    let shown: Vec<String> = book
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.typ == SheetType::WorkSheet && sheet.visible == SheetVisible::Visible)
        .map(|sheet| sheet.name.clone())
        .collect();
    let mut text = 0;
    let mut first = None;
    for name in &shown {
        let lines = sheet_lines(&mut book, name, &mut text).map_err(|error| match error {
            ReadError::Book(error) => unreadable(&error),
            ReadError::TooMuch(detail) => too_much(detail),
        })?;
        if lines.first().is_some_and(|line| named(line) > 0) {
            merged(&mut book, name, faults)?;
            return Ok(lines);
        }
        first.get_or_insert(lines);
    }
    let Some(lines) = first.filter(|lines| !lines.is_empty()) else {
        let detail = "The workbook has no sheet with anything in it; the first row of one must name the columns.";
        return Err(Problem::new(Slug::MalformedBody).with_detail(detail.to_owned()));
    };
    let told = format!(
        "none of the sheets ({}) names a column in its first row; this is read of the first",
        shown.join(", ")
    );
    faults.push(Fault::new("", "wrong_sheet", told).in_cell(1, ""));
    Ok(lines)
}

fn unreadable(error: &XlsxError) -> Problem {
    let why = match error {
        XlsxError::Password => "it is protected by a password".to_owned(),
        other => other.to_string(),
    };
    Problem::new(Slug::MalformedBody).with_detail(format!(
        "The workbook cannot be read: {why}. Save it as an XLSX workbook without a password."
    ))
}

fn too_much(detail: String) -> Problem {
    Problem::new(Slug::BodyTooLarge).with_detail(detail)
}

/// Inflates every part once, into nothing, and counts: what an archive says of its sizes may be wrong.
fn within_bounds(bytes: &[u8]) -> Result<(), Problem> {
    let not_a_book = || {
        Problem::new(Slug::MalformedBody).with_detail(
            "The body is not an XLSX workbook: it is no zip archive. Save the sheet as XLSX, or send it as CSV."
                .to_owned(),
        )
    };
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| not_a_book())?;
    if archive.len() > MOST_PARTS {
        return Err(too_much(format!(
            "The workbook has {} parts; {MOST_PARTS} are read at most.",
            archive.len()
        )));
    }
    let mut left = MOST_INFLATED;
    for place in 0..archive.len() {
        let part = archive.by_index(place).map_err(|_| not_a_book())?;
        let read = std::io::copy(&mut part.take(left + 1), &mut std::io::sink());
        let read = read.map_err(|_| not_a_book())?;
        left = left.checked_sub(read).ok_or_else(|| {
            too_much(format!(
                "The workbook inflates to more than {} MiB, which is the most that is read.",
                MOST_INFLATED >> 20
            ))
        })?;
    }
    Ok(())
}

enum ReadError {
    Book(XlsxError),
    TooMuch(String),
}

impl From<XlsxError> for ReadError {
    fn from(error: XlsxError) -> Self {
        Self::Book(error)
    }
}

/// The rows of a sheet that have anything in them.
fn sheet_lines(
    book: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    text: &mut usize,
) -> Result<Vec<Line>, ReadError> {
    let mut rows: BTreeMap<u32, Vec<Cell>> = BTreeMap::new();
    let mut cells = book.worksheet_cells_reader(name)?;
    while let Some(cell) = cells.next_cell_with_formula_metadata()? {
        let (row, column) = cell.pos;
        let read = read_cell(&cell.value, cell.formula.is_some());
        if read.is_blank() {
            continue;
        }
        if column >= MOST_COLUMNS {
            return Err(ReadError::TooMuch(format!(
                "Sheet {name:?} has something in column {} of row {}; {MOST_COLUMNS} columns are read at most.",
                column + 1,
                row + 1
            )));
        }
        *text += read.size();
        if *text > MOST_TEXT {
            return Err(ReadError::TooMuch(format!(
                "The cells of the workbook hold more than {} MiB of text, which is the most that is read.",
                MOST_TEXT >> 20
            )));
        }
        let line = rows.entry(row).or_default();
        line.resize(line.len().max(column as usize + 1), Cell::default());
        line[column as usize] = read;
    }
    Ok(rows
        .into_iter()
        .map(|(row, cells)| Line {
            number: row + 1,
            cells,
        })
        .collect())
}

/// What a cell holds, as a person would type it; a formula counts as what it last came to.
fn read_cell(value: &DataRef<'_>, is_formula: bool) -> Cell {
    match value {
        DataRef::Empty if is_formula => Cell::wrong(
            ("formula_without_value", ""),
            "the cell holds a formula that was never calculated; open the workbook in a spreadsheet program and save it",
        ),
        DataRef::Empty => Cell::default(),
        DataRef::Int(number) => Cell::Number(number.to_string()),
        DataRef::Float(number) => Cell::Number(decimal(*number)),
        DataRef::String(text) => Cell::Text(text.clone()),
        DataRef::SharedString(text) => Cell::Text((*text).to_owned()),
        DataRef::Bool(truth) => Cell::Text(truth.to_string()),
        DataRef::Error(error) => Cell::wrong(
            ("formula_error", &error.to_string()),
            format!("the cell shows {error}; mend its formula, or type the value"),
        ),
        DataRef::DateTime(date) => {
            let (year, month, day, ..) = date.to_ymd_hms_milli();
            let shown = format!("{year:04}-{month:02}-{day:02}");
            Cell::wrong(("a_date", &shown), a_date(&shown))
        }
        DataRef::DateTimeIso(date) | DataRef::DurationIso(date) => {
            Cell::wrong(("a_date", date), a_date(date))
        }
    }
}

fn a_date(shown: &str) -> String {
    format!(
        "the cell holds a date ({shown}): the spreadsheet made one of what was typed, such as 1/2 or 3-4; set the cells of the column to text and type it again, with its unit"
    )
}

/// A number as a spreadsheet shows it: fifteen digits are all that its binary form is good for.
fn decimal(number: f64) -> String {
    let rounded: f64 = format!("{number:.14e}").parse().unwrap_or(number);
    rounded.to_string()
}

/// Merged cells leave all but one of them blank, which is not what they look like.
fn merged(book: &mut Xlsx<Cursor<&[u8]>>, name: &str, faults: &mut Faults) -> Result<(), Problem> {
    let regions = book
        .merge_cells_by_sheet_name(name)
        .map_err(|error| unreadable(&error))?;
    for region in regions {
        let detail = format!(
            "{} to {} are merged, so that only the first holds anything; part them and fill in each",
            address(region.start),
            address(region.end)
        );
        faults.push(Fault::new("", "merged_cells", detail).in_cell(region.start.0 + 1, ""));
    }
    Ok(())
}

/// A cell as a spreadsheet calls it: B7.
fn address((row, column): (u32, u32)) -> String {
    let mut letters = String::new();
    let mut rest = column + 1;
    while rest > 0 {
        let digit = (rest - 1) % 26;
        letters.insert(0, char::from(b'A' + digit as u8));
        rest = (rest - 1) / 26;
    }
    format!("{letters}{}", row + 1)
}
