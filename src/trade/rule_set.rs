//! Rule sets: named, versioned choices where sources differ.
//!
//! A rule set never changes once it is out. A choice made otherwise gets a new name or number,
//! so that an answer or a quote that names its set can be understood for ever.

mod choices;
mod test_pressure;

use super::forming::FormingProfile;
use super::quantity::Mass;
use super::source::{Source, Status};

pub use choices::{CollarBasis, FormingTypes, SupportBasis, VelocityBasis};
pub use test_pressure::{TestPressure, TestPressureBasis};

/// The choices a check is made by, and the forming equipment they are applied to.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleSet {
    /// Name and version, carried by every answer.
    pub name: &'static str,
    /// What sets it apart, in a few words.
    pub title: &'static str,
    /// When to take it.
    pub note: &'static str,
    /// Which wall rules the collar.
    pub collar_basis: CollarBasis,
    /// From which types of tube collars may be drawn.
    pub forming_types: FormingTypes,
    /// Whose limits of velocity hold.
    pub velocity: VelocityBasis,
    /// What it is tested at.
    pub test_pressure: TestPressureBasis,
    /// How far apart it is held.
    pub support: SupportBasis,
    /// Heaviest assembly one person should lift.
    pub lift_limit: Mass,
    /// Minutes of fire watch after hot work.
    pub fire_watch_minutes: u32,
    /// The forming equipment.
    pub forming: FormingProfile,
}

impl RuleSet {
    /// Every rule set, the usual one first.
    pub const NAMES: [&'static str; 5] =
        ["offtake-1", "strict-2", "least-2", "strict-1", "least-1"];

    /// The rule set used when none is chosen: the stricter text wherever a choice is not the shop's.
    pub fn default_set() -> Self {
        Self {
            name: "offtake-1",
            title: "The usual choices",
            note: "For work under a model plumbing code, where neither the specification of the job nor the code of the place asks more.",
            collar_basis: CollarBasis::Branch,
            forming_types: FormingTypes::KLOrM,
            velocity: VelocityBasis::Handbook,
            test_pressure: TestPressureBasis::ByService,
            support: SupportBasis::PipeHangerStandard,
            lift_limit: Mass::kilograms(23.0),
            fire_watch_minutes: 60,
            forming: FormingProfile::built_in(),
        }
    }

    /// The strictest reading of every source.
    fn strict() -> Self {
        Self {
            name: "strict-1",
            title: "The strictest reading, but of velocities the industry's alone",
            note: "For work judged by it before; strict-2 takes the strictest velocities as well.",
            collar_basis: CollarBasis::ThickerOfBoth,
            forming_types: FormingTypes::KOrL,
            test_pressure: TestPressureBasis::Strictest,
            ..Self::default_set()
        }
    }

    /// The least that the sources ask.
    fn least() -> Self {
        Self {
            name: "least-1",
            title: "The least that the sources ask, but of velocities the industry's alone",
            note: "For work judged by it before; least-2 takes the least strict velocities as well.",
            test_pressure: TestPressureBasis::CityCode,
            support: SupportBasis::ModelCode,
            fire_watch_minutes: LEAST_FIRE_WATCH_MINUTES,
            ..Self::default_set()
        }
    }

    /// The strictest reading, of velocities too.
    fn strict_2() -> Self {
        Self {
            name: "strict-2",
            title: "The strictest reading of every source",
            note: "For specified work, or where it is not known yet which text the job is built to.",
            velocity: VelocityBasis::Strictest,
            ..Self::strict()
        }
    }

    /// The least that the sources ask, of velocities too.
    fn least_2() -> Self {
        Self {
            name: "least-2",
            title: "The least that the sources ask",
            note: "To see what a design rests on: what only this set lets through, another reading of the texts stops.",
            velocity: VelocityBasis::CodeNote,
            ..Self::least()
        }
    }

    /// The rule set of that name, in capital or small letters.
    pub fn named(name: &str) -> Option<Self> {
        Self::all()
            .into_iter()
            .find(|set| set.name.eq_ignore_ascii_case(name))
    }

    /// Every rule set, in the order of [`RuleSet::NAMES`].
    pub fn all() -> [Self; 5] {
        [
            Self::default_set(),
            Self::strict_2(),
            Self::least_2(),
            Self::strict(),
            Self::least(),
        ]
    }

    /// The same choices on other forming equipment.
    #[must_use]
    pub fn with_forming(self, forming: FormingProfile) -> Self {
        Self { forming, ..self }
    }

    /// Where the limit of one person's load comes from.
    pub fn lift_source() -> Source {
        Source::new(
            "NIOSH lifting equation (1991): 23 kg (51 lb) at best for one person",
            Status::Memory,
        )
    }

    /// Where the minutes of fire watch come from.
    pub fn fire_watch_source(&self) -> Source {
        if self.fire_watch_minutes > LEAST_FIRE_WATCH_MINUTES {
            Source::new(
                "hot work rules ask 30 minutes at least (seen); later editions of the hot work standard NFPA 51B ask 60",
                Status::Memory,
            )
        } else {
            Source::new(
                "hot work rules: fire watch at least 30 minutes after the torch is out",
                Status::Seen,
            )
        }
    }
}

/// The least that hot work rules ask (seen).
pub const LEAST_FIRE_WATCH_MINUTES: u32 = 30;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_a_set_and_every_set_has_a_name() {
        assert_eq!(RuleSet::all().map(|set| set.name), RuleSet::NAMES);
        assert_eq!(RuleSet::named("Strict-1").unwrap().name, "strict-1");
        assert!(RuleSet::named("strict").is_none());
        assert_eq!(RuleSet::NAMES[0], RuleSet::default_set().name);
    }
}
