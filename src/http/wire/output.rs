//! Quantities in answers.

use crate::trade::quantity::{
    Angle, BenchLength, FlowRate, Length, LinearMass, Mass, Pressure, Temperature, Velocity,
    Volume, nearest_millimetre,
};
use serde::Serialize;
use utoipa::ToSchema;

crate::wire_enum! {
    /// The units of an answer.
    pub enum Units {
        /// Inches, psi, degrees Fahrenheit, US gallons, pounds.
        Imperial = "imperial",
        /// Millimetres, bar, degrees Celsius, litres, kilograms.
        Metric = "metric",
    }
}

/// A quantity in an answer.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct QuantityOut {
    /// The number, rounded to six significant digits.
    #[schema(example = 4.5)]
    pub value: f64,
    /// The unit.
    #[schema(value_type = String, example = "in")]
    pub unit: &'static str,
    /// The same as people at the bench read it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "4 1/2 in", nullable = false)]
    pub text: Option<String>,
}

/// Rounds to six significant digits, so that a change of unit shows no binary dust.
fn rounded(value: f64) -> f64 {
    if value.abs() < 1e-9 {
        return 0.0;
    }
    // Powers of ten to the 22nd are exact, so that the quotient is the number nearest to its digits.
    let places = 5.0 - value.abs().log10().floor();
    if (0.0..=22.0).contains(&places) {
        let scale = 10_f64.powi(places as i32);
        return (value * scale).round() / scale;
    }
    format!("{value:.5e}").parse().unwrap_or(value)
}

impl QuantityOut {
    /// A number in a unit that is the same everywhere, or has been chosen by the caller.
    pub fn plain(value: f64, unit: &'static str) -> Self {
        Self {
            value: rounded(value),
            unit,
            text: None,
        }
    }

    fn either(units: Units, imperial: (f64, &'static str), metric: (f64, &'static str)) -> Self {
        let (value, unit) = match units {
            Units::Imperial => imperial,
            Units::Metric => metric,
        };
        Self::plain(value, unit)
    }

    /// A length, in inches or millimetres.
    pub fn length(it: Length, units: Units) -> Self {
        Self::either(units, (it.in_inches(), "in"), (it.in_millimetres(), "mm"))
    }

    /// A length with its text as a tape or rule shows it: to the nearest 1/16 in or 1 mm. The
    /// number beside it is exact.
    pub fn bench_length(it: Length, units: Units) -> Self {
        let text = match units {
            Units::Imperial => BenchLength { exact: it }.text(),
            Units::Metric => format!("{} mm", nearest_millimetre(it).in_millimetres().round()),
        };
        Self {
            text: Some(text),
            ..Self::length(it, units)
        }
    }

    /// A length that no tape shows, with its text in thousandths of an inch or tenths of a
    /// millimetre.
    pub fn fine_length(it: Length, units: Units) -> Self {
        let text = match units {
            Units::Imperial => format!("{:.3} in", it.in_inches()),
            Units::Metric => format!("{:.1} mm", it.in_millimetres()),
        };
        Self {
            text: Some(text),
            ..Self::length(it, units)
        }
    }

    /// A pressure, in psi or bar.
    pub fn pressure(it: Pressure, units: Units) -> Self {
        Self::either(units, (it.in_psi(), "psi"), (it.in_bar(), "bar"))
    }

    /// A temperature, in degrees Fahrenheit or Celsius.
    pub fn temperature(it: Temperature, units: Units) -> Self {
        Self::either(
            units,
            (it.in_fahrenheit(), "degF"),
            (it.in_celsius(), "degC"),
        )
    }

    /// A flow, in US gallons a minute or litres a second.
    pub fn flow(it: FlowRate, units: Units) -> Self {
        Self::either(
            units,
            (it.in_gallons_per_minute(), "gpm"),
            (it.in_litres_per_second(), "l/s"),
        )
    }

    /// A velocity, in feet or metres a second.
    pub fn velocity(it: Velocity, units: Units) -> Self {
        Self::either(
            units,
            (it.in_feet_per_second(), "ft/s"),
            (it.in_metres_per_second(), "m/s"),
        )
    }

    /// A head, in feet or metres of the liquid.
    pub fn head(it: Length, units: Units) -> Self {
        Self::either(units, (it.in_feet(), "ft"), (it.in_metres(), "m"))
    }

    /// An angle, in degrees.
    pub fn angle(it: Angle) -> Self {
        Self::plain(it.in_degrees(), "deg")
    }

    /// A mass, in pounds or kilograms.
    pub fn mass(it: Mass, units: Units) -> Self {
        Self::either(units, (it.in_pounds(), "lb"), (it.in_kilograms(), "kg"))
    }

    /// Mass per length, in pounds a foot or kilograms a metre.
    pub fn linear_mass(it: LinearMass, units: Units) -> Self {
        Self::either(
            units,
            (it.in_pounds_per_foot(), "lb/ft"),
            (it.in_kilograms_per_metre(), "kg/m"),
        )
    }

    /// A volume, in US gallons or litres.
    pub fn volume(it: Volume, units: Units) -> Self {
        Self::either(units, (it.in_gallons(), "gal"), (it.in_litres(), "l"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::quantity::Quantity;
    use proptest::prelude::*;

    /// What an answer says, read as a request would give it.
    fn back<Q: Quantity>(out: &QuantityOut) -> [Q; 2] {
        let written = format!("{} {}", out.value, out.unit);
        [
            Q::from_parts(out.value, out.unit).unwrap(),
            Q::parse(&written).unwrap(),
        ]
    }

    proptest! {
        #[test]
        fn six_digits_are_shown_whatever_the_size(digits in 1.0_f64..10.0, power in -9_i32..20, less in any::<bool>()) {
            let value = if less { -digits } else { digits } * 10_f64.powi(power);
            let shown = rounded(value);
            prop_assert!((shown - value).abs() <= 5.000_001e-6 * 10_f64.powi(power).max(value.abs() / 10.0));
            // Written to six digits it is itself, so that no dust follows them.
            prop_assert_eq!(shown.to_bits(), format!("{shown:.5e}").parse::<f64>().unwrap().to_bits());
        }

        #[test]
        fn what_an_answer_says_reads_as_the_same_in_a_request(
            number in 1e-4_f64..1e4, degc in -50.0_f64..400.0, metric in any::<bool>(),
        ) {
            let units = if metric { Units::Metric } else { Units::Imperial };
            // Six significant digits.
            let same = |a: f64, b: f64| (a - b).abs() <= 5.000_001e-6 * b.abs();
            let it = Length::inches(number);
            for read in back::<Length>(&QuantityOut::length(it, units)) {
                prop_assert!(same(read.in_inches(), number));
            }
            for read in back::<Length>(&QuantityOut::head(it, units)) {
                prop_assert!(same(read.in_inches(), number));
            }
            for read in back::<Pressure>(&QuantityOut::pressure(Pressure::psi(number), units)) {
                prop_assert!(same(read.in_psi(), number));
            }
            for read in back::<FlowRate>(&QuantityOut::flow(FlowRate::gallons_per_minute(number), units)) {
                prop_assert!(same(read.in_gallons_per_minute(), number));
            }
            for read in back::<Velocity>(&QuantityOut::velocity(Velocity::feet_per_second(number), units)) {
                prop_assert!(same(read.in_feet_per_second(), number));
            }
            for read in back::<Mass>(&QuantityOut::mass(Mass::pounds(number), units)) {
                prop_assert!(same(read.in_pounds(), number));
            }
            for read in back::<Volume>(&QuantityOut::volume(Volume::gallons(number), units)) {
                prop_assert!(same(read.in_gallons(), number));
            }
            for read in back::<Angle>(&QuantityOut::angle(Angle::degrees(number))) {
                prop_assert!(same(read.in_degrees(), number));
            }
            for read in back::<Temperature>(&QuantityOut::temperature(Temperature::celsius(degc), units)) {
                // The number shown is of degrees, whose zero is not that of kelvin.
                prop_assert!((read.in_celsius() - degc).abs() <= 5.1e-6 * (degc.abs() * 1.8 + 32.0));
            }
        }
    }

    #[test]
    fn a_change_of_unit_shows_no_binary_dust() {
        let boiling = QuantityOut::temperature(Temperature::celsius(100.0), Units::Imperial);
        assert_eq!(
            serde_json::to_string(&boiling).unwrap(),
            r#"{"value":212.0,"unit":"degF"}"#
        );
        let sum = QuantityOut::plain(0.1 + 0.2, "m");
        assert_eq!(
            serde_json::to_string(&sum).unwrap(),
            r#"{"value":0.3,"unit":"m"}"#
        );
        let none = QuantityOut::angle(Angle::radians(-1e-17));
        assert_eq!(
            serde_json::to_string(&none).unwrap(),
            r#"{"value":0.0,"unit":"deg"}"#
        );
    }

    #[test]
    fn a_length_for_the_bench_has_its_fraction() {
        let length = QuantityOut::bench_length(Length::inches(4.5), Units::Imperial);
        assert_eq!(length.text.as_deref(), Some("4 1/2 in"));
    }
}
