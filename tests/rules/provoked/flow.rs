//! Velocities, area ratio and dead legs: what is said before the split is worked out.

use offtake::trade::finding::{Level, Rule};
use offtake::trade::manifold::{Design, EndKind};
use offtake::trade::quantity::{FlowRate, Temperature};
use offtake::trade::service::Service;
use offtake::trade::source::BasisKind::{Code, CommonPractice, Handbook};

use super::Case;
use super::Seen::Near;
use crate::designs::changed;

/// Every outlet of the sound design takes this much, in gpm.
fn wanting(gpm: f64) -> impl FnOnce(&mut Design) {
    move |d| {
        for outlet in &mut d.outlets {
            outlet.flow = Some(FlowRate::gallons_per_minute(gpm));
        }
    }
}

pub fn cases() -> Vec<Case> {
    vec![
        // 40 gpm in 2 in type L, bore 1.985 in: 40 x 231 / 60 / 12 / 3.0946 = 4.147 ft/s; water above
        // 140 degF: 3 ft/s (ETB-930).
        Case {
            rule: Rule::Velocity,
            level: Level::Caution,
            pointer: "/run/tube",
            basis: Handbook,
            figures: Some((Near(4.147, 0.001), Near(3.0, 1e-9))),
            design: changed(wanting(10.0)),
        },
        // 10 gpm in 1 in type L, bore 1.025 in: 10 x 231 / 60 / 12 / 0.82516 = 3.888 ft/s; hot water
        // up to 140 degF may run at 5 ft/s, so the design is made hotter.
        Case {
            rule: Rule::Velocity,
            level: Level::Caution,
            pointer: "/outlets/0/tube",
            basis: Handbook,
            figures: Some((Near(3.888, 0.001), Near(3.0, 1e-9))),
            design: changed(wanting(10.0)),
        },
        // 24 gpm in the run: 2.488 ft/s, between the 2 and the 3 ft/s of the same advice.
        Case {
            rule: Rule::Velocity,
            level: Level::Note,
            pointer: "/run/tube",
            basis: Handbook,
            figures: Some((Near(2.488, 0.001), Near(2.0, 1e-9))),
            design: changed(wanting(6.0)),
        },
        // Four bores of 1.025 in beside one of 1.985 in: 4 x 0.82516 / 3.0946 = 1.0666.
        Case {
            rule: Rule::AreaRatio,
            level: Level::Note,
            pointer: "/outlets",
            basis: CommonPractice,
            figures: Some((Near(1.0666, 1e-4), Near(1.0, 1e-9))),
            design: changed(wanting(6.0)),
        },
        // 24 in of run, the last outlet at 19 in, half its bore 0.5125 in: 4.4875 in of dead leg
        // against two bores of 1.985 in.
        Case {
            rule: Rule::DeadLeg,
            level: Level::Caution,
            pointer: "/run/ends/1",
            basis: Code,
            figures: Some((Near(4.4875, 1e-4), Near(3.97, 1e-4))),
            design: changed(|d| {
                d.service = Service::PotableCold;
                d.design_temperature = Temperature::fahrenheit(60.0);
                d.run.ends[1].kind = EndKind::Cap;
            }),
        },
    ]
}
