//! Mass, centre of mass, box and supports of whole manifolds.

use offtake::trade::body::Body;
use offtake::trade::manifold::{Build, Design, EndKind};
use offtake::trade::quantity::{Angle, Length};
use offtake::trade::rule_set::RuleSet;
use offtake::trade::support::{CLEARANCE, Direction, SupportBasis, supports};
use offtake::trade::takeoff::Takeoff;
use proptest::prelude::*;

use crate::designs::{catalogue, changed, inches, resolved, row};

fn body(design: Design) -> (Body, Takeoff) {
    let manifold = resolved(design).unwrap();
    let takeoff = Takeoff::of(&manifold, catalogue(), &RuleSet::default_set());
    (Body::of(&manifold, catalogue(), &takeoff), takeoff)
}

fn builds() -> impl Strategy<Value = Build> {
    prop::sample::select(Build::ALL.to_vec())
}

prop_compose! {
    /// Rows wide enough for tees, turned anyhow, runs to 60 ft.
    fn any_manifold()(build in builds(), count in 1_u32..20, first in 3.0_f64..60.0, pitch in 4.0_f64..30.0,
        beyond in 3.0_f64..60.0, clock in 0.0_f64..360.0, ends in prop::sample::select(vec![EndKind::Plain, EndKind::Cap, EndKind::Coupling]))
        -> Design {
        changed(|d| {
            d.build = build;
            d.outlets = vec![row("b88-l-1", count, first, pitch)];
            d.outlets[0].clock = Angle::degrees(clock);
            d.run.ends[1].kind = ends;
            d.run.length = Some(inches(first + pitch * f64::from(count - 1) + beyond));
        })
    }
}

proptest! {
    #[test]
    fn the_parts_weigh_what_the_whole_weighs(design in any_manifold()) {
        let (body, takeoff) = body(design);
        // The cut list gathers pieces within 0.05 mm of each other.
        let close = takeoff.mass * 1e-3;
        prop_assert!((body.dry - takeoff.mass).abs() < close, "{:?} {:?}", body.dry, takeoff.mass);
        let water = body.filled - body.dry;
        // A litre of water is a kilogram, nearly.
        prop_assert!((water.in_kilograms() / takeoff.contents.in_litres() - 1.0).abs() < 0.003);
        for place in [body.centre_dry, body.centre_filled] {
            for (at, (from, to)) in [(place.along, body.envelope.along), (place.up, body.envelope.up), (place.right, body.envelope.right)] {
                prop_assert!(from <= at && at <= to);
            }
        }
    }

    #[test]
    fn supports_stand_clear_and_near_enough(design in any_manifold(), basis in prop::sample::select(SupportBasis::ALL.to_vec())) {
        let manifold = resolved(design).unwrap();
        let takeoff = Takeoff::of(&manifold, catalogue(), &RuleSet::default_set());
        let wanted = (Direction::Horizontal, Some(basis));
        let found = supports(&manifold, &takeoff.layout, catalogue(), wanted).unwrap();
        let slip = Length::millimetres(0.001);
        if found.clear {
            let most = found.spacing.most + slip;
            let first = found.places[0];
            let last = found.places[found.places.len() - 1];
            prop_assert!(first <= most / 2.0 && manifold.run.length - last <= most / 2.0);
            prop_assert!(found.places.windows(2).all(|pair| pair[1] > pair[0] && pair[1] - pair[0] <= most));
            for place in &found.places {
                for outlet in &manifold.outlets {
                    let apart = (*place - outlet.station).abs() + slip;
                    prop_assert!(apart >= outlet.tube.outer_radius() + CLEARANCE);
                }
            }
        } else {
            // Room was sought in vain only where outlets or short ends leave little of it.
            let outlets = manifold.outlets.len() as f64;
            prop_assert!(inches(outlets * 9.0) + inches(12.0) > manifold.run.length / 2.0);
        }
    }
}

#[test]
fn the_centre_of_mass_is_where_moments_balance() {
    // By hand with the published weights (ASTM B88): run 24 in at 1.75 lb/ft, four branches of
    // 3.245 in at 0.655 lb/ft at 4, 9, 14 and 19 in, straight up from 0.9925 - 0.175 = 0.8177 in
    // (bore radius less notch) to 4.0625 in above the axis.
    let (body, _) = body(changed(|_| ()));
    let (run, branch) = (24.0 / 12.0 * 1.75, 3.245 / 12.0 * 0.655);
    let total = run + 4.0 * branch;
    let along = (run * 12.0 + branch * (4.0 + 9.0 + 14.0 + 19.0)) / total;
    let up = 4.0 * branch * f64::midpoint(0.8177, 4.0625) / total;
    assert!((body.centre_dry.along.in_inches() - along).abs() < 0.01);
    assert!((body.centre_dry.up.in_inches() - up).abs() < 0.01);
    assert!(body.centre_dry.right.abs() < inches(1e-9));
    assert!((body.dry.in_pounds() - total).abs() < 0.01);
    // The box: 24 in long; from the bottom of the run to the tip of the branches, 1.0625 + 4.0625.
    let (low, high) = body.envelope.up;
    assert!(((high - low).in_inches() - 5.125).abs() < 1e-9);
    let (from, to) = body.envelope.along;
    assert!(((to - from).in_inches() - 24.0).abs() < 1e-9);
}

#[test]
fn a_crowded_run_says_that_no_support_finds_room() {
    // 100 outlets of 1 in every 2-1/2 in leave nowhere for a support and its clearance.
    let manifold = resolved(changed(|d| {
        d.outlets = vec![row("b88-l-1", 100, 4.0, 2.5)];
        d.run.length = Some(inches(260.0));
    }))
    .unwrap();
    let takeoff = Takeoff::of(&manifold, catalogue(), &RuleSet::default_set());
    let wanted = (Direction::Horizontal, None);
    let found = supports(&manifold, &takeoff.layout, catalogue(), wanted).unwrap();
    assert!(!found.clear);
    assert!(found.places.len() >= 3);
}
