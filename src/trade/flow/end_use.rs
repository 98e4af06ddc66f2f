//! What the water meets between the header and its discharge, or the return header.

use super::GRAVITY;
use super::fluid::Liquid;
use super::friction::Bore;
use crate::trade::manifold::{DropPoint, EndUse, Loss, OutletDuty};
use crate::trade::quantity::{FlowCoefficient, FlowRate, Length, Pressure};

/// Density that flow coefficients are stated for, kg/m3 (IEC 60534-1).
const COEFFICIENT_DENSITY: f64 = 1000.0;

/// The branch of one outlet with what stands at its end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Branch {
    /// Its bore.
    pub bore: Bore,
    /// Length of tube from the run to the end use.
    length: Length,
    /// Loss factors on the branch's velocity head.
    factor: f64,
    /// What stands at its end.
    end_use: Passage,
    /// Where it goes on.
    beyond: Beyond,
    /// Density over that of flow coefficients.
    relative_density: f64,
    /// Pressure of a head of one metre.
    pascals_per_metre: f64,
}

/// An end use, its losses as heads.
#[derive(Debug, Clone, PartialEq)]
enum Passage {
    /// Nothing in the way.
    Clear,
    /// By its flow coefficient.
    Coefficient(FlowCoefficient),
    /// By points, the square of the flow outside them.
    Points(Vec<(FlowRate, Length)>),
}

impl Passage {
    fn of(end_use: Option<&EndUse>, pascals_per_metre: f64) -> Self {
        let point = |point: &DropPoint| match point.loss {
            Loss::Head(head) => (point.flow, head),
            Loss::Pressure(pressure) => (
                point.flow,
                Length::metres(pressure.in_pascals() / pascals_per_metre),
            ),
        };
        match end_use {
            None => Self::Clear,
            Some(EndUse::Coefficient(coefficient)) => Self::Coefficient(*coefficient),
            Some(EndUse::Drop(only)) => Self::Points(vec![point(only)]),
            Some(EndUse::Curve(points)) => Self::Points(points.iter().map(point).collect()),
        }
    }
}

/// Where a branch goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beyond {
    /// Into the open: its velocity head is lost.
    Discharge,
    /// Into an end use that discharges.
    EndUse,
    /// Through an end use and as much tube again into a return header.
    Return,
}

/// With the sign of the flow.
fn signed(loss: Length, flow: FlowRate) -> Length {
    if flow < FlowRate::ZERO { -loss } else { loss }
}

impl Branch {
    /// A branch of one outlet.
    pub fn new(
        bore: Bore,
        length: Length,
        duty: &OutletDuty,
        beyond: Beyond,
        liquid: &Liquid,
    ) -> Self {
        let density = liquid.density.in_kilograms_per_cubic_metre();
        Self {
            bore,
            length,
            factor: duty.loss_factor,
            end_use: Passage::of(duty.end_use.as_ref(), density * GRAVITY),
            beyond,
            relative_density: density / COEFFICIENT_DENSITY,
            pascals_per_metre: density * GRAVITY,
        }
    }

    /// Head lost from the header to the end use, with the sign of the flow.
    pub fn approach_loss(&self, flow: FlowRate) -> Length {
        let factors = self.bore.velocity_head(flow) * self.factor;
        self.bore.darcy_loss(flow, self.length) + signed(factors, flow)
    }

    /// Head lost behind the end use.
    fn departure_loss(&self, flow: FlowRate) -> Length {
        match self.beyond {
            Beyond::Discharge => signed(self.bore.velocity_head(flow), flow),
            Beyond::EndUse => Length::ZERO,
            Beyond::Return => self.bore.darcy_loss(flow, self.length),
        }
    }

    /// Head lost by what stands at the end, with the sign of the flow.
    pub fn end_use_loss(&self, flow: FlowRate) -> Length {
        let size = flow.abs();
        let loss = match &self.end_use {
            Passage::Clear => Length::ZERO,
            Passage::Coefficient(coefficient) => self.coefficient_loss(*coefficient, size),
            Passage::Points(points) => curve_loss(points, size),
        };
        signed(loss, flow)
    }

    /// All head lost from the header's branch leg on, to the discharge or the return header.
    pub fn loss(&self, flow: FlowRate) -> Length {
        self.approach_loss(flow) + self.end_use_loss(flow) + self.departure_loss(flow)
    }

    fn coefficient_loss(&self, coefficient: FlowCoefficient, flow: FlowRate) -> Length {
        let hourly = flow.in_cubic_metres_per_second() * 3600.0;
        let ratio = hourly / coefficient.in_kv();
        let pressure = Pressure::bar(self.relative_density * ratio * ratio);
        Length::metres(pressure.in_pascals() / self.pascals_per_metre)
    }

    /// The flow coefficient that loses a head at a flow; `None` when there is nothing to lose.
    pub fn coefficient_for(&self, flow: FlowRate, head: Length) -> Option<FlowCoefficient> {
        let pressure = Pressure::pascals(head.in_metres() * self.pascals_per_metre);
        let hourly = flow.in_cubic_metres_per_second() * 3600.0;
        (pressure > Pressure::ZERO && hourly > 0.0).then(|| {
            FlowCoefficient::kv(hourly * (self.relative_density / pressure.in_bar()).sqrt())
        })
    }
}

/// Between points a straight line; before the first and after the last the square of the flow.
fn curve_loss(points: &[(FlowRate, Length)], flow: FlowRate) -> Length {
    let square = |(at, head): (FlowRate, Length)| head * (flow / at).powi(2);
    let after = points.iter().position(|(at, _)| *at >= flow);
    match after {
        Some(0) => points.first().copied().map_or(Length::ZERO, square),
        None => points.last().copied().map_or(Length::ZERO, square),
        Some(place) => {
            let ((low, low_head), (high, high_head)) = (points[place - 1], points[place]);
            low_head + (high_head - low_head) * ((flow - low) / (high - low))
        }
    }
}
