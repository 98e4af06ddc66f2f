//! A sample quote to try a shop's logo and templates with. It is printed, looked at, and thrown away.

use jiff::civil::date;
use serde_json::{Value, json};

use super::file_fault::{FileFault, FileFlaw};
use super::logo::LogoPicture;
use super::page::{Desk, Outcome, PageError, own, page_data};
use super::quote::{PaperFiles, QuotePaper, paper_files};
use super::typst_world::DocumentError;
use crate::shop::own::PictureKind;
use crate::shop::quote::{QuoteRecord, State};
use crate::shop::settings::{Paper, Shop};

/// The address that the sample's page is at.
const BASE: &str = "/q/sample";
/// Something that a customer typed; a page shows it as text or not at all.
const TYPED: &str = "<i id=typed> \"East wing\" & #x *y*";

/// A sample could not be made: a fault of this program.
#[derive(Debug, thiserror::Error)]
pub enum TrialFault {
    /// The sample itself.
    #[error("the sample quote does not read")]
    Sample(#[from] serde_json::Error),
    /// What the paper is given.
    #[error("the data of the sample's paper")]
    Paper(#[from] DocumentError),
    /// What the page is given.
    #[error("the data of the sample's page")]
    Page(#[from] PageError),
}

/// What a template of the paper is tried with: a full quote with logo and options, and a draft at one price with
/// nothing that may be left out, on either size of paper. Of the shop's own it has letterhead, terms and, when given, the logo.
///
/// # Errors
/// When the samples cannot be made.
pub fn papers(shop: &Shop, logo: Option<&LogoPicture>) -> Result<Vec<PaperFiles>, TrialFault> {
    let placeholder = placeholder();
    let full = full(shop)?;
    let bare = QuoteRecord {
        shop: Shop {
            paper: Paper::A4,
            ..full.shop.clone()
        },
        ..bare(shop)?
    };
    let shown = logo.unwrap_or(&placeholder);
    let draft = QuotePaper {
        number: "",
        revision: 1,
        issued_on: None,
        valid_until: None,
        logo,
        ..issued(&bare, State::Draft)
    };
    Ok(vec![
        paper_files(&QuotePaper {
            logo: Some(shown),
            ..issued(&full, State::Issued)
        })?,
        paper_files(&draft)?,
    ])
}

/// What a template of the page is tried with: every state, with a desk and without.
///
/// # Errors
/// When the samples cannot be made.
pub fn pages(shop: &Shop) -> Result<Vec<Value>, TrialFault> {
    let placeholder = placeholder();
    let (full, bare) = (full(shop)?, bare(shop)?);
    let desk = Desk {
        base: BASE,
        ..Desk::default()
    };
    let refused = Desk {
        accept_faults: vec![("name", "name_missing"), ("agree", "agree_missing")],
        decline_faults: vec![("reason", "reason_long")],
        refused: Some("changed"),
        ..desk.clone()
    };
    let order = full.order(&["Tees".to_owned(), "Spare".to_owned()]).ok();
    let ended = Outcome {
        ordered: order.as_ref(),
        by: Some("J. Doe"),
        on: Some(date(2000, 1, 3)),
        po_number: Some("PO-1"),
        reason: Some("Reason"),
    };
    let mut pages = vec![page_data(
        &issued(&full, State::Issued),
        &Outcome::default(),
        Some(&desk),
    )?];
    for state in State::ALL {
        for desk in [None, Some(&desk), Some(&refused)] {
            let paper = QuotePaper {
                logo: Some(&placeholder),
                ..issued(&full, state)
            };
            pages.push(page_data(&paper, &ended, desk)?);
            let paper = QuotePaper {
                issued_on: None,
                valid_until: None,
                ..issued(&bare, state)
            };
            pages.push(page_data(&paper, &Outcome::default(), desk)?);
        }
    }
    Ok(pages)
}

/// What a customer would miss on the pages that came of the trial, or see that is none of theirs.
pub fn page_faults(pages: &[String]) -> Vec<FileFault> {
    let mut faults = pages
        .first()
        .map_or_else(Vec::new, |open| own::form_faults(open, BASE));
    if pages.iter().any(|page| page.contains("<i id=typed>")) {
        let detail = "what a customer typed came out as markup; put it in with `{{ ... }}` alone";
        faults.push(FileFault::whole(FileFlaw::Unescaped, detail));
    }
    faults
}

fn issued(record: &QuoteRecord, state: State) -> QuotePaper<'_> {
    QuotePaper {
        record,
        number: "Q-0001",
        revision: 2,
        state,
        issued_on: Some(date(2000, 1, 2)),
        valid_until: Some(date(2000, 2, 1)),
        prepared_on: date(2000, 1, 1),
        logo: None,
    }
}

fn placeholder() -> LogoPicture {
    let picture = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 30 10\"><path d=\"M1 1h28v8h-28z\"/></svg>";
    LogoPicture {
        kind: PictureKind::Svg,
        bytes: picture.as_bytes().to_vec(),
        text: "Logo".to_owned(),
    }
}

fn full(shop: &Shop) -> Result<QuoteRecord, serde_json::Error> {
    let line = |mark: &str| {
        json!({
            "mark": mark, "quantity": 2, "build": "formed_outlets",
            "description": "Manifold of copper tube with two outlets.",
            "particulars": [["Run", "2 in"], ["Joints", "3 brazed"]],
            "cautions": ["Prove the pilot on a sample of the same tube first."],
            "drawing": "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"300\" height=\"80\" viewBox=\"0 0 300 80\"><path d=\"M10 40h280\" stroke=\"#000\"/></svg>",
            "drawing_text": "A run with two outlets.",
            "unit_price": "600.00", "amount": "1200.00",
        })
    };
    let currency = shop.currency.code();
    let option = |name: &str, instead_of: Option<&str>| {
        let price = json!({"net": "-100.00", "tax": "-10.00", "gross": "-110.00", "taxes": [], "heads": {}, "hours": {}});
        json!({"name": name, "instead_of": instead_of, "manifold": line("M-1"), "price": price})
    };
    record(
        shop,
        json!({
            "options": [option("Tees", Some("M-1")), option("Cast tees", Some("M-1")), option("Spare", None)],
            "customer": {"name": "Sample customer", "contact": "J. Doe", "address": ["1 Sample Road", "Sampletown"], "email": "j.doe@example.com"},
            "project": TYPED, "note": "A note.\n\nIn two paragraphs.",
            "manifolds": [line("M-1"), line("M-2")],
            "honesty": ["Times of work are invented."],
            "totals": {"currency": currency, "net": "2400.00", "tax_text": "Tax 10 %", "tax": "240.00", "gross": "2640.00",
                "taxes": [{"name": "Tax", "rate": "10", "base": "2400.00", "amount": "240.00"}]},
        }),
    )
}

fn bare(shop: &Shop) -> Result<QuoteRecord, serde_json::Error> {
    let currency = shop.currency.code();
    let mut bare = record(
        shop,
        json!({
            "customer": {"name": "Sample customer", "contact": "", "address": [], "email": ""},
            "project": "", "note": "",
            "manifolds": [{"mark": "M-1", "quantity": 1, "build": "formed_outlets", "description": "Manifold.", "particulars": [],
                "cautions": [], "drawing": "", "drawing_text": "", "unit_price": "1.00", "amount": "1.00"}],
            "honesty": [], "presentation": "lump_sum",
            "totals": {"currency": currency, "net": "1.00", "tax_text": "Tax 0 %", "tax": "0.00", "gross": "1.00"},
        }),
    )?;
    bare.shop.quoting.inclusions.clear();
    bare.shop.quoting.exclusions.clear();
    bare.shop.quoting.terms.clear();
    bare.shop.letterhead.address.clear();
    bare.shop.letterhead.phone.clear();
    bare.shop.letterhead.email.clear();
    bare.shop.letterhead.registration.clear();
    Ok(bare)
}

/// Read as a stored quote is, so that what later programs add has its default here, too.
fn record(shop: &Shop, mut content: Value) -> Result<QuoteRecord, serde_json::Error> {
    let list = json!({"id": "", "name": "Sample", "effective_on": "2000-01-01"});
    let common = json!({
        "form": 1, "shop": shop, "rule_set": "offtake-1", "price_list": list, "labour_model": list,
        "build_up": [], "hours": [], "remarks": [], "request": "{}",
    });
    if let (Value::Object(content), Value::Object(common)) = (&mut content, common) {
        content.extend(common);
    }
    serde_json::from_value(content)
}
