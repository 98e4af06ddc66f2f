//! What a shop says of itself: who it is, what its hours cost, how it prices and quotes.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::cut_plan::CutLength;
use super::labour::Spread;
use super::money::{Currency, Percent, Profit};
use super::own::OwnFiles;

/// Units that answers and papers use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Inches, pounds, degrees Fahrenheit.
    #[default]
    Imperial,
    /// Millimetres, kilograms, degrees Celsius.
    Metric,
}

/// Paper of printed documents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// US letter.
    #[default]
    Letter,
    /// ISO A4.
    A4,
}

/// What stands between whole and parts in figures that people read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DecimalMark {
    /// `1,234.50`.
    #[default]
    Point,
    /// `1.234,50`.
    Comma,
}

impl DecimalMark {
    /// A figure that was written with a point.
    pub fn written(self, figure: String) -> String {
        match self {
            Self::Point => figure,
            Self::Comma => figure.replace('.', ","),
        }
    }
}

/// Language of documents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Language {
    /// English.
    #[default]
    En,
}

/// How documents are written, beyond their paper. Settings of earlier programs hold none.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Style {
    /// What stands between whole and parts.
    pub decimal_mark: DecimalMark,
    /// Their language.
    pub language: Language,
}

/// Who the shop is, for its letterhead.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Letterhead {
    /// Trading name.
    pub name: String,
    /// Address, a line each.
    pub address: Vec<String>,
    /// Telephone.
    pub phone: String,
    /// Email.
    pub email: String,
    /// Licence or registration that quotes must show.
    pub registration: String,
}

/// Tax on what is sold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tax {
    /// What it is called: `Sales tax`, `VAT`.
    pub name: String,
    /// Its rate.
    pub rate: Percent,
}

impl Default for Tax {
    fn default() -> Self {
        Self {
            name: "Tax".to_owned(),
            rate: Percent::ZERO,
        }
    }
}

/// How an estimate becomes a price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pricing {
    /// Wage of one crew hour, before burden. Nothing is assumed: without it no labour is priced.
    pub crew_rate: Option<Decimal>,
    /// Who makes up the crew, where its wage is the mean of theirs; then `crew_rate` is none.
    #[serde(default)]
    pub crew: Vec<CrewMember>,
    /// Burden on wages: insurance, holidays, pension.
    pub burden: Percent,
    /// Tube bought beyond the net cut length, where it is not counted in sticks.
    pub tube_waste: Percent,
    /// How sticks are cut, where tube is counted in whole sticks with the pieces of the schedule
    /// nested in them; `None` where it is counted by length plus waste.
    #[serde(default)]
    pub cutting: Option<Cutting>,
    /// Filler used beyond what fills the gaps; the handbook says real use is two to three times.
    pub filler_allowance: Percent,
    /// Small tools, as a share of labour.
    pub small_tools: Percent,
    /// Charge for each collar formed, for the equipment.
    pub collar_charge: Decimal,
    /// Overhead, as a share of cost.
    pub overhead: Percent,
    /// Contingency, as a share of cost with overhead.
    pub contingency: Percent,
    /// Contingency as what the cost at this level, of a hundred cases, lies above what it is in
    /// half of them; then `contingency` counts nothing.
    #[serde(default)]
    pub contingency_level: Option<u32>,
    /// How the prices of a cost head may turn out, by head.
    #[serde(default)]
    pub price_spread: BTreeMap<String, PriceSpread>,
    /// Profit.
    pub profit: Profit,
    /// Least price of an order.
    pub minimum_charge: Decimal,
    /// Discount off the price.
    pub discount: Percent,
    /// Tax.
    pub tax: Tax,
    /// Tax on cost heads that are taxed otherwise, by head.
    #[serde(default)]
    pub tax_by_head: BTreeMap<String, Tax>,
}

/// Workers of a kind in the crew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CrewMember {
    /// What they are: fitter, apprentice.
    pub role: String,
    /// How many of them; parts of one who is only there at times.
    pub count: Decimal,
    /// Wage of an hour of one, before burden.
    pub wage: Decimal,
    /// Burden on it, where it is not the usual one.
    #[serde(default)]
    pub burden: Option<Percent>,
}

impl Pricing {
    /// Wage of one hour, before burden: the crew's mean, or as set. `None` where neither is.
    pub fn wage(&self) -> Option<Decimal> {
        match self.heads() {
            heads if heads.is_zero() => self.crew_rate,
            heads => Some(self.per_head(heads, |member| member.wage)),
        }
    }

    /// What one hour costs with burden, to four decimals; `None` where no wage is set.
    pub fn hourly_rate(&self) -> Option<Decimal> {
        let loaded = |wage: Decimal, burden: Percent| wage * (Decimal::ONE + burden.share());
        let rate = match self.heads() {
            heads if heads.is_zero() => loaded(self.crew_rate?, self.burden),
            heads => self.per_head(heads, |member| {
                loaded(member.wage, member.burden.unwrap_or(self.burden))
            }),
        };
        Some(rate.round_dp(4).normalize())
    }

    /// How the rate of an hour comes about, in words.
    pub fn rate_basis(&self) -> String {
        if self.heads().is_zero() {
            return format!("crew rate with {} burden", self.burden);
        }
        let members = self.crew.iter().map(|member| {
            format!(
                "{} {} at {} with {}",
                member.count.normalize(),
                member.role,
                member.wage,
                member.burden.unwrap_or(self.burden)
            )
        });
        let members: Vec<String> = members.collect();
        format!("mean rate of the crew with burden: {}", members.join(", "))
    }

    fn heads(&self) -> Decimal {
        self.crew.iter().map(|member| member.count).sum()
    }

    fn per_head(&self, heads: Decimal, of: impl Fn(&CrewMember) -> Decimal) -> Decimal {
        let members = self.crew.iter();
        let whole: Decimal = members.map(|member| member.count * of(member)).sum();
        whole / heads
    }
}

/// Lowest and highest that prices may turn out, as multiples of what the list says:
/// `low <= 1 <= high`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct PriceSpread {
    /// Lowest.
    pub low: Decimal,
    /// Highest.
    pub high: Decimal,
}

impl PriceSpread {
    /// As a spread.
    pub const fn spread(&self) -> Spread {
        Spread {
            low: self.low,
            high: self.high,
        }
    }
}

/// How the shop cuts sticks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cutting {
    /// Width that a cut turns to swarf.
    pub kerf: CutLength,
    /// Cut off the ends of a stick, both together, before pieces are.
    pub end_trim: CutLength,
    /// The shortest rest worth keeping; `None` when none is.
    pub least_offcut: Option<CutLength>,
    /// What a kept rest is worth, as a share of what so much of a stick costs.
    pub offcut_value: Percent,
}

impl Default for Pricing {
    fn default() -> Self {
        Self {
            crew_rate: None,
            crew: Vec::new(),
            burden: Percent::ZERO,
            tube_waste: Percent::ZERO,
            cutting: None,
            filler_allowance: Percent::new(Decimal::from_parts(150, 0, 0, false, 0)),
            small_tools: Percent::ZERO,
            collar_charge: Decimal::ZERO,
            overhead: Percent::ZERO,
            contingency: Percent::ZERO,
            contingency_level: None,
            price_spread: BTreeMap::new(),
            profit: Profit::Markup(Percent::ZERO),
            minimum_charge: Decimal::ZERO,
            discount: Percent::ZERO,
            tax: Tax::default(),
            tax_by_head: BTreeMap::new(),
        }
    }
}

/// How quotes are written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Quoting {
    /// Pattern of quote numbers: `{year}` and `{seq}` or `{seq:4}` (padded) are filled in.
    pub number_pattern: String,
    /// Days a quote stays open.
    pub valid_days: u32,
    /// What the price includes, a line each.
    pub inclusions: Vec<String>,
    /// What it leaves out, a line each.
    pub exclusions: Vec<String>,
    /// Terms, a paragraph each.
    pub terms: Vec<String>,
}

impl Default for Quoting {
    fn default() -> Self {
        Self {
            number_pattern: "Q-{year}-{seq:4}".to_owned(),
            valid_days: 30,
            inclusions: Vec::new(),
            exclusions: Vec::new(),
            terms: Vec::new(),
        }
    }
}

impl Quoting {
    /// The number of the `seq`-th quote, issued in `year`.
    pub fn number(&self, year: i16, seq: i64) -> String {
        let mut number = self.number_pattern.replace("{year}", &year.to_string());
        for width in 1..=9usize {
            number = number.replace(&format!("{{seq:{width}}}"), &format!("{seq:0width$}"));
        }
        number.replace("{seq}", &seq.to_string())
    }

    /// A pattern makes distinct numbers only when it holds the sequence. They stand in addresses, file names
    /// and header fields as they are, so that they hold only what all of those take unescaped.
    pub fn pattern_is_sound(pattern: &str) -> bool {
        let filled = |seq| {
            Self {
                number_pattern: pattern.to_owned(),
                ..Self::default()
            }
            .number(2000, seq)
        };
        let number = filled(1);
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        number != filled(2) && number.chars().all(plain)
    }

    /// The last day on which a quote of a day stands.
    pub fn valid_until(&self, issued_on: Date) -> Date {
        issued_on.saturating_add(jiff::Span::new().days(i64::from(self.valid_days)))
    }
}

/// A shop's settings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shop {
    /// Who it is.
    pub letterhead: Letterhead,
    /// Its currency.
    pub currency: Currency,
    /// Units of its answers.
    pub units: Units,
    /// Paper of its documents.
    pub paper: Paper,
    /// How they are written.
    #[serde(default)]
    pub style: Style,
    /// What it has put in place of ours on them.
    #[serde(default, skip_serializing_if = "OwnFiles::is_empty")]
    pub own: OwnFiles,
    /// How it prices.
    pub pricing: Pricing,
    /// How it quotes.
    pub quoting: Quoting,
}

impl Shop {
    /// The same shop without any contingency.
    #[must_use]
    pub fn without_contingency(&self) -> Self {
        let mut plain = self.clone();
        plain.pricing.contingency_level = None;
        plain.pricing.contingency = Percent::ZERO;
        plain
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_of_earlier_programs_have_our_logo_and_templates() {
        let shop = Shop {
            letterhead: Letterhead::default(),
            currency: Currency::new("USD").unwrap(),
            units: Units::default(),
            paper: Paper::default(),
            style: Style::default(),
            own: OwnFiles::default(),
            pricing: Pricing::default(),
            quoting: Quoting::default(),
        };
        let written = serde_json::to_value(&shop).unwrap();
        assert!(written.get("own").is_none(), "{written}");
        assert_eq!(serde_json::from_value::<Shop>(written).unwrap(), shop);
        let later = OwnFiles {
            page: Some("d".to_owned()),
            ..OwnFiles::default()
        };
        let own: OwnFiles = serde_json::from_value(serde_json::json!({"page": "d"})).unwrap();
        assert_eq!(own, later);
    }

    #[test]
    fn numbers_follow_the_shops_pattern() {
        let quoting = |pattern: &str| Quoting {
            number_pattern: pattern.to_owned(),
            ..Quoting::default()
        };
        assert_eq!(quoting("Q-{year}-{seq:4}").number(2026, 7), "Q-2026-0007");
        assert_eq!(quoting("{seq}").number(2026, 12345), "12345");
        assert!(!Quoting::pattern_is_sound("Q-{year}"));
        for sound in ["Q{seq:6}", "{year}_{seq}", "Q.{seq}-B"] {
            assert!(Quoting::pattern_is_sound(sound), "{sound}");
        }
        for unsound in [
            "Q/{seq}",
            "%41{seq}",
            "{seq}%2F",
            "A\"b\\{seq}",
            "Ü–{seq}",
            "<b>{seq}",
            "{seq}\t",
            "{seq:0}",
            "{seq}{month}",
        ] {
            assert!(!Quoting::pattern_is_sound(unsound), "{unsound}");
        }
    }
}
