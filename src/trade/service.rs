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
    /// Anything else: the rules that depend on service say that they could not judge.
    Other,
}

impl Service {
    /// Every service.
    pub const ALL: [Self; 11] = [
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
            Self::Other => "other service",
        }
    }

    /// Carries drinking water.
    pub const fn is_potable(self) -> bool {
        matches!(self, Self::PotableCold | Self::PotableHot)
    }
}
