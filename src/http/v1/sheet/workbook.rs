//! Pages as an XLSX workbook: text as text, so that nothing in it is run; numbers as numbers.

use rust_xlsxwriter::{
    Color, DataValidation, DataValidationRule, DocProperties, ExcelDateTime, Format, FormatAlign,
    Note, Workbook, Worksheet, XlsxError,
};

use super::{BlankColumn, Cell, Page};
use crate::http::problem::Problem;

/// The most digits that a number of a workbook keeps.
const DIGITS: usize = 15;
/// Narrowest and widest column, in characters.
const WIDTHS: (usize, usize) = (8, 40);
/// Height of a line of text, in points, and the most lines that a row is made high for.
const LINE: f64 = 15.0;
const MOST_LINES: usize = 25;
/// Behind cells that have a fault.
const FAULTY: Color = Color::RGB(0xFF_D9D0);
/// Behind headings that must be filled in.
const REQUIRED: Color = Color::RGB(0xE6_EEF5);
/// Rows of a blank sheet that take lists and whole numbers.
const BLANK_ROWS: u32 = 501;

/// Writes pages. The same pages give the same bytes.
///
/// # Errors
/// 500 when they cannot be written.
pub fn write(pages: &[Page]) -> Result<Vec<u8>, Problem> {
    book(pages).map_err(|error| Problem::internal(&error))
}

/// A blank sheet of columns, with lists, notes and a page that shows how it is filled in.
///
/// # Errors
/// 500 when it cannot be written.
pub fn blank(columns: &[BlankColumn], name: &str) -> Result<Vec<u8>, Problem> {
    blank_book(columns, name).map_err(|error| Problem::internal(&error))
}

/// An empty workbook whose date says nothing: a fixed one keeps the bytes the same.
fn empty() -> Result<Workbook, XlsxError> {
    let mut book = Workbook::new();
    let day = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&day));
    Ok(book)
}

/// On paper: the heading on each page, all columns on one.
fn printed(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(0, 0)?;
    Ok(())
}

fn text() -> Format {
    Format::new().set_num_format("@")
}

fn book(pages: &[Page]) -> Result<Vec<u8>, XlsxError> {
    let mut book = empty()?;
    for page in pages {
        let sheet = book.add_worksheet();
        sheet.set_name(&page.name)?;
        sheet.set_freeze_panes(1, 0)?;
        printed(sheet)?;
        page_cells(sheet, page)?;
    }
    book.save_to_buffer()
}

fn page_cells(sheet: &mut Worksheet, page: &Page) -> Result<(), XlsxError> {
    let (bold, text) = (Format::new().set_bold(), text().set_align(FormatAlign::Top));
    let mut widths: Vec<usize> = Vec::new();
    for (column, name) in (0..).zip(&page.heading) {
        // Text even where nothing is yet: what is typed there stays what it is.
        let has_numbers = page.cells.iter().any(|row| {
            let cell = row.get(usize::from(column));
            matches!(cell, Some(Cell::Number(number)) if !number.is_empty())
        });
        if !has_numbers {
            sheet.set_column_format(column, &text)?;
        }
        sheet.write_string_with_format(0, column, name, &bold)?;
        widths.push(name.chars().count());
    }
    page_rows(sheet, page, &mut widths)?;
    for (column, width) in (0..).zip(widths) {
        let width = (width + 2).clamp(WIDTHS.0, WIDTHS.1) as f64;
        sheet.set_column_width(column, width)?;
    }
    Ok(())
}

/// Writes the rows, and widens the columns to what is in them.
fn page_rows(sheet: &mut Worksheet, page: &Page, widths: &mut [usize]) -> Result<(), XlsxError> {
    let top = Format::new().set_align(FormatAlign::Top);
    let text = text().set_align(FormatAlign::Top);
    let faulty = text.clone().set_background_color(FAULTY);
    let long = text.clone().set_text_wrap();
    for (place, (row, cells)) in (1..).zip(&page.cells).enumerate() {
        let longest = cells.iter().map(|cell| shown(cell).chars().count()).max();
        let lines = longest.unwrap_or_default().div_ceil(WIDTHS.1 - 4);
        if lines > 1 {
            // Not every program fits the height of a row to what is wrapped in it.
            sheet.set_row_height(row, LINE * lines.min(MOST_LINES) as f64)?;
        }
        for (column, cell) in (0u16..).zip(cells) {
            let index = usize::from(column);
            let is_faulty = page.marked.contains(&(place, index));
            let shown = shown(cell);
            let format = match shown.chars().count() > WIDTHS.1 {
                _ if is_faulty => &faulty,
                true => &long,
                false => &text,
            };
            match cell {
                Cell::Number(number) if !is_faulty && exact_number(number).is_some() => {
                    let number = exact_number(number).unwrap_or_default();
                    sheet.write_number_with_format(row, column, number, &top)?;
                }
                _ if shown.is_empty() && !is_faulty => {}
                _ => {
                    sheet.write_string_with_format(row, column, shown, format)?;
                }
            }
            if let Some(width) = widths.get_mut(index) {
                *width = (*width).max(shown.chars().count());
            }
        }
    }
    Ok(())
}

fn shown(cell: &Cell) -> &str {
    match cell {
        Cell::Text(text) | Cell::Number(text) => text,
        Cell::Wrong { shown, .. } => shown,
    }
}

/// A decimal that a workbook holds without losing a digit.
fn exact_number(cell: &str) -> Option<f64> {
    let digits = cell.chars().filter(char::is_ascii_digit).count();
    let plain = cell
        .chars()
        .all(|c| c.is_ascii_digit() || c == '.' || c == '-');
    cell.parse().ok().filter(|_| plain && digits <= DIGITS)
}

fn blank_book(columns: &[BlankColumn], name: &str) -> Result<Vec<u8>, XlsxError> {
    let mut book = empty()?;
    headed(book.add_worksheet().set_name(name)?, columns, true)?;
    let example = headed(book.add_worksheet().set_name("example")?, columns, false)?;
    for (column, it) in (0..).zip(columns) {
        match exact_number(it.example).filter(|_| it.whole) {
            Some(number) => example.write_number(1, column, number)?,
            None => example.write_string_with_format(1, column, it.example, &text())?,
        };
    }
    book.save_to_buffer()
}

/// The heading with its notes, and below it cells that take what the columns do.
fn headed<'a>(
    sheet: &'a mut Worksheet,
    columns: &[BlankColumn],
    with_notes: bool,
) -> Result<&'a mut Worksheet, XlsxError> {
    sheet.set_freeze_panes(1, 1)?;
    printed(sheet)?;
    for (column, it) in (0..).zip(columns) {
        let bold = Format::new().set_bold();
        let format = match it.required {
            true => bold.set_background_color(REQUIRED),
            false => bold,
        };
        if !it.whole {
            sheet.set_column_format(column, &text())?;
        }
        sheet.write_string_with_format(0, column, it.name, &format)?;
        let width = it.name.len().max(it.example.len()) + 3;
        sheet.set_column_width(column, width as f64)?;
        if with_notes {
            sheet.insert_note(0, column, &Note::new(it.says).add_author_prefix(false))?;
        }
        if let Some(rule) = rule(it)? {
            sheet.add_data_validation(1, column, BLANK_ROWS, column, &rule)?;
        }
    }
    Ok(sheet)
}

fn rule(column: &BlankColumn) -> Result<Option<DataValidation>, XlsxError> {
    let rule = DataValidation::new();
    if !column.words.is_empty() {
        let rule = rule.allow_list_strings(&column.words)?;
        return Ok(Some(rule.set_error_title("One of the list")?));
    }
    if column.whole {
        let rule = rule.allow_whole_number(DataValidationRule::GreaterThan(0));
        return Ok(Some(rule.set_error_title("A whole number, 1 or more")?));
    }
    Ok(None)
}
