//! Quantities in requests: a text with its unit, or `{"value", "unit"}`.

use super::{At, Faults, FromWire, code, schema};
use crate::trade::quantity::{
    Angle, FlowRate, Length, Mass, ParseQuantityError, Pressure, Quantity, Temperature, Velocity,
    Volume,
};
use serde::{Serialize, Serializer};
use serde_json::{Map, Value, json};
use std::borrow::Cow;
use utoipa::openapi::schema::{AdditionalProperties, Schema, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, RefOr};

/// Characters of a quantity's text, or of a unit's name.
const MOST_CHARACTERS: usize = 40;

/// A quantity that requests may carry.
pub trait WireQuantity: Quantity + Copy + std::fmt::Debug {
    /// Name of its component in the OpenAPI document.
    const COMPONENT: &'static str;
    /// Beyond this no shop's figure lies, as people would write it; guards against slips and absurd input.
    const PLAUSIBLE: &'static str;
    /// Whether it lies within that.
    fn is_plausible(self) -> bool;
}

macro_rules! wire_quantity {
    ($($kind:ty, $alias:ident, $doc:literal, $says:literal, $read:ident, $min:expr, $max:expr;)+) => {$(
        #[doc = $doc]
        pub type $alias = QuantityIn<$kind>;
        impl WireQuantity for $kind {
            const COMPONENT: &'static str = stringify!($alias);
            const PLAUSIBLE: &'static str = $says;
            fn is_plausible(self) -> bool {
                // A value that is not a number lies in no range.
                ($min..=$max).contains(&self.$read())
            }
        }
    )+};
}

wire_quantity! {
    Length, LengthIn, "A length in a request.", "up to 1000 m either way", in_metres, -1e3, 1e3;
    Pressure, PressureIn, "A pressure in a request.", "up to 100 MPa either way", in_megapascals, -100.0, 100.0;
    Temperature, TemperatureIn, "A temperature in a request.", "from 0 K to 2000 K", in_kelvin, 0.0, 2000.0;
    FlowRate, FlowRateIn, "A flow in a request.", "up to 10 000 l/s either way", in_litres_per_second, -1e4, 1e4;
    Velocity, VelocityIn, "A velocity in a request.", "up to 1000 m/s either way", in_metres_per_second, -1e3, 1e3;
    Angle, AngleIn, "An angle in a request.", "up to 3600 deg either way", in_degrees, -3600.0, 3600.0;
    Mass, MassIn, "A mass in a request.", "up to 1 000 000 kg either way", in_kilograms, -1e6, 1e6;
    Volume, VolumeIn, "A volume in a request.", "up to 1 000 000 l either way", in_litres, -1e6, 1e6;
}

/// A quantity as it was given, and what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct QuantityIn<Q> {
    value: Q,
    written: String,
}

impl<Q: Copy> QuantityIn<Q> {
    /// The quantity.
    pub const fn get(&self) -> Q {
        self.value
    }

    /// As the client wrote it, for messages: `4 1/2 in`.
    pub fn written(&self) -> &str {
        &self.written
    }
}

/// As it was written, so that a request can be echoed and read again.
impl<Q> Serialize for QuantityIn<Q> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.written)
    }
}

impl<Q: WireQuantity> FromWire for QuantityIn<Q> {
    fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
        let read = match value {
            Value::String(text) => from_text::<Q>(text, at, faults)?,
            Value::Object(parts) => from_object::<Q>(parts, at, faults)?,
            Value::Number(number) => {
                let detail = format!(
                    "{} is the bare number {number}; give {}",
                    at.name(),
                    Self::wanted()
                );
                faults.report(at, code::UNIT_MISSING, detail);
                return None;
            }
            other => return super::fields::wrong_type(other, at, faults),
        };
        if read.value.is_plausible() {
            return Some(read);
        }
        let detail = format!(
            "{} is {:?}; give {} {}",
            at.name(),
            read.written,
            Q::WANTED,
            Q::PLAUSIBLE
        );
        faults.report(at, code::OUT_OF_RANGE, detail);
        None
    }

    fn wanted() -> Cow<'static, str> {
        format!(
            "{} with its unit, for example \"{}\" or {{\"value\": 1, \"unit\": \"{}\"}}",
            Q::WANTED,
            Q::EXAMPLE,
            first_unit::<Q>()
        )
        .into()
    }

    fn schema() -> RefOr<Schema> {
        schema::reference(Q::COMPONENT)
    }

    fn components(list: &mut Vec<(String, RefOr<Schema>)>) {
        list.push((Q::COMPONENT.to_owned(), component::<Q>()));
    }
}

fn first_unit<Q: Quantity>() -> &'static str {
    Q::UNITS
        .first()
        .and_then(|(names, _)| names.first())
        .copied()
        .unwrap_or_default()
}

fn from_text<Q: WireQuantity>(
    text: &str,
    at: &At<'_>,
    faults: &mut Faults,
) -> Option<QuantityIn<Q>> {
    if text.chars().count() > MOST_CHARACTERS {
        let detail = format!(
            "{} is longer than {MOST_CHARACTERS} characters; give {}",
            at.name(),
            QuantityIn::<Q>::wanted()
        );
        faults.report(at, code::TOO_LONG, detail);
        return None;
    }
    let read = Q::parse(text);
    parsed(read, text.trim().to_owned(), at, faults)
}

fn from_object<Q: WireQuantity>(
    parts: &Map<String, Value>,
    at: &At<'_>,
    faults: &mut Faults,
) -> Option<QuantityIn<Q>> {
    let whole = Value::Object(parts.clone());
    let fields = super::Fields::open(&whole, at, &["value", "unit"], faults)?;
    let number: Option<f64> = fields.take("value", faults);
    let unit: Option<super::Text<MOST_CHARACTERS>> = fields.take("unit", faults);
    let (number, unit) = (number?, unit?);
    let read = Q::from_parts(number, unit.as_str());
    let written = format!("{number} {}", unit.as_str());
    parsed(read, written, &at.field("unit"), faults)
}

fn parsed<Q>(
    read: Result<Q, ParseQuantityError>,
    written: String,
    at: &At<'_>,
    faults: &mut Faults,
) -> Option<QuantityIn<Q>> {
    match read {
        Ok(value) => Some(QuantityIn { value, written }),
        Err(error) => {
            let code = match error {
                ParseQuantityError::NoUnit { .. } => code::UNIT_MISSING,
                _ => code::NOT_A_QUANTITY,
            };
            faults.report(at, code, format!("{} {error}", at.name()));
            None
        }
    }
}

fn component<Q: WireQuantity>() -> RefOr<Schema> {
    let units: Vec<&str> = Q::UNITS
        .iter()
        .flat_map(|(names, _)| names.iter().copied())
        .collect();
    let text = ObjectBuilder::new()
        .schema_type(Type::String)
        .description(Some(format!(
            "A number (whole, decimal, fraction or mixed) and a unit. Units: {}",
            units.join(", ")
        )))
        .min_length(Some(1))
        .max_length(Some(MOST_CHARACTERS))
        .examples([json!(Q::EXAMPLE)]);
    let unit = ObjectBuilder::new()
        .schema_type(Type::String)
        .description(Some("One of the unit spellings."))
        .enum_values(Some(units));
    let number = ObjectBuilder::new()
        .schema_type(Type::Number)
        .description(Some("The number."));
    let object = ObjectBuilder::new()
        .description(Some("The number and the unit apart."))
        .property("value", number)
        .property("unit", unit)
        .required("value")
        .required("unit")
        .additional_properties(Some(AdditionalProperties::FreeForm(false)));
    OneOfBuilder::new()
        .description(Some(format!("{}, {}.", capital(Q::WANTED), Q::PLAUSIBLE)))
        .item(text)
        .item(object)
        .examples([json!(Q::EXAMPLE)])
        .into()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(value: &Value) -> (Option<f64>, Faults) {
        let mut faults = Faults::new();
        let pitch = At::BODY.field("pitch");
        let read = LengthIn::read(value, &pitch, &mut faults);
        (read.map(|length| length.get().in_inches()), faults)
    }

    #[test]
    fn both_spellings_read_alike() {
        for value in [json!("4 1/2 in"), json!({"value": 4.5, "unit": "in"})] {
            let (read, faults) = read(&value);
            assert!((read.unwrap() - 4.5).abs() < 1e-12, "{value}");
            assert!(faults.is_empty(), "{value}");
        }
    }

    #[test]
    fn what_is_no_length_says_what_to_write() {
        let bare = "`pitch` is the bare number 5; give a length with its unit";
        for (value, code, part) in [
            (json!(5), "unit_missing", bare),
            (json!("5"), "unit_missing", "\"5\" has no unit"),
            (json!("5 psi"), "not_a_quantity", "not a unit of a length"),
            (json!("9999999999 m"), "out_of_range", "up to 1000 m"),
            (
                json!({"value": 1e300, "unit": "in"}),
                "out_of_range",
                "up to 1000 m",
            ),
            (json!({"value": 1}), "missing", "`unit` is missing"),
            (
                json!({"value": 1, "unit": "in", "x": 1}),
                "unknown_field",
                "`x` is not known",
            ),
            (json!([]), "wrong_type", "a list"),
        ] {
            let (_, faults) = read(&value);
            let [fault] = faults.as_slice() else {
                panic!("{value}: {faults:?}");
            };
            assert_eq!(fault.code, code, "{value}");
            assert!(fault.detail.contains(part), "{value}: {}", fault.detail);
        }
    }
}
