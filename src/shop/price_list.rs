//! Price lists: what the shop pays today for tube, fittings, filler and bought manifolds.

mod breaks;

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::money::{Currency, exact};
use crate::trade::manifold::Manifold;
use crate::trade::tube::Tube;

pub use breaks::{BreakFault, MOST_BREAKS, PriceBreak, PriceBreaks};

/// What an item is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ItemKind {
    /// Tube; its code is the tube id.
    Tube,
    /// A fitting: `tee-2x2x1`, `cap-2`, `coupling-2`.
    Fitting,
    /// Filler; its code is the class or alloy.
    Filler,
    /// Gas, flux, brushes and the like, by the joint.
    Consumable,
    /// A manifold bought ready-made; see [`manifold_code`].
    Manifold,
}

impl ItemKind {
    /// Every kind.
    pub const ALL: [Self; 5] = [
        Self::Tube,
        Self::Fitting,
        Self::Filler,
        Self::Consumable,
        Self::Manifold,
    ];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tube => "tube",
            Self::Fitting => "fitting",
            Self::Filler => "filler",
            Self::Consumable => "consumable",
            Self::Manifold => "manifold",
        }
    }

    /// The units such an item may be priced by.
    pub const fn units(self) -> &'static [PriceUnit] {
        match self {
            Self::Tube => &[PriceUnit::Foot, PriceUnit::Metre, PriceUnit::Stick],
            Self::Fitting | Self::Manifold => &[PriceUnit::Each],
            Self::Filler => &[PriceUnit::Pound, PriceUnit::Kilogram],
            Self::Consumable => &[PriceUnit::Joint],
        }
    }
}

/// What a price is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PriceUnit {
    /// A foot of tube.
    Foot,
    /// A metre of tube.
    Metre,
    /// A whole stick of tube.
    Stick,
    /// One piece.
    Each,
    /// A pound.
    Pound,
    /// A kilogram.
    Kilogram,
    /// One joint made.
    Joint,
}

impl PriceUnit {
    /// Every unit.
    pub const ALL: [Self; 7] = [
        Self::Foot,
        Self::Metre,
        Self::Stick,
        Self::Each,
        Self::Pound,
        Self::Kilogram,
        Self::Joint,
    ];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Foot => "ft",
            Self::Metre => "m",
            Self::Stick => "stick",
            Self::Each => "each",
            Self::Pound => "lb",
            Self::Kilogram => "kg",
            Self::Joint => "joint",
        }
    }
}

/// Code of what brazing a joint uses up besides filler.
pub const BRAZING_CONSUMABLES: &str = "brazing-consumables";
/// Code of what soldering a joint uses up besides solder.
pub const SOLDERING_CONSUMABLES: &str = "soldering-consumables";

/// The code of a bought manifold: `manifold:b88-l-2:6xb88-l-1`, rows in order of tube id.
pub fn manifold_code(manifold: &Manifold) -> String {
    let mut branches: BTreeMap<&str, u32> = BTreeMap::new();
    for outlet in &manifold.outlets {
        *branches.entry(&outlet.tube.id).or_insert(0) += 1;
    }
    let branches: Vec<String> = branches
        .iter()
        .map(|(tube, count)| format!("{count}x{tube}"))
        .collect();
    format!("manifold:{}:{}", manifold.run.tube.id, branches.join("+"))
}

/// One price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceItem {
    /// What it is ordered by; unique in a list, compared without case.
    pub code: String,
    /// What it is.
    pub kind: ItemKind,
    /// How a person names it.
    pub text: String,
    /// What the price is for.
    pub unit: PriceUnit,
    /// The price, zero or more.
    pub price: Decimal,
    /// Lower prices from a quantity on.
    pub breaks: PriceBreaks,
}

impl PriceItem {
    /// The price of one unit when so many are bought.
    pub fn price_at(&self, quantity: Decimal) -> Decimal {
        let reached = self.breaks.reached(quantity);
        reached.map_or(self.price, |one| one.price)
    }

    /// Which break a quantity reaches, in words that follow the name of the list; empty where
    /// there is none.
    pub fn break_basis(&self, quantity: Decimal) -> String {
        let reached = self.breaks.reached(quantity);
        reached.map_or_else(String::new, |one| {
            format!(", from {} {} on", one.from, self.unit.word())
        })
    }
}

/// What a stick of tube costs, whole, at the price of an item; `None` when the item is no tube.
pub fn stick_price(tube: &Tube, item: &PriceItem) -> Option<Decimal> {
    match item.unit {
        PriceUnit::Stick => Some(item.price),
        PriceUnit::Foot => Some(item.price * exact(tube.stick.in_feet())),
        PriceUnit::Metre => Some(item.price * exact(tube.stick.in_metres())),
        PriceUnit::Each | PriceUnit::Pound | PriceUnit::Kilogram | PriceUnit::Joint => None,
    }
}

/// A list of prices from a day on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceList {
    /// Its id, as text.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Who sells at these prices.
    pub supplier: String,
    /// Its currency.
    pub currency: Currency,
    /// The first day it holds.
    pub effective_on: Date,
    items: BTreeMap<String, PriceItem>,
}

impl PriceList {
    /// A list of items; a code that comes twice keeps its last price, so importers check first.
    pub fn new(heading: Heading, items: impl IntoIterator<Item = PriceItem>) -> Self {
        Self {
            id: heading.id,
            name: heading.name,
            supplier: heading.supplier,
            currency: heading.currency,
            effective_on: heading.effective_on,
            items: items
                .into_iter()
                .map(|item| (item.code.to_ascii_lowercase(), item))
                .collect(),
        }
    }

    /// The item of a code, in either case.
    pub fn item(&self, code: &str) -> Option<&PriceItem> {
        self.items.get(&code.to_ascii_lowercase())
    }

    /// Every item, by code.
    pub fn items(&self) -> impl Iterator<Item = &PriceItem> {
        self.items.values()
    }
}

/// What stands at the head of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// Its id, as text.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Who sells at these prices.
    pub supplier: String,
    /// Its currency.
    pub currency: Currency,
    /// The first day it holds.
    pub effective_on: Date,
}
