//! From a manifold and its supply to a network, or to every reason why not.

use std::f64::consts::PI;
use std::sync::Arc;

use super::end_use::{Beyond, Branch};
use super::fluid::{Liquid, NoLiquid};
use super::friction::Bore;
use super::line::{Line, Offtake, TeeLengths};
use super::{GRAVITY, tee::Tee};
use crate::trade::manifold::{
    Build, DesignFault, Drive, EndKind, Feed, LossMethod, Manifold, Outlet, ReturnPath, Supply,
};
use crate::trade::quantity::{FlowRate, Length, Pressure};
use crate::trade::service::Service;
use crate::trade::tube::Tube;

/// Fixed flows may miss the given total by this part of it.
const AGREEMENT: f64 = 0.005;

/// What a case rests on that nobody said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Assumed {
    /// Tee factors stand in for collars.
    CollarAsTee,
    /// Fed at the first end, since both are open.
    FedAtFirstEnd,
    /// Outlets without flow or end use discharge freely.
    OpenOutlets,
    /// A return header of the run's tube.
    ReturnAsRun,
    /// Tee factors for water that meets in a branch or parts from it.
    MeetingFlows,
}

impl Assumed {
    /// A sentence for people.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::CollarAsTee => {
                "no loss figure of a formed collar is openly published; that of a tee stands in for it"
            }
            Self::FedAtFirstEnd => {
                "both ends are open and nothing says where it is fed: the first end was taken"
            }
            Self::OpenOutlets => {
                "an outlet without flow, cv, kv, drop or curve was taken to discharge freely, losing its velocity head"
            }
            Self::MeetingFlows => {
                "where water meets in a branch from both sides, or parts from it to both, no factor is published; the factor of a tee whose branch takes all the flow stands in"
            }
            Self::ReturnAsRun => "the return header was taken to be of the run's tube",
        }
    }
}

/// What the network is driven by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Driven {
    /// A head, m.
    Head(f64),
    /// A flow, m3/s.
    Flow(f64),
}

/// A manifold ready to be solved for flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What runs in it.
    pub liquid: Liquid,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
    /// How losses at the outlets are counted.
    pub losses: LossMethod,
    pub(super) driven: Driven,
    pub(super) supply: Line,
    pub(super) back: Option<Line>,
    pub(super) branches: Vec<Branch>,
    /// Flow wanted from each outlet.
    pub(super) wanted: Vec<Option<FlowRate>>,
    /// Whether the outlet takes just that, whatever the head.
    pub(super) fixed: Vec<bool>,
}

impl Case {
    /// The network of a manifold.
    ///
    /// # Errors
    /// Everything that keeps its flow from being worked out, each with a pointer into it.
    pub fn of(manifold: &Manifold) -> Result<Self, Vec<DesignFault>> {
        let Some(supply) = &manifold.supply else {
            return Err(vec![fault(
                "/supply",
                "missing_field",
                "nothing says what drives the water; give \"supply\" with a \"head\", a \"pressure\" or a \"flow\", for example {\"head\": \"15 ft\"}",
            )]);
        };
        let mut faults = Vec::new();
        let mut assumed = Vec::new();
        service(manifold, &mut faults);
        let liquid = liquid(manifold, supply, &mut faults);
        let feeds = feeds(manifold, supply, &mut assumed, &mut faults);
        judge_flows(manifold, supply, &mut assumed, &mut faults);
        let (Some(liquid), Some(feeds), true) = (liquid, feeds, faults.is_empty()) else {
            return Err(faults);
        };
        if supply.back.as_ref().is_some_and(|back| back.tube.is_none()) {
            assumed.push(Assumed::ReturnAsRun);
        }
        if manifold.build == Build::FormedOutlets {
            assumed.push(Assumed::CollarAsTee);
        }
        assumed.sort_unstable();
        assumed.dedup();
        Ok(network(manifold, supply, liquid, feeds).with(assumed))
    }

    /// Total head of a pressure of this liquid.
    pub(super) fn head_of(&self, pressure: Pressure) -> Length {
        Length::metres(pressure.in_pascals() / self.pascals_per_metre())
    }

    /// Pressure of a head of this liquid.
    pub(super) fn pressure_of(&self, head: Length) -> Pressure {
        Pressure::pascals(head.in_metres() * self.pascals_per_metre())
    }

    fn pascals_per_metre(&self) -> f64 {
        self.liquid.density.in_kilograms_per_cubic_metre() * GRAVITY
    }

    fn with(mut self, assumed: Vec<Assumed>) -> Self {
        self.assumed = assumed;
        self
    }
}

fn fault(pointer: impl Into<String>, code: &'static str, detail: impl Into<String>) -> DesignFault {
    DesignFault {
        pointer: pointer.into(),
        code,
        detail: detail.into(),
    }
}

fn service(manifold: &Manifold, faults: &mut Vec<DesignFault>) {
    let liquid = match manifold.service {
        Service::PotableCold
        | Service::PotableHot
        | Service::HydronicHeating
        | Service::ChilledWater
        | Service::FireSprinkler
        | Service::Other => true,
        Service::CompressedAir
        | Service::MedicalGas
        | Service::FuelGas
        | Service::Drainage
        | Service::Refrigerant
        | Service::SaturatedSteam => false,
    };
    if !liquid {
        faults.push(fault(
            "/service",
            "not_a_full_liquid",
            format!(
                "flow is worked out for water and water with glycol in full tube, not for {}",
                manifold.service.spoken()
            ),
        ));
    }
}

fn liquid(manifold: &Manifold, supply: &Supply, faults: &mut Vec<DesignFault>) -> Option<Liquid> {
    let temperature = supply.temperature.unwrap_or(manifold.design_temperature);
    let pointer = match supply.temperature {
        Some(_) => "/supply/temperature",
        None => "/design_temperature",
    };
    let said = format!("{:.0} degF", temperature.in_fahrenheit());
    let why = match supply.fluid.at(temperature, manifold.design_pressure) {
        Ok(liquid) => return Some(liquid),
        Err(why) => why,
    };
    let name = supply.fluid.spoken();
    faults.push(match why {
        NoLiquid::Freezes { freezing } => fault(
            pointer,
            "freezes",
            format!(
                "stop: at {said} {name} freezes; it begins to at {:.1} degF, so run it warmer or add glycol",
                freezing.in_fahrenheit()
            ),
        ),
        NoLiquid::Boils { needs } => fault(
            pointer,
            "boils",
            format!(
                "stop: at {said} and {:.1} psi {name} boils; it needs more than {:.1} psi to stay liquid, so raise the pressure or lower the temperature",
                manifold.design_pressure.in_psi(),
                needs.in_psi()
            ),
        ),
        NoLiquid::AboveTable { limit } => fault(
            pointer,
            "above_table",
            format!(
                "{said} is hotter than the figures of {name} reach; give at most {:.0} degF",
                limit.in_fahrenheit()
            ),
        ),
        NoLiquid::ShareAboveTable { limit } => fault(
            "/supply/glycol_share",
            "above_table",
            format!("the figures of glycol reach a share of {limit} by mass; give at most that"),
        ),
    });
    None
}

/// Stations where the supply header is fed.
fn feeds(
    manifold: &Manifold,
    supply: &Supply,
    assumed: &mut Vec<Assumed>,
    faults: &mut Vec<DesignFault>,
) -> Option<Vec<Length>> {
    let open = manifold.run.ends.map(|end| end != EndKind::Cap);
    let feed = match (supply.feed, open) {
        (Some(feed), _) => feed,
        (None, [true, false]) => Feed::FirstEnd,
        (None, [false, true]) => Feed::SecondEnd,
        (None, [true, true]) => {
            assumed.push(Assumed::FedAtFirstEnd);
            Feed::FirstEnd
        }
        (None, [false, false]) => {
            faults.push(fault(
                "/supply/feed",
                "missing_field",
                "both ends are capped, so say where it is fed: \"feed\": \"station\" with \"feed_station\"",
            ));
            return None;
        }
    };
    let (first, second) = (Length::ZERO, manifold.run.length);
    let (stations, capped) = match feed {
        Feed::FirstEnd => (vec![first], !open[0]),
        Feed::SecondEnd => (vec![second], !open[1]),
        Feed::BothEnds => (vec![first, second], !open[0] || !open[1]),
        Feed::Station(station) => {
            if station <= first || station >= second {
                faults.push(fault(
                    "/supply/feed_station",
                    "outside_run",
                    format!(
                        "the feed stands at {:.2} in and the run is {:.2} in long; place it between the ends",
                        station.in_inches(),
                        second.in_inches()
                    ),
                ));
                return None;
            }
            (vec![station], false)
        }
    };
    if capped {
        faults.push(fault(
            "/supply/feed",
            "fed_through_cap",
            "the feed stands at an end that is capped; open that end or feed it elsewhere",
        ));
        return None;
    }
    Some(stations)
}

/// Whether flows, drives and end uses go together.
fn judge_flows(
    manifold: &Manifold,
    supply: &Supply,
    assumed: &mut Vec<Assumed>,
    faults: &mut Vec<DesignFault>,
) {
    let mut rows_judged = Vec::new();
    for outlet in &manifold.outlets {
        if outlet.flow.is_some()
            || outlet.duty.end_use.is_some()
            || rows_judged.contains(&outlet.row)
        {
            continue;
        }
        rows_judged.push(outlet.row);
        if supply.back.is_some() {
            faults.push(fault(
                format!("/outlets/{}", outlet.row),
                "no_resistance",
                "nothing stands between supply and return at this outlet, so the water would run round it without limit; give its flow, cv, kv, drop or curve",
            ));
        } else {
            assumed.push(Assumed::OpenOutlets);
        }
    }
    let Drive::Flow(total) = supply.drive else {
        return;
    };
    let fixed: FlowRate = manifold
        .outlets
        .iter()
        .filter(|it| is_fixed(it))
        .filter_map(|it| it.flow)
        .sum();
    let all_fixed = manifold.outlets.iter().all(is_fixed);
    let (given, sum) = (total.in_gallons_per_minute(), fixed.in_gallons_per_minute());
    if all_fixed && (fixed - total).abs() > total.abs() * AGREEMENT {
        faults.push(fault(
            "/supply/flow",
            "flows_do_not_sum",
            format!("{given:.2} gpm comes in and the outlets take {sum:.2} gpm in all; make them agree, or give cv or drop where the flow may settle by itself"),
        ));
    } else if !all_fixed && fixed >= total {
        faults.push(fault(
            "/supply/flow",
            "flows_do_not_sum",
            format!("{given:.2} gpm comes in, and the outlets of fixed flow alone take {sum:.2} gpm, which leaves nothing for the others"),
        ));
    }
}

/// An outlet whose flow is all that is known takes just that flow.
fn is_fixed(outlet: &Outlet) -> bool {
    outlet.flow.is_some() && outlet.duty.end_use.is_none()
}

/// Lengths that lose as much as a tee: 60 bores of the branch to it, 20 bores of the run straight
/// on, the stricter end of the published 12 to 20 (equivalent L/D of tees, seen).
fn tee_lengths(run: &Tube, branch: &Tube) -> TeeLengths {
    TeeLengths {
        branch: branch.bore() * 60.0,
        run: run.bore() * 20.0,
    }
}

fn network(manifold: &Manifold, supply: &Supply, liquid: Liquid, feeds: Vec<Length>) -> Case {
    let length = manifold.run.length;
    let line =
        |tube: &Tube, ports: Vec<Length>| header(manifold, tube, ports, (&liquid, supply.losses));
    let back = supply.back.as_ref().map(|back| {
        let ports = match back.path {
            ReturnPath::Direct => feeds.clone(),
            ReturnPath::Reverse => opposite(&feeds, length),
        };
        line(back.tube.as_ref().unwrap_or(&manifold.run.tube), ports)
    });
    let branches = manifold
        .outlets
        .iter()
        .map(|outlet| branch(outlet, supply.back.is_some(), &liquid))
        .collect();
    let mut case = Case {
        driven: Driven::Head(0.0),
        assumed: Vec::new(),
        losses: supply.losses,
        supply: line(&manifold.run.tube, feeds),
        back,
        branches,
        wanted: manifold.outlets.iter().map(|it| it.flow).collect(),
        fixed: manifold.outlets.iter().map(is_fixed).collect(),
        liquid,
    };
    case.driven = match supply.drive {
        Drive::Head(head) => Driven::Head(head.in_metres()),
        Drive::Pressure(pressure) => Driven::Head(case.head_of(pressure).in_metres()),
        Drive::Flow(flow) => Driven::Flow(flow.in_cubic_metres_per_second()),
    };
    case
}

fn header(
    manifold: &Manifold,
    tube: &Tube,
    ports: Vec<Length>,
    (liquid, losses): (&Liquid, LossMethod),
) -> Line {
    let bore = Bore::new(tube.bore(), liquid);
    let offtakes = manifold.outlets.iter();
    Line {
        bore,
        ports,
        offtakes: offtakes
            .map(|outlet| {
                let branch = Bore::new(outlet.tube.bore(), liquid);
                Offtake {
                    station: outlet.station,
                    tee: Tee::new(&bore, &branch),
                    branch,
                    lengths: (losses == LossMethod::EquivalentLengths)
                        .then(|| tee_lengths(tube, &outlet.tube)),
                }
            })
            .collect(),
    }
}

fn branch(outlet: &Outlet, returns: bool, liquid: &Liquid) -> Branch {
    let beyond = match (returns, outlet.duty.end_use.is_some() || is_fixed(outlet)) {
        (true, _) => Beyond::Return,
        (false, true) => Beyond::EndUse,
        (false, false) => Beyond::Discharge,
    };
    let bore = Bore::new(outlet.tube.bore(), liquid);
    Branch::new(bore, outlet.stub, &outlet.duty, beyond, liquid)
}

/// Where a reverse return is drawn from: away from the feed.
fn opposite(feeds: &[Length], length: Length) -> Vec<Length> {
    match feeds {
        [one] if *one == Length::ZERO => vec![length],
        [one] if *one == length => vec![Length::ZERO],
        [_] => vec![Length::ZERO, length],
        _ => vec![length / 2.0],
    }
}

/// Area of all branch bores over that of the run's.
pub fn area_ratio(manifold: &Manifold) -> f64 {
    let branches: f64 = manifold
        .outlets
        .iter()
        .map(|outlet| bore_area(&outlet.tube))
        .sum();
    branches / bore_area(&manifold.run.tube)
}

fn bore_area(tube: &Arc<Tube>) -> f64 {
    let bore = tube.bore().in_metres();
    bore * bore * PI / 4.0
}
