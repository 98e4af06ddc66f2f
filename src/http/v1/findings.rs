//! Findings in answers, shared by checks, estimates and quotes.

use serde::Serialize;
use utoipa::ToSchema;

use crate::http::wire::{QuantityOut, Units, wire_enum};
use crate::trade::check::Verdict;
use crate::trade::finding::{Figure, Finding, Level};
use crate::trade::source::{Basis, BasisKind, Source, Status};

wire_enum! {
    /// How much a finding weighs.
    pub enum FindingLevel {
        /// Worth knowing.
        Note = "note",
        /// Somebody must decide or prove something.
        Caution = "caution",
        /// It may not be built like this.
        Stop = "stop",
    }
}

impl From<Level> for FindingLevel {
    fn from(level: Level) -> Self {
        match level {
            Level::Note => Self::Note,
            Level::Caution => Self::Caution,
            Level::Stop => Self::Stop,
        }
    }
}

wire_enum! {
    /// What a check comes to.
    pub enum VerdictName {
        /// Nothing stands against it.
        Buildable = "buildable",
        /// It can be built once the cautions are seen to.
        BuildableWithCautions = "buildable_with_cautions",
        /// It may not be built like this; at least one finding is a stop.
        NotBuildable = "not_buildable",
    }
}

impl From<Verdict> for VerdictName {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Buildable => Self::Buildable,
            Verdict::BuildableWithCautions => Self::BuildableWithCautions,
            Verdict::NotBuildable => Self::NotBuildable,
        }
    }
}

wire_enum! {
    /// The kind of authority behind a limit.
    pub enum BasisKindName {
        /// A model code or a regulation.
        Code = "code",
        /// A product or design standard.
        Standard = "standard",
        /// A handbook of the trade.
        Handbook = "handbook",
        /// What the trade does, with no text to cite.
        CommonPractice = "common_practice",
        /// The shop's own setting or equipment.
        Shop = "shop",
    }
}

impl From<BasisKind> for BasisKindName {
    fn from(kind: BasisKind) -> Self {
        match kind {
            BasisKind::Code => Self::Code,
            BasisKind::Standard => Self::Standard,
            BasisKind::Handbook => Self::Handbook,
            BasisKind::CommonPractice => Self::CommonPractice,
            BasisKind::Shop => Self::Shop,
        }
    }
}

wire_enum! {
    /// How far a figure may be trusted.
    pub enum SourceStatus {
        /// Read in the named source.
        Seen = "seen",
        /// Computed from seen figures and checked.
        Derived = "derived",
        /// Deduced from other published figures of the same source.
        Inferred = "inferred",
        /// From memory: check it before relying on it.
        FromMemory = "from_memory",
        /// No figure is known; this one stands in.
        StandIn = "stand_in",
    }
}

impl From<Status> for SourceStatus {
    fn from(status: Status) -> Self {
        match status {
            Status::Seen => Self::Seen,
            Status::Derived => Self::Derived,
            Status::Inferred => Self::Inferred,
            Status::Memory => Self::FromMemory,
            Status::StandIn => Self::StandIn,
        }
    }
}

/// Where a figure comes from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SourceOut {
    /// What was read: standard, handbook, edition, table.
    #[schema(example = "ASTM B88 dimensions and weights as reprinted in engineering tables")]
    pub cite: String,
    /// How far it may be trusted.
    pub status: SourceStatus,
}

impl From<&Source> for SourceOut {
    fn from(source: &Source) -> Self {
        Self {
            cite: source.cite.clone(),
            status: source.status.into(),
        }
    }
}

/// Why a rule says what it says.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BasisOut {
    /// The kind of authority.
    pub kind: BasisKindName,
    /// What is cited, with `(from memory)` where it is so.
    #[schema(
        example = "model plumbing codes: collar not less than three times the wall of the branch"
    )]
    pub cite: String,
}

impl From<&Basis> for BasisOut {
    fn from(basis: &Basis) -> Self {
        Self {
            kind: basis.kind.into(),
            cite: basis.cite.clone(),
        }
    }
}

/// A figure that is a plain number.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
// Told apart from a quantity by having nothing else.
#[serde(deny_unknown_fields)]
pub struct NumberOut {
    /// The number, without a unit.
    #[schema(example = 0.72)]
    pub value: f64,
}

/// A figure that is a choice, such as a tube type.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
// Told apart from a quantity by having nothing else.
#[serde(deny_unknown_fields)]
pub struct WordOut {
    /// The choice.
    #[schema(example = "L")]
    pub value: String,
}

/// A figure of a finding: a quantity with its unit, or a plain number or word without.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(untagged)]
pub enum FigureOut {
    /// A quantity.
    Quantity(QuantityOut),
    /// A plain number.
    Number(NumberOut),
    /// A choice.
    Word(WordOut),
}

impl FigureOut {
    /// In the units asked for.
    pub fn of(figure: &Figure, units: Units) -> Self {
        match figure {
            Figure::Length(it) => Self::Quantity(QuantityOut::length(*it, units)),
            Figure::Pressure(it) => Self::Quantity(QuantityOut::pressure(*it, units)),
            Figure::Temperature(it) => Self::Quantity(QuantityOut::temperature(*it, units)),
            Figure::Velocity(it) => Self::Quantity(QuantityOut::velocity(*it, units)),
            Figure::Mass(it) => Self::Quantity(QuantityOut::mass(*it, units)),
            Figure::Number(it) => Self::Number(NumberOut {
                value: QuantityOut::plain(*it, "").value,
            }),
            Figure::Word(it) => Self::Word(WordOut { value: it.clone() }),
        }
    }
}

/// What a rule says of a manifold: what was measured, what the limit is, where it comes from,
/// what to do.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FindingOut {
    /// The rule, such as `collar-height` or `outlet-pitch`. Programs rely on these names.
    #[schema(value_type = String, example = "collar-height")]
    pub rule: &'static str,
    /// How much it weighs.
    pub level: FindingLevel,
    /// JSON pointer (RFC 6901) into the manifold as it was sent; empty for the whole of it.
    #[schema(example = "/outlets/0/tube")]
    pub pointer: String,
    /// A sentence for people, in inches, psi and degrees Fahrenheit whatever the units of the
    /// answer.
    #[schema(example = "a pilot of 0.874 in gives a collar 0.150 in high; 0.150 in is asked for")]
    pub detail: String,
    /// What was measured; `null` when the finding measures nothing.
    #[schema(required)]
    pub measured: Option<FigureOut>,
    /// The limit it was held against; `null` when there is none.
    #[schema(required)]
    pub limit: Option<FigureOut>,
    /// Where the limit comes from.
    pub basis: BasisOut,
    /// What to do.
    #[schema(example = "prove the pilot on a sample of the same tube before the first run")]
    pub remedy: String,
    /// The page that explains the rule.
    #[schema(example = "/rules/collar-height")]
    pub help: String,
}

impl FindingOut {
    /// In the units asked for.
    pub fn of(finding: &Finding, units: Units) -> Self {
        let figure = |figure: &Option<Figure>| figure.as_ref().map(|it| FigureOut::of(it, units));
        Self {
            rule: finding.rule.name(),
            level: finding.level.into(),
            pointer: finding.pointer.clone(),
            detail: finding.detail.clone(),
            measured: figure(&finding.measured),
            limit: figure(&finding.limit),
            basis: (&finding.basis).into(),
            remedy: finding.remedy.clone(),
            help: format!("/rules/{}", finding.rule.name()),
        }
    }

    /// All of them, in order.
    pub fn all(findings: &[Finding], units: Units) -> Vec<Self> {
        findings.iter().map(|it| Self::of(it, units)).collect()
    }
}
