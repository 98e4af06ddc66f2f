//! What must hold of any header, from first principles; and what is refused.

use offtake::trade::manifold::{DropPoint, Loss};
use offtake::trade::quantity::FlowCoefficient;
use proptest::prelude::*;

use super::{
    Drive, EndKind, EndUse, Feed, FlowRate, Length, LossMethod, Outcome, OutletDuty, Pressure,
    ReturnHeader, ReturnPath, Service, Temperature, case, header, litres, solved, supply,
};
use offtake::trade::flow::fluid::{Fluid, Glycol};
use offtake::trade::manifold::Design;

fn stations(count: usize, pitch: f64) -> Vec<f64> {
    (0..count).map(|place| 0.1 + pitch * place as f64).collect()
}

fn valves(design: &mut Design, cv: impl Fn(usize) -> f64) {
    for (place, outlet) in design.outlets.iter_mut().enumerate() {
        outlet.duty.end_use = Some(EndUse::Coefficient(FlowCoefficient::cv(cv(place))));
    }
}

fn with_return(design: &mut Design, path: ReturnPath) {
    let fed = design.supply.as_mut().unwrap();
    fed.back = Some(ReturnHeader { path, tube: None });
}

/// Heads along the way of the water through one outlet must add up to the head given.
fn energy_misses(outcome: &Outcome) -> f64 {
    let gravity_head =
        |pressure: Pressure| pressure / outcome.head_pressure * outcome.head.in_metres();
    let stretch = &outcome.supply;
    let mut worst: f64 = 0.0;
    for pair in stretch.windows(2) {
        // Static pressure along a stretch falls by its friction alone.
        for one in pair {
            let fall = gravity_head(one.pressure_from - one.pressure_to).abs();
            worst = worst.max((fall - one.loss.in_metres()).abs());
        }
    }
    worst
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn water_is_neither_made_nor_lost(
        count in 1usize..24, pitch in 0.05..0.8f64, head in 0.05..20.0f64, cv in 0.5..40.0f64,
        both in any::<bool>(), back in any::<bool>(), run in prop::sample::select(vec!["b88-l-1.25", "b88-l-2", "b88-l-3"]),
    ) {
        let length = 0.2 + pitch * (count as f64 - 1.0);
        let mut design = header(run, "b88-l-0.75", &stations(count, pitch), length);
        valves(&mut design, |place| cv * (1.0 + 0.1 * (place % 3) as f64));
        let feed = if both { Feed::BothEnds } else { Feed::FirstEnd };
        design.supply = Some(supply(Drive::Head(Length::metres(head)), feed));
        if back {
            with_return(&mut design, ReturnPath::Direct);
        }
        let outcome = Outcome::of(&case(design).unwrap());
        prop_assert!(outcome.converged, "residual {:?}", outcome.residual);
        let sum: f64 = litres(&outcome).iter().sum();
        prop_assert!((sum / outcome.total.in_litres_per_second() - 1.0).abs() < 1e-9);
        let entering: f64 = [outcome.supply.first(), outcome.supply.last()]
            .into_iter().flatten().take(if both { 2 } else { 1 })
            .map(|stretch| stretch.running.flow.in_litres_per_second()).sum();
        prop_assert!((entering / sum - 1.0).abs() < 1e-9, "{entering} in, {sum} out");
        prop_assert!(energy_misses(&outcome) < 1e-9 * head.max(1.0));
        let shares: f64 = outcome.outlets.iter().map(|outlet| outlet.share).sum();
        prop_assert!((shares - 1.0).abs() < 1e-9);
    }

    #[test]
    fn more_head_never_gives_less_water(count in 2usize..12, head in 0.2..5.0f64) {
        let flow = |head: f64| {
            let mut design = header("b88-l-1.5", "b88-l-0.75", &stations(count, 0.2), 3.0);
            design.supply = Some(supply(Drive::Head(Length::metres(head)), Feed::FirstEnd));
            solved(design).total
        };
        prop_assert!(flow(head * 1.5) > flow(head));
    }
}

#[test]
fn a_header_fed_alike_from_both_sides_shares_alike() {
    let length = 1.2;
    let places = [0.1, 0.35, 0.6, 0.85, 1.1];
    for feed in [Feed::BothEnds, Feed::Station(Length::metres(0.6001))] {
        let mut design = header("b88-l-1.5", "b88-l-0.75", &places, length);
        design.supply = Some(supply(Drive::Head(Length::metres(2.0)), feed));
        if matches!(feed, Feed::Station(_)) {
            design.outlets.remove(2);
        }
        let flows = litres(&solved(design));
        for (one, other) in flows.iter().zip(flows.iter().rev()) {
            assert!((one / other - 1.0).abs() < 1e-3, "{feed:?} {flows:?}");
        }
    }
}

#[test]
fn a_reverse_return_shares_better_than_a_direct_one_where_friction_rules() {
    // Common practice, and the reason for reverse return. In short headers momentum rules and it
    // need not hold (flow distribution manifolds, Bajura and Jones, ASME 76-FE-7).
    let spread = |path| {
        let mut design = header("b88-l-1.25", "b88-l-0.75", &stations(8, 6.0), 50.0);
        valves(&mut design, |_| 1.5);
        with_return(&mut design, path);
        solved(design).spread
    };
    assert!(spread(ReturnPath::Reverse) < spread(ReturnPath::Direct));
}

#[test]
fn ten_to_one_keeps_the_split_within_about_five_per_cent() {
    // Common practice: branch loss of ten times the header's gives about five per cent.
    let mut design = header("b88-l-1.5", "b88-l-0.5", &stations(6, 0.3), 2.0);
    valves(&mut design, |_| 1.2);
    let outcome = solved(design);
    let ratio = outcome.branch_to_header.unwrap();
    assert!(ratio > 10.0, "{ratio}");
    assert!(outcome.spread < 0.05, "{}", outcome.spread);
}

#[test]
fn twice_every_resistance_takes_the_root_of_two_of_the_flow() {
    // Square-law drops alone decide when everything else is nearly nothing.
    let flow = |head: f64| {
        let mut design = header("b88-l-3", "b88-l-1", &stations(4, 0.2), 1.0);
        for outlet in &mut design.outlets {
            outlet.duty.end_use = Some(EndUse::Drop(DropPoint {
                flow: FlowRate::litres_per_second(0.1),
                loss: Loss::Head(Length::metres(head)),
            }));
        }
        litres(&solved(design))
    };
    for (one, two) in flow(50.0).iter().zip(flow(100.0)) {
        assert!(
            (one / two / std::f64::consts::SQRT_2 - 1.0).abs() < 1e-3,
            "{one} {two}"
        );
    }
}

#[test]
fn a_curve_is_followed_from_point_to_point() {
    let point = |flow, head| DropPoint {
        flow: FlowRate::litres_per_second(flow),
        loss: Loss::Head(Length::metres(head)),
    };
    let mut design = header("b88-l-3", "b88-l-1", &[0.3], 0.6);
    let curve = vec![point(0.1, 1.0), point(0.2, 3.0), point(0.3, 7.0)];
    design.outlets[0].duty.end_use = Some(EndUse::Curve(curve));
    design.supply = Some(supply(Drive::Head(Length::metres(5.0)), Feed::FirstEnd));
    let flow = litres(&solved(design))[0];
    // Half way between the last two points, less the little that tube and tee lose.
    assert!((0.245..0.25).contains(&flow), "{flow}");
}

#[test]
fn equivalent_lengths_are_another_way_to_count() {
    let mut design = header("b88-l-1.5", "b88-l-0.75", &stations(6, 0.2), 1.4);
    let by_factors = solved(design.clone());
    design.supply.as_mut().unwrap().losses = LossMethod::EquivalentLengths;
    let by_lengths = solved(design);
    let ratio = by_lengths.total / by_factors.total;
    assert!((0.6..1.6).contains(&ratio), "{ratio}");
    assert!((ratio - 1.0).abs() > 1e-3, "the method makes no difference");
}

#[test]
fn given_flows_need_a_head_and_leave_some_to_spare() {
    let mut design = header("b88-l-1.5", "b88-l-0.75", &stations(5, 0.3), 1.5);
    for outlet in &mut design.outlets {
        outlet.flow = Some(FlowRate::gallons_per_minute(6.0));
    }
    design.supply = Some(supply(
        Drive::Flow(FlowRate::gallons_per_minute(30.0)),
        Feed::FirstEnd,
    ));
    let outcome = solved(design);
    let spare: Vec<f64> = outcome
        .outlets
        .iter()
        .map(|it| it.head_to_spare.in_metres())
        .collect();
    assert!(
        spare.iter().copied().fold(f64::MAX, f64::min).abs() < 1e-9,
        "{spare:?}"
    );
    assert!(outcome.head > Length::ZERO);
    assert!(outcome.spread < 1e-12, "{}", outcome.spread);
}

#[test]
fn balancing_valves_bring_every_outlet_to_what_is_wanted() {
    let mut design = header("b88-l-1", "b88-l-0.75", &stations(6, 4.0), 24.0);
    for outlet in &mut design.outlets {
        outlet.flow = Some(FlowRate::gallons_per_minute(3.0));
        outlet.duty = OutletDuty::default();
        outlet.duty.end_use = Some(EndUse::Drop(DropPoint {
            flow: FlowRate::gallons_per_minute(3.0),
            loss: Loss::Head(Length::feet(1.0)),
        }));
    }
    let with_head = design.clone();
    let drive = Drive::Flow(FlowRate::gallons_per_minute(18.0));
    design.supply = Some(supply(drive, Feed::FirstEnd));
    let case = case(design).unwrap();
    let outcome = Outcome::of(&case);
    assert!(outcome.spread > 0.05, "{}", outcome.spread);
    let valves = outcome.balancing(&case);
    assert_eq!(valves.iter().filter(|valve| valve.is_none()).count(), 1);
    // The far outlet has least to spare; the near one is throttled hardest.
    assert!(valves.last().unwrap().is_none());
    let first = valves[0].unwrap().in_cv();
    assert!(valves.iter().flatten().all(|valve| valve.in_cv() >= first));

    // With a head at hand that is more than enough, every outlet is throttled, and with its valve
    // in place gets just what is wanted: the valve of the last takes 10 m less what is lost.
    let mut ample = with_head;
    ample.supply = Some(supply(Drive::Head(Length::metres(10.0)), Feed::FirstEnd));
    let case = crate::case(ample.clone()).unwrap();
    let valves = Outcome::of(&case).balancing(&case);
    for (outlet, valve) in ample.outlets.iter_mut().zip(valves) {
        // In series with the device of 1 ft at 3 gpm: losses of both add up at that flow.
        let kv = valve.unwrap().in_kv();
        let hourly = FlowRate::gallons_per_minute(3.0).in_cubic_metres_per_second() * 3600.0;
        let metres = (hourly / kv).powi(2) * 1e5 / (1000.0 * 9.806_65);
        outlet.duty.end_use = Some(EndUse::Drop(DropPoint {
            flow: FlowRate::gallons_per_minute(3.0),
            loss: Loss::Head(Length::feet(1.0) + Length::metres(metres)),
        }));
    }
    let balanced = solved(ample);
    assert!(balanced.spread < 1e-6, "{}", balanced.spread);
    for outlet in &balanced.outlets {
        assert!((outlet.of_wanted().unwrap() - 1.0).abs() < 1e-6);
    }
}

fn codes(design: Design) -> Vec<(String, &'static str)> {
    case(design)
        .unwrap_err()
        .into_iter()
        .map(|fault| (fault.pointer, fault.code))
        .collect()
}

#[test]
fn what_cannot_flow_is_refused_with_every_reason() {
    let plain = || header("b88-l-1.5", "b88-l-0.75", &stations(3, 0.3), 1.0);
    let mut unfed = plain();
    unfed.supply = None;
    assert_eq!(codes(unfed), [("/supply".to_owned(), "missing_field")]);

    let mut cold = plain();
    cold.design_temperature = Temperature::celsius(-4.0);
    cold.service = Service::CompressedAir;
    with_return(&mut cold, ReturnPath::Direct);
    let found = codes(cold.clone());
    for (pointer, code) in [
        ("/service", "not_a_full_liquid"),
        ("/design_temperature", "freezes"),
        ("/outlets/0", "no_resistance"),
        ("/outlets/2", "no_resistance"),
    ] {
        assert!(found.contains(&(pointer.to_owned(), code)), "{found:?}");
    }
    cold.supply.as_mut().unwrap().fluid = Fluid::Mixture {
        glycol: Glycol::Propylene,
        share: 0.35,
    };
    assert!(!codes(cold).iter().any(|(_, code)| *code == "freezes"));

    let mut boiling = plain();
    boiling.design_temperature = Temperature::celsius(130.0);
    boiling.design_pressure = Pressure::bar(1.0);
    assert_eq!(codes(boiling)[0].1, "boils");

    let mut unequal = plain();
    for outlet in &mut unequal.outlets {
        outlet.flow = Some(FlowRate::gallons_per_minute(5.0));
    }
    let drive = Drive::Flow(FlowRate::gallons_per_minute(20.0));
    unequal.supply = Some(supply(drive, Feed::FirstEnd));
    assert_eq!(
        codes(unequal),
        [("/supply/flow".to_owned(), "flows_do_not_sum")]
    );

    let mut shut = plain();
    shut.run.ends[0].kind = EndKind::Cap;
    assert_eq!(codes(shut.clone())[0].1, "fed_through_cap");
    shut.run.ends[1].kind = EndKind::Cap;
    shut.supply.as_mut().unwrap().feed = None;
    assert_eq!(codes(shut.clone())[0].1, "missing_field");
    shut.supply.as_mut().unwrap().feed = Some(Feed::Station(Length::metres(2.0)));
    assert_eq!(codes(shut)[0].1, "outside_run");
}

#[test]
fn an_uneven_split_and_a_short_head_are_findings() {
    use offtake::trade::check::flow_findings;
    use offtake::trade::finding::{Level, Rule};
    use offtake::trade::rule_set::VelocityBasis;

    let mut uneven = header("b88-l-1", "b88-l-0.75", &stations(6, 4.0), 24.0);
    valves(&mut uneven, |_| 8.0);
    let spread_of = |design: Design| {
        let manifold = crate::resolved(design.clone());
        let findings = flow_findings(&manifold, &solved(design), VelocityBasis::Handbook);
        let of_spread = findings
            .into_iter()
            .filter(|it| it.rule == Rule::FlowSpread);
        of_spread
            .map(|it| (it.level, it.pointer))
            .collect::<Vec<_>>()
    };
    assert_eq!(spread_of(uneven), [(Level::Caution, "/outlets".to_owned())]);

    let mut short = header("b88-l-1", "b88-l-0.75", &stations(6, 0.3), 2.0);
    for outlet in &mut short.outlets {
        outlet.flow = Some(FlowRate::gallons_per_minute(12.0));
    }
    short.supply = Some(supply(Drive::Head(Length::metres(0.2)), Feed::FirstEnd));
    let found = spread_of(short);
    assert!(
        found.contains(&(Level::Stop, "/outlets/5/flow".to_owned())),
        "{found:?}"
    );
}
