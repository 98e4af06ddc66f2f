//! `velocity`, `flow-spread`, `area-ratio`, `dead-leg`: whether the water will run well.

use super::{Subject, rows};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::flow::case::area_ratio;
use crate::trade::flow::limits::{AREA_RATIO, SPREAD, is_judged, run_flow_wanted, velocity_limit};
use crate::trade::flow::outcome::Outcome;
use crate::trade::manifold::{EndKind, Manifold};
use crate::trade::quantity::{FlowRate, Length, Velocity};
use crate::trade::rule_set::VelocityBasis;
use crate::trade::source::Basis;
use crate::trade::tube::Tube;

/// A dead leg longer than this many bores stagnates.
const DEAD_LEG_BORES: f64 = 2.0;

/// What can be said of a design before its split is worked out.
pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    dead_legs(manifold, findings);
    let Some((most, complete)) = run_flow_wanted(manifold) else {
        return;
    };
    let speed = speed_in(&manifold.run.tube, most);
    let least = if complete { "" } else { "at least " };
    let basis = subject.rules.velocity;
    let run = Running {
        tube: &manifold.run.tube,
        speed,
        least,
    };
    findings.extend(velocity(manifold, "/run/tube", &run, basis));
    for (row, outlet) in rows(manifold) {
        if let Some(flow) = outlet.flow {
            let speed = speed_in(&outlet.tube, flow);
            let pointer = format!("/outlets/{row}/tube");
            let branch = Running {
                tube: &outlet.tube,
                speed,
                least: "",
            };
            findings.extend(velocity(manifold, &pointer, &branch, basis));
        }
    }
    findings.extend(wide_branches(manifold));
}

/// What can be said once the split is known.
pub fn of_outcome(manifold: &Manifold, outcome: &Outcome, basis: VelocityBasis) -> Vec<Finding> {
    let mut findings = Vec::new();
    dead_legs(manifold, &mut findings);
    findings.extend(wide_branches(manifold));
    let fastest = outcome
        .supply
        .iter()
        .map(|it| it.running.velocity)
        .reduce(Velocity::max);
    if let Some(speed) = fastest {
        let run = Running {
            tube: &manifold.run.tube,
            speed,
            least: "",
        };
        findings.extend(velocity(manifold, "/run/tube", &run, basis));
    }
    for (row, outlet) in rows(manifold) {
        let of_row = manifold.outlets.iter().zip(&outcome.outlets);
        let fastest = of_row
            .filter(|(outlet, _)| outlet.row == row)
            .map(|(_, flow)| flow.branch.velocity)
            .reduce(Velocity::max);
        if let Some(speed) = fastest {
            let pointer = format!("/outlets/{row}/tube");
            let branch = Running {
                tube: &outlet.tube,
                speed,
                least: "",
            };
            findings.extend(velocity(manifold, &pointer, &branch, basis));
        }
    }
    spread(manifold, outcome, &mut findings);
    findings.sort_by(|a, b| a.rule.cmp(&b.rule).then_with(|| a.pointer.cmp(&b.pointer)));
    findings
}

fn speed_in(tube: &Tube, flow: FlowRate) -> Velocity {
    flow / tube.bore_area()
}

/// How fast water runs in a tube; `least` says so where more may come.
struct Running<'a> {
    tube: &'a Tube,
    speed: Velocity,
    least: &'static str,
}

fn velocity(
    manifold: &Manifold,
    pointer: &str,
    running: &Running<'_>,
    basis: VelocityBasis,
) -> Option<Finding> {
    let (tube, speed, least) = (running.tube, running.speed, running.least);
    let supply = manifold.supply.as_ref();
    let temperature = supply
        .and_then(|supply| supply.temperature)
        .unwrap_or(manifold.design_temperature);
    let limit = velocity_limit(manifold.service, temperature, tube, basis)?;
    let (level, held) = if speed > limit.most {
        (Level::Caution, limit.most)
    } else if speed > limit.advised {
        (Level::Note, limit.advised)
    } else {
        return None;
    };
    Some(
        Finding::new(
            Rule::Velocity,
            level,
            pointer,
            limit.basis,
            format!(
                "water runs at {least}{:.1} ft/s in {}; {} should stay at {:.0} ft/s or below, or the wall erodes and it is heard",
                speed.in_feet_per_second(),
                tube.call_out(),
                limit.what,
                held.in_feet_per_second()
            ),
        )
        .against(speed, held)
        .remedy("choose a larger tube, feed the header at both ends or in the middle, or carry less"),
    )
}

fn wide_branches(manifold: &Manifold) -> Option<Finding> {
    let ratio = area_ratio(manifold);
    (is_judged(manifold.service) && ratio > AREA_RATIO).then(|| {
        Finding::new(
            Rule::AreaRatio,
            Level::Note,
            "/outlets",
            Basis::common_practice(
                "branch bores together no wider than the run keep a header even (from memory)",
            ),
            format!("the branch bores together have {ratio:.2} times the area of the run's"),
        )
        .against(ratio, AREA_RATIO)
        .remedy("work out the split by the flow call; a larger run, or more loss in the branches, evens it")
    })
}

fn dead_legs(manifold: &Manifold, findings: &mut Vec<Finding>) {
    if !manifold.service.is_potable() {
        return;
    }
    let (Some(first), Some(last)) = (manifold.outlets.first(), manifold.outlets.last()) else {
        return;
    };
    let beyond = [
        first.station - first.tube.bore() / 2.0,
        manifold.run.length - last.station - last.tube.bore() / 2.0,
    ];
    let limit = manifold.run.tube.bore() * DEAD_LEG_BORES;
    for (end, (kind, dead)) in manifold.run.ends.iter().zip(beyond).enumerate() {
        if *kind == EndKind::Cap && dead > limit {
            findings.push(
                Finding::new(
                    Rule::DeadLeg,
                    Level::Caution,
                    format!("/run/ends/{end}"),
                    Basis::code(
                        "water regulations advice I21 (2008): a dead leg no longer than twice the diameter of the pipe",
                    ),
                    format!(
                        "the capped end stands {:.2} in beyond the last outlet; drinking water stagnates in a dead leg longer than {:.2} in",
                        dead.in_inches(),
                        limit.in_inches()
                    ),
                )
                .against(dead, limit)
                .remedy("bring the cap closer, or feed or circulate the header from that end; the plumbing code of the place decides"),
            );
        }
    }
}

fn spread(manifold: &Manifold, outcome: &Outcome, findings: &mut Vec<Finding>) {
    let by_practice = || {
        Basis::common_practice(
            "outlets are balanced to within ten per cent of each other (from memory)",
        )
    };
    if !outcome.converged {
        findings.push(
            Finding::new(
                Rule::FlowSpread,
                Level::Stop,
                "/outlets",
                Basis::common_practice("heads round a header must close"),
                format!(
                    "the split did not close: {:.4} ft of head is left over, so do not rely on these flows",
                    outcome.residual.in_feet()
                ),
            )
            .against(outcome.residual, Length::ZERO)
            .remedy("give the flows as fixed ones, or change the feed"),
        );
    }
    for (row, _) in rows(manifold) {
        findings.extend(short_of_head(manifold, outcome, row));
    }
    if outcome.spread > SPREAD {
        findings.push(
            Finding::new(
                Rule::FlowSpread,
                Level::Caution,
                "/outlets",
                by_practice(),
                format!(
                    "the outlets differ by {:.0} % of their mean; {:.0} % is usual",
                    outcome.spread * 100.0,
                    SPREAD * 100.0
                ),
            )
            .against(outcome.spread, SPREAD)
            .remedy(
                "put balancing valves on the branches, choose a larger run, or feed it elsewhere",
            ),
        );
    }
}

/// Outlets of a row whose fixed flow the head does not carry.
fn short_of_head(manifold: &Manifold, outcome: &Outcome, row: usize) -> Option<Finding> {
    let of_row = manifold.outlets.iter().zip(&outcome.outlets);
    let worst = of_row
        .filter(|(outlet, _)| outlet.row == row)
        .map(|(_, flow)| flow.head_to_spare)
        .reduce(Length::min)?;
    (worst < -Length::millimetres(0.1)).then(|| {
        Finding::new(
            Rule::FlowSpread,
            Level::Stop,
            format!("/outlets/{row}/flow"),
            Basis::common_practice("head lost on the way must be at hand at the feed"),
            format!(
                "the head given is {:.2} ft short of carrying this flow",
                -worst.in_feet()
            ),
        )
        .against(outcome.head, outcome.head - worst)
        .remedy("give more head, want less flow, or choose larger tube")
    })
}
