//! Every word of a drawing.

use crate::trade::manifold::EndKind;

/// What closes an end.
pub const fn end(kind: EndKind) -> &'static str {
    match kind {
        EndKind::Plain => "plain end",
        EndKind::Cap => "cap",
        EndKind::Coupling => "coupling",
    }
}

/// Over the end view.
pub const END_VIEW: &str = "End view, from the datum end";
/// At station zero.
pub const DATUM: &str = "datum";
/// At the far end of the run.
pub const OVERALL: &str = "overall";
/// At a coupling within the run.
pub const COUPLING: &str = "coupling";
/// Under the run laid flat.
pub const LAID_FLAT: &str = "Outside of the run laid flat, seen from outside: holes and lines to mark; clock 0 in the middle, 90 below it";
/// Over the cut list.
pub const CUT_LIST: &str = "Cut list";

/// Headings of the outlet table.
pub mod column {
    /// Numbers of the outlets.
    pub const OUTLETS: &str = "Outlets";
    /// Their tube.
    pub const TUBE: &str = "Tube";
    /// Their turn about the run.
    pub const CLOCK: &str = "Clock";
    /// The same turn as a length on the outside of the run.
    pub const ARC: &str = "Arc";
    /// How far they reach.
    pub const STUB: &str = "Stub";
    /// The hole to cut.
    pub const PILOT: &str = "Pilot dia.";
    /// How high the collar stands.
    pub const COLLAR: &str = "Collar";
    /// How deep the branch is notched.
    pub const NOTCH: &str = "Notch";
    /// Where the dimples stand.
    pub const DIMPLES: &str = "Dimples";
    /// The mark in the cut list.
    pub const PIECE: &str = "Piece";
    /// How long to cut.
    pub const LENGTH: &str = "Cut length";
    /// How many.
    pub const COUNT: &str = "Count";
}

/// Notes under the tables.
pub mod note {
    /// How to read imperial dimensions.
    pub const INCHES: &str = "Dimensions in inches: nearest 1/16, the exact value in brackets. Stations run from the datum, the finished face of the first end; never add them up from outlet to outlet.";
    /// How to read metric dimensions.
    pub const MILLIMETRES: &str = "Dimensions in millimetres. Stations run from the datum, the finished face of the first end; never add them up from outlet to outlet.";
    /// How clock positions are counted.
    pub const CLOCK: &str = "Clock: turned about the run from the scribe line (0°, up), clockwise seen from the datum end.";
    /// The same turn as a length.
    pub const ARC: &str = "Arc: the same turn measured round the outside of the run.";
    /// Stub lengths.
    pub const STUB: &str = "Stub: from the outer surface of the run to the end of the branch.";
    /// Collars, notches, dimples.
    pub const FORMED: &str = "Notch: depth to which the branch end is shaped to the bore. Dimples: above the apex of the notch; the first stops on the rim, the second stays in sight. Prove pilot and collar on a sample of the same tube.";
    /// Bought fittings.
    pub const FITTINGS: &str = "Fittings are drawn at stand-in sizes, and cut lengths between them follow from these: measure the fittings you buy before cutting.";
    /// The unit of a CAD drawing.
    pub const DXF_INCHES: &str = "Full size, 1 unit = 1 inch. The datum end is at the origin.";
    /// The unit of a CAD drawing.
    pub const DXF_MILLIMETRES: &str =
        "Full size, 1 unit = 1 millimetre. The datum end is at the origin.";
    /// What a CAD drawing does not replace.
    pub const DXF_DEFERS: &str = "Prove pilot and collar on a sample of the same tube. Local codes and licensed practice decide what may be installed.";
    /// What the drawing does not replace.
    pub const DEFERS: &str = "To scale within each view; work to the figures. Local codes and licensed practice decide what may be installed.";
}
