//! The time of one operation, in JSON or as a row of a sheet.

use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use crate::http::v1::figures::Upto;
use crate::http::v1::rows::{Row, quietly};
use crate::http::v1::sheet::Columns;
use crate::http::v1::words::{OperationWord, SourceWord, Word};
use crate::http::wire::{At, Faults, FromWire, wire_struct};
use crate::shop::labour::{Driver, Operation, OperationTime, Spread};

/// Minutes, at most a hundred days of them.
type Minutes = Upto<144_000>;
/// A multiple of the likely time.
type Multiple = Upto<100>;

/// The columns of a sheet of times, as written.
pub const HEADING: [&str; 9] = [
    "operation",
    "setup_minutes",
    "minutes_each",
    "minutes_per_driver",
    "low",
    "high",
    "source",
    "counted_by",
    "driver",
];

wire_struct! {
    /// The time of an operation: `setup_minutes` once a batch, and `minutes_each` plus
    /// `minutes_per_driver` times the driver for each one.
    #[example = {"operation": "braze", "minutes_each": "3", "minutes_per_driver": "2.5", "low": "0.8", "high": "1.6", "source": "opinion"}]
    pub struct OperationTimeIn {
        /// Which operation.
        #[example = "braze"]
        operation: OperationWord,
        /// Minutes once a batch; none when left out.
        #[example = "10"]
        setup_minutes: Option<Minutes>,
        /// Minutes each time; none when left out.
        #[example = "3"]
        minutes_each: Option<Minutes>,
        /// Minutes per unit of the operation's driver: inches of outside diameter, litres of contents or
        /// kilograms of assembly. Only for an operation that has one.
        #[example = "2.5"]
        minutes_per_driver: Option<Minutes>,
        /// Shortest it may take, as a multiple of the likely time, up to 1; with `high` or not at all.
        #[example = "0.8"]
        low: Option<Multiple>,
        /// Longest it may take, as a multiple of the likely time, 1 or more; with `low` or not at all.
        #[example = "1.6"]
        high: Option<Multiple>,
        /// Where the time comes from: `time_study`, `booked_hours`, `opinion`, `demo`.
        #[example = "opinion"]
        source: SourceWord,
    }
}

/// A time that stands by the rules of labour models.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimeRow(pub OperationTime);

impl Row for TimeRow {
    type Shape = OperationTimeIn;
    const LIST: &'static str = "times";
    const KEY: &'static str = "operation";
    const COLUMNS: Columns = Columns {
        read: &[
            "operation",
            "setup_minutes",
            "minutes_each",
            "minutes_per_driver",
            "low",
            "high",
            "source",
        ],
        required: &["operation", "source"],
        ignored: &["counted_by", "driver"],
        // A blank sheet names every operation; those left without figures are not entered.
        filled: &[
            "setup_minutes",
            "minutes_each",
            "minutes_per_driver",
            "low",
            "high",
            "source",
        ],
        numbers: &[
            "setup_minutes",
            "minutes_each",
            "minutes_per_driver",
            "low",
            "high",
        ],
    };

    fn read_row(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let before = faults.count();
        let read = OperationTimeIn::read(value, at, faults);
        check_figures(value, at, faults);
        let spread = read_spread(value, at, faults);
        let read = read.filter(|_| faults.count() == before)?;
        let minutes = |given: Option<Minutes>| given.unwrap_or_default().get();
        Some(Self(OperationTime {
            operation: read.operation.0,
            setup_minutes: minutes(read.setup_minutes),
            minutes_each: minutes(read.minutes_each),
            minutes_per_driver: minutes(read.minutes_per_driver),
            spread,
            source: read.source.0,
        }))
    }
}

/// There must be a figure, and one per driver only where there is a driver.
fn check_figures(value: &Value, at: &At<'_>, faults: &mut Faults) {
    let is_given = |field: &str| value.get(field).is_some_and(|figure| !figure.is_null());
    let figures = ["setup_minutes", "minutes_each", "minutes_per_driver"];
    if value.is_object() && !figures.iter().any(|field| is_given(field)) {
        let detail = "no minutes are given; give `minutes_each`, `setup_minutes` or `minutes_per_driver`, 0 if it takes no time";
        faults.report(&at.field("minutes_each"), "no_time", detail);
    }
    let operation = quietly::<OperationWord>(value, "operation").map(|word| word.0);
    let per_driver = quietly::<Minutes>(value, "minutes_per_driver");
    let without = operation.filter(|operation| operation.driver() == Driver::None);
    if let (Some(operation), Some(minutes)) = (without, per_driver)
        && !minutes.get().is_zero()
    {
        let detail = format!(
            "\"{}\" has no driver, its time grows with the number of {}s alone; leave `minutes_per_driver` out",
            operation.word(),
            operation.counted_by()
        );
        faults.report(&at.field("minutes_per_driver"), "no_driver", detail);
    }
}

fn read_spread(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Spread> {
    let is_given = |field: &str| value.get(field).is_some_and(|figure| !figure.is_null());
    for (here, other) in [("low", "high"), ("high", "low")] {
        if is_given(here) && !is_given(other) {
            let detail = format!("`{here}` is given without `{other}`; give both or neither");
            faults.report(&at.field(other), "half_a_spread", detail);
        }
    }
    let low = quietly::<Multiple>(value, "low").map(Upto::get);
    let high = quietly::<Multiple>(value, "high").map(Upto::get);
    if let Some(low) = low.filter(|low| *low > Decimal::ONE) {
        let detail = format!(
            "`low` is {low}; it is the shortest as a multiple of the likely time, so give 1 or less"
        );
        faults.report(&at.field("low"), "wrong_spread", detail);
    }
    if let Some(high) = high.filter(|high| *high < Decimal::ONE) {
        let detail = format!(
            "`high` is {high}; it is the longest as a multiple of the likely time, so give 1 or more"
        );
        faults.report(&at.field("high"), "wrong_spread", detail);
    }
    low.zip(high).map(|(low, high)| Spread { low, high })
}

/// The time of an operation.
#[derive(Debug, Serialize, ToSchema)]
pub struct OperationTimeOut {
    /// Which operation.
    #[schema(example = "braze")]
    operation: OperationWord,
    /// Minutes once a batch.
    #[schema(example = "10", pattern = r"^[0-9]{1,28}(\.[0-9]{1,28})?$")]
    setup_minutes: String,
    /// Minutes each time.
    #[schema(example = "3", pattern = r"^[0-9]{1,28}(\.[0-9]{1,28})?$")]
    minutes_each: String,
    /// Minutes per unit of the operation's driver.
    #[schema(example = "2.5", pattern = r"^[0-9]{1,28}(\.[0-9]{1,28})?$")]
    minutes_per_driver: String,
    /// Shortest, as a multiple of the likely time; `null` when no spread is known.
    #[schema(required, example = "0.8")]
    low: Option<String>,
    /// Longest, as a multiple of the likely time; `null` when no spread is known.
    #[schema(required, example = "1.6")]
    high: Option<String>,
    /// Where the time comes from.
    #[schema(example = "opinion")]
    source: SourceWord,
}

impl From<&OperationTime> for OperationTimeOut {
    fn from(time: &OperationTime) -> Self {
        Self {
            operation: Word(time.operation),
            setup_minutes: time.setup_minutes.to_string(),
            minutes_each: time.minutes_each.to_string(),
            minutes_per_driver: time.minutes_per_driver.to_string(),
            low: time.spread.map(|spread| spread.low.to_string()),
            high: time.spread.map(|spread| spread.high.to_string()),
            source: Word(time.source),
        }
    }
}

fn row(operation: Operation, figures: [String; 6]) -> Vec<String> {
    let mut cells = vec![operation.word().to_owned()];
    cells.extend(figures);
    cells.push(operation.counted_by().to_owned());
    cells.push(operation.driver().unit().to_owned());
    cells
}

/// The cells of a time, in the order of [`HEADING`].
pub fn cells(time: &OperationTime) -> Vec<String> {
    let figure = |number: Decimal| number.to_string();
    let side = |pick: fn(Spread) -> Decimal| time.spread.map(pick).map_or_else(String::new, figure);
    row(
        time.operation,
        [
            figure(time.setup_minutes),
            figure(time.minutes_each),
            figure(time.minutes_per_driver),
            side(|spread| spread.low),
            side(|spread| spread.high),
            time.source.word().to_owned(),
        ],
    )
}

/// The cells of an operation that nobody has timed yet.
pub fn blank_cells(operation: Operation) -> Vec<String> {
    row(operation, Default::default())
}
