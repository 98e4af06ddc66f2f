//! What is wrong with a cutting job, all of it at once.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{CutJob, CutLength};

/// Pieces of one plan, counted one by one.
pub const MOST_PIECES: u32 = 5_000;
/// Kinds of stock of one plan.
pub const MOST_KINDS: usize = 200;
/// Cost of a stick that is still taken for one.
const MOST_COST: Decimal = Decimal::from_parts(1_000_000, 0, 0, false, 0);
/// A length that is still taken for one of tube, with room for sums of many: 1000 m.
const MOST_LENGTH: CutLength = CutLength::nanometres(1_000_000_000_000);
/// Decimals of a cost.
pub const COST_DECIMALS: u32 = 4;
/// Decimals of the value of offcuts.
pub const VALUE_DECIMALS: u32 = 6;

/// One fault of a job; places count from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CutFault {
    /// Nothing to cut from.
    NoStock,
    /// Nothing to cut.
    NoPieces,
    /// The kerf is negative or absurd.
    Kerf(CutLength),
    /// Too many kinds of stock.
    Kinds(usize),
    /// More pieces than a plan may have; with how many there are.
    Pieces(u64),
    /// The shortest offcut worth keeping is no length.
    Least(CutLength),
    /// The value of offcuts is negative or too fine.
    Value,
    /// A line of stock.
    Stock(usize, StockFault),
    /// A line of pieces.
    Piece(usize, PieceFault),
}

/// What is wrong with a line of stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StockFault {
    /// Without length, or longer than any tube.
    Length,
    /// Trims that are negative or leave nothing of it.
    Trim,
    /// A cost that is negative, too large or too fine.
    Cost,
    /// There is none of it.
    Count,
    /// An earlier line has its name.
    SameName(usize),
    /// Offcuts are worth more than it costs: whoever bought it uncut would gain.
    ValueAboveCost,
}

/// What is wrong with a line of pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceFault {
    /// Without length, or longer than any tube.
    Length,
    /// There are none.
    Count,
    /// An earlier line has their name.
    SameName(usize),
    /// They fit no stock; with the longest that would.
    TooLong(CutLength),
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CutError {
    /// The job is faulty.
    Faulty(Vec<CutFault>),
    /// Stock runs out: lines of pieces, with how many of each are left over in the best plan found.
    NotEnough(Vec<(usize, u32)>),
}

/// Every fault of a job.
pub fn faults(job: &CutJob) -> Vec<CutFault> {
    let mut faults = Vec::new();
    if job.kerf < CutLength::ZERO || job.kerf > MOST_LENGTH {
        faults.push(CutFault::Kerf(job.kerf));
    }
    stock_faults(job, &mut faults);
    keep_faults(job, &mut faults);
    piece_faults(job, &mut faults);
    faults
}

fn is_length(length: CutLength) -> bool {
    length > CutLength::ZERO && length <= MOST_LENGTH
}

fn stock_faults(job: &CutJob, faults: &mut Vec<CutFault>) {
    if job.stock.is_empty() {
        faults.push(CutFault::NoStock);
    }
    if job.stock.len() > MOST_KINDS {
        faults.push(CutFault::Kinds(job.stock.len()));
    }
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (place, stock) in job.stock.iter().enumerate() {
        let first = *seen.entry(&stock.id).or_insert(place);
        if first != place {
            faults.push(CutFault::Stock(place, StockFault::SameName(first)));
        }
        if !is_length(stock.length) {
            faults.push(CutFault::Stock(place, StockFault::Length));
        } else if stock.trim < CutLength::ZERO || stock.trim >= stock.length {
            faults.push(CutFault::Stock(place, StockFault::Trim));
        }
        let cost = stock.cost.normalize();
        if cost < Decimal::ZERO || cost > MOST_COST || cost.scale() > COST_DECIMALS {
            faults.push(CutFault::Stock(place, StockFault::Cost));
        }
        if stock.count == Some(0) {
            faults.push(CutFault::Stock(place, StockFault::Count));
        }
    }
}

fn keep_faults(job: &CutJob, faults: &mut Vec<CutFault>) {
    let Some(keep) = &job.keep else {
        return;
    };
    if !is_length(keep.least) {
        faults.push(CutFault::Least(keep.least));
    }
    let value = keep.value.normalize();
    if value < Decimal::ZERO
        || value > MOST_COST
        || value.scale() > VALUE_DECIMALS
        || !is_length(keep.per)
    {
        faults.push(CutFault::Value);
        return;
    }
    for (place, stock) in job.stock.iter().enumerate() {
        if !is_length(stock.length) || stock.trim >= stock.length || stock.cost > MOST_COST {
            continue;
        }
        let usable = Decimal::from((stock.length - stock.trim).in_nanometres());
        // Multiplied out: a quotient would be rounded.
        if value * usable > stock.cost * Decimal::from(keep.per.in_nanometres()) {
            faults.push(CutFault::Stock(place, StockFault::ValueAboveCost));
        }
    }
}

fn piece_faults(job: &CutJob, faults: &mut Vec<CutFault>) {
    if job.pieces.is_empty() {
        faults.push(CutFault::NoPieces);
    }
    let total: u64 = job.pieces.iter().map(|piece| u64::from(piece.count)).sum();
    if total > u64::from(MOST_PIECES) {
        faults.push(CutFault::Pieces(total));
    }
    let sound = job.stock.iter().filter(|stock| is_length(stock.length));
    let longest = sound.map(|stock| stock.length - stock.trim).max();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (place, piece) in job.pieces.iter().enumerate() {
        let first = *seen.entry(&piece.id).or_insert(place);
        if first != place {
            faults.push(CutFault::Piece(place, PieceFault::SameName(first)));
        }
        if piece.count == 0 {
            faults.push(CutFault::Piece(place, PieceFault::Count));
        }
        if !is_length(piece.length) {
            faults.push(CutFault::Piece(place, PieceFault::Length));
        } else if let Some(longest) = longest.filter(|longest| piece.length > *longest) {
            faults.push(CutFault::Piece(place, PieceFault::TooLong(longest)));
        }
    }
}
