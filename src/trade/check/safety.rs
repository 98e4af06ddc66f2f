//! `purge`, `hot-work`, `test-pressure`: what whoever holds the torch and the gauge must know.

use super::joining::other_metals;
use super::{AssemblyRating, Subject};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::manifold::Build;
use crate::trade::metal::Flux;
use crate::trade::quantity::{Pressure, Volume};
use crate::trade::rule_set::{LEAST_FIRE_WATCH_MINUTES, TestPressure};
use crate::trade::service::Service;
use crate::trade::source::Basis;

pub(super) fn check(
    subject: &Subject,
    rating: Option<&AssemblyRating>,
    findings: &mut Vec<Finding>,
) {
    if subject.manifold.build != Build::Purchased {
        findings.push(hot_work(subject));
        findings.extend(flux_fumes(subject));
    }
    findings.extend(purge(subject));
    findings.extend(test_pressure(subject, rating));
}

fn hot_work(subject: &Subject) -> Finding {
    let minutes = subject.rules.fire_watch_minutes;
    let mut cite =
        "hot work rules: fire watch at least 30 minutes after the torch is out".to_owned();
    if minutes > LEAST_FIRE_WATCH_MINUTES {
        cite.push_str("; this rule set asks more");
    }
    Finding::new(
        Rule::HotWork,
        Level::Note,
        "/build",
        Basis::code(&cite),
        format!("torch work: keep a fire watch for {minutes} minutes, ventilate, and never heat a closed, wet or pressurised assembly"),
    )
    .against(f64::from(minutes), f64::from(LEAST_FIRE_WATCH_MINUTES))
    .remedy("clear or shield what burns, have an extinguisher at hand, keep fumes away from faces; the code of the place and a licensed person decide")
}

/// Whether any joint here wants flux.
fn wants_flux(subject: &Subject) -> bool {
    let filler = &subject.manifold.filler;
    let made = subject.takeoff.joints.iter().map(|joints| joints.metal);
    let others = other_metals(subject.manifold).into_iter();
    made.chain(others.map(|(_, metal)| metal))
        .any(|metal| Flux::of(filler, metal) == Flux::Needed)
}

fn flux_fumes(subject: &Subject) -> Option<Finding> {
    let filler = &subject.manifold.filler;
    if !wants_flux(subject) {
        return None;
    }
    let zinc = if filler.composition.contains("Zn") {
        ", and the zinc of the filler fumes when it is overheated"
    } else {
        ""
    };
    let (level, basis, detail) = if filler.is_brazing() {
        (
            Level::Caution,
            Basis::handbook(
                "safety in welding and brazing (ANSI Z49.1, from memory): fluxes for brazing hold fluorides",
            ),
            format!(
                "the flux that {} needs gives off fluorides, which harm lungs and eyes{zinc}",
                filler.id
            ),
        )
    } else {
        (
            Level::Note,
            Basis::common_practice("fluxes for soldering hold chlorides or rosin (from memory)"),
            format!(
                "the flux that {} needs irritates lungs, eyes and skin",
                filler.id
            ),
        )
    };
    Some(
        Finding::new(Rule::HotWork, level, "/filler", basis, detail).remedy(
            "draw the fumes off or work in moving air, read the safety data sheet of flux and filler, keep flux off the skin, and wash the residue off, inside and out",
        ),
    )
}

fn purge(subject: &Subject) -> Option<Finding> {
    if subject.manifold.service == Service::Refrigerant
        && subject.manifold.build != Build::Purchased
    {
        return Some(
            Finding::new(
                Rule::Purge,
                Level::Caution,
                "/service",
                Basis::common_practice(
                    "refrigerant tube is brazed with dry nitrogen flowing slowly through it: scale inside blocks valves and driers (from memory)",
                ),
                "refrigerant tube is purged with dry nitrogen while it is brazed, and never heated with refrigerant or oil vapour in it",
            )
            .remedy("recover the refrigerant first, open an end so that no pressure builds up, let nitrogen flow through a regulator, ventilate: nitrogen and refrigerant displace air"),
        );
    }
    (subject.manifold.service == Service::MedicalGas).then(|| {
        Finding::new(
            Rule::Purge,
            Level::Caution,
            "/service",
            Basis::standard("medical gas brazing is done under an oil-free nitrogen purge by a qualified brazer (NFPA 99, from memory)"),
            "medical gas tube is purged with nitrogen while it is brazed",
        )
        .remedy("set up the purge before the first joint and keep it until the tube is cool to the hand")
    })
}

/// Energy let loose when air at a gauge pressure escapes: 2.5 P V [1 - (Pa/P)^0.286], P absolute.
fn stored_as_air_kilojoules(pressure: Pressure, volume: Volume) -> f64 {
    const ATMOSPHERE: f64 = 101_325.0;
    let absolute = pressure.in_pascals() + ATMOSPHERE;
    2.5 * absolute * volume.in_cubic_metres() * (1.0 - (ATMOSPHERE / absolute).powf(0.286)) / 1000.0
}

/// Energy let loose when water at a gauge pressure escapes: P^2 V / (2 K), with the bulk modulus of
/// water K = 2.2 GPa (from memory).
fn stored_as_water_joules(pressure: Pressure, volume: Volume) -> f64 {
    const BULK_MODULUS: f64 = 2.2e9;
    let pascals = pressure.in_pascals();
    pascals * pascals * volume.in_cubic_metres() / (2.0 * BULK_MODULUS)
}

/// Up to a whole psi; a hair above one, from a change of unit, is that one.
fn whole_psi_above(pressure: Pressure) -> f64 {
    (pressure.in_psi() - 0.01).ceil()
}

fn test_pressure(subject: &Subject, rating: Option<&AssemblyRating>) -> Option<Finding> {
    let manifold = subject.manifold;
    if manifold.service == Service::Drainage {
        return None;
    }
    let TestPressure { pressure, basis } = subject
        .rules
        .test_pressure
        .test_pressure(manifold.service, manifold.design_pressure);
    let gas = manifold.service.is_gas();
    let energy = stored_as_air_kilojoules(pressure, subject.takeoff.contents);
    let water = stored_as_water_joules(pressure, subject.takeoff.contents);
    let psi = whole_psi_above(pressure);
    let detail = if gas {
        format!(
            "{} is usually tested with gas: at {psi:.0} psi that holds {energy:.1} kJ in this manifold, where water would hold {water:.1} J",
            manifold.service.spoken()
        )
    } else {
        format!(
            "test with water at {psi:.0} psi; the same test with air would hold {energy:.1} kJ in this manifold, with water {water:.1} J"
        )
    };
    let beyond = rating.filter(|rating| rating.cold < pressure);
    let finding = Finding::new(
        Rule::TestPressure,
        if beyond.is_some() || gas { Level::Caution } else { Level::Note },
        "/design_pressure",
        basis,
        match beyond {
            Some(rating) => format!("{detail}. That is above the assembly's cold rating of {:.0} psi", rating.cold.in_psi()),
            None => detail,
        },
    )
    .remedy(if gas {
        "never test above the rating of any part; use oil-free dry nitrogen, never oxygen or fuel gas, behind a shield with nobody near, raise the pressure in steps through a relief valve, follow the code of the place; prove it with water first where it can be dried again"
    } else {
        "never test above the rating of any part; fill with water and bleed the air, stand clear, follow the code of the place"
    });
    Some(match rating {
        Some(rating) => finding.against(pressure, rating.cold),
        None => finding,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_at_test_pressure_holds_what_the_formula_says() {
        // 10 L at 150 psig holds 14.2 kJ as gas, by E = 2.5 P V [1 - (Pa/P)^0.286] (worked by hand).
        let energy = stored_as_air_kilojoules(Pressure::psi(150.0), Volume::litres(10.0));
        assert!((energy - 14.2).abs() < 0.05, "{energy}");
    }

    #[test]
    fn water_at_the_same_pressure_holds_thousands_of_times_less() {
        // The same 10 L at 150 psig holds 2.4 J as water.
        let energy = stored_as_water_joules(Pressure::psi(150.0), Volume::litres(10.0));
        assert!((energy - 2.4).abs() < 0.05, "{energy}");
    }
}
