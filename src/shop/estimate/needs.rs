//! What one manifold needs bought, in the codes of a price list.

use rust_decimal::Decimal;

use super::Scheduled;
use crate::shop::money::{Percent, exact};
use crate::shop::price_list::{
    BRAZING_CONSUMABLES, ItemKind, PriceUnit, SOLDERING_CONSUMABLES, manifold_code,
};
use crate::shop::settings::Pricing;
use crate::trade::joint::JointMethod;
use crate::trade::manifold::Build;
use crate::trade::quantity::{Length, Mass};

/// How much of a thing, in a form that any of its price units can be taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NeedAmount {
    /// Tube, net, and the stick it comes in.
    Tube {
        /// Net cut length.
        length: Length,
        /// Length of a stick.
        stick: Length,
    },
    /// Pieces.
    Pieces(u32),
    /// Filler that fills the gaps.
    Filler(Mass),
    /// Joints made.
    Joints(u32),
}

/// One thing needed.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialNeed {
    /// Its code in a price list.
    pub code: String,
    /// What it is.
    pub kind: ItemKind,
    /// How a person names it.
    pub text: String,
    /// How much.
    pub amount: NeedAmount,
}

impl MaterialNeed {
    /// Everything the manifolds of one schedule line need.
    pub fn of(item: &Scheduled<'_>) -> Vec<Self> {
        let manifold = item.manifold;
        let times = manifold.quantity;
        if manifold.build == Build::Purchased {
            return vec![Self {
                code: manifold_code(manifold),
                kind: ItemKind::Manifold,
                text: format!(
                    "bought manifold, {} with {} outlets",
                    manifold.run.tube.call_out(),
                    manifold.outlets.len()
                ),
                amount: NeedAmount::Pieces(times),
            }];
        }
        let mut needs: Vec<Self> = item
            .takeoff
            .tube_lengths()
            .into_iter()
            .map(|(tube, length)| Self {
                code: tube.id.clone(),
                kind: ItemKind::Tube,
                text: format!("tube {}", tube.call_out()),
                amount: NeedAmount::Tube {
                    length: length * f64::from(times),
                    stick: tube.stick,
                },
            })
            .collect();
        needs.extend(item.takeoff.fittings.iter().map(|(fitting, count)| Self {
            code: fitting.code(),
            kind: ItemKind::Fitting,
            text: fitting.call_out(),
            amount: NeedAmount::Pieces(count * times),
        }));
        needs.extend(joining_needs(item));
        needs
    }

    /// The net amount in a price unit, unrounded; `None` when the unit does not fit.
    pub fn net_in(&self, unit: PriceUnit) -> Option<Decimal> {
        Some(match (self.amount, unit) {
            (NeedAmount::Tube { length, .. }, PriceUnit::Foot) => exact(length.in_feet()),
            (NeedAmount::Tube { length, .. }, PriceUnit::Metre) => exact(length.in_metres()),
            (NeedAmount::Tube { length, stick }, PriceUnit::Stick) => exact(length / stick),
            (NeedAmount::Pieces(count), PriceUnit::Each) => Decimal::from(count),
            (NeedAmount::Filler(mass), PriceUnit::Pound) => exact(mass.in_pounds()),
            (NeedAmount::Filler(mass), PriceUnit::Kilogram) => exact(mass.in_kilograms()),
            (NeedAmount::Joints(count), PriceUnit::Joint) => Decimal::from(count),
            _ => return None,
        })
    }

    /// What is bought beyond the net amount, and what it is called; `None` for what is counted.
    pub const fn beyond(&self, pricing: &Pricing) -> Option<(&'static str, Percent)> {
        match self.amount {
            NeedAmount::Tube { .. } => Some(("waste", pricing.tube_waste)),
            NeedAmount::Filler(_) => Some(("allowance", pricing.filler_allowance)),
            NeedAmount::Pieces(_) | NeedAmount::Joints(_) => None,
        }
    }

    /// The amount to buy in a price unit, unrounded; `None` when the unit does not fit.
    pub fn in_unit(&self, unit: PriceUnit, pricing: &Pricing) -> Option<Decimal> {
        let beyond = self
            .beyond(pricing)
            .map_or(Percent::ZERO, |(_, share)| share);
        Some(self.net_in(unit)? * (Decimal::ONE + beyond.share()))
    }
}

fn joining_needs(item: &Scheduled<'_>) -> Vec<MaterialNeed> {
    let manifold = item.manifold;
    let Some(method) = manifold.build.joint_method() else {
        return Vec::new();
    };
    let joints = item.takeoff.joint_count() * manifold.quantity;
    if joints == 0 {
        return Vec::new();
    }
    let (code, text) = match method {
        JointMethod::Brazed => (BRAZING_CONSUMABLES, "gas, flux and brushes for brazing"),
        JointMethod::Soldered => (SOLDERING_CONSUMABLES, "gas, flux and brushes for soldering"),
    };
    vec![
        MaterialNeed {
            code: manifold.filler.id.clone(),
            kind: ItemKind::Filler,
            text: format!("filler {}", manifold.filler.id),
            amount: NeedAmount::Filler(item.takeoff.filler_mass() * f64::from(manifold.quantity)),
        },
        MaterialNeed {
            code: code.to_owned(),
            kind: ItemKind::Consumable,
            text: text.to_owned(),
            amount: NeedAmount::Joints(joints),
        },
    ]
}
