//! Sheets as CSV (RFC 4180): read with every fault named by row and column, written so that no
//! spreadsheet runs a cell as a formula.

use std::borrow::Cow;

use axum::http::HeaderValue;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use serde_json::{Map, Value};

use crate::http::problem::{Problem, Slug};
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
}

/// Reads a sheet.
///
/// # Errors
/// 400 when it is not CSV in UTF-8. Faults of single cells are reported.
pub fn read(bytes: &[u8], columns: Columns, faults: &mut Faults) -> Result<Sheet, Problem> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|error| not_utf8(bytes, error.valid_up_to()))?;
    // With one kind of line end, and one after the last row, lines are counted alike for every row.
    let text = text.replace("\r\n", "\n");
    let text = format!("{}\n", text.strip_suffix('\n').unwrap_or(&text));
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut lines = Lines::default();
    let Some((_, heading)) = lines.next(&mut reader)? else {
        return Err(Problem::new(Slug::MalformedBody).with_detail(format!(
            "The sheet is empty; its first row must name the columns {}.",
            columns.read.join(", ")
        )));
    };
    let mut sheet = Sheet::default();
    let heading = read_heading(&heading, columns, &mut sheet, faults);
    while let Some((number, record)) = lines.next(&mut reader)? {
        if let Some(row) = read_row(&record, &heading, (number, columns), faults) {
            sheet.rows.push(row);
            sheet.numbers.push(number);
        }
    }
    Ok(sheet)
}

fn not_utf8(bytes: &[u8], good: usize) -> Problem {
    let line = 1 + bytes
        .iter()
        .take(good)
        .filter(|byte| **byte == b'\n')
        .count();
    Problem::new(Slug::MalformedBody).with_detail(format!(
        "The sheet is not UTF-8 text; the first wrong byte is in line {line}. Save it as CSV with the encoding UTF-8."
    ))
}

/// Counts the rows as a spreadsheet shows them: blank lines count, line breaks within a cell do not.
#[derive(Default)]
struct Lines {
    row: u64,
}

impl Lines {
    fn next(
        &mut self,
        reader: &mut csv::Reader<&[u8]>,
    ) -> Result<Option<(u32, csv::StringRecord)>, Problem> {
        let before = reader.position().line();
        let mut record = csv::StringRecord::new();
        let more = reader.read_record(&mut record).map_err(|error| {
            Problem::new(Slug::MalformedBody).with_detail(format!("The sheet is not CSV: {error}."))
        })?;
        if !more {
            return Ok(None);
        }
        let used = reader.position().line().saturating_sub(before);
        let breaks = record
            .iter()
            .map(|cell| cell.matches('\n').count() as u64)
            .sum::<u64>();
        self.row += used.saturating_sub(breaks).max(1);
        let row = u32::try_from(self.row).unwrap_or(u32::MAX);
        Ok(Some((row, record)))
    }
}

/// The columns in the order of the sheet; none where a heading is of no use.
fn read_heading(
    record: &csv::StringRecord,
    columns: Columns,
    sheet: &mut Sheet,
    faults: &mut Faults,
) -> Vec<Option<&'static str>> {
    let mut found: Vec<Option<&'static str>> = Vec::new();
    for cell in record {
        let name = cell.trim().to_lowercase().replace([' ', '-'], "_");
        let known = columns.read.iter().copied().find(|column| **column == name);
        let told = columns.ignored.contains(&name.as_str()) || name.is_empty();
        if known.is_some_and(|column| found.contains(&Some(column))) {
            let detail = format!("the column `{name}` comes twice; keep one");
            faults.push(Fault::new("", code::DUPLICATE_FIELD, detail).in_cell(1, cell));
            found.push(None);
            continue;
        }
        if known.is_none() && !told {
            let detail = unknown_column(cell, &name, columns);
            faults.push(Fault::new("", code::UNKNOWN_FIELD, detail).in_cell(1, cell));
        }
        found.push(known);
    }
    for column in columns
        .required
        .iter()
        .filter(|column| !found.contains(&Some(column)))
    {
        let detail = format!("the column `{column}` is missing; the first row must name it");
        faults.push(Fault::new("", code::MISSING, detail).in_cell(1, *column));
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
    record: &csv::StringRecord,
    heading: &[Option<&'static str>],
    (number, columns): (u32, Columns),
    faults: &mut Faults,
) -> Option<Value> {
    let mut row = Map::new();
    for (index, cell) in record.iter().enumerate() {
        let cell = cell.trim_matches([' ', '\u{a0}']);
        match heading.get(index) {
            _ if cell.is_empty() => {}
            Some(Some(column)) => {
                row.insert((*column).to_owned(), Value::from(plain(cell)));
            }
            Some(None) => {}
            None => {
                let shown: String = cell.chars().take(60).collect();
                let detail = format!(
                    "row {number} has {shown:?} in cell {}, where the first row names no column; put texts with commas in double quotes",
                    index + 1
                );
                faults.push(Fault::new("", "cell_without_column", detail).in_cell(number, ""));
            }
        }
    }
    let is_filled = columns
        .filled
        .iter()
        .any(|column| row.contains_key(*column));
    is_filled.then_some(Value::Object(row))
}

fn is_guarded(text: &str) -> bool {
    text.trim_start_matches('\'')
        .starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// A cell as a spreadsheet is to show it: a text that it might run as a formula is led by an
/// apostrophe. Numbers never come this way.
pub fn guarded(text: &str) -> Cow<'_, str> {
    if is_guarded(text) {
        format!("'{text}").into()
    } else {
        text.into()
    }
}

/// The text of a cell that may have been guarded.
fn plain(cell: &str) -> &str {
    cell.strip_prefix('\'')
        .filter(|rest| is_guarded(rest))
        .unwrap_or(cell)
}

/// Writes rows under a heading.
///
/// # Errors
/// 500 when they cannot be written.
pub fn write(
    heading: &[&str],
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Result<Vec<u8>, Problem> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    writer
        .write_record(heading)
        .map_err(|error| Problem::internal(&error))?;
    for row in rows {
        writer
            .write_record(&row)
            .map_err(|error| Problem::internal(&error))?;
    }
    writer
        .into_inner()
        .map_err(|error| Problem::internal(&error))
}

/// An answer that is a sheet, to be saved under that name.
pub fn answer(bytes: Vec<u8>, file: &str) -> Response {
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(
        CONTENT_TYPE,
        HeaderValue::from_static("text/csv; charset=utf-8; header=present"),
    );
    if let Ok(value) = HeaderValue::try_from(format!("attachment; filename=\"{file}\"")) {
        headers.insert(CONTENT_DISPOSITION, value);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: Columns = Columns {
        read: &["code", "text", "price"],
        required: &["code", "price"],
        ignored: &["note"],
        filled: &["code", "text", "price"],
    };

    fn rows(text: &str) -> (Vec<(u32, Value)>, Vec<Fault>) {
        let mut faults = Faults::new();
        let sheet = read(text.as_bytes(), COLUMNS, &mut faults).unwrap();
        let rows = sheet.numbers.into_iter().zip(sheet.rows).collect();
        (rows, faults.as_slice().to_vec())
    }

    #[test]
    fn rows_keep_the_numbers_a_spreadsheet_shows() {
        let (rows, faults) =
            rows("\u{feff} Code ,TEXT,price,note\r\na,\"one\ntwo\",1\r\n\r\n,,,\r\nb,,2,seen");
        assert_eq!(faults, []);
        let numbers: Vec<u32> = rows.iter().map(|row| row.0).collect();
        assert_eq!(numbers, [2, 5]);
        assert_eq!(rows[0].1["text"], "one\ntwo");
        assert_eq!(rows[1].1, serde_json::json!({"code": "b", "price": "2"}));
    }

    #[test]
    fn a_heading_is_read_forgivingly_but_not_guessed() {
        let (_, faults) = rows("code,pirce,code,text\n");
        let found: Vec<_> = faults
            .iter()
            .map(|fault| (fault.code.as_ref(), fault.column.as_deref().unwrap()))
            .collect();
        assert_eq!(
            found,
            [
                ("unknown_field", "pirce"),
                ("duplicate_field", "code"),
                ("missing", "price")
            ]
        );
        assert!(faults[0].detail.contains("did you mean `price`"));
        let (_, faults) = rows("code;text;price\n");
        assert!(
            faults[0].detail.contains("by commas"),
            "{}",
            faults[0].detail
        );
    }

    #[test]
    fn a_guarded_cell_reads_as_it_was() {
        // Cells that spreadsheets run: OWASP, "CSV Injection".
        for text in ["=1+1", "+1", "-2", "@SUM(1)", "\tx", "'=1", "''-1"] {
            assert_eq!(guarded(text), format!("'{text}"));
            assert_eq!(plain(&guarded(text)), text);
        }
        for text in ["1 1/2 in", "'tis", "a=b", ""] {
            assert_eq!(guarded(text), text);
            assert_eq!(plain(text), text);
        }
    }
}
