//! Copper tube: sizes, tolerances, mass and contents.

mod nominal;

use std::f64::consts::PI;

use super::quantity::{Area, Density, Length, LinearMass, Pressure, Volume};
use super::source::Source;

pub use nominal::Nominal;

/// Copper C12200 as ASTM tube weights take it: 0.323 lb/in3 reproduces every published
/// ASTM B88 weight at three figures (seen).
pub const COPPER_DENSITY: Density = Density::pounds_per_cubic_inch(0.323);

/// Copper as EN 1057 tables weigh it: 8.9 g/cm3 gives their masses (seen). The masses of ASTM
/// B88M follow from the inch figure.
pub const COPPER_DENSITY_EN: Density = Density::grams_per_cubic_centimetre(8.9);

macro_rules! standards {
    ($($(#[$doc:meta])* $variant:ident = $prefix:literal $name:literal),+ $(,)?) => {
        /// The product standard a tube is made to.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Standard { $($(#[$doc])* $variant),+ }

        impl Standard {
            /// Every standard of the catalogue.
            pub const ALL: [Self; 6] = [$(Self::$variant),+];

            /// The name as printed on the standard.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),+ }
            }

            /// How tube ids of this standard begin.
            pub const fn id_prefix(self) -> &'static str {
                match self { $(Self::$variant => $prefix),+ }
            }
        }
    };
}

standards! {
    /// ASTM B88, seamless copper water tube.
    AstmB88 = "b88" "ASTM B88",
    /// ASTM B306, copper drainage tube (DWV).
    AstmB306 = "b306" "ASTM B306",
    /// ASTM B819, copper tube for medical gas systems.
    AstmB819 = "b819" "ASTM B819",
    /// ASTM B280, copper tube for air conditioning and refrigeration.
    AstmB280 = "b280" "ASTM B280",
    /// ASTM B88M, copper water tube in metric sizes.
    AstmB88M = "b88m" "ASTM B88M",
    /// EN 1057, copper tube for water and gas.
    En1057 = "en1057" "EN 1057",
}

impl Standard {
    /// What tube of this standard is for, in the trade's words.
    pub const fn made_for(self) -> &'static str {
        match self {
            Self::AstmB88 | Self::AstmB88M => "water tube",
            Self::AstmB306 => "drainage tube",
            Self::AstmB819 => "medical gas tube",
            Self::AstmB280 => "refrigerant tube",
            Self::En1057 => "water and gas tube",
        }
    }
}

/// The wall series of inch tube, thinnest first: a measure for every tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WallType {
    /// Drainage tube. Never pressure tube.
    Dwv,
    /// Pressure tube of another standard that is thinner than type M of its diameter.
    ThinnerThanM,
    /// Thin.
    M,
    /// Medium.
    L,
    /// Thick.
    K,
}

impl WallType {
    /// Every type that tube is sold as, thinnest first.
    pub const ALL: [Self; 4] = [Self::Dwv, Self::M, Self::L, Self::K];

    /// The letter or letters of the trade.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dwv => "DWV",
            Self::ThinnerThanM => "thinner than M",
            Self::M => "M",
            Self::L => "L",
            Self::K => "K",
        }
    }

    /// From its letters, in either case.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|kind| kind.name().eq_ignore_ascii_case(name))
    }
}

/// How hard the tube is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Temper {
    /// Soft: ASTM O60 or O50, EN R220; also any tube that has been brazed.
    Annealed,
    /// Half hard: EN R250.
    HalfHard,
    /// Hard: ASTM H58, EN R290.
    Drawn,
}

impl Temper {
    /// Every temper, softest first.
    pub const ALL: [Self; 3] = [Self::Annealed, Self::HalfHard, Self::Drawn];

    /// From the word of the contract.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|temper| temper.word() == word)
    }

    /// How a person says it.
    pub const fn spoken(self) -> &'static str {
        match self {
            Self::Annealed => "annealed",
            Self::HalfHard => "half-hard",
            Self::Drawn => "drawn",
        }
    }

    /// The word of the contract.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Annealed => "annealed",
            Self::HalfHard => "half_hard",
            Self::Drawn => "drawn",
        }
    }
}

/// Permitted variations of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances {
    /// Most the mean outside diameter of annealed tube may exceed the standard one.
    pub od_annealed: Option<Length>,
    /// The same for drawn tube.
    pub od_drawn: Option<Length>,
    /// Most the wall may fall short of, or exceed, the standard one; unknown for a few sizes.
    pub wall: Option<Length>,
    /// Where the tolerances come from.
    pub source: Source,
}

/// One size of one tube standard.
#[derive(Debug, Clone, PartialEq)]
pub struct Tube {
    /// The id clients use, such as `b88-l-1.25`.
    pub id: String,
    /// The product standard.
    pub standard: Standard,
    /// The type letters of its own standard: `K`, `DWV`, and `A`, `B`, `C` of ASTM B88M; `None`
    /// where a standard has no types.
    pub type_name: Option<String>,
    /// Its wall as a series of inch tube: the type of ASTM B88, B306 and B819 tube; for any other
    /// the heaviest of M, L and K whose wall it reaches at its outside diameter.
    pub wall_type: WallType,
    /// The size it goes by.
    pub nominal: Nominal,
    /// Outside diameter.
    pub od: Length,
    /// Standard (nominal) wall.
    pub wall: Length,
    /// Permitted variations.
    pub tolerances: Tolerances,
    /// Tempers it is sold in.
    pub tempers: Vec<Temper>,
    /// Length of a straight stick as sold; of the coil, where it comes in coils only.
    pub stick: Length,
    /// Lengths of the coils it is sold in.
    pub coils: Vec<Length>,
    /// Where tempers and sold lengths come from.
    pub sold_source: Source,
    /// Published working pressures by temper (EN 1057, to 65 degC).
    pub printed: Vec<(Temper, Pressure)>,
    /// Where the dimensions come from.
    pub source: Source,
}

impl Tube {
    /// Bore diameter at the standard wall.
    pub fn bore(&self) -> Length {
        self.od - self.wall * 2.0
    }

    /// Outside radius.
    pub fn outer_radius(&self) -> Length {
        self.od / 2.0
    }

    /// Inside radius.
    pub fn inner_radius(&self) -> Length {
        self.bore() / 2.0
    }

    /// Area of the bore.
    pub fn bore_area(&self) -> Area {
        self.bore() * self.bore() * (PI / 4.0)
    }

    /// Density of its copper, as the tables of its standard weigh it.
    pub fn density(&self) -> Density {
        match self.standard {
            Standard::En1057 => COPPER_DENSITY_EN,
            _ => COPPER_DENSITY,
        }
    }

    /// Copper per length: pi (OD - t) t rho.
    pub fn linear_mass(&self) -> LinearMass {
        (self.od - self.wall) * self.wall * PI * self.density()
    }

    /// What a length holds when full.
    pub fn contents(&self, length: Length) -> Volume {
        self.bore_area() * length
    }

    /// Least wall its standard permits; a tenth less than the standard wall where no tolerance is
    /// published (a stand-in: the published ones are about that).
    pub fn least_wall(&self) -> Length {
        self.wall - self.tolerances.wall.unwrap_or(self.wall * 0.1)
    }

    /// Whether the standard makes it as pressure tube.
    pub fn is_pressure_tube(&self) -> bool {
        self.standard != Standard::AstmB306
    }

    /// The hardest temper it is sold in, which is what a stick is unless somebody says otherwise.
    pub fn usual_temper(&self) -> Temper {
        self.tempers.iter().copied().max().unwrap_or(Temper::Drawn)
    }

    /// How the trade calls it: `2 in type L`, `7/8 in OD ACR`, `28 x 1.2 mm`.
    pub fn call_out(&self) -> String {
        let wall = || (self.wall.in_millimetres() * 1e3).round() / 1e3;
        let size = self.nominal.with_unit();
        match (self.standard, self.type_name.as_deref()) {
            (Standard::AstmB306, _) => format!("{size} DWV"),
            (Standard::AstmB819, Some(letter)) => format!("{size} type {letter} medical gas"),
            (Standard::AstmB280, _) if self.tempers == [Temper::Annealed] => format!(
                "{size} x {} in ACR coil",
                (self.wall.in_inches() * 1e4).round() / 1e4
            ),
            (Standard::AstmB280, _) => format!("{size} ACR"),
            (Standard::En1057, _) => {
                format!("{} x {} mm", self.nominal.decimal(), wall())
            }
            (_, Some(letter)) => format!("{size} type {letter}"),
            (_, None) => size,
        }
    }
}
