//! What a quote revision freezes: inputs and result, in a form of their own with a version.
//!
//! Once issued, nothing of it changes, whatever later becomes of catalogue, prices or shop.

use std::ops::{Deref, DerefMut};

use jiff::civil::Date;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::options::QuotedOption;
use crate::shop::money::{Currency, Percent};
use crate::shop::settings::Shop;

/// Version of the frozen form. The second knows presentations and options.
pub const RECORD_FORM: u32 = 2;

/// Whom a quote goes to.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Customer {
    /// Name of the firm or person.
    pub name: String,
    /// Who is addressed.
    pub contact: String,
    /// Address, a line each.
    pub address: Vec<String>,
    /// Email.
    pub email: String,
}

/// Which list or model was used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ListReference {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The first day it holds.
    pub effective_on: Date,
}

/// The forming profile that the collars were judged by, whole, whatever later becomes of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FrozenProfile {
    /// Its id.
    pub id: String,
    /// Its version.
    pub version: i64,
    /// Its name.
    pub name: String,
    /// Its limits, as JSON text.
    pub limits: String,
}

/// A priced line. Lines of one table add up to its total.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PriceLine {
    /// Cost head: `tube`, `fittings`, `consumables`, `labour`, `equipment`, `overhead`, ...
    pub head: String,
    /// What it is.
    pub text: String,
    /// How much of it.
    pub quantity: Decimal,
    /// Of which unit.
    pub unit: String,
    /// Price of one unit.
    pub unit_price: Decimal,
    /// Amount, rounded to the minor unit.
    pub amount: Decimal,
    /// How the figure came about.
    pub basis: String,
}

/// Hours of one operation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoursRecord {
    /// The operation.
    pub operation: String,
    /// Hours, over the whole schedule.
    pub hours: Decimal,
    /// How they came about.
    pub basis: String,
    /// Where the time comes from: `time_study`, `booked_hours`, `opinion`, `demo`.
    pub source: String,
}

/// What is to be paid.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Totals {
    /// The currency of every amount.
    pub currency: Currency,
    /// Without tax.
    pub net: Decimal,
    /// What the tax is called, and its rate: `Sales tax 7.25 %`; where there are several, each with
    /// what it is on.
    pub tax_text: String,
    /// All tax.
    pub tax: Decimal,
    /// With tax.
    pub gross: Decimal,
    /// Each tax; bases add up to net, amounts to tax. Records of earlier programs hold none, see
    /// [`QuoteRecord::taxes`].
    #[serde(default)]
    pub taxes: Vec<TaxLine>,
}

/// One tax.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TaxLine {
    /// What it is called.
    pub name: String,
    /// Its rate.
    pub rate: Percent,
    /// The part of net it is on.
    pub base: Decimal,
    /// What it comes to.
    pub amount: Decimal,
}

impl TaxLine {
    /// What it is called, and its rate.
    pub fn text(&self) -> String {
        format!("{} {}", self.name, self.rate)
    }

    /// Taxes in words: of several, each says what it is on.
    pub fn in_words(taxes: &[Self]) -> String {
        if let [only] = taxes {
            return only.text();
        }
        let each = taxes
            .iter()
            .map(|line| format!("{} on {}", line.text(), line.base));
        each.collect::<Vec<_>>().join(", ")
    }
}

/// How the customer's papers show the price of a schedule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Presentation {
    /// A price for each manifold.
    #[default]
    Itemised,
    /// One price for all of it; nothing that the customer gets has the price of a manifold. Taxes of several
    /// rates still say what each is on.
    LumpSum,
}

impl Presentation {
    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Itemised => "itemised",
            Self::LumpSum => "lump_sum",
        }
    }

    /// In words.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::Itemised => "itemised",
            Self::LumpSum => "one price for the schedule",
        }
    }
}

/// One manifold as it is offered, without its price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OfferedManifold {
    /// Its mark.
    pub mark: String,
    /// How many.
    pub quantity: u32,
    /// The build, as its word in the contract.
    pub build: String,
    /// What is offered, in a sentence or two a fitter understands.
    pub description: String,
    /// Facts beside the drawing: `Run` / `2 in type L drawn, 34 in long`.
    pub particulars: Vec<(String, String)>,
    /// Cautions and notes that go with it, in words.
    pub cautions: Vec<String>,
    /// The drawing, as SVG.
    pub drawing: String,
    /// What the drawing shows, for those who cannot see it.
    pub drawing_text: String,
}

/// One manifold of the schedule as quoted: what is offered, and its price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuotedManifold {
    /// What is offered. It stands beside the prices in the record, as it did in its first form.
    #[serde(flatten)]
    pub offered: OfferedManifold,
    /// Price of one.
    pub unit_price: Decimal,
    /// Price of all.
    pub amount: Decimal,
}

/// What is said of an option's manifold is said of a quoted one, too, by the same code.
impl Deref for QuotedManifold {
    type Target = OfferedManifold;

    fn deref(&self) -> &OfferedManifold {
        &self.offered
    }
}

impl DerefMut for QuotedManifold {
    fn deref_mut(&mut self) -> &mut OfferedManifold {
        &mut self.offered
    }
}

/// Everything a quote revision holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct QuoteRecord {
    /// Version of this form: [`RECORD_FORM`].
    pub form: u32,
    /// The shop as it was.
    pub shop: Shop,
    /// Whom it goes to.
    pub customer: Customer,
    /// The project.
    pub project: String,
    /// A note to the customer.
    pub note: String,
    /// The rule set of the checks.
    pub rule_set: String,
    /// The forming profile of the checks; records of earlier programs hold none, and were judged by
    /// the built-in one.
    #[serde(default)]
    pub forming_profile: Option<FrozenProfile>,
    /// The price list.
    pub price_list: ListReference,
    /// The labour model.
    pub labour_model: ListReference,
    /// How the customer's papers show the price; records of the first form knew one way alone.
    #[serde(default)]
    pub presentation: Presentation,
    /// The schedule; its amounts add up to net.
    pub manifolds: Vec<QuotedManifold>,
    /// What may be ordered otherwise or beside it; in no total. Records of the first form hold none.
    #[serde(default)]
    pub options: Vec<QuotedOption>,
    /// How the price is built up; its amounts add up to net.
    pub build_up: Vec<PriceLine>,
    /// Hours by operation.
    pub hours: Vec<HoursRecord>,
    /// What the offer rests on that the customer should know: invented times, bought parts.
    pub honesty: Vec<String>,
    /// All that the price rests on, for the shop: opinions, stand-ins, figures from memory.
    pub remarks: Vec<String>,
    /// The totals.
    pub totals: Totals,
    /// The request as it came, canonical JSON text.
    pub request: String,
}

impl QuoteRecord {
    /// Each tax on the price.
    pub fn taxes(&self) -> Vec<TaxLine> {
        taxes(&self.totals, &self.shop)
    }
}

/// What the books need of a record. It is read out of one without its drawings and words, which are most of it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct RecordTotals {
    /// The shop as it was.
    pub shop: Shop,
    /// The totals.
    pub totals: Totals,
}

impl RecordTotals {
    /// Each tax on the price.
    pub fn taxes(&self) -> Vec<TaxLine> {
        taxes(&self.totals, &self.shop)
    }
}

/// Earlier programs knew one tax alone, that of the shop.
fn taxes(totals: &Totals, shop: &Shop) -> Vec<TaxLine> {
    if !totals.taxes.is_empty() {
        return totals.taxes.clone();
    }
    let tax = &shop.pricing.tax;
    vec![TaxLine {
        name: tax.name.clone(),
        rate: tax.rate,
        base: totals.net,
        amount: totals.tax,
    }]
}
