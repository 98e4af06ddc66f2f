//! Labour: hours by operation, set-ups shared over the schedule, and whose hours they are.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::direct::{DirectLine, Origin};
use super::{Books, LABOUR, Lacking, Scheduled};
use crate::shop::labour::{
    Amount, Condition, Driver, LabourModel, Operation, OperationTime, Repetition, Work,
};
use crate::shop::money::exact;
use crate::shop::quote::{HoursRecord, PriceLine};
use crate::trade::manifold::Build;

/// Hours are carried to this many decimals.
const HOUR_DECIMALS: u32 = 4;

/// Labour of a schedule.
pub struct Labour {
    /// A line for each operation.
    pub lines: Vec<DirectLine>,
    /// Hours for each operation.
    pub hours: Vec<HoursRecord>,
    /// Hours by item of the schedule and operation, each with its share of set-ups.
    pub hours_by_item: Vec<BTreeMap<Operation, Decimal>>,
    /// The same hours with their spread.
    pub times: Vec<TimedOperation>,
}

/// Hours of one operation with the time they came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimedOperation {
    /// Likely hours over the schedule.
    pub hours: Decimal,
    /// The shop's time.
    pub time: OperationTime,
}

/// What one item of the schedule takes of an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Portion {
    /// Its place in the schedule.
    pub item: usize,
    /// How often it is done for one manifold.
    pub amount: Amount,
    /// How many manifolds' time it takes: their number, or less where repetition counts.
    pub units: Decimal,
    /// The conditions that bear on it.
    pub conditions: Vec<Condition>,
    /// Minutes of run time, for all of the item's manifolds.
    pub minutes: Decimal,
}

/// Labour lines, hours, and hours by item.
pub fn labour(
    schedule: &[Scheduled<'_>],
    works: &[Work],
    books: &Books<'_>,
    lacking: &mut Vec<Lacking>,
) -> Labour {
    let mut labour = Labour {
        lines: Vec::new(),
        hours: Vec::new(),
        hours_by_item: vec![BTreeMap::new(); schedule.len()],
        times: Vec::new(),
    };
    let units = units(schedule, works, books.labour.repetition.as_ref());
    lacking.extend(unknown_conditions(schedule, works, books.labour));
    for operation in Operation::ALL.iter().copied() {
        let taking: Vec<usize> = (0..works.len())
            .filter(|item| works[*item].amount(operation).count > 0)
            .collect();
        if taking.is_empty() {
            continue;
        }
        match books.labour.time(operation) {
            None => lacking.push(Lacking::Operation {
                operation,
                marks: marks(schedule, &taking),
            }),
            Some(time) => {
                let portions = taking.into_iter().map(|item| {
                    portion(
                        (item, &schedule[item]),
                        &works[item],
                        units[item],
                        (time, books),
                    )
                });
                labour.add(schedule, time, portions.collect(), books);
            }
        }
        if books.shop.pricing.wage().is_none() && !lacking.contains(&Lacking::CrewRate) {
            lacking.push(Lacking::CrewRate);
        }
    }
    labour
}

fn marks(schedule: &[Scheduled<'_>], items: &[usize]) -> Vec<String> {
    let items = items.iter();
    items
        .map(|item| schedule[*item].manifold.mark.clone())
        .collect()
}

/// Conditions that somebody names and the model does not know, each with all who name it.
fn unknown_conditions(
    schedule: &[Scheduled<'_>],
    works: &[Work],
    model: &LabourModel,
) -> Vec<Lacking> {
    let mut unknown: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, (item, work)) in schedule.iter().zip(works).enumerate() {
        let takes_time = work.amounts().next().is_some();
        for name in item.manifold.conditions.iter().filter(|_| takes_time) {
            if !model.knows_condition(name) {
                unknown.entry(name).or_default().push(index);
            }
        }
    }
    let mut known: Vec<String> = Vec::new();
    for condition in &model.conditions {
        if !known.iter().any(|name| condition.is_named(name)) {
            known.push(condition.name.clone());
        }
    }
    let lacking = |(name, items): (&str, Vec<usize>)| Lacking::Condition {
        name: name.to_owned(),
        marks: marks(schedule, &items),
        known: known.clone(),
    };
    unknown.into_iter().map(lacking).collect()
}

/// How many manifolds' time each item takes. Items whose work is the same, under the same
/// conditions, are of one kind, made in the order of the schedule.
fn units(
    schedule: &[Scheduled<'_>],
    works: &[Work],
    repetition: Option<&Repetition>,
) -> Vec<Decimal> {
    let mut made: BTreeMap<(&Work, &[String]), u32> = BTreeMap::new();
    let items = schedule.iter().zip(works);
    items
        .map(|(item, work)| {
            let quantity = item.manifold.quantity;
            let Some(repetition) = repetition else {
                return Decimal::from(quantity);
            };
            let before = made.entry((work, &item.manifold.conditions)).or_default();
            let units = exact(repetition.units(*before, quantity));
            *before = before.saturating_add(quantity);
            units
        })
        .collect()
}

fn portion(
    (index, item): (usize, &Scheduled<'_>),
    work: &Work,
    units: Decimal,
    (time, books): (&OperationTime, &Books<'_>),
) -> Portion {
    let amount = work.amount(time.operation);
    // A set-up is no run time: neither repetition nor place shortens or draws it out.
    let is_set_up = time.operation == Operation::FormingSetUp;
    let (units, conditions) = match is_set_up {
        true => (Decimal::from(item.manifold.quantity), Vec::new()),
        false => {
            let names = &item.manifold.conditions;
            let bearing = books.labour.bearing(names, time.operation);
            (units, bearing.cloned().collect())
        }
    };
    let factor: Decimal = conditions.iter().map(|it: &Condition| it.factor).product();
    let one =
        time.minutes_each * Decimal::from(amount.count) + time.minutes_per_driver * amount.driver;
    Portion {
        item: index,
        amount,
        units,
        minutes: one * units * factor,
        conditions,
    }
}

impl Labour {
    fn add(
        &mut self,
        schedule: &[Scheduled<'_>],
        time: &OperationTime,
        portions: Vec<Portion>,
        books: &Books<'_>,
    ) {
        let operation = time.operation;
        let sizes = (operation == Operation::FormingSetUp).then(|| branch_sizes(schedule));
        let run = match sizes {
            Some(sizes) => time.minutes_each * Decimal::from(sizes),
            None => portions.iter().map(|portion| portion.minutes).sum(),
        };
        let hours = ((run + time.setup_minutes) / Decimal::from(60)).round_dp(HOUR_DECIMALS);
        let basis = basis(time, schedule, (&portions, sizes), books);
        let shares = shares(schedule.len(), &portions);
        self.share_hours(operation, &shares, hours);
        let pricing = &books.shop.pricing;
        let rate = pricing.hourly_rate().unwrap_or_default();
        self.lines.push(DirectLine {
            line: PriceLine {
                head: LABOUR.to_owned(),
                text: operation.spoken().to_owned(),
                quantity: hours.normalize(),
                unit: "h".to_owned(),
                unit_price: rate,
                amount: books.shop.currency.round(hours * rate),
                basis: format!("{basis}; {}", pricing.rate_basis()),
            },
            shares,
            origin: Origin::Hours {
                time: time.clone(),
                portions,
                sizes,
            },
        });
        self.hours.push(HoursRecord {
            operation: operation.word().to_owned(),
            hours: hours.normalize(),
            basis,
            source: time.source.word().to_owned(),
        });
        self.times.push(TimedOperation {
            hours,
            time: time.clone(),
        });
    }

    fn share_hours(&mut self, operation: Operation, shares: &[Decimal], hours: Decimal) {
        let whole: Decimal = shares.iter().sum();
        if whole.is_zero() {
            return;
        }
        let shares = self.hours_by_item.iter_mut().zip(shares);
        for (item, share) in shares.filter(|(_, share)| !share.is_zero()) {
            item.insert(operation, hours * (*share / whole));
        }
    }
}

/// By run time; by count where the time is nothing.
fn shares(items: usize, portions: &[Portion]) -> Vec<Decimal> {
    let mut shares = vec![Decimal::ZERO; items];
    let takes_time = portions.iter().any(|portion| !portion.minutes.is_zero());
    for portion in portions {
        shares[portion.item] = match takes_time {
            true => portion.minutes,
            false => Decimal::from(portion.amount.count) * portion.units,
        };
    }
    shares
}

/// Distinct branch sizes formed in the schedule: the forming equipment is set once for each.
fn branch_sizes(schedule: &[Scheduled<'_>]) -> u32 {
    let sizes: std::collections::BTreeSet<_> = schedule
        .iter()
        .filter(|item| item.manifold.build == Build::FormedOutlets)
        .flat_map(|item| {
            item.manifold
                .outlets
                .iter()
                .map(|outlet| outlet.tube.nominal)
        })
        .collect();
    sizes.len() as u32
}

/// How the hours come about, in a sentence.
fn basis(
    time: &OperationTime,
    schedule: &[Scheduled<'_>],
    (portions, sizes): (&[Portion], Option<u32>),
    books: &Books<'_>,
) -> String {
    let each = time.minutes_each.normalize();
    let run = match sizes {
        Some(sizes) => format!("{each} min x {sizes} branch sizes"),
        None => run_basis(time, schedule, portions),
    };
    let setup = match time.setup_minutes.is_zero() {
        true => String::new(),
        false => format!("{} min a batch + ", time.setup_minutes.normalize()),
    };
    let repeated = match &books.labour.repetition {
        Some(repetition) if sizes.is_none() => repetition_basis(repetition, schedule, portions),
        _ => String::new(),
    };
    let conditions = condition_basis(schedule, portions);
    format!(
        "{setup}{run}{conditions}{repeated}; times: {}",
        time.source.word()
    )
}

fn run_basis(time: &OperationTime, schedule: &[Scheduled<'_>], portions: &[Portion]) -> String {
    let (mut count, mut driver) = (0, Decimal::ZERO);
    for portion in portions {
        let quantity = schedule[portion.item].manifold.quantity;
        count += portion.amount.count * quantity;
        driver += portion.amount.driver * Decimal::from(quantity);
    }
    let each = format!(
        "{} min x {count} ({} each)",
        time.minutes_each.normalize(),
        time.operation.counted_by()
    );
    match time.operation.driver() {
        Driver::None => each,
        _ if time.minutes_per_driver.is_zero() => each,
        kind => format!(
            "{each} + {} min x {} ({})",
            time.minutes_per_driver.normalize(),
            driver.round_dp(2).normalize(),
            kind.unit()
        ),
    }
}

/// Each condition once, with the marks it bears on.
fn condition_basis(schedule: &[Scheduled<'_>], portions: &[Portion]) -> String {
    let mut bearing: Vec<(&Condition, Vec<&str>)> = Vec::new();
    for portion in portions {
        let mark = schedule[portion.item].manifold.mark.as_str();
        for condition in &portion.conditions {
            match bearing.iter_mut().find(|(known, _)| *known == condition) {
                Some((_, marks)) => marks.push(mark),
                None => bearing.push((condition, vec![mark])),
            }
        }
    }
    let told = bearing.into_iter().map(|(condition, marks)| {
        format!(
            ", x {} for {} on {} ({})",
            condition.factor.normalize(),
            condition.name,
            marks.join(", "),
            condition.source.word()
        )
    });
    told.collect()
}

fn repetition_basis(
    repetition: &Repetition,
    schedule: &[Scheduled<'_>],
    portions: &[Portion],
) -> String {
    let units: Decimal = portions.iter().map(|portion| portion.units).sum();
    let made: u32 = portions
        .iter()
        .map(|portion| schedule[portion.item].manifold.quantity)
        .sum();
    format!(
        ", {made} manifolds counted as {} by {} of {} (times are those of unit {}; {})",
        units.round_dp(3).normalize(),
        repetition.curve.spoken(),
        repetition.slope,
        repetition.timed_at,
        repetition.source.word()
    )
}
