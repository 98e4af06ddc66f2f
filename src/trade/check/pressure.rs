//! `pressure-run`, `pressure-branch`, `pressure-fitting`, `pressure-joint`, `run-wall` of the
//! whole: what the assembly holds, and which part governs.

use super::{Subject, rows};
use crate::trade::finding::{Finding, Level, Rule};
use crate::trade::joint::{JointMethod, soldered_limit, soldered_rating, steam_rating};
use crate::trade::manifold::Build;
use crate::trade::quantity::{Pressure, Temperature};
use crate::trade::service::Service;
use crate::trade::source::Basis;
use crate::trade::strength::{NoRating, rate_tube};
use crate::trade::tube::{Nominal, Standard, Temper, Tube};

/// Which part has the lowest rating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Governor {
    /// The run.
    Run,
    /// A branch.
    Branch,
    /// A fitting.
    Fitting,
    /// A joint.
    Joint,
}

impl Governor {
    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Run => "run",
            Self::Branch => "branch",
            Self::Fitting => "fitting",
            Self::Joint => "joint",
        }
    }

    const fn rule(self) -> Rule {
        match self {
            Self::Run => Rule::PressureRun,
            Self::Branch => Rule::PressureBranch,
            Self::Fitting => Rule::PressureFitting,
            Self::Joint => Rule::PressureJoint,
        }
    }
}

/// The rating of the whole assembly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AssemblyRating {
    /// The lowest rating of its parts at the design temperature.
    pub pressure: Pressure,
    /// Which part that is.
    pub governed_by: Governor,
    /// The same at 100 degF and below, where it is tested.
    pub cold: Pressure,
}

impl AssemblyRating {
    /// What it holds beyond a design pressure; less than nothing where it does not hold that.
    pub fn margin(&self, design: Pressure) -> Pressure {
        self.pressure - design
    }

    /// How many times a design pressure it holds; `None` of no pressure.
    pub fn times(&self, design: Pressure) -> Option<f64> {
        (design > Pressure::ZERO).then(|| self.pressure / design)
    }
}

/// Why a part has no rating.
struct Unrated {
    why: String,
    /// The hottest that is published, where it is beyond that.
    limit: Option<Temperature>,
}

/// Under what a part is rated.
#[derive(Debug, Clone, Copy)]
struct Conditions {
    temperature: Temperature,
    /// It carries saturated steam.
    steam: bool,
}

/// One part with its rating, or why it has none.
struct Part {
    governor: Governor,
    pointer: String,
    named: String,
    basis: Basis,
    rating: Result<Pressure, Unrated>,
}

/// Temperature of a test at room conditions: the coldest row of the tables.
const ROOM: Temperature = Temperature::fahrenheit(100.0);

pub(super) fn check(subject: &Subject, findings: &mut Vec<Finding>) -> Option<AssemblyRating> {
    if subject.manifold.build == Build::Purchased {
        return None;
    }
    let working = Conditions {
        temperature: subject.manifold.design_temperature,
        steam: subject.manifold.service == Service::SaturatedSteam,
    };
    let cold = Conditions {
        temperature: ROOM,
        steam: false,
    };
    let parts = parts(subject, working);
    for part in &parts {
        findings.extend(judge(subject, part));
    }
    findings.extend(metric_fittings(subject));
    let (pressure, governed_by) = lowest(&parts)?;
    let (cold, _) = lowest(&self::parts(subject, cold))?;
    Some(AssemblyRating {
        pressure,
        governed_by,
        cold,
    })
}

/// The lowest rating; `None` when any part has none.
fn lowest(parts: &[Part]) -> Option<(Pressure, Governor)> {
    let mut lowest: Option<(Pressure, Governor)> = None;
    for part in parts {
        let rating = *part.rating.as_ref().ok()?;
        if lowest.is_none_or(|(least, _)| rating < least) {
            lowest = Some((rating, part.governor));
        }
    }
    lowest
}

fn judge(subject: &Subject, part: &Part) -> Option<Finding> {
    let design = subject.manifold.design_pressure;
    match &part.rating {
        Err(unrated) => {
            let finding = Finding::new(
                part.governor.rule(),
                // Drainage without pressure holds nothing: that its tube has no rating is no fault.
                if design > Pressure::ZERO || subject.manifold.service != Service::Drainage {
                    Level::Stop
                } else {
                    Level::Note
                },
                &part.pointer,
                part.basis.clone(),
                format!(
                    "{} has no rating at {:.0} degF: {}",
                    part.named,
                    subject.manifold.design_temperature.in_fahrenheit(),
                    unrated.why
                ),
            )
            .remedy("choose tube, filler or temperature within the published tables");
            Some(match unrated.limit {
                Some(limit) => finding.against(subject.manifold.design_temperature, limit),
                None => finding,
            })
        }
        Ok(rating) if *rating < design => Some(
            Finding::new(
                part.governor.rule(),
                Level::Stop,
                &part.pointer,
                part.basis.clone(),
                format!(
                    "{} holds {:.0} psi; the design pressure is {:.0} psi",
                    part.named,
                    rating.in_psi(),
                    design.in_psi()
                ),
            )
            .against(design, *rating)
            .remedy("use thicker tube or a stronger joint, or lower the design pressure"),
        ),
        Ok(_) => None,
    }
}

/// Temper to rate a tube by: whatever is brazed is annealed, whatever it was bought as.
fn rated_temper(subject: &Subject, bought: Temper) -> Temper {
    match subject.manifold.build.joint_method() {
        Some(JointMethod::Brazed) => Temper::Annealed,
        Some(JointMethod::Soldered) | None => bought,
    }
}

fn parts(subject: &Subject, conditions: Conditions) -> Vec<Part> {
    let temperature = conditions.temperature;
    let manifold = subject.manifold;
    let temper = rated_temper(subject, manifold.run.temper);
    let mut parts = vec![tube_part(
        subject,
        Governor::Run,
        "/run/tube",
        &manifold.run.tube,
        (temper, temperature),
    )];
    for (row, outlet) in rows(manifold) {
        // Branch stubs are short: they are annealed by brazing, or bought drawn for soldering.
        let temper = rated_temper(subject, outlet.tube.usual_temper());
        parts.push(tube_part(
            subject,
            Governor::Branch,
            &format!("/outlets/{row}/tube"),
            &outlet.tube,
            (temper, temperature),
        ));
    }
    parts.extend(fitting_parts(subject, temperature));
    parts.extend(joint_parts(subject, conditions));
    parts
}

fn tube_part(
    subject: &Subject,
    governor: Governor,
    pointer: &str,
    tube: &Tube,
    (temper, temperature): (Temper, Temperature),
) -> Part {
    Part {
        governor,
        pointer: pointer.to_owned(),
        named: format!("{} {}", temper.spoken(), tube.call_out()),
        basis: tube_basis(tube),
        rating: match rate_tube(subject.catalogue, tube, temper, temperature) {
            Ok(rating) => Ok(rating.pressure),
            // Type M is sold drawn only, but brazing anneals it: the annealed tolerance is published for every size.
            Err(why) => Err(no_rating(&why)),
        },
    }
}

fn tube_basis(tube: &Tube) -> Basis {
    match tube.standard {
        Standard::En1057 => Basis::standard(
            "EN 1057 tube: P = 2 f t / (D - t) with its design stresses, as a trade body gives them; brazed tube takes the annealed rating",
        ),
        Standard::AstmB88 | Standard::AstmB306 => Basis::handbook(
            "Copper Tube Handbook, Tables 14.3a to 14.3c; brazed tube takes the annealed rating",
        ),
        _ => Basis::handbook(&format!(
            "Copper Tube Handbook, Tables 14.3a to 14.3c, by the same formula for {} tube ({}: {}); brazed tube takes the annealed rating",
            tube.standard.name(),
            tube.tolerances.source.status.word(),
            tube.tolerances.source.cite
        )),
    }
}

fn no_rating(why: &NoRating) -> Unrated {
    Unrated {
        why: why.to_string(),
        limit: match why {
            NoRating::TooHot { limit } => Some(*limit),
            NoRating::NotPressureTube | NoRating::NoTolerance { .. } => None,
        },
    }
}

fn fitting_parts(subject: &Subject, temperature: Temperature) -> Vec<Part> {
    subject
        .takeoff
        .fittings
        .keys()
        .map(|fitting| {
            let rating = match subject.catalogue.fitting_equivalent(fitting.run) {
                None => Err(Unrated {
                    why: "no wrought fitting of this size is rated".to_owned(),
                    limit: None,
                }),
                Some(tube) => rate_tube(subject.catalogue, tube, Temper::Annealed, temperature)
                    .map(|rating| rating.pressure)
                    .map_err(|why| no_rating(&why)),
            };
            Part {
                governor: Governor::Fitting,
                pointer: "/run/tube".to_owned(),
                named: format!("the {}", fitting.call_out()),
                basis: fitting_basis(fitting.run),
                rating,
            }
        })
        .collect()
}

fn fitting_basis(size: Nominal) -> Basis {
    if size.is_metric() {
        Basis::common_practice(
            "stand-in: a metric wrought fitting (EN 1254-1) is taken as the thinnest annealed EN 1057 tube of its size; no published rating was seen",
        )
    } else {
        Basis::standard(
            "ASME B16.22: a wrought fitting is rated as annealed type L tube of its size",
        )
    }
}

/// A rating that stands in for an unknown one is for somebody to confirm.
fn metric_fittings(subject: &Subject) -> Option<Finding> {
    let metric = subject
        .takeoff
        .fittings
        .keys()
        .find(|fitting| fitting.run.is_metric())?;
    Some(
        Finding::new(
            Rule::PressureFitting,
            Level::Caution,
            "/run/tube",
            fitting_basis(metric.run),
            format!(
                "the rating of metric fittings such as the {} is a stand-in",
                metric.call_out()
            ),
        )
        .remedy("have the maker's pressure and temperature rating of the fittings in writing"),
    )
}

/// Soldered joints by the printed table; a brazed joint is as strong as the annealed tube it
/// joins, which is rated already. With steam in it every joint goes by the table.
fn joint_parts(subject: &Subject, conditions: Conditions) -> Vec<Part> {
    let filler = &subject.manifold.filler;
    subject
        .takeoff
        .joints
        .iter()
        .filter(|joints| {
            let soldered = joints.method == JointMethod::Soldered && !filler.is_brazing();
            soldered || (conditions.steam && joints.method == JointMethod::Brazed)
        })
        .map(|joints| {
            let size = joints.tube.nominal;
            Part {
                governor: Governor::Joint,
                pointer: "/filler".to_owned(),
                named: format!(
                    "a joint of {} {} with {}",
                    joints.tube.call_out(),
                    joints.method.word(),
                    filler.id
                ),
                basis: Basis::handbook(if conditions.steam {
                    "Copper Tube Handbook, Table 14.4a, its column of saturated steam"
                } else {
                    "Copper Tube Handbook, Table 14.4a; the next hotter row is taken"
                }),
                rating: if conditions.steam {
                    steam_rating(subject.catalogue, filler, size).ok_or_else(|| Unrated {
                        why: format!(
                            "the table holds no row for {} with saturated steam at this size",
                            filler.id
                        ),
                        limit: None,
                    })
                } else {
                    soldered(subject, size, conditions.temperature)
                },
            }
        })
        .collect()
}

fn soldered(
    subject: &Subject,
    size: Nominal,
    temperature: Temperature,
) -> Result<Pressure, Unrated> {
    let solder = &subject.manifold.filler;
    soldered_rating(subject.catalogue, solder, size, temperature).ok_or_else(|| Unrated {
        why: format!(
            "the table holds no row for {} at this size and temperature",
            solder.id
        ),
        limit: soldered_limit(subject.catalogue, solder).filter(|limit| temperature > *limit),
    })
}
