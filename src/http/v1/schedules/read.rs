//! From the rows of a sheet to manifolds, each fault with its cell.

use serde_json::{Map, Value};

use super::super::manifold::ManifoldIn;
use super::super::sheet::{Cell, Line};
use super::cell::value_of;
use super::columns::{COLUMNS, Column, RESULTS, heading};
use crate::http::problem::{Problem, Slug};
use crate::http::wire::{At, Fault, Faults, FromWire, code, nearest};
use crate::shop::settings::DecimalMark;
use crate::trade::catalogue::Catalogue;
use crate::trade::manifold::Manifold;

/// A heading that is read.
#[derive(Debug, Clone)]
struct Read {
    column: &'static Column,
    unit: Option<String>,
    /// The heading as it was written: faults speak of the column by that.
    written: String,
}

/// A manifold of the schedule, with the rows it stands in.
#[derive(Debug)]
pub struct Scheduled {
    /// Places of its rows among the lines below the heading, one for each outlet group.
    pub rows: Vec<usize>,
    /// What its rows say, as a request would.
    pub request: Value,
    /// The manifold, or nothing where its rows have faults.
    pub manifold: Option<Manifold>,
}

/// A sheet as read.
#[derive(Debug)]
pub struct Schedule {
    /// Its heading as it came, without columns that the answer adds.
    pub heading: Vec<String>,
    /// Its rows as they came, without those cells.
    pub lines: Vec<Line>,
    /// Its manifolds, in the order of their first rows.
    pub manifolds: Vec<Scheduled>,
    /// Faults by cell, in the order of the rows.
    pub faults: Vec<Fault>,
    reads: Vec<Option<Read>>,
}

impl Schedule {
    /// A fault of a request for all its manifolds: by the cell it came from, or the query parameter.
    pub fn placed(&self, fault: Fault) -> Fault {
        let pointer = fault.pointer.clone().unwrap_or_default();
        let Some(inside) = pointer.strip_prefix("/manifolds/") else {
            return match pointer.strip_prefix('/') {
                Some(name) => Fault::of_parameter(name, fault.code, fault.detail),
                None => fault,
            };
        };
        let (index, inside) = inside.split_once('/').unwrap_or((inside, ""));
        let index: Option<usize> = index.parse().ok();
        match index.and_then(|index| self.manifolds.get(index)) {
            Some(scheduled) => {
                let fault = Fault {
                    pointer: Some(format!("/{inside}")),
                    ..fault
                };
                placed(&fault, (&self.lines, &self.reads), &scheduled.rows)
            }
            None => fault,
        }
    }
}

/// How many columns of a schedule a line names.
pub fn named(line: &Line) -> usize {
    let names = line.cells.iter().map(|cell| heading(cell.text()).0);
    names.filter(|name| Column::named(name).is_some()).count()
}

/// Reads the lines of a sheet, the first of which is its heading.
///
/// # Errors
/// 422 when the heading lacks columns or there are more manifolds than `most`.
pub fn read(
    (lines, broken): (Vec<Line>, Faults),
    (mark, most): (DecimalMark, usize),
    catalogue: &Catalogue,
) -> Result<Schedule, Problem> {
    let mut lines = lines.into_iter();
    let first = lines.next().unwrap_or_default();
    let (reads, kept) = read_heading(&first, &broken)?;
    let mut lines: Vec<Line> = lines
        .filter(|line| !line.cells.iter().all(Cell::is_blank))
        .collect();
    let mut faults = broken.as_slice().to_vec();
    let groups = grouped(&lines, &reads, &mut faults);
    if groups.is_empty() || groups.len() > most {
        let detail = format!(
            "the sheet has {} manifolds; give 1 to {most} of them",
            groups.len()
        );
        let fault = Fault::new("", code::TOO_MANY, detail).in_cell(first.number, "mark");
        return Err(Problem::new(Slug::InvalidBody).with_faults([fault].into_iter().collect()));
    }
    let manifolds = groups
        .into_iter()
        .map(|rows| one(&lines, rows, (&reads, mark), (catalogue, &mut faults)))
        .collect();
    faults.sort_by_key(|fault| fault.sheet_row);
    let keep = |line: &Line| -> Vec<Cell> {
        let cells = kept.iter().map(|place| line.cells.get(*place).cloned());
        cells.map(Option::unwrap_or_default).collect()
    };
    let heading = keep(&first);
    for line in &mut lines {
        line.cells = keep(line);
    }
    Ok(Schedule {
        heading: heading.iter().map(|cell| cell.text().to_owned()).collect(),
        lines,
        manifolds,
        faults,
        reads,
    })
}

/// What each column is read as, and the places of those that the answer keeps.
type Heading = (Vec<Option<Read>>, Vec<usize>);

/// `broken` is what is wrong with the sheet already; it is told with what the heading lacks.
fn read_heading(line: &Line, broken: &Faults) -> Result<Heading, Problem> {
    let mut faults = Faults::new();
    let (mut reads, mut kept): Heading = (Vec::new(), Vec::new());
    for (place, cell) in line.cells.iter().enumerate() {
        let (name, unit) = heading(cell.text());
        if RESULTS.contains(&name.as_str()) {
            reads.push(None);
            continue;
        }
        kept.push(place);
        let column = Column::named(&name);
        let twice = |read: &Option<Read>| read.as_ref().map(|read| read.column) == column;
        if column.is_some() && reads.iter().any(twice) {
            let detail = format!("the column `{name}` comes twice; keep one");
            faults.push(
                Fault::new("", code::DUPLICATE_FIELD, detail).in_cell(line.number, cell.text()),
            );
        }
        reads.push(column.map(|column| Read {
            column,
            unit,
            written: cell.text().to_owned(),
        }));
    }
    for column in COLUMNS.iter().filter(|column| column.required) {
        let found = reads.iter().flatten().any(|read| read.column == column);
        if !found {
            faults.push(missing(line, column));
        }
    }
    match faults.is_empty() {
        true => Ok((reads, kept)),
        false => {
            let all = broken.as_slice().iter().chain(faults.as_slice());
            Err(Problem::new(Slug::InvalidBody).with_faults(all.cloned().collect()))
        }
    }
}

/// Columns that nobody knows are the shop's own and are left alone; but one that is missing may be
/// there under a name that is nearly its own.
fn missing(line: &Line, column: &Column) -> Fault {
    let written: Vec<String> = line
        .cells
        .iter()
        .map(|cell| heading(cell.text()).0)
        .collect();
    let unknown = written.iter().filter(|name| Column::named(name).is_none());
    let near = nearest(column.name, unknown.map(String::as_str));
    let told = match near {
        Some(near) => format!("; is `{near}` meant?"),
        None if written.len() == 1 => {
            "; the sheet has one column: part its columns by commas, semicolons or tabs".to_owned()
        }
        None => String::new(),
    };
    let also = match column.also {
        [] => String::new(),
        names => format!(" (or {})", names.join(", ")),
    };
    let detail = format!(
        "the column `{}`{also} is missing; the first row must name it{told}",
        column.name
    );
    Fault::new("", code::MISSING, detail).in_cell(line.number, column.name)
}

/// Rows of each manifold: those of one mark, wherever they stand.
fn grouped(lines: &[Line], reads: &[Option<Read>], faults: &mut Vec<Fault>) -> Vec<Vec<usize>> {
    let is_mark =
        |read: &Option<Read>| read.as_ref().is_some_and(|read| read.column.name == "mark");
    let place = reads.iter().position(is_mark);
    let mark = |line: &Line| -> String {
        let cell = place.and_then(|place| line.cells.get(place));
        cell.map_or_else(String::new, |cell| cell.text().to_lowercase())
    };
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for (row, line) in lines.iter().enumerate() {
        let mark = mark(line);
        let known = groups
            .iter_mut()
            .find(|(known, _)| *known == mark && !mark.is_empty());
        match known {
            Some((_, rows)) => {
                same_manifold((&lines[rows[0]], line), reads, faults);
                rows.push(row);
            }
            None => groups.push((mark, vec![row])),
        }
    }
    groups.into_iter().map(|(_, rows)| rows).collect()
}

/// A further outlet group leaves what is said of the manifold blank, or says the same.
fn same_manifold((first, line): (&Line, &Line), reads: &[Option<Read>], faults: &mut Vec<Fault>) {
    for (place, read) in reads.iter().enumerate() {
        let Some(read) = read.as_ref().filter(|read| !read.column.of_group()) else {
            continue;
        };
        let text = |line: &Line| line.cells.get(place).map_or("", Cell::text).to_lowercase();
        let (said, says) = (text(first), text(line));
        if !says.is_empty() && says != said {
            let detail = format!(
                "row {} has the mark of row {} and so is a further outlet group of that manifold, but says {:?} where that says {:?}; leave it blank, or give the row a mark of its own",
                line.number, first.number, says, said
            );
            faults.push(
                Fault::new("", "duplicate_mark", detail)
                    .in_cell(line.number, read.written.as_str()),
            );
        }
    }
}

fn one(
    lines: &[Line],
    rows: Vec<usize>,
    (reads, mark): (&[Option<Read>], DecimalMark),
    (catalogue, faults): (&Catalogue, &mut Vec<Fault>),
) -> Scheduled {
    let before = faults.len();
    let mut value = Map::new();
    for (group, row) in rows.iter().enumerate() {
        for (place, read) in reads.iter().enumerate() {
            let cell = lines[*row].cells.get(place);
            let (Some(read), Some(cell)) = (read, cell) else {
                continue;
            };
            if group > 0 && !read.column.of_group() {
                continue;
            }
            match value_of(cell, read.column.holds, (read.unit.as_deref(), mark)) {
                Ok(None) => {}
                Ok(Some(found)) => put(
                    &mut value,
                    &read.column.pointer.replace('*', &group.to_string()),
                    found,
                ),
                Err((code, detail)) => faults.push(
                    Fault::new("", code, detail).in_cell(lines[*row].number, read.written.as_str()),
                ),
            }
        }
    }
    let broken = faults[before..].iter().map(cell_of).collect::<Vec<_>>();
    let clashes = |fault: &Fault| {
        rows.iter()
            .any(|row| fault.sheet_row == Some(lines[*row].number))
    };
    let is_sound = broken.is_empty() && !faults[..before].iter().any(clashes);
    let value = completed(value);
    let mut found = Faults::new();
    let read = ManifoldIn::read(&value, &At::BODY, &mut found);
    let manifold = read
        .filter(|_| found.is_empty())
        .and_then(|read| read.resolve(catalogue, &At::BODY, &mut found));
    let placed = found
        .as_slice()
        .iter()
        .map(|fault| placed(fault, (lines, reads), &rows));
    // A cell that could not be read is not missing on top of that.
    faults.extend(placed.filter(|fault| !broken.contains(&cell_of(fault))));
    Scheduled {
        rows,
        request: value,
        manifold: manifold.filter(|_| is_sound),
    }
}

fn cell_of(fault: &Fault) -> (Option<u32>, Option<String>) {
    (fault.sheet_row, fault.column.clone())
}

/// A fault of a manifold by the cell it came from.
fn placed(fault: &Fault, (lines, reads): (&[Line], &[Option<Read>]), rows: &[usize]) -> Fault {
    let pointer = fault.pointer.clone().unwrap_or_default();
    let group = pointer
        .strip_prefix("/outlets/")
        .and_then(|rest| rest.split('/').next()?.parse::<usize>().ok());
    let row = rows.get(group.unwrap_or(0)).or(rows.first());
    let number = row.map_or(1, |row| lines[*row].number);
    // A column that is not there is called by its own name.
    let column = Column::at(&pointer);
    let mut written = reads.iter().flatten();
    let written = written.find(|read| Some(read.column) == column);
    let column = written.map_or_else(
        || column.map_or("", |column| column.name),
        |read| read.written.as_str(),
    );
    Fault {
        pointer: Some(String::new()),
        ..fault.clone()
    }
    .in_cell(number, column)
}

/// Puts a value at a pointer, making what leads there.
fn put(object: &mut Map<String, Value>, pointer: &str, value: Value) {
    let mut steps = pointer.trim_start_matches('/').splitn(2, '/');
    let (step, rest) = (steps.next().unwrap_or_default(), steps.next());
    let Some(rest) = rest else {
        object.insert(step.to_owned(), value);
        return;
    };
    let (place, below) = rest.split_once('/').unwrap_or((rest, ""));
    match place.parse::<usize>() {
        Ok(place) => {
            let list = object
                .entry(step)
                .or_insert_with(|| Value::Array(Vec::new()));
            if let Value::Array(items) = list {
                items.resize(items.len().max(place + 1), Value::Object(Map::new()));
                if let Value::Object(item) = &mut items[place] {
                    put(item, below, value);
                }
            }
        }
        Err(_) => {
            let inner = object
                .entry(step)
                .or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                put(inner, rest, value);
            }
        }
    }
}

/// With what a request must say and a sheet may leave blank: both ends, and their kinds.
fn completed(mut value: Map<String, Value>) -> Value {
    for (part, empty) in [
        ("run", Value::Object(Map::new())),
        ("outlets", Value::Array(Vec::new())),
    ] {
        value.entry(part).or_insert(empty);
    }
    let ends = value.get_mut("run").and_then(|run| run.get_mut("ends"));
    if let Some(Value::Array(ends)) = ends {
        ends.resize(2, Value::Object(Map::new()));
        for end in ends.iter_mut().filter_map(Value::as_object_mut) {
            end.entry("kind").or_insert_with(|| Value::from("plain"));
        }
    }
    Value::Object(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_find_their_place_in_a_request() {
        let mut object = Map::new();
        put(&mut object, "/mark", Value::from("H-1"));
        put(&mut object, "/run/ends/1/beyond", Value::from("4 in"));
        put(&mut object, "/outlets/1/tube", Value::from("b88-l-1"));
        let found = completed(object);
        assert_eq!(
            found,
            serde_json::json!({"mark": "H-1",
                "run": {"ends": [{"kind": "plain"}, {"beyond": "4 in", "kind": "plain"}]},
                "outlets": [{}, {"tube": "b88-l-1"}]})
        );
    }
}
