//! A whole estimate worked by hand in a spreadsheet, `estimate.xlsx`: every figure a formula over what is
//! given, written once more by `tests/outside/make_worked_sheet.py`. LibreOffice recalculates it here, and
//! the program's own estimate of the same schedule is equal to it, to the cent.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use offtake::shop::estimate::{Books, Estimate, Scheduled, estimate};
use offtake::trade::check::check;
use offtake::trade::rule_set::RuleSet;
use rust_decimal::{Decimal, RoundingStrategy};

use crate::worked_books::{prices, schedule, shop, times};

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
    let absent = |error: &std::io::Error| error.kind() == std::io::ErrorKind::NotFound;
    if told.as_ref().is_err_and(absent) {
        return None;
    }
    let told = told.unwrap();
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
        eprintln!("did not run: there is no LibreOffice (Debian: libreoffice-calc-nogui)");
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
