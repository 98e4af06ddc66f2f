//! Quotes: what a revision freezes, and the life it leads.

mod changes;
mod describe;
mod life;
mod record;

pub use changes::{Change, changes};
pub use describe::{cautions, description, particulars};
pub use life::{Move, State, WrongMove};
pub use record::{
    Customer, FrozenProfile, HoursRecord, ListReference, PriceLine, QuoteRecord, QuotedManifold,
    RECORD_FORM, TaxLine, Totals,
};
