//! What changed between two revisions, in words and numbers.

use super::record::{QuoteRecord, QuotedManifold};

/// One thing that changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What: `customer`, `project`, `note`, `manifold`, `quantity`, `description`, `particular`,
    /// `unit_price`,
    /// `price_list`, `labour_model`, `rule_set`, `inclusions`, `exclusions`, `terms`, `tax`.
    pub what: &'static str,
    /// The mark of the manifold it is of.
    pub mark: Option<String>,
    /// What it was; none for what is new.
    pub before: Option<String>,
    /// What it is; none for what is gone.
    pub after: Option<String>,
}

impl Change {
    /// In words.
    pub fn text(&self) -> String {
        let of = match &self.mark {
            Some(mark) if self.what != "manifold" => format!("{mark}: {}", self.spoken()),
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

impl Found {
    fn texts(&mut self, what: &'static str, before: &str, after: &str) {
        self.of(what, None, before, after);
    }

    fn of(&mut self, what: &'static str, mark: Option<&str>, before: &str, after: &str) {
        if before == after {
            return;
        }
        let said = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        self.0.push(Change {
            what,
            mark: mark.map(str::to_owned),
            before: said(before),
            after: said(after),
        });
    }

    /// Lines that are gone, and lines that are new.
    fn lists(&mut self, what: &'static str, before: &[String], after: &[String]) {
        for line in before.iter().filter(|line| !after.contains(line)) {
            self.of(what, None, line, "");
        }
        for line in after.iter().filter(|line| !before.contains(line)) {
            self.of(what, None, "", line);
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
            None => found.of("manifold", Some(&new.mark), "", &whole(new)),
        }
    }
    for old in left {
        found.of("manifold", Some(&old.mark), &whole(old), "");
    }
}

fn manifold(found: &mut Found, before: &QuotedManifold, after: &QuotedManifold) {
    let mark = Some(after.mark.as_str());
    found.of(
        "quantity",
        mark,
        &before.quantity.to_string(),
        &after.quantity.to_string(),
    );
    found.of("description", mark, &before.description, &after.description);
    // Texts that say the same may stand for figures that differ: stations, services, pressures.
    for (name, value) in &after.particulars {
        let old = before.particulars.iter().find(|(known, _)| known == name);
        let old = old.map_or("", |(_, value)| value.as_str());
        if old != value {
            let said = |value: &str| match value {
                "" => String::new(),
                value => format!("{} {value}", name.to_lowercase()),
            };
            found.of("particular", mark, &said(old), &said(value));
        }
    }
    found.of(
        "unit_price",
        mark,
        &before.unit_price.to_string(),
        &after.unit_price.to_string(),
    );
}

fn whole(made: &QuotedManifold) -> String {
    format!(
        "{}, quantity {}, {}",
        made.mark, made.quantity, made.description
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_said_in_words() {
        let change = |what, mark: Option<&str>, before: &str, after: &str| {
            let mut found = Found::default();
            found.of(what, mark, before, after);
            found.0.first().map(Change::text)
        };
        assert_eq!(
            change("quantity", Some("H-1"), "2", "3").unwrap(),
            "H-1: quantity was 2, is 3"
        );
        assert_eq!(
            change("terms", None, "", "Pay at once.").unwrap(),
            "terms added: Pay at once."
        );
        assert_eq!(
            change("manifold", Some("H-2"), "H-2, quantity 1, x", "").unwrap(),
            "manifold taken out: H-2, quantity 1, x"
        );
        assert_eq!(change("note", None, "same", "same"), None);
    }
}
