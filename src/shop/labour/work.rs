//! What one manifold asks of the bench.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::operation::Operation;
use crate::shop::money::exact;
use crate::trade::joint::JointMethod;
use crate::trade::manifold::{Build, EndKind, Manifold};
use crate::trade::service::Service;
use crate::trade::takeoff::Takeoff;

/// How often an operation is done, and its driver added up over those times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Amount {
    /// How often.
    pub count: u32,
    /// Inches, litres or kilograms, as the operation's driver says.
    pub driver: Decimal,
}

/// The work of one manifold, by operation.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Work(BTreeMap<Operation, Amount>);

impl Work {
    /// What a manifold asks for; a bought one asks for nothing.
    pub fn of(manifold: &Manifold, takeoff: &Takeoff) -> Self {
        let mut work = Self::default();
        if manifold.build == Build::Purchased {
            return work;
        }
        work.preparing(manifold, takeoff);
        work.forming(manifold, takeoff);
        work.joining(manifold, takeoff);
        work.finishing(manifold, takeoff);
        work
    }

    /// Operations with their amounts, in the order of the work.
    pub fn amounts(&self) -> impl Iterator<Item = (Operation, Amount)> + '_ {
        self.0
            .iter()
            .map(|(operation, amount)| (*operation, *amount))
    }

    /// The amount of one operation.
    pub fn amount(&self, operation: Operation) -> Amount {
        self.0.get(&operation).copied().unwrap_or_default()
    }

    fn add(&mut self, operation: Operation, count: u32, driver_each: f64) {
        if count > 0 {
            let amount = self.0.entry(operation).or_default();
            amount.count += count;
            amount.driver += exact(driver_each) * Decimal::from(count);
        }
    }

    fn preparing(&mut self, manifold: &Manifold, takeoff: &Takeoff) {
        self.add(Operation::MarkOut, manifold.outlets.len() as u32, 0.0);
        for piece in &takeoff.layout.pieces {
            let od = piece.tube.od.in_inches();
            self.add(Operation::Cut, piece.count, od);
            self.add(Operation::Deburr, piece.count * 2, od);
        }
    }

    fn forming(&mut self, manifold: &Manifold, takeoff: &Takeoff) {
        for (outlet, _) in manifold.outlets.iter().zip(&takeoff.layout.formed) {
            self.add(Operation::FormCollar, 1, outlet.tube.od.in_inches());
            self.add(Operation::NotchAndDimple, 1, 0.0);
            // Counted by collar here; the estimate charges it once for each branch size of a batch.
            self.add(Operation::FormingSetUp, 1, 0.0);
        }
    }

    fn joining(&mut self, manifold: &Manifold, takeoff: &Takeoff) {
        for joints in &takeoff.joints {
            let od = joints.tube.od.in_inches();
            let torch = match joints.method {
                JointMethod::Brazed => Operation::Braze,
                JointMethod::Soldered => Operation::Solder,
            };
            self.add(Operation::Clean, joints.count, od);
            self.add(Operation::FitAndSupport, joints.count, 0.0);
            self.add(torch, joints.count, od);
            self.add(Operation::CoolAndWash, joints.count, 0.0);
            self.add(Operation::Inspect, joints.count, 0.0);
        }
        let closed = manifold
            .run
            .ends
            .iter()
            .filter(|end| **end != EndKind::Plain)
            .count();
        self.add(Operation::CloseEnd, closed as u32, 0.0);
    }

    fn finishing(&mut self, manifold: &Manifold, takeoff: &Takeoff) {
        if manifold.service == Service::MedicalGas {
            self.add(Operation::PurgeSetUp, 1, 0.0);
        }
        self.add(Operation::PressureTest, 1, takeoff.contents.in_litres());
        self.add(Operation::LabelAndPack, 1, 0.0);
        self.add(Operation::Handle, 1, takeoff.mass.in_kilograms());
    }
}
