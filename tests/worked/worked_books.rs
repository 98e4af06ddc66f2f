//! The schedule and the books of the worked spreadsheet.

use std::collections::BTreeMap;

use jiff::civil::date;
use offtake::shop::labour::{
    Condition, Curve, LabourModel, Operation, OperationGroup, OperationTime, Repetition, TimeSource,
};
use offtake::shop::money::{Currency, Percent, Profit};
use offtake::shop::price_list::{
    Heading, ItemKind, PriceBreak, PriceBreaks, PriceItem, PriceList, PriceUnit,
};
use offtake::shop::settings::{CrewMember, Shop, Tax};
use offtake::trade::manifold::{Build, Manifold};
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop};

/// A header with a cap, collars formed or built up from tees.
fn header(mark: &str, build: Build, (quantity, count): (u32, u32), row: [f64; 3]) -> Manifold {
    let [first, pitch, beyond] = row;
    let mut manifold = Header {
        build,
        quantity,
        count,
        first,
        pitch,
        beyond,
        ..Header::USUAL
    }
    .manifold(crate::catalogue());
    manifold.mark = mark.to_owned();
    manifold
}

/// Three collared headers, two built up from tees in place, one bought.
pub fn schedule() -> [Manifold; 3] {
    let mut tees = header("B", Build::TeesBrazed, (2, 3), [5.0, 6.0, 5.0]);
    tees.conditions = vec!["in place".to_owned()];
    [
        header("A", Build::FormedOutlets, (3, 6), [4.0, 5.0, 4.0]),
        tees,
        header("C", Build::Purchased, (1, 6), [4.0, 5.0, 4.0]),
    ]
}

/// Prices, with a break in that of the run.
pub fn prices() -> PriceList {
    let item = |code: &str, kind, unit, price: Decimal| PriceItem {
        code: code.to_owned(),
        kind,
        text: code.to_owned(),
        unit,
        price,
        breaks: PriceBreaks::default(),
    };
    let step = PriceBreak {
        from: dec!(10),
        price: dec!(11.65),
    };
    let run = PriceItem {
        breaks: PriceBreaks::new(dec!(12), vec![step]).unwrap(),
        ..item("b88-l-2", ItemKind::Tube, PriceUnit::Foot, dec!(12))
    };
    let heading = Heading {
        id: String::new(),
        name: "worked".to_owned(),
        supplier: String::new(),
        currency: Currency::new("USD").unwrap(),
        effective_on: date(2026, 1, 1),
    };
    PriceList::new(
        heading,
        [
            run,
            item("b88-l-1", ItemKind::Tube, PriceUnit::Foot, dec!(4.80)),
            item("cap-2", ItemKind::Fitting, PriceUnit::Each, dec!(8)),
            item("tee-2x2x1", ItemKind::Fitting, PriceUnit::Each, dec!(24)),
            item("BCuP-3", ItemKind::Filler, PriceUnit::Pound, dec!(30)),
            item(
                "brazing-consumables",
                ItemKind::Consumable,
                PriceUnit::Joint,
                dec!(0.90),
            ),
            item(
                "manifold:b88-l-2:6xb88-l-1",
                ItemKind::Manifold,
                PriceUnit::Each,
                dec!(310),
            ),
        ],
    )
}

/// Times, with a condition and repetition.
pub fn times() -> LabourModel {
    let given = [
        (Operation::MarkOut, dec!(1.1), dec!(0)),
        (Operation::Cut, dec!(0.8), dec!(0.35)),
        (Operation::Deburr, dec!(0.5), dec!(0.15)),
        (Operation::FormingSetUp, dec!(9), dec!(0)),
        (Operation::FormCollar, dec!(2.2), dec!(0.9)),
        (Operation::NotchAndDimple, dec!(1.4), dec!(0)),
        (Operation::Clean, dec!(0.6), dec!(0.4)),
        (Operation::FitAndSupport, dec!(1.7), dec!(0)),
        (Operation::Braze, dec!(2.1), dec!(1.3)),
        (Operation::CoolAndWash, dec!(0.9), dec!(0)),
        (Operation::CloseEnd, dec!(1.3), dec!(0)),
        (Operation::PressureTest, dec!(12), dec!(0)),
        (Operation::Inspect, dec!(0.7), dec!(0)),
        (Operation::LabelAndPack, dec!(3), dec!(0)),
        (Operation::Handle, dec!(5), dec!(0)),
    ];
    let times = given.map(
        |(operation, minutes_each, minutes_per_driver)| OperationTime {
            operation,
            setup_minutes: dec!(4),
            minutes_each,
            minutes_per_driver,
            spread: None,
            source: TimeSource::Opinion,
        },
    );
    let mut model = LabourModel::new(String::new(), "worked".to_owned(), date(2026, 1, 1), times);
    model.conditions = vec![Condition {
        name: "in place".to_owned(),
        group: Some(OperationGroup::Joining),
        factor: dec!(1.2),
        source: TimeSource::Opinion,
    }];
    model.repetition = Some(Repetition {
        curve: Curve::Crawford,
        slope: Percent::new(dec!(90)),
        timed_at: 1,
        source: TimeSource::Opinion,
    });
    model
}

/// A shop with a crew, two taxes and every percentage.
pub fn shop() -> Shop {
    let mut shop = plain_shop("USD");
    let pricing = &mut shop.pricing;
    let percent = Percent::new;
    pricing.crew_rate = None;
    pricing.crew = vec![
        CrewMember {
            role: "fitter".to_owned(),
            count: dec!(2),
            wage: dec!(41.30),
            burden: None,
        },
        CrewMember {
            role: "helper".to_owned(),
            count: dec!(1),
            wage: dec!(23),
            burden: Some(percent(dec!(20))),
        },
    ];
    pricing.burden = percent(dec!(34.5));
    pricing.tube_waste = percent(dec!(8));
    pricing.filler_allowance = percent(dec!(150));
    pricing.small_tools = percent(dec!(3));
    pricing.collar_charge = dec!(1.20);
    pricing.overhead = percent(dec!(15.2));
    pricing.contingency = percent(dec!(2));
    pricing.profit = Profit::Margin(percent(dec!(12)));
    pricing.discount = percent(dec!(1.5));
    let tax = |name: &str, rate| Tax {
        name: name.to_owned(),
        rate: percent(rate),
    };
    pricing.tax = tax("Sales tax", dec!(7.25));
    pricing.tax_by_head = BTreeMap::from([("labour".to_owned(), tax("Labour", dec!(2)))]);
    shop
}
