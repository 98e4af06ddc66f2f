//! One price, in JSON or as a row of a sheet.

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::breaks::{BreakOut, BreaksIn};
use crate::app::price_lists::canonical_code;
use crate::http::v1::figures::SumIn;
use crate::http::v1::rows::{Row, quietly};
use crate::http::v1::sheet::Columns;
use crate::http::v1::words::{KindWord, UnitWord, Word};
use crate::http::wire::{At, Faults, FromWire, Text, wire_struct};
use crate::shop::price_list::{ItemKind, PriceBreaks, PriceItem, PriceUnit};
use crate::trade::catalogue::Catalogue;

wire_struct! {
    /// A price.
    #[example = {"code": "b88-l-2", "kind": "tube", "text": "2 in type L, drawn", "unit": "ft", "price": "14.20"}]
    pub struct PriceItemIn {
        /// What estimates look it up by, unique in the list in capital or small letters: the id of a
        /// tube or filler; `tee-2x2x1`, `cap-2` or `coupling-2`; `brazing-consumables` or
        /// `soldering-consumables`; `manifold:b88-l-2:6xb88-l-1` for a manifold bought ready-made.
        #[example = "b88-l-2"]
        code: Text<200>,
        /// What it is.
        #[example = "tube"]
        kind: KindWord,
        /// How people name it; the code when left out.
        #[example = "2 in type L, drawn"]
        text: Option<Text<200, 0>>,
        /// What the price is for.
        #[example = "ft"]
        unit: UnitWord,
        /// The price, in the currency of the list.
        #[example = "14.20"]
        price: SumIn,
        /// Lower prices from a quantity on: quantities rise, prices never do. In a sheet, a text
        /// such as `50: 5.20; 200: 4.90`.
        #[example = [{"from": "200", "price": "13.10"}]]
        breaks: Option<BreaksIn>,
    }
}

/// A price that stands by the rules of price lists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceRow(pub PriceItem);

impl Row for PriceRow {
    type Shape = PriceItemIn;
    const LIST: &'static str = "items";
    const KEY: &'static str = "code";
    const COLUMNS: Columns = Columns {
        read: &["code", "kind", "text", "unit", "price", "breaks"],
        required: &["code", "kind", "unit", "price"],
        ignored: &[],
        filled: &["code", "kind", "text", "unit", "price", "breaks"],
        numbers: &["price"],
    };

    fn read_row(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = PriceItemIn::read(value, at, faults);
        let kind = quietly::<KindWord>(value, "kind").map(|kind| kind.0);
        let unit = quietly::<UnitWord>(value, "unit").map(|unit| unit.0);
        if let (Some(kind), Some(unit)) = (kind, unit) {
            check_unit(kind, unit, at, faults);
        }
        let given = quietly::<Text<200>>(value, "code");
        let code = given
            .zip(kind)
            .and_then(|(code, kind)| known_code(code.as_str(), kind, at, faults));
        let price = quietly::<SumIn>(value, "price").map(SumIn::get);
        let breaks = quietly::<BreaksIn>(value, "breaks").zip(price);
        let breaks = match breaks {
            Some((breaks, price)) => breaks.of_price(price, &at.field("breaks"), faults),
            None => Some(PriceBreaks::default()),
        };
        let (read, code, breaks) = (read?, code?, breaks?);
        let text = read.text.map(Text::into_string).unwrap_or_default();
        // A tab that leads a text belongs to it; spaces around it do not.
        let text = text.trim_matches(' ');
        Some(Self(PriceItem {
            text: if text.is_empty() {
                code.clone()
            } else {
                text.to_owned()
            },
            code,
            kind: read.kind.0,
            unit: read.unit.0,
            price: read.price.get(),
            breaks,
        }))
    }
}

fn check_unit(kind: ItemKind, unit: PriceUnit, at: &At<'_>, faults: &mut Faults) {
    if kind.units().contains(&unit) {
        return;
    }
    let allowed: Vec<&str> = kind.units().iter().map(|unit| unit.word()).collect();
    let detail = format!(
        "`unit` is \"{}\", by which no {} is priced; choose {}",
        unit.word(),
        kind.word(),
        allowed.join(" or ")
    );
    faults.report(&at.field("unit"), "wrong_unit", detail);
}

fn known_code(code: &str, kind: ItemKind, at: &At<'_>, faults: &mut Faults) -> Option<String> {
    let at = at.field("code");
    let catalogue = match Catalogue::built_in() {
        Ok(catalogue) => catalogue,
        Err(fault) => {
            faults.report(&at, "catalogue_damaged", fault.to_string());
            return None;
        }
    };
    match canonical_code(catalogue, kind, code) {
        Ok(code) => Some(code),
        Err(fault) => {
            faults.report(&at, fault.code, format!("`code` {}", fault.detail));
            None
        }
    }
}

/// A price of a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct PriceItemOut {
    /// What estimates look it up by.
    #[schema(example = "b88-l-2")]
    code: String,
    /// What it is.
    #[schema(example = "tube")]
    kind: KindWord,
    /// How people name it.
    #[schema(example = "2 in type L, drawn")]
    text: String,
    /// What the price is for.
    #[schema(example = "ft")]
    unit: UnitWord,
    /// The price, in the currency of the list.
    #[schema(example = "14.20", pattern = r"^[0-9]{1,28}(\.[0-9]{1,28})?$")]
    price: String,
    /// Lower prices from a quantity on; none where there is one price for any.
    breaks: Vec<BreakOut>,
}

impl From<&PriceItem> for PriceItemOut {
    fn from(item: &PriceItem) -> Self {
        Self {
            code: item.code.clone(),
            kind: Word(item.kind),
            text: item.text.clone(),
            unit: Word(item.unit),
            price: item.price.to_string(),
            breaks: item.breaks.as_slice().iter().map(BreakOut::from).collect(),
        }
    }
}

/// The cells of a price, in the order of the columns.
pub fn cells(item: &PriceItem) -> Vec<String> {
    vec![
        item.code.clone(),
        item.kind.word().to_owned(),
        item.text.clone(),
        item.unit.word().to_owned(),
        item.price.to_string(),
        item.breaks.to_string(),
    ]
}
