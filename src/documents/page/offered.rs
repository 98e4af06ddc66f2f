//! What may be ordered beside a quotation, and what was, as the template is given it.

use serde::Serialize;

use super::picture;
use crate::documents::figures::{grouped, signed, taxes_of};
use crate::shop::quote::{Order, QuoteRecord, QuotedOption};
use crate::shop::settings::DecimalMark;

/// An option.
#[derive(Serialize)]
pub(super) struct OptionLine<'a> {
    name: &'a str,
    instead_of: Option<&'a str>,
    quantity: u32,
    description: &'a str,
    net: String,
    gross: String,
    particulars: &'a [(String, String)],
    cautions: &'a [String],
    drawing: String,
    drawing_text: &'a str,
    /// Whether it was chosen when the form was last sent.
    is_chosen: bool,
}

impl<'a> OptionLine<'a> {
    fn of(option: &'a QuotedOption, mark: DecimalMark, chosen: &[String]) -> Self {
        let manifold = &option.manifold;
        Self {
            name: &option.name,
            instead_of: option.instead_of.as_deref(),
            quantity: manifold.quantity,
            description: &manifold.description,
            net: signed(option.price.net, mark),
            gross: signed(option.price.gross, mark),
            particulars: &manifold.particulars,
            cautions: &manifold.cautions,
            drawing: picture(&manifold.drawing),
            drawing_text: &manifold.drawing_text,
            is_chosen: chosen.contains(&option.name),
        }
    }
}

/// The options of a quotation.
#[derive(Serialize)]
pub(super) struct Options<'a> {
    /// All of them, in order.
    all: Vec<OptionLine<'a>>,
    /// Places of those that come on top.
    additions: Vec<usize>,
    /// The others.
    alternates: Vec<Alternates<'a>>,
}

/// Alternates of one manifold.
#[derive(Serialize)]
struct Alternates<'a> {
    mark: &'a str,
    places: Vec<usize>,
    /// Whether none of them was chosen when the form was last sent.
    is_as_quoted: bool,
}

impl<'a> Options<'a> {
    pub(super) fn of(record: &'a QuoteRecord, chosen: &[String]) -> Self {
        let mark = record.shop.style.decimal_mark;
        let mut options = Self {
            all: Vec::new(),
            additions: Vec::new(),
            alternates: Vec::new(),
        };
        for (place, option) in record.options.iter().enumerate() {
            options.all.push(OptionLine::of(option, mark, chosen));
            let Some(instead) = option.instead_of.as_deref() else {
                options.additions.push(place);
                continue;
            };
            let groups = &mut options.alternates;
            let is_chosen = chosen.contains(&option.name);
            match groups.iter_mut().find(|group| group.mark == instead) {
                Some(group) => {
                    group.places.push(place);
                    group.is_as_quoted &= !is_chosen;
                }
                None => groups.push(Alternates {
                    mark: instead,
                    places: vec![place],
                    is_as_quoted: !is_chosen,
                }),
            }
        }
        options
    }
}

/// What was ordered, as a sum.
#[derive(Serialize)]
pub(super) struct Ordered<'a> {
    schedule: String,
    options: Vec<(&'a str, String)>,
    net: String,
    taxes: Vec<(String, String)>,
    gross: String,
}

impl<'a> Ordered<'a> {
    pub(super) fn of(record: &'a QuoteRecord, order: &Order, on: &str) -> Self {
        let mark = record.shop.style.decimal_mark;
        let totals = &order.totals;
        let taken = record.options.iter();
        let taken = taken.filter(|option| order.options.contains(&option.name));
        let taxes = taxes_of((totals, &totals.taxes), mark, on);
        Self {
            schedule: grouped(record.totals.net, mark),
            options: taken
                .map(|option| (option.name.as_str(), signed(option.price.net, mark)))
                .collect(),
            net: grouped(totals.net, mark),
            taxes: taxes
                .into_iter()
                .map(|(text, tax)| (text, grouped(tax, mark)))
                .collect(),
            gross: grouped(totals.gross, mark),
        }
    }
}
