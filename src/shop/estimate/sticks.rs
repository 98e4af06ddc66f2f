//! Tube counted in whole sticks: the pieces of the whole schedule nested in them.

use rust_decimal::{Decimal, RoundingStrategy};

use super::Scheduled;
use crate::shop::cut_plan::{
    CutJob, CutLength, CutPlan, Keep, Stock, VALUE_DECIMALS, Wanted, plan,
};
use crate::shop::settings::Cutting;
use crate::trade::tube::Tube;

/// Work for one tube of an estimate: a plan that this does not prove is good all the same, and an
/// estimate compares many.
const NESTING_WORK: u64 = 1_500_000;

/// The sticks of one tube.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nested {
    /// How many are bought.
    pub sticks: u32,
    /// Pieces cut from them.
    pub pieces: u32,
    /// Rests worth keeping.
    pub kept: CutLength,
    /// No plan costs less.
    pub is_proven: bool,
}

/// Nests all pieces of a tube, at so much for a stick. `None` where they are too many to nest, or
/// one is longer than a stick.
pub fn nest(
    tube: &Tube,
    schedule: &[Scheduled<'_>],
    cutting: &Cutting,
    stick_price: Decimal,
) -> Option<Nested> {
    let stick = CutLength::nearest(tube.stick);
    let sound = stick - cutting.end_trim;
    let mut wanted = wanted(tube, schedule);
    let pieces = wanted.iter().map(|piece| piece.count).sum();
    // A piece as long as the stick is taken as it comes, with its own ends.
    let whole: u32 = wanted
        .iter()
        .filter(|piece| piece.length > sound && piece.length <= stick)
        .map(|piece| piece.count)
        .sum();
    wanted.retain(|piece| piece.length <= sound || piece.length > stick);
    let mut nested = Nested {
        sticks: whole,
        pieces,
        kept: CutLength::ZERO,
        is_proven: true,
    };
    if wanted.is_empty() {
        return Some(nested);
    }
    let found = planned(wanted, stick, cutting, stick_price)?;
    nested.sticks += found.sticks.len() as u32;
    nested.kept = found.balance.kept;
    nested.is_proven = found.is_proven;
    Some(nested)
}

/// The pieces of one tube over the whole schedule, one line for each length.
fn wanted(tube: &Tube, schedule: &[Scheduled<'_>]) -> Vec<Wanted> {
    let mut wanted: Vec<Wanted> = Vec::new();
    for item in schedule {
        let pieces = item.takeoff.layout.pieces.iter();
        for piece in pieces.filter(|piece| piece.tube.id == tube.id) {
            let length = CutLength::nearest(piece.length);
            let count = piece.count.saturating_mul(item.manifold.quantity);
            match wanted.iter_mut().find(|known| known.length == length) {
                Some(known) => known.count = known.count.saturating_add(count),
                None => wanted.push(Wanted {
                    id: wanted.len().to_string(),
                    length,
                    count,
                }),
            }
        }
    }
    wanted
}

fn planned(
    pieces: Vec<Wanted>,
    stick: CutLength,
    cutting: &Cutting,
    stick_price: Decimal,
) -> Option<CutPlan> {
    let keep = cutting.least_offcut.map(|least| {
        let value = cutting.offcut_value.of(stick_price);
        // Down: an offcut is never worth more than its part of the stick.
        let value = value.round_dp_with_strategy(VALUE_DECIMALS, RoundingStrategy::ToZero);
        Keep {
            least,
            value,
            per: stick,
        }
    });
    let job = CutJob {
        kerf: cutting.kerf,
        stock: vec![Stock {
            id: "stick".to_owned(),
            length: stick,
            trim: cutting.end_trim,
            cost: stick_price.round_dp(4),
            count: None,
        }],
        pieces,
        keep,
        decimals: 4,
    };
    plan(&job, NESTING_WORK).ok()
}
