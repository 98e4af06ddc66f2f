//! The joints of a check, and the filler they take.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::v1::findings::SourceOut;
use crate::http::v1::manifold::MetalName;
use crate::http::wire::{QuantityOut, Units, wire_enum};
use crate::trade::joint::{JointMethod, LeastLap, wire_length};
use crate::trade::manifold::Manifold;
use crate::trade::metal::Flux;
use crate::trade::quantity::{Length, Mass, Volume};
use crate::trade::source::{Source, Status};
use crate::trade::takeoff::{JointPlace, Joints, Takeoff};

wire_enum! {
    /// How a joint is made.
    pub enum JointMethodName {
        /// With filler that melts above 840 degF.
        Brazed = "brazed",
        /// With soft solder.
        Soldered = "soldered",
    }
}

wire_enum! {
    /// What a tube goes into.
    pub enum JointPlaceName {
        /// A collar formed from the run.
        Collar = "collar",
        /// The cup of a fitting.
        Cup = "cup",
    }
}

wire_enum! {
    /// What the filler asks for on the metals of a joint.
    pub enum FluxName {
        /// No flux.
        NotNeeded = "not_needed",
        /// Flux; its residue is washed off.
        Needed = "needed",
        /// This filler never joins that metal.
        NeverJoined = "never_joined",
    }
}

impl From<Flux> for FluxName {
    fn from(flux: Flux) -> Self {
        match flux {
            Flux::NotNeeded => Self::NotNeeded,
            Flux::Needed => Self::Needed,
            Flux::NeverJoined => Self::NeverJoined,
        }
    }
}

/// Joints made alike. Filler is what fills the gap, before the shop's allowance.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct JointGroup {
    /// How they are made.
    method: JointMethodName,
    /// What the tube goes into.
    place: JointPlaceName,
    /// Id of the tube that goes in.
    #[schema(example = "b88-l-1")]
    tube: String,
    /// The metal it goes into.
    joins: MetalName,
    /// How many.
    #[schema(example = 6)]
    count: u32,
    /// Length along the tube that filler fills: the collar, two thirds of a brazed cup, the whole
    /// of a soldered one.
    lap: QuantityOut,
    /// Least lap by the thinner wall: three times it.
    lap_by_wall: QuantityOut,
    /// Lap that makes the joint as strong as the annealed tube; `null` for soldered joints, which go
    /// by their printed ratings.
    #[schema(required)]
    lap_by_strength: Option<QuantityOut>,
    /// Radial gap.
    gap: QuantityOut,
    /// Filler of one joint, in cubic inches or cubic millimetres.
    filler_volume: QuantityOut,
    /// Filler of one joint, in ounces or grams.
    filler_mass: QuantityOut,
    /// Wire of one joint.
    wire_length: QuantityOut,
    /// What the filler asks for on these metals.
    flux: FluxName,
}

/// Where the figures of joints come from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct JointSources {
    /// Three times the thinner wall.
    lap_by_wall: SourceOut,
    /// The lap that makes the joint as strong as the tube.
    lap_by_strength: SourceOut,
    /// Lap and gap that filler fills.
    fill: SourceOut,
    /// Density of the filler.
    density: SourceOut,
}

/// The wire or rod that the filler comes in.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FillerWire {
    /// Its diameter.
    diameter: QuantityOut,
    /// True when the manifold names none and the usual one was taken.
    #[schema(example = true)]
    assumed: bool,
    /// Length that fills all joints, before the shop's allowance.
    length: QuantityOut,
    /// Where a diameter that was taken comes from; `null` when the manifold names it.
    #[schema(required)]
    source: Option<SourceOut>,
}

/// A small mass, in ounces or grams.
pub fn small_mass(it: Mass, units: Units) -> QuantityOut {
    match units {
        Units::Imperial => QuantityOut::plain(it.in_ounces(), "oz"),
        Units::Metric => QuantityOut::plain(it.in_grams(), "g"),
    }
}

/// A small volume, in cubic inches or cubic millimetres.
pub fn small_volume(it: Volume, units: Units) -> QuantityOut {
    match units {
        Units::Imperial => QuantityOut::plain(it.in_cubic_inches(), "in3"),
        Units::Metric => QuantityOut::plain(it.in_cubic_millimetres(), "mm3"),
    }
}

fn group(joints: &Joints, manifold: &Manifold, wire: Length, units: Units) -> JointGroup {
    let length = |it| QuantityOut::length(it, units);
    let fill = joints.fill;
    JointGroup {
        method: match joints.method {
            JointMethod::Brazed => JointMethodName::Brazed,
            JointMethod::Soldered => JointMethodName::Soldered,
        },
        place: match joints.place {
            JointPlace::Collar => JointPlaceName::Collar,
            JointPlace::Cup => JointPlaceName::Cup,
        },
        tube: joints.tube.id.clone(),
        joins: joints.metal.into(),
        count: joints.count,
        lap: length(fill.lap),
        lap_by_wall: length(joints.least_lap.by_wall),
        lap_by_strength: joints.least_lap.by_strength.map(length),
        gap: length(fill.gap),
        filler_volume: small_volume(fill.volume, units),
        filler_mass: small_mass(fill.mass, units),
        wire_length: length(wire_length(fill.volume, wire)),
        flux: Flux::of(&manifold.filler, joints.metal).into(),
    }
}

/// The joints in groups; none for what is bought ready-made.
pub fn groups(manifold: &Manifold, takeoff: &Takeoff, units: Units) -> Vec<JointGroup> {
    let wire = manifold.wire().map(|(diameter, _)| diameter);
    let joints = takeoff.joints.iter();
    wire.map_or_else(Vec::new, |wire| {
        joints
            .map(|joints| group(joints, manifold, wire, units))
            .collect()
    })
}

/// Where the figures of the joints come from.
pub fn sources(manifold: &Manifold) -> Option<JointSources> {
    let method = manifold.build.joint_method()?;
    let [wall, strength] = LeastLap::sources();
    let fill = match method {
        JointMethod::Brazed => Source::new(
            "cups: two thirds of the depth and a gap of 0.005 in give the Copper Tube Handbook's brazing table within 2.6 %; collars: their height and the gap of the forming profile. Real use is two to three times as much",
            Status::Derived,
        ),
        JointMethod::Soldered => Source::new(
            "Copper Tube Handbook, solder consumption table: the whole cup and a gap of 0.010 in",
            Status::Seen,
        ),
    };
    Some(JointSources {
        lap_by_wall: (&wall).into(),
        lap_by_strength: (&strength).into(),
        fill: (&fill).into(),
        density: (&manifold.filler.density.1).into(),
    })
}

/// The wire, and how much of it all joints take.
pub fn filler_wire(manifold: &Manifold, takeoff: &Takeoff, units: Units) -> Option<FillerWire> {
    let (diameter, source) = manifold.wire()?;
    Some(FillerWire {
        diameter: QuantityOut::length(diameter, units),
        assumed: source.is_some(),
        length: QuantityOut::length(takeoff.filler_wire(diameter), units),
        source: source.as_ref().map(SourceOut::from),
    })
}
