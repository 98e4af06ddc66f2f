//! Rows to put in. All names are invented.

use std::slice;

use jiff::Timestamp;
use jiff::civil::Date;
use offtake::store::keys::KeyRow;
use offtake::store::labour_models::LabourModelRow;
use offtake::store::price_lists::PriceListRow;
use offtake::store::quote_changes::QuoteChange;
use offtake::store::quote_revisions::{self, RevisionRow, StateMove};
use offtake::store::quotes::QuoteRow;
use offtake::store::{StoreError, Tx};
use rust_decimal::Decimal;
use uuid::Uuid;

/// The `n`th id; ids sort as their numbers do.
pub fn id(n: usize) -> Uuid {
    Uuid::from_u128(n.try_into().unwrap())
}

/// An instant with a part in microseconds, so that a cut would show.
pub fn at(second: i64) -> Timestamp {
    Timestamp::from_microsecond(1_764_000_000_000_000 + second * 1_000_000 + 123_456).unwrap()
}

pub fn day(text: &str) -> Date {
    text.parse().unwrap()
}

pub fn amount(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub fn key(n: usize) -> KeyRow {
    KeyRow {
        id: id(n),
        label: format!("office {n}"),
        scopes: "check estimate".to_owned(),
        hash: format!("{n:064x}"),
        created_at: at(n.try_into().unwrap()),
        revoked_at: None,
    }
}

pub fn price_list(n: usize, effective_on: &str) -> PriceListRow {
    PriceListRow {
        id: id(n),
        name: format!("List {n}"),
        supplier: "Meadow Metals".to_owned(),
        currency: "USD".to_owned(),
        state: "draft".to_owned(),
        effective_on: day(effective_on),
        created_at: at(0),
        published_at: None,
        version: 1,
    }
}

pub fn labour_model(n: usize, effective_on: &str) -> LabourModelRow {
    LabourModelRow {
        id: id(n),
        name: format!("Times {n}"),
        state: "draft".to_owned(),
        effective_on: day(effective_on),
        source: "demo".to_owned(),
        created_at: at(0),
        published_at: None,
        version: 1,
        body: r#"{ "braze": "0.25 h" }"#.to_owned(),
    }
}

pub fn quote(n: usize, number: &str) -> QuoteRow {
    QuoteRow {
        id: id(n),
        number: number.to_owned(),
        customer: "Ärger & Söhne 100% Heizung".to_owned(),
        project: "Mill_House".to_owned(),
        created_at: at(1),
        current_revision: 1,
        version: 1,
    }
}

pub fn draft(n: usize, revision: i64) -> RevisionRow {
    RevisionRow {
        quote_id: id(n),
        revision,
        state: "draft".to_owned(),
        // Spaces and order as given: the text is kept, not the value.
        frozen: r#"{ "b": 1,  "a": 2.50 }"#.to_owned(),
        currency: "USD".to_owned(),
        net: amount("1000.10"),
        tax: amount("82.51"),
        gross: amount("1082.61"),
        heads: r#"{"tube":"400.00"}"#.to_owned(),
        valid_until: None,
        issued_on: None,
        accepted_on: None,
        accepted_by: None,
        po_number: None,
        reason: None,
        ordered: None,
        price_list_id: None,
        labour_model_id: None,
        created_at: at(1),
        changed_at: at(1),
    }
}

/// Makes a move; the version the quote came to, if it moved.
pub async fn move_state(tx: &mut Tx, to: &StateMove) -> Result<Option<i64>, StoreError> {
    let moved = quote_revisions::move_states(tx, slice::from_ref(to)).await?;
    Ok(moved.get(&to.quote_id).copied())
}

/// A move of a first revision that says nothing but the state.
pub fn move_to(quote_id: Uuid, state: &str, expected: i64) -> StateMove {
    StateMove {
        quote_id,
        expected,
        revision: 1,
        current: None,
        state: state.to_owned(),
        at: at(2),
        valid_until: None,
        issued_on: None,
        accepted_on: None,
        accepted_by: None,
        po_number: None,
        reason: None,
        ordered: None,
    }
}

/// What the log says of a revision.
pub fn change(quote: &QuoteRow, revision: &RevisionRow, at: Timestamp) -> QuoteChange {
    QuoteChange {
        quote_id: quote.id,
        number: quote.number.clone(),
        revision: revision.revision,
        state: revision.state.clone(),
        customer: quote.customer.clone(),
        project: quote.project.clone(),
        currency: revision.currency.clone(),
        net: revision.net,
        tax: revision.tax,
        gross: revision.gross,
        issued_on: revision.issued_on,
        accepted_on: revision.accepted_on,
        po_number: revision.po_number.clone(),
        heads: revision.heads.clone(),
        taxes: Some(r#"[{"name":"Sales tax"}]"#.to_owned()),
        at,
    }
}
