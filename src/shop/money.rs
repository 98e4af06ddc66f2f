//! Money: exact decimals, and the one place where they are rounded.

use std::fmt;

use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Deserialize, Serialize};

/// An ISO 4217 currency code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Currency([u8; 3]);

/// Not three letters.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is not a currency code; write the three letters of ISO 4217, such as USD or EUR")]
pub struct NotACurrency(pub String);

impl Currency {
    /// From its three letters.
    ///
    /// # Errors
    /// When it is not three ASCII letters.
    pub fn new(code: &str) -> Result<Self, NotACurrency> {
        let upper = code.trim().to_ascii_uppercase();
        match <[u8; 3]>::try_from(upper.as_bytes()) {
            Ok(letters) if letters.iter().all(u8::is_ascii_uppercase) => Ok(Self(letters)),
            _ => Err(NotACurrency(code.to_owned())),
        }
    }

    /// The three letters.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or("XXX")
    }

    /// Decimals of its minor unit (ISO 4217 list one; currencies not named here have two).
    pub fn decimals(&self) -> u32 {
        match &self.0 {
            b"BIF" | b"CLP" | b"DJF" | b"GNF" | b"ISK" | b"JPY" | b"KMF" | b"KRW" | b"PYG"
            | b"RWF" | b"UGX" | b"UYI" | b"VND" | b"VUV" | b"XAF" | b"XOF" | b"XPF" => 0,
            b"BHD" | b"IQD" | b"JOD" | b"KWD" | b"LYD" | b"OMR" | b"TND" => 3,
            b"CLF" | b"UYW" => 4,
            _ => 2,
        }
    }

    /// Rounds to the minor unit, half away from zero. The only place where money is rounded.
    ///
    /// The result always shows every decimal of the minor unit: `12.50`, not `12.5`.
    pub fn round(&self, amount: Decimal) -> Decimal {
        let mut rounded =
            amount.round_dp_with_strategy(self.decimals(), RoundingStrategy::MidpointAwayFromZero);
        rounded.rescale(self.decimals());
        rounded
    }
}

impl TryFrom<String> for Currency {
    type Error = NotACurrency;
    fn try_from(code: String) -> Result<Self, NotACurrency> {
        Self::new(&code)
    }
}

impl From<Currency> for String {
    fn from(currency: Currency) -> Self {
        currency.code().to_owned()
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// A share in percent, exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Percent(Decimal);

impl Percent {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// From a number of hundredths.
    pub const fn new(hundredths: Decimal) -> Self {
        Self(hundredths)
    }

    /// The number of hundredths.
    pub const fn number(self) -> Decimal {
        self.0
    }

    /// As a share of one.
    pub fn share(self) -> Decimal {
        self.0 / Decimal::ONE_HUNDRED
    }

    /// Nothing at all.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// This share of an amount, unrounded.
    pub fn of(self, amount: Decimal) -> Decimal {
        amount * self.share()
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0.normalize())
    }
}

/// Profit, on cost or on price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind", content = "percent")]
pub enum Profit {
    /// Percent of cost, added to it.
    Markup(Percent),
    /// Percent of the price that is left after cost; less than 100.
    Margin(Percent),
}

impl Profit {
    /// The profit on a cost, unrounded; `None` for a margin of 100 % or more.
    pub fn on(self, cost: Decimal) -> Option<Decimal> {
        match self {
            Self::Markup(percent) => Some(percent.of(cost)),
            Self::Margin(percent) => {
                let left = Decimal::ONE - percent.share();
                (left > Decimal::ZERO).then(|| cost * percent.share() / left)
            }
        }
    }

    /// The same profit said as a margin, in percent of price.
    pub fn as_margin(self) -> Option<Percent> {
        let profit = self.on(Decimal::ONE_HUNDRED)?;
        Some(Percent::new(
            profit * Decimal::ONE_HUNDRED / (Decimal::ONE_HUNDRED + profit),
        ))
    }

    /// What it is called, always saying which: `25 % markup on cost`.
    pub fn spoken(self) -> String {
        match self {
            Self::Markup(percent) => format!("{percent} markup on cost"),
            Self::Margin(percent) => format!("{percent} margin on price"),
        }
    }
}

/// An exact decimal from a computed number, cut to millionths: quantities, not money.
pub fn exact(value: f64) -> Decimal {
    let mut decimal = Decimal::from_f64_retain(value)
        .unwrap_or_default()
        .round_dp(6);
    decimal.normalize_assign();
    decimal
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    #[test]
    fn money_rounds_half_up_to_the_minor_unit_of_its_currency() {
        let of =
            |code: &str, amount: Decimal| Currency::new(code).unwrap().round(amount).to_string();
        assert_eq!(of("USD", dec!(1.005)), "1.01");
        assert_eq!(of("USD", dec!(2)), "2.00");
        assert_eq!(of("USD", dec!(-1.005)), "-1.01");
        assert_eq!(of("JPY", dec!(10.5)), "11");
        assert_eq!(of("KWD", dec!(1.0005)), "1.001");
    }

    #[test]
    fn markup_and_margin_are_two_sides_of_one_profit() {
        // A published costing example: 200 000 at 25 % markup sells at 250 000, a 20 % margin.
        let markup = Profit::Markup(Percent::new(dec!(25)));
        assert_eq!(markup.on(dec!(200000)), Some(dec!(50000)));
        assert_eq!(markup.as_margin().unwrap().number(), dec!(20));
        let margin = Profit::Margin(Percent::new(dec!(20)));
        assert_eq!(margin.on(dec!(200000)), Some(dec!(50000)));
        // Published table: markups of 20, 25, 35 and 50 % are margins of 16.7, 20.0, 25.9, 33.3 %.
        for (markup, margin) in [
            (20, dec!(16.7)),
            (25, dec!(20.0)),
            (35, dec!(25.9)),
            (50, dec!(33.3)),
        ] {
            let same = Profit::Markup(Percent::new(markup.into()))
                .as_margin()
                .unwrap();
            assert_eq!(same.number().round_dp(1), margin);
        }
    }

    #[test]
    fn a_margin_of_all_the_price_is_no_price() {
        assert_eq!(Profit::Margin(Percent::new(dec!(100))).on(dec!(1)), None);
    }

    #[test]
    fn only_three_letters_make_a_currency() {
        assert_eq!(Currency::new("usd").unwrap().code(), "USD");
        for wrong in ["", "US", "USDX", "U1D", "€€€"] {
            assert!(Currency::new(wrong).is_err(), "{wrong}");
        }
    }
}
