//! What changed between two revisions, in words and numbers.

use jiff::civil::Date;

use super::asked::{self, Asked};
use super::options::QuotedOption;
use super::record::{FrozenProfile, OfferedManifold, QuoteRecord, QuotedManifold};
use crate::shop::money::Currency;
use crate::shop::settings::Shop;
use crate::trade::manifold::Manifold;

/// A revision, to be held against another.
#[derive(Debug, Clone, Copy)]
pub struct Revised<'a> {
    /// What it froze.
    pub record: &'a QuoteRecord,
    /// What it was asked to offer; none where that can no longer be read, and then what the frozen words say is told.
    pub asked: Option<&'a Asked>,
    /// The last day it stands; a draft that names none has none yet.
    pub valid_until: Option<Date>,
}

/// One thing that changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What, as a word of the contract: `customer`, `valid_until`, `run_length`, `outlet_stub`.
    pub what: &'static str,
    /// The mark of the manifold it is of.
    pub mark: Option<String>,
    /// The name of the option it is of.
    pub option: Option<String>,
    /// The outlets it is of, counted from the first end: `1 to 6`.
    pub outlets: Option<String>,
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
            _ => self.spoken(),
        };
        match (self.before.as_deref(), self.after.as_deref()) {
            (Some(before), Some(after)) => format!("{of} was {before}, is {after}"),
            (None, Some(after)) => format!("{of} added: {after}"),
            (Some(before), None) => format!("{of} taken out: {before}"),
            (None, None) => of,
        }
    }

    /// What changed, with its outlets.
    fn spoken(&self) -> String {
        let Some(outlets) = &self.outlets else {
            return self.called();
        };
        let are = match outlets.parse::<usize>() {
            Ok(_) => "outlet",
            Err(_) => "outlets",
        };
        format!("{} of {are} {outlets}", self.called())
    }

    fn called(&self) -> String {
        let called = match self.what {
            "unit_price" => "unit price",
            "option_price" => "price",
            "instead_of" => "instead of",
            "presentation" => "price shown",
            "inclusions" => "included in the price",
            "exclusions" => "not included",
            "customer_contact" => "customer's contact",
            "customer_address" => "customer's address",
            "customer_email" => "customer's email",
            "ends_join" => "metal joined at the ends",
            "outlet_flow" => "flow wanted",
            "outlet_feeds" => "what is fed",
            "outlet_joins" => "metal joined to the branch",
            what => what.strip_prefix("outlet_").unwrap_or(what),
        };
        called.replace('_', " ")
    }
}

/// Everything that changed from one revision to another, in the order of a quotation: parties,
/// schedule, terms, what the price rests on. Manifolds are held against those of the same mark.
pub fn changes(before: &Revised<'_>, after: &Revised<'_>) -> Vec<Change> {
    let mut found = Found::default();
    heading(&mut found, before, after);
    schedule(&mut found, before, after);
    options(&mut found, before, after);
    let (before, after) = (before.record, after.record);
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
    // Earlier programs kept none; what that was is not known here.
    if let (Some(old), Some(new)) = (&before.forming_profile, &after.forming_profile) {
        let said =
            |profile: &FrozenProfile| format!("{}, version {}", profile.name, profile.version);
        found.texts("forming_profile", &said(old), &said(new));
    }
    found.0
}

fn heading(found: &mut Found, before: &Revised<'_>, after: &Revised<'_>) {
    let (old, new) = (&before.record.customer, &after.record.customer);
    found.texts("customer", &old.name, &new.name);
    found.texts("customer_contact", &old.contact, &new.contact);
    let lines = |address: &[String]| address.join(", ");
    found.texts(
        "customer_address",
        &lines(&old.address),
        &lines(&new.address),
    );
    found.texts("customer_email", &old.email, &new.email);
    found.texts("project", &before.record.project, &after.record.project);
    found.texts("note", &before.record.note, &after.record.note);
    let named = |revision: &Revised<'_>| revision.asked.and_then(|asked| asked.valid_until);
    // A draft that names no day gets the usual one when it is issued, which is no change to what had it before.
    let is_known = before.valid_until.is_some() && after.valid_until.is_some();
    if is_known || named(before).is_some() || named(after).is_some() {
        found.texts("valid_until", &last_day(before), &last_day(after));
    }
}

fn last_day(revision: &Revised<'_>) -> String {
    let usual = || {
        let days = revision.record.shop.quoting.valid_days;
        format!("{days} days from the day of issue")
    };
    revision
        .valid_until
        .map_or_else(usual, |day| day.to_string())
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
        self.of_outlets(what, of, None, (before, after));
    }

    fn of_outlets(
        &mut self,
        what: &'static str,
        of: Of<'_>,
        outlets: Option<String>,
        (before, after): (&str, &str),
    ) {
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
            outlets,
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

/// The manifold of a record and, where it can still be read, what was asked.
type Both<'a, T> = (&'a T, Option<&'a Manifold>);

fn schedule(found: &mut Found, before: &Revised<'_>, after: &Revised<'_>) {
    let (old, new) = (quoted(before), quoted(after));
    let mut left: Vec<Both<'_, QuotedManifold>> = old.collect();
    for new in new {
        // The first of a mark is held against the first, and so on.
        let place = left.iter().position(|old| old.0.mark == new.0.mark);
        match place.map(|place| left.remove(place)) {
            Some(old) => manifold(found, (old, new), &after.record.shop),
            None => found.of("manifold", Of::Manifold(&new.0.mark), "", &whole(new.0)),
        }
    }
    for (old, _) in left {
        found.of("manifold", Of::Manifold(&old.mark), &whole(old), "");
    }
}

fn quoted<'a>(revision: &Revised<'a>) -> impl Iterator<Item = Both<'a, QuotedManifold>> {
    let asked = revision.asked;
    let each = revision.record.manifolds.iter().enumerate();
    each.map(move |(place, made)| (made, asked.and_then(|asked| asked.manifolds.get(place))))
}

fn manifold(
    found: &mut Found,
    (before, after): (Both<'_, QuotedManifold>, Both<'_, QuotedManifold>),
    shop: &Shop,
) {
    let of = Of::Manifold(&after.0.mark);
    offered(found, of, (before.0, after.0));
    asked_for(found, of, (before.0, after.0), (before.1, after.1), shop);
    let (old, new) = (before.0.unit_price, after.0.unit_price);
    found.of("unit_price", of, &old.to_string(), &new.to_string());
}

/// What was asked for, as far as the words of the offer say nothing of it.
fn asked_for(
    found: &mut Found,
    of: Of<'_>,
    (before, after): (&OfferedManifold, &OfferedManifold),
    asked: (Option<&Manifold>, Option<&Manifold>),
    shop: &Shop,
) {
    let (Some(old), Some(new)) = asked else {
        return;
    };
    let particulars = after.particulars.iter();
    let told: Vec<&str> = particulars
        .filter(|particular| !before.particulars.contains(particular))
        .map(|(name, _)| name.as_str())
        .collect();
    for difference in asked::differences(old, new, shop, &told) {
        let (was, is) = (&difference.before, &difference.after);
        found.of_outlets(difference.what, of, difference.outlets, (was, is));
    }
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
fn options(found: &mut Found, before: &Revised<'_>, after: &Revised<'_>) {
    let named = |record: &'_ QuoteRecord, name: &str| {
        let mut options = record.options.iter();
        options.position(|option| option.name == name)
    };
    let asked = |revision: &Revised<'_>, place: usize| {
        let asked = revision.asked;
        asked.and_then(|asked| asked.options.get(place).cloned())
    };
    let (was, is) = (before.record.totals.currency, after.record.totals.currency);
    for (place, new) in after.record.options.iter().enumerate() {
        let of = Of::Option(&new.name);
        let Some(known) = named(before.record, &new.name) else {
            found.of("option", of, "", &whole_option(new, is));
            continue;
        };
        let old = &before.record.options[known];
        let instead = |option: &QuotedOption| option.instead_of.clone().unwrap_or_default();
        found.of("instead_of", of, &instead(old), &instead(new));
        let made = (&old.manifold, &new.manifold);
        found.of("mark", of, &made.0.mark, &made.1.mark);
        offered(found, of, made);
        let wanted = (asked(before, known), asked(after, place));
        let wanted = (wanted.0.as_ref(), wanted.1.as_ref());
        asked_for(found, of, made, wanted, &after.record.shop);
        found.of("option_price", of, &price(old, was), &price(new, is));
    }
    for old in &before.record.options {
        if named(after.record, &old.name).is_none() {
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
