//! What tubes may be looked for by, read as people write it.

use std::borrow::Cow;

use serde_json::Value;
use utoipa::openapi::schema::{Schema, Type};
use utoipa::openapi::{ObjectBuilder, RefOr};

use crate::http::wire::{At, Faults, FromWire, code, given};
use crate::trade::quantity::{Length, Quantity};
use crate::trade::tube::{Nominal, Standard};

/// A filter that reads a text, or says what to write.
macro_rules! filter {
    ($(#[doc = $doc:literal])* $name:ident($kind:ty), $code:expr, $wanted:expr, $read:expr) => {
        $(#[doc = $doc])*
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct $name(pub $kind);

        impl FromWire for $name {
            fn read(value: &Value, at: &At<'_>, faults: &mut Faults) -> Option<Self> {
                let read: fn(&str) -> Option<$kind> = $read;
                let found = value.as_str().map(str::trim).and_then(read);
                if found.is_none() {
                    let detail = format!("{} is {}; give {}", at.name(), given(value), Self::wanted());
                    faults.report(at, $code, detail);
                }
                found.map(Self)
            }

            fn wanted() -> Cow<'static, str> {
                $wanted.into()
            }

            fn schema() -> RefOr<Schema> {
                ObjectBuilder::new()
                    .schema_type(Type::String)
                    .description(Some(Self::wanted()))
                    .into()
            }
        }
    };
}

filter! {
    /// A tube standard, by its name or by the start of its ids.
    StandardFilter(Standard), code::UNKNOWN_VALUE,
    {
        let names: Vec<String> = Standard::ALL
            .iter()
            .map(|one| format!("{} ({})", one.id_prefix(), one.name()))
            .collect();
        format!("one of {}", names.join(", "))
    },
    |text| Standard::ALL.into_iter().find(|one| {
        one.id_prefix().eq_ignore_ascii_case(text) || one.name().eq_ignore_ascii_case(text)
    })
}

/// The types of all standards.
const TYPES: [&str; 7] = ["DWV", "M", "L", "K", "A", "B", "C"];

filter! {
    /// A wall type, in either case.
    TypeFilter(String), code::UNKNOWN_VALUE,
    format!("one of {}", TYPES.join(", ")),
    |text| TYPES
        .into_iter()
        .find(|known| known.eq_ignore_ascii_case(text))
        .map(str::to_owned)
}

filter! {
    /// A size: `1-1/4`, `1.25`, `1 1/4 in`, `28 mm` or `7/8 OD`.
    NominalFilter(Nominal), code::NOT_A_QUANTITY,
    "a size such as 1-1/4, 1.25 or \"1 1/4 in\" (nominal, in eighths), \"28 mm\" or \"7/8 OD\" (outside diameter)",
    nominal
}

fn nominal(text: &str) -> Option<Nominal> {
    let folded = text.to_ascii_lowercase();
    let length = |text: &str| {
        Length::parse(text)
            .or_else(|_| Length::parse(&format!("{text} in")))
            .ok()
    };
    if let Some(outside) = folded.strip_suffix("od") {
        return Nominal::outside_inches(length(outside.trim())?.in_inches());
    }
    if let Some(metric) = folded.strip_suffix("mm") {
        let od = length(&format!("{} mm", metric.trim()))?;
        return Nominal::outside_millimetres(od.in_millimetres());
    }
    Nominal::from_decimal(length(text)?.in_inches())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nominal(text: &str) -> Option<f64> {
        let mut faults = Faults::new();
        let read = NominalFilter::read_parameter(text, &At::parameter("nominal"), &mut faults);
        assert_eq!(read.is_none(), faults.count() == 1);
        read.map(|size| size.0.decimal())
    }

    #[test]
    fn a_nominal_size_reads_as_people_write_it() {
        for text in ["1-1/4", "1.25", "1 1/4 in", "1-1/4\"", "1 1/4", "1.250 in"] {
            assert_eq!(nominal(text), Some(1.25), "{text}");
        }
        assert_eq!(nominal("3/8"), Some(0.375));
        assert_eq!(nominal("28 mm"), Some(28.0));
        assert_eq!(nominal("66.7mm"), Some(66.7));
        assert_eq!(nominal("7/8 OD"), Some(0.875));
        for text in [
            "", "x", "28.05 mm", "od", "mm", "0", "-1", "1/3", "NaN", "1e999", "2 psi",
        ] {
            assert_eq!(nominal(text), None, "{text}");
        }
    }

    #[test]
    fn a_standard_reads_by_name_and_by_id() {
        let read = |text: &str| {
            let value = Value::from(text);
            StandardFilter::read(&value, &At::parameter("standard"), &mut Faults::new())
                .map(|it| it.0)
        };
        assert_eq!(read("ASTM B88"), Some(Standard::AstmB88));
        assert_eq!(read("b306"), Some(Standard::AstmB306));
        assert_eq!(read("b8"), None);
    }
}
