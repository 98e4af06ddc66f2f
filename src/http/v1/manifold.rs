//! A manifold as requests carry it, and its way to [`Manifold`].

mod duty;
mod metal;
mod named;
mod size;
mod supply;

use std::sync::Arc;

use crate::http::v1::figures::Upto;
use crate::http::wire::{
    AngleIn, At, Each, Fault, Faults, FlowRateIn, List, TemperatureIn, Text, Whole, wire_enum,
    wire_struct,
};
use crate::trade::catalogue::Catalogue;
use crate::trade::filler::Filler;
use crate::trade::manifold::{
    Build, Design, EndDesign, EndKind, MOST_OUTLETS, Manifold, OutletDuty, OutletRow, RunDesign,
};
use crate::trade::metal::Metal;
use crate::trade::outlet::GivenCollar;
use crate::trade::quantity::Angle;
use crate::trade::service::Service;
use crate::trade::tube::{Temper, Tube};

pub use duty::{DropIn, MOST_COEFFICIENT, MOST_POINTS, number};
pub use metal::MetalName;
pub use named::{InCatalogue, Named};
pub use size::{DesignPressureIn, SizeIn};
pub use supply::{LossMethodName, SupplyIn};

wire_enum! {
    /// What the manifold carries.
    pub enum ServiceIn {
        /// Cold drinking water.
        PotableCold = "potable_cold",
        /// Hot drinking water.
        PotableHot = "potable_hot",
        /// Closed heating water.
        HydronicHeating = "hydronic_heating",
        /// Closed chilled water.
        ChilledWater = "chilled_water",
        /// Compressed air.
        CompressedAir = "compressed_air",
        /// Medical gas.
        MedicalGas = "medical_gas",
        /// Fire sprinkler water.
        FireSprinkler = "fire_sprinkler",
        /// Fuel gas.
        FuelGas = "fuel_gas",
        /// Drainage and vent.
        Drainage = "drainage",
        /// Refrigerant.
        Refrigerant = "refrigerant",
        /// Saturated steam: `design_temperature` is its temperature at `design_pressure` at least.
        SaturatedSteam = "saturated_steam",
        /// Anything else; what depends on the service is then not judged.
        Other = "other",
    }
}

impl From<ServiceIn> for Service {
    fn from(service: ServiceIn) -> Self {
        match service {
            ServiceIn::PotableCold => Self::PotableCold,
            ServiceIn::PotableHot => Self::PotableHot,
            ServiceIn::HydronicHeating => Self::HydronicHeating,
            ServiceIn::ChilledWater => Self::ChilledWater,
            ServiceIn::CompressedAir => Self::CompressedAir,
            ServiceIn::MedicalGas => Self::MedicalGas,
            ServiceIn::FireSprinkler => Self::FireSprinkler,
            ServiceIn::FuelGas => Self::FuelGas,
            ServiceIn::Drainage => Self::Drainage,
            ServiceIn::Refrigerant => Self::Refrigerant,
            ServiceIn::SaturatedSteam => Self::SaturatedSteam,
            ServiceIn::Other => Self::Other,
        }
    }
}

wire_enum! {
    /// How the manifold is made.
    pub enum BuildName {
        /// Collars drawn from the run, branches brazed in.
        FormedOutlets = "formed_outlets",
        /// Built up from tees, brazed.
        TeesBrazed = "tees_brazed",
        /// Built up from tees, soldered.
        TeesSoldered = "tees_soldered",
        /// Bought ready-made.
        Purchased = "purchased",
    }
}

impl From<BuildName> for Build {
    fn from(build: BuildName) -> Self {
        match build {
            BuildName::FormedOutlets => Self::FormedOutlets,
            BuildName::TeesBrazed => Self::TeesBrazed,
            BuildName::TeesSoldered => Self::TeesSoldered,
            BuildName::Purchased => Self::Purchased,
        }
    }
}

impl From<Build> for BuildName {
    fn from(build: Build) -> Self {
        match build {
            Build::FormedOutlets => Self::FormedOutlets,
            Build::TeesBrazed => Self::TeesBrazed,
            Build::TeesSoldered => Self::TeesSoldered,
            Build::Purchased => Self::Purchased,
        }
    }
}

wire_enum! {
    /// Temper of a tube as bought.
    pub enum TemperName {
        /// Soft.
        Annealed = "annealed",
        /// Half hard: R250 of EN 1057.
        HalfHard = "half_hard",
        /// Hard.
        Drawn = "drawn",
    }
}

impl From<TemperName> for Temper {
    fn from(temper: TemperName) -> Self {
        match temper {
            TemperName::Annealed => Self::Annealed,
            TemperName::HalfHard => Self::HalfHard,
            TemperName::Drawn => Self::Drawn,
        }
    }
}

wire_enum! {
    /// What closes an end of the run.
    pub enum EndName {
        /// Open tube, connected on site.
        Plain = "plain",
        /// A cap joined over the end.
        Cap = "cap",
        /// A coupling joined over the end, connected on site.
        Coupling = "coupling",
    }
}

wire_struct! {
    /// One end of the run.
    #[example = {"kind": "plain", "beyond": "4 in"}]
    pub struct EndIn {
        /// What closes it.
        #[example = "cap"]
        kind: EndName,
        /// Tube beyond the centre of the nearest outlet. On the second end it gives the run its
        /// length; on the first it places the first outlet when that row does not.
        #[example = "4 in"]
        beyond: Option<SizeIn>,
        /// The metal of what is joined here with the manifold's filler: of the cap or coupling, or
        /// of a valve, flange or adapter on a plain end; copper when not given. What goes on a
        /// plain end is judged, but neither its joint nor its price is counted.
        #[example = "copper"]
        joins: Option<MetalName>,
    }
}

wire_struct! {
    /// The run: the tube that the outlets stand on.
    pub struct RunIn {
        /// Tube id.
        #[example = "b88-l-2"]
        tube: Named<Tube>,
        /// Temper as bought; drawn when not given.
        #[example = "drawn"]
        temper: Option<TemperName>,
        /// First and second end; both plain when not given.
        #[example = [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]]
        ends: Option<List<EndIn, 2, 2>>,
        /// Finished length; else it follows from the outlets and `beyond` of the second end.
        #[example = "33 in"]
        length: Option<SizeIn>,
    }
}

wire_struct! {
    /// A row of outlets: one at `station`, or `count` of them from `first` every `pitch`.
    pub struct OutletRowIn {
        /// Tube id of the branches.
        #[example = "b88-l-1"]
        tube: Named<Tube>,
        /// Station of a single outlet: from the first end's finished face to its centre.
        #[example = "4 in"]
        station: Option<SizeIn>,
        /// How many outlets.
        #[example = 6]
        count: Option<Whole<1, 1_000_000>>,
        /// Station of the first of them.
        #[example = "4 in"]
        first: Option<SizeIn>,
        /// From centre to centre.
        #[example = "5 in"]
        pitch: Option<SizeIn>,
        /// Turned about the run from the scribe line, clockwise seen from the first end; 0 when not given.
        #[example = "0 deg"]
        clock: Option<AngleIn>,
        /// Length of the branch above the outer surface of the run.
        #[example = "3 in"]
        stub: SizeIn,
        /// Flow wanted through each.
        #[example = "6 gpm"]
        flow: Option<FlowRateIn>,
        /// Flow coefficient of what the branch feeds: US gallons a minute at 1 psi. With one of
        /// `cv`, `kv`, `drop` and `curve` the flow settles by itself; without, `flow` is what the
        /// outlet takes.
        #[example = 2.5]
        cv: Option<Upto<MOST_COEFFICIENT>>,
        /// The same in cubic metres an hour at 1 bar.
        #[example = 2.2]
        kv: Option<Upto<MOST_COEFFICIENT>>,
        /// What it loses at one flow, growing with the square of it.
        drop: Option<DropIn>,
        /// What it loses at several flows, flow and loss both rising.
        curve: Option<List<DropIn, MOST_POINTS>>,
        /// Loss factors of valves and bends in the branch, on its velocity head.
        #[example = 1.5]
        loss_factor: Option<Upto<MOST_COEFFICIENT>>,
        /// Diameter of the pilot hole, where the shop has settled it; else it is worked out.
        #[example = "0.88 in"]
        pilot: Option<SizeIn>,
        /// Height of the collar, where it was measured on a sample.
        #[example = "0.16 in"]
        collar_height: Option<SizeIn>,
        /// The metal of what is joined to the ends of the branches with the manifold's filler: a
        /// valve, an adapter; copper when not given. It is judged, but neither its joint nor its
        /// price is counted.
        #[example = "copper"]
        joins: Option<MetalName>,
    }
}

wire_struct! {
    /// A manifold: a run of tube with a row of branch outlets.
    #[example = {"mark": "H-1", "quantity": 2, "service": "hydronic_heating", "design_pressure": "75 psi",
        "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "temper": "drawn", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 6, "first": "4 in", "pitch": "5 in", "clock": "0 deg", "stub": "3 in", "flow": "6 gpm"}],
        "filler": "BCuP-3"}]
    pub struct ManifoldIn {
        /// Its mark on drawings and in the schedule.
        #[example = "H-1"]
        mark: Text<40>,
        /// How many alike; one when not given.
        #[example = 2]
        quantity: Option<Whole<1, 10_000>>,
        /// What it carries.
        #[example = "hydronic_heating"]
        service: ServiceIn,
        /// Design pressure, gauge.
        #[example = "75 psi"]
        design_pressure: DesignPressureIn,
        /// Design temperature.
        #[example = "180 degF"]
        design_temperature: TemperatureIn,
        /// How it is made.
        #[example = "formed_outlets"]
        build: BuildName,
        /// The run.
        run: RunIn,
        /// Rows of outlets, 200 outlets in all at most.
        outlets: List<OutletRowIn, MOST_OUTLETS>,
        /// Brazing filler (AWS A5.8 class) or solder (ASTM B32 alloy); the usual one of the build when not given.
        #[example = "BCuP-3"]
        filler: Option<Named<Filler>>,
        /// Diameter of the filler's wire or rod, for its length; when not given the usual one, which
        /// `filler_wire` of a check names.
        #[example = "3/32 in"]
        filler_wire: Option<SizeIn>,
        /// Conditions it is put together in, by the names that the labour model gives them; at the
        /// bench, where none is named. They bear on hours, not on checks.
        #[example = ["overhead"]]
        conditions: Option<List<Text<60>, 8, 0>>,
        /// How it is fed, where flow is asked for.
        supply: Option<SupplyIn>,
    }
}

impl ManifoldIn {
    /// The tubes it names.
    pub fn tubes(&self) -> impl Iterator<Item = &Named<Tube>> {
        let branches = self.outlets.as_slice().iter().map(|row| &row.tube);
        std::iter::once(&self.run.tube).chain(branches)
    }

    /// The manifold it describes, every fault reported under `at`.
    pub fn resolve(
        &self,
        catalogue: &Catalogue,
        at: &At<'_>,
        faults: &mut Faults,
    ) -> Option<Manifold> {
        let before = faults.count();
        let design = self.design(at, faults);
        match Manifold::resolve(design, catalogue) {
            Ok(manifold) => (faults.count() == before).then_some(manifold),
            Err(found) => {
                for fault in found {
                    faults.push(Fault::new(
                        format!("{}{}", at.pointer(), fault.pointer),
                        fault.code,
                        fault.detail,
                    ));
                }
                None
            }
        }
    }

    fn design(&self, at: &At<'_>, faults: &mut Faults) -> Design {
        let ends = self.run.ends.as_ref().map_or([PLAIN_END; 2], |ends| {
            let mut ends = ends.as_slice().iter().map(end_design);
            [
                ends.next().unwrap_or(PLAIN_END),
                ends.next().unwrap_or(PLAIN_END),
            ]
        });
        Design {
            mark: self.mark.as_str().trim().to_owned(),
            quantity: self.quantity.map_or(1, |quantity| quantity.get() as u32),
            service: self.service.into(),
            design_pressure: self.design_pressure.get(),
            design_temperature: self.design_temperature.get(),
            build: self.build.into(),
            run: RunDesign {
                tube: Arc::clone(self.run.tube.get()),
                temper: self
                    .run
                    .temper
                    .map_or_else(|| self.run.tube.get().usual_temper(), Temper::from),
                ends,
                length: self.run.length.as_ref().map(SizeIn::get),
            },
            outlets: self.rows(&at.field("outlets"), faults),
            filler: self.filler.as_ref().map(|filler| Arc::clone(filler.get())),
            filler_wire: self.filler_wire.as_ref().map(SizeIn::get),
            conditions: self.conditions.as_ref().map_or_else(Vec::new, |names| {
                let names = names.as_slice().iter();
                names.map(|name| name.as_str().trim().to_owned()).collect()
            }),
            supply: self
                .supply
                .as_ref()
                .and_then(|supply| supply.read(&at.field("supply"), faults)),
        }
    }
}

impl ManifoldIn {
    fn rows(&self, at: &At<'_>, faults: &mut Faults) -> Vec<OutletRow> {
        let rows = self.outlets.as_slice().iter().enumerate();
        rows.map(|(index, row)| outlet_row(row, row.duty(&at.index(index), faults)))
            .collect()
    }
}

/// An end that nothing is said of.
pub const PLAIN_END: EndDesign = EndDesign {
    kind: EndKind::Plain,
    beyond: None,
    joins: Metal::Copper,
};

/// The end it describes.
pub fn end_design(end: &EndIn) -> EndDesign {
    EndDesign {
        kind: match end.kind {
            EndName::Plain => EndKind::Plain,
            EndName::Cap => EndKind::Cap,
            EndName::Coupling => EndKind::Coupling,
        },
        beyond: end.beyond.as_ref().map(SizeIn::get),
        joins: end.joins.map_or(Metal::Copper, Metal::from),
    }
}

/// The row it describes, feeding that.
pub fn outlet_row(row: &OutletRowIn, duty: OutletDuty) -> OutletRow {
    OutletRow {
        tube: Arc::clone(row.tube.get()),
        station: row.station.as_ref().map(SizeIn::get),
        count: row.count.map(|count| count.get() as u32),
        first: row.first.as_ref().map(SizeIn::get),
        pitch: row.pitch.as_ref().map(SizeIn::get),
        clock: row.clock.as_ref().map_or(Angle::ZERO, AngleIn::get),
        stub: row.stub.get(),
        flow: row.flow.as_ref().map(FlowRateIn::get),
        duty,
        collar: GivenCollar {
            pilot: row.pilot.as_ref().map(SizeIn::get),
            height: row.collar_height.as_ref().map(SizeIn::get),
        },
        joins: row.joins.map_or(Metal::Copper, Metal::from),
    }
}

/// Resolves the manifolds of a bulk call, each by itself.
pub fn resolve_each<const MAX: usize>(
    manifolds: Each<ManifoldIn, MAX>,
    catalogue: &Catalogue,
) -> Vec<Result<Manifold, Faults>> {
    let body = At::BODY;
    let list = body.field("manifolds");
    manifolds
        .into_vec()
        .into_iter()
        .enumerate()
        .map(|(index, item)| {
            let mut faults = Faults::new();
            item?
                .resolve(catalogue, &list.index(index), &mut faults)
                .ok_or(faults)
        })
        .collect()
}
