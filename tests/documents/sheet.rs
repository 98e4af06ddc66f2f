//! The quotation as workbook and as page, read back.

use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use offtake::documents::page::{Desk, Outcome, quote_page};
use offtake::documents::quote_sheet::quote_xlsx;
use offtake::shop::money::Percent;
use offtake::shop::quote::{QuoteRecord, TaxLine};
use offtake::shop::settings::{Paper, Units};

use rust_decimal::dec;

use crate::keep;
use crate::quote::paper;
use crate::samples::{manifolds, record};

fn all() -> QuoteRecord {
    let all: Vec<_> = manifolds().into_iter().map(|(_, made)| made).collect();
    record(&all, (Units::Imperial, Paper::A4))
}

/// Texts that a spreadsheet would run, or a page, if they were more than texts.
fn hostile() -> QuoteRecord {
    let mut record = all();
    let text = "=HYPERLINK(\"x\",\"y\")<script>alert(1)</script>".to_owned();
    record.customer.name.clone_from(&text);
    record.project = "+1+1".to_owned();
    record.totals.taxes = vec![TaxLine {
        name: "=Sales tax".to_owned(),
        rate: Percent::new(dec!(7.25)),
        base: record.totals.net,
        amount: record.totals.tax,
    }];
    record.note = "@SUM(A1)".to_owned();
    for made in &mut record.manifolds {
        made.mark = "-1".to_owned();
        made.description.clone_from(&text);
        made.cautions = vec![text.clone()];
        made.drawing_text.clone_from(&text);
    }
    record
}

#[test]
fn sums_are_formulas_and_what_people_typed_never_is() {
    let record = hostile();
    let bytes = quote_xlsx(&paper(&record)).unwrap();
    keep("sheet.xlsx", &bytes);
    assert_eq!(
        bytes,
        quote_xlsx(&paper(&record)).unwrap(),
        "same quote, same bytes"
    );
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).unwrap();
    let names = book.sheet_names().clone();
    let formulas = book.worksheet_formula(&names[0]).unwrap();
    let written: Vec<String> = formulas
        .used_cells()
        .map(|(_, _, formula)| formula.clone())
        .collect();
    // One a line, net, what the tax is on, tax, gross.
    assert_eq!(written.len(), record.manifolds.len() + 4, "{written:?}");
    for formula in &written {
        assert!(
            formula.starts_with("ROUND(") || formula.starts_with('E'),
            "{formula}"
        );
    }
    assert_eq!(
        book.worksheet_formula(&names[1])
            .unwrap()
            .used_cells()
            .count(),
        0
    );
    let sheet = book.worksheet_range(&names[0]).unwrap();
    let cells: Vec<&Data> = sheet.used_cells().map(|(_, _, cell)| cell).collect();
    for text in [&record.customer.name, &record.project, &record.note] {
        assert!(cells.contains(&&Data::String(text.clone())), "{text}");
    }
    let gross = record.totals.gross.to_string().parse::<f64>().unwrap();
    assert!(cells.contains(&&Data::Float(gross)), "gross is a number");
}

#[test]
fn a_text_of_any_length_fits_its_cell() {
    let mut record = all();
    record.note = "½″ \u{1F527}".repeat(20_000);
    record.manifolds[0].mark = "m".repeat(2_000_000);
    let bytes = quote_xlsx(&paper(&record)).unwrap();
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).unwrap();
    let name = book.sheet_names()[0].clone();
    assert!(book.worksheet_range(&name).is_ok());
}

#[test]
fn a_page_shows_markup_as_text() {
    let mut record = hostile();
    record.customer.contact = "\"><img src=x onerror=alert(1)>".to_owned();
    let reason = "</textarea><script>alert(2)</script>";
    let desk = Desk {
        base: "/q/T",
        reason,
        ..Desk::default()
    };
    let page = quote_page(&paper(&record), &Outcome::default(), Some(&desk)).unwrap();
    keep("page.html", page.as_bytes());
    assert!(
        !page.contains("<script") && !page.contains("<img src=x"),
        "markup got through"
    );
    assert_eq!(
        page.matches("</textarea>").count(),
        1,
        "the field ends where it should"
    );
    assert!(page.contains("&lt;script&gt;alert(2)"));
    assert!(
        !page.contains("SECRET"),
        "how the price came about stays in the shop"
    );
}
