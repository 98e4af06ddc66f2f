//! Tax on the net price, by what is sold.
//!
//! Where some cost heads are taxed otherwise than the rest, net is parted by direct cost, so that
//! overhead, profit and all else follow the heads they were earned on (common practice for sales
//! of several categories at one price; the local code decides).

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::shop::money::Currency;
use crate::shop::quote::{TaxLine, Totals};
use crate::shop::settings::{Pricing, Tax};

/// Net, the taxes on it, and gross.
pub fn totals(
    net: Decimal,
    direct_heads: &BTreeMap<String, Decimal>,
    (pricing, currency): (&Pricing, Currency),
) -> Totals {
    let net = currency.round(net);
    let parts = parts(direct_heads, pricing);
    let whole: Decimal = parts.iter().map(|(_, cost)| *cost).sum();
    let mut left = net;
    let last = parts.len() - 1;
    let lines = parts.into_iter().enumerate().map(|(place, (tax, cost))| {
        // The last takes what is left, so that the bases add up to net.
        let base = match place == last || whole.is_zero() {
            true => left,
            false => currency.round(net * (cost / whole)),
        };
        left -= base;
        TaxLine {
            name: tax.name.clone(),
            rate: tax.rate,
            base,
            amount: currency.round(tax.rate.of(base)),
        }
    });
    let taxes: Vec<TaxLine> = lines.collect();
    let amount = taxes.iter().map(|line| line.amount).sum();
    Totals {
        currency,
        net,
        tax_text: TaxLine::in_words(&taxes),
        tax: amount,
        gross: net + amount,
        taxes,
    }
}

/// Each tax with the direct cost it bears on, the usual one last; never empty.
fn parts<'a>(
    direct_heads: &BTreeMap<String, Decimal>,
    pricing: &'a Pricing,
) -> Vec<(&'a Tax, Decimal)> {
    let mut parts: Vec<(&Tax, Decimal)> = Vec::new();
    let mut usual = Decimal::ZERO;
    for (head, cost) in direct_heads {
        let tax = pricing.tax_by_head.get(head);
        match tax.filter(|tax| **tax != pricing.tax) {
            None => usual += cost,
            Some(tax) => match parts.iter_mut().find(|(known, _)| *known == tax) {
                Some((_, sum)) => *sum += cost,
                None => parts.push((tax, *cost)),
            },
        }
    }
    parts.retain(|(_, cost)| !cost.is_zero());
    if parts.is_empty() || !usual.is_zero() {
        parts.push((&pricing.tax, usual));
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::money::Percent;
    use rust_decimal::dec;

    fn tax(name: &str, rate: Decimal) -> Tax {
        Tax {
            name: name.to_owned(),
            rate: Percent::new(rate),
        }
    }

    fn heads(costs: &[(&str, Decimal)]) -> BTreeMap<String, Decimal> {
        let costs = costs.iter();
        costs
            .map(|(head, cost)| ((*head).to_owned(), *cost))
            .collect()
    }

    fn worked(net: Decimal, costs: &[(&str, Decimal)], by_head: &[(&str, Tax)]) -> Totals {
        let pricing = Pricing {
            tax: tax("Sales tax", dec!(8)),
            tax_by_head: by_head
                .iter()
                .map(|(head, tax)| ((*head).to_owned(), tax.clone()))
                .collect(),
            ..Pricing::default()
        };
        totals(
            net,
            &heads(costs),
            (&pricing, Currency::new("USD").unwrap()),
        )
    }

    #[test]
    fn labour_that_is_not_taxed_takes_its_part_of_the_price_with_it() {
        // Cost 60 of material and 40 of labour, sold at 200: 120 is taxed at 8 %, 80 is not.
        let costs = [("tube", dec!(60)), ("labour", dec!(40))];
        let found = worked(
            dec!(200),
            &costs,
            &[("labour", tax("Labour, untaxed", dec!(0)))],
        );
        let bases: Vec<Decimal> = found.taxes.iter().map(|line| line.base).collect();
        assert_eq!(bases, [dec!(80.00), dec!(120.00)]);
        assert_eq!((found.tax, found.gross), (dec!(9.60), dec!(209.60)));
        assert_eq!(
            found.tax_text,
            "Labour, untaxed 0 % on 80.00, Sales tax 8 % on 120.00"
        );
    }

    #[test]
    fn bases_add_up_to_net_whatever_the_parts() {
        let costs = [
            ("consumables", dec!(1)),
            ("labour", dec!(1)),
            ("tube", dec!(1)),
        ];
        let by_head = [
            ("labour", tax("Labour", dec!(2))),
            ("consumables", tax("Reduced", dec!(5))),
        ];
        let found = worked(dec!(100), &costs, &by_head);
        let bases: Vec<Decimal> = found.taxes.iter().map(|line| line.base).collect();
        assert_eq!(bases, [dec!(33.33), dec!(33.33), dec!(33.34)]);
    }

    #[test]
    fn one_tax_on_all_is_said_as_it_always_was() {
        let found = worked(dec!(50), &[("tube", dec!(1))], &[]);
        assert_eq!(
            (found.tax_text.as_str(), found.tax),
            ("Sales tax 8 %", dec!(4.00))
        );
        let none = worked(dec!(0), &[], &[("labour", tax("Labour", dec!(2)))]);
        assert_eq!((none.taxes.len(), none.tax), (1, dec!(0.00)));
    }
}
