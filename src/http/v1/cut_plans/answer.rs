//! Cut plans in answers.

use rust_decimal::Decimal;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

use super::assembled::{Assembled, StockFrom};
use crate::http::wire::{Money, QuantityOut, Units};
use crate::shop::cut_plan::{Balance, CutLength, CutStick, SchedulePlan, TubePlan};
use crate::shop::money::Currency;

/// One stick, and what is cut from it.
#[derive(Debug, Serialize, ToSchema)]
pub struct CutStickOut {
    /// The name of its stock: of the request, of the price list, or the id of an offcut.
    #[schema(example = "20 ft")]
    stock: String,
    /// Its tube, where pieces name one.
    #[schema(example = "b88-l-2")]
    tube: Option<String>,
    /// What is written on it, where it is an offcut.
    #[schema(example = "R-17", nullable = false)]
    #[serde(skip_serializing_if = "Option::is_none")]
    label: Option<String>,
    /// Its length as it comes.
    length: QuantityOut,
    /// The names of the pieces, longest first, each as often as it is cut.
    #[schema(example = json!(["H-2 run", "H-1 run", "stub", "stub"]))]
    pieces: Vec<String>,
    /// What cuts turn to swarf.
    kerf: QuantityOut,
    /// What is left behind the last cut.
    offcut: QuantityOut,
    /// Whether that is worth keeping.
    #[schema(example = true)]
    kept: bool,
}

/// The plan of one tube in short.
#[derive(Debug, Serialize, ToSchema)]
pub struct TubePlanOut {
    /// The tube, where pieces name one.
    #[schema(example = "b88-l-2")]
    tube: Option<String>,
    /// No plan costs less.
    #[schema(example = true)]
    proven: bool,
    /// Cost of its stock, less the value of the rests that are kept.
    cost: Money,
    /// No plan costs less than this.
    bound: Money,
    /// How many sticks and offcuts are cut.
    #[schema(example = 3)]
    sticks: usize,
    /// Where the stock goes.
    lengths: LengthsOut,
}

/// Where all the stock goes: `stock = pieces + kerf + trim + kept + scrap`, to the nanometre.
#[derive(Debug, Serialize, ToSchema)]
pub struct LengthsOut {
    /// Sticks and offcuts as they come.
    stock: QuantityOut,
    /// Pieces.
    pieces: QuantityOut,
    /// Swarf.
    kerf: QuantityOut,
    /// Cut off the ends.
    trim: QuantityOut,
    /// Rests worth keeping.
    kept: QuantityOut,
    /// Rests that are not.
    scrap: QuantityOut,
}

impl LengthsOut {
    fn of(balance: &Balance, units: Units) -> Self {
        Self {
            stock: long(balance.stock, units),
            pieces: long(balance.pieces, units),
            kerf: long(balance.kerf, units),
            trim: long(balance.trim, units),
            kept: long(balance.kept, units),
            scrap: long(balance.scrap, units),
        }
    }
}

/// How to cut a schedule at the least cost.
#[derive(Debug, Serialize, ToSchema)]
pub struct CutPlanAnswer {
    /// No plan costs less; `cost` and `bound` are then the same.
    #[schema(example = true)]
    proven: bool,
    /// Cost of the stock, less the value of the rests that are kept.
    cost: Money,
    /// No plan costs less than this.
    bound: Money,
    /// By how much of `cost` a better plan might cost less, as a share from 0 to 1; 0 when proven.
    #[schema(example = 0.0)]
    gap: f64,
    /// Cost of the stock alone.
    stock_cost: Money,
    /// Every stick, tube by tube, alike ones together.
    sticks: Vec<CutStickOut>,
    /// Rests that are not worth keeping.
    scrap: QuantityOut,
    /// Where all the stock goes.
    lengths: LengthsOut,
    /// The plans by tube.
    tubes: Vec<TubePlanOut>,
    /// The offcuts that were reserved.
    #[schema(value_type = Vec<String>, example = json!([]))]
    reserved: Vec<Uuid>,
    /// What a reader should know.
    notes: Vec<String>,
}

fn long(length: CutLength, units: Units) -> QuantityOut {
    QuantityOut::bench_length(length.length(), units)
}

fn money(amount: Decimal, currency: Option<Currency>) -> Money {
    let code = currency.map_or_else(|| "XXX".to_owned(), |it| it.code().to_owned());
    Money::new(amount, code)
}

impl CutPlanAnswer {
    /// From a plan of an assembled job.
    pub fn of(assembled: &Assembled, plan: &SchedulePlan, units: Units) -> Self {
        let sum = |amount| money(amount, assembled.currency);
        let (cost, bound) = (plan.cost(), plan.bound());
        let sticks = plan.tubes.iter().flat_map(|tube| {
            let sticks = tube.plan.sticks.iter();
            sticks.map(move |stick| stick_out(assembled, tube, stick, units))
        });
        let reserves = assembled
            .rack
            .as_ref()
            .and_then(|rack| rack.reserve_for.as_ref());
        let reserved = match reserves {
            Some(_) => assembled.offcuts_of(plan).iter().map(|it| it.id).collect(),
            None => Vec::new(),
        };
        let balance = plan.balance();
        Self {
            proven: plan.is_proven(),
            cost: sum(cost),
            bound: sum(bound),
            gap: gap(cost, bound),
            stock_cost: sum(plan.stock_cost()),
            sticks: sticks.collect(),
            scrap: long(balance.scrap, units),
            lengths: LengthsOut::of(&balance, units),
            tubes: plan
                .tubes
                .iter()
                .map(|tube| tube_out(tube, assembled, units))
                .collect(),
            reserved,
            notes: notes(assembled, plan),
        }
    }
}

fn gap(cost: Decimal, bound: Decimal) -> f64 {
    use rust_decimal::prelude::ToPrimitive as _;
    if cost <= bound || cost.is_zero() {
        return 0.0;
    }
    let gap = ((cost - bound) / cost).round_dp(6);
    gap.to_f64().unwrap_or_default()
}

fn tube_out(tube: &TubePlan, assembled: &Assembled, units: Units) -> TubePlanOut {
    TubePlanOut {
        tube: tube.tube.clone(),
        proven: tube.plan.is_proven,
        cost: money(tube.plan.cost, assembled.currency),
        bound: money(tube.plan.bound, assembled.currency),
        sticks: tube.plan.sticks.len(),
        lengths: LengthsOut::of(&tube.plan.balance, units),
    }
}

fn stick_out(
    assembled: &Assembled,
    tube: &TubePlan,
    stick: &CutStick,
    units: Units,
) -> CutStickOut {
    let (_, stock) = &assembled.schedule.stock[stick.stock];
    let names = stick.pieces.iter();
    let names = names.map(|piece| assembled.schedule.pieces[*piece].1.id.clone());
    let label = match assembled.stock_from[stick.stock] {
        StockFrom::Rack(place) => Some(assembled.on_rack.offcuts[place].label.clone()),
        StockFrom::Request(_) | StockFrom::Prices => None,
    };
    CutStickOut {
        stock: stock.id.clone(),
        tube: tube.tube.clone(),
        label,
        length: long(stock.length, units),
        pieces: names.collect(),
        kerf: long(stick.kerf, units),
        offcut: long(stick.rest, units),
        kept: stick.is_kept,
    }
}

fn notes(assembled: &Assembled, plan: &SchedulePlan) -> Vec<String> {
    let mut notes = Vec::new();
    if !plan.is_proven() {
        notes.push("Not proven: work on it was stopped at a limit, so that the answer comes in time and is the same every time; `bound` says what no plan can undercut.".to_owned());
    }
    if assembled.on_rack.left_out > 0 {
        let left_out = assembled.on_rack.left_out;
        notes.push(format!(
            "The rack holds {left_out} more free offcuts of these tubes, shorter than those that were considered."
        ));
    }
    if assembled.stock_from.contains(&StockFrom::Prices) {
        notes.push(
            "Tube without a line of stock comes in sticks as sold, at the price list in force."
                .to_owned(),
        );
    }
    notes
}
