//! The quotation as data for the customer: what the paper says, and nothing of how the price
//! came about. It is the JSON document of a quote, and what the PDF has attached.

use serde::Serialize;

use super::quote::QuotePaper;
use crate::shop::quote::{Customer, Presentation, QuotedManifold, QuotedOption};

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
    presentation: &'static str,
    lines: Vec<OfferLine<'a>>,
    net: String,
    tax_text: &'a str,
    tax: String,
    gross: String,
    currency: &'a str,
    options: Vec<OfferOption<'a>>,
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
    // An offer at one price for the schedule has no price of a line.
    #[serde(skip_serializing_if = "Option::is_none")]
    unit_price: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    amount: Option<String>,
    particulars: &'a [(String, String)],
    cautions: &'a [String],
}

/// What may be ordered otherwise or beside the schedule; amounts are the difference it makes, and in
/// no total.
#[derive(Serialize)]
struct OfferOption<'a> {
    name: &'a str,
    instead_of: Option<&'a str>,
    mark: &'a str,
    description: &'a str,
    quantity: u32,
    net: String,
    tax: String,
    gross: String,
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
        presentation: record.presentation.word(),
        lines: record
            .manifolds
            .iter()
            .map(|made| line(made, record.presentation))
            .collect(),
        net: record.totals.net.to_string(),
        tax_text: &record.totals.tax_text,
        tax: record.totals.tax.to_string(),
        gross: record.totals.gross.to_string(),
        currency: record.totals.currency.code(),
        options: record.options.iter().map(option).collect(),
        inclusions: &record.shop.quoting.inclusions,
        exclusions: &record.shop.quoting.exclusions,
        terms: &record.shop.quoting.terms,
        remarks: &record.honesty,
    })
}

fn line(manifold: &QuotedManifold, presentation: Presentation) -> OfferLine<'_> {
    let is_priced = presentation == Presentation::Itemised;
    OfferLine {
        mark: &manifold.mark,
        quantity: manifold.quantity,
        description: &manifold.description,
        unit_price: is_priced.then(|| manifold.unit_price.to_string()),
        amount: is_priced.then(|| manifold.amount.to_string()),
        particulars: &manifold.particulars,
        cautions: &manifold.cautions,
    }
}

fn option(option: &QuotedOption) -> OfferOption<'_> {
    let (manifold, price) = (&option.manifold, &option.price);
    OfferOption {
        name: &option.name,
        instead_of: option.instead_of.as_deref(),
        mark: &manifold.mark,
        quantity: manifold.quantity,
        description: &manifold.description,
        net: price.net.to_string(),
        tax: price.tax.to_string(),
        gross: price.gross.to_string(),
        particulars: &manifold.particulars,
        cautions: &manifold.cautions,
    }
}
