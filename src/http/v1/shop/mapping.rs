//! Between the settings on the wire and those of the shop.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::crew::{TaxByHead, to_crew, to_tax};
use super::settings::{
    CuttingIn, LanguageName, Letterhead, PaperName, Pricing, Profit, ProfitKind, QuotingSettings,
    ShopSettings, SoundPricing, SoundProfit,
};
use super::spread::PriceSpreads;
use crate::http::v1::figures::Upto;
use crate::http::v1::lengths::{Allowance, SomeLength};
use crate::http::wire::{DecimalMark, List, Text, Units};
use crate::shop::cut_plan::CutLength;
use crate::shop::money::{self, Percent};
use crate::shop::own::OwnFiles;
use crate::shop::settings;

fn text<const MAX: usize, const MIN: usize>(given: Option<&Text<MAX, MIN>>) -> String {
    given.map_or_else(String::new, |text| text.as_str().trim().to_owned())
}

fn lines<const MAX: usize, const MOST: usize>(
    given: Option<&List<Text<MAX>, MOST, 0>>,
) -> Vec<String> {
    let lines = given.map(List::as_slice).unwrap_or_default();
    lines
        .iter()
        .map(|line| line.as_str().trim().to_owned())
        .collect()
}

fn percent<const MAX: i64>(given: Option<Upto<MAX>>) -> Percent {
    given.unwrap_or_default().percent()
}

impl ShopSettings {
    /// As the shop's rooms know them.
    pub fn to_shop(&self) -> settings::Shop {
        settings::Shop {
            letterhead: letterhead(&self.letterhead),
            currency: self.currency.0,
            units: match self.units {
                Some(Units::Metric) => settings::Units::Metric,
                Some(Units::Imperial) | None => settings::Units::Imperial,
            },
            paper: match self.paper {
                Some(PaperName::A4) => settings::Paper::A4,
                Some(PaperName::Letter) | None => settings::Paper::Letter,
            },
            style: settings::Style {
                decimal_mark: self.decimal_mark.map(Into::into).unwrap_or_default(),
                language: match self.language {
                    Some(LanguageName::En) | None => settings::Language::En,
                },
            },
            // Logo and templates have calls of their own, and stay as they are.
            own: OwnFiles::default(),
            pricing: self
                .pricing
                .as_ref()
                .map(|SoundPricing(given)| pricing(given))
                .unwrap_or_default(),
            quoting: self.quoting.as_ref().map(quoting).unwrap_or_default(),
        }
    }
}

fn letterhead(given: &Letterhead) -> settings::Letterhead {
    settings::Letterhead {
        name: given.name.as_str().trim().to_owned(),
        address: lines(given.address.as_ref()),
        phone: text(given.phone.as_ref()),
        email: text(given.email.as_ref()),
        registration: text(given.registration.as_ref()),
    }
}

fn profit(SoundProfit(given): &SoundProfit) -> money::Profit {
    let Profit { kind, percent } = given;
    match kind {
        ProfitKind::Markup => money::Profit::Markup(percent.percent()),
        ProfitKind::Margin => money::Profit::Margin(percent.percent()),
    }
}

fn price_spread(given: Option<&PriceSpreads>) -> BTreeMap<String, settings::PriceSpread> {
    let spreads = given.into_iter().flat_map(PriceSpreads::given);
    spreads
        .map(|(head, spread)| {
            let spread = settings::PriceSpread {
                low: spread.low.get(),
                high: spread.high.get(),
            };
            (head.to_owned(), spread)
        })
        .collect()
}

fn cutting(given: &CuttingIn) -> settings::Cutting {
    settings::Cutting {
        kerf: given.kerf.get(),
        end_trim: given.end_trim.map_or(CutLength::ZERO, Allowance::get),
        least_offcut: given.least_offcut.map(SomeLength::get),
        offcut_value: percent(given.offcut_value),
    }
}

/// A length as it is sent back: as a decimal of the shop's own unit where that is exact.
fn length(length: CutLength, units: settings::Units) -> String {
    let sixty_fourth = CutLength::sixty_fourths(1).in_nanometres();
    let whole = length.in_nanometres() % sixty_fourth == 0;
    match units {
        settings::Units::Imperial if whole => {
            format!(
                "{} in",
                length.in_nanometres() as f64 / (64 * sixty_fourth) as f64
            )
        }
        settings::Units::Imperial | settings::Units::Metric => length.to_string(),
    }
}

fn pricing(given: &Pricing) -> settings::Pricing {
    let usual = settings::Pricing::default();
    settings::Pricing {
        crew_rate: given.crew_rate.map(Upto::get),
        crew: to_crew(given.crew.as_ref()),
        burden: percent(given.burden),
        tube_waste: percent(given.tube_waste),
        cutting: given.cutting.as_ref().map(cutting),
        filler_allowance: given
            .filler_allowance
            .map_or(usual.filler_allowance, Upto::percent),
        small_tools: percent(given.small_tools),
        collar_charge: given.collar_charge.unwrap_or_default().get(),
        overhead: percent(given.overhead),
        contingency: percent(given.contingency),
        contingency_level: given
            .contingency_level
            .and_then(|level| u32::try_from(level.get()).ok()),
        price_spread: price_spread(given.price_spread.as_ref()),
        profit: given.profit.as_ref().map_or(usual.profit, profit),
        minimum_charge: given.minimum_charge.unwrap_or_default().get(),
        discount: percent(given.discount),
        tax: given.tax.as_ref().map_or(usual.tax, to_tax),
        tax_by_head: given
            .tax_by_head
            .iter()
            .flat_map(TaxByHead::given)
            .collect(),
    }
}

fn quoting(given: &QuotingSettings) -> settings::Quoting {
    let usual = settings::Quoting::default();
    settings::Quoting {
        number_pattern: given
            .number_pattern
            .as_ref()
            .map_or(usual.number_pattern, |pattern| pattern.0.clone()),
        valid_days: given
            .valid_days
            .and_then(|days| u32::try_from(days.get()).ok())
            .unwrap_or(usual.valid_days),
        inclusions: lines(given.inclusions.as_ref()),
        exclusions: lines(given.exclusions.as_ref()),
        terms: lines(given.terms.as_ref()),
    }
}

fn spreads(spreads: &BTreeMap<String, settings::PriceSpread>) -> Value {
    let spreads = spreads.iter().map(|(head, spread)| {
        let spread = json!({"low": spread.low, "high": spread.high});
        (head.clone(), spread)
    });
    Value::Object(spreads.collect())
}

fn tax(tax: &settings::Tax) -> Value {
    json!({"name": tax.name, "rate": tax.rate})
}

fn taxes(by_head: &BTreeMap<String, settings::Tax>) -> Value {
    let taxes = by_head.iter().map(|(head, it)| (head.clone(), tax(it)));
    Value::Object(taxes.collect())
}

fn crew(members: &[settings::CrewMember]) -> Vec<Value> {
    let members = members.iter();
    members
        .map(|member| {
            json!({"role": member.role, "count": member.count, "wage": member.wage, "burden": member.burden})
        })
        .collect()
}

/// The settings as answered: what a `PUT` takes, with every default filled in.
pub fn answer(shop: &settings::Shop) -> Value {
    let (quoting, head) = (&shop.quoting, &shop.letterhead);
    json!({
        "letterhead": {
            "name": head.name,
            "address": head.address,
            "phone": head.phone,
            "email": head.email,
            "registration": head.registration,
        },
        "currency": shop.currency.code(),
        "units": match shop.units {
            settings::Units::Imperial => Units::Imperial,
            settings::Units::Metric => Units::Metric,
        },
        "paper": match shop.paper {
            settings::Paper::Letter => PaperName::Letter,
            settings::Paper::A4 => PaperName::A4,
        },
        "decimal_mark": DecimalMark::from(shop.style.decimal_mark),
        "language": match shop.style.language {
            settings::Language::En => LanguageName::En,
        },
        "pricing": told_pricing(shop),
        "quoting": {
            "number_pattern": quoting.number_pattern,
            "valid_days": quoting.valid_days,
            "inclusions": quoting.inclusions,
            "exclusions": quoting.exclusions,
            "terms": quoting.terms,
        },
    })
}

/// What its prices are made by.
fn told_pricing(shop: &settings::Shop) -> Value {
    let pricing = &shop.pricing;
    let (kind, percent) = match pricing.profit {
        money::Profit::Markup(percent) => (ProfitKind::Markup, percent),
        money::Profit::Margin(percent) => (ProfitKind::Margin, percent),
    };
    json!({
        "crew_rate": pricing.crew_rate,
        "crew": crew(&pricing.crew),
        "burden": pricing.burden,
        "tube_waste": pricing.tube_waste,
        "cutting": pricing.cutting.as_ref().map(|cutting| json!({
            "kerf": length(cutting.kerf, shop.units),
            "end_trim": length(cutting.end_trim, shop.units),
            "least_offcut": cutting.least_offcut.map(|it| length(it, shop.units)),
            "offcut_value": cutting.offcut_value,
        })),
        "filler_allowance": pricing.filler_allowance,
        "small_tools": pricing.small_tools,
        "collar_charge": pricing.collar_charge,
        "overhead": pricing.overhead,
        "contingency": pricing.contingency,
        "contingency_level": pricing.contingency_level,
        "price_spread": spreads(&pricing.price_spread),
        "profit": {"kind": kind, "percent": percent},
        "minimum_charge": pricing.minimum_charge,
        "discount": pricing.discount,
        "tax": tax(&pricing.tax),
        "tax_by_head": taxes(&pricing.tax_by_head),
    })
}
