//! Lower prices from a quantity on, in JSON or in a cell of a sheet.

use std::borrow::Cow;

use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::ToSchema;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr};

use crate::http::v1::figures::SumIn;
use crate::http::wire::{At, Faults, FromWire, List, code, given, wire_struct};
use crate::shop::price_list::{BreakFault, MOST_BREAKS, PriceBreak, PriceBreaks};

wire_struct! {
    /// A price from a quantity on.
    #[example = {"from": "50", "price": "5.20"}]
    pub struct BreakIn {
        /// The least quantity it is for, in the unit of the price.
        #[example = "50"]
        from: SumIn,
        /// The price of one unit, of all that is bought.
        #[example = "5.20"]
        price: SumIn,
    }
}

/// A table of breaks: a list, or a text as it stands in a sheet.
#[derive(Debug, Clone)]
pub struct BreaksIn(Vec<PriceBreak>);

impl BreaksIn {
    /// The breaks of a price that holds below the first of them. What is wrong is reported.
    pub fn of_price(self, price: Decimal, at: &At<'_>, faults: &mut Faults) -> Option<PriceBreaks> {
        match PriceBreaks::new(price, self.0) {
            Ok(breaks) => Some(breaks),
            Err(found) => {
                found.iter().for_each(|fault| report(fault, at, faults));
                None
            }
        }
    }
}

fn report(fault: &BreakFault, at: &At<'_>, faults: &mut Faults) {
    let (place, field, code, detail) = match fault {
        BreakFault::TooMany(count) => {
            let detail = format!("`breaks` has {count} rows; give at most {MOST_BREAKS}");
            return faults.report(at, code::TOO_MANY, detail);
        }
        BreakFault::From(place) => (
            place,
            "from",
            code::OUT_OF_RANGE,
            "is nothing; the price of the item itself holds from there, so give a quantity above it",
        ),
        BreakFault::NotRising(place) => (
            place,
            "from",
            "not_rising",
            "is no more than that of the break before; put the smallest quantity first, each once",
        ),
        BreakFault::Dearer(place) => (
            place,
            "price",
            "dearer_in_quantity",
            "is higher than what smaller quantities cost; a price may only fall as the quantity grows",
        ),
    };
    let here = at.index(*place);
    let detail = format!("`{field}` of break {} {detail}", place + 1);
    faults.report(&here.field(field), code, detail);
}

impl Serialize for BreaksIn {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let breaks = self.0.iter().map(BreakOut::from);
        serializer.collect_seq(breaks)
    }
}

impl FromWire for BreaksIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let Value::String(text) = value else {
            let list = List::<BreakIn, MOST_BREAKS, 0>::read(value, at, faults)?;
            let breaks = list.into_vec().into_iter().map(|one| PriceBreak {
                from: one.from.get(),
                price: one.price.get(),
            });
            return Some(Self(breaks.collect()));
        };
        let sound = |one: &PriceBreak| {
            !one.price.is_sign_negative() && one.price.scale() <= 6 && one.from.scale() <= 6
        };
        let breaks = PriceBreaks::parse(text).filter(|breaks| breaks.iter().all(sound));
        if breaks.is_none() {
            let detail = format!(
                "{} is {}; write quantity and price of each break, such as \"50: 5.20; 200: 4.90\"",
                at.name(),
                given(value)
            );
            faults.report(at, "not_breaks", detail);
        }
        breaks.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        "a list of breaks, or a text such as \"50: 5.20; 200: 4.90\"".into()
    }

    fn schema() -> RefOr<Schema> {
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(r"^[0-9.:; ]*$"))
            .description(Some("As in a sheet: `50: 5.20; 200: 4.90`."));
        OneOfBuilder::new()
            .item(List::<BreakIn, MOST_BREAKS, 0>::schema())
            .item(text)
            .into()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        BreakIn::components(list);
    }
}

/// A price from a quantity on.
#[derive(Debug, Serialize, ToSchema)]
pub struct BreakOut {
    /// The least quantity it is for, as a decimal text.
    #[schema(example = "50")]
    from: String,
    /// The price of one unit, of all that is bought.
    #[schema(example = "5.20")]
    price: String,
}

impl From<&PriceBreak> for BreakOut {
    fn from(one: &PriceBreak) -> Self {
        Self {
            from: one.from.to_string(),
            price: one.price.to_string(),
        }
    }
}
