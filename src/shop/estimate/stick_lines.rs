//! Lines of tube counted in whole sticks.

use std::sync::Arc;

use rust_decimal::Decimal;

use super::direct::{DirectLine, Origin};
use super::needs::{MaterialNeed, NeedAmount};
use super::sticks::{Nested, nest};
use super::{Books, Scheduled, TUBE};
use crate::shop::cut_plan::CutLength;
use crate::shop::money::exact;
use crate::shop::price_list::{PriceItem, PriceUnit, stick_price};
use crate::shop::quote::PriceLine;
use crate::shop::settings::Cutting;
use crate::trade::quantity::Length;
use crate::trade::tube::Tube;

/// The lines of a tube whose pieces are nested in sticks; `None` where the shop does not count so,
/// the thing is no tube, or it cannot be nested.
pub fn stick_lines(
    schedule: &[Scheduled<'_>],
    books: &Books<'_>,
    price: &PriceItem,
    needs: &[(usize, MaterialNeed)],
) -> Option<Vec<DirectLine>> {
    let cutting = books.shop.pricing.cutting.as_ref()?;
    let tube = tube_of(schedule, &price.code)?;
    let nested = nest(&tube, schedule, cutting, stick_price(&tube, price)?)?;
    let mut shares = vec![Decimal::ZERO; schedule.len()];
    for (index, need) in needs {
        if let NeedAmount::Tube { length, .. } = need.amount {
            shares[*index] += exact(length.in_metres());
        }
    }
    let kept = kept(&nested, (&tube, price), cutting, books);
    let bought = DirectLine {
        line: bought(&nested, (&tube, price), cutting, books),
        shares: shares.clone(),
        origin: Origin::Sticks {
            nested,
            stick: quantity(tube.stick, &tube, price.unit),
            price: price.clone(),
        },
    };
    let origin = Origin::Kept {
        price: price.clone(),
    };
    let kept = kept.map(|line| DirectLine {
        line,
        shares,
        origin,
    });
    Some(std::iter::once(bought).chain(kept).collect())
}

/// The tube of a code, which some manifold of the schedule is cut from.
fn tube_of(schedule: &[Scheduled<'_>], code: &str) -> Option<Arc<Tube>> {
    let pieces = schedule.iter().flat_map(|item| &item.takeoff.layout.pieces);
    let mut tubes = pieces.map(|piece| &piece.tube);
    tubes
        .find(|tube| tube.id.eq_ignore_ascii_case(code))
        .cloned()
}

/// A length of tube in the unit of a price.
fn quantity(length: Length, tube: &Tube, unit: PriceUnit) -> Decimal {
    match unit {
        PriceUnit::Metre => exact(length.in_metres()),
        PriceUnit::Stick => exact(length / tube.stick),
        _ => exact(length.in_feet()),
    }
}

fn bought(
    nested: &Nested,
    (tube, price): (&Tube, &PriceItem),
    cutting: &Cutting,
    books: &Books<'_>,
) -> PriceLine {
    let quantity = Decimal::from(nested.sticks) * quantity(tube.stick, tube, price.unit);
    let proof = if nested.is_proven {
        "no plan needs less"
    } else {
        "a good plan, not proven the least"
    };
    let trim = match cutting.end_trim {
        CutLength::ZERO => String::new(),
        trim => format!(", {trim} off its ends"),
    };
    let unit_price = price.price_at(quantity);
    PriceLine {
        head: TUBE.to_owned(),
        text: format!("tube {}", tube.call_out()),
        quantity: quantity.normalize(),
        unit: price.unit.word().to_owned(),
        unit_price,
        amount: books.shop.currency.round(quantity * unit_price),
        basis: format!(
            "{} pieces nested in {} sticks of {:.2} ft (kerf {}{trim}; {proof}); price of {} from list \"{}\"{}",
            nested.pieces,
            nested.sticks,
            tube.stick.in_feet(),
            cutting.kerf,
            price.code,
            books.prices.name,
            price.break_basis(quantity)
        ),
    }
}

/// What is credited for the offcuts that are kept.
fn kept(
    nested: &Nested,
    (tube, price): (&Tube, &PriceItem),
    cutting: &Cutting,
    books: &Books<'_>,
) -> Option<PriceLine> {
    let least = cutting.least_offcut?;
    let credit = cutting.offcut_value.of(price.price).round_dp(6);
    if credit.is_zero() || nested.kept == CutLength::ZERO {
        return None;
    }
    let quantity = quantity(nested.kept.length(), tube, price.unit).round_dp(3);
    Some(PriceLine {
        head: TUBE.to_owned(),
        text: format!("offcuts kept, {}", tube.call_out()),
        quantity: quantity.normalize(),
        unit: price.unit.word().to_owned(),
        unit_price: -credit.normalize(),
        amount: books.shop.currency.round(-quantity * credit),
        basis: format!(
            "rests of {least} or more, at {} of the price (shop setting)",
            cutting.offcut_value
        ),
    })
}
