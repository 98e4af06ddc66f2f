//! What people read: drawings, quote papers, sheets.
//!
//! Pure functions from the types of `trade` and `shop` to SVG, PDF and CSV; same input, same
//! bytes. Whatever a customer or a shop typed is data here, never markup.

pub mod apart;
pub mod bench;
pub mod cut_picture;
pub mod drawing;
pub mod file_fault;
pub mod flow_plot;
pub mod logo;
pub mod offer;
pub mod page;
pub mod quote;
pub mod quote_sheet;
pub mod risk_plot;
pub mod trial;
pub mod ubl;
pub mod words;

mod figures;
mod typst_world;

pub use typst_world::DocumentError;
