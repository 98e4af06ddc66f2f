//! Who makes up the crew, and the taxes of what is taxed otherwise.

use std::borrow::Cow;

use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

use super::settings::Tax;
use crate::http::v1::figures::{SumIn, Upto};
use crate::http::wire::{At, Faults, FromWire, List, Text, wire_struct};
use crate::shop::settings;

/// Most workers of a kind.
const MOST_HEADS: i64 = 1_000;

wire_struct! {
    /// Workers of a kind in the crew.
    #[example = {"role": "fitter", "count": "2", "wage": "44.00"}]
    pub struct CrewMemberIn {
        /// What they are.
        #[example = "fitter"]
        role: Text<60>,
        /// How many of them, above nothing; a part of one who is only there at times.
        #[example = "2"]
        count: Upto<MOST_HEADS>,
        /// Wage of an hour of one before burden, in the shop's currency.
        #[example = "44.00"]
        wage: SumIn,
        /// Burden on it, in percent, where it is not `burden` of the pricing.
        #[example = "35"]
        burden: Option<Upto<500>>,
    }
}

/// A kind of worker of whom there is somebody.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct CrewMember(pub CrewMemberIn);

impl FromWire for CrewMember {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = CrewMemberIn::read(value, at, faults)?;
        if read.count.get() > Decimal::ZERO {
            return Some(Self(read));
        }
        let detail = format!(
            "{} counts 0 of {:?}; give more than 0, or leave them out",
            at.field("count").name(),
            read.role.as_str()
        );
        faults.report(&at.field("count"), "nobody", detail);
        None
    }

    fn wanted() -> Cow<'static, str> {
        CrewMemberIn::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <CrewMemberIn as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        CrewMemberIn::components(list);
    }
}

/// The crew.
pub type Crew = List<CrewMember, 20, 0>;

/// As the shop's rooms know it.
pub fn to_crew(given: Option<&Crew>) -> Vec<settings::CrewMember> {
    let members = given.map(List::as_slice).unwrap_or_default().iter();
    members
        .map(|CrewMember(member)| settings::CrewMember {
            role: member.role.as_str().trim().to_owned(),
            count: member.count.get(),
            wage: member.wage.get(),
            burden: member.burden.map(Upto::percent),
        })
        .collect()
}

wire_struct! {
    /// Taxes on cost heads that are taxed otherwise than the rest.
    #[example = {"labour": {"name": "Labour, untaxed", "rate": "0"}}]
    pub struct TaxByHead {
        /// On tube.
        tube: Option<Tax>,
        /// On fittings.
        fittings: Option<Tax>,
        /// On manifolds bought ready-made.
        bought_manifolds: Option<Tax>,
        /// On filler, gas and the like.
        consumables: Option<Tax>,
        /// On labour.
        labour: Option<Tax>,
        /// On the charge for equipment.
        equipment: Option<Tax>,
    }
}

impl TaxByHead {
    /// Those that are given, by cost head.
    pub fn given(&self) -> impl Iterator<Item = (String, settings::Tax)> {
        let heads = [
            ("tube", &self.tube),
            ("fittings", &self.fittings),
            ("bought_manifolds", &self.bought_manifolds),
            ("consumables", &self.consumables),
            ("labour", &self.labour),
            ("equipment", &self.equipment),
        ];
        heads
            .into_iter()
            .filter_map(|(head, tax)| tax.as_ref().map(|tax| (head.to_owned(), to_tax(tax))))
    }
}

/// As the shop's rooms know it.
pub fn to_tax(tax: &Tax) -> settings::Tax {
    settings::Tax {
        name: tax.name.as_str().trim().to_owned(),
        rate: tax.rate.percent(),
    }
}
