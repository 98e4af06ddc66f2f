//! Rows of a price list or labour model, in JSON or in a sheet: one reader, and every fault at once.

use std::borrow::Cow;
use std::collections::BTreeMap;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{ArrayBuilder, Schema};

use super::sheet::{self, Columns, Sheet};
use crate::http::negotiate::{CSV, JSON, Offer, XLSX};
use crate::http::problem::{Problem, Slug};
use crate::http::wire::{At, Fault, Faults, FromWire, RawBody, code, given};

/// Most rows of a list.
const MOST: usize = 20_000;

/// The media types that rows are read in.
pub const ROW_TYPES: &str =
    "application/json, text/csv, application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

/// The forms that rows are answered in.
pub const ROW_FORMS: [Offer; 3] = [JSON, CSV, XLSX];

/// The form of a body of rows that is a sheet; `None` for JSON.
///
/// # Errors
/// 415 when it is neither.
pub fn sheet_form(body: &RawBody) -> Result<Option<Offer>, Problem> {
    body.expect(ROW_TYPES)?;
    let sheets = [CSV, XLSX].into_iter();
    Ok(sheets
        .into_iter()
        .find(|form| body.media_type == form.media))
}

/// A row that is checked whole: what each field can be, and what they are together.
pub trait Row: Sized + Clone {
    /// How the OpenAPI document describes it.
    type Shape: FromWire;
    /// Name of the list in JSON.
    const LIST: &'static str;
    /// The field that no two rows share.
    const KEY: &'static str;
    /// Its columns in a sheet.
    const COLUMNS: Columns;
    /// What no two rows share, where it is more than the field alone.
    fn key(value: &Value) -> Option<Cow<'_, str>> {
        value.get(Self::KEY).and_then(Value::as_str).map(Cow::from)
    }
    /// Reads it, reporting every fault.
    fn read_row(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self>;
}

/// Reads one field again without reporting: its own reader has reported already.
pub fn quietly<T: FromWire>(value: &Value, field: &str) -> Option<T> {
    let found = value.get(field)?;
    T::read(found, &At::BODY, &mut Faults::new())
}

/// Checked rows, no two of them with the same key.
#[derive(Debug, Clone)]
pub struct Rows<T: Row>(Vec<T>);

impl<T: Row> Rows<T> {
    /// The rows.
    pub fn as_slice(&self) -> &[T] {
        &self.0
    }

    /// The rows, owned.
    pub fn into_vec(self) -> Vec<T> {
        self.0
    }

    fn read_all(
        values: &[Value],
        at: &At<'_>,
        place: &dyn Fn(usize) -> String,
        faults: &mut Faults,
    ) -> Option<Self> {
        if values.len() > MOST {
            let detail = format!(
                "{} has {} rows; give at most {MOST}",
                at.name(),
                values.len()
            );
            faults.report(at, code::TOO_MANY, detail);
            return None;
        }
        let before = faults.count();
        let mut firsts: BTreeMap<String, usize> = BTreeMap::new();
        let mut rows = Vec::with_capacity(values.len());
        for (index, value) in values.iter().enumerate() {
            let here = at.index(index);
            rows.extend(T::read_row(value, &here, faults));
            let Some(key) = T::key(value) else {
                continue;
            };
            if let Some(first) = firsts.get(&fold(&key)) {
                let field = here.field(T::KEY);
                let shown: String = key.chars().take(60).collect();
                let detail = format!(
                    "{} is {shown:?}, which {} has already; keep one (capital letters do not matter)",
                    field.name(),
                    place(*first)
                );
                faults.report(&field, "duplicate", detail);
            } else {
                firsts.insert(fold(&key), index);
            }
        }
        (faults.count() == before).then_some(Self(rows))
    }

    /// Reads a sheet.
    ///
    /// # Errors
    /// 400 when it is no sheet, 413 when a workbook holds too much, 422 with every fault by row and
    /// column.
    pub fn from_sheet(form: Offer, bytes: &[u8]) -> Result<Self, Problem> {
        let mut faults = Faults::new();
        let sheet = sheet::read(form, bytes, T::COLUMNS, &mut faults)?;
        let row_number = |index: usize| sheet.numbers.get(index).copied().unwrap_or_default();
        let place = |index: usize| format!("row {}", row_number(index));
        let list = At::BODY.field(T::LIST);
        let mut found = Faults::new();
        let rows = Self::read_all(&sheet.rows, &list, &place, &mut found);
        let more = found.count() - found.as_slice().len();
        let mut cells: Vec<Fault> = found
            .as_slice()
            .iter()
            .map(|fault| in_cell(fault, row_number))
            .collect();
        cells.retain(|fault| !told_already(fault, &sheet));
        cells.extend_from_slice(faults.as_slice());
        cells.sort_by_key(|fault| fault.sheet_row);
        let last = cells.last().cloned();
        let mut all: Faults = cells.into_iter().collect();
        // Faults beyond those kept are only counted.
        last.iter()
            .cycle()
            .take(more)
            .for_each(|fault| all.push(fault.clone()));
        match rows {
            Some(rows) if all.is_empty() => Ok(rows),
            _ => Err(Problem::new(Slug::InvalidBody).with_faults(all)),
        }
    }
}

/// Codes differ by more than their capital letters, and spaces around them are no part of them.
fn fold(key: &str) -> String {
    key.trim().to_ascii_lowercase()
}

/// The same fault by its cell: the pointer is `/items/INDEX/COLUMN`.
fn in_cell(fault: &Fault, row_number: impl Fn(usize) -> u32) -> Fault {
    let mut parts = fault
        .pointer
        .as_deref()
        .unwrap_or_default()
        .split('/')
        .skip(2);
    let index = parts.next().and_then(|part| part.parse().ok());
    let column = parts.next().unwrap_or_default();
    match index {
        Some(index) => fault.clone().in_cell(row_number(index), column),
        None => fault.clone(),
    }
}

fn told_already(fault: &Fault, sheet: &Sheet) -> bool {
    let column = fault.column.as_deref().unwrap_or_default();
    let row = fault.sheet_row.unwrap_or_default();
    let missing = fault.code == code::MISSING && sheet.missing.contains(&column);
    missing || sheet.unread.iter().any(|cell| *cell == (row, column))
}

impl<T: Row> FromWire for Rows<T> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::Array(values) = value else {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::WRONG_TYPE, detail);
            return None;
        };
        let place = |index: usize| at.index(index).name();
        Self::read_all(values, at, &place, faults)
    }

    fn wanted() -> Cow<'static, str> {
        "a list of rows".into()
    }

    fn schema() -> RefOr<Schema> {
        ArrayBuilder::new()
            .items(T::Shape::schema())
            .max_items(Some(MOST))
            .into()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        T::Shape::components(list);
    }
}

/// Rows go out in a shape of their own; what was read is only counted.
impl<T: Row> Serialize for Rows<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u64(self.0.len() as u64)
    }
}
