//! The metals that a manifold is joined to, as requests carry them.

use crate::http::wire::wire_enum;
use crate::trade::metal::Metal;

wire_enum! {
    /// The metal of what a tube is joined to.
    pub enum MetalName {
        /// Copper.
        Copper = "copper",
        /// Brass: copper and zinc.
        Brass = "brass",
        /// Bronze: copper and tin.
        Bronze = "bronze",
        /// Copper with up to 10 % nickel.
        CopperNickel = "copper_nickel",
        /// Nickel, and alloys with more than 10 % of it.
        NickelAlloy = "nickel_alloy",
        /// Cast or malleable iron.
        Iron = "iron",
        /// Carbon steel.
        Steel = "steel",
        /// Stainless steel.
        StainlessSteel = "stainless_steel",
    }
}

impl From<MetalName> for Metal {
    fn from(name: MetalName) -> Self {
        match name {
            MetalName::Copper => Self::Copper,
            MetalName::Brass => Self::Brass,
            MetalName::Bronze => Self::Bronze,
            MetalName::CopperNickel => Self::CopperNickel,
            MetalName::NickelAlloy => Self::NickelAlloy,
            MetalName::Iron => Self::Iron,
            MetalName::Steel => Self::Steel,
            MetalName::StainlessSteel => Self::StainlessSteel,
        }
    }
}

impl From<Metal> for MetalName {
    fn from(metal: Metal) -> Self {
        match metal {
            Metal::Copper => Self::Copper,
            Metal::Brass => Self::Brass,
            Metal::Bronze => Self::Bronze,
            Metal::CopperNickel => Self::CopperNickel,
            Metal::NickelAlloy => Self::NickelAlloy,
            Metal::Iron => Self::Iron,
            Metal::Steel => Self::Steel,
            Metal::StainlessSteel => Self::StainlessSteel,
        }
    }
}
