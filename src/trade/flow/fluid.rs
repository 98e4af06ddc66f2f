//! What runs through the header: density and viscosity of water and glycol mixtures.
//!
//! Water by the releases of the International Association for the Properties of Water and Steam:
//! SR1-86 (1992) for density and pressure at saturation, R12-08 for viscosity, with the coefficients
//! that the library `iapws` 1.5.5 carries. Glycol mixtures by
//! the fits of A. Melinder, *Properties of Secondary Working Fluids for Indirect Systems* (IIR,
//! 2010), with the coefficients that the library `CoolProp` 6.6 carries.
//!
//! Densities are those of the liquid at saturation: up to 20 bar the pressure changes them by less
//! than a tenth of a per cent.

mod glycol;
mod water;

use crate::trade::quantity::{Density, Pressure, Temperature, Viscosity};
use crate::trade::source::{Source, Status};

/// What is mixed into the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Glycol {
    /// Propylene glycol.
    Propylene,
    /// Ethylene glycol.
    Ethylene,
}

/// A liquid by its make-up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fluid {
    /// Plain water.
    Water,
    /// Water with glycol.
    Mixture {
        /// Which glycol.
        glycol: Glycol,
        /// Its share of the mass, from 0 to 0.6.
        share: f64,
    },
}

/// A liquid at its temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Liquid {
    /// What it is.
    pub fluid: Fluid,
    /// How warm.
    pub temperature: Temperature,
    /// Its density.
    pub density: Density,
    /// Its viscosity.
    pub viscosity: Viscosity,
    /// Where the figures come from.
    pub source: Source,
}

/// Why a liquid cannot be had at a temperature and pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoLiquid {
    /// It freezes.
    Freezes {
        /// Where it begins to.
        freezing: Temperature,
    },
    /// It boils.
    Boils {
        /// Gauge pressure it would need to stay liquid.
        needs: Pressure,
    },
    /// Warmer than the figures reach.
    AboveTable {
        /// How far they reach.
        limit: Temperature,
    },
    /// More glycol than the figures reach.
    ShareAboveTable {
        /// How far they reach.
        limit: f64,
    },
}

/// Standard atmosphere, between gauge and absolute pressure.
pub(super) const ATMOSPHERE: Pressure = Pressure::pascals(101_325.0);

/// Temperature of saturated steam at a gauge pressure, by the saturation pressure of IAPWS
/// SR1-86(1992) and the standard atmosphere.
///
/// `None` at the critical point and above it, where there is no saturation.
pub fn steam_temperature(pressure: Pressure) -> Option<Temperature> {
    let wanted = pressure + ATMOSPHERE;
    let (mut cold, mut hot) = (water::TRIPLE, water::CRITICAL);
    if wanted >= water::saturation_pressure(hot) || wanted < water::saturation_pressure(cold) {
        return None;
    }
    // Halved to far less than a thousandth of a degree.
    for _ in 0..50 {
        let middle = Temperature::kelvin(f64::midpoint(cold.in_kelvin(), hot.in_kelvin()));
        if water::saturation_pressure(middle) < wanted {
            cold = middle;
        } else {
            hot = middle;
        }
    }
    Some(hot)
}

impl Fluid {
    /// Its figures at a temperature, under a gauge pressure.
    ///
    /// A mixture is held to boil where plain water does: its glycol raises the boiling point, so
    /// this is the stricter side.
    ///
    /// # Errors
    /// When it freezes or boils, or the figures do not reach so far.
    pub fn at(self, temperature: Temperature, pressure: Pressure) -> Result<Liquid, NoLiquid> {
        if let Self::Mixture { share, .. } = self
            && share > glycol::MOST
        {
            return Err(NoLiquid::ShareAboveTable {
                limit: glycol::MOST,
            });
        }
        let freezing = self.freezing();
        if temperature <= freezing {
            return Err(NoLiquid::Freezes { freezing });
        }
        if temperature > self.hottest() {
            return Err(NoLiquid::AboveTable {
                limit: self.hottest(),
            });
        }
        let needs = water::saturation_pressure(temperature) - ATMOSPHERE;
        if needs >= pressure {
            return Err(NoLiquid::Boils { needs });
        }
        let (density, viscosity) = match self {
            Self::Water => (water::density(temperature), water::viscosity(temperature)),
            Self::Mixture { glycol, share } => (
                glycol::density(glycol, share, temperature),
                glycol::viscosity(glycol, share, temperature),
            ),
        };
        Ok(Liquid {
            fluid: self,
            temperature,
            density,
            viscosity,
            source: self.source(),
        })
    }

    /// Where it begins to freeze.
    pub fn freezing(self) -> Temperature {
        match self {
            Self::Water => Temperature::celsius(0.0),
            Self::Mixture { glycol, share } => glycol::freezing(glycol, share),
        }
    }

    /// How far its figures reach.
    pub const fn hottest(self) -> Temperature {
        match self {
            Self::Water => water::HOTTEST,
            Self::Mixture { .. } => glycol::HOTTEST,
        }
    }

    /// How a person says it.
    pub fn spoken(self) -> String {
        match self {
            Self::Water => "water".to_owned(),
            Self::Mixture { glycol, share } => {
                let name = match glycol {
                    Glycol::Propylene => "propylene",
                    Glycol::Ethylene => "ethylene",
                };
                format!("water with {:.0} % {name} glycol by mass", share * 100.0)
            }
        }
    }

    fn source(self) -> Source {
        match self {
            Self::Water => Source::new(
                "IAPWS SR1-86(1992), density at saturation, and R12-08, viscosity; coefficients as carried by the library iapws 1.5.5",
                Status::Seen,
            ),
            Self::Mixture { .. } => Source::new(
                "A. Melinder, Properties of Secondary Working Fluids for Indirect Systems (IIR, 2010), coefficients as carried by CoolProp 6.6",
                Status::Seen,
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_liquid_says_why() {
        let at = |fluid: Fluid, celsius, bar| {
            fluid.at(Temperature::celsius(celsius), Pressure::bar(bar))
        };
        assert!(matches!(
            at(Fluid::Water, 0.0, 3.0),
            Err(NoLiquid::Freezes { .. })
        ));
        assert!(matches!(
            at(Fluid::Water, 100.5, 0.0),
            Err(NoLiquid::Boils { .. })
        ));
        assert!(at(Fluid::Water, 100.5, 0.5).is_ok());
        assert!(matches!(
            at(Fluid::Water, 210.0, 60.0),
            Err(NoLiquid::AboveTable { .. })
        ));
        let mixed = |share| Fluid::Mixture {
            glycol: Glycol::Ethylene,
            share,
        };
        assert!(at(mixed(0.3), -10.0, 2.0).is_ok());
        assert!(matches!(
            at(mixed(0.3), -20.0, 2.0),
            Err(NoLiquid::Freezes { .. })
        ));
        assert!(matches!(
            at(mixed(0.7), 20.0, 2.0),
            Err(NoLiquid::ShareAboveTable { .. })
        ));
    }

    #[test]
    fn little_glycol_is_nearly_water() {
        let warm = Temperature::celsius(40.0);
        let water = Fluid::Water.at(warm, Pressure::bar(2.0)).unwrap();
        for glycol in [Glycol::Propylene, Glycol::Ethylene] {
            let mixed = Fluid::Mixture { glycol, share: 0.0 }
                .at(warm, Pressure::bar(2.0))
                .unwrap();
            assert!((mixed.density / water.density - 1.0).abs() < 0.003);
            assert!((mixed.viscosity / water.viscosity - 1.0).abs() < 0.06);
        }
    }
}
