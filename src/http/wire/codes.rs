//! The codes of faults found while reading a request. Clients rely on them.

/// A code and what it means.
pub type FaultCode = (&'static str, &'static str);

macro_rules! codes {
    ($($name:ident = $code:literal: $meaning:literal;)+) => {
        /// The codes by name.
        pub mod code {
            $(#[doc = $meaning] pub const $name: &str = $code;)+
        }
        /// Every code the reader can report, with what it means. Use cases add codes of their own.
        pub const CODES: &[FaultCode] = &[$(($code, $meaning),)+];
    };
}

codes! {
    MISSING = "missing": "A field that must be there is not.";
    UNKNOWN_FIELD = "unknown_field": "A field this place does not have; the nearest name is suggested.";
    DUPLICATE_FIELD = "duplicate_field": "A field or parameter given twice.";
    WRONG_TYPE = "wrong_type": "A text where a list is wanted, and the like.";
    UNKNOWN_VALUE = "unknown_value": "Not one of the values listed.";
    TOO_SHORT = "too_short": "A text with too few characters.";
    TOO_LONG = "too_long": "A text with too many characters.";
    CONTROL_CHARACTER = "control_character": "A text with an unprintable character.";
    TOO_FEW = "too_few": "A list with too few items.";
    TOO_MANY = "too_many": "A list with too many items.";
    OUT_OF_RANGE = "out_of_range": "A number outside the range allowed.";
    NOT_WHOLE = "not_whole": "A number with a fraction where a whole one is wanted.";
    NOT_A_DECIMAL = "not_a_decimal": "Not a decimal number.";
    TOO_MANY_DIGITS = "too_many_digits": "More digits than are kept exactly.";
    UNIT_MISSING = "unit_missing": "A quantity without its unit.";
    NOT_A_QUANTITY = "not_a_quantity": "Not a quantity of the kind wanted, or not in a known unit.";
    NOT_A_DATE = "not_a_date": "Not a date written YYYY-MM-DD.";
    NOT_AN_ID = "not_an_id": "Not an id (UUID).";
    NOT_A_CURSOR = "not_a_cursor": "Not a cursor that this list gave out.";
}
