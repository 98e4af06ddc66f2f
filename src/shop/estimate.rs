//! From a schedule to a price, every figure with its basis.
//!
//! Order: tube, fittings and bought manifolds, filler and consumables, labour, small tools,
//! equipment, overhead, contingency, profit, minimum charge, discount, rounding, tax. Amounts
//! are rounded to the minor unit where a line is made and nowhere else, and the lines add up to
//! the net price.

mod build_up;
mod direct;
mod explain;
mod hours;
mod least;
mod needs;
mod remarks;
mod stick_lines;
mod sticks;
mod tax;

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::labour::{LabourModel, Operation, Work};
use super::money::Currency;
use super::price_list::{ItemKind, PriceList};
use super::quote::{HoursRecord, PriceLine, Totals};
use super::risk::Exposure;
use super::settings::Shop;
use crate::trade::manifold::Manifold;
use crate::trade::takeoff::Takeoff;

pub use build_up::{Added, LineOrigin};
pub use direct::{DirectLine, Origin};
pub use explain::{Derivation, Explanation, Step, explain};
pub use hours::{Portion, TimedOperation};
pub use needs::MaterialNeed;
pub use remarks::{Audience, Remark};

/// The cost head of labour.
pub const LABOUR: &str = "labour";
/// The cost head of tube.
pub const TUBE: &str = "tube";

/// What an estimate is made from.
#[derive(Debug, Clone, Copy)]
pub struct Books<'a> {
    /// The shop.
    pub shop: &'a Shop,
    /// Today's prices.
    pub prices: &'a PriceList,
    /// The shop's times.
    pub labour: &'a LabourModel,
}

/// One manifold of the schedule, taken off.
#[derive(Debug, Clone, Copy)]
pub struct Scheduled<'a> {
    /// The manifold.
    pub manifold: &'a Manifold,
    /// Its take-off.
    pub takeoff: &'a Takeoff,
}

/// What keeps an estimate from being made. All of it is named at once.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lacking {
    /// The shop has no settings.
    Shop,
    /// No price list holds on the day.
    PriceList(String),
    /// No price for an item, in a unit that could price it.
    Price {
        /// The code the price list should hold.
        code: String,
        /// What it is.
        kind: ItemKind,
        /// How a person names it.
        text: String,
        /// Marks that need it.
        marks: Vec<String>,
    },
    /// No time for an operation.
    Operation {
        /// The operation.
        operation: Operation,
        /// Marks that need it.
        marks: Vec<String>,
    },
    /// A condition of the work that the labour model does not know.
    Condition {
        /// Its name.
        name: String,
        /// Marks that name it.
        marks: Vec<String>,
        /// The conditions that the model knows.
        known: Vec<String>,
    },
    /// A shop setting without which labour has no price.
    CrewRate,
    /// A margin of the whole price or more.
    NoPriceAtMargin,
    /// Prices in another currency than the shop's.
    Currency {
        /// Of the price list.
        list: Currency,
        /// Of the shop.
        shop: Currency,
    },
}

/// One manifold of an estimate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EstimatedItem {
    /// Its mark.
    pub mark: String,
    /// How many.
    pub quantity: u32,
    /// Hours for all of them, with their share of set-ups.
    pub hours: Decimal,
    /// The same by operation, in the order of the work.
    pub operations: Vec<(Operation, Decimal)>,
    /// Direct cost of all of them.
    pub cost: Decimal,
    /// Price of one.
    pub unit_price: Decimal,
    /// Price of all.
    pub amount: Decimal,
}

/// A priced schedule.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Each manifold, in the order of the schedule; amounts add up to net.
    pub items: Vec<EstimatedItem>,
    /// The build-up; amounts add up to net.
    pub lines: Vec<PriceLine>,
    /// What each line of it was made from.
    pub origins: Vec<LineOrigin>,
    /// Hours by operation.
    pub hours: Vec<HoursRecord>,
    /// Net, tax and gross.
    pub totals: Totals,
    /// Direct cost by head.
    pub direct_heads: BTreeMap<String, Decimal>,
    /// Hours by operation with the time behind each, for the risk of the price.
    pub times: Vec<TimedOperation>,
    /// What it rests on that the reader should know.
    pub remarks: Vec<Remark>,
}

impl Estimate {
    /// Amounts by cost head.
    pub fn heads(&self) -> BTreeMap<String, Decimal> {
        heads(&self.lines)
    }

    /// All hours.
    pub fn total_hours(&self) -> Decimal {
        self.hours.iter().map(|line| line.hours).sum()
    }
}

/// Amounts of lines by cost head.
pub fn heads<'a>(lines: impl IntoIterator<Item = &'a PriceLine>) -> BTreeMap<String, Decimal> {
    let mut heads = BTreeMap::new();
    for line in lines {
        *heads.entry(line.head.clone()).or_insert(Decimal::ZERO) += line.amount;
    }
    heads
}

/// Estimates a schedule.
///
/// # Errors
/// Everything that is lacking: prices, operation times, the crew rate.
pub fn estimate(schedule: &[Scheduled<'_>], books: Books<'_>) -> Result<Estimate, Vec<Lacking>> {
    let mut lacking = lacking_settings(&books);
    let works: Vec<Work> = schedule
        .iter()
        .map(|item| Work::of(item.manifold, item.takeoff))
        .collect();
    let materials = direct::materials(schedule, &books, &mut lacking);
    let labour = hours::labour(schedule, &works, &books, &mut lacking);
    if !lacking.is_empty() {
        lacking.sort();
        return Err(lacking);
    }
    let equipment = direct::equipment(schedule, &books);
    let direct: Vec<direct::DirectLine> = materials
        .into_iter()
        .chain(labour.lines)
        .chain(equipment)
        .collect();
    let direct_heads = heads(direct.iter().map(|line| &line.line));
    let exposure = Exposure::of(&direct_heads, &labour.times, &books);
    let built = build_up::build_up(
        schedule,
        &direct,
        (&labour.hours_by_item, &exposure),
        &books,
    );
    Ok(Estimate {
        direct_heads,
        times: labour.times,
        remarks: remarks::remarks(schedule, &works, &books),
        hours: labour.hours,
        items: built.items,
        lines: built.lines,
        origins: built.origins,
        totals: built.totals,
    })
}

fn lacking_settings(books: &Books<'_>) -> Vec<Lacking> {
    let mut lacking = Vec::new();
    if books.prices.currency != books.shop.currency {
        lacking.push(Lacking::Currency {
            list: books.prices.currency,
            shop: books.shop.currency,
        });
    }
    if books.shop.pricing.profit.on(Decimal::ONE).is_none() {
        lacking.push(Lacking::NoPriceAtMargin);
    }
    lacking
}

pub(super) use build_up::PriceOf;
pub(super) use least::{LeastCost, least_cost};
