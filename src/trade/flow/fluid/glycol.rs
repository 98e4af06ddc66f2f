//! Mixtures of water and glycol: polynomials in share and temperature about a middle point.

use super::Glycol;
use crate::trade::quantity::{Density, Temperature, Viscosity};

/// Largest share by mass that the fits reach.
pub(super) const MOST: f64 = 0.6;
/// Warmest that the fits reach.
pub(super) const HOTTEST: Temperature = Temperature::celsius(100.0);

/// Rows by powers of temperature, columns by powers of share.
type Coefficients = [[f64; 6]; 4];

struct Fit {
    middle_kelvin: f64,
    middle_share: f64,
    density: Coefficients,
    /// Of the logarithm of the viscosity in Pa s.
    viscosity: Coefficients,
    /// Of the freezing temperature in K, by powers of share.
    freezing: [f64; 6],
}

const ETHYLENE: Fit = Fit {
    middle_kelvin: 304.878,
    middle_share: 0.308_462,
    density: [
        [1034.0, 131.1, 0.749, -106.2, -96.23, 489.1],
        [-0.4781, -0.6876, 0.7855, 1.229, -7.211, 0.0],
        [-0.002_692, 0.004_805, -0.003_995, -0.011_53, 0.0, 0.0],
        [4.725e-6, 1.69e-6, 4.982e-5, 0.0, 0.0, 0.0],
    ],
    viscosity: [
        [-6.437_255, 2.471, 0.033_28, 1.659, 3.089, -18.65],
        [-0.0255, -0.011_71, 0.010_86, 0.003_157, 0.018_31, 0.0],
        [0.000_178_2, 0.000_105_2, 0.000_105_1, 0.000_406_3, 0.0, 0.0],
        [-7.669e-7, -1.634e-6, -6.475e-6, 0.0, 0.0, 0.0],
    ],
    freezing: [257.9, -80.8, -133.4, -72.93, 100.6, 11.4],
};

const PROPYLENE: Fit = Fit {
    middle_kelvin: 305.8583,
    middle_share: 0.307_031,
    density: [
        [1018.0, 76.04, -24.98, -155.0, -113.1, 234.2],
        [-0.5406, -0.945, 0.27, 2.829, -2.221, 0.0],
        [-0.002_666, 0.005_541, -0.004_018, -0.007_175, 0.0, 0.0],
        [1.347e-5, -1.343e-5, 3.376e-5, 0.0, 0.0, 0.0],
    ],
    viscosity: [
        [-6.224_055, 3.328, 0.5453, -3.9, -1.587, 35.64],
        [-0.030_45, -0.039_84, -0.000_86, 0.1054, 0.044_75, 0.0],
        [0.000_252_5, 0.000_433_2, -0.000_159_3, -0.001_589, 0.0, 0.0],
        [-1.399e-6, -1.86e-6, -4.465e-7, 0.0, 0.0, 0.0],
    ],
    freezing: [259.9, -66.31, -109.4, -228.3, -340.9, 146.5],
};

const fn fit(glycol: Glycol) -> &'static Fit {
    match glycol {
        Glycol::Ethylene => &ETHYLENE,
        Glycol::Propylene => &PROPYLENE,
    }
}

/// A polynomial by Horner's scheme, lowest power first.
fn polynomial(coefficients: &[f64], at: f64) -> f64 {
    coefficients
        .iter()
        .rev()
        .fold(0.0, |sum, coefficient| sum * at + coefficient)
}

fn surface(coefficients: &Coefficients, fit: &Fit, share: f64, temperature: Temperature) -> f64 {
    let rows = coefficients.map(|row| polynomial(&row, share - fit.middle_share));
    polynomial(&rows, temperature.in_kelvin() - fit.middle_kelvin)
}

/// Density of a mixture.
pub(super) fn density(glycol: Glycol, share: f64, temperature: Temperature) -> Density {
    let fit = fit(glycol);
    Density::kilograms_per_cubic_metre(surface(&fit.density, fit, share, temperature))
}

/// Viscosity of a mixture.
pub(super) fn viscosity(glycol: Glycol, share: f64, temperature: Temperature) -> Viscosity {
    let fit = fit(glycol);
    Viscosity::pascal_seconds(surface(&fit.viscosity, fit, share, temperature).exp())
}

/// Where a mixture begins to freeze.
pub(super) fn freezing(glycol: Glycol, share: f64) -> Temperature {
    let fit = fit(glycol);
    Temperature::kelvin(polynomial(&fit.freezing, share - fit.middle_share))
}
