//! The content of a labour model as it is stored: JSON, in a form with a version.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::{KIND, LabourContent};
use crate::app::AppError;
use crate::app::drafts::{damaged, stored_word};
use crate::shop::labour::{
    Condition, Curve, Operation, OperationGroup, OperationTime, Repetition, Spread, TimeSource,
};
use crate::shop::money::Percent;

/// What stands in the column of the source: each time has its own.
pub const SOURCE: &str = "each time";

const FORM: u32 = 1;

#[derive(Serialize, Deserialize)]
struct Body {
    form: u32,
    times: Vec<Time>,
    /// Models of earlier programs have none.
    #[serde(default)]
    conditions: Vec<Bearing>,
    #[serde(default)]
    repetition: Option<Slope>,
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

#[derive(Serialize, Deserialize)]
struct Bearing {
    name: String,
    group: Option<String>,
    factor: Decimal,
    source: String,
}

#[derive(Serialize, Deserialize)]
struct Slope {
    curve: String,
    slope: Percent,
    timed_at: u32,
    source: String,
}

/// Writes it.
pub fn write(content: &LabourContent) -> Result<String, AppError> {
    let times = content.times.iter().map(|time| Time {
        operation: time.operation.word().to_owned(),
        setup_minutes: time.setup_minutes,
        minutes_each: time.minutes_each,
        minutes_per_driver: time.minutes_per_driver,
        spread: time.spread.map(|spread| (spread.low, spread.high)),
        source: time.source.word().to_owned(),
    });
    let conditions = content.conditions.iter().map(|condition| Bearing {
        name: condition.name.clone(),
        group: condition.group.map(|group| group.word().to_owned()),
        factor: condition.factor,
        source: condition.source.word().to_owned(),
    });
    let body = Body {
        form: FORM,
        times: times.collect(),
        conditions: conditions.collect(),
        repetition: content.repetition.map(|repetition| Slope {
            curve: repetition.curve.word().to_owned(),
            slope: repetition.slope,
            timed_at: repetition.timed_at,
            source: repetition.source.word().to_owned(),
        }),
    };
    serde_json::to_string(&body).map_err(|source| AppError::Damaged { what: KIND, source })
}

/// Reads it back.
pub fn read(body: &str) -> Result<LabourContent, AppError> {
    let body: Body =
        serde_json::from_str(body).map_err(|source| AppError::Damaged { what: KIND, source })?;
    if body.form != FORM {
        return Err(damaged(KIND, &format!("form {} is not known", body.form)));
    }
    Ok(LabourContent {
        times: body.times.into_iter().map(time).collect::<Result<_, _>>()?,
        conditions: body
            .conditions
            .into_iter()
            .map(condition)
            .collect::<Result<_, _>>()?,
        repetition: body.repetition.map(repetition).transpose()?,
    })
}

fn source(word: &str) -> Result<TimeSource, AppError> {
    stored_word(KIND, word, &TimeSource::ALL, TimeSource::word)
}

fn time(time: Time) -> Result<OperationTime, AppError> {
    Ok(OperationTime {
        operation: stored_word(KIND, &time.operation, Operation::ALL, Operation::word)?,
        source: source(&time.source)?,
        setup_minutes: time.setup_minutes,
        minutes_each: time.minutes_each,
        minutes_per_driver: time.minutes_per_driver,
        spread: time.spread.map(|(low, high)| Spread { low, high }),
    })
}

fn condition(bearing: Bearing) -> Result<Condition, AppError> {
    let group = |word: String| stored_word(KIND, &word, &OperationGroup::ALL, OperationGroup::word);
    Ok(Condition {
        group: bearing.group.map(group).transpose()?,
        name: bearing.name,
        factor: bearing.factor,
        source: source(&bearing.source)?,
    })
}

fn repetition(slope: Slope) -> Result<Repetition, AppError> {
    Ok(Repetition {
        curve: stored_word(KIND, &slope.curve, &Curve::ALL, Curve::word)?,
        slope: slope.slope,
        timed_at: slope.timed_at,
        source: source(&slope.source)?,
    })
}
