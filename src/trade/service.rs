//! What the manifold will carry.

/// The service of a manifold, as the contract names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Service {
    /// Cold drinking water.
    PotableCold,
    /// Hot drinking water.
    PotableHot,
    /// Closed heating water.
    HydronicHeating,
    /// Closed chilled water.
    ChilledWater,
    /// Compressed air.
    CompressedAir,
    /// Medical gas.
    MedicalGas,
    /// Fire sprinkler water.
    FireSprinkler,
    /// Fuel gas.
    FuelGas,
    /// Drainage and vent.
    Drainage,
    /// Refrigerant.
    Refrigerant,
    /// Saturated steam.
    SaturatedSteam,
    /// Anything else: the rules that depend on service say that they could not judge.
    Other,
}

impl Service {
    /// Every service.
    pub const ALL: [Self; 12] = [
        Self::PotableCold,
        Self::PotableHot,
        Self::HydronicHeating,
        Self::ChilledWater,
        Self::CompressedAir,
        Self::MedicalGas,
        Self::FireSprinkler,
        Self::FuelGas,
        Self::Drainage,
        Self::Refrigerant,
        Self::SaturatedSteam,
        Self::Other,
    ];

    /// How a person says it.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::PotableCold => "cold drinking water",
            Self::PotableHot => "hot drinking water",
            Self::HydronicHeating => "hydronic heating",
            Self::ChilledWater => "chilled water",
            Self::CompressedAir => "compressed air",
            Self::MedicalGas => "medical gas",
            Self::FireSprinkler => "fire sprinkler",
            Self::FuelGas => "fuel gas",
            Self::Drainage => "drainage",
            Self::Refrigerant => "refrigerant",
            Self::SaturatedSteam => "saturated steam",
            Self::Other => "other service",
        }
    }

    /// Carries a gas, and is usually tested with one.
    pub const fn is_gas(self) -> bool {
        matches!(
            self,
            Self::CompressedAir | Self::MedicalGas | Self::FuelGas | Self::Refrigerant
        )
    }

    /// Carries water as a liquid.
    pub const fn is_water(self) -> bool {
        matches!(
            self,
            Self::PotableCold
                | Self::PotableHot
                | Self::HydronicHeating
                | Self::ChilledWater
                | Self::FireSprinkler
        )
    }

    /// Carries drinking water.
    pub const fn is_potable(self) -> bool {
        matches!(self, Self::PotableCold | Self::PotableHot)
    }
}
