//! The quotation as OASIS UBL. `.ci/run` validates it against the published schema; here it is
//! read back and held against the quote.

use jiff::civil::date;
use offtake::documents::quote::QuotePaper;
use offtake::documents::ubl::quotation_ubl;
use offtake::shop::quote::{QuoteRecord, State};
use offtake::shop::settings::{Paper, Units};
use offtake::trade::manifold::Build;
use roxmltree::Document;

use crate::samples::{manifold, record, row};

fn written(record: &QuoteRecord) -> String {
    let paper = QuotePaper {
        record,
        number: "Q-2026-0007",
        revision: 2,
        state: State::Issued,
        issued_on: Some(date(2026, 3, 1)),
        valid_until: Some(date(2026, 3, 31)),
        prepared_on: date(2026, 2, 27),
        logo: None,
    };
    String::from_utf8(quotation_ubl(&paper).unwrap()).unwrap()
}

fn sample() -> QuoteRecord {
    let manifolds = [
        manifold("H-2", Build::FormedOutlets, &[row(6, 4.0, 5.0)]),
        manifold("H-3", Build::TeesBrazed, &[row(3, 6.0, 8.0)]),
    ];
    record(&manifolds, (Units::Imperial, Paper::Letter))
}

/// Texts of every element of a name, in order.
fn texts(document: &Document<'_>, name: &str) -> Vec<String> {
    let found = document
        .descendants()
        .filter(|node| node.tag_name().name() == name);
    found
        .map(|node| node.text().unwrap_or_default().to_owned())
        .collect()
}

#[test]
fn it_says_what_the_quote_says() {
    let record = sample();
    let text = written(&record);
    let document = Document::parse(&text).unwrap();
    assert_eq!(texts(&document, "IssueDate"), ["2026-03-01"]);
    assert_eq!(texts(&document, "EndDate"), ["2026-03-31"]);
    assert_eq!(
        texts(&document, "PayableAmount"),
        [record.totals.gross.to_string()]
    );
    assert_eq!(
        texts(&document, "TaxExclusiveAmount"),
        [record.totals.net.to_string()]
    );
    let prices: Vec<_> = record
        .manifolds
        .iter()
        .map(|line| line.unit_price.to_string())
        .collect();
    assert_eq!(texts(&document, "PriceAmount"), prices);
    assert_eq!(texts(&document, "LineCountNumeric"), ["2"]);
    let amounts = document
        .descendants()
        .filter(|node| node.tag_name().name().ends_with("Amount"));
    assert!(
        amounts
            .into_iter()
            .all(|node| node.attribute("currencyID") == Some("USD"))
    );
    assert!(!text.contains("SECRET"), "the build-up stays in the shop");
}

#[test]
fn what_people_type_is_text() {
    let mut record = sample();
    let typed = "<cbc:ID>&amp; \"Ø\" ]]>";
    record.customer.name = format!("{typed}\u{7}");
    record.manifolds[0].mark = typed.to_owned();
    let text = written(&record);
    let document = Document::parse(&text).unwrap();
    let names = texts(&document, "Name");
    // The bell has no place in XML; everything else is kept.
    assert_eq!(
        names.iter().filter(|name| *name == typed).count(),
        2,
        "{names:?}"
    );
}

#[test]
fn no_text_breaks_the_xml_or_loses_its_line_breaks() {
    let mut record = sample();
    record.customer.name = "a\rb\nc\r\nd\u{ffff}\u{fffe}\u{0}e".to_owned();
    let text = written(&record);
    let document = Document::parse(&text).unwrap();
    let names = texts(&document, "Name");
    // A program before this one may have kept what XML cannot hold: that alone is left out.
    let kept = "a\rb\nc\r\nde".to_owned();
    assert!(names.contains(&kept), "{names:?}");
}
