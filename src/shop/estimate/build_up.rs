//! From direct cost to net, tax and gross, and back to a price for each item.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::direct::DirectLine;
use super::tax::totals;
use super::{Books, EstimatedItem, LABOUR, Scheduled, heads};
use crate::shop::labour::Operation;
use crate::shop::money::Percent;
use crate::shop::quote::{PriceLine, Totals};
use crate::shop::risk::{DRAWS, Exposure, SEED, reserve};

/// The priced schedule.
pub struct BuiltUp {
    /// Each manifold.
    pub items: Vec<EstimatedItem>,
    /// Every line.
    pub lines: Vec<PriceLine>,
    /// What each line was made from.
    pub origins: Vec<LineOrigin>,
    /// Net, tax, gross.
    pub totals: Totals,
}

/// What a line of the build-up was made from.
#[derive(Debug, Clone, PartialEq)]
pub enum LineOrigin {
    /// A line of direct cost.
    Direct(Box<DirectLine>),
    /// Something added to the lines before it.
    Added(Added),
}

/// What is added to direct cost on the way to the price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Added {
    /// Small tools, on labour.
    SmallTools,
    /// Overhead.
    Overhead,
    /// Contingency as a share of cost with overhead.
    Contingency,
    /// Contingency out of the draws.
    Reserve,
    /// Profit.
    Profit,
    /// What lacks to the minimum charge.
    MinimumCharge,
    /// The discount.
    Discount,
    /// The rounding of unit prices.
    Rounding,
}

impl Added {
    const fn head(self) -> &'static str {
        match self {
            Self::SmallTools => "consumables",
            Self::Overhead => "overhead",
            Self::Contingency | Self::Reserve => "contingency",
            Self::Profit => "profit",
            Self::MinimumCharge => "minimum_charge",
            Self::Discount => "discount",
            Self::Rounding => "rounding",
        }
    }
}

/// Lines as they are added, with their running sum.
struct Tally<'a> {
    books: &'a Books<'a>,
    lines: Vec<PriceLine>,
    origins: Vec<LineOrigin>,
    sum: Decimal,
}

impl Tally<'_> {
    fn push(&mut self, line: PriceLine, origin: LineOrigin) {
        self.sum += line.amount;
        self.lines.push(line);
        self.origins.push(origin);
    }

    /// A line that is a sum of money rather than so many of something.
    fn add(&mut self, added: Added, text: String, amount: Decimal, basis: String) {
        let amount = self.books.shop.currency.round(amount);
        if !amount.is_zero() {
            let line = PriceLine {
                head: added.head().to_owned(),
                text,
                quantity: Decimal::ONE,
                unit: "sum".to_owned(),
                unit_price: amount,
                amount,
                basis,
            };
            self.push(line, LineOrigin::Added(added));
        }
    }

    fn add_share(&mut self, added: Added, text: &str, percent: Percent, of: (Decimal, &str)) {
        let (amount, named) = of;
        self.add(
            added,
            format!("{text}, {percent}"),
            percent.of(amount),
            format!("{percent} of {named} (shop setting)"),
        );
    }
}

/// Builds the price up.
pub fn build_up(
    schedule: &[Scheduled<'_>],
    direct: &[DirectLine],
    (hours, exposure): (&[BTreeMap<Operation, Decimal>], &Exposure),
    books: &Books<'_>,
) -> BuiltUp {
    let mut tally = Tally {
        books,
        lines: Vec::new(),
        origins: Vec::new(),
        sum: Decimal::ZERO,
    };
    add_cost(&mut tally, direct, exposure);
    add_profit(&mut tally, schedule.is_empty());
    let items = item_prices(schedule, direct, hours, (tally.sum, books));
    let net: Decimal = items.iter().map(|item| item.amount).sum();
    let rounding = net - tally.sum;
    tally.add(
        Added::Rounding,
        "rounding of unit prices".to_owned(),
        rounding,
        "the price of each manifold is rounded to the minor unit, so that unit price times quantity is exact".to_owned(),
    );
    let direct_heads = heads(direct.iter().map(|line| &line.line));
    let currency = books.shop.currency;
    BuiltUp {
        totals: totals(net, &direct_heads, (&books.shop.pricing, currency)),
        items,
        lines: tally.lines,
        origins: tally.origins,
    }
}

/// Direct cost, small tools, overhead and contingency.
fn add_cost(tally: &mut Tally<'_>, direct: &[DirectLine], exposure: &Exposure) {
    let pricing = &tally.books.shop.pricing;
    let labour = direct
        .iter()
        .filter(|line| line.line.head == LABOUR)
        .map(|line| line.line.amount)
        .sum();
    for line in direct {
        tally.push(
            line.line.clone(),
            LineOrigin::Direct(Box::new(line.clone())),
        );
    }
    let (tools, overhead) = (pricing.small_tools, pricing.overhead);
    tally.add_share(Added::SmallTools, "small tools", tools, (labour, "labour"));
    let cost = (tally.sum, "direct cost");
    tally.add_share(Added::Overhead, "overhead", overhead, cost);
    let with_overhead = (tally.sum, "cost with overhead");
    match pricing.contingency_level {
        None => {
            let contingency = pricing.contingency;
            let added = Added::Contingency;
            tally.add_share(added, "contingency", contingency, with_overhead);
        }
        Some(level) => {
            let amount = reserve(exposure, level, tally.books);
            let basis = format!(
                "cost with overhead that is not exceeded in {level} of 100 cases, less that of 50, over {DRAWS} draws with seed {SEED} (shop setting)"
            );
            tally.add(
                Added::Reserve,
                format!("contingency, P{level} less P50"),
                amount,
                basis,
            );
        }
    }
}

/// Profit, the minimum charge and the discount.
fn add_profit(tally: &mut Tally<'_>, is_empty: bool) {
    let pricing = &tally.books.shop.pricing;
    let setting = || "shop setting".to_owned();
    let profit = pricing.profit.on(tally.sum).unwrap_or_default();
    let named = format!("profit, {}", pricing.profit.spoken());
    tally.add(Added::Profit, named, profit, setting());
    let topped_up = (pricing.minimum_charge - tally.sum).max(Decimal::ZERO);
    if !is_empty {
        let named = "made up to the minimum charge".to_owned();
        tally.add(Added::MinimumCharge, named, topped_up, setting());
    }
    let discount = -pricing.discount.of(tally.sum);
    tally.add(
        Added::Discount,
        format!("discount, {}", pricing.discount),
        discount,
        format!("{} of the price (shop setting)", pricing.discount),
    );
}

fn item_prices(
    schedule: &[Scheduled<'_>],
    direct: &[DirectLine],
    hours: &[BTreeMap<Operation, Decimal>],
    (price, books): (Decimal, &Books<'_>),
) -> Vec<EstimatedItem> {
    let costs: Vec<Decimal> = (0..schedule.len())
        .map(|index| direct.iter().map(|line| line.share_of(index)).sum())
        .collect();
    let whole: Decimal = direct.iter().map(|line| line.line.amount).sum();
    let currency = books.shop.currency;
    schedule
        .iter()
        .enumerate()
        .map(|(index, item)| {
            let quantity = Decimal::from(item.manifold.quantity);
            let share = if whole.is_zero() {
                Decimal::ONE / Decimal::from(schedule.len())
            } else {
                costs[index] / whole
            };
            let unit_price = currency.round(price * share / quantity);
            EstimatedItem {
                mark: item.manifold.mark.clone(),
                quantity: item.manifold.quantity,
                hours: carried(hours[index].values().sum()),
                operations: hours[index]
                    .iter()
                    .map(|(operation, hours)| (*operation, carried(*hours)))
                    .collect(),
                cost: currency.round(costs[index]),
                unit_price,
                amount: unit_price * quantity,
            }
        })
        .collect()
}

/// Hours as they are shown.
fn carried(hours: Decimal) -> Decimal {
    hours.round_dp(4).normalize()
}

/// How costs become a price, in binary numbers: for the risk of them, which asks ten thousand times.
#[derive(Debug, Clone, Copy)]
pub struct PriceOf {
    tools: f64,
    overhead: f64,
    contingency: f64,
    profit: f64,
    minimum: f64,
    discount: f64,
}

impl PriceOf {
    /// As the shop prices.
    pub fn books(books: &Books<'_>) -> Self {
        let pricing = &books.shop.pricing;
        let share = |percent: Percent| to_f64(percent.share());
        Self {
            tools: share(pricing.small_tools),
            overhead: share(pricing.overhead),
            contingency: match pricing.contingency_level {
                // It is the risk itself, and would be counted twice.
                Some(_) => 0.0,
                None => share(pricing.contingency),
            },
            profit: pricing.profit.on(Decimal::ONE).map_or(0.0, to_f64),
            minimum: to_f64(pricing.minimum_charge),
            discount: share(pricing.discount),
        }
    }

    /// Cost with small tools and overhead, of material and of labour with burden.
    pub fn cost(&self, materials: f64, labour: f64) -> f64 {
        (materials + labour * (1.0 + self.tools)) * (1.0 + self.overhead)
    }

    /// The net price.
    pub fn price(&self, materials: f64, labour: f64) -> f64 {
        let before_profit = self.cost(materials, labour) * (1.0 + self.contingency);
        let price = (before_profit * (1.0 + self.profit)).max(self.minimum);
        price * (1.0 - self.discount)
    }
}

fn to_f64(decimal: Decimal) -> f64 {
    use rust_decimal::prelude::ToPrimitive;
    decimal.to_f64().unwrap_or(0.0)
}
