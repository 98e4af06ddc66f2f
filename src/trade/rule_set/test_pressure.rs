//! What a manifold is tested at, where texts differ.

use super::choices::choice;
use crate::trade::quantity::Pressure;
use crate::trade::service::Service;
use crate::trade::source::{Basis, Source, Status};

choice! {
    /// Which text settles the test pressure.
    TestPressureBasis {
        /// The text that is nearest to the service.
        ByService = "by_service", "heating and chilled water by hydronic practice, medical gas by its own rule, everything else by a city plumbing code",
            Derived "the text that is nearest to each service";
        /// Hydronic practice for everything.
        Hydronic = "hydronic", "1.5 times working pressure and at least 100 psi",
            Memory "hydronic practice: 1.5 times working pressure and at least 100 psi";
        /// A city plumbing code for everything.
        CityCode = "city_code", "working pressure + 50 psi and at least 150 psi for 15 minutes",
            Seen "a city plumbing code: working pressure + 50 psi and at least 150 psi for 15 minutes";
        /// Whichever of them asks the most.
        Strictest = "strictest", "whichever of the known texts asks the most",
            Derived "the highest of hydronic practice, a city plumbing code and the medical gas rule";
    }
}

/// A test pressure and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct TestPressure {
    /// The pressure, gauge.
    pub pressure: Pressure,
    /// Where it comes from.
    pub basis: Basis,
}

/// One text: a multiple of the working pressure, or an addition to it, and a floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Text {
    Hydronic,
    City,
    MedicalGas,
}

impl Text {
    fn asks(self, working: Pressure) -> TestPressure {
        match self {
            Self::Hydronic => TestPressure {
                pressure: (working * 1.5).max(Pressure::psi(100.0)),
                basis: Basis::common_practice(
                    "hydronic practice: 1.5 times working pressure and at least 100 psi (from memory)",
                ),
            },
            Self::City => TestPressure {
                pressure: (working + Pressure::psi(50.0)).max(Pressure::psi(150.0)),
                basis: Basis::code(
                    "a city plumbing code: working pressure + 50 psi and at least 150 psi for 15 minutes",
                ),
            },
            Self::MedicalGas => TestPressure {
                pressure: (working * 1.5).max(Pressure::psi(150.0)),
                basis: Basis::standard(
                    "medical gas: 1.5 times working pressure and at least 150 psi",
                ),
            },
        }
    }
}

impl TestPressureBasis {
    /// The test pressure of a service at a working pressure. Medical gas is never tested at less
    /// than its own rule asks.
    pub fn test_pressure(self, service: Service, working: Pressure) -> TestPressure {
        let texts: &[Text] = match (self, service) {
            (Self::Strictest, _) => &[Text::City, Text::Hydronic, Text::MedicalGas],
            (Self::ByService, Service::MedicalGas) => &[Text::MedicalGas],
            (Self::ByService, Service::HydronicHeating | Service::ChilledWater) => {
                &[Text::Hydronic]
            }
            (Self::ByService, _) => &[Text::City],
            (Self::Hydronic, Service::MedicalGas) => &[Text::Hydronic, Text::MedicalGas],
            (Self::CityCode, Service::MedicalGas) => &[Text::City, Text::MedicalGas],
            (Self::Hydronic, _) => &[Text::Hydronic],
            (Self::CityCode, _) => &[Text::City],
        };
        let mut asked = texts.iter().map(|text| text.asks(working));
        let first = asked.next();
        let most = asked.fold(first, |most, next| match most {
            Some(most) if most.pressure >= next.pressure => Some(most),
            _ => Some(next),
        });
        // Every arm above names a text.
        most.unwrap_or_else(|| Text::City.asks(working))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn psi(basis: TestPressureBasis, service: Service, working: f64) -> f64 {
        basis
            .test_pressure(service, Pressure::psi(working))
            .pressure
            .in_psi()
    }

    #[test]
    fn each_text_asks_what_it_says() {
        use TestPressureBasis::{ByService, CityCode, Hydronic, Strictest};
        // 75 psi: 1.5 x 75 = 112.5; 75 + 50 = 125, and 150 at least.
        for (basis, service, working, wanted) in [
            (ByService, Service::HydronicHeating, 75.0, 112.5),
            (ByService, Service::HydronicHeating, 30.0, 100.0),
            (ByService, Service::PotableCold, 75.0, 150.0),
            (ByService, Service::PotableCold, 120.0, 170.0),
            (ByService, Service::MedicalGas, 55.0, 150.0),
            (CityCode, Service::HydronicHeating, 75.0, 150.0),
            (Hydronic, Service::PotableCold, 75.0, 112.5),
            (Hydronic, Service::MedicalGas, 55.0, 150.0),
            (Strictest, Service::HydronicHeating, 75.0, 150.0),
            (Strictest, Service::HydronicHeating, 120.0, 180.0),
        ] {
            let found = psi(basis, service, working);
            assert!(
                (found - wanted).abs() < 1e-9,
                "{basis:?} {service:?}: {found}"
            );
        }
    }

    #[test]
    fn the_strictest_is_never_below_another() {
        for service in Service::ALL {
            for working in [0.0, 20.0, 66.0, 100.0, 101.0, 400.0] {
                for basis in TestPressureBasis::ALL {
                    let strictest = psi(TestPressureBasis::Strictest, service, working);
                    assert!(strictest >= psi(*basis, service, working) - 1e-9);
                }
            }
        }
    }
}
