//! Designs to try rules on.

use std::sync::Arc;

use offtake::trade::catalogue::Catalogue;
use offtake::trade::check::{Checked, check};
use offtake::trade::manifold::{
    Build, Design, DesignFault, EndDesign, EndKind, Manifold, OutletDuty, OutletRow, RunDesign,
};
use offtake::trade::metal::Metal;
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Angle, Length, Pressure, Temperature};
use offtake::trade::rule_set::RuleSet;
use offtake::trade::service::Service;
use offtake::trade::tube::{Temper, Tube};

pub fn catalogue() -> &'static Catalogue {
    Catalogue::built_in().unwrap()
}

pub fn tube(id: &str) -> Arc<Tube> {
    Arc::clone(catalogue().tube(id).unwrap())
}

pub fn inches(value: f64) -> Length {
    Length::inches(value)
}

/// A row of `count` outlets.
pub fn row(branch: &str, count: u32, first: f64, pitch: f64) -> OutletRow {
    OutletRow {
        tube: tube(branch),
        station: None,
        count: Some(count),
        first: Some(inches(first)),
        pitch: Some(inches(pitch)),
        clock: Angle::ZERO,
        stub: inches(3.0),
        flow: None,
        duty: OutletDuty::default(),
        collar: GivenCollar::default(),
        joins: Metal::Copper,
    }
}

/// A heating manifold of 2 in type L with four 1 in outlets, 24 in long: nothing stops it.
pub fn sound() -> Design {
    Design {
        mark: "T-1".to_owned(),
        quantity: 1,
        service: Service::HydronicHeating,
        design_pressure: Pressure::psi(75.0),
        design_temperature: Temperature::fahrenheit(180.0),
        build: Build::FormedOutlets,
        run: RunDesign {
            tube: tube("b88-l-2"),
            temper: Temper::Drawn,
            ends: [EndDesign {
                kind: EndKind::Plain,
                beyond: None,
                joins: Metal::Copper,
            }; 2],
            length: Some(inches(24.0)),
        },
        outlets: vec![row("b88-l-1", 4, 4.0, 5.0)],
        filler: None,
        filler_wire: None,
        conditions: Vec::new(),
        supply: None,
    }
}

/// A design changed from the sound one.
pub fn changed(change: impl FnOnce(&mut Design)) -> Design {
    let mut design = sound();
    change(&mut design);
    design
}

pub fn resolved(design: Design) -> Result<Manifold, Vec<DesignFault>> {
    Manifold::resolve(design, catalogue())
}

pub fn checked(design: Design) -> Checked {
    let manifold = resolved(design).unwrap();
    check(&manifold, catalogue(), &RuleSet::default_set())
}
