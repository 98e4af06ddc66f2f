//! Quotes: what a revision freezes, and the life it leads.

mod asked;
mod changes;
mod describe;
mod life;
mod options;
mod order;
mod record;

pub use asked::Asked;
pub use changes::{Change, Revised, changes};
pub use describe::{cautions, description, particulars, pressure};
pub use life::{Move, State, WrongMove};
pub use options::{
    OptionFault, OptionPrice, Optional, QuotedOption, WantedOption, option_faults, option_prices,
};
pub use order::{Order, OrderFault};
pub use record::{
    Customer, FrozenProfile, HoursRecord, ListReference, OfferedManifold, Presentation, PriceLine,
    QuoteRecord, QuotedManifold, RECORD_FORM, RecordTotals, TaxLine, Totals,
};
