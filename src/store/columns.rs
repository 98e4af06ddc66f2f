//! How values that neither database knows are kept in columns both have.
//!
//! Each kind has two types: one to bind and read a column that always has a value, and one to read a column that
//! may be null. Rows name them in `#[sqlx(try_from = "..")]`; nobody outside the store sees them.

use jiff::Timestamp;
use jiff::civil::Date;
use rust_decimal::Decimal;
use sqlx::encode::IsNull;
use sqlx::error::BoxDynError;
use sqlx::{Database, Decode, Encode, Type};

macro_rules! column {
    (
        $(#[$doc:meta])*
        $column:ident, $nullable:ident: $value:ty as $stored:ty,
        put $put:expr, take $take:expr
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy)]
        pub struct $column(pub $value);

        /// The same kind of column, when it may be null.
        #[derive(Debug, Clone, Copy)]
        pub struct $nullable(Option<$value>);

        impl<DB: Database> Type<DB> for $column
        where
            $stored: Type<DB>,
        {
            fn type_info() -> DB::TypeInfo {
                <$stored as Type<DB>>::type_info()
            }

            fn compatible(found: &DB::TypeInfo) -> bool {
                <$stored as Type<DB>>::compatible(found)
            }
        }

        impl<DB: Database> Type<DB> for $nullable
        where
            $stored: Type<DB>,
        {
            fn type_info() -> DB::TypeInfo {
                <$stored as Type<DB>>::type_info()
            }

            fn compatible(found: &DB::TypeInfo) -> bool {
                <$stored as Type<DB>>::compatible(found)
            }
        }

        impl<'q, DB: Database> Encode<'q, DB> for $column
        where
            $stored: Encode<'q, DB>,
        {
            fn encode_by_ref(&self, buffer: &mut DB::ArgumentBuffer) -> Result<IsNull, BoxDynError> {
                let put: fn($value) -> $stored = $put;
                Encode::<DB>::encode(put(self.0), buffer)
            }
        }

        impl<'r, DB: Database> Decode<'r, DB> for $column
        where
            $stored: Decode<'r, DB>,
        {
            fn decode(value: DB::ValueRef<'r>) -> Result<Self, BoxDynError> {
                let take: fn($stored) -> Result<$value, BoxDynError> = $take;
                take(<$stored as Decode<DB>>::decode(value)?).map(Self)
            }
        }

        impl<'r, DB: Database> Decode<'r, DB> for $nullable
        where
            $column: Decode<'r, DB>,
        {
            fn decode(value: DB::ValueRef<'r>) -> Result<Self, BoxDynError> {
                let found = <Option<$column> as Decode<DB>>::decode(value)?;
                Ok(Self(found.map(|column| column.0)))
            }
        }

        impl From<$column> for $value {
            fn from(column: $column) -> Self {
                column.0
            }
        }

        impl From<$nullable> for Option<$value> {
            fn from(column: $nullable) -> Self {
                column.0
            }
        }
    };
}

column! {
    /// An instant, as whole microseconds since 1970-01-01T00:00:00Z.
    Instant, NullableInstant: Timestamp as i64,
    put |instant| instant.as_microsecond(),
    take |stored| Ok(Timestamp::from_microsecond(stored)?)
}

column! {
    /// A date without time, as `YYYY-MM-DD`: sorts as text the way dates sort.
    Day, NullableDay: Date as String,
    put |date| date.to_string(),
    take |stored| Ok(stored.parse()?)
}

column! {
    /// An exact decimal, as its digits.
    Exact, NullableExact: Decimal as String,
    put |decimal| decimal.to_string(),
    take |stored| Ok(Decimal::from_str_exact(&stored)?)
}
