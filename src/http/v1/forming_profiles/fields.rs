//! Fields of forming profiles: ids, nominal sizes, yes or no, ratios.

use std::borrow::Cow;

use serde::{Serialize, Serializer};
use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr};

use crate::http::problem::{Problem, Slug};
use crate::http::wire::{At, Faults, FromWire, code, given, wire_enum};
use crate::trade::tube::{Nominal, WallType};

/// Most characters of an id.
const LONGEST_ID: usize = 40;

/// Id of a forming profile: small letters, digits and hyphens.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct ProfileId(String);

impl ProfileId {
    /// The id.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// From an address.
    ///
    /// # Errors
    /// 422 when it is none.
    pub fn in_path(id: &str) -> Result<Self, Problem> {
        // `blank` is the address of the blank sheet.
        if is_id(id) && id != "blank" {
            return Ok(Self(id.to_owned()));
        }
        let shown: String = id.chars().take(60).collect();
        Err(Problem::new(Slug::Unprocessable).with_detail(format!(
            "{shown:?} cannot be the id of a forming profile; give {}, other than blank.",
            Self::wanted()
        )))
    }
}

fn is_id(text: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    (1..=LONGEST_ID).contains(&text.len()) && text.chars().all(plain)
}

impl FromWire for ProfileId {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let found = value.as_str().filter(|text| is_id(text));
        if found.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::NOT_AN_ID, detail);
        }
        found.map(|text| Self(text.to_owned()))
    }

    fn wanted() -> Cow<'static, str> {
        format!("an id of 1 to {LONGEST_ID} small letters, digits and hyphens, such as \"shop\"")
            .into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some("^[a-z0-9-]{1,40}$"))
            .into()
    }
}

/// The size a tube goes by, as the trade writes it: `2`, `1-1/4`, `7/8 OD`, `28 mm`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NominalIn(pub Nominal);

impl Serialize for NominalIn {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0.text())
    }
}

impl FromWire for NominalIn {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let found = value.as_str().and_then(Nominal::parse);
        if found.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, "not_a_size", detail);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        "a size as the trade writes it, up to 12 in: \"2\" or \"1-1/4\" of water tube, \"7/8 OD\" of refrigerant tube, \"28 mm\" of metric tube"
            .into()
    }

    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(Type::String)
            .max_length(Some(LONGEST_ID))
            .description(Some(
                "The size a tube goes by: `2`, `1-1/4`, `1.25`, `1/2 in` of water tube; `7/8 OD` of refrigerant tube; `28 mm` of metric tube, both outside.",
            ))
            .into()
    }
}

/// Yes or no, as JSON or as people write it in a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct YesNo(pub bool);

impl YesNo {
    /// As a sheet shows it.
    pub const fn word(yes: bool) -> &'static str {
        if yes { "yes" } else { "no" }
    }
}

impl FromWire for YesNo {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let found = match value {
            Value::Bool(yes) => Some(*yes),
            Value::String(word) => match word.trim().to_ascii_lowercase().as_str() {
                "yes" | "true" => Some(true),
                "no" | "false" => Some(false),
                _ => None,
            },
            _ => None,
        };
        if found.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::WRONG_TYPE, detail);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        "true or false; in a sheet yes or no".into()
    }

    fn schema() -> RefOr<Schema> {
        let word = ObjectBuilder::new()
            .schema_type(Type::String)
            .enum_values(Some(["yes", "no", "true", "false"]));
        OneOfBuilder::new()
            .item(ObjectBuilder::new().schema_type(Type::Boolean))
            .item(word)
            .into()
    }
}

/// A ratio between `FROM` and `TO` hundredths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio<const FROM: u32, const TO: u32>(f64);

/// Pilot over collar diameter.
pub type DrawRatio = Ratio<10, 99>;
/// A multiple of an opening.
pub type OpeningFactor = Ratio<50, 1000>;

impl<const FROM: u32, const TO: u32> Ratio<FROM, TO> {
    /// The number.
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl<const FROM: u32, const TO: u32> Serialize for Ratio<FROM, TO> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.0)
    }
}

impl<const FROM: u32, const TO: u32> FromWire for Ratio<FROM, TO> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let number = match value {
            Value::Number(number) => number.as_f64(),
            Value::String(text) => text.trim().parse().ok(),
            _ => None,
        };
        let range = f64::from(FROM) / 100.0..=f64::from(TO) / 100.0;
        // What is not a number lies in no range.
        let found = number.filter(|number| range.contains(number));
        if found.is_none() {
            let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
            faults.report(at, code::OUT_OF_RANGE, detail);
        }
        found.map(Self)
    }

    fn wanted() -> Cow<'static, str> {
        format!(
            "a number from {} to {}",
            f64::from(FROM) / 100.0,
            f64::from(TO) / 100.0
        )
        .into()
    }

    fn schema() -> RefOr<Schema> {
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(r"^[0-9]{1,2}(\.[0-9]{1,15})?$"));
        let number = ObjectBuilder::new()
            .schema_type(Type::Number)
            .minimum(Some(f64::from(FROM) / 100.0))
            .maximum(Some(f64::from(TO) / 100.0));
        OneOfBuilder::new().item(number).item(text).into()
    }
}

wire_enum! {
    /// A type of tube by its wall, thinnest first.
    pub enum FormedWall {
        /// Type M.
        M = "M",
        /// Type L.
        L = "L",
        /// Type K.
        K = "K",
    }
}

impl From<FormedWall> for WallType {
    fn from(wall: FormedWall) -> Self {
        match wall {
            FormedWall::M => Self::M,
            FormedWall::L => Self::L,
            FormedWall::K => Self::K,
        }
    }
}
