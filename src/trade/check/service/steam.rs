//! Saturated steam: how hot it is, and who may pipe it.

use super::finding;
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::flow::fluid::steam_temperature;
use crate::trade::manifold::{Build, Manifold};
use crate::trade::quantity::Temperature;
use crate::trade::source::Basis;

/// A design temperature may be rounded by this much.
const ROUNDED_KELVIN: f64 = 1.0 / 1.8;

const SATURATION: &str =
    "IAPWS SR1-86(1992): saturation pressure of water, over the standard atmosphere";

pub(super) fn check(manifold: &Manifold, findings: &mut Vec<Finding>) {
    findings.extend(saturation(manifold));
    findings.push(finding(
        Level::Caution,
        Basis::code("codes of boilers and of steam piping differ from place to place"),
        "steam piping is for people licensed for it, under the code of the place",
        "have a licensed person confirm material, joints, drainage of condensate, expansion and safety valve before quoting",
    ));
    if manifold.build == Build::FormedOutlets {
        findings.push(
            Finding::new(
                Rule::ServiceAllowed,
                Level::Caution,
                "/build",
                Basis::common_practice("no text that was read names formed outlets for steam"),
                "whether formed outlets may carry steam is not known here",
            )
            .remedy("have the authority confirm it in writing, or build it up from tees, brazed"),
        );
    }
}

/// Steam is as hot as its pressure makes it: a rating looked up colder than that is none.
fn saturation(manifold: &Manifold) -> Option<Finding> {
    let (design, pressure) = (manifold.design_temperature, manifold.design_pressure);
    let said = |level, detail: String| {
        let basis = Basis::standard(SATURATION);
        Finding::new(
            Rule::ServiceAllowed,
            level,
            "/design_temperature",
            basis,
            detail,
        )
    };
    let Some(saturated) = steam_temperature(pressure) else {
        let detail = format!(
            "at {:.0} psi steam is beyond its critical point: it is not saturated",
            pressure.in_psi()
        );
        return Some(said(Level::Stop, detail).remedy("give the pressure that the steam has"));
    };
    let beyond = design.in_kelvin() - saturated.in_kelvin();
    let told = |what: &str| {
        format!(
            "saturated steam of {:.0} psi is at {:.0} degF; the design temperature is {:.0} degF{what}",
            pressure.in_psi(),
            saturated.in_fahrenheit(),
            design.in_fahrenheit()
        )
    };
    if beyond < -ROUNDED_KELVIN {
        let up = Temperature::kelvin(saturated.in_kelvin())
            .in_fahrenheit()
            .ceil();
        let detail = told(", so every rating is looked up too cold");
        return Some(
            said(Level::Stop, detail)
                .against(design, saturated)
                .remedy(format!(
                    "give a design temperature of {up:.0} degF, or the pressure that belongs to it"
                )),
        );
    }
    (beyond > ROUNDED_KELVIN).then(|| {
        said(Level::Caution, told(": superheated, or of another pressure"))
            .against(design, saturated)
            .remedy("the ratings for steam are for saturated steam: have a licensed person confirm superheat, or correct pressure or temperature")
    })
}
