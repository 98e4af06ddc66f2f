//! What an outlet feeds, as requests carry it.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::{DesignPressureIn, OutletRowIn, SizeIn};
use crate::http::v1::figures::Upto;
use crate::http::wire::{At, Faults, FlowRateIn, List, code, wire_struct};
use crate::trade::manifold::{DropPoint, EndUse, Loss, OutletDuty};
use crate::trade::quantity::{FlowCoefficient, FlowRate};

/// Largest flow coefficient and loss factor taken.
pub const MOST_COEFFICIENT: i64 = 100_000;
/// Most points of a curve.
pub const MOST_POINTS: usize = 40;

wire_struct! {
    /// What an end use loses at one flow: a head or a pressure.
    #[example = {"flow": "6 gpm", "head": "4 ft"}]
    pub struct DropIn {
        /// The flow.
        #[example = "6 gpm"]
        flow: FlowRateIn,
        /// Head lost there.
        #[example = "4 ft"]
        head: Option<SizeIn>,
        /// The same as a pressure; give one of them.
        #[example = "1.7 psi"]
        pressure: Option<DesignPressureIn>,
    }
}

impl DropIn {
    fn read(&self, at: &At<'_>, faults: &mut Faults) -> Option<DropPoint> {
        let flow = positive_flow(&self.flow, &at.field("flow"), faults);
        let loss = match (&self.head, &self.pressure) {
            (Some(head), None) => Some(Loss::Head(head.get())),
            (None, Some(pressure)) => Some(Loss::Pressure(pressure.get())),
            _ => {
                let detail = format!("{} needs a `head` or a `pressure`, one of them", at.name());
                faults.report(at, "one_of", detail);
                None
            }
        };
        Some(DropPoint {
            flow: flow?,
            loss: loss?,
        })
    }
}

/// A flow above zero.
pub(super) fn positive_flow(
    flow: &FlowRateIn,
    at: &At<'_>,
    faults: &mut Faults,
) -> Option<FlowRate> {
    if flow.get() > FlowRate::ZERO {
        return Some(flow.get());
    }
    let detail = format!(
        "{} is {}; give a flow above zero",
        at.name(),
        flow.written()
    );
    faults.report(at, code::OUT_OF_RANGE, detail);
    None
}

impl OutletRowIn {
    /// What the outlets of this row feed.
    pub fn duty(&self, at: &At<'_>, faults: &mut Faults) -> OutletDuty {
        if let Some(flow) = &self.flow {
            positive_flow(flow, &at.field("flow"), faults);
        }
        let given = [
            self.cv.is_some(),
            self.kv.is_some(),
            self.drop.is_some(),
            self.curve.is_some(),
        ];
        if given.into_iter().filter(|given| *given).count() > 1 {
            let detail = format!(
                "{} has several of `cv`, `kv`, `drop` and `curve`; give one of them",
                at.name()
            );
            faults.report(at, "one_of", detail);
        }
        OutletDuty {
            end_use: self.end_use(at, faults),
            loss_factor: self.loss_factor.as_ref().map_or(0.0, number),
        }
    }

    fn end_use(&self, at: &At<'_>, faults: &mut Faults) -> Option<EndUse> {
        if let Some(cv) = &self.cv {
            let cv = above_zero(cv, &at.field("cv"), faults)?;
            return Some(EndUse::Coefficient(FlowCoefficient::cv(cv)));
        }
        if let Some(kv) = &self.kv {
            let kv = above_zero(kv, &at.field("kv"), faults)?;
            return Some(EndUse::Coefficient(FlowCoefficient::kv(kv)));
        }
        if let Some(drop) = &self.drop {
            return drop.read(&at.field("drop"), faults).map(EndUse::Drop);
        }
        let curve = self.curve.as_ref()?;
        points(curve, &at.field("curve"), faults).map(EndUse::Curve)
    }
}

fn points<const MAX: usize>(
    curve: &List<DropIn, MAX>,
    at: &At<'_>,
    faults: &mut Faults,
) -> Option<Vec<DropPoint>> {
    let points: Option<Vec<DropPoint>> = curve
        .as_slice()
        .iter()
        .enumerate()
        .map(|(index, point)| point.read(&at.index(index), faults))
        .collect();
    let points = points?;
    if points.windows(2).all(|pair| rises(pair[0], pair[1])) {
        return Some(points);
    }
    let detail = format!(
        "the points of {} must rise, in flow and in loss, all as `head` or all as `pressure`; sort them and mend the ones that do not",
        at.name()
    );
    faults.report(at, "not_rising", detail);
    None
}

fn rises(one: DropPoint, next: DropPoint) -> bool {
    let more = match (one.loss, next.loss) {
        (Loss::Head(one), Loss::Head(next)) => next > one,
        (Loss::Pressure(one), Loss::Pressure(next)) => next > one,
        _ => false,
    };
    more && next.flow > one.flow
}

/// The number as the trade takes it.
pub fn number<const MAX: i64>(number: &Upto<MAX>) -> f64 {
    number.get().to_f64().unwrap_or_default()
}

fn above_zero<const MAX: i64>(given: &Upto<MAX>, at: &At<'_>, faults: &mut Faults) -> Option<f64> {
    if given.get() > Decimal::ZERO {
        return Some(number(given));
    }
    let detail = format!(
        "{} is 0, which lets nothing through; give one above zero",
        at.name()
    );
    faults.report(at, code::OUT_OF_RANGE, detail);
    None
}
