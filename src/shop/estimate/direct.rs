//! Direct cost: lines for material and equipment, each with every item's share in it.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::hours::Portion;
use super::needs::MaterialNeed;
use super::stick_lines::stick_lines;
use super::sticks::Nested;
use super::{Books, Lacking, Scheduled, TUBE};
use crate::shop::labour::OperationTime;
use crate::shop::price_list::{ItemKind, PriceItem, PriceUnit};
use crate::shop::quote::PriceLine;

/// A line of direct cost, and how much of its quantity each item of the schedule causes.
#[derive(Debug, Clone, PartialEq)]
pub struct DirectLine {
    /// The line.
    pub line: PriceLine,
    /// Quantity by item, in the order of the schedule.
    pub shares: Vec<Decimal>,
    /// What the line was made from.
    pub origin: Origin,
}

/// What a line of direct cost was made from, for whoever wants it explained.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// Something bought, by item of the schedule.
    Bought {
        /// Who needs how much of it.
        needs: Vec<(usize, MaterialNeed)>,
        /// Its price.
        price: PriceItem,
    },
    /// Tube in whole sticks.
    Sticks {
        /// The sticks that the pieces lie in.
        nested: Nested,
        /// Length of a stick in the unit of the price.
        stick: Decimal,
        /// Its price.
        price: PriceItem,
    },
    /// Rests of sticks that are kept.
    Kept {
        /// Its price.
        price: PriceItem,
    },
    /// Hours of an operation.
    Hours {
        /// The shop's time.
        time: OperationTime,
        /// Who takes how much of it.
        portions: Vec<Portion>,
        /// Branch sizes the forming equipment is set to, where that is the operation.
        sizes: Option<u32>,
    },
    /// The charge for equipment.
    Equipment,
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
        let amount = need.in_unit(price.unit, pricing);
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
        origin: Origin::Bought {
            needs: needs.to_vec(),
            price: price.clone(),
        },
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
        origin: Origin::Equipment,
    })
}
