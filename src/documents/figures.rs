//! Figures as people read them on paper.

use rust_decimal::Decimal;

use crate::shop::quote::{QuoteRecord, TaxLine, Totals};
use crate::shop::settings::DecimalMark;

/// An amount with its thousands set apart: `1,234.50` or `1.234,50`. Decimals stay as they are.
pub fn grouped(amount: Decimal, mark: DecimalMark) -> String {
    let (between, mark) = match mark {
        DecimalMark::Point => (',', "."),
        DecimalMark::Comma => ('.', ","),
    };
    let text = amount.abs().to_string();
    let (whole, parts) = text.split_once('.').unwrap_or((&text, ""));
    let mut grouped = String::new();
    if amount.is_sign_negative() && !amount.is_zero() {
        // A true minus, as wide as the plus.
        grouped.push('\u{2212}');
    }
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            grouped.push(between);
        }
        grouped.push(digit);
    }
    if !parts.is_empty() {
        grouped.push_str(mark);
        grouped.push_str(parts);
    }
    grouped
}

/// A difference, always with its sign: `+1,234.50` or `−12.00`.
pub fn signed(difference: Decimal, mark: DecimalMark) -> String {
    let text = grouped(difference, mark);
    match difference > Decimal::ZERO {
        true => format!("+{text}"),
        false => text,
    }
}

/// What each tax of a quotation is called, with its rate, and what it comes to. Where there are
/// several, each says what it is `on`.
pub fn taxes(record: &QuoteRecord, on: &str) -> Vec<(String, Decimal)> {
    let mark = record.shop.style.decimal_mark;
    taxes_of((&record.totals, &record.taxes()), mark, on)
}

/// The same of any totals.
pub fn taxes_of(
    (totals, taxes): (&Totals, &[TaxLine]),
    mark: DecimalMark,
    on: &str,
) -> Vec<(String, Decimal)> {
    let several = taxes.len() > 1;
    let label = |tax: &TaxLine| {
        let name = format!("{} {}", tax.name, mark.written(tax.rate.to_string()));
        match mark {
            // In a sentence, away from any column's heading, so with its currency.
            _ if several => {
                let base = grouped(tax.base, mark);
                format!("{name} {on} {} {base}", totals.currency)
            }
            // As it was frozen, also by earlier programs, which knew no other mark.
            DecimalMark::Point => totals.tax_text.clone(),
            DecimalMark::Comma => name,
        }
    };
    taxes.iter().map(|tax| (label(tax), tax.amount)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::money::{Currency, Percent};
    use rust_decimal::dec;

    #[test]
    fn differences_have_a_sign() {
        for (amount, text) in [
            (dec!(1234.50), "+1,234.50"),
            (dec!(0.00), "0.00"),
            (dec!(-12.00), "\u{2212}12.00"),
        ] {
            assert_eq!(signed(amount, DecimalMark::Point), text);
        }
    }

    #[test]
    fn several_taxes_say_what_they_are_on_in_which_currency() {
        let tax = |name: &str, rate, base, amount| TaxLine {
            name: name.to_owned(),
            rate: Percent::new(rate),
            base,
            amount,
        };
        let taxes = [
            tax("Sales tax", dec!(7.25), dec!(1053.00), dec!(76.34)),
            tax("Service tax", dec!(2), dec!(40.00), dec!(0.80)),
        ];
        let totals = Totals {
            currency: Currency::new("USD").unwrap(),
            net: dec!(1093.00),
            tax_text: "as frozen".to_owned(),
            tax: dec!(77.14),
            gross: dec!(1170.14),
            taxes: Vec::new(),
        };
        let said = |taxes, mark| {
            let said = taxes_of((&totals, taxes), mark, "on").into_iter();
            said.map(|(text, _)| text).collect::<Vec<_>>()
        };
        assert_eq!(
            said(&taxes, DecimalMark::Point),
            [
                "Sales tax 7.25 % on USD 1,053.00",
                "Service tax 2 % on USD 40.00"
            ]
        );
        assert_eq!(
            said(&taxes, DecimalMark::Comma)[0],
            "Sales tax 7,25 % on USD 1.053,00"
        );
        assert_eq!(said(&taxes[..1], DecimalMark::Point), ["as frozen"]);
    }

    #[test]
    fn thousands_are_set_apart() {
        for (amount, text) in [
            (dec!(0.00), "0.00"),
            (dec!(999.99), "999.99"),
            (dec!(1234.50), "1,234.50"),
            (dec!(1234567), "1,234,567"),
            (dec!(-100000.5), "\u{2212}100,000.5"),
        ] {
            assert_eq!(grouped(amount, DecimalMark::Point), text);
            let swapped = text.replace(',', " ").replace('.', ",").replace(' ', ".");
            assert_eq!(grouped(amount, DecimalMark::Comma), swapped);
        }
    }
}
