//! How fast manifolds are laid out and drawn, held against reading the drawing back.
//!
//! `cargo bench --bench layout` prints, for 2, 12, 60 and 200 outlets, the median time of each
//! step over that of parsing the finished SVG with roxmltree in the same run: a ratio says the
//! same on every machine, a time does not.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a benchmark may fail by panicking, and prints what it measured"
)]

mod timing;

use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;

use offtake::documents::drawing::{dxf, shop_drawing};
use offtake::shop::settings::Units;
use offtake::trade::catalogue::Catalogue;
use offtake::trade::layout::Layout;
use offtake::trade::manifold::{
    Build, Design, EndDesign, EndKind, Manifold, OutletDuty, OutletRow, RunDesign,
};
use offtake::trade::metal::Metal;
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Angle, Length, Pressure, Temperature};
use offtake::trade::rule_set::RuleSet;
use offtake::trade::service::Service;
use offtake::trade::tube::Temper;
use timing::median;

/// A formed manifold of 1 in branches every 5 in on a 2 in run.
fn manifold(catalogue: &Catalogue, count: u32) -> Manifold {
    let tube = |id: &str| Arc::clone(catalogue.tube(id).unwrap());
    let end = EndDesign {
        kind: EndKind::Plain,
        beyond: Some(Length::inches(4.0)),
        joins: Metal::Copper,
    };
    let design = Design {
        mark: "B-1".to_owned(),
        quantity: 1,
        service: Service::HydronicHeating,
        design_pressure: Pressure::psi(75.0),
        design_temperature: Temperature::fahrenheit(180.0),
        build: Build::FormedOutlets,
        run: RunDesign {
            tube: tube("b88-l-2"),
            temper: Temper::Drawn,
            ends: [end; 2],
            length: None,
        },
        outlets: vec![OutletRow {
            tube: tube("b88-l-1"),
            station: None,
            count: Some(count),
            first: Some(Length::inches(4.0)),
            pitch: Some(Length::inches(5.0)),
            clock: Angle::ZERO,
            stub: Length::inches(3.0),
            flow: None,
            duty: OutletDuty::default(),
            collar: GivenCollar::default(),
            joins: Metal::Copper,
        }],
        filler: None,
        filler_wire: None,
        conditions: Vec::new(),
        supply: None,
    };
    Manifold::resolve(design, catalogue).unwrap()
}

/// Goes of each measurement.
const GOES: usize = 101;

fn main() {
    let catalogue = Catalogue::load().unwrap();
    let rules = RuleSet::default_set();
    println!("outlets  layout/parse  SVG/parse  DXF/parse  layouts with SVG a second");
    for count in [2, 12, 60, 200] {
        let manifold = manifold(&catalogue, count);
        let layout = Layout::of(&manifold, &catalogue, &rules);
        let svg = shop_drawing(&manifold, &layout, Units::Imperial).svg;
        let parse = median(GOES, || {
            black_box(roxmltree::Document::parse(black_box(&svg)).unwrap());
        });
        let lay_out = median(GOES, || {
            black_box(Layout::of(black_box(&manifold), &catalogue, &rules));
        });
        let draw = median(GOES, || {
            black_box(shop_drawing(black_box(&manifold), &layout, Units::Imperial));
        });
        let cad = median(GOES, || {
            black_box(dxf(black_box(&manifold), &layout, Units::Imperial));
        });
        let over = |time: Duration| time.as_secs_f64() / parse.as_secs_f64();
        println!(
            "{count:>7}  {:>12.3}  {:>9.2}  {:>9.2}  {:>12.0}",
            over(lay_out),
            over(draw),
            over(cad),
            1.0 / (lay_out + draw).as_secs_f64()
        );
    }
}
