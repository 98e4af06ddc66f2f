//! How long it takes to work out a header, and to size one, against checking it in the same run.
//!
//! `cargo bench --bench flow` prints ratios to one check of the same manifold; the times of
//! another machine differ, the ratios little.

#![expect(clippy::unwrap_used, reason = "a bench may fail by panicking")]
#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod timing;

use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;

use offtake::trade::catalogue::Catalogue;
use offtake::trade::check::check;
use offtake::trade::flow::case::Case;
use offtake::trade::flow::outcome::Outcome;
use offtake::trade::manifold::{
    Build, Design, DropPoint, EndDesign, EndKind, EndUse, Loss, Manifold, OutletDuty, OutletRow,
    RunDesign, Supply,
};
use offtake::trade::metal::Metal;
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Angle, FlowRate, Length, Pressure, Temperature};
use offtake::trade::rule_set::RuleSet;
use offtake::trade::service::Service;
use offtake::trade::sizing::{Limits, Wanted, size};
use offtake::trade::tube::{Temper, WallType};
use timing::median;

/// A header of 1 in branches every 8 in, each wanting 6 gpm through a device that loses 4 ft.
fn design(catalogue: &Catalogue, count: u32) -> Design {
    let tube = |id: &str| Arc::clone(catalogue.tube(id).unwrap());
    let flow = FlowRate::gallons_per_minute(6.0);
    let end = EndDesign {
        kind: EndKind::Plain,
        beyond: Some(Length::inches(8.0)),
        joins: Metal::Copper,
    };
    Design {
        mark: "B-1".to_owned(),
        quantity: 1,
        service: Service::HydronicHeating,
        design_pressure: Pressure::psi(75.0),
        design_temperature: Temperature::fahrenheit(130.0),
        build: Build::FormedOutlets,
        run: RunDesign {
            tube: tube("b88-l-4"),
            temper: Temper::Drawn,
            ends: [end; 2],
            length: None,
        },
        outlets: vec![OutletRow {
            tube: tube("b88-l-1"),
            station: None,
            count: Some(count),
            first: Some(Length::inches(8.0)),
            pitch: Some(Length::inches(8.0)),
            clock: Angle::ZERO,
            stub: Length::inches(3.0),
            flow: Some(flow),
            duty: OutletDuty {
                end_use: Some(EndUse::Drop(DropPoint {
                    flow,
                    loss: Loss::Head(Length::feet(4.0)),
                })),
                loss_factor: 0.0,
            },
            collar: GivenCollar::default(),
            joins: Metal::Copper,
        }],
        filler: None,
        filler_wire: None,
        conditions: Vec::new(),
        supply: Some(Supply::of_flow(flow * f64::from(count))),
    }
}

fn main() {
    let catalogue = Catalogue::load().unwrap();
    let rules = RuleSet::default_set();
    println!("outlets  flow/check  sizing/check  tried  sizing in ms");
    for count in [2, 12, 60] {
        let design = design(&catalogue, count);
        let manifold = Manifold::resolve(design.clone(), &catalogue).unwrap();
        let wanted = Wanted {
            design,
            run: None,
            branches: vec![None],
            builds: vec![Build::FormedOutlets, Build::TeesBrazed, Build::TeesSoldered],
            types: vec![WallType::M, WallType::L, WallType::K],
            limits: Limits::default(),
        };
        let checking = median(101, || {
            black_box(check(black_box(&manifold), &catalogue, &rules));
        });
        let flowing = median(101, || {
            let case = Case::of(black_box(&manifold)).unwrap();
            black_box(Outcome::of(&case));
        });
        let mut tried = 0;
        let sizing = median(11, || {
            tried = size(black_box(&wanted), &catalogue, &rules).unwrap().tried;
        });
        let over = |time: Duration| time.as_secs_f64() / checking.as_secs_f64();
        println!(
            "{count:>7}  {:>10.2}  {:>12.0}  {tried:>5}  {:>12.1}",
            over(flowing),
            over(sizing),
            sizing.as_secs_f64() * 1000.0
        );
    }
}
