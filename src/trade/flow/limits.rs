//! How fast water may run in copper, and how even a split should be.

use crate::trade::manifold::Manifold;
use crate::trade::quantity::{FlowRate, Temperature, Velocity};
use crate::trade::rule_set::VelocityBasis;
use crate::trade::service::Service;
use crate::trade::source::Basis;
use crate::trade::tube::Tube;

/// A split wider than this, greatest less least over the mean, wants balancing: ten per cent
/// (common practice, from memory).
pub const SPREAD: f64 = 0.10;

/// Branches of more area than the run feed unevenly unless they lose much themselves: one (common
/// practice, from memory).
pub const AREA_RATIO: f64 = 1.0;

/// Hot water for this purpose is hotter than this; what is between cold and hot counts as hot.
const COLD_BELOW: Temperature = Temperature::fahrenheit(100.0);
/// Above this the slower limit for hot water holds.
const VERY_HOT_ABOVE: Temperature = Temperature::fahrenheit(140.0);
/// Tube of this outside diameter or less should stay at the low end of the band: 1/2 in nominal.
const SMALL_TUBE_OD_INCHES: f64 = 0.626;

/// How fast water may run.
#[derive(Debug, Clone, PartialEq)]
pub struct VelocityLimit {
    /// Above this the wall erodes in time.
    pub most: Velocity,
    /// Above this it is worth a thought.
    pub advised: Velocity,
    /// Of what, for people.
    pub what: &'static str,
    /// Where the limit comes from.
    pub basis: Basis,
}

/// The limit for a tube; `None` where none is usual: gas, drainage, and sprinklers that stand still.
pub fn velocity_limit(
    service: Service,
    temperature: Temperature,
    tube: &Tube,
    basis: VelocityBasis,
) -> Option<VelocityLimit> {
    let cold = match service {
        Service::PotableCold | Service::ChilledWater => true,
        Service::PotableHot | Service::HydronicHeating => false,
        Service::Other => temperature < COLD_BELOW,
        Service::CompressedAir
        | Service::MedicalGas
        | Service::FireSprinkler
        | Service::FuelGas
        | Service::Drainage
        | Service::Refrigerant
        | Service::SaturatedSteam => return None,
    };
    let speed = Velocity::feet_per_second;
    let (most, advised, what) = if cold {
        (speed(8.0), speed(8.0), "cold water in copper")
    } else if temperature <= VERY_HOT_ABOVE {
        (speed(5.0), speed(5.0), "hot water up to 140 degF in copper")
    } else {
        (speed(3.0), speed(2.0), "water above 140 degF in copper")
    };
    let noted = (speed(8.0), speed(5.0));
    let (most, advised) = match basis {
        VelocityBasis::Handbook => (most, advised),
        VelocityBasis::CodeNote => noted,
        VelocityBasis::Strictest => (most.min(noted.0), advised.min(noted.1)),
    };
    let small = tube.od.in_inches() <= SMALL_TUBE_OD_INCHES;
    Some(VelocityLimit {
        most,
        advised: if small {
            advised.min(speed(5.0))
        } else {
            advised
        },
        what,
        basis: cited(basis),
    })
}

fn cited(basis: VelocityBasis) -> Basis {
    match basis {
        VelocityBasis::Handbook => Basis::handbook(
            "velocity advice of the copper trade, ETB-930: 8 ft/s cold, 5 ft/s hot up to 140 F, 2 to 3 ft/s above; the low end in tube of 1/2 in and less (from memory)",
        ),
        VelocityBasis::CodeNote => Basis::code(
            "IRC 2018, appendix P: a note on velocities of 5 to 8 ft/s; the low end in tube of 1/2 in and less (from memory)",
        ),
        VelocityBasis::Strictest => Basis::handbook(
            "the lower of ETB-930 (8 ft/s cold, 5 ft/s hot up to 140 F, 2 to 3 ft/s above) and IRC 2018, appendix P (5 to 8 ft/s); the low end in tube of 1/2 in and less (from memory)",
        ),
    }
}

/// Whether velocities are judged at all in that service.
pub const fn is_judged(service: Service) -> bool {
    !matches!(
        service,
        Service::CompressedAir
            | Service::MedicalGas
            | Service::FireSprinkler
            | Service::FuelGas
            | Service::Drainage
            | Service::Refrigerant
            | Service::SaturatedSteam
    )
}

/// The greatest flow in the run when every outlet gets what is wanted of it, and whether every
/// outlet says what that is; `None` when none does.
pub fn run_flow_wanted(manifold: &Manifold) -> Option<(FlowRate, bool)> {
    use crate::trade::manifold::Feed;
    let known = || {
        manifold
            .outlets
            .iter()
            .filter_map(|it| Some((it.station, it.flow?)))
    };
    let all: FlowRate = known().map(|(_, flow)| flow).sum();
    let complete = manifold.outlets.iter().all(|it| it.flow.is_some());
    let feed = manifold.supply.as_ref().and_then(|supply| supply.feed);
    let most = match feed {
        None | Some(Feed::FirstEnd | Feed::SecondEnd) => all,
        Some(Feed::BothEnds) => all / 2.0,
        Some(Feed::Station(feed)) => {
            let before: FlowRate = known()
                .filter(|(station, _)| *station < feed)
                .map(|(_, flow)| flow)
                .sum();
            before.max(all - before)
        }
    };
    (most > FlowRate::ZERO).then_some((most, complete))
}
