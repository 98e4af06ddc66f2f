//! `run-type`, `branch-size`: whether these tubes go together.

use super::{Subject, rows};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::forming::Drawn;
use crate::trade::manifold::{Build, EndKind, Outlet};
use crate::trade::service::Service;
use crate::trade::source::Basis;
use crate::trade::tube::{Standard, Tube, WallType};

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    run_type(subject, findings);
    end_fittings(subject, findings);
    for (row, outlet) in rows(subject.manifold) {
        branch_type(subject, row, outlet, findings);
        branch_size(subject, row, outlet, findings);
    }
}

fn run_type(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    let run = &manifold.run.tube;
    if drainage_tube_under_pressure(subject, run) {
        findings.push(drainage_tube("/run/tube", &run.call_out()));
        return;
    }
    let profile = &subject.rules.forming;
    let thinnest = thinnest_run(subject);
    if manifold.build == Build::FormedOutlets && run.wall_type < thinnest {
        findings.push(
            Finding::new(
                Rule::RunType,
                Level::Stop,
                "/run/tube",
                profile.basis("thinnest run for forming is type L (common practice; one provincial code allows K or L only)"),
                format!("the run is {}{}; collars are drawn from type {} or thicker", run.call_out(), compared(run), thinnest.name()),
            )
            .against(run.wall_type.name(), thinnest.name())
            .remedy("use a thicker run, or enter a forming profile that your equipment has proved on this wall"),
        );
    }
    forming_types(subject, findings);
    if !run.tempers.contains(&manifold.run.temper) {
        findings.push(
            Finding::new(
                Rule::RunType,
                Level::Caution,
                "/run/temper",
                Basis::standard(&format!(
                    "{} tempers ({})",
                    run.standard.name(),
                    run.sold_source.cite
                )),
                format!(
                    "{} is not listed as sold {}",
                    run.call_out(),
                    manifold.run.temper.spoken()
                ),
            )
            .remedy("ask the supplier, or choose the other temper"),
        );
    }
}

/// What the chosen text says of the run's type, where the profile lets it through.
fn forming_types(subject: &Subject, findings: &mut Vec<Finding>) {
    let run = &subject.manifold.run.tube;
    let rules = subject.rules;
    let thinnest = rules.forming_types.thinnest();
    let formed = subject.manifold.build == Build::FormedOutlets;
    if !formed || run.wall_type >= thinnest || run.wall_type < thinnest_run(subject) {
        return;
    }
    findings.push(
        Finding::new(
            Rule::RunType,
            Level::Stop,
            "/run/tube",
            rules.forming_types.basis(),
            format!(
                "the run is {}; rule set {} takes {}",
                run.call_out(),
                rules.name,
                rules.forming_types.spoken()
            ),
        )
        .against(run.wall_type.name(), thinnest.name())
        .remedy("use a thicker run, or choose a rule set that takes this type if the code of the place does"),
    );
}

/// The thinnest run wall from which every branch of the manifold is drawn.
fn thinnest_run(subject: &Subject) -> WallType {
    let profile = &subject.rules.forming;
    let run = &subject.manifold.run.tube;
    rows(subject.manifold)
        .into_iter()
        .map(|(_, outlet)| profile.thinnest(run, &outlet.tube))
        .max()
        .unwrap_or(profile.thinnest_run)
}

/// What the profile says of this size; true when it settles the matter.
fn size_in_profile(
    subject: &Subject,
    pointer: &str,
    outlet: &Outlet,
    findings: &mut Vec<Finding>,
) -> bool {
    let profile = &subject.rules.forming;
    let run = &subject.manifold.run.tube;
    let (why, remedy) = match profile.drawn(run, &outlet.tube) {
        Drawn::Listed => return true,
        Drawn::ByGeneralLimits => return false,
        Drawn::Refused => (
            "the shop lists this size as not formed",
            "build it up from tees, or choose another size",
        ),
        Drawn::NotListed => (
            "only the sizes listed are formed, and this one is not",
            "build it up from tees, or enter the size once it is proved on a sample",
        ),
    };
    findings.push(
        Finding::new(
            Rule::BranchSize,
            Level::Stop,
            pointer,
            profile.basis(why),
            format!(
                "a branch of {} on a run of {} is not formed here",
                outlet.tube.call_out(),
                run.call_out()
            ),
        )
        .remedy(remedy),
    );
    true
}

/// How tube without a type of the inch standard compares with it.
fn compared(tube: &Tube) -> String {
    match tube.standard {
        Standard::AstmB88 | Standard::AstmB306 | Standard::AstmB819 => String::new(),
        _ if tube.wall_type == WallType::ThinnerThanM => {
            ", which is thinner than type M of its diameter".to_owned()
        }
        _ => format!(
            ", which reaches the wall of type {} at its diameter",
            tube.wall_type.name()
        ),
    }
}

fn drainage_tube_under_pressure(subject: &Subject, tube: &Tube) -> bool {
    !tube.is_pressure_tube() && subject.manifold.service != Service::Drainage
}

fn drainage_tube(pointer: &str, call_out: &str) -> Finding {
    Finding::new(
        Rule::RunType,
        Level::Stop,
        pointer,
        Basis::standard("ASTM B306: drainage, waste and vent tube"),
        format!("{call_out} is drainage tube and is never pressure tube"),
    )
    .remedy("use type M, L or K")
}

fn branch_type(subject: &Subject, row: usize, outlet: &Outlet, findings: &mut Vec<Finding>) {
    if drainage_tube_under_pressure(subject, &outlet.tube) {
        findings.push(drainage_tube(
            &format!("/outlets/{row}/tube"),
            &outlet.tube.call_out(),
        ));
    }
}

fn larger_than_run(pointer: &str, run: &Tube, branch: &Tube) -> Finding {
    Finding::new(
        Rule::BranchSize,
        Level::Stop,
        pointer,
        Basis::common_practice("a branch is no larger than its run"),
        format!(
            "the branch ({}) is larger than the run ({})",
            branch.call_out(),
            run.call_out()
        ),
    )
    .against(branch.od, run.od)
    .remedy("use a larger run or a smaller branch")
}

fn branch_size(subject: &Subject, row: usize, outlet: &Outlet, findings: &mut Vec<Finding>) {
    let run = &subject.manifold.run.tube;
    let pointer = format!("/outlets/{row}/tube");
    if outlet.tube.od > run.od {
        findings.push(larger_than_run(&pointer, run, &outlet.tube));
        return;
    }
    if subject.manifold.build != Build::FormedOutlets {
        tee_size(subject, &pointer, outlet, findings);
        return;
    }
    if size_in_profile(subject, &pointer, outlet, findings) {
        return;
    }
    let profile = &subject.rules.forming;
    let handbook = "Copper Tube Handbook, ch. 13: outlets 1/2 to 4 in from runs 1/2 to 8 in";
    for (what, pointer, size, (least, most)) in [
        (
            "branch",
            pointer.as_str(),
            outlet.tube.nominal,
            profile.outlets,
        ),
        ("run", "/run/tube", run.nominal, profile.runs),
    ] {
        // Metric and refrigerant tube by the inch size it counts as.
        if !(least..=most).contains(&size.counted_as()) {
            findings.push(
                Finding::new(
                    Rule::BranchSize,
                    Level::Stop,
                    pointer,
                    profile.basis(handbook),
                    format!(
                        "the {what} is {}; collars are formed for {} to {} in",
                        size.with_unit(),
                        least.text(),
                        most.text()
                    ),
                )
                .against(
                    size.with_unit(),
                    format!("{} to {} in", least.text(), most.text()),
                )
                .remedy("build it up from tees, or enter the sizes your equipment forms"),
            );
        }
    }
}

/// Caps and couplings over a formed run need cups of its size.
fn end_fittings(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    let run = &manifold.run.tube;
    if manifold.build != Build::FormedOutlets || subject.catalogue.cup(run.nominal).is_some() {
        return;
    }
    let ends = manifold.run.ends.iter().enumerate();
    let mut places: Vec<String> = ends
        .filter(|(_, kind)| **kind != EndKind::Plain)
        .map(|(end, _)| format!("/run/ends/{end}"))
        .collect();
    if !subject.takeoff.layout.couplings.is_empty() {
        places.push("/run/length".to_owned());
    }
    findings.extend(places.into_iter().map(|pointer| {
        Finding::new(
            Rule::BranchSize,
            Level::Stop,
            pointer,
            Basis::standard("ASME B16.22 (inch) and EN 1254-1 (metric) cup depths (from memory)"),
            format!(
                "no cap or coupling with a cup for {} is in the catalogue",
                run.call_out()
            ),
        )
        .remedy("leave the end plain, keep the run within a stick, or choose a size that fittings are made for")
    }));
}

fn tee_size(subject: &Subject, pointer: &str, outlet: &Outlet, findings: &mut Vec<Finding>) {
    let run = subject.manifold.run.tube.nominal;
    if subject.manifold.build != Build::Purchased
        && run.is_metric() != outlet.tube.nominal.is_metric()
    {
        findings.push(
            Finding::new(
                Rule::BranchSize,
                Level::Stop,
                pointer,
                Basis::standard(
                    "ASME B16.22 (inch) and EN 1254-1 (metric): a fitting's cups are of one system",
                ),
                format!(
                    "no tee joins {} to {}: one is inch tube, the other metric",
                    run.with_unit(),
                    outlet.tube.nominal.with_unit()
                ),
            )
            .remedy("take run and branch from one system, or form the outlets from the run"),
        );
    }
    for (size, pointer) in [(run, "/run/tube"), (outlet.tube.nominal, pointer)] {
        if subject.manifold.build != Build::Purchased && subject.catalogue.cup(size).is_none() {
            findings.push(
                Finding::new(
                    Rule::BranchSize,
                    Level::Stop,
                    pointer,
                    Basis::standard("ASME B16.22 and EN 1254-1: wrought solder-joint fittings, cup depths to 8 in and to 108 mm (from memory)"),
                    format!("no wrought fitting of {} is in the catalogue", size.with_unit()),
                )
                .remedy("choose a size of the fittings catalogue, or another way to build it"),
            );
        }
    }
}
