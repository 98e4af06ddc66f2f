//! Lifting, holding and growing, as answers carry them.

use serde::Serialize;
use utoipa::ToSchema;

use super::{Chosen, DirectionName, SupportBasisName};
use crate::app::App;
use crate::http::v1::findings::SourceOut;
use crate::http::wire::{QuantityOut, Units};
use crate::trade::body::{Body, Place};
use crate::trade::check::Checked;
use crate::trade::growth;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;
use crate::trade::quantity::Length;
use crate::trade::support::{Direction, supports};

/// A place on or about the run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PlaceOut {
    /// From the first end's finished face along the run.
    along: QuantityOut,
    /// Above the axis of the run (clock 0).
    up: QuantityOut,
    /// To the right of the axis, seen from the first end (clock 90).
    right: QuantityOut,
}

/// From least to most in one direction.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SpanOut {
    /// Least.
    from: QuantityOut,
    /// Most.
    to: QuantityOut,
}

/// The box that the manifold takes, fittings by stand-in sizes.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EnvelopeOut {
    /// Length over all.
    length: QuantityOut,
    /// Height over all, with clock 0 up.
    height: QuantityOut,
    /// Width over all.
    width: QuantityOut,
    /// Along the run from the first end's finished face.
    along: SpanOut,
    /// Below and above the axis of the run.
    up: SpanOut,
    /// To the left and right of the axis.
    right: SpanOut,
}

/// What whoever lifts one manifold must know.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HandlingOut {
    /// Copper alone; fittings by stand-in masses, filler not counted.
    mass_dry: QuantityOut,
    /// Filled with water, whatever the service.
    mass_filled: QuantityOut,
    /// Centre of mass when dry.
    centre_dry: PlaceOut,
    /// Centre of mass when filled.
    centre_filled: PlaceOut,
    /// The box it takes.
    envelope: EnvelopeOut,
    /// The most that one person should lift by these rules.
    lift_limit: QuantityOut,
    /// Whether one person may lift it dry; `false` is a caution: two people or a hoist.
    #[schema(example = true)]
    one_person_dry: bool,
    /// Whether one person may lift it filled.
    #[schema(example = true)]
    one_person_filled: bool,
}

/// Where the run is held once installed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SupportsOut {
    /// The text that the spacing is taken from.
    basis: SupportBasisName,
    /// How the run lies.
    direction: DirectionName,
    /// The widest distance between supports by that text.
    spacing: QuantityOut,
    /// Middles of the supports, from the first end's finished face.
    stations: Vec<QuantityOut>,
    /// Every support stands clear of outlets, couplings and ends, no further apart than `spacing`
    /// and with at most half of it beyond the last. `false`: there is no such place between the
    /// outlets; the stations are evenly spread, and somebody must find room.
    #[schema(example = true)]
    clear: bool,
    /// Where the spacing comes from.
    source: SourceOut,
}

/// How much the run grows in service.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GrowthOut {
    /// Temperature at which it is fixed in place.
    from: QuantityOut,
    /// The design temperature.
    to: QuantityOut,
    /// How much longer the run is then; negative when it shrinks.
    growth: QuantityOut,
    /// Where the rate of growth comes from.
    source: SourceOut,
}

/// A length that may be negative or small: no text for a tape.
fn exact(it: Length, units: Units) -> QuantityOut {
    QuantityOut::fine_length(it, units)
}

fn place_out(place: Place, units: Units) -> PlaceOut {
    PlaceOut {
        along: QuantityOut::bench_length(place.along, units),
        up: exact(place.up, units),
        right: exact(place.right, units),
    }
}

fn span_out((from, to): (Length, Length), units: Units) -> SpanOut {
    SpanOut {
        from: exact(from, units),
        to: exact(to, units),
    }
}

/// Mass, centre of mass, box.
pub fn handling_out(
    app: &App,
    manifold: &Manifold,
    checked: &Checked,
    chosen: &Chosen,
) -> HandlingOut {
    let units = chosen.units;
    let body = Body::of(manifold, app.catalogue(), &checked.takeoff);
    let limit = chosen.rules.lift_limit;
    let envelope = body.envelope;
    let over_all = |(from, to): (Length, Length)| QuantityOut::bench_length(to - from, units);
    HandlingOut {
        mass_dry: QuantityOut::mass(body.dry, units),
        mass_filled: QuantityOut::mass(body.filled, units),
        centre_dry: place_out(body.centre_dry, units),
        centre_filled: place_out(body.centre_filled, units),
        envelope: EnvelopeOut {
            length: over_all(envelope.along),
            height: over_all(envelope.up),
            width: over_all(envelope.right),
            along: span_out(envelope.along, units),
            up: span_out(envelope.up, units),
            right: span_out(envelope.right, units),
        },
        lift_limit: QuantityOut::mass(limit, units),
        one_person_dry: body.dry <= limit,
        one_person_filled: body.filled <= limit,
    }
}

/// Supports by the text asked for.
pub fn supports_out(
    app: &App,
    manifold: &Manifold,
    layout: &Layout,
    chosen: &Chosen,
) -> Option<SupportsOut> {
    let wanted = (chosen.direction, chosen.supports);
    let found = supports(manifold, layout, app.catalogue(), wanted)?;
    let length = |it| QuantityOut::bench_length(it, chosen.units);
    Some(SupportsOut {
        basis: found.spacing.basis.into(),
        direction: match found.spacing.direction {
            Direction::Horizontal => DirectionName::Horizontal,
            Direction::Vertical => DirectionName::Vertical,
        },
        spacing: length(found.spacing.most),
        stations: found.places.into_iter().map(length).collect(),
        clear: found.clear,
        source: (&found.spacing.source).into(),
    })
}

/// Growth from the temperature asked for to the design's.
pub fn growth_out(manifold: &Manifold, chosen: &Chosen) -> GrowthOut {
    let (from, to) = (chosen.fixed_at, manifold.design_temperature);
    let grown = growth::growth(manifold.run.length, from, to);
    GrowthOut {
        from: QuantityOut::temperature(from, chosen.units),
        to: QuantityOut::temperature(to, chosen.units),
        growth: exact(grown, chosen.units),
        source: (&growth::source()).into(),
    }
}
