//! A cutting job put together: from the request, the cut lists of manifolds, the price list and
//! the rack.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rust_decimal::Decimal;

use super::no_currency;
use super::wanted::{CostIn, CutPlanIn, KeepIn, StockIn};
use crate::app::App;
use crate::app::cut_plans::{Rack, offcut_cost, sticks_at};
use crate::app::estimates::LoadedBooks;
use crate::app::offcuts::KnownOffcut;
use crate::http::v1::manifold::{ManifoldIn, resolve_each};
use crate::http::wire::{Each, Fault, Faults, LengthIn, Text};
use crate::shop::cut_plan::{CutLength, CutSchedule, Keep, SchedulePlan, Stock, Wanted};
use crate::shop::money::Currency;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;
use crate::trade::rule_set::RuleSet;
use crate::trade::tube::{Temper, Tube};

/// Where a line of stock comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StockFrom {
    /// The line of the request.
    Request(usize),
    /// The price list.
    Prices,
    /// The rack; the place of the offcut in it.
    Rack(usize),
}

/// Where a line of pieces comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceFrom {
    /// The line of the request.
    Request(usize),
    /// The cut list of a manifold.
    Manifold(usize),
}

/// What is drawn from the rack.
#[derive(Debug, Clone)]
pub struct RackWanted {
    /// The job that offcuts are reserved for.
    pub reserve_for: Option<String>,
    /// Only of this temper.
    pub temper: Option<Temper>,
}

/// A cutting job, and where its parts come from.
#[derive(Debug, Clone)]
pub struct Assembled {
    /// What to cut, and from what.
    pub schedule: CutSchedule,
    /// Where each line of stock comes from.
    pub stock_from: Vec<StockFrom>,
    /// Where each line of pieces comes from.
    pub pieces_from: Vec<PieceFrom>,
    /// Lines of the request's stock that name a trim of their own.
    pub own_trims: BTreeSet<usize>,
    /// The currency of every cost.
    pub currency: Option<Currency>,
    /// How it draws on the rack; `None` when it does not.
    pub rack: Option<RackWanted>,
    /// The rack, once it was looked at.
    pub on_rack: Rack,
    /// What is wrong with the request so far.
    pub faults: Faults,
}

fn cut(length: &LengthIn) -> CutLength {
    CutLength::nearest(length.get())
}

/// Costs of the request: all in one currency.
struct Costs {
    usual: Option<Currency>,
    currency: Option<Currency>,
}

impl Costs {
    fn read(&mut self, cost: &CostIn, pointer: &str, faults: &mut Faults) -> Decimal {
        let (amount, currency) = match cost {
            CostIn::Named(sum) => (sum.amount.get(), Some(sum.currency.0)),
            CostIn::Plain(sum) => (sum.get(), self.usual),
        };
        match (self.currency, currency) {
            (Some(first), Some(other)) if first != other => faults.push(Fault::new(
                pointer,
                "currency_differs",
                format!("this cost is in {other}, an earlier one in {first}; give all in one currency (a plain decimal is in that of the shop)"),
            )),
            (None, _) => self.currency = currency,
            _ => {}
        }
        amount
    }
}

impl Assembled {
    /// From a request and the books it needs. What is wrong with it is kept in `faults`, to be
    /// told together with what the plan itself finds.
    pub fn of(
        request: CutPlanIn,
        (app, books): (&App, Option<&LoadedBooks>),
        (usual, rules): (Option<Currency>, &RuleSet),
    ) -> Self {
        let mut faults = Faults::new();
        let mut costs = Costs {
            usual,
            currency: None,
        };
        let trim = request.end_trim.as_ref().map_or(CutLength::ZERO, cut);
        let keep = request.keep.as_ref();
        let keep = keep.map(|keep| keep_of(keep, &mut costs, &mut faults));
        let stock = stock_of(&request, trim, (&mut costs, &mut faults));
        let mut made = Self {
            schedule: CutSchedule {
                kerf: cut(&request.kerf),
                stock,
                pieces: Vec::new(),
                keep,
                decimals: 2,
            },
            stock_from: (0..request.stock_lines().len())
                .map(StockFrom::Request)
                .collect(),
            pieces_from: Vec::new(),
            own_trims: own_trims(&request),
            currency: None,
            rack: request.offcuts.as_ref().map(|rack| RackWanted {
                reserve_for: rack
                    .reserve_for
                    .as_ref()
                    .map(|job| job.as_str().trim().to_owned()),
                temper: rack.temper.map(Temper::from),
            }),
            on_rack: Rack::default(),
            faults,
        };
        let stocked: BTreeSet<String> = request.stocked().map(str::to_owned).collect();
        made.add_pieces(&request);
        let mut tubes = made.tubes_of_pieces(&request);
        if let Some(manifolds) = request.manifolds {
            tubes.extend(made.add_manifolds(manifolds, app, rules));
        }
        tubes.retain(|id, _| !stocked.contains(id));
        if let Some(books) = books {
            made.add_sticks(&tubes, books, trim);
            costs.currency = costs.currency.or(Some(books.shop.currency));
        }
        made.currency = costs.currency.or_else(no_currency);
        made.schedule.decimals = made.currency.map_or(2, |currency| currency.decimals());
        made
    }

    /// Tubes that pieces are wanted of.
    pub fn tubes(&self) -> BTreeSet<String> {
        let named = self.schedule.pieces.iter();
        named.filter_map(|(tube, _)| tube.clone()).collect()
    }

    fn add_pieces(&mut self, request: &CutPlanIn) {
        for (line, piece) in request.piece_lines().iter().enumerate() {
            let tube = piece.tube.as_ref().map(|tube| tube.get().id.clone());
            let wanted = Wanted {
                id: piece.id.as_str().trim().to_owned(),
                length: cut(&piece.length),
                count: piece.count.get(),
            };
            self.schedule.pieces.push((tube, wanted));
            self.pieces_from.push(PieceFrom::Request(line));
        }
    }

    fn tubes_of_pieces(&self, request: &CutPlanIn) -> BTreeMap<String, Arc<Tube>> {
        let named = request.piece_lines().iter();
        let tubes = named.filter_map(|piece| piece.tube.as_ref());
        tubes
            .map(|tube| (tube.get().id.clone(), Arc::clone(tube.get())))
            .collect()
    }

    /// Adds the cut lists of manifolds; the tubes they need.
    fn add_manifolds<const MAX: usize>(
        &mut self,
        manifolds: Each<ManifoldIn, MAX>,
        app: &App,
        rules: &RuleSet,
    ) -> BTreeMap<String, Arc<Tube>> {
        let mut tubes = BTreeMap::new();
        let mut marks: BTreeMap<String, u32> = BTreeMap::new();
        let read = resolve_each(manifolds, app.catalogue());
        for (place, manifold) in read.into_iter().enumerate() {
            let manifold: Manifold = match manifold {
                Ok(manifold) => manifold,
                Err(found) => {
                    found
                        .as_slice()
                        .iter()
                        .for_each(|fault| self.faults.push(fault.clone()));
                    continue;
                }
            };
            // Two manifolds of one mark are told apart by their order.
            let again = marks.entry(manifold.mark.clone()).or_insert(0);
            *again += 1;
            let mark = match again {
                1 => manifold.mark.clone(),
                again => format!("{} ({again})", manifold.mark),
            };
            for piece in Layout::of(&manifold, app.catalogue(), rules).pieces {
                let wanted = Wanted {
                    id: format!("{mark} {}", piece.id),
                    length: CutLength::nearest(piece.length),
                    count: piece.count.saturating_mul(manifold.quantity),
                };
                tubes.insert(piece.tube.id.clone(), Arc::clone(&piece.tube));
                self.schedule
                    .pieces
                    .push((Some(piece.tube.id.clone()), wanted));
                self.pieces_from.push(PieceFrom::Manifold(place));
            }
        }
        tubes
    }

    /// Adds the sticks of tubes that no stock is given for, as the books price them.
    fn add_sticks(
        &mut self,
        tubes: &BTreeMap<String, Arc<Tube>>,
        books: &LoadedBooks,
        trim: CutLength,
    ) {
        for (id, tube) in tubes {
            if let Some(stock) = sticks_at(books, tube, trim) {
                self.schedule.stock.push((Some(id.clone()), stock));
                self.stock_from.push(StockFrom::Prices);
            }
        }
    }

    /// Adds the offcuts of a rack.
    pub fn put_on(&mut self, rack: Rack) {
        let keep = self.schedule.keep.as_ref();
        let lines = rack.offcuts.iter().enumerate().map(|(place, offcut)| {
            let length = offcut.standing.length;
            let stock = Stock {
                id: offcut.id.to_string(),
                length,
                trim: CutLength::ZERO,
                cost: offcut_cost(length, keep),
                count: Some(1),
            };
            (
                StockFrom::Rack(place),
                (Some(offcut.tube.id.clone()), stock),
            )
        });
        let (from, stock): (Vec<StockFrom>, Vec<_>) = lines.unzip();
        // Offcuts come first: of two plans that cost the same, that which uses them is better.
        self.schedule.stock.splice(0..0, stock);
        self.stock_from.splice(0..0, from);
        self.on_rack = rack;
    }

    /// Whether the trim of a line of stock is that of the whole request.
    pub fn shared_trim(&self, place: usize) -> bool {
        match self.stock_from[place] {
            StockFrom::Request(line) => !self.own_trims.contains(&line),
            StockFrom::Prices => true,
            StockFrom::Rack(_) => false,
        }
    }

    /// The offcuts that a plan draws on.
    pub fn offcuts_of(&self, plan: &SchedulePlan) -> Vec<KnownOffcut> {
        let sticks = plan.tubes.iter().flat_map(|tube| &tube.plan.sticks);
        let places = sticks.filter_map(|stick| match self.stock_from[stick.stock] {
            StockFrom::Rack(place) => Some(place),
            StockFrom::Request(_) | StockFrom::Prices => None,
        });
        places
            .map(|place| self.on_rack.offcuts[place].clone())
            .collect()
    }
}

fn own_trims(request: &CutPlanIn) -> BTreeSet<usize> {
    let lines = request.stock_lines().iter().enumerate();
    let own = lines.filter(|(_, stock)| stock.trim.is_some());
    own.map(|(line, _)| line).collect()
}

fn stock_of(
    request: &CutPlanIn,
    trim: CutLength,
    (costs, faults): (&mut Costs, &mut Faults),
) -> Vec<(Option<String>, Stock)> {
    let lines = request.stock_lines().iter().enumerate();
    lines
        .map(|(line, given)| {
            let StockIn {
                id,
                tube,
                length,
                cost,
                count,
                trim: own,
            } = given;
            let stock = Stock {
                id: Text::as_str(id).trim().to_owned(),
                length: cut(length),
                trim: own.as_ref().map_or(trim, cut),
                cost: costs.read(cost, &format!("/stock/{line}/cost"), faults),
                count: count.map(|count| count.get()),
            };
            (tube.as_ref().map(|tube| tube.get().id.clone()), stock)
        })
        .collect()
}

fn keep_of(given: &KeepIn, costs: &mut Costs, faults: &mut Faults) -> Keep {
    let value = given.value.as_ref();
    Keep {
        least: cut(&given.least),
        value: value.map_or(Decimal::ZERO, |value| {
            costs.read(value, "/keep/value", faults)
        }),
        per: given.per.as_ref().map_or(CutLength::FOOT, cut),
    }
}
