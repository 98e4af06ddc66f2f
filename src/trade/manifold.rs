//! The design: a run of tube with a row of branch outlets.
//!
//! A [`Design`] is what somebody wrote down, rows and all; a [`Manifold`] is what it means,
//! every outlet at its station. [`Manifold::resolve`] goes from one to the other and reports
//! every fault at once.
//!
//! Stations are measured from the first end's finished face: the squared and deburred end of
//! the run tube itself. A cap goes over that end and adds to the envelope, not to the stations.

mod resolve;
mod supply;

use std::sync::Arc;

use super::catalogue::Catalogue;
use super::filler::Filler;
use super::joint::{JointMethod, usual_wire};
use super::metal::Metal;
use super::outlet::GivenCollar;
use super::quantity::{Angle, FlowRate, Length, Pressure, Temperature};
use super::service::Service;
use super::source::Source;
use super::tube::{Temper, Tube};

pub use supply::{
    Drive, DropPoint, EndUse, Feed, Loss, LossMethod, OutletDuty, ReturnHeader, ReturnPath, Supply,
};

/// Most outlets one manifold may have.
pub const MOST_OUTLETS: usize = 200;

/// How the manifold is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Build {
    /// Collars drawn from the run, branches brazed in.
    FormedOutlets,
    /// Built up from tees, brazed.
    TeesBrazed,
    /// Built up from tees, soldered.
    TeesSoldered,
    /// Bought ready-made.
    Purchased,
}

impl Build {
    /// Every build, in the order they are compared.
    pub const ALL: [Self; 4] = [
        Self::FormedOutlets,
        Self::TeesBrazed,
        Self::TeesSoldered,
        Self::Purchased,
    ];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FormedOutlets => "formed_outlets",
            Self::TeesBrazed => "tees_brazed",
            Self::TeesSoldered => "tees_soldered",
            Self::Purchased => "purchased",
        }
    }

    /// How a person says it.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::FormedOutlets => "collars formed from the run, branches brazed in",
            Self::TeesBrazed => "built up from tees, brazed",
            Self::TeesSoldered => "built up from tees, soldered",
            Self::Purchased => "bought ready-made",
        }
    }

    /// How its joints are made; a bought manifold has none of ours.
    pub const fn joint_method(self) -> Option<JointMethod> {
        match self {
            Self::FormedOutlets | Self::TeesBrazed => Some(JointMethod::Brazed),
            Self::TeesSoldered => Some(JointMethod::Soldered),
            Self::Purchased => None,
        }
    }

    /// The filler taken when the design names none.
    pub const fn usual_filler(self) -> &'static str {
        match self {
            Self::TeesSoldered => "Sb5",
            Self::FormedOutlets | Self::TeesBrazed | Self::Purchased => "BCuP-3",
        }
    }
}

/// What closes an end of the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EndKind {
    /// Open tube, to be connected on site.
    Plain,
    /// A cap joined over the end.
    Cap,
    /// A coupling joined over the end, to be connected on site.
    Coupling,
}

/// One end of the run as designed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndDesign {
    /// What closes it.
    pub kind: EndKind,
    /// Tube beyond the centre of the nearest outlet.
    pub beyond: Option<Length>,
    /// The metal of what the end is joined to: of its cap or coupling, or of what is connected to
    /// a plain end.
    pub joins: Metal,
}

/// The run as designed.
#[derive(Debug, Clone, PartialEq)]
pub struct RunDesign {
    /// Its tube.
    pub tube: Arc<Tube>,
    /// Its temper as bought.
    pub temper: Temper,
    /// First and second end.
    pub ends: [EndDesign; 2],
    /// Finished length, when given.
    pub length: Option<Length>,
}

/// A row of outlets as designed: one at `station`, or `count` from `first` every `pitch`.
#[derive(Debug, Clone, PartialEq)]
pub struct OutletRow {
    /// The branch tube.
    pub tube: Arc<Tube>,
    /// A single outlet's station.
    pub station: Option<Length>,
    /// How many.
    pub count: Option<u32>,
    /// Station of the first.
    pub first: Option<Length>,
    /// From centre to centre.
    pub pitch: Option<Length>,
    /// Turned about the run from the scribe line, clockwise seen from the first end.
    pub clock: Angle,
    /// From the outer surface of the run to the end of the branch.
    pub stub: Length,
    /// Flow wanted through each.
    pub flow: Option<FlowRate>,
    /// What each feeds.
    pub duty: OutletDuty,
    /// What is known of the collar.
    pub collar: GivenCollar,
    /// The metal of what is joined to the end of the branch.
    pub joins: Metal,
}

/// A manifold as written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Its mark on drawings and in the schedule.
    pub mark: String,
    /// How many alike.
    pub quantity: u32,
    /// What it carries.
    pub service: Service,
    /// Design pressure, gauge.
    pub design_pressure: Pressure,
    /// Design temperature.
    pub design_temperature: Temperature,
    /// How it is made.
    pub build: Build,
    /// The run.
    pub run: RunDesign,
    /// Rows of outlets.
    pub outlets: Vec<OutletRow>,
    /// The filler, when named.
    pub filler: Option<Arc<Filler>>,
    /// Diameter of its wire, when named.
    pub filler_wire: Option<Length>,
    /// Conditions it is put together in, by the names that the shop's times know: in place,
    /// overhead. Nothing of the craft depends on them.
    pub conditions: Vec<String>,
    /// How it is fed, when that is said.
    pub supply: Option<Supply>,
}

/// The run as resolved.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Its tube.
    pub tube: Arc<Tube>,
    /// Its temper as bought.
    pub temper: Temper,
    /// What closes first and second end.
    pub ends: [EndKind; 2],
    /// The metal that first and second end are joined to.
    pub joins: [Metal; 2],
    /// Finished length between the two finished faces.
    pub length: Length,
}

/// One outlet at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlet {
    /// The row of the design it came from, counted from 0.
    pub row: usize,
    /// The branch tube.
    pub tube: Arc<Tube>,
    /// From the first end's finished face to the outlet's centre.
    pub station: Length,
    /// Turned about the run from the scribe line.
    pub clock: Angle,
    /// From the outer surface of the run to the end of the branch.
    pub stub: Length,
    /// Flow wanted.
    pub flow: Option<FlowRate>,
    /// What it feeds.
    pub duty: OutletDuty,
    /// What is known of the collar.
    pub collar: GivenCollar,
    /// The metal of what is joined to the end of the branch.
    pub joins: Metal,
}

/// A manifold with every outlet at its station, in order along the run.
#[derive(Debug, Clone, PartialEq)]
pub struct Manifold {
    /// Its mark.
    pub mark: String,
    /// How many alike.
    pub quantity: u32,
    /// What it carries.
    pub service: Service,
    /// Design pressure, gauge.
    pub design_pressure: Pressure,
    /// Design temperature.
    pub design_temperature: Temperature,
    /// How it is made.
    pub build: Build,
    /// The run.
    pub run: Run,
    /// Outlets by station, then clock.
    pub outlets: Vec<Outlet>,
    /// The filler.
    pub filler: Arc<Filler>,
    /// The design named no filler; the usual one of the build was taken.
    pub filler_assumed: bool,
    /// Diameter of the filler's wire, when the design names it.
    pub filler_wire: Option<Length>,
    /// Conditions it is put together in, by the names that the shop's times know: in place,
    /// overhead. Nothing of the craft depends on them.
    pub conditions: Vec<String>,
    /// How it is fed, when that is said.
    pub supply: Option<Supply>,
}

/// A fault of a design, before any rule is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DesignFault {
    /// JSON pointer within the design.
    pub pointer: String,
    /// A stable code.
    pub code: &'static str,
    /// What was measured, what the limit is, what to do.
    pub detail: String,
}

impl Manifold {
    /// Diameter of the filler's wire: as named, or the usual one of the method, with where that
    /// comes from. `None` when nothing is joined here.
    pub fn wire(&self) -> Option<(Length, Option<Source>)> {
        let method = self.build.joint_method()?;
        Some(match self.filler_wire {
            Some(diameter) => (diameter, None),
            None => {
                let (diameter, source) = usual_wire(method);
                (diameter, Some(source))
            }
        })
    }

    /// The same manifold built another way, with a filler that suits that build.
    ///
    /// `None` only when the catalogue lacks the usual filler.
    pub fn built_as(&self, build: Build, catalogue: &Catalogue) -> Option<Self> {
        let suits = match build.joint_method() {
            Some(JointMethod::Brazed) => self.filler.is_brazing(),
            Some(JointMethod::Soldered) => !self.filler.is_brazing(),
            None => true,
        };
        let (filler, filler_assumed) = if suits {
            (Arc::clone(&self.filler), self.filler_assumed)
        } else {
            (Arc::clone(catalogue.filler(build.usual_filler())?), true)
        };
        Some(Self {
            build,
            filler,
            filler_assumed,
            ..self.clone()
        })
    }
}
