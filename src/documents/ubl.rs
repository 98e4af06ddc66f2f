//! The quotation as OASIS UBL 2.1 `Quotation`, for programs of customers that read it.
//!
//! Order and names of elements are those of the published schema (OASIS Standard, 2013), against
//! which `.ci/run` validates what the demo wrote. Like the other papers for the customer it says
//! nothing of how the price came about.
//!
//! A schedule at one price is one line over one lot (`LS`), for a line must have its amount; what
//! is in the lot stands in it as sub-lines, which need none. An alternate is an
//! `AlternativeLineItem` of the line it may take the place of, at what that line would then come to:
//! the schema has that element for just this. An addition has no element: a line of its own would
//! be in the total. So each is a `LineItem` in an extension, the standard's own place for what
//! its model lacks, which readers that do not know it pass over; a note says the same to people.

use std::io;

use quick_xml::Writer;
use quick_xml::escape::escape;
use quick_xml::events::{BytesDecl, BytesText, Event};
use rust_decimal::Decimal;

use super::quote::QuotePaper;
use crate::shop::quote::{
    Customer, OfferedManifold, Presentation, QuoteRecord, QuotedManifold, QuotedOption, TaxLine,
};
use crate::shop::settings::Letterhead;

const QUOTATION: &str = "urn:oasis:names:specification:ubl:schema:xsd:Quotation-2";
const AGGREGATES: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2";
const BASICS: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2";
const EXTENSIONS: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonExtensionComponents-2";
/// Pieces, by UN/ECE Recommendation 20.
const PIECES: &str = "C62";
/// A lump sum, by the same.
const LUMP_SUM: &str = "LS";
/// What an extension holds, in words.
const ADDITION: &str =
    "An addition that is offered beside the lines, in no total until it is ordered.";

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
        .with_attribute(("xmlns:ext", EXTENSIONS))
        .write_inner_content(|writer| content(writer, paper))?;
    let mut bytes = writer.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

type Inner = Writer<Vec<u8>>;

fn text(writer: &mut Inner, name: &str, value: &str) -> io::Result<()> {
    writer
        .create_element(name)
        .write_text_content(BytesText::from_escaped(escaped(value)))?;
    Ok(())
}

/// XML 1.0 has no place for most control characters, nor for two that are none. A carriage return must be
/// written by its number: every reader takes one that is not for the end of a line (XML 1.0, 2.11).
fn escaped(value: &str) -> String {
    let allowed = |c: &char| match c {
        '\n' | '\r' | '\t' => true,
        c => !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}'),
    };
    let printable: String = value.chars().filter(allowed).collect();
    escape(printable).replace('\r', "&#13;")
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
    additions(writer, record)?;
    text(writer, "cbc:UBLVersionID", "2.1")?;
    text(writer, "cbc:ID", paper.number)?;
    let day = paper.issued_on.unwrap_or(paper.prepared_on);
    text(writer, "cbc:IssueDate", &day.to_string())?;
    for note in notes(paper) {
        text(writer, "cbc:Note", &note)?;
    }
    text(writer, "cbc:PricingCurrencyCode", currency)?;
    let lines = match record.presentation {
        Presentation::Itemised => record.manifolds.len(),
        Presentation::LumpSum => 1,
    };
    text(writer, "cbc:LineCountNumeric", &lines.to_string())?;
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
    lines_of(writer, record)
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
    let currency = record.totals.currency;
    for option in &record.options {
        let instead = option.instead_of.iter();
        let instead: String = instead.map(|mark| format!("instead of {mark}, ")).collect();
        notes.push(format!(
            "Option, not in the total: {}, {instead}{currency} {:+} without tax, {:+} with tax",
            option.name, option.price.net, option.price.gross
        ));
    }
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

fn lines_of(writer: &mut Inner, record: &QuoteRecord) -> io::Result<()> {
    let currency = record.totals.currency.code();
    let alternates = |of: Option<&str>| -> Vec<&QuotedOption> {
        let options = record.options.iter();
        let fits = |option: &&QuotedOption| {
            let instead = option.instead_of.as_deref();
            instead.is_some() && (of.is_none() || instead == of)
        };
        options.filter(fits).collect()
    };
    if record.presentation == Presentation::LumpSum {
        return group(writer, "cac:QuotationLine", |writer| {
            lot(writer, record)?;
            let all = alternates(None);
            all.into_iter().enumerate().try_for_each(|(place, option)| {
                let whole = record.totals.net + option.price.net;
                alternate(writer, (place, option), (whole, 1, LUMP_SUM), currency)
            })
        });
    }
    for (place, manifold) in record.manifolds.iter().enumerate() {
        group(writer, "cac:QuotationLine", |writer| {
            line(writer, place + 1, manifold, currency)?;
            let instead = alternates(Some(&manifold.mark));
            instead
                .into_iter()
                .enumerate()
                .try_for_each(|(place, option)| {
                    let whole = manifold.amount + option.price.net;
                    let pieces = (whole, option.manifold.quantity, PIECES);
                    alternate(writer, (place, option), pieces, currency)
                })
        })?;
    }
    Ok(())
}

fn quantity(writer: &mut Inner, name: &str, (count, unit): (u32, &str)) -> io::Result<()> {
    writer
        .create_element(name)
        .with_attribute(("unitCode", unit))
        .write_text_content(BytesText::new(&count.to_string()))?;
    Ok(())
}

fn item(writer: &mut Inner, manifold: &OfferedManifold, name: &str) -> io::Result<()> {
    group(writer, "cac:Item", |writer| {
        text(writer, "cbc:Description", &manifold.description)?;
        text(writer, "cbc:Name", name)
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
        quantity(writer, "cbc:Quantity", (manifold.quantity, PIECES))?;
        amount(writer, "cbc:LineExtensionAmount", manifold.amount, currency)?;
        group(writer, "cac:Price", |writer| {
            amount(writer, "cbc:PriceAmount", manifold.unit_price, currency)
        })?;
        item(writer, manifold, &manifold.mark)
    })
}

/// The one line of a schedule at one price.
fn lot(writer: &mut Inner, record: &QuoteRecord) -> io::Result<()> {
    let (currency, net) = (record.totals.currency.code(), record.totals.net);
    text(writer, "cbc:ID", "1")?;
    amount(writer, "cbc:LineExtensionAmount", net, currency)?;
    group(writer, "cac:LineItem", |writer| {
        text(writer, "cbc:ID", "1")?;
        quantity(writer, "cbc:Quantity", (1, LUMP_SUM))?;
        amount(writer, "cbc:LineExtensionAmount", net, currency)?;
        group(writer, "cac:Price", |writer| {
            amount(writer, "cbc:PriceAmount", net, currency)
        })?;
        group(writer, "cac:Item", |writer| {
            text(writer, "cbc:Name", &record.project)
        })?;
        for (place, manifold) in record.manifolds.iter().enumerate() {
            group(writer, "cac:SubLineItem", |writer| {
                text(writer, "cbc:ID", &format!("1.{}", place + 1))?;
                quantity(writer, "cbc:Quantity", (manifold.quantity, PIECES))?;
                item(writer, manifold, &manifold.mark)
            })?;
        }
        Ok(())
    })
}

/// What a line comes to with an alternate in it. Its pieces seldom have a price of whole minor units each,
/// so the price is that of all of them.
fn alternate(
    writer: &mut Inner,
    (place, option): (usize, &QuotedOption),
    (whole, count, unit): (Decimal, u32, &str),
    currency: &str,
) -> io::Result<()> {
    group(writer, "cac:AlternativeLineItem", |writer| {
        text(writer, "cbc:ID", &format!("A{}", place + 1))?;
        if let Some(mark) = &option.instead_of {
            text(writer, "cbc:Note", &format!("Instead of {mark}"))?;
        }
        quantity(writer, "cbc:Quantity", (count, unit))?;
        amount(writer, "cbc:LineExtensionAmount", whole, currency)?;
        group(writer, "cac:Price", |writer| {
            amount(writer, "cbc:PriceAmount", whole, currency)?;
            quantity(writer, "cbc:BaseQuantity", (count, unit))
        })?;
        item(writer, &option.manifold, &option.name)
    })
}

/// What is offered on top, each in an extension of its own.
fn additions(writer: &mut Inner, record: &QuoteRecord) -> io::Result<()> {
    let currency = record.totals.currency.code();
    let options = record.options.iter();
    let additions: Vec<&QuotedOption> = options
        .filter(|option| option.instead_of.is_none())
        .collect();
    if additions.is_empty() {
        return Ok(());
    }
    group(writer, "ext:UBLExtensions", |writer| {
        for (place, option) in additions.into_iter().enumerate() {
            group(writer, "ext:UBLExtension", |writer| {
                text(writer, "cbc:Name", &option.name)?;
                text(writer, "ext:ExtensionReason", ADDITION)?;
                group(writer, "ext:ExtensionContent", |writer| {
                    group(writer, "cac:LineItem", |writer| {
                        addition(writer, place, option, currency)
                    })
                })
            })?;
        }
        Ok(())
    })
}

fn addition(
    writer: &mut Inner,
    place: usize,
    option: &QuotedOption,
    currency: &str,
) -> io::Result<()> {
    let (price, pieces) = (&option.price, (option.manifold.quantity, PIECES));
    text(writer, "cbc:ID", &format!("O{}", place + 1))?;
    quantity(writer, "cbc:Quantity", pieces)?;
    amount(writer, "cbc:LineExtensionAmount", price.net, currency)?;
    amount(writer, "cbc:TotalTaxAmount", price.tax, currency)?;
    group(writer, "cac:Price", |writer| {
        amount(writer, "cbc:PriceAmount", price.net, currency)?;
        quantity(writer, "cbc:BaseQuantity", pieces)
    })?;
    item(writer, &option.manifold, &option.name)
}
