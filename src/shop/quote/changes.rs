//! What changed between two revisions, in words and numbers.

use super::options::QuotedOption;
use super::record::{OfferedManifold, QuoteRecord, QuotedManifold};
use crate::shop::money::Currency;

/// One thing that changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What: `customer`, `project`, `note`, `manifold`, `quantity`, `description`, `particular`,
    /// `unit_price`, `option`, `option_price`, `instead_of`, `presentation`,
    /// `price_list`, `labour_model`, `rule_set`, `inclusions`, `exclusions`, `terms`, `tax`.
    pub what: &'static str,
    /// The mark of the manifold it is of.
    pub mark: Option<String>,
    /// The name of the option it is of.
    pub option: Option<String>,
    /// What it was; none for what is new.
    pub before: Option<String>,
    /// What it is; none for what is gone.
    pub after: Option<String>,
}

impl Change {
    /// In words.
    pub fn text(&self) -> String {
        let of = match (&self.mark, &self.option) {
            (_, Some(option)) if self.what != "option" => {
                format!("option {option}: {}", self.spoken())
            }
            (Some(mark), None) if self.what != "manifold" => format!("{mark}: {}", self.spoken()),
            _ => self.spoken().to_owned(),
        };
        match (self.before.as_deref(), self.after.as_deref()) {
            (Some(before), Some(after)) => format!("{of} was {before}, is {after}"),
            (None, Some(after)) => format!("{of} added: {after}"),
            (Some(before), None) => format!("{of} taken out: {before}"),
            (None, None) => of,
        }
    }

    fn spoken(&self) -> &'static str {
        match self.what {
            "unit_price" => "unit price",
            "option_price" => "price",
            "instead_of" => "instead of",
            "presentation" => "price shown",
            "price_list" => "price list",
            "labour_model" => "labour model",
            "rule_set" => "rule set",
            "inclusions" => "included in the price",
            "exclusions" => "not included",
            what => what,
        }
    }
}

/// Everything that changed from one revision to another, in the order of a quotation: parties,
/// schedule, terms, what the price rests on. Manifolds are held against those of the same mark.
pub fn changes(before: &QuoteRecord, after: &QuoteRecord) -> Vec<Change> {
    let mut found = Found::default();
    found.texts("customer", &before.customer.name, &after.customer.name);
    found.texts("project", &before.project, &after.project);
    found.texts("note", &before.note, &after.note);
    schedule(&mut found, before, after);
    options(&mut found, before, after);
    let shown = |record: &QuoteRecord| record.presentation.spoken();
    found.texts("presentation", shown(before), shown(after));
    let (old, new) = (&before.shop.quoting, &after.shop.quoting);
    found.lists("inclusions", &old.inclusions, &new.inclusions);
    found.lists("exclusions", &old.exclusions, &new.exclusions);
    found.lists("terms", &old.terms, &new.terms);
    found.texts("tax", &before.totals.tax_text, &after.totals.tax_text);
    found.texts(
        "price_list",
        &before.price_list.name,
        &after.price_list.name,
    );
    found.texts(
        "labour_model",
        &before.labour_model.name,
        &after.labour_model.name,
    );
    found.texts("rule_set", &before.rule_set, &after.rule_set);
    found.0
}

#[derive(Default)]
struct Found(Vec<Change>);

/// What a change is of.
#[derive(Clone, Copy)]
enum Of<'a> {
    Quote,
    Manifold(&'a str),
    Option(&'a str),
}

impl Found {
    fn texts(&mut self, what: &'static str, before: &str, after: &str) {
        self.of(what, Of::Quote, before, after);
    }

    fn of(&mut self, what: &'static str, of: Of<'_>, before: &str, after: &str) {
        if before == after {
            return;
        }
        let said = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        let (mark, option) = match of {
            Of::Quote => (None, None),
            Of::Manifold(mark) => (Some(mark.to_owned()), None),
            Of::Option(name) => (None, Some(name.to_owned())),
        };
        self.0.push(Change {
            what,
            mark,
            option,
            before: said(before),
            after: said(after),
        });
    }

    /// Lines that are gone, and lines that are new.
    fn lists(&mut self, what: &'static str, before: &[String], after: &[String]) {
        for line in before.iter().filter(|line| !after.contains(line)) {
            self.of(what, Of::Quote, line, "");
        }
        for line in after.iter().filter(|line| !before.contains(line)) {
            self.of(what, Of::Quote, "", line);
        }
    }
}

fn schedule(found: &mut Found, before: &QuoteRecord, after: &QuoteRecord) {
    let mut left: Vec<&QuotedManifold> = before.manifolds.iter().collect();
    for new in &after.manifolds {
        // The first of a mark is held against the first, and so on.
        let place = left.iter().position(|old| old.mark == new.mark);
        match place.map(|place| left.remove(place)) {
            Some(old) => manifold(found, old, new),
            None => found.of("manifold", Of::Manifold(&new.mark), "", &whole(new)),
        }
    }
    for old in left {
        found.of("manifold", Of::Manifold(&old.mark), &whole(old), "");
    }
}

fn manifold(found: &mut Found, before: &QuotedManifold, after: &QuotedManifold) {
    let of = Of::Manifold(&after.mark);
    offered(found, of, (before, after));
    let (old, new) = (before.unit_price, after.unit_price);
    found.of("unit_price", of, &old.to_string(), &new.to_string());
}

/// What is offered, whatever its price.
fn offered(found: &mut Found, of: Of<'_>, (before, after): (&OfferedManifold, &OfferedManifold)) {
    let (old, new) = (before.quantity, after.quantity);
    found.of("quantity", of, &old.to_string(), &new.to_string());
    found.of("description", of, &before.description, &after.description);
    // Texts that say the same may stand for figures that differ: stations, services, pressures.
    for (name, value) in &after.particulars {
        let old = before.particulars.iter().find(|(known, _)| known == name);
        let old = old.map_or("", |(_, value)| value.as_str());
        if old != value {
            let said = |value: &str| match value {
                "" => String::new(),
                value => format!("{} {value}", name.to_lowercase()),
            };
            found.of("particular", of, &said(old), &said(value));
        }
    }
}

fn whole(made: &OfferedManifold) -> String {
    format!(
        "{}, quantity {}, {}",
        made.mark, made.quantity, made.description
    )
}

/// Options are held against those of the same name.
fn options(found: &mut Found, before: &QuoteRecord, after: &QuoteRecord) {
    let named = |record: &'_ QuoteRecord, name: &str| {
        let mut options = record.options.iter();
        options.position(|option| option.name == name)
    };
    let (was, is) = (before.totals.currency, after.totals.currency);
    for new in &after.options {
        let of = Of::Option(&new.name);
        let Some(place) = named(before, &new.name) else {
            found.of("option", of, "", &whole_option(new, is));
            continue;
        };
        let old = &before.options[place];
        let instead = |option: &QuotedOption| option.instead_of.clone().unwrap_or_default();
        found.of("instead_of", of, &instead(old), &instead(new));
        offered(found, of, (&old.manifold, &new.manifold));
        found.of("option_price", of, &price(old, was), &price(new, is));
    }
    for old in &before.options {
        if named(after, &old.name).is_none() {
            let of = Of::Option(&old.name);
            found.of("option", of, &whole_option(old, was), "");
        }
    }
}

fn price(option: &QuotedOption, currency: Currency) -> String {
    format!("{currency} {:+}", option.price.net)
}

fn whole_option(option: &QuotedOption, currency: Currency) -> String {
    let instead = option.instead_of.iter();
    let instead: String = instead.map(|mark| format!("instead of {mark}, ")).collect();
    format!(
        "{}, {instead}{}, {} without tax",
        option.name,
        whole(&option.manifold),
        price(option, currency)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_said_in_words() {
        let change = |what, of: Of<'_>, before: &str, after: &str| {
            let mut found = Found::default();
            found.of(what, of, before, after);
            found.0.first().map(Change::text)
        };
        assert_eq!(
            change("quantity", Of::Manifold("H-1"), "2", "3").unwrap(),
            "H-1: quantity was 2, is 3"
        );
        assert_eq!(
            change("terms", Of::Quote, "", "Pay at once.").unwrap(),
            "terms added: Pay at once."
        );
        assert_eq!(
            change("manifold", Of::Manifold("H-2"), "H-2, quantity 1, x", "").unwrap(),
            "manifold taken out: H-2, quantity 1, x"
        );
        assert_eq!(
            change("option_price", Of::Option("Tees"), "USD +2.00", "USD -1.50").unwrap(),
            "option Tees: price was USD +2.00, is USD -1.50"
        );
        assert_eq!(change("note", Of::Quote, "same", "same"), None);
    }
}
