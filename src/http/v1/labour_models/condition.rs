//! What a condition of the work does to times, in JSON or as a row of a sheet.

use std::borrow::Cow;

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use crate::http::v1::figures::Upto;
use crate::http::v1::rows::{Row, Rows, quietly};
use crate::http::v1::sheet::Columns;
use crate::http::v1::words::{GroupWord, SourceWord, Word};
use crate::http::wire::{At, Faults, FromWire, Text, wire_struct};
use crate::shop::labour::Condition;

/// A multiple of the run time.
type Factor = Upto<20>;

/// The columns of a sheet of conditions, as written.
pub const HEADING: [&str; 4] = ["condition", "group", "factor", "source"];

wire_struct! {
    /// What a condition does to the run time of operations. A condition may have a row for each group.
    #[example = {"condition": "overhead", "group": "joining", "factor": "1.3", "source": "opinion"}]
    pub struct ConditionIn {
        /// The shop's name for it, which manifolds name.
        #[example = "overhead"]
        condition: Text<60>,
        /// The operations it bears on; all when left out.
        #[example = "joining"]
        group: Option<GroupWord>,
        /// What their run time is multiplied by, above 0; set-ups are not.
        #[example = "1.3"]
        factor: Factor,
        /// Where the factor comes from: `time_study`, `booked_hours`, `opinion`, `demo`.
        #[example = "opinion"]
        source: SourceWord,
    }
}

/// A condition that stands by the rules of labour models.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConditionRow(pub Condition);

/// The conditions of checked rows.
pub fn plain(rows: Rows<ConditionRow>) -> Vec<Condition> {
    rows.into_vec().into_iter().map(|row| row.0).collect()
}

impl Row for ConditionRow {
    type Shape = ConditionIn;
    const LIST: &'static str = "conditions";
    const KEY: &'static str = "condition";
    const COLUMNS: Columns = Columns {
        read: &HEADING,
        required: &["condition", "factor", "source"],
        ignored: &[],
        filled: &["group", "factor", "source"],
        numbers: &["factor"],
    };

    /// One row for each group.
    fn key(value: &Value) -> Option<Cow<'_, str>> {
        let name = value.get(Self::KEY)?.as_str()?;
        let group = value.get("group").and_then(Value::as_str);
        Some(match group.filter(|group| !group.is_empty()) {
            Some(group) => Cow::from(format!("{name} ({group})")),
            None => Cow::from(name),
        })
    }

    fn read_row(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let before = faults.count();
        let read = ConditionIn::read(value, at, faults);
        let factor = quietly::<Factor>(value, "factor").map(Upto::get);
        if factor.is_some_and(|factor| factor.is_zero()) {
            let detail = "`factor` is 0, which leaves no time at all; give what the time is multiplied by, such as 1.3";
            faults.report(&at.field("factor"), "no_time", detail);
        }
        let read = read.filter(|_| faults.count() == before)?;
        Some(Self(Condition {
            name: read.condition.as_str().trim().to_owned(),
            group: read.group.map(|group| group.0),
            factor: read.factor.get(),
            source: read.source.0,
        }))
    }
}

/// What a condition does.
#[derive(Debug, Serialize, ToSchema)]
pub struct ConditionOut {
    /// The shop's name for it.
    #[schema(example = "overhead")]
    condition: String,
    /// The operations it bears on; `null` for all.
    #[schema(required)]
    group: Option<GroupWord>,
    /// What their run time is multiplied by.
    #[schema(example = "1.3", pattern = r"^[0-9]{1,28}(\.[0-9]{1,28})?$")]
    factor: String,
    /// Where the factor comes from.
    #[schema(example = "opinion")]
    source: SourceWord,
}

impl From<&Condition> for ConditionOut {
    fn from(condition: &Condition) -> Self {
        Self {
            condition: condition.name.clone(),
            group: condition.group.map(Word),
            factor: condition.factor.to_string(),
            source: Word(condition.source),
        }
    }
}

/// The cells of a condition, in the order of [`HEADING`].
pub fn cells(condition: &Condition) -> Vec<String> {
    let group = condition.group.map_or("", |group| group.word());
    vec![
        condition.name.clone(),
        group.to_owned(),
        condition.factor.to_string(),
        condition.source.word().to_owned(),
    ]
}
