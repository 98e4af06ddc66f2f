//! The choices of a rule set, each with where it comes from.

use crate::trade::source::{Basis, Source, Status};
use crate::trade::tube::WallType;

/// Makes a choice: its word in the contract, how a person says it, where it comes from.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident {
        $($(#[$variant_doc:meta])* $variant:ident = $word:literal, $spoken:literal, $status:ident $cite:literal;)+
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $($(#[$variant_doc])* $variant),+ }

        impl $name {
            /// Everything that can be chosen.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word of the contract.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// How a person says it.
            pub const fn spoken(self) -> &'static str {
                match self { $(Self::$variant => $spoken),+ }
            }

            /// Where it comes from.
            pub fn source(self) -> Source {
                match self { $(Self::$variant => Source::new($cite, Status::$status)),+ }
            }
        }
    };
}
pub(super) use choice;

choice! {
    /// Which wall the collar height is three times of, where texts differ.
    CollarBasis {
        /// The branch's wall (model plumbing codes).
        Branch = "branch", "three times the wall of the branch",
            Seen "model plumbing codes (CPC 2016 605.1.3.1): collar not less than three times the wall of the branch";
        /// The thicker of branch and run (a stricter reading of a federal guide specification).
        ThickerOfBoth = "thicker_of_both", "three times the thicker of both walls",
            Inferred "federal guide specification UFGS-15569A 3.2.6.6: three times the wall of the tube, read for the thicker of both";
    }
}

impl CollarBasis {
    /// As a finding cites it.
    pub fn basis(self) -> Basis {
        match self {
            Self::Branch => Basis::code(
                "model plumbing codes: collar not less than three times the wall of the branch",
            ),
            Self::ThickerOfBoth => Basis::code(
                "three times the thicker wall: the stricter reading of a federal guide specification",
            ),
        }
    }
}

choice! {
    /// From which types of tube collars may be drawn. The forming profile may ask for more wall.
    FormingTypes {
        /// Types K, L and M: what the handbook's envelope covers.
        KLOrM = "k_l_or_m", "types K, L and M, as far as the forming profile allows them",
            Seen "Copper Tube Handbook, ch. 13: collars from tube of types K, L and M";
        /// Types K and L alone.
        KOrL = "k_or_l", "types K and L alone",
            Seen "one provincial plumbing code: collars from tube of types K or L only";
    }
}

impl FormingTypes {
    /// The thinnest type among them.
    pub const fn thinnest(self) -> WallType {
        match self {
            Self::KLOrM => WallType::M,
            Self::KOrL => WallType::L,
        }
    }

    /// As a finding cites it.
    pub fn basis(self) -> Basis {
        let cite = self.source().cite;
        match self {
            Self::KLOrM => Basis::handbook(&cite),
            Self::KOrL => Basis::code(&cite),
        }
    }
}

choice! {
    /// Whose limits of velocity hold.
    VelocityBasis {
        /// What the tube industry advises.
        Handbook = "handbook", "cold water to 8 ft/s, hot to 140 degF to 5 ft/s, hotter to 2 to 3 ft/s",
            Seen "advice of the copper tube industry in ETB-930";
        /// What a model residential code notes.
        CodeNote = "code_note", "5 to 8 ft/s whatever the temperature: above 5 a note, above 8 a caution",
            Seen "IRC 2018, appendix P: a note on velocities of 5 to 8 ft/s";
        /// Whichever of them asks for less.
        Strictest = "strictest", "whichever of the known texts asks for less",
            Derived "the lower of the copper tube industry's advice and a model residential code's note";
    }
}

choice! {
    /// How far apart a manifold is held.
    SupportBasis {
        /// MSS SP-58.
        PipeHangerStandard = "mss_sp_58", "by size, 5 ft for the smallest to 19 ft for 12 in",
            Seen "MSS SP-58, copper tube with water, horizontal, as reprinted in guides";
        /// The International model codes.
        ModelCode = "model_code", "6 ft to 1-1/4 in, 10 ft from 1-1/2 in",
            Seen "IRC 2024 P2605 and IMC 305, copper tubing, horizontal, in summaries";
        /// A municipal specification.
        MunicipalSpecification = "municipal_specification", "by size, 5 ft for 1/2 in to 12 ft for 6 in",
            Seen "a municipal specification, section 15140, horizontal";
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_told_apart() {
        let words = |all: Vec<&str>| {
            let mut sorted = all.clone();
            sorted.sort_unstable();
            sorted.dedup();
            assert_eq!(sorted.len(), all.len());
        };
        words(CollarBasis::ALL.iter().map(|it| it.word()).collect());
        words(FormingTypes::ALL.iter().map(|it| it.word()).collect());
        words(VelocityBasis::ALL.iter().map(|it| it.word()).collect());
        words(SupportBasis::ALL.iter().map(|it| it.word()).collect());
    }
}
