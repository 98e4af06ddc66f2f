//! Options and schedules at one price, in every form a customer gets, read back by others' readers:
//! `lopdf`, `calamine`, `roxmltree`.

use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use offtake::documents::offer::offer_json;
use offtake::documents::page::{Desk, Outcome, quote_page};
use offtake::documents::quote::quote_pdf;
use offtake::documents::quote_sheet::quote_xlsx;
use offtake::documents::ubl::quotation_ubl;
use offtake::shop::money::Percent;
use offtake::shop::quote::{Presentation, QuoteRecord, TaxLine};
use offtake::shop::settings::{Paper, Units};
use offtake::trade::manifold::Build;
use roxmltree::{Document, Node};
use rust_decimal::{Decimal, dec};
use serde_json::Value;

use crate::keep;
use crate::pdf::Pdf;
use crate::quote::paper;
use crate::samples::{manifold, option, record, row};

/// Two manifolds, two alternates of the first, and something on top.
fn offer(paper: Paper) -> QuoteRecord {
    let formed = [
        manifold("H-2", Build::FormedOutlets, &[row(6, 4.0, 5.0)]),
        manifold("H-3", Build::FormedOutlets, &[row(3, 6.0, 8.0)]),
    ];
    let tees = manifold("H-2T", Build::TeesBrazed, &[row(6, 6.0, 7.25)]);
    let bought = manifold("H-2P", Build::Purchased, &[row(6, 4.0, 5.0)]);
    let spare = manifold("S-1", Build::FormedOutlets, &[row(2, 4.5, 5.0)]);
    let mut record = record(&formed, (Units::Imperial, paper));
    record.totals.taxes = vec![TaxLine {
        name: "Sales tax".to_owned(),
        rate: Percent::new(dec!(7.25)),
        base: record.totals.net,
        amount: record.totals.tax,
    }];
    record.options = vec![
        option("Built up from tees", Some("H-2"), &tees, dec!(312.45)),
        option("Bought ready-made", Some("H-2"), &bought, dec!(-118.20)),
        option("Spare header", None, &spare, dec!(1204.99)),
    ];
    record
}

fn at_one_price(paper: Paper) -> QuoteRecord {
    QuoteRecord {
        presentation: Presentation::LumpSum,
        ..offer(paper)
    }
}

#[test]
fn the_paper_has_options_after_the_totals_and_each_with_its_drawing() {
    for size in [Paper::Letter, Paper::A4] {
        let record = offer(size);
        let bytes = quote_pdf(&paper(&record)).unwrap();
        keep(&format!("options {size:?}.pdf"), &bytes);
        let text = Pdf::read(&bytes).text();
        let at = |wanted: &str| {
            assert!(text.contains(wanted), "{wanted} is not in {text}");
            text.find(wanted).unwrap()
        };
        let total = at("Total USD");
        assert!(total < at("Options, not in the total"));
        for said in [
            "+312.45",
            "\u{2212}118.20",
            "+1,204.99",
            "Instead of H-2. Manifold of",
            "Built up from tees, instead of H-2, quantity 2",
            "Spare header, quantity 2",
            "tick those that apply",
        ] {
            assert!(total < at(said), "{said}");
        }
        assert!(!text.contains("SECRET"), "{text}");
        let plain = text.replace(',', "");
        let gross = format!("USD {}", record.totals.gross);
        assert_eq!(plain.matches(&gross).count(), 1, "options are in no total");
    }
}

#[test]
fn the_data_of_the_offer_holds_its_options() {
    let record = offer(Paper::Letter);
    let data: Value = serde_json::from_str(&offer_json(&paper(&record)).unwrap()).unwrap();
    assert_eq!(data["presentation"], "itemised");
    assert_eq!(data["net"], record.totals.net.to_string());
    let option = &data["options"][1];
    assert_eq!(
        (&option["name"], &option["instead_of"], &option["net"]),
        (
            &"Bought ready-made".into(),
            &"H-2".into(),
            &"-118.20".into()
        )
    );
    assert_eq!(data["options"][2]["instead_of"], Value::Null);
}

#[test]
fn options_stand_on_a_sheet_of_their_own_that_no_total_reads() {
    let record = offer(Paper::Letter);
    let bytes = quote_xlsx(&paper(&record)).unwrap();
    keep("options.xlsx", &bytes);
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).unwrap();
    let names = book.sheet_names().clone();
    assert_eq!(names.len(), 3);
    for name in &names[..2] {
        for (_, _, formula) in book.worksheet_formula(name).unwrap().used_cells() {
            assert!(!formula.contains('!'), "{formula} reads another sheet");
        }
    }
    let formulas = book.worksheet_formula(&names[2]).unwrap();
    let formulas: Vec<&String> = formulas.used_cells().map(|(_, _, it)| it).collect();
    assert_eq!(formulas[0], "ROUND(E5+F5,2)");
    let sheet = book.worksheet_range(&names[2]).unwrap();
    for (row, option) in (4u32..).zip(&record.options) {
        let cell = |column| sheet.get_value((row, column)).unwrap();
        assert_eq!(cell(0), &Data::String(option.name.clone()));
        for (column, amount) in [(4, option.price.net), (6, option.price.gross)] {
            let amount: f64 = amount.to_string().parse().unwrap();
            assert_eq!(cell(column), &Data::Float(amount));
        }
    }
}

fn child<'a>(node: Node<'a, 'a>, name: &str) -> Node<'a, 'a> {
    let mut children = node.children();
    let found = children.find(|child| child.tag_name().name() == name);
    assert!(found.is_some(), "no {name} in {node:?}");
    found.unwrap()
}

fn named<'a>(document: &'a Document<'a>, name: &str) -> Vec<Node<'a, 'a>> {
    let all = document.descendants();
    all.filter(|node| node.tag_name().name() == name).collect()
}

fn amount(node: Node<'_, '_>) -> Decimal {
    node.text().unwrap().parse().unwrap()
}

#[test]
fn ubl_has_alternates_at_their_lines_and_additions_outside_the_total() {
    let record = offer(Paper::Letter);
    let text = String::from_utf8(quotation_ubl(&paper(&record)).unwrap()).unwrap();
    keep("options.xml", text.as_bytes());
    let document = Document::parse(&text).unwrap();
    let lines = named(&document, "QuotationLine");
    let sum: Decimal = lines
        .iter()
        .map(|line| amount(child(*line, "LineExtensionAmount")))
        .sum();
    assert_eq!(sum, record.totals.net, "lines alone add up to the total");
    let alternates = named(&document, "AlternativeLineItem");
    assert_eq!(alternates.len(), 2);
    for (alternate, option) in alternates.iter().zip(&record.options) {
        assert_eq!(alternate.parent().unwrap(), lines[0]);
        let whole = record.manifolds[0].amount + option.price.net;
        assert_eq!(amount(child(*alternate, "LineExtensionAmount")), whole);
    }
    let extensions = named(&document, "ExtensionContent");
    assert_eq!(extensions.len(), 1);
    let added = child(extensions[0], "LineItem");
    assert_eq!(amount(child(added, "LineExtensionAmount")), dec!(1204.99));
}

/// How an amount may be written: plain, and with its thousands set apart.
fn writings(amount: Decimal) -> [String; 2] {
    let plain = amount.to_string();
    let at = plain.find('.').unwrap().saturating_sub(3);
    [plain.clone(), format!("{},{}", &plain[..at], &plain[at..])]
}

#[test]
fn at_one_price_no_form_says_how_it_is_parted() {
    for size in [Paper::Letter, Paper::A4] {
        let record = at_one_price(size);
        let paper = paper(&record);
        let pdf = quote_pdf(&paper).unwrap();
        keep(&format!("one price {size:?}.pdf"), &pdf);
        let read = Pdf::read(&pdf);
        let xlsx = quote_xlsx(&paper).unwrap();
        keep("one price.xlsx", &xlsx);
        let mut book: Xlsx<_> = Xlsx::new(Cursor::new(xlsx)).unwrap();
        let mut cells = String::new();
        for name in book.sheet_names().clone() {
            for (_, _, cell) in book.worksheet_range(&name).unwrap().used_cells() {
                cells.push_str(&format!("{cell}\n"));
            }
        }
        let first = book.sheet_names()[0].clone();
        let formulas = book.worksheet_formula(&first).unwrap();
        // What the tax is on, the tax, gross: net is a figure here.
        assert_eq!(formulas.used_cells().count(), 3);
        let desk = Desk {
            base: "/q/T",
            ..Desk::default()
        };
        let ubl = String::from_utf8(quotation_ubl(&paper).unwrap()).unwrap();
        keep("one price.xml", ubl.as_bytes());
        let page = quote_page(&paper, &Outcome::default(), Some(&desk)).unwrap();
        keep("one price.html", page.as_bytes());
        let mut forms = vec![
            ("pdf", read.text()),
            ("page", page),
            (
                "paper page",
                quote_page(&paper, &Outcome::default(), None).unwrap(),
            ),
            ("json", offer_json(&paper).unwrap()),
            ("ubl", ubl),
            ("cells", cells),
        ];
        for (_, _, content) in read.attachments() {
            forms.push(("attached", String::from_utf8(content).unwrap()));
        }
        for (form, text) in &forms {
            // What is offered and what it comes to is there, in each.
            assert!(text.contains("H-3"), "{form}");
            let net = writings(record.totals.net);
            assert!(net.iter().any(|net| text.contains(net)), "{form}: {text}");
            for made in &record.manifolds {
                for secret in [made.unit_price, made.amount] {
                    for written in writings(secret) {
                        assert!(!text.contains(&written), "{form} holds {written}");
                    }
                }
            }
            assert!(!text.contains("SECRET"), "{form}");
        }
    }
}

#[test]
fn ubl_at_one_price_is_one_lot_with_its_parts() {
    let record = at_one_price(Paper::Letter);
    let text = String::from_utf8(quotation_ubl(&paper(&record)).unwrap()).unwrap();
    let document = Document::parse(&text).unwrap();
    let lines = named(&document, "QuotationLine");
    assert_eq!(lines.len(), 1);
    assert_eq!(
        amount(child(lines[0], "LineExtensionAmount")),
        record.totals.net
    );
    let parts = named(&document, "SubLineItem");
    assert_eq!(parts.len(), record.manifolds.len());
    for part in parts {
        let mut amounts = part.descendants();
        assert!(!amounts.any(|node| node.tag_name().name().ends_with("Amount")));
    }
    let alternate = child(
        named(&document, "AlternativeLineItem")[0],
        "LineExtensionAmount",
    );
    assert_eq!(amount(alternate), record.totals.net + dec!(312.45));
}

#[test]
fn a_record_of_the_first_form_reads_prints_and_is_ordered_as_it_stands() {
    // As a program that knew no options stored it.
    let record: QuoteRecord = serde_json::from_str(include_str!("frozen/form-1.json")).unwrap();
    assert_eq!(record.form, 1);
    assert_eq!(record.presentation, Presentation::Itemised);
    assert!(record.options.is_empty());
    assert_eq!(record.manifolds[0].mark, "H-1");
    let order = record.order(&[]).unwrap();
    assert_eq!(order.totals.net, dec!(518.44));
    assert_eq!(order.totals.gross, dec!(556.03));
    let heads: Decimal = order.heads.values().sum();
    assert_eq!(heads, dec!(518.44));
    let text = Pdf::read(&quote_pdf(&paper(&record)).unwrap()).text();
    assert!(text.contains("USD 518.44") && !text.contains("Options"));
    let again: QuoteRecord =
        serde_json::from_str(&serde_json::to_string(&record).unwrap()).unwrap();
    assert_eq!(again, record);
}

#[test]
fn what_is_ordered_is_the_schedule_and_each_option_by_its_price() {
    let record = offer(Paper::Letter);
    let order = |names: &[&str]| {
        let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        record.order(&names)
    };
    let both = order(&["Spare header", "Built up from tees"]).unwrap();
    assert_eq!(both.options, ["Built up from tees", "Spare header"]);
    let (tees, spare) = (&record.options[0].price, &record.options[2].price);
    let totals = &record.totals;
    assert_eq!(both.totals.net, totals.net + tees.net + spare.net);
    assert_eq!(both.totals.tax, totals.tax + tees.tax + spare.tax);
    assert_eq!(both.totals.gross, both.totals.net + both.totals.tax);
    let codes = |names: &[&str]| -> Vec<(usize, &'static str)> {
        let faults = order(names).unwrap_err();
        faults
            .iter()
            .map(|fault| (fault.place, fault.code))
            .collect()
    };
    assert_eq!(
        codes(&["Spare header", "Gold", "Spare header"]),
        [(1, "unknown_option"), (2, "duplicate")]
    );
    assert_eq!(
        codes(&["Built up from tees", "Bought ready-made"]),
        [(1, "second_alternate")]
    );
    let detail = &order(&["Built up from tees", "Bought ready-made"]).unwrap_err()[0].detail;
    assert!(
        detail.contains("Built up from tees") && detail.contains("Bought ready-made"),
        "{detail}"
    );
    let unknown = &order(&["Gold"]).unwrap_err()[0].detail;
    assert!(unknown.contains("Spare header"), "{unknown}");
}
