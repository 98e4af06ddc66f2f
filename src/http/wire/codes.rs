//! The codes of faults of a request. Clients rely on them.

/// A code and what it means.
pub type FaultCode = (&'static str, &'static str);

macro_rules! codes {
    (
        reader { $($name:ident = $code:literal: $meaning:literal;)+ }
        calls { $($call:literal: $told:literal;)+ }
    ) => {
        /// The codes by name.
        pub mod code {
            $(#[doc = $meaning] pub const $name: &str = $code;)+
        }
        /// Every code of a fault, with what it means.
        pub const CODES: &[FaultCode] = &[$(($code, $meaning),)+ $(($call, $told),)+];
    };
}

codes! {
    reader {
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
    calls {
        "above_table": "The temperature is above the last one that the table of stresses has.";
        "active_content": "A part of a picture that would run, move or hold something else.";
        "bad_address": "An address that notices cannot be sent to.";
        "catalogue_damaged": "Something in the catalogue that its own rules refuse; tell whoever runs the server.";
        "cell_without_column": "A cell that stands right of the last heading of a sheet.";
        "conflicting_fields": "Fields that exclude one another, both given.";
        "currency_differs": "Prices in another currency than the shop's.";
        "date_in_the_past": "A day that is over already.";
        "duplicate": "A key that another row or item has, too.";
        "duplicate_mark": "A mark that another manifold has, too, where one must be meant.";
        "form_missing": "A page of the shop's own on which a customer could not answer.";
        "half_a_spread": "One end of a range without the other.";
        "impossible_margin": "A margin that leaves no price.";
        "longer_than_stock": "A piece that no stick or offcut is long enough for.";
        "merged_cells": "Cells of a workbook that are merged into one.";
        "missing_operation": "The labour model has no time for an operation that is needed.";
        "missing_price": "The price list has no price for something that is needed.";
        "missing_price_list": "No price list can be used.";
        "missing_setting": "A setting of the shop that is needed and not made.";
        "missing_shop": "The shop has no settings yet.";
        "no_driver": "A time for each unit of a driver that the operation does not have.";
        "no_size": "A picture without a size that it could be shown at.";
        "no_stock": "Nothing that the piece could be cut from.";
        "no_time": "Neither a time nor what it would be worked out from.";
        "no_tolerance": "No tolerance of the tube's wall is known, so that it has no rating in that temper.";
        "nobody": "A crew that counts nobody of a kind.";
        "not_a_currency": "Not a currency code of three letters.";
        "not_a_picture": "A file that is not the picture its media type says, or is damaged.";
        "not_a_size": "Not a size that tube or outlets are made in.";
        "not_breaks": "Price breaks that do not fit together.";
        "not_buildable": "A manifold that the checks refuse.";
        "not_enough_stock": "Fewer sticks or offcuts than the pieces need.";
        "not_pressure_tube": "Tube that is not made to hold pressure, and has no rating.";
        "not_rising": "Values that must rise from one to the next, and do not.";
        "not_there": "Something that the request names and that is not stored.";
        "one_of": "Exactly one of several fields must be given.";
        "overlapping_dates": "Days that are taken by another that is in force.";
        "part_not_allowed": "A part that a logo may not have.";
        "picture_too_large": "A picture with more pixels, bytes or parts than a logo may have.";
        "refers_outside": "A picture that refers to something outside itself.";
        "second_alternate": "A second option that stands instead of the same manifold.";
        "template_fault": "Something in a template that its engine does not take.";
        "too_costly": "A template or picture that takes more time, memory or steps than it may.";
        "two_contingencies": "The reserve is set in two ways.";
        "two_rates": "The rate of an hour is set in two ways.";
        "unescaped": "A template that would show what people typed as markup.";
        "unknown_condition": "A working condition that the labour model does not have.";
        "unknown_consumable": "A code that is none of a consumable.";
        "unknown_filler": "A filler that the catalogue does not have.";
        "unknown_fitting": "A fitting that the catalogue does not have.";
        "unknown_manifold": "A code that is none of a ready-made manifold.";
        "unknown_mark": "A mark that no manifold of the schedule has.";
        "unknown_option": "An option that the quote does not offer.";
        "unknown_rule_set": "A rule set that there is not.";
        "unknown_tube": "A tube that the catalogue does not have.";
        "unsound_pattern": "A pattern of quote numbers that would not tell one quote from another.";
        "value_above_cost": "Stock worth more when it is left than it costs.";
        "wrong_sheet": "A workbook none of whose sheets names the columns.";
        "wrong_spread": "A range whose ends do not enclose the value.";
        "wrong_unit": "A unit that this kind of thing is not priced by.";
    }
}
