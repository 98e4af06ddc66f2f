//! `run-wall`, `collar-height`, `forming-severity`, `rim-level`, `branch-intrusion`, `dimples`,
//! `opening-reinforcement`: whether the collar can be drawn, what it will look like, and what a
//! second method says of its strength.

use super::{Subject, rows};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::forming::Severity;
use crate::trade::manifold::Outlet;
use crate::trade::outlet::{Collar, DIMPLE_STEP, FormedOutlet};
use crate::trade::quantity::{Length, Pressure};
use crate::trade::reinforcement::{basis, reinforced_pressure};
use crate::trade::source::Basis;
use crate::trade::strength::{allowable_stress, barlow_with_tolerances};
use crate::trade::tube::{Temper, Tube};

/// A collar short of its height by less than this is at its height.
const MEASURABLE: Length = Length::inches(0.0005);

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    let outlets = &subject.manifold.outlets;
    for (row, outlet) in rows(subject.manifold) {
        let formed = outlets
            .iter()
            .zip(&subject.takeoff.layout.formed)
            .find(|(placed, _)| placed.row == row)
            .map(|(_, formed)| formed);
        let Some(formed) = formed else { continue };
        intrusion(subject, row, outlet, formed, findings);
        height(subject, row, outlet, formed, findings);
        if let Some(collar) = &formed.collar {
            rim_strength(subject, row, collar, findings);
            // A branch wider than the bore makes no opening to judge.
            if formed.notch.is_some() {
                findings.push(reinforcement(subject, row, outlet, collar));
            }
            severity(subject, row, outlet, collar, findings);
            level(subject, row, outlet, collar, findings);
        }
        findings.push(dimple_note(row, formed));
    }
}

fn thousandths(length: Length) -> String {
    format!("{:.3} in", length.in_inches())
}

fn intrusion(
    subject: &Subject,
    row: usize,
    outlet: &Outlet,
    formed: &FormedOutlet,
    findings: &mut Vec<Finding>,
) {
    let run = &subject.manifold.run.tube;
    let code = Basis::code(
        "model plumbing codes: the branch end is notched to the inner curve of the run and does not stand into the bore",
    );
    let pointer = format!("/outlets/{row}/tube");
    findings.push(match formed.notch {
        None => Finding::new(
            Rule::BranchIntrusion,
            Level::Stop,
            pointer,
            code,
            format!(
                "the branch is {} outside and the bore of the run {}; a branch wider than the bore cannot be notched to its curve",
                thousandths(outlet.tube.od),
                thousandths(run.bore())
            ),
        )
        .against(outlet.tube.od, run.bore())
        .remedy("use a larger run, a smaller branch, or a tee"),
        Some(depth) => Finding::new(
            Rule::BranchIntrusion,
            Level::Note,
            pointer,
            code,
            format!("notch the branch end {} deep to the inner curve of the run; nothing stands into the bore", thousandths(depth)),
        )
        .remedy(format!("set the notcher to {}", thousandths(depth))),
    });
}

fn height(
    subject: &Subject,
    row: usize,
    outlet: &Outlet,
    formed: &FormedOutlet,
    findings: &mut Vec<Finding>,
) {
    let basis = subject.rules.collar_basis.basis();
    let required = thousandths(formed.required);
    let finding = |level, field: &str, detail: String| {
        let pointer = format!("/outlets/{row}/{field}");
        Finding::new(Rule::CollarHeight, level, pointer, basis, detail)
    };
    let Some(collar) = formed.collar else {
        let detail = format!("no pilot hole gives a collar of {required} on this branch");
        let stop = finding(Level::Stop, "tube", detail);
        findings.push(stop.remedy("use a larger or thinner branch, or a tee"));
        return;
    };
    let (field, reached) = match (outlet.collar.height, outlet.collar.pilot) {
        (Some(given), _) => ("collar_height", given),
        (None, Some(_)) => ("pilot", collar.height),
        (None, None) => ("tube", collar.height),
    };
    let (stands, pilot) = (thousandths(reached), thousandths(collar.pilot));
    let judged = if reached + MEASURABLE < formed.required {
        let detail = format!("the collar stands {stands} high; it must be {required}");
        finding(Level::Stop, field, detail)
            .remedy("start from a smaller pilot hole so that the collar is drawn higher")
    } else {
        let detail =
            format!("a pilot of {pilot} gives a collar {stands} high; {required} is asked for");
        finding(Level::Note, field, detail)
            .remedy("prove the pilot on a sample of the same tube before the first run")
    };
    findings.push(judged.against(reached, formed.required));
}

/// The rim is thinner than the run: it must still hold the design pressure as an annealed tube
/// of the collar's size.
fn rim_strength(subject: &Subject, row: usize, collar: &Collar, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    let stress = allowable_stress(
        subject.catalogue,
        Temper::Annealed,
        manifold.design_temperature,
    );
    // Too hot for the table: what the rim may be stressed to is not known, so it may not be at all.
    let stress = stress.unwrap_or(Pressure::ZERO);
    let run = &manifold.run.tube;
    let thinned = collar.rim_wall - (run.wall - run.least_wall());
    let holds = barlow_with_tolerances(stress, thinned, collar.mean_diameter + collar.rim_wall);
    if holds < manifold.design_pressure {
        findings.push(
            Finding::new(
                Rule::RunWall,
                Level::Stop,
                format!("/outlets/{row}/tube"),
                Basis::handbook("Copper Tube Handbook tube formula, applied to the thinned rim (derived)"),
                format!(
                    "drawing thins the wall to {} at the rim, which holds {:.0} psi; the design pressure is {:.0} psi",
                    thousandths(collar.rim_wall),
                    holds.in_psi(),
                    manifold.design_pressure.in_psi()
                ),
            )
            .against(manifold.design_pressure, holds)
            .remedy("use a thicker run"),
        );
    }
}

/// A second opinion on the opening: never a stop, and never an approval.
fn reinforcement(subject: &Subject, row: usize, outlet: &Outlet, collar: &Collar) -> Finding {
    let manifold = subject.manifold;
    let tubes: (&Tube, &Tube) = (&manifold.run.tube, &outlet.tube);
    let temperature = manifold.design_temperature;
    let holds = reinforced_pressure(subject.catalogue, tubes, collar, temperature);
    let finding = |level, detail: String| {
        let pointer = format!("/outlets/{row}/tube");
        Finding::new(Rule::OpeningReinforcement, level, pointer, basis(), detail)
    };
    let holds = match holds {
        Ok(holds) => holds,
        Err(why) => {
            let detail = format!("what makes up for the opening cannot be reckoned: {why}");
            return finding(Level::Note, detail)
                .remedy("choose tube and temperature within the published tables");
        }
    };
    let design = manifold.design_pressure;
    let (level, relation, remedy) = if holds < design {
        let remedy = "prove the outlet by a burst test of the shop's own, or use a thicker run or branch, or a smaller branch";
        (Level::Caution, "below", remedy)
    } else {
        let remedy = "nothing by this method; it is a second opinion and no approval";
        (Level::Note, "not below", remedy)
    };
    let detail = format!(
        "run and branch make up for the opening up to {:.0} psi, {relation} the design pressure of {:.0} psi; the collar's own lip is not counted",
        holds.in_psi(),
        design.in_psi()
    );
    finding(level, detail).against(design, holds).remedy(remedy)
}

fn severity(
    subject: &Subject,
    row: usize,
    outlet: &Outlet,
    collar: &Collar,
    findings: &mut Vec<Finding>,
) {
    let (profile, run) = (&subject.rules.forming, &subject.manifold.run.tube);
    let (usual_limit, severe_limit) = profile.ratios(run, &outlet.tube);
    let (word, limit) = match profile.severity(run, &outlet.tube, collar.ratio) {
        Severity::Usual => return,
        Severity::Severe => ("a severe draw", usual_limit),
        Severity::Beyond => ("beyond a severe draw", severe_limit),
    };
    let basis = if profile.is_built_in() {
        profile.basis("pilot over collar diameter, 0.72 for annealed copper, 0.63 severe (from memory; editable)")
    } else {
        profile.basis(&format!(
            "pilot over collar diameter, usual limit {usual_limit:.2}, severe {severe_limit:.2}"
        ))
    };
    let remedy = if profile.anneals(run, &outlet.tube) {
        "anneal the spot as the profile says, draw slowly, prove it on a sample and look for cracks at the rim"
    } else {
        "anneal the spot before drawing and prove it on a sample; look for cracks at the rim"
    };
    findings.push(
        Finding::new(
            Rule::FormingSeverity,
            Level::Caution,
            format!("/outlets/{row}/tube"),
            basis,
            format!(
                "the pilot is {:.2} of the collar's diameter and the edge stretches by {:.0} %: {word}",
                collar.ratio,
                collar.expansion() * 100.0
            ),
        )
        .against(collar.ratio, limit)
        .remedy(remedy),
    );
}

fn level(
    subject: &Subject,
    row: usize,
    outlet: &Outlet,
    collar: &Collar,
    findings: &mut Vec<Finding>,
) {
    let (profile, run) = (&subject.rules.forming, &subject.manifold.run.tube);
    // A collar as wide as its run is stopped by its notch.
    let Some(rim) = collar.rim(run) else { return };
    let remedy = match collar.level_pilot(run) {
        Some(oval) => format!(
            "where a level rim is wanted, cut the pilot oval, {} along the run and {} across it, and prove it: square to the run {}",
            thousandths(oval.along),
            thousandths(oval.across),
            match profile.severity(run, &outlet.tube, oval.ratio) {
                Severity::Usual => "the draw stays within what is usual",
                Severity::Severe => "the draw is severe",
                Severity::Beyond => "the draw is beyond a severe one",
            }
        ),
        None => "no oval pilot levels this rim: set the branch by the rim in line with the run, or use a larger run".to_owned(),
    };
    let (in_line, square) = (rim.in_line(), rim.square());
    findings.push(
        Finding::new(
            Rule::RimLevel,
            Level::Note,
            format!("/outlets/{row}/tube"),
            Basis::common_practice(
                "derived: strips of the wall are drawn by the uniaxial law along the curve of the run",
            ),
            format!(
                "from a round pilot the rim stands {} above the crown in line with the run and {} square to it, {} above the surface there",
                thousandths(in_line.above_crown),
                thousandths(square.above_crown),
                thousandths(square.above_surface)
            ),
        )
        .against(square.above_crown, in_line.above_crown)
        .remedy(remedy),
    );
}

fn dimple_note(row: usize, formed: &FormedOutlet) -> Finding {
    Finding::new(
        Rule::Dimples,
        Level::Note,
        format!("/outlets/{row}/tube"),
        Basis::code("model plumbing codes: two dimples in line with the run, the second 1/4 in above the first"),
        format!(
            "dimple the branch in line with the run at {} and {} above the apex of the notch; the second must stay in sight",
            thousandths(formed.dimples.first),
            thousandths(formed.dimples.second)
        ),
    )
    .against(formed.dimples.second - formed.dimples.first, DIMPLE_STEP)
    .remedy(format!("set the dimpler to {}", thousandths(formed.dimples.first)))
}
