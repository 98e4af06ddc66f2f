//! The quotation as OASIS UBL 2.1 `Quotation`, for programs of customers that read it.
//!
//! Order and names of elements are those of the published schema (OASIS Standard, 2013), against
//! which `.ci/run` validates what the demo wrote. Like the other papers for the customer it says
//! nothing of how the price came about.

use std::io;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};
use rust_decimal::Decimal;

use super::quote::QuotePaper;
use crate::shop::quote::{Customer, QuotedManifold, TaxLine};
use crate::shop::settings::Letterhead;

const QUOTATION: &str = "urn:oasis:names:specification:ubl:schema:xsd:Quotation-2";
const AGGREGATES: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2";
const BASICS: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2";
/// Pieces, by UN/ECE Recommendation 20.
const PIECES: &str = "C62";

/// The quotation as UBL XML. A draft bears the day it was written.
///
/// # Errors
/// When it cannot be written, which is a fault of this program.
pub fn quotation_ubl(paper: &QuotePaper<'_>) -> io::Result<Vec<u8>> {
    let mut writer = Writer::new_with_indent(Vec::new(), b' ', 2);
    let declaration = BytesDecl::new("1.0", Some("UTF-8"), None);
    writer.write_event(Event::Decl(declaration))?;
    writer
        .create_element("Quotation")
        .with_attribute(("xmlns", QUOTATION))
        .with_attribute(("xmlns:cac", AGGREGATES))
        .with_attribute(("xmlns:cbc", BASICS))
        .write_inner_content(|writer| content(writer, paper))?;
    let mut bytes = writer.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

type Inner = Writer<Vec<u8>>;

fn text(writer: &mut Inner, name: &str, value: &str) -> io::Result<()> {
    let shown = printable(value);
    writer
        .create_element(name)
        .write_text_content(BytesText::new(&shown))?;
    Ok(())
}

/// XML 1.0 has no place for most control characters.
fn printable(value: &str) -> String {
    let allowed = |c: char| !c.is_control() || matches!(c, '\n' | '\t');
    value.chars().filter(|c| allowed(*c)).collect()
}

/// A text, unless there is none.
fn text_if(writer: &mut Inner, name: &str, value: &str) -> io::Result<()> {
    if value.trim().is_empty() {
        return Ok(());
    }
    text(writer, name, value)
}

fn amount(writer: &mut Inner, name: &str, value: Decimal, currency: &str) -> io::Result<()> {
    writer
        .create_element(name)
        .with_attribute(("currencyID", currency))
        .write_text_content(BytesText::new(&value.to_string()))?;
    Ok(())
}

fn group(
    writer: &mut Inner,
    name: &str,
    inner: impl FnOnce(&mut Inner) -> io::Result<()>,
) -> io::Result<()> {
    writer.create_element(name).write_inner_content(inner)?;
    Ok(())
}

fn content(writer: &mut Inner, paper: &QuotePaper<'_>) -> io::Result<()> {
    let record = paper.record;
    let currency = record.totals.currency.code();
    text(writer, "cbc:UBLVersionID", "2.1")?;
    text(writer, "cbc:ID", paper.number)?;
    let day = paper.issued_on.unwrap_or(paper.prepared_on);
    text(writer, "cbc:IssueDate", &day.to_string())?;
    for note in notes(paper) {
        text(writer, "cbc:Note", &note)?;
    }
    text(writer, "cbc:PricingCurrencyCode", currency)?;
    let lines = record.manifolds.len().to_string();
    text(writer, "cbc:LineCountNumeric", &lines)?;
    if let Some(last) = paper.valid_until {
        group(writer, "cac:ValidityPeriod", |writer| {
            text(writer, "cbc:EndDate", &last.to_string())
        })?;
    }
    group(writer, "cac:SellerSupplierParty", |writer| {
        seller(writer, &record.shop.letterhead)
    })?;
    group(writer, "cac:BuyerCustomerParty", |writer| {
        buyer(writer, &record.customer)
    })?;
    tax(writer, paper)?;
    group(writer, "cac:QuotedMonetaryTotal", |writer| {
        let totals = &record.totals;
        for (name, value) in [
            ("cbc:LineExtensionAmount", totals.net),
            ("cbc:TaxExclusiveAmount", totals.net),
            ("cbc:TaxInclusiveAmount", totals.gross),
            ("cbc:PayableAmount", totals.gross),
        ] {
            amount(writer, name, value, currency)?;
        }
        Ok(())
    })?;
    for (place, manifold) in record.manifolds.iter().enumerate() {
        group(writer, "cac:QuotationLine", |writer| {
            line(writer, place + 1, manifold, currency)
        })?;
    }
    Ok(())
}

/// Project, revision and state, the note, and what the customer should know.
fn notes(paper: &QuotePaper<'_>) -> Vec<String> {
    let record = paper.record;
    let mut notes = vec![
        format!("Project: {}", record.project),
        format!("Revision {}, {}", paper.revision, paper.state.word()),
    ];
    notes.extend(Some(record.note.clone()).filter(|note| !note.trim().is_empty()));
    notes.extend(record.honesty.iter().cloned());
    notes
}

fn seller(writer: &mut Inner, shop: &Letterhead) -> io::Result<()> {
    group(writer, "cac:Party", |writer| {
        named(writer, &shop.name)?;
        address(writer, &shop.address)?;
        contact(writer, "", &shop.phone, &shop.email)
    })
}

fn buyer(writer: &mut Inner, customer: &Customer) -> io::Result<()> {
    group(writer, "cac:Party", |writer| {
        named(writer, &customer.name)?;
        address(writer, &customer.address)?;
        contact(writer, &customer.contact, "", &customer.email)
    })
}

fn named(writer: &mut Inner, name: &str) -> io::Result<()> {
    group(writer, "cac:PartyName", |writer| {
        text(writer, "cbc:Name", name)
    })
}

fn address(writer: &mut Inner, lines: &[String]) -> io::Result<()> {
    if lines.is_empty() {
        return Ok(());
    }
    group(writer, "cac:PostalAddress", |writer| {
        for line in lines {
            group(writer, "cac:AddressLine", |writer| {
                text(writer, "cbc:Line", line)
            })?;
        }
        Ok(())
    })
}

fn contact(writer: &mut Inner, name: &str, phone: &str, email: &str) -> io::Result<()> {
    if [name, phone, email]
        .iter()
        .all(|part| part.trim().is_empty())
    {
        return Ok(());
    }
    group(writer, "cac:Contact", |writer| {
        text_if(writer, "cbc:Name", name)?;
        text_if(writer, "cbc:Telephone", phone)?;
        text_if(writer, "cbc:ElectronicMail", email)
    })
}

fn tax(writer: &mut Inner, paper: &QuotePaper<'_>) -> io::Result<()> {
    let currency = paper.record.totals.currency.code();
    group(writer, "cac:TaxTotal", |writer| {
        amount(writer, "cbc:TaxAmount", paper.record.totals.tax, currency)?;
        let mut taxes = paper.record.taxes().into_iter();
        taxes.try_for_each(|tax| subtotal(writer, &tax, currency))
    })
}

fn subtotal(writer: &mut Inner, tax: &TaxLine, currency: &str) -> io::Result<()> {
    let rate = tax.rate.number().normalize().to_string();
    group(writer, "cac:TaxSubtotal", |writer| {
        amount(writer, "cbc:TaxableAmount", tax.base, currency)?;
        amount(writer, "cbc:TaxAmount", tax.amount, currency)?;
        group(writer, "cac:TaxCategory", |writer| {
            text(writer, "cbc:Percent", &rate)?;
            group(writer, "cac:TaxScheme", |writer| {
                text(writer, "cbc:Name", &tax.name)
            })
        })
    })
}

fn line(
    writer: &mut Inner,
    place: usize,
    manifold: &QuotedManifold,
    currency: &str,
) -> io::Result<()> {
    let place = place.to_string();
    text(writer, "cbc:ID", &place)?;
    amount(writer, "cbc:LineExtensionAmount", manifold.amount, currency)?;
    group(writer, "cac:LineItem", |writer| {
        text(writer, "cbc:ID", &place)?;
        writer
            .create_element("cbc:Quantity")
            .with_attribute(("unitCode", PIECES))
            .write_text_content(BytesText::new(&manifold.quantity.to_string()))?;
        amount(writer, "cbc:LineExtensionAmount", manifold.amount, currency)?;
        group(writer, "cac:Price", |writer| {
            amount(writer, "cbc:PriceAmount", manifold.unit_price, currency)
        })?;
        group(writer, "cac:Item", |writer| {
            text(writer, "cbc:Description", &manifold.description)?;
            text(writer, "cbc:Name", &manifold.mark)
        })
    })
}
