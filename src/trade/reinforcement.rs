//! Whether the metal round an opening makes up for what was cut out, as a second opinion on a
//! formed outlet.
//!
//! The form is that of ASME B31.3-2016, 304.3.4, for extruded outlets: required area `K t_h d_x`,
//! available area `d_x (T_h - t_h) + 2 L (T_b - t_b)` with `L = 0.7 sqrt(D_b T_x)`. The form of the
//! factor `K` was seen; its break points and the terms of the areas are from memory. The lip's own
//! term `2 r_x (T_x - T_b)` is left out: the radius at the root of a collar is not known, and what is
//! left out only lowers the pressure.

use super::catalogue::Catalogue;
use super::outlet::Collar;
use super::quantity::{Area, Length, Pressure, Temperature};
use super::source::Basis;
use super::strength::{NoRating, rate_tube};
use super::tube::{Temper, Tube};

/// Where the method comes from.
pub fn basis() -> Basis {
    Basis::standard(
        "ASME B31.3-2016 304.3.4, extruded outlets (form of the factor seen; break points and area terms from memory), applied to a brazed collar",
    )
}

/// A cylinder that holds pressure, at its least wall and greatest diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shell {
    /// Wall.
    pub wall: Length,
    /// Outside diameter.
    pub od: Length,
}

impl Shell {
    /// The wall that a pressure takes: `P = 2 S t / (D - 0.8 t)` solved for t.
    fn needed(&self, pressure: Pressure, stress: Pressure) -> Length {
        self.od * (pressure / (stress * 2.0 + pressure * 0.8))
    }
}

/// An opening in a run with a branch on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// The run.
    pub run: Shell,
    /// The branch.
    pub branch: Shell,
    /// Inside diameter of the outlet where it leaves the run.
    pub bore: Length,
    /// Wall of the outlet: the thinned rim.
    pub rim_wall: Length,
}

impl Opening {
    /// How much of the cut-out is to be made up: 0.7 for small branches, all of it for large ones.
    pub fn factor(&self) -> f64 {
        (0.6 + self.branch.od / self.run.od * 2.0 / 3.0).clamp(0.7, 1.0)
    }

    /// How far up the branch its wall counts.
    pub fn zone(&self) -> Length {
        let product = self.branch.od.in_metres() * self.rim_wall.in_metres();
        Length::metres(0.7 * product.sqrt())
    }

    /// The area to be made up at a pressure.
    pub fn required(&self, pressure: Pressure, stress: Pressure) -> Area {
        self.run.needed(pressure, stress) * self.bore * self.factor()
    }

    /// The area that run and branch have to spare at a pressure; negative when they have none.
    pub fn available(&self, pressure: Pressure, stress: Pressure) -> Area {
        let spare = |shell: &Shell| shell.wall - shell.needed(pressure, stress);
        let run = spare(&self.run) * self.bore;
        run + spare(&self.branch) * (self.zone() * 2.0)
    }

    /// The pressure at which one equals the other. Both walls follow from the same share
    /// `x = P / (2 S + 0.8 P)`, in which the balance is linear.
    pub fn balanced(&self, stress: Pressure) -> Pressure {
        let zone = self.zone() * 2.0;
        let metal = self.run.wall * self.bore + self.branch.wall * zone;
        let taken = self.run.od * self.bore * (1.0 + self.factor()) + self.branch.od * zone;
        let share = metal / taken;
        stress * (2.0 * share / (1.0 - 0.8 * share))
    }
}

/// The pressure up to which the opening of a collar is made up for, by annealed tube at its least
/// wall and the lower stress of both tubes; never more than either tube holds by itself.
///
/// # Errors
/// When run or branch has no rating at the temperature.
pub fn reinforced_pressure(
    catalogue: &Catalogue,
    (run, branch): (&Tube, &Tube),
    collar: &Collar,
    temperature: Temperature,
) -> Result<Pressure, NoRating> {
    let rate = |tube| rate_tube(catalogue, tube, Temper::Annealed, temperature);
    let (rated_run, rated_branch) = (rate(run)?, rate(branch)?);
    let opening = Opening {
        run: Shell {
            wall: rated_run.least_wall,
            od: rated_run.greatest_od,
        },
        branch: Shell {
            wall: rated_branch.least_wall,
            od: rated_branch.greatest_od,
        },
        bore: collar.mean_diameter - run.wall,
        rim_wall: collar.rim_wall,
    };
    let balanced = opening.balanced(rated_run.stress.min(rated_branch.stress));
    Ok(balanced.min(rated_run.pressure).min(rated_branch.pressure))
}
