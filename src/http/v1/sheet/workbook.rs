//! Rows as an XLSX workbook: text as text, so that nothing in it is run; numbers as numbers.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

use crate::http::problem::Problem;

/// The most digits that a number of a workbook keeps.
const DIGITS: usize = 15;
/// Narrowest and widest column, in characters.
const WIDTHS: (usize, usize) = (10, 60);

/// Writes rows under a heading, as the one sheet of a workbook, called by that name. The same rows
/// give the same bytes.
///
/// # Errors
/// 500 when they cannot be written.
pub fn write(
    name: &str,
    columns: (&[&str], &[&str]),
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Result<Vec<u8>, Problem> {
    book(name, columns, rows).map_err(|error| Problem::internal(&error))
}

fn book(
    name: &str,
    (heading, numbers): (&[&str], &[&str]),
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The day says nothing; a fixed one keeps the bytes the same.
    let day = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&day));
    let sheet = book.add_worksheet();
    sheet.set_name(name)?;
    sheet.set_freeze_panes(1, 0)?;
    let (bold, text) = (Format::new().set_bold(), Format::new().set_num_format("@"));
    let mut widths: Vec<usize> = heading.iter().map(|column| column.len()).collect();
    let mut place = 0..;
    for (column, name) in place.by_ref().zip(heading) {
        // Text even where nothing is yet: what is typed there stays what it is.
        if !numbers.contains(name) {
            sheet.set_column_format(column, &text)?;
        }
        sheet.write_string_with_format(0, column, *name, &bold)?;
    }
    for (row, cells) in (1..).zip(rows) {
        for (index, cell) in cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| !cell.is_empty())
        {
            let column = u16::try_from(index).unwrap_or(u16::MAX);
            let is_number = heading
                .get(index)
                .is_some_and(|name| numbers.contains(name));
            match exact_number(cell).filter(|_| is_number) {
                Some(number) => sheet.write_number(row, column, number)?,
                None => sheet.write_string_with_format(row, column, cell, &text)?,
            };
            if let Some(width) = widths.get_mut(index) {
                *width = (*width).max(cell.chars().count());
            }
        }
    }
    for (column, width) in (0..).zip(widths) {
        let width = (width + 2).clamp(WIDTHS.0, WIDTHS.1) as f64;
        sheet.set_column_width(column, width)?;
    }
    book.save_to_buffer()
}

/// A decimal that a workbook holds without losing a digit.
fn exact_number(cell: &str) -> Option<f64> {
    let digits = cell.chars().filter(char::is_ascii_digit).count();
    let plain = cell
        .chars()
        .all(|c| c.is_ascii_digit() || c == '.' || c == '-');
    cell.parse().ok().filter(|_| plain && digits <= DIGITS)
}
