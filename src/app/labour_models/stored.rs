//! The times of a labour model as they are stored: JSON, in a form with a version.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::KIND;
use crate::app::AppError;
use crate::app::drafts::{damaged, stored_word};
use crate::shop::labour::{Operation, OperationTime, Spread, TimeSource};

/// What stands in the column of the source: each time has its own.
pub const SOURCE: &str = "each time";

const FORM: u32 = 1;

#[derive(Serialize, Deserialize)]
struct Body {
    form: u32,
    times: Vec<Time>,
}

#[derive(Serialize, Deserialize)]
struct Time {
    operation: String,
    setup_minutes: Decimal,
    minutes_each: Decimal,
    minutes_per_driver: Decimal,
    spread: Option<(Decimal, Decimal)>,
    source: String,
}

/// Writes times.
pub fn write(times: &[OperationTime]) -> Result<String, AppError> {
    let times = times
        .iter()
        .map(|time| Time {
            operation: time.operation.word().to_owned(),
            setup_minutes: time.setup_minutes,
            minutes_each: time.minutes_each,
            minutes_per_driver: time.minutes_per_driver,
            spread: time.spread.map(|spread| (spread.low, spread.high)),
            source: time.source.word().to_owned(),
        })
        .collect();
    serde_json::to_string(&Body { form: FORM, times })
        .map_err(|source| AppError::Damaged { what: KIND, source })
}

/// Reads them back.
pub fn read(body: &str) -> Result<Vec<OperationTime>, AppError> {
    let body: Body =
        serde_json::from_str(body).map_err(|source| AppError::Damaged { what: KIND, source })?;
    if body.form != FORM {
        return Err(damaged(KIND, &format!("form {} is not known", body.form)));
    }
    body.times.into_iter().map(time).collect()
}

fn time(time: Time) -> Result<OperationTime, AppError> {
    Ok(OperationTime {
        operation: stored_word(KIND, &time.operation, Operation::ALL, Operation::word)?,
        source: stored_word(KIND, &time.source, &TimeSource::ALL, TimeSource::word)?,
        setup_minutes: time.setup_minutes,
        minutes_each: time.minutes_each,
        minutes_per_driver: time.minutes_per_driver,
        spread: time.spread.map(|(low, high)| Spread { low, high }),
    })
}
