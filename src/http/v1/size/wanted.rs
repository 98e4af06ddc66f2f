//! What is wanted of a manifold whose sizes are asked for.

use std::sync::Arc;

use crate::http::v1::figures::Upto;
use crate::http::v1::manifold::{
    BuildName, DesignPressureIn, DropIn, EndIn, MOST_COEFFICIENT, MOST_POINTS, Named, OutletRowIn,
    PLAIN_END, ServiceIn, SizeIn, SupplyIn, end_design, number, outlet_row,
};
use crate::http::wire::{
    AngleIn, At, Faults, FlowRateIn, List, TemperatureIn, Text, VelocityIn, Whole, code, wire_enum,
    wire_struct,
};
use crate::trade::catalogue::Catalogue;
use crate::trade::manifold::{
    Build, Design, EndDesign, MOST_OUTLETS, OutletRow, RunDesign, Supply,
};
use crate::trade::quantity::Velocity;
use crate::trade::sizing::{Limits, Wanted};
use crate::trade::tube::{Temper, Tube, WallType};

wire_enum! {
    /// A type of water tube.
    pub enum TubeTypeName {
        /// Thick.
        K = "K",
        /// Medium.
        L = "L",
        /// Thin.
        M = "M",
    }
}

wire_struct! {
    /// Outlets wanted: one at `station`, or `count` of them from `first` every `pitch`.
    pub struct WantedRowIn {
        /// Tube id of the branches, where it is settled; else sizes are tried.
        #[example = "b88-l-1"]
        tube: Option<Named<Tube>>,
        /// Station of a single outlet.
        #[example = "4 in"]
        station: Option<SizeIn>,
        /// How many outlets.
        #[example = 6]
        count: Option<Whole<1, 1_000_000>>,
        /// Station of the first of them.
        #[example = "6 in"]
        first: Option<SizeIn>,
        /// From centre to centre.
        #[example = "8 in"]
        pitch: Option<SizeIn>,
        /// Turned about the run from the scribe line; 0 when not given.
        #[example = "0 deg"]
        clock: Option<AngleIn>,
        /// Length of the branch above the outer surface of the run.
        #[example = "3 in"]
        stub: SizeIn,
        /// Flow wanted through each.
        #[example = "6 gpm"]
        flow: FlowRateIn,
        /// Flow coefficient of what the branch feeds, US gallons a minute at 1 psi. With one of
        /// `cv`, `kv`, `drop` and `curve` the split settles by itself and must be even enough;
        /// without, each outlet is taken to be held to its flow.
        #[example = 4]
        cv: Option<Upto<MOST_COEFFICIENT>>,
        /// The same in cubic metres an hour at 1 bar.
        #[example = 3.5]
        kv: Option<Upto<MOST_COEFFICIENT>>,
        /// What it loses at one flow.
        drop: Option<DropIn>,
        /// What it loses at several flows.
        curve: Option<List<DropIn, MOST_POINTS>>,
        /// Loss factors of valves and bends in the branch, on its velocity head.
        #[example = 1.5]
        loss_factor: Option<Upto<MOST_COEFFICIENT>>,
    }
}

wire_struct! {
    /// Limits to keep.
    #[example = {"velocity": "4 ft/s", "spread": 0.1}]
    pub struct LimitsIn {
        /// Fastest water; what the trade advises for service and temperature when not given.
        #[example = "4 ft/s"]
        velocity: Option<VelocityIn>,
        /// Widest split: greatest less least over the mean; 0.1 when not given.
        #[example = 0.1]
        spread: Option<Upto<10>>,
        /// Most head that it may need.
        #[example = "10 ft"]
        head: Option<SizeIn>,
    }
}

wire_struct! {
    /// What is wanted of a manifold.
    pub struct WantedIn {
        /// Its mark.
        #[example = "H-1"]
        mark: Text<40>,
        /// How many alike; one when not given.
        #[example = 1]
        quantity: Option<Whole<1, 10_000>>,
        /// What it carries.
        #[example = "hydronic_heating"]
        service: ServiceIn,
        /// Design pressure, gauge.
        #[example = "75 psi"]
        design_pressure: DesignPressureIn,
        /// Design temperature.
        #[example = "130 degF"]
        design_temperature: TemperatureIn,
        /// Builds to try; formed outlets and tees, brazed and soldered, when not given.
        #[example = ["formed_outlets", "tees_brazed"]]
        builds: Option<List<BuildName, 3, 1>>,
        /// Tube types to try (ASTM B88); L and K and M when not given.
        #[example = ["L"]]
        types: Option<List<TubeTypeName, 3, 1>>,
        /// Tube id of the run, where it is settled; else sizes are tried.
        #[example = "b88-l-2"]
        run: Option<Named<Tube>>,
        /// First and second end; both plain when not given.
        #[example = [{"kind": "cap"}, {"kind": "plain", "beyond": "6 in"}]]
        ends: Option<List<EndIn, 2, 2>>,
        /// Finished length; else it follows from the outlets and `beyond` of the second end.
        #[example = "52 in"]
        length: Option<SizeIn>,
        /// Outlets wanted.
        outlets: List<WantedRowIn, MOST_OUTLETS>,
        /// How it is fed; with all the flow that is wanted when not given.
        supply: Option<SupplyIn>,
        /// Limits to keep.
        limits: Option<LimitsIn>,
    }
}

/// Builds that are tried when none are named. What is bought is for its maker to size.
const USUAL_BUILDS: [Build; 3] = [Build::FormedOutlets, Build::TeesBrazed, Build::TeesSoldered];

impl WantedRowIn {
    /// The row with a tube in its place.
    fn with(&self, tube: &Arc<Tube>) -> OutletRowIn {
        OutletRowIn {
            tube: Named::known(Arc::clone(tube)),
            station: self.station.clone(),
            count: self.count,
            first: self.first.clone(),
            pitch: self.pitch.clone(),
            clock: self.clock.clone(),
            stub: self.stub.clone(),
            flow: Some(self.flow.clone()),
            cv: self.cv,
            kv: self.kv,
            drop: self.drop.clone(),
            curve: self.curve.clone(),
            loss_factor: self.loss_factor,
            pilot: None,
            collar_height: None,
            joins: None,
        }
    }
}

impl WantedIn {
    /// What it describes, every fault reported under `at`.
    pub fn read(&self, at: &At<'_>, faults: &mut Faults) -> Option<Wanted> {
        let before = faults.count();
        let stand_in = stand_in(self.run.as_ref())?;
        let supply = self
            .supply
            .as_ref()
            .map(|supply| supply.read(&at.field("supply"), faults));
        let limits = self.limits(&at.field("limits"), faults);
        let rows = self.rows(&stand_in, &at.field("outlets"), faults);
        let design = self.design(stand_in, rows, supply.flatten());
        let builds = self.builds.as_ref().map_or(USUAL_BUILDS.to_vec(), |list| {
            list.as_slice().iter().map(|it| Build::from(*it)).collect()
        });
        if builds.contains(&Build::Purchased) {
            let detail =
                "what is bought ready-made is for its maker to size; leave \"purchased\" out";
            faults.report(&at.field("builds"), code::UNKNOWN_VALUE, detail);
        }
        (faults.count() == before).then(|| Wanted {
            design,
            run: self.run.as_ref().map(|run| Arc::clone(run.get())),
            branches: self
                .outlets
                .as_slice()
                .iter()
                .map(|row| row.tube.as_ref().map(|tube| Arc::clone(tube.get())))
                .collect(),
            builds,
            types: self.types(),
            limits,
        })
    }

    fn design(&self, tube: Arc<Tube>, rows: Vec<OutletRow>, supply: Option<Supply>) -> Design {
        Design {
            mark: self.mark.as_str().trim().to_owned(),
            quantity: self.quantity.map_or(1, |quantity| quantity.get() as u32),
            service: self.service.into(),
            design_pressure: self.design_pressure.get(),
            design_temperature: self.design_temperature.get(),
            build: Build::FormedOutlets,
            run: RunDesign {
                tube,
                temper: Temper::Drawn,
                ends: self.ends(),
                length: self.length.as_ref().map(SizeIn::get),
            },
            outlets: rows,
            filler: None,
            filler_wire: None,
            conditions: Vec::new(),
            supply,
        }
    }

    fn rows(&self, tube: &Arc<Tube>, at: &At<'_>, faults: &mut Faults) -> Vec<OutletRow> {
        let rows = self.outlets.as_slice().iter().enumerate();
        rows.map(|(index, row)| {
            let row = row.with(tube);
            outlet_row(&row, row.duty(&at.index(index), faults))
        })
        .collect()
    }

    fn ends(&self) -> [EndDesign; 2] {
        let mut given = self.ends.iter().flat_map(|ends| ends.as_slice());
        [(); 2].map(|()| given.next().map_or(PLAIN_END, end_design))
    }

    fn types(&self) -> Vec<WallType> {
        self.types
            .as_ref()
            .map_or(vec![WallType::M, WallType::L, WallType::K], |list| {
                let types = list.as_slice().iter();
                types
                    .map(|name| match name {
                        TubeTypeName::K => WallType::K,
                        TubeTypeName::L => WallType::L,
                        TubeTypeName::M => WallType::M,
                    })
                    .collect()
            })
    }

    fn limits(&self, at: &At<'_>, faults: &mut Faults) -> Limits {
        let Some(limits) = &self.limits else {
            return Limits::default();
        };
        let velocity = limits.velocity.as_ref();
        if let Some(given) = velocity
            && given.get() <= Velocity::ZERO
        {
            let at = at.field("velocity");
            let detail = format!(
                "{} is {}; give a velocity above zero",
                at.name(),
                given.written()
            );
            faults.report(&at, code::OUT_OF_RANGE, detail);
        }
        Limits {
            velocity: velocity.map(VelocityIn::get),
            spread: limits.spread.as_ref().map(number),
            head: limits.head.as_ref().map(SizeIn::get),
        }
    }
}

/// Stands where sizes are tried; never part of an answer.
fn stand_in(run: Option<&Named<Tube>>) -> Option<Arc<Tube>> {
    if let Some(run) = run {
        return Some(Arc::clone(run.get()));
    }
    let catalogue = Catalogue::built_in().ok()?;
    catalogue.tubes().first().map(Arc::clone)
}
