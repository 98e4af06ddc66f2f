//! One definition makes a wire type, its reader and its schema.

/// Makes a request object.
///
/// ```text
/// wire_struct! {
///     /// A customer.
///     #[example = {"name": "Harbour Heating"}]
///     pub struct CustomerIn {
///         /// Name on the quote.
///         #[example = "Harbour Heating"]
///         name: Text<200>,
///         /// Their own number for us.
///         reference: Option<Text<80>>,
///     }
/// }
/// ```
/// A field of type `Option<_>` may be absent or `null`. Limits are in the types: `Text<MAX>`,
/// `Whole<MIN, MAX>`, `List<T, MAX>`.
#[macro_export]
macro_rules! wire_struct {
    (
        $(#[doc = $doc:literal])*
        $(#[example = $example:tt])?
        pub struct $name:ident {
            $(
                $(#[doc = $field_doc:literal])*
                $(#[example = $field_example:tt])?
                $field:ident: $kind:ty
            ),* $(,)?
        }
    ) => {
        $(#[doc = $doc])*
        #[derive(Debug, Clone, serde::Serialize)]
        pub struct $name {
            $($(#[doc = $field_doc])* pub $field: $kind,)*
        }

        impl $crate::http::wire::FromWire for $name {
            fn read(
                value: &serde_json::Value,
                at: &$crate::http::wire::At<'_>,
                faults: &mut $crate::http::wire::Faults,
            ) -> Option<Self> {
                use $crate::http::wire::Fields;
                let known: &[&'static str] = &[$($crate::http::wire::schema::bare(stringify!($field))),*];
                // An object without fields is opened all the same, to refuse what it should not have.
                let _fields = Fields::open(value, at, known, faults)?;
                $(let $field = _fields.take::<$kind>($crate::http::wire::schema::bare(stringify!($field)), faults);)*
                Some(Self { $($field: $field?),* })
            }
            fn wanted() -> std::borrow::Cow<'static, str> {
                let known: &[&str] = &[$($crate::http::wire::schema::bare(stringify!($field))),*];
                format!("an object with the fields {}", known.join(", ")).into()
            }
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                $crate::http::wire::schema::reference(stringify!($name))
            }
            fn components(
                list: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::schema::Schema>)>,
            ) {
                list.push((stringify!($name).to_owned(), <Self as utoipa::PartialSchema>::schema()));
                $(<$kind as $crate::http::wire::FromWire>::components(list);)*
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                use $crate::http::wire::schema;
                let object = utoipa::openapi::ObjectBuilder::new()
                    .additional_properties(Some(
                        utoipa::openapi::schema::AdditionalProperties::FreeForm(false),
                    ))
                    $(.property(schema::bare(stringify!($field)), schema::described(
                        <$kind as $crate::http::wire::FromWire>::schema(),
                        schema::doc(&[$($field_doc),*]),
                        $crate::wire_example!($($field_example)?),
                    )))*;
                let object = object.build();
                let required = [$((schema::bare(stringify!($field)), <$kind as $crate::http::wire::FromWire>::REQUIRED)),*];
                schema::described(
                    schema::requiring(object, &required),
                    schema::doc(&[$($doc),*]),
                    $crate::wire_example!($($example)?),
                )
            }
        }

        impl utoipa::ToSchema for $name {
            fn name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }
            fn schemas(
                _list: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::schema::Schema>)>,
            ) {
                $(<$kind as $crate::http::wire::FromWire>::components(_list);)*
            }
        }
    };
}

/// Makes a choice of named values, sent as text.
///
/// ```text
/// wire_enum! {
///     /// Temper of a tube.
///     pub enum TemperIn { Drawn = "drawn", Annealed = "annealed" }
/// }
/// ```
#[macro_export]
macro_rules! wire_enum {
    (
        $(#[doc = $doc:literal])*
        pub enum $name:ident {
            $($(#[doc = $value_doc:literal])* $value:ident = $text:literal),+ $(,)?
        }
    ) => {
        $(#[doc = $doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $($(#[doc = $value_doc])* $value,)+
        }

        impl $name {
            /// Every value.
            pub const ALL: &'static [Self] = &[$(Self::$value),+];

            /// The value as sent.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$value => $text),+ }
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }

        impl $crate::http::wire::FromWire for $name {
            fn read(
                value: &serde_json::Value,
                at: &$crate::http::wire::At<'_>,
                faults: &mut $crate::http::wire::Faults,
            ) -> Option<Self> {
                let found = value
                    .as_str()
                    .and_then(|text| Self::ALL.iter().copied().find(|one| one.as_str() == text));
                if found.is_none() {
                    let choices: Vec<_> = Self::ALL.iter().map(|one| one.as_str()).collect();
                    $crate::http::wire::schema::report_unknown_value(value, at, &choices, faults);
                }
                found
            }
            fn wanted() -> std::borrow::Cow<'static, str> {
                concat!("one of", $(" ", $text),+).into()
            }
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                $crate::http::wire::schema::reference(stringify!($name))
            }
            fn components(
                list: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::schema::Schema>)>,
            ) {
                list.push((stringify!($name).to_owned(), <Self as utoipa::PartialSchema>::schema()));
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                use $crate::http::wire::schema;
                let mut text = schema::doc(&[$($doc),*]);
                $(
                    let value_doc = schema::doc(&[$($value_doc),*]);
                    if !value_doc.is_empty() {
                        text.push_str(&format!("\n- `{}`: {value_doc}", $text));
                    }
                )+
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .description(Some(text))
                    .enum_values(Some([$($text),+]))
                    .into()
            }
        }

        impl utoipa::ToSchema for $name {
            fn name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }
        }
    };
}

/// Makes a set of query parameters. Fields are as in `wire_struct!`.
#[macro_export]
macro_rules! wire_query {
    (
        $(#[doc = $doc:literal])*
        pub struct $name:ident {
            $(
                $(#[doc = $field_doc:literal])*
                $(#[example = $field_example:tt])?
                $field:ident: $kind:ty
            ),+ $(,)?
        }
    ) => {
        $(#[doc = $doc])*
        #[derive(Debug, Clone)]
        pub struct $name {
            $($(#[doc = $field_doc])* pub $field: $kind,)+
        }

        impl $crate::http::wire::FromQuery for $name {
            const KNOWN: &'static [&'static str] =
                &[$($crate::http::wire::schema::bare(stringify!($field))),+];

            fn read(
                pairs: &[(String, String)],
                faults: &mut $crate::http::wire::Faults,
            ) -> Option<Self> {
                $(let $field = $crate::http::wire::read_pairs::<$kind>(
                    pairs,
                    $crate::http::wire::schema::bare(stringify!($field)),
                    faults,
                );)+
                Some(Self { $($field: $field?),+ })
            }
        }

        impl utoipa::IntoParams for $name {
            fn into_params(
                _place: impl Fn() -> Option<utoipa::openapi::path::ParameterIn>,
            ) -> Vec<utoipa::openapi::path::Parameter> {
                use $crate::http::wire::schema;
                vec![$(schema::query_parameter::<$kind>(
                    schema::bare(stringify!($field)),
                    schema::doc(&[$($field_doc),*]),
                    $crate::wire_example!($($field_example)?),
                )),+]
            }
        }
    };
}

/// An example as a JSON value, or none.
#[doc(hidden)]
#[macro_export]
macro_rules! wire_example {
    () => {
        None
    };
    ($example:tt) => {
        Some(serde_json::json!($example))
    };
}
