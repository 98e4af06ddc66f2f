//! A manifold as requests carry it, and its way to [`Manifold`].

use std::borrow::Cow;
use std::sync::Arc;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

use crate::http::wire::{
    AngleIn, At, Fault, Faults, FlowRateIn, FromWire, LengthIn, List, PressureIn, TemperatureIn,
    Text, Whole, code, given, wire_enum, wire_struct,
};
use crate::trade::catalogue::Catalogue;
use crate::trade::filler::Filler;
use crate::trade::manifold::{
    Build, Design, EndDesign, EndKind, MOST_OUTLETS, Manifold, OutletRow, RunDesign,
};
use crate::trade::outlet::GivenCollar;
use crate::trade::quantity::{Angle, Length, Pressure};
use crate::trade::service::Service;
use crate::trade::tube::{Temper, Tube};

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
        /// Hard.
        Drawn = "drawn",
    }
}

impl From<TemperName> for Temper {
    fn from(temper: TemperName) -> Self {
        match temper {
            TemperName::Annealed => Self::Annealed,
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

/// A thing of the catalogue named by its id; an unknown id is answered with the nearest ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Named<T>(Arc<T>);

impl<T> Named<T> {
    /// The thing.
    pub fn get(&self) -> &Arc<T> {
        &self.0
    }
}

/// What can be named by an id in a request.
pub trait InCatalogue: Sized + 'static {
    /// What it is, with its article.
    const WANTED: &'static str;
    /// An id that is there.
    const EXAMPLE: &'static str;
    /// The code of an unknown id.
    const UNKNOWN: &'static str;
    /// Finds it.
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>>;
    /// Ids like a wrong one.
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str>;
    /// Its id.
    fn id(&self) -> &str;
}

impl InCatalogue for Tube {
    const WANTED: &'static str = "a tube id";
    const EXAMPLE: &'static str = "b88-l-2";
    const UNKNOWN: &'static str = "unknown_tube";
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>> {
        catalogue.tube(id).cloned()
    }
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str> {
        catalogue.nearest_tubes(id, 3)
    }
    fn id(&self) -> &str {
        &self.id
    }
}

impl InCatalogue for Filler {
    const WANTED: &'static str = "a filler id";
    const EXAMPLE: &'static str = "BCuP-3";
    const UNKNOWN: &'static str = "unknown_filler";
    fn find(catalogue: &Catalogue, id: &str) -> Option<Arc<Self>> {
        catalogue.filler(id).cloned()
    }
    fn nearest<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<&'a str> {
        catalogue.nearest_fillers(id, 3)
    }
    fn id(&self) -> &str {
        &self.id
    }
}

impl<T: InCatalogue> Serialize for Named<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.id())
    }
}

impl<T: InCatalogue> FromWire for Named<T> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::String(id) = value else {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::WRONG_TYPE, detail);
            return None;
        };
        let catalogue = match Catalogue::built_in() {
            Ok(catalogue) => catalogue,
            Err(fault) => {
                faults.report(at, "catalogue_damaged", fault.to_string());
                return None;
            }
        };
        let found = T::find(catalogue, id.trim());
        if found.is_none() {
            let shown: String = id.chars().take(60).collect();
            let detail = format!(
                "{} is {shown:?}, which is not in the catalogue; the nearest are {}",
                at.name(),
                T::nearest(catalogue, &shown).join(", ")
            );
            faults.report(at, T::UNKNOWN, detail);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        format!("{} such as \"{}\"", T::WANTED, T::EXAMPLE).into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .description(Some(format!("{} of the catalogue.", T::WANTED)))
            .examples([T::EXAMPLE])
            .into()
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
        beyond: Option<LengthIn>,
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
        length: Option<LengthIn>,
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
        station: Option<LengthIn>,
        /// How many outlets.
        #[example = 6]
        count: Option<Whole<1, 1_000_000>>,
        /// Station of the first of them.
        #[example = "4 in"]
        first: Option<LengthIn>,
        /// From centre to centre.
        #[example = "5 in"]
        pitch: Option<LengthIn>,
        /// Turned about the run from the scribe line, clockwise seen from the first end; 0 when not given.
        #[example = "0 deg"]
        clock: Option<AngleIn>,
        /// Length of the branch above the outer surface of the run.
        #[example = "3 in"]
        stub: LengthIn,
        /// Flow wanted through each.
        #[example = "6 gpm"]
        flow: Option<FlowRateIn>,
        /// Diameter of the pilot hole, where the shop has settled it; else it is worked out.
        #[example = "0.88 in"]
        pilot: Option<LengthIn>,
        /// Height of the collar, where it was measured on a sample.
        #[example = "0.16 in"]
        collar_height: Option<LengthIn>,
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
        design_pressure: PressureIn,
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
    }
}

/// Longest run and stub that are taken: 100 m, far beyond any bench.
const LONGEST: Length = Length::metres(100.0);
/// Highest design pressure taken: far beyond any copper tube.
const HIGHEST: Pressure = Pressure::psi(10_000.0);

impl ManifoldIn {
    /// The manifold it describes, every fault reported under `at`.
    pub fn resolve(
        &self,
        catalogue: &Catalogue,
        at: &At<'_>,
        faults: &mut Faults,
    ) -> Option<Manifold> {
        let before = faults.count();
        self.judge_sizes(at, faults);
        if faults.count() > before {
            return None;
        }
        match Manifold::resolve(self.design(), catalogue) {
            Ok(manifold) => Some(manifold),
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

    fn judge_sizes(&self, at: &At<'_>, faults: &mut Faults) {
        let pressure = self.design_pressure.get();
        if pressure < Pressure::ZERO || pressure > HIGHEST {
            let at = at.field("design_pressure");
            let detail = format!(
                "{} is {}; give a gauge pressure from 0 to 10 000 psi",
                at.name(),
                self.design_pressure.written()
            );
            faults.report(&at, code::OUT_OF_RANGE, detail);
        }
        let run = at.field("run");
        positive(self.run.length.as_ref(), &run.field("length"), faults);
        let ends = run.field("ends");
        for (index, end) in self
            .run
            .ends
            .iter()
            .flat_map(|ends| ends.as_slice().iter().enumerate())
        {
            positive(
                end.beyond.as_ref(),
                &ends.index(index).field("beyond"),
                faults,
            );
        }
        let outlets = at.field("outlets");
        for (index, row) in self.outlets.as_slice().iter().enumerate() {
            let row_at = outlets.index(index);
            for (length, field) in [
                (row.station.as_ref(), "station"),
                (row.first.as_ref(), "first"),
                (row.pitch.as_ref(), "pitch"),
                (Some(&row.stub), "stub"),
                (row.pilot.as_ref(), "pilot"),
                (row.collar_height.as_ref(), "collar_height"),
            ] {
                positive(length, &row_at.field(field), faults);
            }
        }
    }

    fn design(&self) -> Design {
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
                temper: self.run.temper.map_or(Temper::Drawn, Temper::from),
                ends,
                length: self.run.length.as_ref().map(LengthIn::get),
            },
            outlets: self.outlets.as_slice().iter().map(outlet_row).collect(),
            filler: self.filler.as_ref().map(|filler| Arc::clone(filler.get())),
        }
    }
}

const PLAIN_END: EndDesign = EndDesign {
    kind: EndKind::Plain,
    beyond: None,
};

fn end_design(end: &EndIn) -> EndDesign {
    EndDesign {
        kind: match end.kind {
            EndName::Plain => EndKind::Plain,
            EndName::Cap => EndKind::Cap,
            EndName::Coupling => EndKind::Coupling,
        },
        beyond: end.beyond.as_ref().map(LengthIn::get),
    }
}

fn outlet_row(row: &OutletRowIn) -> OutletRow {
    OutletRow {
        tube: Arc::clone(row.tube.get()),
        station: row.station.as_ref().map(LengthIn::get),
        count: row.count.map(|count| count.get() as u32),
        first: row.first.as_ref().map(LengthIn::get),
        pitch: row.pitch.as_ref().map(LengthIn::get),
        clock: row.clock.as_ref().map_or(Angle::ZERO, AngleIn::get),
        stub: row.stub.get(),
        flow: row.flow.as_ref().map(FlowRateIn::get),
        collar: GivenCollar {
            pilot: row.pilot.as_ref().map(LengthIn::get),
            height: row.collar_height.as_ref().map(LengthIn::get),
        },
    }
}

fn positive(length: Option<&LengthIn>, at: &At<'_>, faults: &mut Faults) {
    let Some(length) = length else { return };
    let value = length.get();
    if value <= Length::ZERO || value > LONGEST {
        let detail = format!(
            "{} is {}; give a length above zero, up to 100 m",
            at.name(),
            length.written()
        );
        faults.report(at, code::OUT_OF_RANGE, detail);
    }
}

/// A list whose items are read each by itself: one bad item never spoils the rest.
#[derive(Debug, Clone)]
pub struct Each<T, const MAX: usize>(Vec<Result<T, Faults>>);

impl<T, const MAX: usize> Each<T, MAX> {
    /// The items in order, each read or with its faults.
    pub fn into_items(self) -> Vec<Result<T, Faults>> {
        self.0
    }
}

impl<T: FromWire, const MAX: usize> Serialize for Each<T, MAX> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // Only whole requests are kept and echoed; a list read item by item never is.
        serializer.serialize_none()
    }
}

impl<T: FromWire, const MAX: usize> FromWire for Each<T, MAX> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::Array(items) = value else {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::WRONG_TYPE, detail);
            return None;
        };
        if items.is_empty() || items.len() > MAX {
            let code = if items.is_empty() {
                code::TOO_FEW
            } else {
                code::TOO_MANY
            };
            let detail = format!(
                "{} has {} items; give {}",
                at.name(),
                items.len(),
                Self::wanted()
            );
            faults.report(at, code, detail);
            return None;
        }
        let read = |(index, item)| {
            let mut own = Faults::new();
            T::read(item, &at.index(index), &mut own).ok_or(own)
        };
        Some(Self(items.iter().enumerate().map(read).collect()))
    }

    fn wanted() -> Cow<'static, str> {
        format!("a list of 1 to {MAX} items").into()
    }

    fn schema() -> RefOr<Schema> {
        <List<T, MAX> as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        T::components(list);
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
        .into_items()
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
