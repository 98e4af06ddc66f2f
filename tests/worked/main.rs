//! Worked examples: the main job held against published figures. Each file names its sources.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod bench;
mod break_even;
mod estimates;
mod formed_outlets;
mod joint_ratings;
mod joints;
mod labour;
mod mix;
mod option_prices;
mod random_schedules;
mod ratings;
mod risk;
mod sheet;
mod tube;
mod worked_books;

use offtake::trade::catalogue::Catalogue;

fn catalogue() -> &'static Catalogue {
    Catalogue::built_in().unwrap()
}

/// The rows of a CSV file of `tests/data`, by column name.
fn published(text: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap())
        .collect()
}

/// A nominal size as the trade prints it, `1-1/4`, as a decimal.
fn nominal(text: &str) -> f64 {
    text.split('-')
        .map(|part| match part.split_once('/') {
            Some((top, bottom)) => top.parse::<f64>().unwrap() / bottom.parse::<f64>().unwrap(),
            None => part.parse().unwrap(),
        })
        .sum()
}
