//! The operations of the bench, in the order of the work.

/// What an operation's time grows with, besides its count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Driver {
    /// Nothing.
    None,
    /// Inches of outside diameter.
    OutsideDiameter,
    /// Litres of contents.
    Contents,
    /// Kilograms of assembly.
    Mass,
}

impl Driver {
    /// Its unit in words.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::None => "",
            Self::OutsideDiameter => "inch of outside diameter",
            Self::Contents => "litre of contents",
            Self::Mass => "kilogram of assembly",
        }
    }
}

/// Operations that are booked and vary together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OperationGroup {
    /// Marking out, cutting, deburring.
    Preparing,
    /// Forming collars, notching and dimpling.
    Forming,
    /// Cleaning, fitting up, brazing or soldering.
    Joining,
    /// Testing, inspecting, packing, handling.
    Finishing,
}

impl OperationGroup {
    /// Every group.
    pub const ALL: [Self; 4] = [
        Self::Preparing,
        Self::Forming,
        Self::Joining,
        Self::Finishing,
    ];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Preparing => "preparing",
            Self::Forming => "forming",
            Self::Joining => "joining",
            Self::Finishing => "finishing",
        }
    }
}

macro_rules! operations {
    ($($(#[$doc:meta])* $variant:ident = $word:literal, $spoken:literal, $each:literal, $driver:ident, $group:ident;)+) => {
        /// An operation of the bench.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Operation { $($(#[$doc])* $variant),+ }
        impl Operation {
            /// Every operation, in the order of the work.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// The word of the contract.
            pub const fn word(self) -> &'static str { match self { $(Self::$variant => $word),+ } }
            /// How a person names it.
            pub const fn spoken(self) -> &'static str { match self { $(Self::$variant => $spoken),+ } }
            /// What it is counted by.
            pub const fn counted_by(self) -> &'static str { match self { $(Self::$variant => $each),+ } }
            /// What its time grows with.
            pub const fn driver(self) -> Driver { match self { $(Self::$variant => Driver::$driver),+ } }
            /// What it is booked with.
            pub const fn group(self) -> OperationGroup { match self { $(Self::$variant => OperationGroup::$group),+ } }
            /// From its word.
            pub fn from_word(word: &str) -> Option<Self> { Self::ALL.iter().copied().find(|op| op.word() == word) }
        }
    };
}

operations! {
    /// Mark out the stations of the run.
    MarkOut = "mark_out", "mark out", "outlet", None, Preparing;
    /// Cut a piece of tube.
    Cut = "cut", "cut tube", "piece", OutsideDiameter, Preparing;
    /// Deburr and true a cut end.
    Deburr = "deburr", "deburr ends", "end", OutsideDiameter, Preparing;
    /// Set the forming equipment to a branch size.
    FormingSetUp = "forming_set_up", "set up forming", "branch size", None, Forming;
    /// Drill the pilot and draw a collar.
    FormCollar = "form_collar", "form collars", "collar", OutsideDiameter, Forming;
    /// Notch a branch end and set its dimples.
    NotchAndDimple = "notch_and_dimple", "notch and dimple branches", "branch", None, Forming;
    /// Clean a joint.
    Clean = "clean", "clean joints", "joint", OutsideDiameter, Joining;
    /// Fit up and support a joint.
    FitAndSupport = "fit_and_support", "fit up and support", "joint", None, Joining;
    /// Braze a joint.
    Braze = "braze", "braze joints", "joint", OutsideDiameter, Joining;
    /// Solder a joint.
    Solder = "solder", "solder joints", "joint", OutsideDiameter, Joining;
    /// Cool and wash a joint.
    CoolAndWash = "cool_and_wash", "cool and wash joints", "joint", None, Joining;
    /// Close an end of the run.
    CloseEnd = "close_end", "close ends", "closed end", None, Joining;
    /// Set up a purge.
    PurgeSetUp = "purge_set_up", "set up purge", "assembly", None, Finishing;
    /// Fill, pressurise, hold, drain.
    PressureTest = "pressure_test", "pressure test", "assembly", Contents, Finishing;
    /// Inspect a joint.
    Inspect = "inspect", "inspect joints", "joint", None, Finishing;
    /// Label and pack an assembly.
    LabelAndPack = "label_and_pack", "label and pack", "assembly", None, Finishing;
    /// Carry and turn an assembly.
    Handle = "handle", "handle", "assembly", Mass, Finishing;
}
