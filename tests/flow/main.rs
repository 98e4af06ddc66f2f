//! Flow held against tools from outside; `tests/outside/make_flow_fixtures.py` made the figures
//! and names its versions in every file.

#![expect(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod fluids;
mod headers;
mod holding;
mod losses;
mod sizing;

use std::sync::Arc;

use offtake::trade::catalogue::Catalogue;
use offtake::trade::flow::case::Case;
use offtake::trade::flow::fluid::Fluid;
use offtake::trade::flow::outcome::Outcome;
use offtake::trade::manifold::{
    Build, Design, DesignFault, Drive, EndDesign, EndKind, EndUse, Feed, LossMethod, Manifold,
    OutletDuty, OutletRow, ReturnHeader, ReturnPath, RunDesign, Supply,
};
use offtake::trade::metal::Metal;
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Angle, FlowRate, Length, Pressure, Temperature};
use offtake::trade::service::Service;
use offtake::trade::tube::{Temper, Tube};

/// Rows of a fixture.
fn rows(text: &str) -> Vec<serde_json::Value> {
    let file: serde_json::Value = serde_json::from_str(text).unwrap();
    assert!(file["made_by"]["script"].is_string());
    file["rows"].as_array().unwrap().clone()
}

fn tube(id: &str) -> Arc<Tube> {
    Arc::clone(Catalogue::built_in().unwrap().tube(id).unwrap())
}

fn close(ours: f64, theirs: f64, part: f64) -> bool {
    (ours - theirs).abs() <= part * theirs.abs().max(1e-12)
}

/// A header with one row an outlet, open at both ends, fed with a head of 1 m.
fn header(run: &str, branch: &str, stations: &[f64], length: f64) -> Design {
    let end = EndDesign {
        kind: EndKind::Plain,
        beyond: None,
        joins: Metal::Copper,
    };
    Design {
        mark: "F-1".to_owned(),
        quantity: 1,
        service: Service::HydronicHeating,
        design_pressure: Pressure::bar(5.0),
        design_temperature: Temperature::celsius(60.0),
        build: Build::TeesBrazed,
        run: RunDesign {
            tube: tube(run),
            temper: Temper::Drawn,
            ends: [end, end],
            length: Some(Length::metres(length)),
        },
        outlets: stations
            .iter()
            .map(|station| OutletRow {
                tube: tube(branch),
                station: Some(Length::metres(*station)),
                count: None,
                first: None,
                pitch: None,
                clock: Angle::ZERO,
                stub: Length::metres(0.08),
                flow: None,
                duty: OutletDuty::default(),
                collar: GivenCollar::default(),
                joins: Metal::Copper,
            })
            .collect(),
        filler: None,
        filler_wire: None,
        conditions: Vec::new(),
        supply: Some(supply(Drive::Head(Length::metres(1.0)), Feed::FirstEnd)),
    }
}

fn supply(drive: Drive, feed: Feed) -> Supply {
    Supply {
        drive,
        feed: Some(feed),
        back: None,
        fluid: Fluid::Water,
        temperature: None,
        losses: LossMethod::TeeFactors,
    }
}

fn resolved(design: Design) -> Manifold {
    Manifold::resolve(design, Catalogue::built_in().unwrap()).unwrap()
}

fn case(design: Design) -> Result<Case, Vec<DesignFault>> {
    Case::of(&resolved(design))
}

fn solved(design: Design) -> Outcome {
    let outcome = Outcome::of(&case(design).unwrap());
    assert!(outcome.converged, "{outcome:?}");
    outcome
}

fn litres(outcome: &Outcome) -> Vec<f64> {
    outcome
        .outlets
        .iter()
        .map(|outlet| outlet.flow.in_litres_per_second())
        .collect()
}
