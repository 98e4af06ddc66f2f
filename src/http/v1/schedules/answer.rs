//! The sheet as it came, with what the schedule came to beside each row.

use std::collections::{BTreeMap, BTreeSet};

use rust_decimal::Decimal;
use serde::Serialize;
use utoipa::ToSchema;

use super::super::bulk::UsedProfile;
use super::super::estimates::used;
use super::super::priced::{TaxOut, UsedList};
use super::super::sheet::{Cell, Page};
use super::columns::RESULTS;
use super::read::Schedule;
use crate::app::estimates::{EstimatedSchedule, LoadedBooks};
use crate::http::bulk::BulkSummary;
use crate::http::wire::{Fault, Money, QuantityOut, Units};
use crate::trade::check::Checked;
use crate::trade::finding::Level;

/// What a row came to.
#[derive(Debug, Clone, Default, Serialize, ToSchema)]
pub struct ScheduleRow {
    /// Row of the sheet, counted from 1 with the heading.
    #[schema(example = 2)]
    row: u32,
    /// Its mark, where it could be read; further rows of a mark say nothing but their faults.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "H-1", nullable = false)]
    mark: Option<String>,
    /// What the checks say: `buildable`, `buildable_with_cautions`, `not_buildable`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = String, example = "buildable", nullable = false)]
    verdict: Option<&'static str>,
    /// Why it may not be built; it is then left out of the price.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    stops: Vec<String>,
    /// What is to be minded.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cautions: Vec<String>,
    /// Hours for all of them, as a decimal text.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "3.52", nullable = false)]
    hours: Option<String>,
    /// Direct cost of all of them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    cost: Option<Money>,
    /// Price of one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    unit_price: Option<Money>,
    /// Price of all; these add up to net.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    price: Option<Money>,
    /// Dry mass of one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    mass: Option<QuantityOut>,
    /// Joints to make in one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 7, nullable = false)]
    joints: Option<u32>,
    /// What is wrong with its cells.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    faults: Vec<Fault>,
}

/// A schedule, checked and priced.
#[derive(Debug, Serialize, ToSchema)]
pub struct ScheduleOut {
    /// The rule set of the checks.
    #[schema(example = "offtake-1")]
    rule_set: String,
    /// The forming profile that settled what can be drawn.
    forming_profile: UsedProfile,
    /// How many manifolds were priced, and how many were not.
    summary: BulkSummary,
    /// Every row, in the order of the sheet.
    rows: Vec<ScheduleRow>,
    /// All hours, as a decimal text.
    #[schema(example = "7.04")]
    total_hours: String,
    /// Price without tax, of what could be priced.
    net: Money,
    /// All tax.
    tax: Money,
    /// Each tax by itself.
    taxes: Vec<TaxOut>,
    /// Price with tax.
    gross: Money,
    /// The price list used.
    price_list: UsedList,
    /// The labour model used.
    labour_model: UsedList,
    /// What the prices rest on that you should know.
    remarks: Vec<String>,
}

/// What every row came to.
fn rows(schedule: &Schedule, estimated: &EstimatedSchedule, units: Units) -> Vec<ScheduleRow> {
    let lines = schedule.lines.iter();
    let mut rows: Vec<ScheduleRow> = lines
        .map(|line| ScheduleRow {
            row: line.number,
            faults: schedule
                .faults
                .iter()
                .filter(|fault| fault.sheet_row == Some(line.number))
                .cloned()
                .collect(),
            ..ScheduleRow::default()
        })
        .collect();
    let mut good = 0..;
    for scheduled in &schedule.manifolds {
        let Some(manifold) = &scheduled.manifold else {
            continue;
        };
        let place = good.next().unwrap_or_default();
        let row = &mut rows[scheduled.rows[0]];
        row.mark = Some(manifold.mark.clone());
        checked(row, &estimated.checked[place], units);
        priced(row, place, estimated);
    }
    rows
}

fn checked(row: &mut ScheduleRow, checked: &Checked, units: Units) {
    let told = |level: Level| -> Vec<String> {
        let findings = checked
            .findings
            .iter()
            .filter(|finding| finding.level == level);
        findings
            .map(|finding| format!("{}: {}", finding.rule.name(), finding.detail))
            .collect()
    };
    row.verdict = Some(checked.verdict.word());
    row.stops = told(Level::Stop);
    row.cautions = told(Level::Caution);
    row.mass = Some(QuantityOut::mass(checked.takeoff.mass, units));
    row.joints = Some(checked.takeoff.joint_count());
}

fn priced(row: &mut ScheduleRow, place: usize, estimated: &EstimatedSchedule) {
    let estimate = &estimated.estimate;
    let Some(item) = estimated.places[place].map(|place| &estimate.items[place]) else {
        return;
    };
    let money = |amount| Some(Money::new(amount, estimate.totals.currency.code()));
    row.hours = Some(item.hours.to_string());
    row.cost = money(item.cost);
    row.unit_price = money(item.unit_price);
    row.price = money(item.amount);
}

/// As JSON.
pub fn json(
    schedule: &Schedule,
    (estimated, books): (&EstimatedSchedule, &LoadedBooks),
    units: Units,
) -> ScheduleOut {
    let totals = &estimated.estimate.totals;
    let money = |amount| Money::new(amount, totals.currency.code());
    let ok = estimated.estimate.items.len();
    ScheduleOut {
        rule_set: books.rules.name.to_owned(),
        forming_profile: (&books.rules.forming).into(),
        summary: BulkSummary {
            ok,
            failed: schedule.manifolds.len() - ok,
        },
        rows: rows(schedule, estimated, units),
        total_hours: estimated.estimate.total_hours().normalize().to_string(),
        net: money(totals.net),
        tax: money(totals.tax),
        taxes: totals
            .taxes
            .iter()
            .map(|tax| TaxOut::of(tax, totals.currency))
            .collect(),
        gross: money(totals.gross),
        price_list: used(
            &books.prices.id,
            &books.prices.name,
            books.prices.effective_on,
        ),
        labour_model: used(
            &books.labour.id,
            &books.labour.name,
            books.labour.effective_on,
        ),
        remarks: remarks(estimated),
    }
}

fn remarks(estimated: &EstimatedSchedule) -> Vec<String> {
    let remarks = estimated.estimate.remarks.iter();
    remarks.map(|remark| remark.text.clone()).collect()
}

/// As the sheet itself: the cells as they came, and what they came to.
pub fn page(schedule: &Schedule, estimated: &EstimatedSchedule, units: Units) -> Page {
    let currency = estimated.estimate.totals.currency;
    let mass = match units {
        Units::Imperial => "lb",
        Units::Metric => "kg",
    };
    let result = |name: &str| match name {
        "cost" | "unit_price" | "price" => format!("{name} ({currency})"),
        "mass" => format!("{name} ({mass})"),
        _ => name.to_owned(),
    };
    let mut heading = schedule.heading.clone();
    let first_result = heading.len();
    heading.extend(RESULTS.iter().map(|name| result(name)));
    let results = rows(schedule, estimated, units);
    let lines = schedule.lines.iter().zip(&results).map(|(line, row)| {
        let mut cells = line.cells.clone();
        cells.resize(first_result, Cell::default());
        cells.extend(cells_of(row));
        cells
    });
    Page {
        name: "schedule".to_owned(),
        cells: lines.collect(),
        marked: marked(schedule),
        heading,
    }
}

/// Cells that have a fault, by place among the lines and columns.
fn marked(schedule: &Schedule) -> BTreeSet<(usize, usize)> {
    let lines = schedule.lines.iter().enumerate();
    let lines: BTreeMap<u32, usize> = lines.map(|(place, line)| (line.number, place)).collect();
    let cell = |fault: &Fault| {
        let line = lines.get(&fault.sheet_row?)?;
        let mut heading = schedule.heading.iter();
        let column = heading.position(|name| Some(name) == fault.column.as_ref())?;
        Some((*line, column))
    };
    schedule.faults.iter().filter_map(cell).collect()
}

fn cells_of(row: &ScheduleRow) -> [Cell; RESULTS.len()] {
    let number = |text: Option<String>| match text {
        None => Cell::default(),
        Some(text) => Cell::Number(text),
    };
    let money = |money: &Option<Money>| number(money.as_ref().map(|money| money.amount.clone()));
    let faults = row
        .faults
        .iter()
        .map(|fault| match fault.column.as_deref() {
            None | Some("") => fault.detail.clone(),
            Some(column) => format!("{column}: {}", fault.detail),
        });
    let verdict = match row.verdict {
        Some(verdict) => verdict,
        None if row.faults.is_empty() => "",
        None => "faults",
    };
    [
        Cell::Text(verdict.to_owned()),
        Cell::Text(row.stops.join(" | ")),
        Cell::Text(row.cautions.join(" | ")),
        number(row.hours.clone()),
        money(&row.cost),
        money(&row.unit_price),
        money(&row.price),
        number(row.mass.as_ref().map(|mass| mass.value.to_string())),
        number(row.joints.map(|joints| joints.to_string())),
        Cell::Text(faults.collect::<Vec<_>>().join(" | ")),
    ]
}

/// A page of what the schedule comes to in all.
pub fn totals((estimated, books): (&EstimatedSchedule, &LoadedBooks)) -> Page {
    let totals = &estimated.estimate.totals;
    let currency = totals.currency.code();
    let line = |what: &str, amount: Decimal, unit: &str| {
        vec![
            Cell::Text(what.to_owned()),
            Cell::Number(amount.to_string()),
            Cell::Text(unit.to_owned()),
        ]
    };
    let text = |what: &str, text: &str| {
        vec![
            Cell::Text(what.to_owned()),
            Cell::default(),
            Cell::Text(text.to_owned()),
        ]
    };
    let mut cells = vec![
        line("hours", estimated.estimate.total_hours().normalize(), "h"),
        line("net", totals.net, currency),
    ];
    cells.extend(
        totals
            .taxes
            .iter()
            .map(|tax| line(&tax.text(), tax.amount, currency)),
    );
    cells.push(line("gross", totals.gross, currency));
    let dated = |name: &str, day: jiff::civil::Date| format!("{name}, from {day}");
    cells.push(text(
        "price list",
        &dated(&books.prices.name, books.prices.effective_on),
    ));
    cells.push(text(
        "labour model",
        &dated(&books.labour.name, books.labour.effective_on),
    ));
    cells.extend(
        remarks(estimated)
            .iter()
            .map(|remark| text("rests on", remark)),
    );
    Page {
        name: "totals".to_owned(),
        heading: ["what", "figure", "of"].map(str::to_owned).into(),
        cells,
        marked: BTreeSet::new(),
    }
}
