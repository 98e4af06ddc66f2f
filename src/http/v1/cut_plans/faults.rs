//! What is wrong with a cutting job, in words, at the places of the request.

use super::assembled::{Assembled, PieceFrom, StockFrom};
use crate::http::problem::{Problem, Slug};
use crate::http::wire::{Fault, code};
use crate::shop::cut_plan::{
    COST_DECIMALS, CutFault, MOST_KINDS, MOST_PIECES, PieceFault, ScheduleFault, SchedulePlan,
    StockFault, VALUE_DECIMALS,
};

/// The plan, or everything that is wrong: what reading the request found, and what planning did.
///
/// # Errors
/// 422 with every fault at once.
pub fn settled(
    assembled: &Assembled,
    planned: Result<SchedulePlan, Vec<ScheduleFault>>,
) -> Result<SchedulePlan, Problem> {
    let mut faults = assembled.faults.clone();
    let plan = match planned {
        Ok(plan) if faults.is_empty() => return Ok(plan),
        Ok(_) => Vec::new(),
        Err(found) => found,
    };
    for fault in plan {
        faults.push(assembled.fault(&fault));
    }
    Err(Problem::new(Slug::Unprocessable).with_faults(faults))
}

impl Assembled {
    fn fault(&self, fault: &ScheduleFault) -> Fault {
        match fault {
            ScheduleFault::Job(fault) => self.job_fault(fault),
            ScheduleFault::NoStockOf(piece) => Fault::new(
                self.piece_at(*piece, "tube"),
                "no_stock",
                format!(
                    "{} is of {}, of which no stock is given, and the price list in force has no price by ft, m or stick; add a line to `stock`, or the tube to the price list",
                    self.piece(*piece),
                    self.schedule.pieces[*piece]
                        .0
                        .as_deref()
                        .unwrap_or("no named tube"),
                ),
            ),
            ScheduleFault::NotEnough(piece, left) => Fault::new(
                self.piece_at(*piece, "count"),
                "not_enough_stock",
                format!(
                    "{left} of {} are left over when all stock is cut up; give more stock, or a line of it without `count`",
                    self.piece(*piece)
                ),
            ),
        }
    }

    fn job_fault(&self, fault: &CutFault) -> Fault {
        match fault {
            CutFault::NoStock => Fault::new(
                "/stock",
                code::TOO_FEW,
                "there is nothing to cut from; give `stock` with at least one line",
            ),
            CutFault::NoPieces => Fault::new(
                "/pieces",
                code::TOO_FEW,
                "there is nothing to cut; give `pieces`, or `manifolds` that are built from tube",
            ),
            CutFault::Kerf(kerf) => Fault::new(
                "/kerf",
                code::OUT_OF_RANGE,
                format!("`kerf` is {kerf}; give nothing (\"0 in\") or more: the width of the saw"),
            ),
            CutFault::Kinds(count) => Fault::new(
                "/stock",
                code::TOO_MANY,
                format!(
                    "one tube has {count} kinds of stock, offcuts included; give at most {MOST_KINDS}"
                ),
            ),
            CutFault::Pieces(count) => Fault::new(
                "/pieces",
                code::TOO_MANY,
                format!(
                    "there are {count} pieces, counted one by one; a plan takes at most {MOST_PIECES}: split the schedule"
                ),
            ),
            CutFault::Least(least) => Fault::new(
                "/keep/least",
                code::OUT_OF_RANGE,
                format!(
                    "`least` is {least}; give the shortest rest worth keeping, or leave `keep` out"
                ),
            ),
            CutFault::Value => Fault::new(
                "/keep/value",
                code::OUT_OF_RANGE,
                format!(
                    "`value` for each `per` must be nothing or more, with at most {VALUE_DECIMALS} decimals, for a length above nothing"
                ),
            ),
            CutFault::Stock(place, fault) => self.stock_fault(*place, *fault),
            CutFault::Piece(place, fault) => self.piece_fault(*place, *fault),
        }
    }

    fn stock_fault(&self, place: usize, fault: StockFault) -> Fault {
        let (_, stock) = &self.schedule.stock[place];
        let name = self.stock(place);
        let (field, code, detail) = match fault {
            StockFault::Length => (
                "length",
                code::OUT_OF_RANGE,
                format!(
                    "{name} is {} long; give a length above nothing, up to 1000 m",
                    stock.length
                ),
            ),
            StockFault::Trim => (
                "trim",
                code::OUT_OF_RANGE,
                format!(
                    "{name} would lose {} off its ends, of {}; give nothing or more, and less than its length",
                    stock.trim, stock.length
                ),
            ),
            StockFault::Cost => (
                "cost",
                code::OUT_OF_RANGE,
                format!(
                    "{name} costs {}; give nothing or more, up to 1000000, with at most {COST_DECIMALS} decimals",
                    stock.cost
                ),
            ),
            StockFault::Count => (
                "count",
                code::OUT_OF_RANGE,
                format!(
                    "{name} has no sticks; give how many there are, from 1, or leave `count` out for as many as are wanted"
                ),
            ),
            StockFault::SameName(first) => (
                "id",
                "duplicate",
                format!(
                    "the name of {name} is that of {} as well; give each its own",
                    self.stock(first)
                ),
            ),
            StockFault::ValueAboveCost => (
                "cost",
                "value_above_cost",
                format!(
                    "{name} costs less than it would be worth as an offcut by `keep.value`, so that whoever bought it uncut would gain; lower the value, or correct the cost"
                ),
            ),
        };
        Fault::new(self.stock_at(place, field), code, detail)
    }

    fn piece_fault(&self, place: usize, fault: PieceFault) -> Fault {
        let (_, piece) = &self.schedule.pieces[place];
        let name = self.piece(place);
        let (field, code, detail) = match fault {
            PieceFault::Length => (
                "length",
                code::OUT_OF_RANGE,
                format!(
                    "{name} is {} long; give a length above nothing, up to 1000 m",
                    piece.length
                ),
            ),
            PieceFault::Count => (
                "count",
                code::OUT_OF_RANGE,
                format!("there are none of {name}; give how many, from 1, or leave the line out"),
            ),
            PieceFault::SameName(first) => (
                "id",
                "duplicate",
                format!(
                    "the name of {name} is that of {} as well; give each its own",
                    self.piece(first)
                ),
            ),
            PieceFault::TooLong(longest) => (
                "length",
                "longer_than_stock",
                format!(
                    "{name} is {} long, and the longest stock gives {longest}; give longer stock, or join the piece from two with a coupling",
                    piece.length
                ),
            ),
        };
        Fault::new(self.piece_at(place, field), code, detail)
    }

    fn stock(&self, place: usize) -> String {
        let id = &self.schedule.stock[place].1.id;
        match self.stock_from[place] {
            StockFrom::Request(line) => format!("stock {id:?} (line {})", line + 1),
            StockFrom::Prices => format!("stock {id:?} (of the price list)"),
            StockFrom::Rack(_) => format!("offcut {id}"),
        }
    }

    fn stock_at(&self, place: usize, field: &str) -> String {
        match self.stock_from[place] {
            // A trim that no line names itself is that of the whole request.
            _ if field == "trim" && self.shared_trim(place) => "/end_trim".to_owned(),
            StockFrom::Request(line) => format!("/stock/{line}/{field}"),
            StockFrom::Prices => "/stock".to_owned(),
            StockFrom::Rack(_) => "/keep/value".to_owned(),
        }
    }

    fn piece(&self, place: usize) -> String {
        let id = &self.schedule.pieces[place].1.id;
        match self.pieces_from[place] {
            PieceFrom::Request(line) => format!("piece {id:?} (line {})", line + 1),
            PieceFrom::Manifold(_) => format!("piece {id:?} (of the cut list)"),
        }
    }

    fn piece_at(&self, place: usize, field: &str) -> String {
        match self.pieces_from[place] {
            PieceFrom::Request(line) => format!("/pieces/{line}/{field}"),
            PieceFrom::Manifold(index) => format!("/manifolds/{index}"),
        }
    }
}
