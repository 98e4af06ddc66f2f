//! What stands in a cell of a schedule, as a request would say it.

use serde_json::Value;

use super::super::sheet::Cell;
use super::columns::Holds;
use crate::http::wire::code;
use crate::shop::settings::DecimalMark;

/// What a cell says, as a request would; nothing where it is blank.
///
/// # Errors
/// The code of the fault, and what is wrong and to be done.
pub fn value_of(
    cell: &Cell,
    holds: Holds,
    (unit, mark): (Option<&str>, DecimalMark),
) -> Result<Option<Value>, (&'static str, String)> {
    let text = match cell {
        Cell::Wrong { code, detail, .. } => return Err((*code, detail.clone())),
        Cell::Text(_) | Cell::Number(_) => cell.text(),
    };
    if text.is_empty() {
        return Ok(None);
    }
    Ok(Some(match holds {
        Holds::Text => Value::from(text),
        Holds::Word => Value::from(text.to_lowercase().replace([' ', '-'], "_")),
        Holds::Whole => match whole(text) {
            Some(number) => Value::from(number),
            None => {
                let detail = format!("{text:?} is no whole number; give one, such as 6");
                return Err((code::WRONG_TYPE, detail));
            }
        },
        Holds::Texts => {
            let names = text.split([';', '+']).map(str::trim);
            names
                .filter(|name| !name.is_empty())
                .map(Value::from)
                .collect()
        }
        Holds::Quantity => {
            if looks_like_a_date(text) {
                let detail = format!(
                    "{text:?} looks like a date: a spreadsheet made one of what was typed, such as 1/2 or 3-4; set the cells of the column to text and type it again, with its unit"
                );
                return Err(("a_date", detail));
            }
            Value::from(quantity(text, unit, mark))
        }
    }))
}

fn whole(text: &str) -> Option<u64> {
    let text = text
        .strip_suffix(".0")
        .or(text.strip_suffix(",0"))
        .unwrap_or(text);
    text.parse().ok()
}

/// A quantity as requests write it: with a point, and with the unit of the heading where the cell has
/// none.
fn quantity(text: &str, unit: Option<&str>, mark: DecimalMark) -> String {
    let text = match mark {
        DecimalMark::Comma => text.replace(',', "."),
        DecimalMark::Point => text.to_owned(),
    };
    let is_bare = text
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | '-' | ' '));
    match unit.filter(|_| is_bare) {
        Some(unit) => format!("{text} {unit}"),
        None => text,
    }
}

/// `2026-01-02`, `1/2/2026`, `2-Jan`, `Feb-03`: what spreadsheets show for a date.
fn looks_like_a_date(text: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
    ];
    let parts: Vec<&str> = text
        .split(['-', '/', '.', ' '])
        .filter(|part| !part.is_empty())
        .collect();
    let is_number = |part: &&str| part.chars().all(|c| c.is_ascii_digit());
    let is_month = |part: &&str| {
        let start: String = part.chars().take(3).collect::<String>().to_lowercase();
        part.chars().all(char::is_alphabetic) && MONTHS.contains(&start.as_str())
    };
    let has_year = parts.iter().any(|part| part.len() == 4 && is_number(part));
    let all_numbers = parts.iter().all(is_number);
    let with_month =
        parts.iter().any(is_month) && parts.iter().all(|part| is_number(part) || is_month(part));
    parts.len() >= 2 && with_month || parts.len() == 3 && all_numbers && has_year
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_told_from_sizes() {
        for date in [
            "2026-01-02",
            "1/2/2026",
            "02.01.2026",
            "2-Jan",
            "Feb-03",
            "3. Apr",
            "4 October",
        ] {
            assert!(looks_like_a_date(date), "{date}");
        }
        for size in [
            "1/2 in",
            "4-1/2",
            "4 1/2",
            "1.25",
            "115 mm",
            "6' 3 1/4\"",
            "2000",
            "3-4",
        ] {
            assert!(!looks_like_a_date(size), "{size}");
        }
    }

    #[test]
    fn a_bare_number_takes_the_unit_of_its_heading() {
        let of = |text: &str, mark| quantity(text, Some("in"), mark);
        assert_eq!(of("4 1/2", DecimalMark::Point), "4 1/2 in");
        assert_eq!(of("4,5", DecimalMark::Comma), "4.5 in");
        assert_eq!(of("115 mm", DecimalMark::Point), "115 mm");
        assert_eq!(quantity("4.5", None, DecimalMark::Point), "4.5");
    }
}
