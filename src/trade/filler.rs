//! Brazing fillers and soldering alloys.

use super::quantity::{Density, Temperature};
use super::source::Source;

/// What a filler may be asked to join, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FillerFamily {
    /// Copper-phosphorus brazing filler (BCuP): no flux copper to copper.
    CopperPhosphorus,
    /// Silver brazing filler (BAg): with flux.
    Silver,
    /// Soft solder.
    Solder,
}

/// A brazing filler (AWS A5.8 class) or a solder (ASTM B32 alloy).
#[derive(Debug, Clone, PartialEq)]
pub struct Filler {
    /// Its class or alloy, as ordered: `BCuP-3`, `Sb5`.
    pub id: String,
    /// Its family.
    pub family: FillerFamily,
    /// Where it begins to melt.
    pub solidus: Temperature,
    /// Where it is wholly liquid; unknown for a few solders.
    pub liquidus: Option<Temperature>,
    /// Density, and how far it may be trusted.
    pub density: (Density, Source),
    /// Composition as published.
    pub composition: String,
    /// Contains cadmium.
    pub has_cadmium: bool,
    /// Contains lead.
    pub has_lead: bool,
    /// Where the row comes from.
    pub source: Source,
}

impl Filler {
    /// Brazing begins above 840 F (450 C); every solder here melts far below.
    pub fn is_brazing(&self) -> bool {
        self.family != FillerFamily::Solder
    }

    /// Contains phosphorus.
    pub fn has_phosphorus(&self) -> bool {
        self.family == FillerFamily::CopperPhosphorus
    }
}
