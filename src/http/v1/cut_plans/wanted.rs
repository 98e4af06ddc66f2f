//! What is to be cut, and from what, as clients send it.

use std::borrow::Cow;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr};

use crate::http::v1::bulk::MOST_MANIFOLDS;
use crate::http::v1::figures::{CurrencyIn, SumIn};
use crate::http::v1::manifold::{ManifoldIn, Named, TemperName};
use crate::http::wire::{
    At, Each, Faults, FromWire, LengthIn, List, Text, Units, code, given, wire_struct,
};
use crate::shop::cut_plan::{MOST_KINDS, MOST_PIECES};
use crate::trade::tube::Tube;

/// A count of things. Any whole number is read, since one that cannot be is told together with
/// all other faults of the plan.
#[derive(Debug, Clone, Copy)]
pub struct CountIn(i64);

impl CountIn {
    /// The count; nothing for less than nothing.
    pub fn get(self) -> u32 {
        u32::try_from(self.0.max(0)).unwrap_or(u32::MAX)
    }
}

impl Serialize for CountIn {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_i64(self.0)
    }
}

impl FromWire for CountIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        i64::read(value, at, faults).map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        "a whole number from 1".into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::Integer)
            .minimum(Some(1.0))
            .maximum(Some(f64::from(MOST_PIECES)))
            .into()
    }
}

wire_struct! {
    /// A sum of money with its currency.
    #[example = {"amount": "104.00", "currency": "USD"}]
    pub struct SumWithCurrency {
        /// The amount, as a decimal text.
        #[example = "104.00"]
        amount: SumIn,
        /// ISO 4217 code of the currency.
        #[example = "USD"]
        currency: CurrencyIn,
    }
}

/// A sum of money: with its currency, or as a plain decimal in the currency of the shop.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum CostIn {
    /// With its currency.
    Named(SumWithCurrency),
    /// Without.
    Plain(SumIn),
}

impl FromWire for CostIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        match value {
            Value::Object(_) => SumWithCurrency::read(value, at, faults).map(Self::Named),
            Value::String(_) | Value::Number(_) => SumIn::read(value, at, faults).map(Self::Plain),
            _ => {
                let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
                faults.report(at, code::WRONG_TYPE, detail);
                None
            }
        }
    }

    fn wanted() -> Cow<'static, str> {
        "a sum such as {\"amount\": \"104.00\", \"currency\": \"USD\"}, or \"104.00\" in the shop's currency".into()
    }

    fn schema() -> RefOr<Schema> {
        OneOfBuilder::new()
            .item(SumWithCurrency::schema())
            .item(SumIn::schema())
            .into()
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        SumWithCurrency::components(list);
        SumIn::components(list);
    }
}

wire_struct! {
    /// Sticks to cut from, alike.
    #[example = {"id": "20 ft", "length": "20 ft", "cost": {"amount": "104.00", "currency": "USD"}}]
    pub struct StockIn {
        /// Their name in the plan.
        #[example = "20 ft"]
        id: Text<80>,
        /// Their tube: only pieces of it are cut from them. Left out, where pieces name none.
        #[example = "b88-l-2"]
        tube: Option<Named<Tube>>,
        /// Length as they come.
        #[example = "20 ft"]
        length: LengthIn,
        /// Cost of one, with at most four decimals.
        cost: CostIn,
        /// How many there are; as many as are wanted when not given.
        #[example = 4]
        count: Option<CountIn>,
        /// Cut off the ends of each, both together, before pieces are; `end_trim` when not given.
        #[example = "1/4 in"]
        trim: Option<LengthIn>,
    }
}

wire_struct! {
    /// Pieces to cut, alike.
    #[example = {"id": "H-1 run", "length": "33 in", "count": 6}]
    pub struct PieceIn {
        /// Their name in the plan.
        #[example = "H-1 run"]
        id: Text<80>,
        /// Their tube: they are only cut from stock of it.
        #[example = "b88-l-2"]
        tube: Option<Named<Tube>>,
        /// Length of one.
        #[example = "33 in"]
        length: LengthIn,
        /// How many.
        #[example = 6]
        count: CountIn,
    }
}

wire_struct! {
    /// Which rests are kept, and what for.
    #[example = {"least": "24 in", "value": "2.00", "per": "1 ft"}]
    pub struct KeepIn {
        /// The shortest rest worth keeping.
        #[example = "24 in"]
        least: LengthIn,
        /// What `per` of a kept rest is worth; nothing when not given. Offcuts of the rack cost a
        /// plan as much.
        #[example = "2.00"]
        value: Option<CostIn>,
        /// The length that `value` is for; a foot when not given.
        #[example = "1 ft"]
        per: Option<LengthIn>,
    }
}

wire_struct! {
    /// How a plan draws on the offcut rack.
    #[example = {"reserve_for": "J-104"}]
    pub struct RackIn {
        /// Keeps the offcuts that the plan draws on for this job.
        #[example = "J-104"]
        reserve_for: Option<Text<80>>,
        /// Only offcuts of this temper; of any when not given.
        #[example = "drawn"]
        temper: Option<TemperName>,
    }
}

wire_struct! {
    /// What to cut, and from what.
    pub struct CutPlanIn {
        /// Width that a cut turns to swarf; nothing for a tube cutter.
        #[example = "1/16 in"]
        kerf: LengthIn,
        /// Cut off the ends of every new stick, both together, before pieces are; nothing when
        /// not given. Offcuts are not trimmed.
        #[example = "1/4 in"]
        end_trim: Option<LengthIn>,
        /// What to cut from. Tubes that are named here nowhere come in the sticks that they are
        /// sold in, at the price in force.
        stock: Option<List<StockIn, MOST_KINDS, 0>>,
        /// What to cut.
        pieces: Option<List<PieceIn, { MOST_PIECES as usize }, 0>>,
        /// Manifolds whose tube is cut as well, each as often as its quantity says.
        manifolds: Option<Each<ManifoldIn, MOST_MANIFOLDS>>,
        /// Which rests are kept; none when not given.
        keep: Option<KeepIn>,
        /// Draws on the offcut rack, for pieces that name their tube.
        offcuts: Option<RackIn>,
        /// Units of the answer; else those of `?units=`.
        #[example = "imperial"]
        units: Option<Units>,
    }
}

impl CutPlanIn {
    /// Tubes that stock is given for.
    pub fn stocked(&self) -> impl Iterator<Item = &str> {
        self.stock_lines()
            .iter()
            .filter_map(|stock| stock.tube.as_ref())
            .map(|tube| tube.get().id.as_str())
    }

    /// The lines of stock.
    pub fn stock_lines(&self) -> &[StockIn] {
        self.stock.as_ref().map(List::as_slice).unwrap_or_default()
    }

    /// The lines of pieces.
    pub fn piece_lines(&self) -> &[PieceIn] {
        self.pieces.as_ref().map(List::as_slice).unwrap_or_default()
    }

    /// Whether it draws on what the shop keeps: the rack, or the prices of tube that no stock is
    /// given for.
    pub fn needs_the_books(&self) -> bool {
        let stocked = |tube: &str| self.stocked().any(|given| given == tube);
        let unstocked = |tube: &Named<Tube>| !stocked(&tube.get().id);
        let pieces = self.piece_lines().iter();
        let mut of_pieces = pieces.filter_map(|piece| piece.tube.as_ref());
        let mut of_manifolds = self.manifolds.iter().flat_map(Each::as_slice).flatten();
        self.offcuts.is_some()
            || of_pieces.any(unstocked)
            || of_manifolds.any(|manifold| manifold.tubes().any(unstocked))
    }
}
