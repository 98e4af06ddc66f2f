//! A whole estimate worked by hand in a spreadsheet, `estimate.xlsx`: every figure a formula over what is
//! given, written once more by `tests/outside/make_worked_sheet.py`. LibreOffice recalculates it here, and
//! the program's own estimate of the same schedule is equal to it, to the cent.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use jiff::civil::date;
use offtake::shop::estimate::{Books, Estimate, Scheduled, estimate};
use offtake::shop::labour::{
    Condition, Curve, LabourModel, Operation, OperationGroup, OperationTime, Repetition, TimeSource,
};
use offtake::shop::money::{Currency, Percent, Profit};
use offtake::shop::price_list::{
    Heading, ItemKind, PriceBreak, PriceBreaks, PriceItem, PriceList, PriceUnit,
};
use offtake::shop::settings::{CrewMember, Shop, Tax};
use offtake::trade::check::check;
use offtake::trade::manifold::{Build, Manifold};
use offtake::trade::rule_set::RuleSet;
use rust_decimal::{Decimal, RoundingStrategy, dec};

use crate::bench::{Header, plain_shop};

const SHEET: &str = "tests/worked/estimate.xlsx";

/// The sheet as LibreOffice recalculates it: by the text of each line its other cells. `None` where
/// there is no LibreOffice.
fn recalculated() -> Option<BTreeMap<String, Vec<String>>> {
    let folder = tempfile::tempdir().unwrap();
    let profile = format!(
        "-env:UserInstallation=file://{}/profile",
        folder.path().display()
    );
    let sheet = Path::new(env!("CARGO_MANIFEST_DIR")).join(SHEET);
    // Comma, double quote, UTF-8, from the first row, and cells as they are rather than as shown.
    let form = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false";
    let told = Command::new("soffice")
        .args([
            profile.as_str(),
            "--headless",
            "--convert-to",
            form,
            "--outdir",
        ])
        .arg(folder.path())
        .arg(sheet)
        .output();
    let told = match told {
        Ok(told) => told,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return None,
        Err(error) => panic!("soffice: {error}"),
    };
    assert!(told.status.success(), "{told:?}");
    let text = std::fs::read_to_string(folder.path().join("estimate.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows = reader.records().map(|row| row.unwrap());
    let cells = rows.map(|row| {
        let mut cells = row.iter().map(str::to_owned);
        (cells.next().unwrap(), cells.collect())
    });
    Some(cells.collect())
}

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

fn schedule() -> [Manifold; 3] {
    let mut tees = header("B", Build::TeesBrazed, (2, 3), [5.0, 6.0, 5.0]);
    tees.conditions = vec!["in place".to_owned()];
    [
        header("A", Build::FormedOutlets, (3, 6), [4.0, 5.0, 4.0]),
        tees,
        header("C", Build::Purchased, (1, 6), [4.0, 5.0, 4.0]),
    ]
}

fn prices() -> PriceList {
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

fn times() -> LabourModel {
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

fn shop() -> Shop {
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

fn estimated() -> Estimate {
    let manifolds = schedule();
    let (catalogue, rules) = (crate::catalogue(), RuleSet::default_set());
    let checked = manifolds.each_ref().map(|it| check(it, catalogue, &rules));
    let scheduled: Vec<Scheduled<'_>> = manifolds
        .iter()
        .zip(&checked)
        .map(|(manifold, checked)| Scheduled {
            manifold,
            takeoff: &checked.takeoff,
        })
        .collect();
    let (shop, prices, labour) = (shop(), prices(), times());
    let books = Books {
        shop: &shop,
        prices: &prices,
        labour: &labour,
    };
    estimate(&scheduled, books).unwrap()
}

/// A cell as a decimal, less the dust of binary fractions.
fn number(cell: &str) -> Decimal {
    let number = Decimal::from_scientific(cell)
        .or_else(|_| cell.parse())
        .unwrap();
    number.round_dp_with_strategy(6, RoundingStrategy::MidpointAwayFromZero)
}

#[test]
fn the_program_and_the_spreadsheet_come_to_the_same_cent() {
    let Some(sheet) = recalculated() else {
        assert!(
            std::env::var_os("CI").is_none_or(|it| it != "true"),
            "there is no LibreOffice (Debian: libreoffice-calc-nogui), and CI may not go without"
        );
        println!("did not run: there is no LibreOffice (Debian: libreoffice-calc-nogui)");
        return;
    };
    let made = estimated();
    for line in &made.lines {
        let cells = &sheet[&line.text];
        assert_eq!(number(&cells[2]), line.amount, "{}: {cells:?}", line.text);
        if line.unit != "sum" {
            assert_eq!(number(&cells[0]), line.quantity, "{}: {cells:?}", line.text);
            assert_eq!(
                number(&cells[1]),
                line.unit_price,
                "{}: {cells:?}",
                line.text
            );
        }
    }
    for item in &made.items {
        let cells = &sheet[&format!("price of one {}", item.mark)];
        assert_eq!(number(&cells[1]), item.unit_price, "{}", item.mark);
        assert_eq!(number(&cells[2]), item.amount, "{}", item.mark);
    }
    let totals = &made.totals;
    for (text, amount) in [
        ("net", totals.net),
        ("labour taxed", totals.taxes[0].base),
        ("tax", totals.tax),
        ("gross", totals.gross),
    ] {
        assert_eq!(number(&sheet[text][2]), amount, "{text}");
    }
    // Every line of the sheet is one of the program's: 23 of direct cost, 5 added, rounding.
    let priced = made.lines.len() + made.items.len() + 4;
    assert_eq!(sheet.len(), priced, "{:?}", sheet.keys());
}
