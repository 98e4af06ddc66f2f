//! What is asked of a manifold in words, with figures in the units of a shop.

use crate::shop::quote::describe;
use crate::shop::settings::{Shop, Units};
use crate::trade::flow::fluid::Fluid;
use crate::trade::manifold::{
    Drive, DropPoint, EndUse, Feed, Loss, LossMethod, ReturnPath, Supply,
};
use crate::trade::quantity::{Angle, FlowCoefficient, FlowRate, Length, Pressure, Temperature};
use crate::trade::tube::Tube;

/// How figures are written.
#[derive(Clone, Copy)]
pub(super) struct Figures<'a> {
    shop: &'a Shop,
    /// Told apart to the last figure anybody gives; else as they are read on a tape or gauge.
    is_exact: bool,
}

impl<'a> Figures<'a> {
    /// As they are read, and as the papers show them.
    pub(super) const fn read(shop: &'a Shop) -> Self {
        Self {
            shop,
            is_exact: false,
        }
    }

    /// Such that what differs looks different.
    pub(super) const fn exact(shop: &'a Shop) -> Self {
        Self {
            shop,
            is_exact: true,
        }
    }

    /// The first of imperial, the second of metric.
    fn in_units(&self, imperial: (f64, &str), metric: (f64, &str), decimals: usize) -> String {
        let (value, unit) = match self.shop.units {
            Units::Imperial => imperial,
            Units::Metric => metric,
        };
        format!("{} {unit}", self.number(value, decimals))
    }

    /// Without the zeros that say nothing; two decimals more where it is exact.
    pub(super) fn number(&self, value: f64, decimals: usize) -> String {
        let decimals = decimals + if self.is_exact { 2 } else { 0 };
        let text = format!("{value:.decimals$}");
        let text = match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.'),
            false => &text,
        };
        let text = if text == "-0" { "0" } else { text };
        self.shop.style.decimal_mark.written(text.to_owned())
    }

    pub(super) fn length(&self, length: Length) -> String {
        match self.is_exact {
            true => self.diameter(length),
            false => describe::length(length, self.shop.units),
        }
    }

    /// A length too small for a tape.
    pub(super) fn diameter(&self, length: Length) -> String {
        let millimetres = (length.in_millimetres(), "mm");
        self.in_units((length.in_inches(), "in"), millimetres, 3)
    }

    pub(super) fn pressure(&self, pressure: Pressure) -> String {
        match self.is_exact {
            true => self.in_units((pressure.in_psi(), "psi"), (pressure.in_bar(), "bar"), 2),
            false => describe::in_shop_units(pressure, self.shop),
        }
    }

    pub(super) fn temperature(&self, temperature: Temperature) -> String {
        let (imperial, metric) = (temperature.in_fahrenheit(), temperature.in_celsius());
        self.in_units((imperial, "°F"), (metric, "°C"), 0)
    }

    pub(super) fn tube(&self, tube: &Tube) -> String {
        let size = describe::size(tube, self.shop);
        match self.is_exact {
            true => format!("{size} ({})", tube.id),
            false => size,
        }
    }

    pub(super) fn angle(&self, angle: Angle) -> String {
        format!("{} deg", self.number(angle.in_degrees(), 0))
    }

    pub(super) fn flow(&self, flow: FlowRate) -> String {
        let metric = (flow.in_litres_per_second(), "L/s");
        self.in_units((flow.in_gallons_per_minute(), "gpm"), metric, 2)
    }

    fn head(&self, head: Length) -> String {
        self.in_units((head.in_feet(), "ft"), (head.in_metres(), "m"), 2)
    }

    fn coefficient(&self, coefficient: FlowCoefficient) -> String {
        match self.shop.units {
            Units::Imperial => format!("Cv {}", self.number(coefficient.in_cv(), 2)),
            Units::Metric => format!("Kv {}", self.number(coefficient.in_kv(), 2)),
        }
    }

    fn drop(&self, point: &DropPoint) -> String {
        let loss = match point.loss {
            Loss::Head(head) => self.head(head),
            Loss::Pressure(pressure) => self.pressure(pressure),
        };
        format!("a loss of {loss} at {}", self.flow(point.flow))
    }

    /// What stands at the end of a branch.
    pub(super) fn end_use(&self, end_use: &EndUse) -> String {
        match end_use {
            EndUse::Coefficient(coefficient) => self.coefficient(*coefficient),
            EndUse::Drop(point) => self.drop(point),
            EndUse::Curve(points) => {
                let points: Vec<String> = points.iter().map(|point| self.drop(point)).collect();
                points.join(", ")
            }
        }
    }

    /// How a manifold is fed.
    pub(super) fn supply(&self, supply: &Supply) -> String {
        let mut parts = vec![match supply.drive {
            Drive::Head(head) => format!("a head of {}", self.head(head)),
            Drive::Pressure(pressure) => format!("a pressure of {}", self.pressure(pressure)),
            Drive::Flow(flow) => format!("a flow of {}", self.flow(flow)),
        }];
        parts.extend(supply.feed.map(|feed| match feed {
            Feed::FirstEnd => "fed at the first end".to_owned(),
            Feed::SecondEnd => "fed at the second end".to_owned(),
            Feed::BothEnds => "fed at both ends".to_owned(),
            Feed::Station(station) => format!("fed at {}", self.length(station)),
        }));
        parts.extend(supply.back.as_ref().map(|back| {
            let path = match back.path {
                ReturnPath::Direct => "direct return",
                ReturnPath::Reverse => "reverse return",
            };
            let tube = back.tube.as_ref();
            tube.map_or_else(
                || path.to_owned(),
                |tube| format!("{path} in {}", self.tube(tube)),
            )
        }));
        parts.push(supply.fluid.spoken());
        if let (Fluid::Mixture { share, .. }, true) = (supply.fluid, self.is_exact) {
            parts.push(format!("{} % exactly", self.number(share * 100.0, 0)));
        }
        let warm = supply.temperature;
        parts.extend(warm.map(|warm| format!("running at {}", self.temperature(warm))));
        parts.push(match supply.losses {
            LossMethod::TeeFactors => "losses by tee factors".to_owned(),
            LossMethod::EquivalentLengths => "losses by equivalent lengths".to_owned(),
        });
        parts.join(", ")
    }
}
