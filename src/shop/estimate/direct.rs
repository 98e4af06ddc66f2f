//! Direct cost: lines for material, labour and equipment, each with every item's share in it.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::needs::MaterialNeed;
use super::stick_lines::stick_lines;
use super::{Books, LABOUR, Lacking, Scheduled, TUBE};
use crate::shop::labour::{Amount, Driver, Operation, OperationTime, Work};
use crate::shop::price_list::{ItemKind, PriceItem, PriceUnit};
use crate::shop::quote::{HoursRecord, PriceLine};
use crate::trade::manifold::Build;

/// Hours are carried to this many decimals.
const HOUR_DECIMALS: u32 = 4;

/// A line of direct cost, and how much of its quantity each item of the schedule causes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DirectLine {
    /// The line.
    pub line: PriceLine,
    /// Quantity by item, in the order of the schedule.
    pub shares: Vec<Decimal>,
}

impl DirectLine {
    /// The part of this line's amount that an item causes, unrounded.
    pub fn share_of(&self, item: usize) -> Decimal {
        let whole: Decimal = self.shares.iter().sum();
        match self.shares.get(item) {
            // Divided first: the product could be too large to hold.
            Some(share) if !whole.is_zero() => self.line.amount * (*share / whole),
            _ => Decimal::ZERO,
        }
    }
}

/// Material lines: tube, fittings, bought manifolds, filler, consumables.
pub fn materials(
    schedule: &[Scheduled<'_>],
    books: &Books<'_>,
    lacking: &mut Vec<Lacking>,
) -> Vec<DirectLine> {
    let mut gathered: BTreeMap<(ItemKind, String), Vec<(usize, MaterialNeed)>> = BTreeMap::new();
    for (index, item) in schedule.iter().enumerate() {
        for need in MaterialNeed::of(item) {
            gathered
                .entry((need.kind, need.code.clone()))
                .or_default()
                .push((index, need));
        }
    }
    gathered
        .into_iter()
        .flat_map(|((kind, code), needs)| {
            let item = books
                .prices
                .item(&code)
                .filter(|item| kind.units().contains(&item.unit));
            match item {
                Some(item) => priced(schedule, books, item, &needs),
                None => {
                    lacking.push(Lacking::Price {
                        code,
                        kind,
                        text: needs[0].1.text.clone(),
                        marks: needs
                            .iter()
                            .map(|(index, _)| schedule[*index].manifold.mark.clone())
                            .collect(),
                    });
                    Vec::new()
                }
            }
        })
        .collect()
}

/// The line of one thing; tube in sticks may have another for the offcuts that are kept.
fn priced(
    schedule: &[Scheduled<'_>],
    books: &Books<'_>,
    price: &PriceItem,
    needs: &[(usize, MaterialNeed)],
) -> Vec<DirectLine> {
    let nested = stick_lines(schedule, books, price, needs);
    nested.unwrap_or_else(|| vec![material_line(schedule.len(), books, price, needs)])
}

fn material_line(
    items: usize,
    books: &Books<'_>,
    price: &PriceItem,
    needs: &[(usize, MaterialNeed)],
) -> DirectLine {
    let pricing = &books.shop.pricing;
    let mut shares = vec![Decimal::ZERO; items];
    for (index, need) in needs {
        let amount = need.in_unit(price.unit, pricing.tube_waste, pricing.filler_allowance);
        shares[*index] += amount.unwrap_or_default();
    }
    let needed: Decimal = shares.iter().sum();
    let (quantity, rounding) = match price.unit {
        PriceUnit::Stick => (needed.ceil(), ", rounded up to whole sticks"),
        PriceUnit::Each | PriceUnit::Joint => (needed, ""),
        _ => (needed.round_dp(3), ""),
    };
    let why = match price.kind {
        ItemKind::Tube => format!(
            "net cut length + {} waste (shop setting){rounding}",
            pricing.tube_waste
        ),
        ItemKind::Filler => format!(
            "filler that fills the gaps + {} allowance (shop setting)",
            pricing.filler_allowance
        ),
        ItemKind::Consumable => "counted joints".to_owned(),
        ItemKind::Fitting | ItemKind::Manifold => "counted from the schedule".to_owned(),
    };
    let head = match price.kind {
        ItemKind::Tube => TUBE,
        ItemKind::Fitting => "fittings",
        ItemKind::Manifold => "bought_manifolds",
        ItemKind::Filler | ItemKind::Consumable => "consumables",
    };
    let unit_price = price.price_at(quantity);
    let amount = books.shop.currency.round(quantity * unit_price);
    DirectLine {
        line: PriceLine {
            head: head.to_owned(),
            text: needs[0].1.text.clone(),
            quantity: quantity.normalize(),
            unit: price.unit.word().to_owned(),
            unit_price,
            amount,
            basis: format!(
                "{why}; price of {} from list \"{}\"{}",
                price.code,
                books.prices.name,
                price.break_basis(quantity)
            ),
        },
        shares,
    }
}

/// Labour of a schedule.
pub struct Labour {
    /// A line for each operation.
    pub lines: Vec<DirectLine>,
    /// Hours for each operation.
    pub hours: Vec<HoursRecord>,
    /// Hours by item of the schedule.
    pub hours_by_item: Vec<Decimal>,
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
        hours_by_item: vec![Decimal::ZERO; schedule.len()],
        times: Vec::new(),
    };
    let rate = books.shop.pricing.crew_rate;
    for operation in Operation::ALL.iter().copied() {
        let amounts: Vec<Amount> = works
            .iter()
            .zip(schedule)
            .map(|(work, item)| times_quantity(work.amount(operation), item.manifold.quantity))
            .collect();
        if amounts.iter().all(|amount| amount.count == 0) {
            continue;
        }
        match books.labour.time(operation) {
            None => lacking.push(Lacking::Operation {
                operation,
                marks: marks_with(schedule, &amounts),
            }),
            Some(time) => labour.add(schedule, time, &amounts, books),
        }
        if rate.is_none() && !lacking.contains(&Lacking::CrewRate) {
            lacking.push(Lacking::CrewRate);
        }
    }
    labour
}

fn times_quantity(amount: Amount, quantity: u32) -> Amount {
    Amount {
        count: amount.count * quantity,
        driver: amount.driver * Decimal::from(quantity),
    }
}

fn marks_with(schedule: &[Scheduled<'_>], amounts: &[Amount]) -> Vec<String> {
    schedule
        .iter()
        .zip(amounts)
        .filter(|(_, amount)| amount.count > 0)
        .map(|(item, _)| item.manifold.mark.clone())
        .collect()
}

impl Labour {
    fn add(
        &mut self,
        schedule: &[Scheduled<'_>],
        time: &OperationTime,
        amounts: &[Amount],
        books: &Books<'_>,
    ) {
        let operation = time.operation;
        let minutes: Vec<Decimal> = amounts
            .iter()
            .map(|amount| {
                time.minutes_each * Decimal::from(amount.count)
                    + time.minutes_per_driver * amount.driver
            })
            .collect();
        let (hours, basis) = hours_of(time, schedule, (amounts, &minutes));
        let shares = if minutes.iter().sum::<Decimal>().is_zero() {
            amounts
                .iter()
                .map(|amount| Decimal::from(amount.count))
                .collect()
        } else {
            minutes
        };
        self.share_hours(&shares, hours);
        let pricing = &books.shop.pricing;
        let rate = (pricing.crew_rate.unwrap_or_default()
            * (Decimal::ONE + pricing.burden.share()))
        .round_dp(4)
        .normalize();
        self.lines.push(DirectLine {
            line: PriceLine {
                head: LABOUR.to_owned(),
                text: operation.spoken().to_owned(),
                quantity: hours.normalize(),
                unit: "h".to_owned(),
                unit_price: rate,
                amount: books.shop.currency.round(hours * rate),
                basis: format!("{basis}; crew rate with {} burden", pricing.burden),
            },
            shares,
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

    fn share_hours(&mut self, shares: &[Decimal], hours: Decimal) {
        let whole: Decimal = shares.iter().sum();
        if whole.is_zero() {
            return;
        }
        for (total, share) in self.hours_by_item.iter_mut().zip(shares) {
            *total += hours * (*share / whole);
        }
    }
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

/// Hours of an operation over the schedule, and how they come about.
fn hours_of(
    time: &OperationTime,
    schedule: &[Scheduled<'_>],
    (amounts, minutes): (&[Amount], &[Decimal]),
) -> (Decimal, String) {
    let (run, how) = if time.operation == Operation::FormingSetUp {
        let sizes = branch_sizes(schedule);
        let each = time.minutes_each.normalize();
        let how = format!("{each} min x {sizes} branch sizes");
        (time.minutes_each * Decimal::from(sizes), how)
    } else {
        (minutes.iter().sum(), formula(time, amounts))
    };
    let hours = ((run + time.setup_minutes) / Decimal::from(60)).round_dp(HOUR_DECIMALS);
    let setup = if time.setup_minutes.is_zero() {
        String::new()
    } else {
        format!("{} min a batch + ", time.setup_minutes.normalize())
    };
    let basis = format!("{setup}{how}; times: {}", time.source.word());
    (hours, basis)
}

fn formula(time: &OperationTime, amounts: &[Amount]) -> String {
    let count: u32 = amounts.iter().map(|amount| amount.count).sum();
    let driver: Decimal = amounts.iter().map(|amount| amount.driver).sum();
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

/// The charge for forming equipment, by collar.
pub fn equipment(schedule: &[Scheduled<'_>], books: &Books<'_>) -> Option<DirectLine> {
    let charge = books.shop.pricing.collar_charge;
    let shares: Vec<Decimal> = schedule
        .iter()
        .map(|item| {
            Decimal::from(item.takeoff.layout.formed.len()) * Decimal::from(item.manifold.quantity)
        })
        .collect();
    let collars: Decimal = shares.iter().sum();
    (!charge.is_zero() && !collars.is_zero()).then(|| DirectLine {
        line: PriceLine {
            head: "equipment".to_owned(),
            text: "forming equipment".to_owned(),
            quantity: collars,
            unit: "collar".to_owned(),
            unit_price: charge,
            amount: books.shop.currency.round(collars * charge),
            basis: "charge for each collar formed (shop setting)".to_owned(),
        },
        shares,
    })
}
