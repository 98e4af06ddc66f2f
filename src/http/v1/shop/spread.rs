//! How far prices may turn out other than listed.

use std::borrow::Cow;

use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

use crate::http::v1::figures::Upto;
use crate::http::v1::rows::quietly;
use crate::http::wire::{At, Faults, FromWire, wire_struct};

wire_struct! {
    /// Lowest and highest that prices may turn out, as multiples of what the list says.
    #[example = {"low": "0.95", "high": "1.15"}]
    pub struct PriceSpread {
        /// Lowest, up to 1.
        #[example = "0.95"]
        low: Upto<1>,
        /// Highest, 1 or more.
        #[example = "1.15"]
        high: Upto<10>,
    }
}

/// A spread about the price itself.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct SoundSpread(pub PriceSpread);

impl FromWire for SoundSpread {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = PriceSpread::read(value, at, faults);
        let high = quietly::<Upto<10>>(value, "high").map(Upto::get);
        if let Some(high) = high.filter(|high| *high < Decimal::ONE) {
            let detail = format!(
                "`high` is {high}; it is the highest as a multiple of the listed price, so give 1 or more"
            );
            faults.report(&at.field("high"), "wrong_spread", detail);
            return None;
        }
        read.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        PriceSpread::wanted()
    }

    fn schema() -> RefOr<Schema> {
        <PriceSpread as FromWire>::schema()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        PriceSpread::components(list);
    }
}

wire_struct! {
    /// How far prices may turn out other than listed, by cost head.
    #[example = {"tube": {"low": "0.95", "high": "1.15"}}]
    pub struct PriceSpreads {
        /// Tube.
        tube: Option<SoundSpread>,
        /// Fittings.
        fittings: Option<SoundSpread>,
        /// Manifolds bought ready-made.
        bought_manifolds: Option<SoundSpread>,
        /// Filler, gas and the like.
        consumables: Option<SoundSpread>,
    }
}

impl PriceSpreads {
    /// Those that are given, by cost head.
    pub fn given(&self) -> impl Iterator<Item = (&'static str, &PriceSpread)> {
        let heads = [
            ("tube", &self.tube),
            ("fittings", &self.fittings),
            ("bought_manifolds", &self.bought_manifolds),
            ("consumables", &self.consumables),
        ];
        heads
            .into_iter()
            .filter_map(|(head, spread)| spread.as_ref().map(|spread| (head, &spread.0)))
    }
}
