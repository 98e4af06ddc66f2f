//! What the template is given: only what the customer may see, as text that can be printed.

use serde_json::{Value, json};

use super::QuotePaper;
use crate::documents::figures::{grouped, signed, taxes};
use crate::documents::typst_world::{date_parts, showable};
use crate::documents::words::Words;
use crate::shop::quote::{OfferedManifold, Presentation, QuotedManifold, QuotedOption};
use crate::shop::settings::{DecimalMark, Paper};

/// Words longer than this may be broken anywhere, so that nothing runs out of its column.
const LONGEST_WORD: usize = 44;
/// Where a line may break without a sign of it.
const BREAK: char = '\u{200b}';

/// Makes text printable and remembers whether anything had to be replaced.
#[derive(Debug, Default)]
struct Printer {
    replaced: bool,
}

impl Printer {
    fn text(&mut self, text: &str) -> String {
        let (shown, replaced) = showable(text);
        self.replaced |= replaced;
        let mut run = 0;
        let mut broken = String::with_capacity(shown.len());
        for character in shown.chars() {
            run = if character.is_whitespace() {
                0
            } else {
                run + 1
            };
            if run > LONGEST_WORD {
                broken.push(BREAK);
                run = 1;
            }
            broken.push(character);
        }
        broken
    }

    fn lines<'a>(&mut self, lines: impl IntoIterator<Item = &'a str>) -> Vec<String> {
        lines
            .into_iter()
            .filter(|line| !line.trim().is_empty())
            .map(|line| self.text(line))
            .collect()
    }
}

/// The data of a paper.
///
/// # Errors
/// When the words do not read.
pub fn of(paper: &QuotePaper<'_>) -> Result<Value, serde_json::Error> {
    let record = paper.record;
    let mut print = Printer::default();
    let shop = &record.shop;
    let words: Value = serde_json::from_str(Words::of(shop.style.language).quote)?;
    let on = words["tax_on"].as_str().unwrap_or_default();
    let letterhead = &shop.letterhead;
    let shop_lines = print.lines(letterhead.address.iter().map(String::as_str).chain([
        letterhead.phone.as_str(),
        letterhead.email.as_str(),
        letterhead.registration.as_str(),
    ]));
    let customer = &record.customer;
    let customer_lines = print.lines(
        [customer.contact.as_str()]
            .into_iter()
            .chain(customer.address.iter().map(String::as_str))
            .chain([customer.email.as_str()]),
    );
    let mark = shop.style.decimal_mark;
    let prices = (record.presentation == Presentation::Itemised).then_some(mark);
    let (made, offered) = (record.manifolds.iter(), record.options.iter());
    let rows = made.clone();
    let schedule: Vec<Value> = rows
        .map(|made| schedule_row(&mut print, made, prices))
        .collect();
    let options: Vec<Value> = offered
        .map(|offered| option(&mut print, offered, mark))
        .collect();
    let manifolds: Vec<Value> = made.map(|made| manifold(&mut print, made)).collect();
    Ok(json!({
        "paper": match shop.paper { Paper::Letter => "us-letter", Paper::A4 => "a4" },
        "logo": paper.logo.map(|logo| json!({
            "format": logo.kind.word(),
            "text": print.text(&logo.text),
        })),
        "shop": { "name": print.text(&letterhead.name), "lines": shop_lines },
        "customer": { "name": print.text(&customer.name), "lines": customer_lines },
        "number": print.text(paper.number),
        "revision": paper.revision.to_string(),
        "state": paper.state.word(),
        "facts": facts(paper),
        "document_date": date_parts(paper.issued_on.unwrap_or(paper.prepared_on)),
        "project": print.text(&record.project),
        "note": print.lines(record.note.split("\n\n")),
        "currency": record.totals.currency.code(),
        "itemised": prices.is_some(),
        "schedule": schedule,
        "totals": totals(&mut print, paper, on),
        "included": print.lines(shop.quoting.inclusions.iter().map(String::as_str)),
        "excluded": print.lines(shop.quoting.exclusions.iter().map(String::as_str)),
        "terms": print.lines(shop.quoting.terms.iter().map(String::as_str)),
        "manifolds": manifolds,
        "options": options,
        "honesty": print.lines(record.honesty.iter().map(String::as_str)),
        "replaced": print.replaced,
    }))
}

/// What stands beside the customer's address, by the key of its word.
fn facts(paper: &QuotePaper<'_>) -> Vec<Value> {
    let mut facts = Vec::new();
    if !paper.number.is_empty() {
        facts.push(json!(["number", paper.number]));
    }
    facts.push(json!(["revision", paper.revision.to_string()]));
    match paper.issued_on {
        Some(day) => facts.push(json!(["issued", date_parts(day)])),
        None => facts.push(json!(["prepared", date_parts(paper.prepared_on)])),
    }
    if let Some(day) = paper.valid_until {
        facts.push(json!(["valid", date_parts(day)]));
    }
    facts
}

/// A row of the schedule. Its prices are empty where they are not to be shown, so that no template can.
fn schedule_row(print: &mut Printer, made: &QuotedManifold, prices: Option<DecimalMark>) -> Value {
    json!({
        "mark": print.text(&made.mark),
        "description": print.text(&made.description),
        "quantity": made.quantity.to_string(),
        "unit_price": prices.map_or_else(String::new, |mark| grouped(made.unit_price, mark)),
        "amount": prices.map_or_else(String::new, |mark| grouped(made.amount, mark)),
    })
}

fn option(print: &mut Printer, option: &QuotedOption, mark: DecimalMark) -> Value {
    json!({
        "name": print.text(&option.name),
        "instead_of": option.instead_of.as_deref().map(|mark| print.text(mark)),
        "net": signed(option.price.net, mark),
        "gross": signed(option.price.gross, mark),
        "manifold": manifold(print, &option.manifold),
    })
}

fn manifold(print: &mut Printer, made: &OfferedManifold) -> Value {
    let particulars: Vec<Value> = made
        .particulars
        .iter()
        .map(|(label, value)| json!([print.text(label), print.text(value)]))
        .collect();
    // Markup of the drawing is ASCII, so making its text printable leaves it whole.
    let (drawing, replaced) = showable(&made.drawing);
    print.replaced |= replaced;
    let drawing = (!drawing.is_empty()).then_some(drawing);
    json!({
        "mark": print.text(&made.mark),
        "quantity": made.quantity.to_string(),
        "description": print.text(&made.description),
        "particulars": particulars,
        "cautions": print.lines(made.cautions.iter().map(String::as_str)),
        "drawing": drawing,
        "drawing_text": made.drawing_text,
    })
}

/// Net, tax, gross, each with its currency.
fn totals(print: &mut Printer, paper: &QuotePaper<'_>, on: &str) -> Vec<Value> {
    let totals = &paper.record.totals;
    let mark = paper.record.shop.style.decimal_mark;
    let amount = |value| format!("{} {}", totals.currency, grouped(value, mark));
    let mut rows = vec![json!({ "label": "net", "amount": amount(totals.net) })];
    rows.extend(taxes(paper.record, on).into_iter().map(
        |(text, tax)| json!({ "label": null, "text": print.text(&text), "amount": amount(tax) }),
    ));
    rows.push(json!({ "label": "gross", "amount": amount(totals.gross) }));
    rows
}
