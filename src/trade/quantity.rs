//! Unit types of the trade: SI inside, the unit chosen on the way in and out.
//!
//! The number inside each type is private; a value is made by naming its unit
//! (`Length::inches(4.5)`) and read back the same way (`length.in_inches()`).

mod fraction;
mod parse;

pub use fraction::{BenchLength, bench_inches, nearest_millimetre, nearest_sixteenth};
pub use parse::{ParseQuantityError, Quantity, Unit};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident { $($(#[$unit_doc:meta])* $make:ident / $read:ident = $factor:expr;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            $(
                $(#[$unit_doc])*
                pub const fn $make(value: f64) -> Self { Self(value * $factor) }
                /// The same value read in that unit.
                pub const fn $read(self) -> f64 { self.0 / $factor }
            )+
            /// The smaller of two.
            pub const fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The larger of two.
            pub const fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// The size without its sign.
            pub const fn abs(self) -> Self { Self(self.0.abs()) }
            /// Neither infinite nor undefined.
            pub const fn is_finite(self) -> bool { self.0.is_finite() }
        }

        impl std::ops::Add for $name { type Output = Self; fn add(self, other: Self) -> Self { Self(self.0 + other.0) } }
        impl std::ops::Sub for $name { type Output = Self; fn sub(self, other: Self) -> Self { Self(self.0 - other.0) } }
        impl std::ops::Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl std::ops::AddAssign for $name { fn add_assign(&mut self, other: Self) { self.0 += other.0; } }
        impl std::ops::Mul<f64> for $name { type Output = Self; fn mul(self, by: f64) -> Self { Self(self.0 * by) } }
        impl std::ops::Div<f64> for $name { type Output = Self; fn div(self, by: f64) -> Self { Self(self.0 / by) } }
        impl std::ops::Div for $name { type Output = f64; fn div(self, by: Self) -> f64 { self.0 / by.0 } }
        impl std::iter::Sum for $name { fn sum<I: Iterator<Item = Self>>(items: I) -> Self { items.fold(Self::ZERO, |a, b| a + b) } }
    };
}

/// The inch is exactly 25.4 mm (international yard and pound agreement, 1959).
const INCH: f64 = 0.0254;
/// The avoirdupois pound is exactly 0.453 592 37 kg (same agreement).
const POUND: f64 = 0.453_592_37;
/// One pound-force on one square inch, with standard gravity 9.806 65 m/s2.
const PSI: f64 = POUND * 9.806_65 / (INCH * INCH);
/// The US liquid gallon is exactly 231 cubic inches.
const GALLON: f64 = 231.0 * INCH * INCH * INCH;

/// One US gallon a minute at 1 psi, as cubic metres an hour at 1 bar: the gallon's hour-flow times
/// the root of the bar in psi (derived from the units above).
const KV_OF_CV: f64 = GALLON * 60.0 * 3.808_382_041_368_87;

quantity! {
    /// A length, in metres inside.
    Length {
        /// From metres.
        metres / in_metres = 1.0;
        /// From millimetres.
        millimetres / in_millimetres = 1e-3;
        /// From inches.
        inches / in_inches = INCH;
        /// From feet.
        feet / in_feet = 12.0 * INCH;
    }
}
quantity! {
    /// An area, in square metres inside.
    Area {
        /// From square metres.
        square_metres / in_square_metres = 1.0;
        /// From square inches.
        square_inches / in_square_inches = INCH * INCH;
    }
}
quantity! {
    /// A volume, in cubic metres inside.
    Volume {
        /// From cubic metres.
        cubic_metres / in_cubic_metres = 1.0;
        /// From litres.
        litres / in_litres = 1e-3;
        /// From US gallons.
        gallons / in_gallons = GALLON;
        /// From cubic inches.
        cubic_inches / in_cubic_inches = INCH * INCH * INCH;
        /// From cubic millimetres.
        cubic_millimetres / in_cubic_millimetres = 1e-9;
    }
}
quantity! {
    /// A mass, in kilograms inside.
    Mass {
        /// From kilograms.
        kilograms / in_kilograms = 1.0;
        /// From grams.
        grams / in_grams = 1e-3;
        /// From pounds.
        pounds / in_pounds = POUND;
        /// From avoirdupois ounces.
        ounces / in_ounces = POUND / 16.0;
    }
}
quantity! {
    /// Mass of tube per length, in kilograms per metre inside.
    LinearMass {
        /// From kilograms per metre.
        kilograms_per_metre / in_kilograms_per_metre = 1.0;
        /// From pounds per foot.
        pounds_per_foot / in_pounds_per_foot = POUND / (12.0 * INCH);
    }
}
quantity! {
    /// A density, in kilograms per cubic metre inside.
    Density {
        /// From kilograms per cubic metre.
        kilograms_per_cubic_metre / in_kilograms_per_cubic_metre = 1.0;
        /// From grams per cubic centimetre.
        grams_per_cubic_centimetre / in_grams_per_cubic_centimetre = 1000.0;
        /// From pounds per cubic inch.
        pounds_per_cubic_inch / in_pounds_per_cubic_inch = POUND / (INCH * INCH * INCH);
    }
}
quantity! {
    /// A gauge pressure or a stress, in pascals inside.
    Pressure {
        /// From pascals.
        pascals / in_pascals = 1.0;
        /// From kilopascals.
        kilopascals / in_kilopascals = 1e3;
        /// From bar.
        bar / in_bar = 1e5;
        /// From megapascals (newtons per square millimetre).
        megapascals / in_megapascals = 1e6;
        /// From pounds-force per square inch.
        psi / in_psi = PSI;
    }
}
quantity! {
    /// A flow of liquid, in cubic metres per second inside.
    FlowRate {
        /// From cubic metres per second.
        cubic_metres_per_second / in_cubic_metres_per_second = 1.0;
        /// From litres per second.
        litres_per_second / in_litres_per_second = 1e-3;
        /// From US gallons per minute.
        gallons_per_minute / in_gallons_per_minute = GALLON / 60.0;
    }
}
quantity! {
    /// A velocity, in metres per second inside.
    Velocity {
        /// From metres per second.
        metres_per_second / in_metres_per_second = 1.0;
        /// From feet per second.
        feet_per_second / in_feet_per_second = 12.0 * INCH;
    }
}
quantity! {
    /// A dynamic viscosity, in pascal seconds inside.
    Viscosity {
        /// From pascal seconds.
        pascal_seconds / in_pascal_seconds = 1.0;
        /// From millipascal seconds, the same as centipoise.
        millipascal_seconds / in_millipascal_seconds = 1e-3;
    }
}
quantity! {
    /// How much water a valve or an end use lets through at a drop of one unit, inside as the
    /// cubic metres an hour of 1000 kg/m3 water at 1 bar (IEC 60534-1).
    FlowCoefficient {
        /// From cubic metres an hour at 1 bar.
        kv / in_kv = 1.0;
        /// From US gallons a minute at 1 psi.
        cv / in_cv = KV_OF_CV;
    }
}
quantity! {
    /// An angle, in radians inside.
    Angle {
        /// From radians.
        radians / in_radians = 1.0;
        /// From degrees.
        degrees / in_degrees = std::f64::consts::PI / 180.0;
    }
}
quantity! {
    /// Time spent working, in seconds inside.
    WorkTime {
        /// From seconds.
        seconds / in_seconds = 1.0;
        /// From minutes.
        minutes / in_minutes = 60.0;
        /// From hours.
        hours / in_hours = 3600.0;
    }
}

impl std::ops::Mul<Length> for LinearMass {
    type Output = Mass;
    fn mul(self, length: Length) -> Mass {
        Mass(self.0 * length.0)
    }
}

impl std::ops::Mul for Length {
    type Output = Area;
    fn mul(self, other: Length) -> Area {
        Area(self.0 * other.0)
    }
}

impl std::ops::Mul<Length> for Area {
    type Output = Volume;
    fn mul(self, length: Length) -> Volume {
        Volume(self.0 * length.0)
    }
}

impl std::ops::Div<Area> for FlowRate {
    type Output = Velocity;
    fn div(self, area: Area) -> Velocity {
        Velocity(self.0 / area.0)
    }
}

impl std::ops::Div<Area> for Volume {
    type Output = Length;
    fn div(self, area: Area) -> Length {
        Length::metres(self.in_cubic_metres() / area.in_square_metres())
    }
}

impl std::ops::Mul<Density> for Volume {
    type Output = Mass;
    fn mul(self, density: Density) -> Mass {
        Mass(self.0 * density.0)
    }
}

impl std::ops::Mul<Density> for Area {
    type Output = LinearMass;
    fn mul(self, density: Density) -> LinearMass {
        LinearMass(self.0 * density.0)
    }
}

/// A temperature, in kelvin inside. Not a multiple of anything: differences
/// and products of temperatures are not defined here.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// From kelvin.
    pub const fn kelvin(value: f64) -> Self {
        Self(value)
    }
    /// From degrees Celsius.
    pub const fn celsius(value: f64) -> Self {
        Self(value + 273.15)
    }
    /// From degrees Fahrenheit.
    pub const fn fahrenheit(value: f64) -> Self {
        Self((value + 459.67) * 5.0 / 9.0)
    }
    /// Read in kelvin.
    pub const fn in_kelvin(self) -> f64 {
        self.0
    }
    /// Read in degrees Celsius.
    pub const fn in_celsius(self) -> f64 {
        self.0 - 273.15
    }
    /// Read in degrees Fahrenheit.
    pub const fn in_fahrenheit(self) -> f64 {
        self.0 * 9.0 / 5.0 - 459.67
    }
    /// Neither infinite nor undefined.
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_psi_is_the_published_number_of_pascals() {
        // NIST SP 811 (2008), table B.8: 1 psi = 6.894 757 E+03 Pa.
        assert!((Pressure::psi(1.0).in_pascals() - 6_894.757).abs() < 5e-4);
    }

    #[test]
    fn one_gallon_is_the_published_number_of_litres() {
        // NIST SP 811 (2008), table B.8: 1 gal (US) = 3.785 412 L.
        assert!((Volume::gallons(1.0).in_litres() - 3.785_412).abs() < 5e-7);
    }

    #[test]
    fn flow_coefficients_change_as_published() {
        // IEC 60534-1 gives Kv = 0.865 Cv; the root of the bar in psi is checked on the way.
        assert!((FlowCoefficient::cv(1.0).in_kv() - 0.865).abs() < 5e-4);
        let root = Pressure::bar(1.0).in_psi().sqrt();
        let made = Volume::gallons(60.0).in_cubic_metres() * root;
        assert!((FlowCoefficient::cv(1.0).in_kv() - made).abs() < 1e-12);
    }

    #[test]
    fn temperatures_meet_at_the_fixed_points() {
        assert!((Temperature::fahrenheit(212.0).in_celsius() - 100.0).abs() < 1e-9);
        assert!((Temperature::celsius(-40.0).in_fahrenheit() + 40.0).abs() < 1e-9);
    }
}
