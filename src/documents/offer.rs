//! The quotation as data for the customer: what the paper says, and nothing of how the price
//! came about. It is the JSON document of a quote, and what the PDF has attached.

use serde::Serialize;

use super::quote::QuotePaper;
use crate::shop::quote::{Customer, QuotedManifold};

#[derive(Serialize)]
struct Offer<'a> {
    number: &'a str,
    revision: u32,
    state: &'static str,
    issued_on: Option<String>,
    valid_until: Option<String>,
    shop: OfferingShop<'a>,
    customer: &'a Customer,
    project: &'a str,
    note: &'a str,
    lines: Vec<OfferLine<'a>>,
    net: String,
    tax_text: &'a str,
    tax: String,
    gross: String,
    currency: &'a str,
    inclusions: &'a [String],
    exclusions: &'a [String],
    terms: &'a [String],
    remarks: &'a [String],
}

#[derive(Serialize)]
struct OfferingShop<'a> {
    name: &'a str,
    address: &'a [String],
    phone: &'a str,
    email: &'a str,
    registration: &'a str,
}

#[derive(Serialize)]
struct OfferLine<'a> {
    mark: &'a str,
    description: &'a str,
    quantity: u32,
    unit_price: String,
    amount: String,
    particulars: &'a [(String, String)],
    cautions: &'a [String],
}

/// The offer as JSON text, the same text for the same quote.
///
/// # Errors
/// When it cannot be written, which is a fault of this program.
pub fn offer_json(paper: &QuotePaper<'_>) -> Result<String, serde_json::Error> {
    let record = paper.record;
    let head = &record.shop.letterhead;
    serde_json::to_string_pretty(&Offer {
        number: paper.number,
        revision: paper.revision,
        state: paper.state.word(),
        issued_on: paper.issued_on.map(|day| day.to_string()),
        valid_until: paper.valid_until.map(|day| day.to_string()),
        shop: OfferingShop {
            name: &head.name,
            address: &head.address,
            phone: &head.phone,
            email: &head.email,
            registration: &head.registration,
        },
        customer: &record.customer,
        project: &record.project,
        note: &record.note,
        lines: record.manifolds.iter().map(line).collect(),
        net: record.totals.net.to_string(),
        tax_text: &record.totals.tax_text,
        tax: record.totals.tax.to_string(),
        gross: record.totals.gross.to_string(),
        currency: record.totals.currency.code(),
        inclusions: &record.shop.quoting.inclusions,
        exclusions: &record.shop.quoting.exclusions,
        terms: &record.shop.quoting.terms,
        remarks: &record.honesty,
    })
}

fn line(manifold: &QuotedManifold) -> OfferLine<'_> {
    OfferLine {
        mark: &manifold.mark,
        description: &manifold.description,
        quantity: manifold.quantity,
        unit_price: manifold.unit_price.to_string(),
        amount: manifold.amount.to_string(),
        particulars: &manifold.particulars,
        cautions: &manifold.cautions,
    }
}
