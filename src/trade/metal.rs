//! The metals that copper tube may be joined to, and what flux they ask for.

use super::filler::{Filler, FillerFamily};

/// The metal of what a tube is joined to: a fitting, an adapter, a valve's body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Metal {
    /// Copper.
    #[default]
    Copper,
    /// Brass: copper and zinc.
    Brass,
    /// Bronze: copper and tin.
    Bronze,
    /// Copper with up to 10 % nickel.
    CopperNickel,
    /// Nickel, and alloys with more than 10 % of it.
    NickelAlloy,
    /// Cast or malleable iron.
    Iron,
    /// Carbon steel.
    Steel,
    /// Stainless steel.
    StainlessSteel,
}

impl Metal {
    /// Every metal.
    pub const ALL: [Self; 8] = [
        Self::Copper,
        Self::Brass,
        Self::Bronze,
        Self::CopperNickel,
        Self::NickelAlloy,
        Self::Iron,
        Self::Steel,
        Self::StainlessSteel,
    ];

    /// How a person says it.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::Brass => "brass",
            Self::Bronze => "bronze",
            Self::CopperNickel => "copper with up to 10 % nickel",
            Self::NickelAlloy => "nickel or an alloy with more than 10 % nickel",
            Self::Iron => "iron",
            Self::Steel => "steel",
            Self::StainlessSteel => "stainless steel",
        }
    }

    /// Holds iron, or more than 10 % nickel: phosphorus makes brittle compounds with both.
    pub const fn has_iron_or_nickel(self) -> bool {
        matches!(
            self,
            Self::NickelAlloy | Self::Iron | Self::Steel | Self::StainlessSteel
        )
    }
}

/// What a filler asks for on a metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flux {
    /// None: the phosphorus takes the oxide away.
    NotNeeded,
    /// Flux.
    Needed,
    /// The filler never joins that metal.
    NeverJoined,
}

impl Flux {
    /// What a filler asks for when it joins copper tube to a metal.
    pub fn of(filler: &Filler, metal: Metal) -> Self {
        match filler.family {
            FillerFamily::CopperPhosphorus if metal.has_iron_or_nickel() => Self::NeverJoined,
            FillerFamily::CopperPhosphorus if metal == Metal::Copper => Self::NotNeeded,
            FillerFamily::CopperPhosphorus | FillerFamily::Silver | FillerFamily::Solder => {
                Self::Needed
            }
        }
    }
}
