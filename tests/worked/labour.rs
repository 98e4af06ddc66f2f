//! Hours under conditions, of like manifolds one after another, and what a crew's hour costs.

use offtake::shop::estimate::{Estimate, Lacking};
use offtake::shop::labour::{
    Condition, Curve, LabourModel, Operation, OperationGroup, Repetition, TimeSource,
};
use offtake::shop::money::Percent;
use offtake::shop::settings::CrewMember;
use offtake::trade::manifold::Manifold;
use proptest::prelude::*;
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, dec};

use crate::bench::{Header, plain_shop, times};
use crate::estimates::estimated;

fn hours(estimate: &Estimate, operation: Operation) -> f64 {
    let found = estimate.hours.iter();
    let mut found = found.filter(|line| line.operation == operation.word());
    found.next().unwrap().hours.to_f64().unwrap()
}

fn repeated(curve: Curve, slope: Decimal, timed_at: u32) -> LabourModel {
    let mut model = times("100", None);
    model.repetition = Some(Repetition {
        curve,
        slope: Percent::new(slope),
        timed_at,
        source: TimeSource::Opinion,
    });
    model
}

fn headers(quantities: &[u32]) -> Vec<Manifold> {
    let catalogue = crate::catalogue();
    let one = |(place, quantity): (usize, &u32)| Manifold {
        mark: format!("H-{place}"),
        ..Header {
            quantity: *quantity,
            ..Header::USUAL
        }
        .manifold(catalogue)
    };
    quantities.iter().enumerate().map(one).collect()
}

#[test]
fn ten_alike_take_what_learning_curve_tables_say() {
    // Learning curve tables of cost handbooks, first unit 100, ten units: Wright (cumulative
    // average) .80: 476.510, .90: 704.688; Crawford (unit) .80: 631.537, .90: 799.448.
    // `inspect` takes 100 minutes at each of 7 joints.
    for (curve, slope, total) in [
        (Curve::Wright, dec!(80), 476.510),
        (Curve::Crawford, dec!(80), 631.537),
        (Curve::Wright, dec!(90), 704.688),
        (Curve::Crawford, dec!(90), 799.448),
    ] {
        let model = repeated(curve, slope, 1);
        let made = estimated(&headers(&[10]), &plain_shop("USD"), &model).unwrap();
        let found = hours(&made, Operation::Inspect) * 60.0 / 7.0;
        assert!((found - total).abs() < 2e-3, "{curve:?} {slope}: {found}");
        // Set-ups do not get shorter: one branch size, 100 minutes.
        assert!((hours(&made, Operation::FormingSetUp) - 100.0 / 60.0).abs() < 1e-4);
    }
}

#[test]
fn the_same_work_under_another_mark_is_the_same_kind() {
    let model = repeated(Curve::Crawford, dec!(85), 1);
    let shop = plain_shop("USD");
    let apart = estimated(&headers(&[4, 6]), &shop, &model).unwrap();
    let together = estimated(&headers(&[10]), &shop, &model).unwrap();
    let off = hours(&apart, Operation::Braze) - hours(&together, Operation::Braze);
    assert!(off.abs() < 1e-3, "{off}");
    // Those that come later take less each.
    let each = |place: usize, quantity: u32| apart.items[place].hours / Decimal::from(quantity);
    assert!(each(1, 6) < each(0, 4));
    // Where it is put together is part of the kind.
    let mut elsewhere = headers(&[4, 6]);
    elsewhere[1].conditions = vec!["plain".to_owned()];
    let mut knowing = model;
    knowing.conditions = vec![condition("plain", None, dec!(1))];
    let parted = estimated(&elsewhere, &shop, &knowing).unwrap();
    assert!(hours(&parted, Operation::Braze) > hours(&apart, Operation::Braze));
}

fn condition(name: &str, group: Option<OperationGroup>, factor: Decimal) -> Condition {
    Condition {
        name: name.to_owned(),
        group,
        factor,
        source: TimeSource::Opinion,
    }
}

#[test]
fn conditions_bear_on_their_operations_of_those_who_name_them() {
    // Braze: 7 joints at 1 min for one, 7 x 1.5 x 1.2 for the one overhead and in place:
    // 7 + 12.6 = 19.6 min. Cut: 7 + 7 x 1.2 = 15.4 min. Set-up of forming: 1 min whatever.
    let mut model = times("1", None);
    model.conditions = vec![
        condition("overhead", Some(OperationGroup::Joining), dec!(1.5)),
        condition("in place", None, dec!(1.2)),
    ];
    let mut manifolds = headers(&[1, 1]);
    manifolds[1].conditions = vec!["Overhead".to_owned(), "in place".to_owned()];
    let made = estimated(&manifolds, &plain_shop("USD"), &model).unwrap();
    for (operation, minutes) in [
        (Operation::Braze, 19.6),
        (Operation::Cut, 15.4),
        (Operation::FormingSetUp, 1.0),
    ] {
        let found = hours(&made, operation) * 60.0;
        assert!((found - minutes).abs() < 5e-3, "{operation:?}: {found}");
    }
    let basis = &made
        .hours
        .iter()
        .find(|it| it.operation == "braze")
        .unwrap()
        .basis;
    assert!(
        basis.contains("x 1.5 for overhead on H-1 (opinion)"),
        "{basis}"
    );
    let told = |text: &str| made.remarks.iter().any(|remark| remark.text.contains(text));
    assert!(told("Factors for working overhead rest on opinion"));
}

#[test]
fn a_condition_that_the_model_does_not_know_is_named_with_those_it_knows() {
    let mut model = times("1", None);
    model.conditions = vec![condition("overhead", None, dec!(1.5))];
    let mut manifolds = headers(&[1, 2]);
    for manifold in &mut manifolds {
        manifold.conditions = vec!["under water".to_owned()];
    }
    let lacking = estimated(&manifolds, &plain_shop("USD"), &model).unwrap_err();
    let expected = Lacking::Condition {
        name: "under water".to_owned(),
        marks: vec!["H-0".to_owned(), "H-1".to_owned()],
        known: vec!["overhead".to_owned()],
    };
    assert_eq!(lacking, [expected]);
}

#[test]
fn an_hour_of_a_crew_costs_the_mean_of_its_wages_with_their_burden() {
    // Two fitters at 44 with 35 % and an apprentice at 26 with 20 %:
    // (2 x 59.40 + 31.20) / 3 = 50.00 an hour.
    let mut shop = plain_shop("USD");
    shop.pricing.crew_rate = None;
    shop.pricing.burden = Percent::new(dec!(35));
    let member = |role: &str, count, wage, burden: Option<Decimal>| CrewMember {
        role: role.to_owned(),
        count,
        wage,
        burden: burden.map(Percent::new),
    };
    shop.pricing.crew = vec![
        member("fitter", dec!(2), dec!(44), None),
        member("apprentice", dec!(1), dec!(26), Some(dec!(20))),
    ];
    assert_eq!(shop.pricing.hourly_rate(), Some(dec!(50)));
    assert_eq!(shop.pricing.wage(), Some(dec!(38)));
    let made = estimated(&headers(&[1]), &shop, &times("60", None)).unwrap();
    let line = made
        .lines
        .iter()
        .find(|line| line.text == "braze joints")
        .unwrap();
    assert_eq!((line.quantity, line.amount), (dec!(7), dec!(350.00)));
    assert!(line.basis.ends_with(
        "mean rate of the crew with burden: 2 fitter at 44 with 35 %, 1 apprentice at 26 with 20 %"
    ), "{}", line.basis);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Hours by manifold and operation are the hours by operation, whatever bears on them.
    #[test]
    fn hours_by_manifold_add_up_to_hours_by_operation(
        quantities in prop::collection::vec(1u32..40, 1..6),
        slope in 51u32..=100,
        wright in any::<bool>(),
        factor in 1u32..30,
    ) {
        let curve = if wright { Curve::Wright } else { Curve::Crawford };
        let mut model = repeated(curve, Decimal::from(slope), 3);
        model.conditions = vec![condition("tight", Some(OperationGroup::Forming), Decimal::new(factor.into(), 1))];
        let mut manifolds = headers(&quantities);
        manifolds[0].conditions = vec!["tight".to_owned()];
        let made = estimated(&manifolds, &plain_shop("USD"), &model).unwrap();
        for line in &made.hours {
            let parts: Decimal = made.items.iter()
                .flat_map(|item| &item.operations)
                .filter(|(operation, _)| operation.word() == line.operation)
                .map(|(_, hours)| *hours)
                .sum();
            // Each part is rounded to the fourth decimal.
            let most = Decimal::new(i64::try_from(quantities.len()).unwrap(), 4);
            prop_assert!((parts - line.hours).abs() <= most, "{}: {parts} of {}", line.operation, line.hours);
        }
        let all: Decimal = made.items.iter().map(|item| item.hours).sum();
        prop_assert!((all - made.total_hours()).abs() <= dec!(0.01));
    }
}
