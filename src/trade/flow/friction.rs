//! Friction in tube: Darcy with Colebrook, and Hazen-Williams beside it.

use std::f64::consts::PI;

use super::GRAVITY;
use super::fluid::Liquid;
use crate::trade::quantity::{Area, FlowRate, Length, Velocity};

/// Roughness of drawn copper: 5e-6 ft (seen in the design tables of drawn tubing).
pub const DRAWN_COPPER: Length = Length::feet(5e-6);

/// Below this Reynolds number flow is laminar.
pub const LAMINAR_BELOW: f64 = 2300.0;
/// Above this Reynolds number flow is turbulent.
pub const TURBULENT_ABOVE: f64 = 4000.0;

/// Hazen-Williams coefficient of copper: 150 (from memory; published figures run from 130 to 150).
pub const HAZEN_WILLIAMS_C: f64 = 150.0;

/// Which correlation gave a friction factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Regime {
    /// Nothing flows.
    Still,
    /// 64 / Re.
    Laminar,
    /// Between laminar and turbulent no correlation holds: a straight line from one to the other.
    Transition,
    /// Colebrook's equation, solved.
    Turbulent,
}

impl Regime {
    /// Of a Reynolds number.
    pub fn of(reynolds: f64) -> Self {
        if reynolds < 1e-9 {
            Self::Still
        } else if reynolds < LAMINAR_BELOW {
            Self::Laminar
        } else if reynolds <= TURBULENT_ABOVE {
            Self::Transition
        } else {
            Self::Turbulent
        }
    }
}

/// Colebrook's friction factor (Darcy's, four times Fanning's) for a relative roughness, by
/// Newton's method on the inverse root of it; six steps leave nothing to gain.
pub fn colebrook(reynolds: f64, relative_roughness: f64) -> f64 {
    let rough = relative_roughness / 3.7;
    // Haaland's formula is within two per cent, and from there the steps double the digits.
    let mut root = -1.8 * (rough.powf(1.11) + 6.9 / reynolds).log10();
    for _ in 0..6 {
        let inside = rough + 2.51 * root / reynolds;
        let miss = root + 2.0 * inside.log10();
        let slope = 1.0 + 2.0 * 2.51 / (reynolds * inside * std::f64::consts::LN_10);
        let step = miss / slope;
        root -= step;
        if step.abs() < 1e-14 * root {
            break;
        }
    }
    1.0 / (root * root)
}

/// Darcy's friction factor at any Reynolds number above zero.
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    match Regime::of(reynolds) {
        Regime::Still => 0.0,
        Regime::Laminar => 64.0 / reynolds,
        Regime::Turbulent => colebrook(reynolds, relative_roughness),
        Regime::Transition => {
            let low = 64.0 / LAMINAR_BELOW;
            let high = colebrook(TURBULENT_ABOVE, relative_roughness);
            let way = (reynolds - LAMINAR_BELOW) / (TURBULENT_ABOVE - LAMINAR_BELOW);
            low + (high - low) * way
        }
    }
}

/// A round bore with a liquid in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bore {
    /// Its diameter.
    pub diameter: Length,
    /// Density of the liquid, kg/m3, over its viscosity, Pa s.
    inertia: f64,
}

impl Bore {
    /// A bore filled with a liquid.
    pub fn new(diameter: Length, liquid: &Liquid) -> Self {
        Self {
            diameter,
            inertia: liquid.density.in_kilograms_per_cubic_metre()
                / liquid.viscosity.in_pascal_seconds(),
        }
    }

    /// Its area.
    pub fn area(&self) -> Area {
        self.diameter * self.diameter * (PI / 4.0)
    }

    /// Mean velocity, with the sign of the flow.
    pub fn velocity(&self, flow: FlowRate) -> Velocity {
        flow / self.area()
    }

    /// Reynolds number, of either sense of flow.
    pub fn reynolds(&self, flow: FlowRate) -> f64 {
        self.velocity(flow).abs().in_metres_per_second() * self.diameter.in_metres() * self.inertia
    }

    /// Darcy's friction factor.
    pub fn friction_factor(&self, flow: FlowRate) -> f64 {
        friction_factor(self.reynolds(flow), DRAWN_COPPER / self.diameter)
    }

    /// Velocity head, always positive.
    pub fn velocity_head(&self, flow: FlowRate) -> Length {
        let velocity = self.velocity(flow).in_metres_per_second();
        Length::metres(velocity * velocity / (2.0 * GRAVITY))
    }

    /// Head lost along a length, with the sign of the flow: f L/D V|V|/2g.
    pub fn darcy_loss(&self, flow: FlowRate, length: Length) -> Length {
        let loss =
            self.velocity_head(flow) * (self.friction_factor(flow) * (length / self.diameter));
        if flow < FlowRate::ZERO { -loss } else { loss }
    }

    /// Head lost along a length by Hazen and Williams, with the sign of the flow:
    /// psi per foot = 4.52 Q^1.85 / (C^1.85 d^4.87), flow in US gal/min, bore in inches, for water
    /// at about 60 F (1 psi is 2.31 ft of it).
    pub fn hazen_williams_loss(&self, flow: FlowRate, length: Length) -> Length {
        let gpm = flow.abs().in_gallons_per_minute();
        let psi_per_foot = 4.52 * gpm.powf(1.85)
            / (HAZEN_WILLIAMS_C.powf(1.85) * self.diameter.in_inches().powf(4.87));
        let loss = Length::feet(psi_per_foot * length.in_feet() * FEET_PER_PSI);
        if flow < FlowRate::ZERO { -loss } else { loss }
    }
}

/// Feet of water at 60 F for one psi.
const FEET_PER_PSI: f64 = 2.31;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factor_has_no_jump() {
        for edge in [LAMINAR_BELOW, TURBULENT_ABOVE] {
            let below = friction_factor(edge * (1.0 - 1e-9), 1e-5);
            let above = friction_factor(edge * (1.0 + 1e-9), 1e-5);
            assert!((below / above - 1.0).abs() < 1e-6, "{edge}");
        }
    }
}
