//! What an option costs, over random schedules and shops: the difference of two estimates, to the
//! minor unit, in currencies with none, two and three decimals (ISO 4217: JPY, USD, KWD).

use offtake::shop::estimate::{Estimate, Scheduled, estimate};
use offtake::shop::quote::{OptionPrice, Optional, option_prices};
use offtake::trade::manifold::Build;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use rust_decimal::Decimal;

use crate::bench::Header;
use crate::estimates::on_schedule;
use crate::random_schedules::{Case, case};

const SCHEDULES: u32 = 2_000;

/// Another manifold to offer: outlets, quantity, build, and whether it is an alternate, of which.
type Offered = (u32, u32, usize, Option<prop::sample::Index>);

fn offered() -> impl Strategy<Value = Offered> {
    let instead = prop::option::of(any::<prop::sample::Index>());
    (1u32..9, 1u32..40, 0usize..3, instead)
}

/// Two options of one schedule: each price against two estimates made by themselves.
fn holds(case: &Case, wanted: &[Offered; 2]) -> Result<(), TestCaseError> {
    let mut manifolds = case.manifolds();
    let count = manifolds.len();
    for (place, (outlets, quantity, build, _)) in wanted.iter().enumerate() {
        let mut manifold = Header {
            count: *outlets,
            quantity: *quantity,
            build: Build::ALL[*build],
            ..Header::USUAL
        }
        .manifold(crate::catalogue());
        manifold.mark = format!("O-{place}");
        manifolds.push(manifold);
    }
    let (shop, labour) = (case.shop(), case.labour());
    on_schedule(&manifolds, (&shop, &labour), |all, books| {
        let (schedule, others) = all.split_at(count);
        let places = wanted.each_ref().map(|(.., instead)| {
            let instead = instead.as_ref();
            instead.map(|instead| instead.index(count))
        });
        let options: Vec<Optional<'_>> = others
            .iter()
            .zip(places)
            .map(|(item, instead_of)| Optional {
                item: *item,
                instead_of,
            })
            .collect();
        let prices = option_prices(schedule, &options, *books).unwrap();
        let without = estimate(schedule, *books).unwrap();
        for ((price, item), instead) in prices.iter().zip(others).zip(places) {
            let kept = schedule.iter().enumerate();
            let kept = kept.filter(|(place, _)| Some(*place) != instead);
            let mut with: Vec<Scheduled<'_>> = kept.map(|(_, item)| *item).collect();
            with.insert(instead.unwrap_or(count), *item);
            is_difference(price, (&without, &estimate(&with, *books).unwrap()))?;
        }
        Ok(())
    })
}

fn is_difference(
    price: &OptionPrice,
    (without, with): (&Estimate, &Estimate),
) -> Result<(), TestCaseError> {
    let (before, after) = (&without.totals, &with.totals);
    prop_assert_eq!(before.net + price.net, after.net);
    prop_assert_eq!(before.tax + price.tax, after.tax);
    prop_assert_eq!(before.gross + price.gross, after.gross);
    prop_assert_eq!(price.net + price.tax, price.gross);
    let decimals = before.currency.decimals();
    for amount in [price.net, price.tax, price.gross] {
        prop_assert_eq!(amount.scale(), decimals);
    }
    prop_assert_eq!(price.heads.values().copied().sum::<Decimal>(), price.net);
    let (old, new) = (without.heads(), with.heads());
    for head in old.keys().chain(new.keys()) {
        let of = |heads: &std::collections::BTreeMap<String, Decimal>| {
            heads.get(head).copied().unwrap_or_default()
        };
        prop_assert_eq!(of(&old) + of(&price.heads), of(&new), "{}", head);
    }
    let bases: Decimal = price.taxes.iter().map(|tax| tax.base).sum();
    let taxes: Decimal = price.taxes.iter().map(|tax| tax.amount).sum();
    prop_assert_eq!((bases, taxes), (price.net, price.tax));
    let hours: Decimal = price.hours.values().copied().sum();
    prop_assert_eq!(without.total_hours() + hours, with.total_hours());
    Ok(())
}

#[test]
fn the_price_of_an_option_is_the_difference_of_two_estimates() {
    let config = Config {
        failure_persistence: None,
        ..Config::with_cases(SCHEDULES)
    };
    let random = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, random);
    let cases = (case(), [offered(), offered()]);
    runner
        .run(&cases, |(case, wanted)| holds(&case, &wanted))
        .unwrap();
}
