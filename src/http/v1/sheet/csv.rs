//! Sheets as CSV (RFC 4180): read as people's programs save them, written so that no spreadsheet runs a
//! cell as a formula.

use std::borrow::Cow;

use super::{Cell, Columns, Line, Sheet, gather};
use crate::http::problem::{Problem, Slug};
use crate::http::wire::Faults;

/// How a sheet parts its columns and writes its numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CsvForm {
    /// What parts columns.
    delimiter: u8,
    /// Numbers have commas in them, and none has a point.
    pub has_decimal_commas: bool,
    /// A byte order mark comes first: by it some programs know that the text is UTF-8.
    has_mark: bool,
}

impl CsvForm {
    /// That of RFC 4180: commas part columns.
    pub const PLAIN: Self = Self {
        delimiter: b',',
        has_decimal_commas: false,
        has_mark: false,
    };

    /// As spreadsheets open it where numbers have commas: semicolons part columns.
    pub const WITH_COMMAS: Self = Self {
        delimiter: b';',
        has_decimal_commas: true,
        has_mark: true,
    };

    /// The same with numbers that have commas or points.
    pub const fn with_decimals(self, has_decimal_commas: bool) -> Self {
        Self {
            has_decimal_commas,
            ..self
        }
    }

    /// As the heading shows: what stands there most often of comma, semicolon and tab.
    fn of_heading(bytes: &[u8]) -> Self {
        let heading = bytes
            .split(|byte| *byte == b'\n')
            .next()
            .unwrap_or_default();
        let count = |delimiter: &u8| heading.iter().filter(|byte| *byte == delimiter).count();
        let delimiter = [b',', b';', b'\t'].into_iter().rev().max_by_key(count);
        Self {
            delimiter: delimiter.unwrap_or(b','),
            ..Self::PLAIN
        }
    }

    /// With what the cells show of numbers. Only cells that begin with a digit are asked: an id may hold
    /// a point.
    fn with_numbers(self, lines: &[Line]) -> Self {
        let (mut commas, mut points) = (false, false);
        for cell in lines.iter().flat_map(|line| &line.cells) {
            let text = cell.text().as_bytes();
            if text.first().is_some_and(u8::is_ascii_digit) {
                let between = |mark: u8| {
                    let mut three = text.windows(3);
                    three
                        .any(|it| it[0].is_ascii_digit() && it[1] == mark && it[2].is_ascii_digit())
                };
                commas |= between(b',');
                points |= between(b'.');
            }
        }
        Self {
            has_decimal_commas: self.delimiter != b',' && commas && !points,
            ..self
        }
    }
}

/// Reads a sheet whose columns are parted by commas.
///
/// # Errors
/// 400 when it is not CSV in UTF-8. Faults of single cells are reported.
pub fn read(bytes: &[u8], columns: Columns, faults: &mut Faults) -> Result<Sheet, Problem> {
    let lines = lines(bytes, CsvForm::PLAIN)?;
    if lines.is_empty() {
        return Err(Problem::new(Slug::MalformedBody).with_detail(format!(
            "The sheet is empty; its first row must name the columns {}.",
            columns.read.join(", ")
        )));
    }
    Ok(gather(lines, columns, faults))
}

/// The rows of a sheet, and the form it has.
///
/// # Errors
/// 400 when it is not CSV in UTF-8.
pub fn detected(bytes: &[u8]) -> Result<(Vec<Line>, CsvForm), Problem> {
    let form = CsvForm::of_heading(bytes);
    let lines = lines(bytes, form)?;
    let form = form.with_numbers(&lines);
    Ok((lines, form))
}

fn lines(bytes: &[u8], form: CsvForm) -> Result<Vec<Line>, Problem> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|error| not_utf8(bytes, error.valid_up_to()))?;
    // With one kind of line end, and one after the last row, lines are counted alike for every row.
    let text = text.replace("\r\n", "\n");
    let text = format!("{}\n", text.strip_suffix('\n').unwrap_or(&text));
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(form.delimiter)
        .from_reader(text.as_bytes());
    let mut counter = Counter::default();
    let mut lines = Vec::new();
    while let Some(line) = counter.next(&mut reader)? {
        lines.push(line);
    }
    Ok(lines)
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
struct Counter {
    row: u64,
}

impl Counter {
    fn next(&mut self, reader: &mut csv::Reader<&[u8]>) -> Result<Option<Line>, Problem> {
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
        Ok(Some(Line {
            number: u32::try_from(self.row).unwrap_or(u32::MAX),
            cells: record
                .iter()
                .map(|cell| Cell::Text(plain(cell).to_owned()))
                .collect(),
        }))
    }
}

fn is_guarded(text: &str) -> bool {
    text.trim_start_matches('\'')
        .starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// A cell as a spreadsheet is to show it: a text that it might run as a formula is led by an
/// apostrophe.
fn guarded(text: &str) -> Cow<'_, str> {
    if is_guarded(text) {
        format!("'{text}").into()
    } else {
        text.into()
    }
}

/// The text of a cell that may have been guarded.
fn plain(cell: &str) -> &str {
    let cell = cell.trim_matches([' ', '\u{a0}']);
    cell.strip_prefix('\'')
        .filter(|rest| is_guarded(rest))
        .unwrap_or(cell)
}

/// Writes rows under a heading.
///
/// # Errors
/// 500 when they cannot be written.
pub fn write(
    heading: &[String],
    rows: impl IntoIterator<Item = Vec<Cell>>,
    form: CsvForm,
) -> Result<Vec<u8>, Problem> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .delimiter(form.delimiter)
        .from_writer(match form.has_mark {
            true => "\u{feff}".as_bytes().to_vec(),
            false => Vec::new(),
        });
    let headings = heading.iter().map(|cell| guarded(cell).into_owned());
    writer
        .write_record(headings)
        .map_err(|error| Problem::internal(&error))?;
    for row in rows {
        let row = row.into_iter().map(|cell| match cell {
            Cell::Number(number) if form.has_decimal_commas => number.replace('.', ","),
            Cell::Number(number) => number,
            Cell::Text(text) => guarded(&text).into_owned(),
            Cell::Wrong { shown, .. } => guarded(&shown).into_owned(),
        });
        writer
            .write_record(row)
            .map_err(|error| Problem::internal(&error))?;
    }
    writer
        .into_inner()
        .map_err(|error| Problem::internal(&error))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::wire::Fault;
    use serde_json::Value;

    const COLUMNS: Columns = Columns {
        read: &["code", "text", "price"],
        required: &["code", "price"],
        ignored: &["note"],
        filled: &["code", "text", "price"],
        numbers: &["price"],
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

    #[test]
    fn numbers_stay_numbers_in_both_manners_and_formulas_become_text() {
        let heading = ["number", "=name"].map(str::to_owned);
        let row = |number: &str, text: &str| {
            vec![Cell::Number(number.to_owned()), Cell::Text(text.to_owned())]
        };
        let rows = || [row("-12.50", "=1+1"), row("0", "a \"b\", c\nd 1.5")];
        let written = |form| String::from_utf8(write(&heading, rows(), form).unwrap()).unwrap();
        assert_eq!(
            written(CsvForm::PLAIN),
            "number,'=name\r\n-12.50,'=1+1\r\n0,\"a \"\"b\"\", c\nd 1.5\"\r\n"
        );
        assert_eq!(
            written(CsvForm::WITH_COMMAS),
            "\u{feff}number;'=name\r\n-12,50;'=1+1\r\n0;\"a \"\"b\"\", c\nd 1.5\"\r\n"
        );
    }
}
