//! Sheets as CSV (RFC 4180), safe to open in a spreadsheet.
//!
//! A spreadsheet may run text that looks like a formula. Text cells that begin like one get an
//! apostrophe in front; numbers and dates are never touched, so `-12.50` stays a number.

use std::borrow::Cow;

use jiff::civil::Date;
use rust_decimal::Decimal;

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Text, as somebody wrote it.
    Text(String),
    /// An exact number.
    Number(Decimal),
    /// A date, written `YYYY-MM-DD`.
    Date(Date),
    /// Nothing.
    Empty,
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<Decimal> for Cell {
    fn from(number: Decimal) -> Self {
        Self::Number(number)
    }
}

impl From<Date> for Cell {
    fn from(date: Date) -> Self {
        Self::Date(date)
    }
}

impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Empty, Into::into)
    }
}

impl Cell {
    fn written(&self) -> Cow<'_, str> {
        match self {
            Self::Text(text) => csv_field_safe(text),
            Self::Number(number) => Cow::Owned(number.to_string()),
            Self::Date(date) => Cow::Owned(date.to_string()),
            Self::Empty => Cow::Borrowed(""),
        }
    }
}

/// A sheet: headings, and rows of as many cells.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    /// Headings.
    pub columns: Vec<String>,
    /// Rows.
    pub rows: Vec<Vec<Cell>>,
}

/// A sheet that could not be written.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// A row with more or fewer cells than there are headings.
    #[error("row {row} has {found} cells for {wanted} columns")]
    Ragged {
        /// Which row, counted from 1 below the headings.
        row: usize,
        /// Its cells.
        found: usize,
        /// The headings.
        wanted: usize,
    },
    /// The writer failed.
    #[error("the sheet could not be written")]
    Unwritten(#[source] Box<dyn std::error::Error + Send + Sync>),
}

impl Sheet {
    /// The sheet as CSV: UTF-8, lines ended by CRLF, headings first.
    ///
    /// # Errors
    /// When a row has not as many cells as there are headings.
    pub fn to_csv(&self) -> Result<Vec<u8>, SheetError> {
        let mut writer = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        let unwritten = |fault: csv::Error| SheetError::Unwritten(Box::new(fault));
        let headings = self.columns.iter().map(|text| csv_field_safe(text));
        writer
            .write_record(headings.map(|text| text.into_owned()))
            .map_err(unwritten)?;
        for (index, row) in self.rows.iter().enumerate() {
            if row.len() != self.columns.len() {
                return Err(SheetError::Ragged {
                    row: index + 1,
                    found: row.len(),
                    wanted: self.columns.len(),
                });
            }
            writer
                .write_record(row.iter().map(|cell| cell.written().into_owned()))
                .map_err(unwritten)?;
        }
        writer
            .into_inner()
            .map_err(|fault| SheetError::Unwritten(Box::new(fault.into_error())))
    }
}

/// Text that no spreadsheet takes for a formula: one that begins with `=`, `+`, `-`, `@`, TAB or
/// CR gets an apostrophe in front.
pub fn csv_field_safe(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use rust_decimal::dec;

    #[test]
    fn numbers_stay_numbers_and_formulas_become_text() {
        let sheet = Sheet {
            columns: vec!["number".into(), "=name".into(), "on".into()],
            rows: vec![
                vec![dec!(-12.50).into(), "=1+1".into(), date(2026, 3, 1).into()],
                vec![Cell::Empty, "a \"b\", c\nd".into(), Cell::Empty],
                vec![dec!(0).into(), "@x".into(), None::<Date>.into()],
            ],
        };
        let csv = String::from_utf8(sheet.to_csv().unwrap()).unwrap();
        assert_eq!(
            csv,
            "number,'=name,on\r\n-12.50,'=1+1,2026-03-01\r\n,\"a \"\"b\"\", c\nd\",\r\n0,'@x,\r\n"
        );
    }

    #[test]
    fn text_is_left_alone_unless_it_begins_like_a_formula() {
        for (text, written) in [
            ("=A1", "'=A1"),
            ("+1", "'+1"),
            ("-1", "'-1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\tx", "'\tx"),
            ("\rx", "'\rx"),
            ("a=b", "a=b"),
            ("", ""),
            ("Sørensen", "Sørensen"),
        ] {
            assert_eq!(csv_field_safe(text), written);
        }
    }

    #[test]
    fn what_is_written_reads_back() {
        let sheet = Sheet {
            columns: vec!["a".into(), "b".into()],
            rows: vec![vec!["x,\"y\"\r\nz".into(), dec!(1.10).into()]],
        };
        let bytes = sheet.to_csv().unwrap();
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        let row = reader.records().next().unwrap().unwrap();
        assert_eq!(row.iter().collect::<Vec<_>>(), ["x,\"y\"\r\nz", "1.10"]);
    }

    #[test]
    fn a_ragged_row_is_refused() {
        let sheet = Sheet {
            columns: vec!["a".into()],
            rows: vec![vec![Cell::Empty, Cell::Empty]],
        };
        assert!(matches!(
            sheet.to_csv(),
            Err(SheetError::Ragged {
                row: 1,
                found: 2,
                wanted: 1
            })
        ));
    }
}
