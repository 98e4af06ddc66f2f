//! `run-length`, `lift-mass`: sticks and backs.

use super::Subject;
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::layout::{ALIKE, PieceUse};
use crate::trade::manifold::Build;
use crate::trade::quantity::Length;
use crate::trade::source::Basis;
use crate::trade::tube::Tube;

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) {
    run_length(subject, findings);
    lift_mass(subject, findings);
}

fn run_length(subject: &Subject, findings: &mut Vec<Finding>) {
    let manifold = subject.manifold;
    let stick = manifold.run.tube.stick;
    if manifold.build == Build::Purchased || manifold.run.length <= stick + ALIKE {
        return;
    }
    let formed = manifold.build == Build::FormedOutlets;
    let uncut = subject
        .takeoff
        .layout
        .pieces
        .iter()
        .find(|piece| piece.used_as == PieceUse::Run && piece.length > stick + ALIKE);
    if let Some(piece) = uncut {
        findings.push(no_place_for_a_coupling(piece.length, &manifold.run.tube));
        return;
    }
    let detail = if formed {
        format!(
            "the run is {:.1} ft; a stick is {:.0} ft, so it is joined with {} coupling(s) clear of the outlets",
            manifold.run.length.in_feet(),
            stick.in_feet(),
            subject.takeoff.layout.couplings.len()
        )
    } else {
        format!(
            "the run is {:.1} ft over all; no stretch between tees comes out of more than a {:.0} ft stick without a coupling",
            manifold.run.length.in_feet(),
            stick.in_feet()
        )
    };
    findings.push(
        Finding::new(
            Rule::RunLength,
            if formed { Level::Caution } else { Level::Note },
            "/run/length",
            stick_basis(&manifold.run.tube),
            detail,
        )
        .against(manifold.run.length, stick)
        .remedy("agree the joint with the customer, or split the manifold into two"),
    );
}

fn stick_basis(run: &Tube) -> Basis {
    Basis::standard(&format!(
        "{} straight lengths as sold ({})",
        run.standard.name(),
        run.sold_source.cite
    ))
}

fn no_place_for_a_coupling(piece: Length, run: &Tube) -> Finding {
    let stick = run.stick;
    Finding::new(
        Rule::RunLength,
        Level::Stop,
        "/run/length",
        stick_basis(run),
        format!(
            "{:.1} ft of the run would have to come out of a {:.0} ft stick: between the outlets there is no place for a coupling",
            piece.in_feet(),
            stick.in_feet()
        ),
    )
    .against(piece, stick)
    .remedy("leave a wider gap between two outlets for the coupling, or split the manifold into two")
}

fn lift_mass(subject: &Subject, findings: &mut Vec<Finding>) {
    let (mass, limit) = (subject.takeoff.mass, subject.rules.lift_limit);
    if mass > limit {
        findings.push(
            Finding::new(
                Rule::LiftMass,
                Level::Caution,
                "",
                Basis::handbook("NIOSH lifting equation (1991): 23 kg (51 lb) at best for one person (from memory)"),
                format!("one assembly weighs about {:.0} lb dry; one person lifts {:.0} lb at best", mass.in_pounds(), limit.in_pounds()),
            )
            .against(mass, limit)
            .remedy("plan for two people or a hoist"),
        );
    }
}
