//! Designs and books that the worked examples share. Prices and times are made up for easy sums.

use jiff::civil::date;
use offtake::shop::labour::{LabourModel, Operation, OperationTime, Spread, TimeSource};
use offtake::shop::money::{Currency, Percent, Profit};
use offtake::shop::own::OwnFiles;
use offtake::shop::price_list::{Heading, ItemKind, PriceBreaks, PriceItem, PriceList, PriceUnit};
use offtake::shop::settings::{Letterhead, Paper, Pricing, Quoting, Shop, Style, Tax, Units};
use offtake::trade::catalogue::Catalogue;
use offtake::trade::manifold::{
    Build, Design, EndDesign, EndKind, Manifold, OutletDuty, OutletRow, RunDesign,
};
use offtake::trade::metal::Metal;
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Angle, Length, Pressure, Temperature};
use offtake::trade::service::Service;
use offtake::trade::tube::Temper;
use rust_decimal::Decimal;

/// A header: a run, outlets of one size in one row, a cap on the first end.
pub struct Header {
    pub run: &'static str,
    pub branch: &'static str,
    pub count: u32,
    pub first: f64,
    pub pitch: f64,
    pub beyond: f64,
    pub quantity: u32,
    pub build: Build,
}

impl Header {
    /// Two-inch type L run, one-inch type L branches.
    pub const USUAL: Self = Self {
        run: "b88-l-2",
        branch: "b88-l-1",
        count: 6,
        first: 4.0,
        pitch: 5.0,
        beyond: 4.0,
        quantity: 1,
        build: Build::FormedOutlets,
    };

    pub fn manifold(&self, catalogue: &Catalogue) -> Manifold {
        let tube = |id: &str| catalogue.tube(id).unwrap().clone();
        let end = |kind, beyond| EndDesign {
            kind,
            beyond,
            joins: Metal::Copper,
        };
        let design = Design {
            mark: "H-1".to_owned(),
            quantity: self.quantity,
            service: Service::HydronicHeating,
            design_pressure: Pressure::psi(75.0),
            design_temperature: Temperature::fahrenheit(180.0),
            build: self.build,
            run: RunDesign {
                tube: tube(self.run),
                temper: Temper::Drawn,
                ends: [
                    end(EndKind::Cap, None),
                    end(EndKind::Plain, Some(Length::inches(self.beyond))),
                ],
                length: None,
            },
            outlets: vec![OutletRow {
                tube: tube(self.branch),
                station: None,
                count: Some(self.count),
                first: Some(Length::inches(self.first)),
                pitch: Some(Length::inches(self.pitch)),
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
}

/// A shop that adds nothing to direct cost.
pub fn plain_shop(currency: &str) -> Shop {
    Shop {
        letterhead: Letterhead::default(),
        currency: Currency::new(currency).unwrap(),
        units: Units::Imperial,
        paper: Paper::Letter,
        style: Style::default(),
        own: OwnFiles::default(),
        pricing: Pricing {
            crew_rate: Some(Decimal::from(60)),
            filler_allowance: Percent::ZERO,
            profit: Profit::Markup(Percent::ZERO),
            tax: Tax::default(),
            ..Pricing::default()
        },
        quoting: Quoting::default(),
    }
}

/// A price for everything that the headers here need.
pub fn prices(currency: &str) -> PriceList {
    let item = |code: &str, kind, unit, price: &str| PriceItem {
        code: code.to_owned(),
        kind,
        text: code.to_owned(),
        unit,
        price: price.parse().unwrap(),
        breaks: PriceBreaks::default(),
    };
    let heading = Heading {
        id: String::new(),
        name: "worked".to_owned(),
        supplier: String::new(),
        currency: Currency::new(currency).unwrap(),
        effective_on: date(2026, 1, 1),
    };
    PriceList::new(
        heading,
        [
            item("b88-l-2", ItemKind::Tube, PriceUnit::Foot, "12.00"),
            item("b88-l-1", ItemKind::Tube, PriceUnit::Foot, "4.80"),
            item("cap-2", ItemKind::Fitting, PriceUnit::Each, "8.00"),
            item("coupling-2", ItemKind::Fitting, PriceUnit::Each, "7.00"),
            item("tee-2x2x1", ItemKind::Fitting, PriceUnit::Each, "24.00"),
            item("BCuP-3", ItemKind::Filler, PriceUnit::Pound, "30.00"),
            item("Sb5", ItemKind::Filler, PriceUnit::Pound, "20.00"),
            item(
                "brazing-consumables",
                ItemKind::Consumable,
                PriceUnit::Joint,
                "0.90",
            ),
            item(
                "soldering-consumables",
                ItemKind::Consumable,
                PriceUnit::Joint,
                "0.50",
            ),
            item(
                "manifold:b88-l-2:6xb88-l-1",
                ItemKind::Manifold,
                PriceUnit::Each,
                "310.00",
            ),
        ],
    )
}

/// A time for every operation: so many minutes each, none per driver.
pub fn times(minutes_each: &str, spread: Option<Spread>) -> LabourModel {
    let time = |operation: &Operation| OperationTime {
        operation: *operation,
        setup_minutes: Decimal::ZERO,
        minutes_each: minutes_each.parse().unwrap(),
        minutes_per_driver: Decimal::ZERO,
        spread,
        source: TimeSource::Opinion,
    };
    LabourModel::new(
        String::new(),
        "worked".to_owned(),
        date(2026, 1, 1),
        Operation::ALL.iter().map(time).collect::<Vec<_>>(),
    )
}
