//! A choice of shapes, told apart by a field such as `kind`.

use super::{At, Faults, code, given, schema};
use serde_json::{Map, Value};
use utoipa::openapi::schema::{Discriminator, Schema, Type};
use utoipa::openapi::{ObjectBuilder, OneOfBuilder, Ref, RefOr};

/// Makes a choice of request objects. Each has a shape of its own, made by `wire_struct!`, which
/// may have no fields at all.
///
/// ```text
/// wire_union! {
///     /// How an end of the run is made.
///     pub enum EndIn by "kind" {
///         /// Closed with a cap.
///         Cap(CapIn) = "cap",
///         /// Left plain.
///         Plain(PlainIn) = "plain",
///     }
/// }
/// ```
#[macro_export]
macro_rules! wire_union {
    (
        $(#[doc = $doc:literal])*
        pub enum $name:ident by $by:literal {
            $($(#[doc = $shape_doc:literal])* $shape:ident($inner:ty) = $text:literal),+ $(,)?
        }
    ) => {
        $(#[doc = $doc])*
        #[derive(Debug, Clone, serde::Serialize)]
        #[serde(tag = $by)]
        pub enum $name {
            $($(#[doc = $shape_doc])* #[serde(rename = $text)] $shape($inner),)+
        }

        impl $crate::http::wire::FromWire for $name {
            fn read(
                value: &serde_json::Value,
                at: &$crate::http::wire::At<'_>,
                faults: &mut $crate::http::wire::Faults,
            ) -> Option<Self> {
                use $crate::http::wire::{FromWire, union};
                let (kind, rest) = union::split(value, $by, &[$($text),+], (at, faults))?;
                match kind {
                    $($text => <$inner as FromWire>::read(&rest, at, faults).map(Self::$shape),)+
                    _ => None,
                }
            }
            fn wanted() -> std::borrow::Cow<'static, str> {
                concat!("an object with the field `", $by, "`").into()
            }
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                $crate::http::wire::schema::reference(stringify!($name))
            }
            fn components(
                list: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::schema::Schema>)>,
            ) {
                list.push((stringify!($name).to_owned(), <Self as utoipa::PartialSchema>::schema()));
                <Self as utoipa::ToSchema>::schemas(list);
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                use $crate::http::wire::{schema, union};
                let shapes = [$(($text, concat!(stringify!($name), stringify!($shape)))),+];
                union::component($by, &shapes, schema::doc(&[$($doc),*]))
            }
        }

        impl utoipa::ToSchema for $name {
            fn name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }
            fn schemas(
                list: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::schema::Schema>)>,
            ) {
                use $crate::http::wire::{schema, union};
                $(
                    let shape = union::shape(
                        <$inner as utoipa::PartialSchema>::schema(),
                        ($by, $text),
                        schema::doc(&[$($shape_doc),*]),
                    );
                    list.push((concat!(stringify!($name), stringify!($shape)).to_owned(), shape));
                    <$inner as utoipa::ToSchema>::schemas(list);
                )+
            }
        }
    };
}

/// Takes the telling field out of an object: which of the choices it is, and the object without it.
pub fn split(
    value: &Value,
    by: &'static str,
    choices: &[&'static str],
    (at, faults): (&At<'_>, &mut Faults),
) -> Option<(&'static str, Value)> {
    let Value::Object(map) = value else {
        let detail = format!(
            "{} is {}; give an object with the field `{by}`",
            at.name(),
            given(value)
        );
        faults.report(at, code::WRONG_TYPE, detail);
        return None;
    };
    let at = at.field(by);
    let Some(kind) = map.get(by) else {
        let detail = format!(
            "{} is missing; give one of {}",
            at.name(),
            choices.join(", ")
        );
        faults.report(&at, code::MISSING, detail);
        return None;
    };
    let known = choices
        .iter()
        .copied()
        .find(|choice| kind.as_str() == Some(choice));
    if known.is_none() {
        schema::report_unknown_value(kind, &at, choices, faults);
    }
    let rest: Map<String, Value> = map
        .iter()
        .filter(|(name, _)| name.as_str() != by)
        .map(|(name, value)| (name.clone(), value.clone()))
        .collect();
    known.map(|kind| (kind, Value::Object(rest)))
}

/// The schema of the choice; each shape is a component of its own, named by its text and name.
pub fn component(by: &str, shapes: &[(&str, &str)], text: String) -> RefOr<Schema> {
    let mapping = shapes
        .iter()
        .map(|(kind, name)| (*kind, format!("#/components/schemas/{name}")));
    let choice = shapes
        .iter()
        .fold(OneOfBuilder::new(), |choice, (_, name)| {
            choice.item(Ref::from_schema_name(*name))
        });
    choice
        .description(Some(text))
        .discriminator(Some(Discriminator::with_mapping(by, mapping)))
        .into()
}

/// The schema of one shape, with the field that tells it.
pub fn shape(inner: RefOr<Schema>, (by, kind): (&str, &str), text: String) -> RefOr<Schema> {
    let RefOr::T(Schema::Object(mut object)) = inner else {
        return inner;
    };
    let telling = ObjectBuilder::new()
        .schema_type(Type::String)
        .description(Some("Which shape this is."))
        .enum_values(Some([kind]));
    object.properties.insert(by.to_owned(), telling.into());
    object.required.insert(0, by.to_owned());
    schema::described(object.into(), text, None)
}
