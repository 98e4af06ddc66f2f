//! Lower prices from a quantity on.

use std::fmt;

use rust_decimal::Decimal;

/// Most breaks of one price.
pub const MOST_BREAKS: usize = 20;

/// A price from a quantity on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PriceBreak {
    /// The least quantity it is for, in the unit of the price.
    pub from: Decimal,
    /// The price of one unit, of all that is bought.
    pub price: Decimal,
}

/// What is wrong with a table of breaks; places count from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BreakFault {
    /// Too many of them.
    TooMany(usize),
    /// From nothing, or less.
    From(usize),
    /// Not from more than the break before.
    NotRising(usize),
    /// Dearer than what is bought in smaller quantity.
    Dearer(usize),
}

/// Lower prices from a quantity on: quantities rise, prices never do.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PriceBreaks(Vec<PriceBreak>);

impl PriceBreaks {
    /// From a table, for a price that holds below its first quantity.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn new(price: Decimal, table: Vec<PriceBreak>) -> Result<Self, Vec<BreakFault>> {
        let mut faults = Vec::new();
        if table.len() > MOST_BREAKS {
            faults.push(BreakFault::TooMany(table.len()));
        }
        let mut before = PriceBreak {
            from: Decimal::ZERO,
            price,
        };
        for (place, here) in table.iter().enumerate() {
            if here.from <= Decimal::ZERO {
                faults.push(BreakFault::From(place));
            } else if here.from <= before.from {
                faults.push(BreakFault::NotRising(place));
            }
            if here.price > before.price {
                faults.push(BreakFault::Dearer(place));
            }
            before = *here;
        }
        match faults.is_empty() {
            true => Ok(Self(table)),
            false => Err(faults),
        }
    }

    /// Whether there is one price for any quantity.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The breaks, smallest quantity first.
    pub fn as_slice(&self) -> &[PriceBreak] {
        &self.0
    }

    /// The break that a quantity reaches; `None` below the first.
    pub fn reached(&self, quantity: Decimal) -> Option<&PriceBreak> {
        self.0.iter().rev().find(|one| one.from <= quantity)
    }

    /// Reads what [`fmt::Display`] writes: `50: 5.20; 200: 4.90`. `None` when it is no such text.
    pub fn parse(text: &str) -> Option<Vec<PriceBreak>> {
        let parts = text
            .split(';')
            .map(str::trim)
            .filter(|part| !part.is_empty());
        parts
            .map(|part| {
                let (from, price) = part.split_once(':')?;
                Some(PriceBreak {
                    from: Decimal::from_str_exact(from.trim()).ok()?,
                    price: Decimal::from_str_exact(price.trim()).ok()?,
                })
            })
            .collect()
    }
}

impl fmt::Display for PriceBreaks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, one) in self.0.iter().enumerate() {
            let before = if place > 0 { "; " } else { "" };
            write!(f, "{before}{}: {}", one.from, one.price)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::dec;

    fn table(rows: &[(Decimal, Decimal)]) -> Vec<PriceBreak> {
        let rows = rows.iter();
        rows.map(|(from, price)| PriceBreak {
            from: *from,
            price: *price,
        })
        .collect()
    }

    #[test]
    fn a_quantity_takes_the_price_of_the_break_it_reaches() {
        let rows = [(dec!(50), dec!(5.20)), (dec!(200), dec!(4.90))];
        let breaks = PriceBreaks::new(dec!(6.10), table(&rows)).unwrap();
        for (quantity, price) in [
            (dec!(49.999), None),
            (dec!(50), Some(dec!(5.20))),
            (dec!(199), Some(dec!(5.20))),
            (dec!(200), Some(dec!(4.90))),
        ] {
            assert_eq!(breaks.reached(quantity).map(|one| one.price), price);
        }
        assert_eq!(breaks.to_string(), "50: 5.20; 200: 4.90");
        assert_eq!(PriceBreaks::parse(&breaks.to_string()), Some(table(&rows)));
        assert_eq!(PriceBreaks::parse(" "), Some(Vec::new()));
        assert_eq!(PriceBreaks::parse("50 5.20"), None);
    }

    #[test]
    fn a_table_that_is_not_monotone_names_every_row() {
        let rows = [
            (dec!(0), dec!(7)),
            (dec!(50), dec!(5)),
            (dec!(50), dec!(5)),
            (dec!(60), dec!(5.5)),
        ];
        let faults = PriceBreaks::new(dec!(6), table(&rows)).unwrap_err();
        assert_eq!(
            faults,
            [
                BreakFault::From(0),
                BreakFault::Dearer(0),
                BreakFault::NotRising(2),
                BreakFault::Dearer(3),
            ]
        );
    }
}
