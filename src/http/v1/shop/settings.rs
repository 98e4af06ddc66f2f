//! The settings of a shop as clients send and get them: the same shape both ways.

use std::borrow::Cow;

use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

use super::crew::{Crew, TaxByHead};
use super::spread::PriceSpreads;
use crate::http::v1::figures::{CurrencyIn, SumIn, Upto};
use crate::http::v1::lengths::{Allowance, SomeLength};
use crate::http::v1::rows::quietly;
use crate::http::wire::{
    At, DecimalMark, Faults, FromWire, List, Text, Units, Whole, wire_enum, wire_struct,
};
use crate::shop::settings::Quoting;

wire_enum! {
    /// Paper of printed documents.
    pub enum PaperName {
        /// US letter.
        Letter = "letter",
        /// ISO A4.
        A4 = "a4",
    }
}

wire_enum! {
    /// Language of documents.
    pub enum LanguageName {
        /// English.
        En = "en",
    }
}

wire_enum! {
    /// What profit is a percentage of.
    pub enum ProfitKind {
        /// Of cost, added to it: 25 makes 100 into 125.
        Markup = "markup",
        /// Of the price: 20 makes 100 into 125. Below 100.
        Margin = "margin",
    }
}

wire_struct! {
    /// Who the shop is, for its letterhead.
    pub struct Letterhead {
        /// Trading name.
        #[example = "Quay Street Pipe Shop"]
        name: Text<120>,
        /// Address, a line each.
        #[example = ["12 Quay Street", "Harbour City"]]
        address: Option<List<Text<120>, 8, 0>>,
        /// Telephone.
        #[example = "+1 555 0100"]
        phone: Option<Text<60, 0>>,
        /// Email.
        #[example = "office@quay-street.example"]
        email: Option<Text<120, 0>>,
        /// Licence or registration that quotes must show.
        #[example = "Registration 0000"]
        registration: Option<Text<120, 0>>,
    }
}

wire_struct! {
    /// Profit.
    #[example = {"kind": "markup", "percent": "20"}]
    pub struct Profit {
        /// What it is a percentage of.
        #[example = "markup"]
        kind: ProfitKind,
        /// The percentage.
        #[example = "20"]
        percent: Upto<1_000>,
    }
}

/// Profit whose percentage leaves a price.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct SoundProfit(pub Profit);

impl FromWire for SoundProfit {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = Profit::read(value, at, faults);
        let margin = quietly::<ProfitKind>(value, "kind") == Some(ProfitKind::Margin);
        let percent = quietly::<Upto<1_000>>(value, "percent");
        let whole = Upto::<1_000>::known(rust_decimal::Decimal::ONE_HUNDRED);
        if let Some(percent) = percent.filter(|percent| margin && *percent >= whole) {
            let detail = format!(
                "`percent` is {}: a margin is the part of the price that is left after cost, so that 100 or more leaves no price; give less than 100, or say it as a markup on cost",
                percent.get()
            );
            faults.report(&at.field("percent"), "impossible_margin", detail);
            return None;
        }
        read.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        Profit::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <Profit as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        Profit::components(list);
    }
}

wire_struct! {
    /// Tax on what is sold.
    #[example = {"name": "Sales tax", "rate": "7.25"}]
    pub struct Tax {
        /// What it is called.
        #[example = "Sales tax"]
        name: Text<60>,
        /// Its rate, in percent.
        #[example = "7.25"]
        rate: Upto<100>,
    }
}

wire_struct! {
    /// How sticks are cut.
    #[example = {"kerf": "1/16 in", "end_trim": "1/4 in", "least_offcut": "24 in", "offcut_value": "50"}]
    pub struct CuttingIn {
        /// Width that a cut turns to swarf; nothing for a tube cutter.
        #[example = "1/16 in"]
        kerf: Allowance,
        /// Cut off the ends of a stick, both together, before pieces are; nothing when left out.
        #[example = "1/4 in"]
        end_trim: Option<Allowance>,
        /// The shortest rest worth keeping; none is when left out.
        #[example = "24 in"]
        least_offcut: Option<SomeLength>,
        /// What a kept rest is worth, in percent of what so much of a stick costs; nothing when
        /// left out.
        #[example = "50"]
        offcut_value: Option<Upto<100>>,
    }
}

wire_struct! {
    /// How an estimate becomes a price. What is left out is nothing, but for `filler_allowance` (150).
    #[example = {"crew_rate": "48.00", "burden": "35", "overhead": "15", "profit": {"kind": "markup", "percent": "20"}, "tax": {"name": "Sales tax", "rate": "7.25"}}]
    pub struct Pricing {
        /// Wage of one crew hour before burden, in the shop's currency. Without it no labour is priced.
        #[example = "48.00"]
        crew_rate: Option<SumIn>,
        /// Who makes up the crew, instead of `crew_rate`: an hour then costs the mean of their wages,
        /// each with its burden, by their number.
        #[example = [{"role": "fitter", "count": "2", "wage": "44.00"}, {"role": "apprentice", "count": "1", "wage": "26.00", "burden": "20"}]]
        crew: Option<Crew>,
        /// Burden on wages, in percent: insurance, holidays, pension.
        #[example = "35"]
        burden: Option<Upto<500>>,
        /// Tube bought beyond the net cut length, in percent, where it is not counted in sticks.
        #[example = "8"]
        tube_waste: Option<Upto<200>>,
        /// How sticks are cut. With it tube is counted in whole sticks, with the pieces of the
        /// whole schedule nested in them; without, by length plus `tube_waste`.
        cutting: Option<CuttingIn>,
        /// Filler used beyond what fills the gaps, in percent; real use is two to three times that.
        #[example = "150"]
        filler_allowance: Option<Upto<1_000>>,
        /// Small tools, in percent of labour.
        #[example = "3"]
        small_tools: Option<Upto<100>>,
        /// Charge for each collar formed, for the equipment.
        #[example = "1.20"]
        collar_charge: Option<SumIn>,
        /// Overhead, in percent of cost.
        #[example = "15"]
        overhead: Option<Upto<500>>,
        /// Contingency, in percent of cost with overhead. Either this or `contingency_level`.
        #[example = "2"]
        contingency: Option<Upto<100>>,
        /// Contingency as what cost in so many of 100 cases does not exceed, less what it does not
        /// in 50, over seeded draws.
        contingency_level: Option<Whole<51, 99>>,
        /// How far prices may turn out other than listed, by cost head; where left out, they hold.
        price_spread: Option<PriceSpreads>,
        /// Profit.
        profit: Option<SoundProfit>,
        /// Least price of an order.
        #[example = "150.00"]
        minimum_charge: Option<SumIn>,
        /// Discount off the price, in percent.
        #[example = "0"]
        discount: Option<Upto<100>>,
        /// Tax.
        tax: Option<Tax>,
        /// Taxes on cost heads that are taxed otherwise than by `tax`. Net is parted among heads by
        /// direct cost, so that overhead and profit follow what they were earned on.
        tax_by_head: Option<TaxByHead>,
    }
}

/// Pricing that names one contingency and one rate at most.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct SoundPricing(pub Pricing);

impl FromWire for SoundPricing {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = Pricing::read(value, at, faults);
        let given = |field: &str| value.get(field).is_some_and(|value| !value.is_null());
        // What the settings answer when a level is set is nothing, and may be sent back.
        let share = quietly::<Upto<100>>(value, "contingency");
        let some = share.is_some_and(|share| !share.get().is_zero());
        if some && given("contingency_level") {
            let detail = "`contingency_level` is given beside `contingency`; give one of them, since either is the whole contingency".to_owned();
            faults.report(&at.field("contingency_level"), "two_contingencies", detail);
            return None;
        }
        let crew = value.get("crew").and_then(Value::as_array);
        if given("crew_rate") && crew.is_some_and(|crew| !crew.is_empty()) {
            let detail = "`crew` is given beside `crew_rate`; give one of them, since either says what an hour costs".to_owned();
            faults.report(&at.field("crew"), "two_rates", detail);
            return None;
        }
        read.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        Pricing::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <Pricing as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        Pricing::components(list);
    }
}

/// A pattern of quote numbers that makes distinct ones.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct NumberPattern(pub String);

impl FromWire for NumberPattern {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let pattern = Text::<60>::read(value, at, faults)?.into_string();
        if Quoting::pattern_is_sound(&pattern) {
            return Some(Self(pattern));
        }
        let detail = format!("{} is {pattern:?}; give {}", at.name(), Self::wanted());
        faults.report(at, "unsound_pattern", detail);
        None
    }

    fn wanted() -> Cow<'static, str> {
        "a pattern that holds {seq} or {seq:4}, so that no two quotes share a number, and beside it only {year}, letters A to Z and a to z, digits, -, _ and ., such as \"Q-{year}-{seq:4}\"".into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(
                r"^([A-Za-z0-9._-]|\{year\}|\{seq(:[1-9])?\})*\{seq(:[1-9])?\}([A-Za-z0-9._-]|\{year\})*$",
            ))
            .max_length(Some(60))
            .into()
    }
}

wire_struct! {
    /// How quotes are written.
    #[example = {"number_pattern": "Q-{year}-{seq:4}", "valid_days": 30, "inclusions": ["Pressure test with water"], "exclusions": ["Delivery"], "terms": ["Payment within 30 days of invoice."]}]
    pub struct QuotingSettings {
        /// Pattern of quote numbers; `{year}` and `{seq}` or `{seq:4}` (padded with zeros) are filled in.
        /// Beside them it takes letters A to Z and a to z, digits, `-`, `_` and `.`.
        #[example = "Q-{year}-{seq:4}"]
        number_pattern: Option<NumberPattern>,
        /// Days a quote stays open; 30 when left out.
        #[example = 30]
        valid_days: Option<Whole<1, 3650>>,
        /// What the price includes, a line each.
        #[example = ["Pressure test with water"]]
        inclusions: Option<List<Text<300>, 50, 0>>,
        /// What it leaves out, a line each.
        #[example = ["Delivery"]]
        exclusions: Option<List<Text<300>, 50, 0>>,
        /// Terms, a paragraph each.
        #[example = ["Payment within 30 days of invoice."]]
        terms: Option<List<Text<4_000>, 50, 0>>,
    }
}

wire_struct! {
    /// The settings of the shop. They are replaced whole: what is left out takes its default.
    pub struct ShopSettings {
        /// Who it is.
        letterhead: Letterhead,
        /// ISO 4217 code of its currency.
        #[example = "USD"]
        currency: CurrencyIn,
        /// Units of its answers; imperial when left out.
        #[example = "imperial"]
        units: Option<Units>,
        /// Paper of its documents; letter when left out.
        #[example = "letter"]
        paper: Option<PaperName>,
        /// The decimal mark of quotations as PDF and page; a point when left out. Drawings, bench sheets
        /// and files for machines have a point, and workbooks what the reader's program is set to.
        #[example = "point"]
        decimal_mark: Option<DecimalMark>,
        /// Language of its documents; English when left out.
        #[example = "en"]
        language: Option<LanguageName>,
        /// How it prices.
        pricing: Option<SoundPricing>,
        /// How it quotes.
        quoting: Option<QuotingSettings>,
    }
}
