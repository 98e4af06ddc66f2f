//! Designs and quotes to print, all invented.

use std::sync::Arc;

use jiff::civil::date;
use offtake::documents::drawing::{Drawing, FigureStyle, drawing, sheets, shop_drawing};
use offtake::shop::money::Currency;
use offtake::shop::own::OwnFiles;
use offtake::shop::quote::{
    Customer, HoursRecord, ListReference, OfferedManifold, OptionPrice, Presentation, PriceLine,
    QuoteRecord, QuotedManifold, QuotedOption, RECORD_FORM, Totals,
};
use offtake::shop::settings::{Letterhead, Paper, Pricing, Quoting, Shop, Style, Units};
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
use rust_decimal::{Decimal, dec};

/// A row of outlets, in inches and degrees.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// The branch tube.
    pub tube: &'static str,
    /// How many.
    pub count: u32,
    /// Station of the first.
    pub first: f64,
    /// Centre to centre.
    pub pitch: f64,
    /// Clock position.
    pub clock: f64,
    /// Stub length.
    pub stub: f64,
}

/// A row of 1 in branches, straight up.
pub const fn row(count: u32, first: f64, pitch: f64) -> Row {
    Row {
        tube: "b88-l-1",
        count,
        first,
        pitch,
        clock: 0.0,
        stub: 3.0,
    }
}

/// A manifold with a 2 in run, a cap and a plain end 4 in beyond the last outlet.
pub fn manifold(mark: &str, build: Build, rows: &[Row]) -> Manifold {
    on_run(mark, build, "b88-l-2", rows)
}

/// The same on another run.
pub fn on_run(mark: &str, build: Build, run: &str, rows: &[Row]) -> Manifold {
    let catalogue = Catalogue::load().unwrap();
    let tube = |id: &str| Arc::clone(catalogue.tube(id).unwrap());
    let end = |kind, beyond: Option<f64>| EndDesign {
        kind,
        beyond: beyond.map(Length::inches),
        joins: Metal::Copper,
    };
    let design = Design {
        mark: mark.to_owned(),
        quantity: 2,
        service: Service::HydronicHeating,
        design_pressure: Pressure::psi(75.0),
        design_temperature: Temperature::fahrenheit(180.0),
        build,
        run: RunDesign {
            tube: tube(run),
            temper: Temper::Drawn,
            ends: [end(EndKind::Cap, None), end(EndKind::Plain, Some(4.0))],
            length: None,
        },
        outlets: rows
            .iter()
            .map(|row| OutletRow {
                tube: tube(row.tube),
                station: None,
                count: Some(row.count),
                first: Some(Length::inches(row.first)),
                pitch: Some(Length::inches(row.pitch)),
                clock: Angle::degrees(row.clock),
                stub: Length::inches(row.stub),
                flow: None,
                duty: OutletDuty::default(),
                collar: GivenCollar::default(),
                joins: Metal::Copper,
            })
            .collect(),
        filler: None,
        filler_wire: None,
        conditions: Vec::new(),
        supply: None,
    };
    Manifold::resolve(design, &catalogue).unwrap()
}

/// Its drawing.
pub fn drawn(manifold: &Manifold, figures: impl Into<FigureStyle>) -> Drawing {
    let catalogue = Catalogue::load().unwrap();
    let layout = Layout::of(manifold, &catalogue, &RuleSet::default_set());
    drawing(manifold, &layout, figures)
}

/// Its drawing on one page, with all the views it needs, and on sheets.
pub fn drawings(manifold: &Manifold, figures: impl Into<FigureStyle>) -> Vec<Drawing> {
    let figures = figures.into();
    let catalogue = Catalogue::load().unwrap();
    let layout = Layout::of(manifold, &catalogue, &RuleSet::default_set());
    let mut all = vec![
        drawing(manifold, &layout, figures),
        shop_drawing(manifold, &layout, figures),
    ];
    all.extend(sheets(manifold, &layout, figures, SHEETS));
    all
}

/// Heights of the first sheet and of the others.
pub const SHEETS: (f64, f64) = (850.0, 940.0);

/// Manifolds that between them show everything a drawing can.
pub fn manifolds() -> Vec<(&'static str, Manifold)> {
    let clocked = [
        Row {
            clock: 90.0,
            ..row(3, 4.0, 6.0)
        },
        Row {
            tube: "b88-l-0.75",
            clock: 270.0,
            stub: 2.5,
            ..row(3, 7.0, 6.0)
        },
        Row {
            clock: 45.0,
            stub: 4.0,
            ..row(1, 22.0, 1.0)
        },
        Row {
            clock: 180.0,
            ..row(1, 22.0, 1.0)
        },
    ];
    let formed = Build::FormedOutlets;
    vec![
        ("two", manifold("H-1", formed, &[row(2, 4.5, 5.0)])),
        ("six", manifold("H-2", formed, &[row(6, 4.0, 5.0)])),
        ("clocked", manifold("H-3", formed, &clocked)),
        ("twelve", manifold("H-4", formed, &[row(12, 4.0, 4.8125)])),
        ("sixty", manifold("H-5", formed, &[row(60, 4.0, 5.0)])),
        (
            "crowded",
            on_run(
                "H-6",
                formed,
                "b88-l-1.5",
                &[Row {
                    tube: "b88-l-0.5",
                    ..row(60, 2.0, 1.1875)
                }],
            ),
        ),
        (
            "most",
            on_run(
                "H-7",
                formed,
                "b88-l-3",
                &[
                    Row {
                        tube: "b88-l-0.75",
                        ..row(100, 4.0, 2.5)
                    },
                    Row {
                        tube: "b88-l-0.5",
                        clock: 180.0,
                        ..row(100, 5.375, 2.5)
                    },
                ],
            ),
        ),
        (
            "tees",
            manifold(
                "T-1",
                Build::TeesBrazed,
                &[
                    row(2, 6.0, 7.25),
                    Row {
                        tube: "b88-l-0.75",
                        ..row(2, 20.0, 3.0)
                    },
                ],
            ),
        ),
        (
            "bought",
            manifold("P-1", Build::Purchased, &[row(4, 4.0, 5.0)]),
        ),
        (
            "long",
            on_run(
                "L-1",
                formed,
                "b88-l-1.25",
                &[Row {
                    tube: "b88-l-0.75",
                    ..row(2, 10.0, 300.0)
                }],
            ),
        ),
        (
            "odd mark",
            manifold(
                "Ø<&>\"'½″ \u{7ba1}\u{0}]]> *b* #x",
                formed,
                &[row(3, 4.0, 5.0)],
            ),
        ),
    ]
}

/// A quote of manifolds, each with its drawing; prices rise from line to line.
pub fn record(manifolds: &[Manifold], (units, paper): (Units, Paper)) -> QuoteRecord {
    let currency = Currency::new("USD").unwrap();
    let mut unit_price = dec!(1043.17);
    let manifolds: Vec<QuotedManifold> = manifolds
        .iter()
        .map(|manifold| {
            unit_price += dec!(17.35);
            quoted(manifold, units, unit_price)
        })
        .collect();
    let net: Decimal = manifolds.iter().map(|made| made.amount).sum();
    let tax = currency.round(net * dec!(0.0725));
    let reference = ListReference {
        id: "018f".to_owned(),
        name: "Spring list".to_owned(),
        effective_on: date(2026, 3, 1),
    };
    QuoteRecord {
        form: RECORD_FORM,
        shop: shop(currency, units, paper),
        customer: customer(),
        project: "Boiler room, east wing".to_owned(),
        note: "Thank you for asking us. Delivery three weeks after your order.".to_owned(),
        forming_profile: None,
        rule_set: "offtake-1".to_owned(),
        price_list: reference.clone(),
        labour_model: reference,
        presentation: Presentation::Itemised,
        manifolds,
        options: Vec::new(),
        build_up: vec![PriceLine {
            head: "overhead".to_owned(),
            text: "SECRET OVERHEAD".to_owned(),
            quantity: dec!(1),
            unit: "lot".to_owned(),
            unit_price: dec!(987.65),
            amount: dec!(987.65),
            basis: "SECRET BASIS".to_owned(),
        }],
        hours: vec![HoursRecord {
            operation: "SECRET OPERATION".to_owned(),
            hours: dec!(7.77),
            basis: "SECRET HOURS".to_owned(),
            source: "demo".to_owned(),
        }],
        honesty: vec!["Times of work are invented for the demonstration.".to_owned()],
        remarks: vec!["SECRET REMARK".to_owned()],
        totals: Totals {
            currency,
            net,
            tax_text: "Sales tax 7.25 %".to_owned(),
            tax,
            gross: net + tax,
            taxes: Vec::new(),
        },
        request: "{}".to_owned(),
    }
}

/// An option of that manifold; its amounts are as odd as amounts are.
pub fn option(name: &str, instead_of: Option<&str>, made: &Manifold, net: Decimal) -> QuotedOption {
    let tax = (net * dec!(0.0725)).round_dp(2);
    QuotedOption {
        name: name.to_owned(),
        instead_of: instead_of.map(str::to_owned),
        manifold: quoted(made, Units::Imperial, Decimal::ONE).offered,
        price: OptionPrice {
            net,
            tax,
            gross: net + tax,
            taxes: Vec::new(),
            heads: [("SECRET HEAD".to_owned(), net)].into(),
            hours: [("SECRET OPERATION".to_owned(), dec!(6.66))].into(),
        },
    }
}

fn quoted(manifold: &Manifold, units: Units, unit_price: Decimal) -> QuotedManifold {
    let Drawing { svg, description } = drawn(manifold, units);
    let (run, count) = (&manifold.run.tube, manifold.outlets.len());
    let offered = OfferedManifold {
        mark: manifold.mark.clone(),
        quantity: manifold.quantity,
        build: manifold.build.word().to_owned(),
        description: format!(
            "Manifold of {} copper tube with {count} outlets, {}.",
            run.call_out(),
            manifold.build.spoken()
        ),
        particulars: vec![
            (
                "Run".to_owned(),
                format!("{}, {}", run.call_out(), run.standard.name()),
            ),
            ("Design".to_owned(), "75 psi gauge at 180 °F".to_owned()),
            (
                "Rated pressure".to_owned(),
                "188 psi gauge, governed by the run".to_owned(),
            ),
            (
                "Joints".to_owned(),
                format!("{} brazed with {}", count + 1, manifold.filler.id),
            ),
        ],
        cautions: vec![
            "The draw is hard for this size: prove the pilot on a sample of the same tube first."
                .to_owned(),
        ],
        drawing: svg,
        drawing_text: description,
    };
    QuotedManifold {
        offered,
        unit_price,
        amount: unit_price * Decimal::from(manifold.quantity),
    }
}

fn shop(currency: Currency, units: Units, paper: Paper) -> Shop {
    let lines = |lines: &[&str]| lines.iter().map(|line| (*line).to_owned()).collect();
    Shop {
        letterhead: Letterhead {
            name: "Example Pipe Works".to_owned(),
            address: lines(&["12 Sample Street", "Springfield"]),
            phone: "555 0100".to_owned(),
            email: "office@example.com".to_owned(),
            registration: "Contractor licence 000000".to_owned(),
        },
        currency,
        units,
        paper,
        style: Style::default(),
        own: OwnFiles::default(),
        pricing: Pricing::default(),
        quoting: Quoting {
            inclusions: lines(&[
                "Tube, fittings and filler",
                "Shop test with water",
                "Packing",
            ]),
            exclusions: lines(&["Site work", "Insulation", "Valves"]),
            terms: lines(&[
                "Payment within 30 days of delivery.",
                "Prices hold for the whole schedule.",
            ]),
            ..Quoting::default()
        },
    }
}

fn customer() -> Customer {
    Customer {
        name: "Sample Heating Ltd".to_owned(),
        contact: "A. Person".to_owned(),
        address: vec!["1 Example Road".to_owned(), "Shelbyville".to_owned()],
        email: "buyer@example.com".to_owned(),
    }
}
