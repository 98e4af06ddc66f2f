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
            _ if several => format!("{name} {on} {}", grouped(tax.base, mark)),
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
