//! The finished manifold as a body: what it weighs dry and filled, where its centre of mass is,
//! and the box it takes.
//!
//! Places are from the datum: along the run, up (clock 0) and to the right as seen from the first
//! end (clock 90). Fittings count by their stand-in masses and sizes, filler not at all.

use super::catalogue::Catalogue;
use super::fitting::{FittingKind, STAND_IN_METAL, centre_to_stop, end_overhang, stand_in_mass};
use super::manifold::{Build, EndKind, Manifold, Outlet};
use super::quantity::{Density, Length, Mass};
use super::takeoff::Takeoff;

/// Water at 20 C (IAPWS, from memory): what a filled manifold holds, whatever its service.
pub const WATER: Density = Density::kilograms_per_cubic_metre(998.2);

/// A place, or a direction with a length.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Place {
    /// From the datum end along the run.
    pub along: Length,
    /// Above the axis of the run.
    pub up: Length,
    /// To the right of the axis, seen from the first end.
    pub right: Length,
}

/// A box: least and most in each direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Envelope {
    /// Along the run; less than nothing where a cap stands out beyond the datum.
    pub along: (Length, Length),
    /// Below and above the axis.
    pub up: (Length, Length),
    /// Left and right of the axis.
    pub right: (Length, Length),
}

/// What a manifold is to whoever lifts it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// Copper alone.
    pub dry: Mass,
    /// With water.
    pub filled: Mass,
    /// Centre of mass of the copper.
    pub centre_dry: Place,
    /// Centre of mass with water.
    pub centre_filled: Place,
    /// The box.
    pub envelope: Envelope,
}

struct Lump {
    mass: Mass,
    at: Place,
}

impl Body {
    /// Works it out.
    pub fn of(manifold: &Manifold, catalogue: &Catalogue, takeoff: &Takeoff) -> Self {
        let copper = copper(manifold, catalogue, takeoff);
        let water = water(manifold);
        let dry = copper.iter().map(|lump| lump.mass).sum();
        let filled = dry + water.iter().map(|lump| lump.mass).sum();
        let all = copper.iter().chain(&water);
        Self {
            dry,
            filled,
            centre_dry: centre(copper.iter()),
            centre_filled: centre(all),
            envelope: envelope(manifold, catalogue, takeoff),
        }
    }
}

fn centre<'a>(lumps: impl Iterator<Item = &'a Lump>) -> Place {
    let mut total = 0.0;
    let mut moment = Place::default();
    for Lump { mass, at } in lumps {
        let kilograms = mass.in_kilograms();
        total += kilograms;
        moment.along += at.along * kilograms;
        moment.up += at.up * kilograms;
        moment.right += at.right * kilograms;
    }
    if total <= 0.0 {
        return Place::default();
    }
    Place {
        along: moment.along / total,
        up: moment.up / total,
        right: moment.right / total,
    }
}

/// A place on the run's axis.
fn on_axis(along: Length) -> Place {
    Place {
        along,
        ..Place::default()
    }
}

/// A place on the axis of an outlet, `out` from the axis of the run.
fn on_branch(outlet: &Outlet, out: Length) -> Place {
    let clock = outlet.clock.in_radians();
    Place {
        along: outlet.station,
        up: out * clock.cos(),
        right: out * clock.sin(),
    }
}

fn copper(manifold: &Manifold, catalogue: &Catalogue, takeoff: &Takeoff) -> Vec<Lump> {
    let run = &manifold.run.tube;
    let top = |outlet: &Outlet| run.outer_radius() + outlet.stub;
    let branch = |outlet: &Outlet, length: Length| Lump {
        mass: outlet.tube.linear_mass() * length,
        at: on_branch(outlet, top(outlet) - length / 2.0),
    };
    let outlets = manifold.outlets.iter();
    if manifold.build == Build::Purchased {
        let whole = Lump {
            mass: run.linear_mass() * manifold.run.length,
            at: on_axis(manifold.run.length / 2.0),
        };
        let branches = outlets.map(|outlet| branch(outlet, outlet.stub));
        return std::iter::once(whole).chain(branches).collect();
    }
    let cuts = takeoff.layout.run_cuts.iter().map(|cut| Lump {
        mass: run.linear_mass() * (cut.to - cut.from),
        at: on_axis((cut.from + cut.to) / 2.0),
    });
    let branches = outlets.enumerate().map(|(index, outlet)| {
        let length = match takeoff.layout.formed.get(index) {
            Some(formed) => outlet.stub + run.wall + formed.notch.unwrap_or(Length::ZERO),
            None => outlet.stub + run.outer_radius() - centre_to_stop(run),
        };
        branch(outlet, length.max(Length::ZERO))
    });
    let fittings = fittings(manifold, catalogue, takeoff);
    cuts.chain(branches).chain(fittings).collect()
}

fn fittings(manifold: &Manifold, catalogue: &Catalogue, takeoff: &Takeoff) -> Vec<Lump> {
    let run = &manifold.run.tube;
    let run_cup = catalogue.cup_depth(run);
    let plain = |kind| stand_in_mass(kind, run, run_cup, None);
    let faces = [(Length::ZERO, 1.0), (manifold.run.length, -1.0)];
    let ends =
        faces
            .into_iter()
            .zip(manifold.run.ends)
            .filter_map(|((face, inward), end)| match end {
                EndKind::Plain => None,
                EndKind::Cap => Some(Lump {
                    mass: plain(FittingKind::Cap),
                    at: on_axis(face + run_cup * (inward / 2.0)),
                }),
                EndKind::Coupling => Some(Lump {
                    mass: plain(FittingKind::Coupling),
                    at: on_axis(face),
                }),
            });
    let couplings = takeoff.layout.couplings.iter().map(|coupling| Lump {
        mass: plain(FittingKind::Coupling),
        at: on_axis(coupling.station),
    });
    let tees = manifold.outlets.iter().flat_map(|outlet| {
        if manifold.build == Build::FormedOutlets {
            return Vec::new();
        }
        let branch_cup = catalogue.cup_depth(&outlet.tube);
        let leg = outlet.tube.linear_mass() * (run.wall + branch_cup);
        let branch = Some((outlet.tube.as_ref(), branch_cup));
        let whole = stand_in_mass(FittingKind::Tee, run, run_cup, branch);
        let middle = centre_to_stop(run) + branch_cup / 2.0;
        vec![
            Lump {
                mass: whole - leg,
                at: on_axis(outlet.station),
            },
            Lump {
                mass: leg,
                at: on_branch(outlet, middle),
            },
        ]
    });
    ends.chain(couplings).chain(tees).collect()
}

fn water(manifold: &Manifold) -> Vec<Lump> {
    let run = &manifold.run.tube;
    let length = manifold.run.length;
    let whole = Lump {
        mass: run.contents(length) * WATER,
        at: on_axis(length / 2.0),
    };
    let branches = manifold.outlets.iter().map(|outlet| Lump {
        mass: outlet.tube.contents(outlet.stub) * WATER,
        at: on_branch(outlet, run.outer_radius() + outlet.stub / 2.0),
    });
    std::iter::once(whole).chain(branches).collect()
}

fn envelope(manifold: &Manifold, catalogue: &Catalogue, takeoff: &Takeoff) -> Envelope {
    let run = &manifold.run.tube;
    let run_cup = catalogue.cup_depth(run);
    let fitted = manifold.run.ends.iter().any(|end| *end != EndKind::Plain)
        || !takeoff.layout.couplings.is_empty()
        || matches!(manifold.build, Build::TeesBrazed | Build::TeesSoldered);
    let radius = if fitted {
        run.outer_radius() + STAND_IN_METAL
    } else {
        run.outer_radius()
    };
    let [before, after] = manifold.run.ends.map(|end| match end {
        EndKind::Plain => Length::ZERO,
        EndKind::Cap => end_overhang(FittingKind::Cap, run, run_cup),
        EndKind::Coupling => end_overhang(FittingKind::Coupling, run, run_cup),
    });
    let mut found = Envelope {
        along: (-before, manifold.run.length + after),
        up: (-radius, radius),
        right: (-radius, radius),
    };
    let wider = |span: &mut (Length, Length), middle: Length, half: Length| {
        *span = (span.0.min(middle - half), span.1.max(middle + half));
    };
    for outlet in &manifold.outlets {
        let tip = on_branch(outlet, run.outer_radius() + outlet.stub);
        let (rim, clock) = (outlet.tube.outer_radius(), outlet.clock.in_radians());
        wider(&mut found.up, tip.up, rim * clock.sin().abs());
        wider(&mut found.right, tip.right, rim * clock.cos().abs());
        wider(&mut found.along, outlet.station, rim);
    }
    found
}
