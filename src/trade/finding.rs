//! What a rule says of a design.

use super::quantity::{Length, Mass, Pressure, Temperature, Velocity};
use super::source::Basis;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Worth knowing.
    Note,
    /// Somebody must decide or prove something.
    Caution,
    /// It may not be built like this.
    Stop,
}

impl Level {
    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Caution => "caution",
            Self::Stop => "stop",
        }
    }
}

/// A figure of a finding, in whatever unit it has.
#[derive(Debug, Clone, PartialEq)]
pub enum Figure {
    /// A length.
    Length(Length),
    /// A pressure.
    Pressure(Pressure),
    /// A temperature.
    Temperature(Temperature),
    /// A mass.
    Mass(Mass),
    /// A velocity.
    Velocity(Velocity),
    /// A pure number.
    Number(f64),
    /// A choice, as its word.
    Word(String),
}

macro_rules! figure_from {
    ($($type:ty => $variant:ident),+) => {
        $(impl From<$type> for Figure { fn from(value: $type) -> Self { Self::$variant(value) } })+
    };
}
figure_from!(Length => Length, Pressure => Pressure, Temperature => Temperature, Mass => Mass, Velocity => Velocity, f64 => Number, String => Word);

impl From<&str> for Figure {
    fn from(word: &str) -> Self {
        Self::Word(word.to_owned())
    }
}

macro_rules! rules {
    ($($(#[$doc:meta])* $variant:ident = $name:literal),+ $(,)?) => {
        /// The rules, by the names clients know.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Rule { $($(#[$doc])* $variant),+ }
        impl Rule {
            /// Every rule, in the order findings are listed.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// The name of the contract.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),+ }
            }
            /// The rule of that name.
            pub fn named(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|rule| rule.name() == name)
            }
        }
    };
}

rules! {
    /// The wall left at the rim of a collar holds the pressure.
    RunWall = "run-wall",
    /// The run's tube type suits forming and pressure.
    RunType = "run-type",
    /// The branch size suits the run and the equipment.
    BranchSize = "branch-size",
    /// The collar is high enough.
    CollarHeight = "collar-height",
    /// How hard the draw is.
    FormingSeverity = "forming-severity",
    /// How level the rim stands.
    RimLevel = "rim-level",
    /// Outlets are far enough apart.
    OutletPitch = "outlet-pitch",
    /// Outlets are far enough from the ends.
    EndDistance = "end-distance",
    /// Outlets do not meet.
    OutletOverlap = "outlet-overlap",
    /// The branch end follows the bore and does not stand into it.
    BranchIntrusion = "branch-intrusion",
    /// Where the two dimples stand.
    Dimples = "dimples",
    /// The joining method suits the build.
    JointMethod = "joint-method",
    /// The filler suits the service.
    FillerService = "filler-service",
    /// The filler suits the metals.
    FillerMaterials = "filler-materials",
    /// The build is allowed in the service.
    ServiceAllowed = "service-allowed",
    /// The run holds the pressure.
    PressureRun = "pressure-run",
    /// The branches hold the pressure.
    PressureBranch = "pressure-branch",
    /// The fittings hold the pressure.
    PressureFitting = "pressure-fitting",
    /// The joints hold the pressure.
    PressureJoint = "pressure-joint",
    /// The metal round an opening makes up for what was cut out.
    OpeningReinforcement = "opening-reinforcement",
    /// The joints bear the temperature.
    TemperatureJoint = "temperature-joint",
    /// The water runs no faster than copper bears.
    Velocity = "velocity",
    /// The outlets share the water evenly.
    FlowSpread = "flow-spread",
    /// The branch bores together against the run's.
    AreaRatio = "area-ratio",
    /// Drinking water stands nowhere.
    DeadLeg = "dead-leg",
    /// The run comes out of one stick.
    RunLength = "run-length",
    /// One person can lift it.
    LiftMass = "lift-mass",
    /// Drinking water touches no lead.
    LeadFree = "lead-free",
    /// The inside is purged while brazing.
    Purge = "purge",
    /// Hot work is watched.
    HotWork = "hot-work",
    /// What pressure it is tested at.
    TestPressure = "test-pressure",
}

/// One finding: what was measured, what the limit is, where it comes from, what to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Which rule.
    pub rule: Rule,
    /// How much it weighs.
    pub level: Level,
    /// JSON pointer into the manifold.
    pub pointer: String,
    /// A sentence for people.
    pub detail: String,
    /// What was measured.
    pub measured: Option<Figure>,
    /// The limit it was held against.
    pub limit: Option<Figure>,
    /// Where the limit comes from.
    pub basis: Basis,
    /// What to do.
    pub remedy: String,
}

impl Finding {
    /// A finding with its sentence; figures and remedy are added to it.
    pub fn new(
        rule: Rule,
        level: Level,
        pointer: impl Into<String>,
        basis: Basis,
        detail: impl Into<String>,
    ) -> Self {
        Self {
            rule,
            level,
            pointer: pointer.into(),
            detail: detail.into(),
            measured: None,
            limit: None,
            basis,
            remedy: String::new(),
        }
    }

    /// With what was measured and the limit.
    #[must_use]
    pub fn against(mut self, measured: impl Into<Figure>, limit: impl Into<Figure>) -> Self {
        self.measured = Some(measured.into());
        self.limit = Some(limit.into());
        self
    }

    /// With what to do.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }
}
