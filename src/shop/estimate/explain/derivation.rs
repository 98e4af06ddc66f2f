//! A figure and how it came about, down to what was given.

use rust_decimal::Decimal;

use crate::shop::money::{Currency, Percent};

/// What a figure is of its parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// It has no parts: it was counted, measured, set or read from a list.
    Given,
    /// Their sum.
    Sum,
    /// The first less the rest.
    Difference,
    /// Their product.
    Product,
    /// The first divided by the rest.
    Quotient,
    /// The greatest of them.
    Greatest,
    /// The one part, rounded half away from zero to the decimals shown.
    Rounded,
    /// The one part, rounded up to a whole number.
    RoundedUp,
}

impl Step {
    /// Every step.
    pub const ALL: [Self; 8] = [
        Self::Given,
        Self::Sum,
        Self::Difference,
        Self::Product,
        Self::Quotient,
        Self::Greatest,
        Self::Rounded,
        Self::RoundedUp,
    ];

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Sum => "sum",
            Self::Difference => "difference",
            Self::Product => "product",
            Self::Quotient => "quotient",
            Self::Greatest => "greatest",
            Self::Rounded => "rounded",
            Self::RoundedUp => "rounded_up",
        }
    }
}

/// A figure and how it came about. Its value follows from its parts by its step.
#[derive(Debug, Clone, PartialEq)]
pub struct Derivation {
    /// What it is.
    pub what: String,
    /// The figure.
    pub value: Decimal,
    /// Its unit; empty for a bare number.
    pub unit: String,
    /// What it is of its parts.
    pub step: Step,
    /// Where it was given: the design, the layout, a list, a setting.
    pub source: Option<String>,
    /// The place of the line whose amount it is, where it is one.
    pub line: Option<usize>,
    /// What it was made from.
    pub parts: Vec<Derivation>,
}

impl Derivation {
    /// A figure that was given.
    pub fn given(
        what: impl Into<String>,
        (value, unit): (Decimal, &str),
        source: impl Into<String>,
    ) -> Self {
        Self {
            what: what.into(),
            value,
            unit: unit.to_owned(),
            step: Step::Given,
            source: Some(source.into()),
            line: None,
            parts: Vec::new(),
        }
    }

    fn made(what: impl Into<String>, unit: &str, step: Step, parts: Vec<Self>) -> Self {
        let mut values = parts.iter().map(|part| part.value);
        let first = values.next().unwrap_or_default();
        let value = match step {
            Step::Given | Step::Rounded => first,
            Step::Sum => values.fold(first, |sum, value| sum + value),
            Step::Difference => values.fold(first, |left, value| left - value),
            Step::Product => values.fold(first, |product, value| product * value),
            Step::Quotient => values.fold(first, |left, value| {
                left.checked_div(value).unwrap_or_default()
            }),
            Step::Greatest => values.fold(first, Decimal::max),
            Step::RoundedUp => first.ceil(),
        };
        Self {
            what: what.into(),
            value,
            unit: unit.to_owned(),
            step,
            source: None,
            line: None,
            parts,
        }
    }

    /// The sum of parts.
    pub fn sum(what: impl Into<String>, unit: &str, parts: Vec<Self>) -> Self {
        Self::made(what, unit, Step::Sum, parts)
    }

    /// The first part less the second.
    pub fn difference(what: impl Into<String>, unit: &str, parts: [Self; 2]) -> Self {
        Self::made(what, unit, Step::Difference, parts.into())
    }

    /// The product of parts.
    pub fn product(what: impl Into<String>, unit: &str, parts: Vec<Self>) -> Self {
        Self::made(what, unit, Step::Product, parts)
    }

    /// The first part divided by the second.
    pub fn quotient(what: impl Into<String>, unit: &str, parts: [Self; 2]) -> Self {
        Self::made(what, unit, Step::Quotient, parts.into())
    }

    /// The greatest of parts.
    pub fn greatest(what: impl Into<String>, unit: &str, parts: Vec<Self>) -> Self {
        Self::made(what, unit, Step::Greatest, parts)
    }

    /// The next whole number.
    pub fn rounded_up(self, what: impl Into<String>) -> Self {
        let unit = self.unit.clone();
        Self::made(what, &unit, Step::RoundedUp, vec![self])
    }

    /// Rounded to so many decimals, as quantities and hours are.
    pub fn rounded(self, what: impl Into<String>, decimals: u32) -> Self {
        let (unit, value) = (self.unit.clone(), self.value.round_dp(decimals));
        Self {
            value,
            ..Self::made(what, &unit, Step::Rounded, vec![self])
        }
    }

    /// Rounded to the minor unit of its currency.
    pub fn to_minor_unit(self, what: impl Into<String>, currency: Currency) -> Self {
        let value = currency.round(self.value);
        Self {
            value,
            ..Self::made(what, currency.code(), Step::Rounded, vec![self])
        }
    }

    /// A percentage as a share of one.
    pub fn share(what: impl Into<String>, percent: Percent, source: &str) -> Self {
        let what = what.into();
        let percent = Self::given(what.clone(), (percent.number(), "%"), source);
        let hundred = Self::given("hundredths", (Decimal::ONE_HUNDRED, ""), "percent");
        Self::quotient(what, "", [percent, hundred])
    }

    /// One and a share of it.
    pub fn one_and(what: impl Into<String>, share: Self) -> Self {
        let one = Self::given("the whole", (Decimal::ONE, ""), "one");
        Self::sum(what, "", vec![one, share])
    }
}
