//! What differs between two price lists.

use std::cmp::Ordering;

use rust_decimal::Decimal;

use super::price_list::{PriceItem, PriceList};

/// How one item differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PriceChange {
    /// Only the later list has it.
    Added(PriceItem),
    /// Only the earlier list has it.
    Removed(PriceItem),
    /// Both have it, at another price, in another unit or under another description.
    Changed {
        /// As it was.
        from: PriceItem,
        /// As it is.
        to: PriceItem,
    },
}

impl PriceChange {
    /// By how much the price rose, as a share of what it was; `None` where the two cannot be
    /// compared.
    pub fn rise(&self) -> Option<Decimal> {
        match self {
            Self::Changed { from, to } if from.unit == to.unit && !from.price.is_zero() => {
                Some((to.price - from.price) / from.price)
            }
            _ => None,
        }
    }
}

/// Everything in which `later` differs from `earlier`, by code.
pub fn price_changes(earlier: &PriceList, later: &PriceList) -> Vec<PriceChange> {
    let mut before = earlier.items().peekable();
    let mut after = later.items().peekable();
    let mut changes = Vec::new();
    // Both come in the order of their codes.
    loop {
        let order = match (before.peek(), after.peek()) {
            (None, None) => return changes,
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (Some(from), Some(to)) => from
                .code
                .to_ascii_lowercase()
                .cmp(&to.code.to_ascii_lowercase()),
        };
        let from = if order.is_le() { before.next() } else { None };
        let to = if order.is_ge() { after.next() } else { None };
        match (from, to) {
            (Some(from), Some(to)) if from != to => changes.push(PriceChange::Changed {
                from: from.clone(),
                to: to.clone(),
            }),
            (Some(from), None) => changes.push(PriceChange::Removed(from.clone())),
            (None, Some(to)) => changes.push(PriceChange::Added(to.clone())),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::money::Currency;
    use crate::shop::price_list::{Heading, ItemKind, PriceBreaks, PriceUnit};
    use jiff::civil::date;
    use rust_decimal::dec;

    fn list(items: &[(&str, PriceUnit, Decimal)]) -> PriceList {
        let heading = Heading {
            id: String::new(),
            name: String::new(),
            supplier: String::new(),
            currency: Currency::new("USD").unwrap(),
            effective_on: date(2026, 1, 1),
        };
        let items = items.iter().map(|(code, unit, price)| PriceItem {
            code: (*code).to_owned(),
            kind: ItemKind::Tube,
            text: String::new(),
            unit: *unit,
            price: *price,
            breaks: PriceBreaks::default(),
        });
        PriceList::new(heading, items)
    }

    #[test]
    fn every_difference_is_named_once_and_what_is_alike_is_not() {
        let earlier = list(&[
            ("a", PriceUnit::Foot, dec!(10)),
            ("B", PriceUnit::Foot, dec!(10)),
            ("c", PriceUnit::Foot, dec!(10)),
            ("e", PriceUnit::Foot, dec!(0)),
        ]);
        let later = list(&[
            ("b", PriceUnit::Foot, dec!(12.5)),
            ("c", PriceUnit::Foot, dec!(10)),
            ("d", PriceUnit::Foot, dec!(1)),
            ("e", PriceUnit::Foot, dec!(1)),
        ]);
        let changes = price_changes(&earlier, &later);
        let said: Vec<(&str, &str, Option<Decimal>)> = changes
            .iter()
            .map(|change| match change {
                PriceChange::Added(item) => ("added", item.code.as_str(), change.rise()),
                PriceChange::Removed(item) => ("removed", item.code.as_str(), change.rise()),
                PriceChange::Changed { to, .. } => ("changed", to.code.as_str(), change.rise()),
            })
            .collect();
        assert_eq!(
            said,
            [
                ("removed", "a", None),
                ("changed", "b", Some(dec!(0.25))),
                ("added", "d", None),
                ("changed", "e", None),
            ]
        );
        assert!(price_changes(&later, &later).is_empty());
    }

    #[test]
    fn prices_by_other_units_are_not_compared() {
        let foot = list(&[("a", PriceUnit::Foot, dec!(10))]);
        let stick = list(&[("a", PriceUnit::Stick, dec!(200))]);
        assert_eq!(price_changes(&foot, &stick)[0].rise(), None);
    }
}
