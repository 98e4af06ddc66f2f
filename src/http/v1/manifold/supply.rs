//! How a manifold is fed, as requests carry it.

use std::sync::Arc;

use super::duty::{number, positive_flow};
use super::{DesignPressureIn, Named, SizeIn};
use crate::http::v1::figures::Upto;
use crate::http::wire::{At, Faults, FlowRateIn, TemperatureIn, code, wire_enum, wire_struct};
use crate::trade::flow::fluid::{Fluid, Glycol};
use crate::trade::manifold::{Drive, Feed, LossMethod, ReturnHeader, ReturnPath, Supply};
use crate::trade::quantity::Pressure;
use crate::trade::tube::Tube;

wire_enum! {
    /// Where a header is fed.
    pub enum FeedName {
        /// At the first end.
        FirstEnd = "first_end",
        /// At the second end.
        SecondEnd = "second_end",
        /// At both ends, with the same head.
        BothEnds = "both_ends",
        /// Between the ends, at `feed_station`.
        Station = "station",
    }
}

wire_enum! {
    /// Which way the water goes back.
    pub enum ReturnPathName {
        /// The return header is drawn from where the supply header is fed.
        Direct = "direct",
        /// It is drawn from the other end.
        Reverse = "reverse",
    }
}

wire_enum! {
    /// What runs in the header.
    pub enum FluidName {
        /// Water.
        Water = "water",
        /// Water with propylene glycol.
        PropyleneGlycol = "propylene_glycol",
        /// Water with ethylene glycol. It is poisonous: never where drinking water may be touched.
        EthyleneGlycol = "ethylene_glycol",
    }
}

wire_enum! {
    /// How losses at the outlets are counted.
    pub enum LossMethodName {
        /// Loss factors of dividing and combining tees, with momentum.
        TeeFactors = "tee_factors",
        /// Lengths of tube that lose as much.
        EquivalentLengths = "equivalent_lengths",
    }
}

impl From<LossMethod> for LossMethodName {
    fn from(method: LossMethod) -> Self {
        match method {
            LossMethod::TeeFactors => Self::TeeFactors,
            LossMethod::EquivalentLengths => Self::EquivalentLengths,
        }
    }
}

wire_struct! {
    /// A return header beside the supply header, outlet for outlet at the same stations.
    #[example = {"path": "reverse", "tube": "b88-l-2"}]
    pub struct ReturnHeaderIn {
        /// Which way the water goes back.
        #[example = "reverse"]
        path: ReturnPathName,
        /// Its tube; the run's when not given.
        #[example = "b88-l-2"]
        tube: Option<Named<Tube>>,
    }
}

wire_struct! {
    /// How a manifold is fed: a `head`, a `pressure` or a `flow`, one of them. Head and pressure
    /// are total ones at the feed, above the discharge or above the return header's outlet.
    #[example = {"head": "15 ft"}]
    pub struct SupplyIn {
        /// Head at the feed.
        #[example = "15 ft"]
        head: Option<SizeIn>,
        /// The same as a pressure.
        #[example = "6.5 psi"]
        pressure: Option<DesignPressureIn>,
        /// All the flow that comes in.
        #[example = "36 gpm"]
        flow: Option<FlowRateIn>,
        /// Where it is fed; the one end that is not capped when not given.
        #[example = "second_end"]
        feed: Option<FeedName>,
        /// Where it is fed between the ends: from the first end's finished face.
        #[example = "16 in"]
        feed_station: Option<SizeIn>,
        /// The return header; without one the outlets discharge.
        return_header: Option<ReturnHeaderIn>,
        /// What runs; water when not given.
        #[example = "water"]
        fluid: Option<FluidName>,
        /// Share of glycol by mass, from 0 to 0.6.
        #[example = 0.3]
        glycol_share: Option<Upto<1>>,
        /// How warm it runs; the design temperature when not given.
        #[example = "160 degF"]
        temperature: Option<TemperatureIn>,
        /// How losses at the outlets are counted; by tee factors when not given.
        #[example = "tee_factors"]
        losses: Option<LossMethodName>,
    }
}

impl SupplyIn {
    /// The supply it describes, every fault reported under `at`.
    pub fn read(&self, at: &At<'_>, faults: &mut Faults) -> Option<Supply> {
        let drive = self.drive(at, faults);
        let feed = self.feed(at, faults);
        let fluid = self.fluid(at, faults);
        Some(Supply {
            drive: drive?,
            feed: feed?,
            back: self.return_header.as_ref().map(|back| ReturnHeader {
                path: match back.path {
                    ReturnPathName::Direct => ReturnPath::Direct,
                    ReturnPathName::Reverse => ReturnPath::Reverse,
                },
                tube: back.tube.as_ref().map(|tube| Arc::clone(tube.get())),
            }),
            fluid: fluid?,
            temperature: self.temperature.as_ref().map(TemperatureIn::get),
            losses: match self.losses {
                None | Some(LossMethodName::TeeFactors) => LossMethod::TeeFactors,
                Some(LossMethodName::EquivalentLengths) => LossMethod::EquivalentLengths,
            },
        })
    }

    fn drive(&self, at: &At<'_>, faults: &mut Faults) -> Option<Drive> {
        match (&self.head, &self.pressure, &self.flow) {
            (Some(head), None, None) => Some(Drive::Head(head.get())),
            (None, Some(pressure), None) if pressure.get() > Pressure::ZERO => {
                Some(Drive::Pressure(pressure.get()))
            }
            (None, Some(pressure), None) => {
                let at = at.field("pressure");
                let detail = format!(
                    "{} is {}; give a pressure above zero",
                    at.name(),
                    pressure.written()
                );
                faults.report(&at, code::OUT_OF_RANGE, detail);
                None
            }
            (None, None, Some(flow)) => {
                positive_flow(flow, &at.field("flow"), faults).map(Drive::Flow)
            }
            _ => {
                let detail = format!(
                    "{} needs a `head`, a `pressure` or a `flow`, one of them, for example {{\"head\": \"15 ft\"}}",
                    at.name()
                );
                faults.report(at, "one_of", detail);
                None
            }
        }
    }

    fn feed(&self, at: &At<'_>, faults: &mut Faults) -> Option<Option<Feed>> {
        let station = self.feed_station.as_ref().map(SizeIn::get);
        let end = match (self.feed, station) {
            (None, None) => return Some(None),
            (None | Some(FeedName::Station), Some(station)) => {
                return Some(Some(Feed::Station(station)));
            }
            (Some(FeedName::Station), None) => {
                let detail =
                    "`feed` is \"station\", so say where: `feed_station`, for example \"16 in\"";
                faults.report(&at.field("feed_station"), code::MISSING, detail);
                return None;
            }
            (Some(end), None) => end,
            (Some(_), Some(_)) => {
                let detail = "`feed_station` is for a `feed` of \"station\"; leave one of them out";
                faults.report(&at.field("feed_station"), "conflicting_fields", detail);
                return None;
            }
        };
        Some(Some(match end {
            FeedName::SecondEnd => Feed::SecondEnd,
            FeedName::BothEnds => Feed::BothEnds,
            FeedName::FirstEnd | FeedName::Station => Feed::FirstEnd,
        }))
    }

    fn fluid(&self, at: &At<'_>, faults: &mut Faults) -> Option<Fluid> {
        let glycol = match self.fluid {
            None | Some(FluidName::Water) => None,
            Some(FluidName::PropyleneGlycol) => Some(Glycol::Propylene),
            Some(FluidName::EthyleneGlycol) => Some(Glycol::Ethylene),
        };
        let at = at.field("glycol_share");
        match (glycol, &self.glycol_share) {
            (None, None) => Some(Fluid::Water),
            (Some(glycol), Some(share)) => Some(Fluid::Mixture {
                glycol,
                share: number(share),
            }),
            (Some(_), None) => {
                let detail =
                    "`glycol_share` is missing; give the glycol's share by mass, for example 0.3";
                faults.report(&at, code::MISSING, detail);
                None
            }
            (None, Some(_)) => {
                let detail = "`glycol_share` is given, but `fluid` names no glycol; say which";
                faults.report(&at, "conflicting_fields", detail);
                None
            }
        }
    }
}
