//! How a manifold is fed, and what its outlets feed: what flow is worked out from.

use std::sync::Arc;

use crate::trade::flow::fluid::Fluid;
use crate::trade::quantity::{FlowCoefficient, FlowRate, Length, Pressure, Temperature};
use crate::trade::tube::Tube;

/// What drives the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive {
    /// Total head at the feed: above the discharge, or above the return header's outlet.
    Head(Length),
    /// The same as a pressure.
    Pressure(Pressure),
    /// All the flow that comes in.
    Flow(FlowRate),
}

/// Where the header is fed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Feed {
    /// At the first end.
    FirstEnd,
    /// At the second end.
    SecondEnd,
    /// At both ends, with the same head.
    BothEnds,
    /// At a point between the ends.
    Station(Length),
}

/// By which way the water goes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReturnPath {
    /// The return header is drawn from where the supply header is fed.
    Direct,
    /// It is drawn from the other end.
    Reverse,
}

/// A return header beside the supply header, outlet for outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct ReturnHeader {
    /// Which way the water goes back.
    pub path: ReturnPath,
    /// Its tube; the run's when not named.
    pub tube: Option<Arc<Tube>>,
}

/// How losses at the outlets are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LossMethod {
    /// Loss factors of dividing and combining tees, with momentum.
    TeeFactors,
    /// Lengths of tube that lose as much.
    EquivalentLengths,
}

/// How a manifold is fed.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// What drives the water.
    pub drive: Drive,
    /// Where it comes in; else the one end that is not capped.
    pub feed: Option<Feed>,
    /// The return header, when there is one; else the outlets discharge.
    pub back: Option<ReturnHeader>,
    /// What runs.
    pub fluid: Fluid,
    /// How warm it runs; else the design temperature.
    pub temperature: Option<Temperature>,
    /// How losses at the outlets are counted.
    pub losses: LossMethod,
}

impl Supply {
    /// Fed with a flow of water, and nothing else said.
    pub const fn of_flow(flow: FlowRate) -> Self {
        Self {
            drive: Drive::Flow(flow),
            feed: None,
            back: None,
            fluid: Fluid::Water,
            temperature: None,
            losses: LossMethod::TeeFactors,
        }
    }
}

/// What stands at the end of a branch.
#[derive(Debug, Clone, PartialEq)]
pub enum EndUse {
    /// A valve or device by its flow coefficient.
    Coefficient(FlowCoefficient),
    /// A drop that grows with the square of the flow, from one known point.
    Drop(DropPoint),
    /// A drop by points, flow and drop both rising.
    Curve(Vec<DropPoint>),
}

/// What an end use loses at one flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropPoint {
    /// The flow.
    pub flow: FlowRate,
    /// What is lost there.
    pub loss: Loss,
}

/// A loss, as a head or as a pressure of whatever runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Loss {
    /// As a head.
    Head(Length),
    /// As a pressure.
    Pressure(Pressure),
}

/// What an outlet feeds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OutletDuty {
    /// What stands at the end of the branch.
    pub end_use: Option<EndUse>,
    /// Further losses in the branch, valves and bends, on its velocity head.
    pub loss_factor: f64,
}
