//! Plain water, liquid, at saturation.

use crate::trade::quantity::{Density, Pressure, Temperature, Viscosity};

/// The equations reach the critical point; hotter than this no copper joint is rated.
pub(super) const HOTTEST: Temperature = Temperature::celsius(200.0);

/// Triple point (IAPWS).
pub(super) const TRIPLE: Temperature = Temperature::kelvin(273.16);
/// Critical point (IAPWS).
pub(super) const CRITICAL: Temperature = Temperature::kelvin(CRITICAL_KELVIN);
/// Critical temperature, K (IAPWS).
const CRITICAL_KELVIN: f64 = 647.096;
/// Critical pressure, Pa (IAPWS).
const CRITICAL_PASCAL: f64 = 22.064e6;
/// Critical density, kg/m3 (IAPWS).
const CRITICAL_DENSITY: f64 = 322.0;

/// IAPWS SR1-86(1992), equation 1: coefficient and exponent.
const VAPOUR: [(f64, f64); 6] = [
    (-7.859_517_83, 1.0),
    (1.844_082_59, 1.5),
    (-11.786_649_7, 3.0),
    (22.680_741_1, 3.5),
    (-15.961_871_9, 4.0),
    (1.801_225_02, 7.5),
];

/// IAPWS SR1-86(1992), equation 2: coefficient and exponent in thirds.
const LIQUID: [(f64, f64); 6] = [
    (1.992_740_64, 1.0),
    (1.099_653_42, 2.0),
    (-0.510_839_303, 5.0),
    (-1.754_934_79, 16.0),
    (-45.517_035_2, 43.0),
    (-6.746_944_50e5, 110.0),
];

/// IAPWS R12-08, table 1.
const DILUTE: [f64; 4] = [1.677_52, 2.204_62, 0.636_656_4, -0.241_605];

/// IAPWS R12-08, table 2: powers of inverse temperature and of density, and the coefficient.
const DENSE: [(i32, i32, f64); 21] = [
    (0, 0, 0.520_094),
    (1, 0, 0.085_089_5),
    (2, 0, -1.083_74),
    (3, 0, -0.289_555),
    (0, 1, 0.222_531),
    (1, 1, 0.999_115),
    (2, 1, 1.887_97),
    (3, 1, 1.266_13),
    (5, 1, 0.120_573),
    (0, 2, -0.281_378),
    (1, 2, -0.906_851),
    (2, 2, -0.772_479),
    (3, 2, -0.489_837),
    (4, 2, -0.257_040),
    (0, 3, 0.161_913),
    (1, 3, 0.257_399),
    (0, 4, -0.032_537_2),
    (3, 4, 0.069_845_2),
    (4, 5, 0.008_721_02),
    (3, 6, -0.004_356_73),
    (5, 6, -0.000_593_264),
];

/// Absolute pressure at which it boils.
pub(super) fn saturation_pressure(temperature: Temperature) -> Pressure {
    let reduced = temperature.in_kelvin() / CRITICAL_KELVIN;
    let distance = 1.0 - reduced;
    let sum: f64 = VAPOUR
        .iter()
        .map(|(factor, power)| factor * distance.powf(*power))
        .sum();
    Pressure::pascals(CRITICAL_PASCAL * (sum / reduced).exp())
}

/// Density of the liquid at saturation.
pub(super) fn density(temperature: Temperature) -> Density {
    let root = (1.0 - temperature.in_kelvin() / CRITICAL_KELVIN).cbrt();
    let sum: f64 = LIQUID
        .iter()
        .map(|(factor, thirds)| factor * root.powf(*thirds))
        .sum();
    Density::kilograms_per_cubic_metre(CRITICAL_DENSITY * (1.0 + sum))
}

/// Viscosity of the liquid at saturation; the enhancement near the critical point is nothing here.
pub(super) fn viscosity(temperature: Temperature) -> Viscosity {
    let reduced = temperature.in_kelvin() / CRITICAL_KELVIN;
    let dense = density(temperature).in_kilograms_per_cubic_metre() / CRITICAL_DENSITY;
    let dilute: f64 = DILUTE
        .iter()
        .zip(0i32..)
        .map(|(factor, power)| factor / reduced.powi(power))
        .sum();
    let sum: f64 = DENSE
        .iter()
        .map(|(i, j, factor)| factor * (1.0 / reduced - 1.0).powi(*i) * (dense - 1.0).powi(*j))
        .sum();
    let micro = 100.0 * reduced.sqrt() / dilute * (dense * sum).exp();
    Viscosity::pascal_seconds(micro * 1e-6)
}
