//! Figures as people read them on paper.

use rust_decimal::Decimal;

/// An amount with its thousands set apart: `1,234.50`. Decimals stay as they are.
pub fn grouped(amount: Decimal) -> String {
    let text = amount.abs().to_string();
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut grouped = String::new();
    if amount.is_sign_negative() && !amount.is_zero() {
        // A true minus, as wide as the plus.
        grouped.push('\u{2212}');
    }
    for (place, digit) in whole.chars().enumerate() {
        if place > 0 && (whole.len() - place).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped + rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    #[test]
    fn thousands_are_set_apart() {
        for (amount, text) in [
            (dec!(0.00), "0.00"),
            (dec!(999.99), "999.99"),
            (dec!(1234.50), "1,234.50"),
            (dec!(1234567), "1,234,567"),
            (dec!(-100000.5), "\u{2212}100,000.5"),
        ] {
            assert_eq!(grouped(amount), text);
        }
    }
}
