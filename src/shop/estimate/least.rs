//! The least that one manifold can add to the cost of any schedule it stands in.
//!
//! In a schedule manifolds share set-ups, sticks, quantity breaks and practice. Here all of that is
//! taken as if others paid for it: no set-up, no more tube than is cut, the lowest price of every
//! break, the last place among all that are made. No schedule does better.

use rust_decimal::Decimal;

use super::needs::{MaterialNeed, NeedAmount};
use super::{Books, Scheduled};
use crate::shop::labour::{Operation, OperationTime, Work};
use crate::shop::money::{Percent, exact};
use crate::shop::price_list::{PriceItem, PriceUnit};
use crate::trade::manifold::Build;

/// Quantities are rounded to three decimals, perhaps down by so much.
const ROUNDED_OFF: Decimal = Decimal::from_parts(5, 0, 0, false, 4);

/// The least cost of one item of a schedule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LeastCost {
    /// Of material and equipment.
    pub other: Decimal,
    /// Of labour, with burden.
    pub labour: Decimal,
}

/// The least that an item can add to a schedule with so many manifolds of its kind in all; `None`
/// where a price or a time is lacking.
pub fn least_cost(item: &Scheduled<'_>, books: &Books<'_>, in_all: u32) -> Option<LeastCost> {
    let needs = MaterialNeed::of(item);
    let bought = needs.iter().map(|need| material(need, books));
    let mut other = bought.sum::<Option<Decimal>>()?;
    if item.manifold.build == Build::FormedOutlets {
        let collars = item.takeoff.layout.formed.len();
        let collars = Decimal::from(collars) * Decimal::from(item.manifold.quantity);
        other += collars * books.shop.pricing.collar_charge;
    }
    let work = Work::of(item.manifold, item.takeoff);
    let minutes = work.amounts().map(|(operation, _)| {
        run_time(item, &work, books.labour.time(operation)?, (books, in_all))
    });
    let hours = minutes.sum::<Option<Decimal>>()? / Decimal::from(60);
    let rate = match hours.is_zero() {
        true => Decimal::ZERO,
        false => books.shop.pricing.hourly_rate()?,
    };
    Some(LeastCost {
        other,
        labour: hours * rate,
    })
}

fn lowest(price: &PriceItem) -> Decimal {
    let breaks = price.breaks.as_slice().iter();
    breaks
        .map(|step| step.price)
        .fold(price.price, Decimal::min)
}

fn material(need: &MaterialNeed, books: &Books<'_>) -> Option<Decimal> {
    let price = books.prices.item(&need.code)?;
    let price = Some(price).filter(|price| need.kind.units().contains(&price.unit))?;
    let pricing = &books.shop.pricing;
    let least = lowest(price);
    let net = need.net_in(price.unit)?;
    let (beyond, cutting) = (need.beyond(pricing), pricing.cutting.as_ref());
    let tube = matches!(need.amount, NeedAmount::Tube { .. });
    let quantity = match (tube, cutting) {
        // Rests that are credited at more than their stick cost would pay for the rest.
        (true, Some(cutting)) if cutting.offcut_value.of(price.price) > least => Decimal::ZERO,
        (true, Some(_)) => net,
        _ => net * (Decimal::ONE + beyond.map_or(Percent::ZERO, |(_, share)| share).share()),
    };
    let counted = matches!(price.unit, PriceUnit::Each | PriceUnit::Joint);
    let off = if counted { Decimal::ZERO } else { ROUNDED_OFF };
    Some((quantity - off).max(Decimal::ZERO) * least)
}

/// Minutes of run time when all others of a kind are made before.
fn run_time(
    item: &Scheduled<'_>,
    work: &Work,
    time: &OperationTime,
    (books, in_all): (&Books<'_>, u32),
) -> Option<Decimal> {
    if time.operation == Operation::FormingSetUp {
        return Some(Decimal::ZERO);
    }
    let (amount, quantity) = (work.amount(time.operation), item.manifold.quantity);
    let one =
        time.minutes_each * Decimal::from(amount.count) + time.minutes_per_driver * amount.driver;
    let units = books.labour.repetition.map_or_else(
        || Decimal::from(quantity),
        |it| exact(it.units(in_all.saturating_sub(quantity), quantity)),
    );
    let bearing = books
        .labour
        .bearing(&item.manifold.conditions, time.operation);
    let factor: Decimal = bearing.map(|condition| condition.factor).product();
    Some(one * units * factor)
}
