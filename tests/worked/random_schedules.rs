//! What must hold of every estimate, over random schedules and shops.

use offtake::shop::cut_plan::CutLength;
use offtake::shop::estimate::{Derivation, Estimate, Explanation, Step, estimate, explain};
use offtake::shop::labour::{
    Condition, Curve, LabourModel, OperationGroup, Repetition, TimeSource,
};
use offtake::shop::money::{Currency, Percent, Profit};
use offtake::shop::settings::{CrewMember, Cutting, Shop, Tax};
use offtake::trade::manifold::{Build, Manifold};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop, times};
use crate::estimates::on_schedule;

/// As many schedules as the main promise of an estimate is held on.
const SCHEDULES: u32 = 10_000;

/// A schedule and the shop that prices it.
#[derive(Debug, Clone)]
pub struct Case {
    /// Outlets, quantity, build, in place.
    rows: Vec<(u32, u32, usize, bool)>,
    /// Overhead, contingency, profit, discount, tax, in tenths of a percent and three more.
    percents: [u32; 5],
    currency: &'static str,
    minutes: u32,
    /// Markup rather than margin, a crew, another tax on labour, a minimum charge.
    switches: [bool; 4],
    slope: Option<u32>,
    /// Whether tube is counted in nested sticks, and whether every figure is followed to its
    /// roots: both take long, and are done for some.
    nested: bool,
    followed: bool,
}

pub fn case() -> impl Strategy<Value = Case> {
    let row = (1u32..9, 1u32..40, 0usize..3, any::<bool>());
    (
        prop::collection::vec(row, 1..6),
        [0u32..60, 0u32..40, 0u32..95, 0u32..30, 0u32..25],
        prop::sample::select(vec!["JPY", "USD", "KWD"]),
        0u32..90,
        any::<[bool; 4]>(),
        prop::option::of(51u32..100),
        prop::bool::weighted(0.03),
        prop::bool::weighted(0.1),
    )
        .prop_map(
            |(rows, percents, currency, minutes, switches, slope, nested, followed)| Case {
                nested,
                followed,
                rows,
                percents,
                currency,
                minutes,
                switches,
                slope,
            },
        )
}

impl Case {
    pub fn manifolds(&self) -> Vec<Manifold> {
        let rows = self.rows.iter().enumerate();
        let manifold =
            |(place, (count, quantity, build, in_place)): (usize, &(_, _, usize, bool))| {
                let mut manifold = Header {
                    count: *count,
                    quantity: *quantity,
                    build: Build::ALL[*build],
                    ..Header::USUAL
                }
                .manifold(crate::catalogue());
                manifold.mark = format!("H-{place}");
                if *in_place {
                    manifold.conditions = vec!["in place".to_owned()];
                }
                manifold
            };
        rows.map(manifold).collect()
    }

    pub fn shop(&self) -> Shop {
        let [markup, crew, two_taxes, minimum] = self.switches;
        let percent =
            |place: usize| Percent::new(Decimal::new(i64::from(self.percents[place]) * 10 + 3, 1));
        let mut shop = plain_shop(self.currency);
        let pricing = &mut shop.pricing;
        pricing.small_tools = percent(1);
        pricing.overhead = percent(0);
        pricing.contingency = percent(1);
        pricing.profit = match markup {
            true => Profit::Markup(percent(2)),
            false => Profit::Margin(percent(2)),
        };
        pricing.discount = percent(3);
        pricing.collar_charge = dec!(1.17);
        pricing.tax = Tax {
            name: "Tax".to_owned(),
            rate: percent(4),
        };
        if crew {
            pricing.crew_rate = None;
            pricing.crew = [
                ("fitter", dec!(2), dec!(41.3)),
                ("help", dec!(1.5), dec!(23)),
            ]
            .map(|(role, count, wage)| CrewMember {
                role: role.to_owned(),
                count,
                wage,
                burden: (role == "help").then(|| percent(0)),
            })
            .into();
        }
        if self.nested {
            pricing.cutting = Some(Cutting {
                kerf: CutLength::sixty_fourths(4),
                end_trim: CutLength::sixty_fourths(16),
                least_offcut: Some(CutLength::sixty_fourths(24 * 64)),
                offcut_value: Percent::new(dec!(43)),
            });
        }
        if two_taxes {
            let tax = Tax {
                name: "Labour".to_owned(),
                rate: percent(1),
            };
            pricing.tax_by_head.insert("labour".to_owned(), tax);
        }
        if minimum {
            pricing.minimum_charge = dec!(50_000);
        }
        shop
    }

    pub fn labour(&self) -> LabourModel {
        let mut labour = times(&format!("{}.7", self.minutes), None);
        labour.conditions = vec![Condition {
            name: "in place".to_owned(),
            group: Some(OperationGroup::Joining),
            factor: dec!(1.35),
            source: TimeSource::Opinion,
        }];
        labour.repetition = self.slope.map(|slope| Repetition {
            curve: if slope % 2 == 0 {
                Curve::Wright
            } else {
                Curve::Crawford
            },
            slope: Percent::new(Decimal::from(slope)),
            timed_at: slope % 7 + 1,
            source: TimeSource::Opinion,
        });
        labour
    }

    fn holds(&self) -> Result<(), TestCaseError> {
        let (shop, labour) = (self.shop(), self.labour());
        on_schedule(&self.manifolds(), (&shop, &labour), |schedule, books| {
            let made = estimate(schedule, *books).unwrap();
            adds_up(&made)?;
            if self.followed {
                explains_itself(&made, &explain(&made, schedule, books))?;
            }
            Ok(())
        })
    }
}

/// Lines and items add up to net, taxes to tax, and all of it is whole minor units.
fn adds_up(estimate: &Estimate) -> Result<(), TestCaseError> {
    let totals = &estimate.totals;
    let net = totals.net;
    let lines: Decimal = estimate.lines.iter().map(|line| line.amount).sum();
    prop_assert_eq!(lines, net);
    let items: Decimal = estimate.items.iter().map(|item| item.amount).sum();
    prop_assert_eq!(items, net);
    prop_assert_eq!(estimate.heads().values().copied().sum::<Decimal>(), net);
    prop_assert_eq!(net + totals.tax, totals.gross);
    let bases: Decimal = totals.taxes.iter().map(|tax| tax.base).sum();
    prop_assert_eq!(bases, net);
    let taxes: Decimal = totals.taxes.iter().map(|tax| tax.amount).sum();
    prop_assert_eq!(taxes, totals.tax);
    let decimals = totals.currency.decimals();
    for line in &estimate.lines {
        prop_assert!(line.amount.scale() <= decimals, "{line:?}");
    }
    for item in &estimate.items {
        prop_assert_eq!(item.unit_price * Decimal::from(item.quantity), item.amount);
    }
    Ok(())
}

/// A figure as its step makes it from its parts, by rules written anew.
fn follows(told: &Derivation, currency: Currency) -> Result<(), TestCaseError> {
    let values: Vec<Decimal> = told.parts.iter().map(|part| part.value).collect();
    let left = || values[1..].iter();
    let expected = match told.step {
        Step::Given => {
            prop_assert!(values.is_empty() && told.source.is_some(), "{told:?}");
            told.value
        }
        Step::Sum => values.iter().sum(),
        Step::Product => values.iter().product(),
        Step::Difference => left().fold(values[0], |rest, value| rest - value),
        Step::Quotient => left().fold(values[0], |rest, value| rest / value),
        Step::Greatest => values.iter().copied().max().unwrap(),
        Step::RoundedUp => values[0].ceil(),
        Step::Rounded => {
            let off = (told.value - values[0]).abs();
            let half =
                match told.unit == currency.code() && told.value.scale() <= currency.decimals() {
                    true => Decimal::new(5, currency.decimals() + 1),
                    false => dec!(0.0005),
                };
            prop_assert!(
                off <= half,
                "{}: {} of {}",
                told.what,
                told.value,
                values[0]
            );
            told.value
        }
    };
    prop_assert_eq!(expected, told.value, "{}", &told.what);
    told.parts
        .iter()
        .try_for_each(|part| follows(part, currency))
}

/// Every amount is the figure at the root of its tree, and every tree holds.
fn explains_itself(made: &Estimate, told: &Explanation) -> Result<(), TestCaseError> {
    let amounts = made.lines.iter().map(|line| line.amount);
    let prices = made.items.iter().map(|item| item.unit_price);
    let taxes = made.totals.taxes.iter().map(|tax| tax.amount);
    let figures: Vec<Decimal> = amounts.chain(prices).chain(taxes).collect();
    let trees: Vec<&Derivation> = told
        .lines
        .iter()
        .chain(&told.items)
        .chain(&told.taxes)
        .collect();
    prop_assert_eq!(figures.len(), trees.len());
    for (figure, tree) in figures.into_iter().zip(trees) {
        prop_assert_eq!(figure, tree.value, "{}", &tree.what);
        follows(tree, made.totals.currency)?;
    }
    Ok(())
}

#[test]
fn ten_thousand_random_schedules_add_up_and_explain_themselves() {
    let config = Config {
        failure_persistence: None,
        ..Config::with_cases(SCHEDULES)
    };
    let random = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, random);
    runner.run(&case(), |case| case.holds()).unwrap();
}
