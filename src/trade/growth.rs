//! How much a run grows when it warms.

use super::quantity::{Length, Temperature};
use super::source::{Source, Status};

/// Growth of copper per degree Fahrenheit, 70 to 212 F (Copper Tube Handbook, design value, seen).
pub const PER_DEGREE_FAHRENHEIT: f64 = 9.4e-6;

/// The temperature at which a manifold is taken to be fixed when nobody says: 68 F (20 C).
pub const USUAL_FIXING: Temperature = Temperature::celsius(20.0);

/// Growth of a length between two temperatures; negative when it cools.
pub fn growth(length: Length, from: Temperature, to: Temperature) -> Length {
    length * (PER_DEGREE_FAHRENHEIT * (to.in_fahrenheit() - from.in_fahrenheit()))
}

/// The source of [`PER_DEGREE_FAHRENHEIT`].
pub fn source() -> Source {
    Source::new(
        "Copper Tube Handbook: 9.4 millionths of the length per degree F, for 70 to 212 F",
        Status::Seen,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_feet_by_a_hundred_degrees_is_the_handbooks_figure() {
        // Copper Tube Handbook (seen): 100 ft by 100 F grows 1.128 in.
        let grown = growth(
            Length::feet(100.0),
            Temperature::fahrenheit(70.0),
            Temperature::fahrenheit(170.0),
        );
        assert!((grown.in_inches() - 1.128).abs() < 1e-9);
        let shrunk = growth(
            Length::feet(100.0),
            Temperature::fahrenheit(170.0),
            Temperature::fahrenheit(70.0),
        );
        assert!((shrunk.in_inches() + 1.128).abs() < 1e-9);
    }
}
