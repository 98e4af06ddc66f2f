//! Where a run is held: the widest spacing by a chosen text, and places clear of outlets.

use serde::Deserialize;

use super::catalogue::{Catalogue, DataFault, status, unknown};
use super::fitting::centre_to_stop;
use super::layout::Layout;
use super::manifold::{Build, EndKind, Manifold};
use super::quantity::Length;
use super::rule_set;
use super::source::Source;
use super::tube::Tube;

/// Left free between a support and what stands on the run: half a hanger and room for the hand.
/// A stand-in.
pub const CLEARANCE: Length = Length::inches(1.0);

/// Sizes that differ by less are the same.
const SAME_SIZE: Length = Length::millimetres(0.5);

/// How many supports beyond the fewest are tried.
const MOST_EXTRA: u32 = 40;

/// Which text the spacing is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SupportBasis {
    /// MSS SP-58.
    MssSp58,
    /// IRC P2605 and IMC 305.
    IrcImc,
    /// UPC 313.3.
    Upc,
    /// A municipal specification.
    Municipal,
    /// A UK installation guide.
    UkGuide,
}

impl SupportBasis {
    /// Every basis.
    pub const ALL: [Self; 5] = [
        Self::MssSp58,
        Self::IrcImc,
        Self::Upc,
        Self::Municipal,
        Self::UkGuide,
    ];

    /// The text that a rule set takes.
    pub const fn of(choice: rule_set::SupportBasis) -> Self {
        match choice {
            rule_set::SupportBasis::PipeHangerStandard => Self::MssSp58,
            rule_set::SupportBasis::ModelCode => Self::IrcImc,
            rule_set::SupportBasis::MunicipalSpecification => Self::Municipal,
        }
    }

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::MssSp58 => "mss_sp_58",
            Self::IrcImc => "irc_imc",
            Self::Upc => "upc",
            Self::Municipal => "municipal",
            Self::UkGuide => "uk_guide",
        }
    }
}

/// How the run lies once installed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Direction {
    /// Level.
    #[default]
    Horizontal,
    /// Upright.
    Vertical,
}

/// One row of a table of spacings.
#[derive(Debug, Clone, PartialEq)]
pub struct Spacing {
    /// Which text.
    pub basis: SupportBasis,
    /// Which way the run lies.
    pub direction: Direction,
    /// Smallest outside diameter it is for.
    pub from: Length,
    /// Largest outside diameter it names; sizes up to the next row take it too, being stiffer.
    pub to: Length,
    /// Widest distance between supports.
    pub most: Length,
    /// Where it comes from.
    pub source: Source,
}

/// A row of the embedded table.
#[derive(Deserialize)]
pub(super) struct SpacingRow {
    basis: String,
    direction: String,
    unit: String,
    from_size: f64,
    to_size: f64,
    most: f64,
    status: String,
    cite: String,
}

/// Reads a row. Inch rows are by nominal size (outside diameter less 1/8 in) and in feet, metric
/// rows by outside diameter and in metres.
pub(super) fn spacing(row: SpacingRow) -> Result<Spacing, DataFault> {
    const TABLE: &str = "support_spacing.csv";
    let basis = SupportBasis::ALL
        .into_iter()
        .find(|basis| basis.word() == row.basis)
        .ok_or_else(|| unknown(TABLE, &row.basis, "basis"))?;
    let direction = match row.direction.as_str() {
        "horizontal" => Direction::Horizontal,
        "vertical" => Direction::Vertical,
        other => return Err(unknown(TABLE, other, "direction")),
    };
    let ([from, to], most) = match row.unit.as_str() {
        "in" => (
            [row.from_size, row.to_size].map(|size| Length::inches(size + 0.125)),
            Length::feet(row.most),
        ),
        "mm" => (
            [row.from_size, row.to_size].map(Length::millimetres),
            Length::metres(row.most),
        ),
        other => return Err(unknown(TABLE, other, "unit")),
    };
    Ok(Spacing {
        basis,
        direction,
        from,
        to,
        most,
        source: Source::new(row.cite, status(TABLE, &row.status)?),
    })
}

/// The widest spacing for a tube by a text; by the strictest of all texts when none is named.
/// A size between two rows takes the smaller one's.
///
/// `None` when no such text covers that size.
pub fn widest<'a>(
    catalogue: &'a Catalogue,
    tube: &Tube,
    direction: Direction,
    basis: Option<SupportBasis>,
) -> Option<&'a Spacing> {
    let by = |basis: SupportBasis| {
        let rows = catalogue.spacings().iter();
        let of_basis = rows.filter(|row| row.basis == basis && row.direction == direction);
        let largest = of_basis
            .clone()
            .map(|row| row.to)
            .fold(Length::ZERO, Length::max);
        let fits = of_basis.filter(|row| row.from <= tube.od + SAME_SIZE);
        fits.max_by(|a, b| a.from.in_metres().total_cmp(&b.from.in_metres()))
            .filter(|_| tube.od <= largest + SAME_SIZE)
    };
    match basis {
        Some(basis) => by(basis),
        None => SupportBasis::ALL
            .into_iter()
            .filter_map(by)
            .min_by(|a, b| a.most.in_metres().total_cmp(&b.most.in_metres())),
    }
}

/// Supports along a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Supports {
    /// The row they follow.
    pub spacing: Spacing,
    /// Their middles, from the datum end.
    pub places: Vec<Length>,
    /// Every one stands clear of outlets, couplings and ends. Else the places are evenly spread
    /// and the shop must find room by hand.
    pub clear: bool,
}

/// Places supports: as few as the spacing allows, even, each moved to the nearest clear place.
///
/// The run stands out beyond the first and the last by at most half a spacing: that bends the
/// tube no more than a whole spacing between two supports (derived: `w (s/2)^2 / 2 = w s^2 / 8`).
/// `None` when no text covers the size.
pub fn supports(
    manifold: &Manifold,
    layout: &Layout,
    catalogue: &Catalogue,
    (direction, basis): (Direction, Option<SupportBasis>),
) -> Option<Supports> {
    let spacing = widest(catalogue, &manifold.run.tube, direction, basis)?.clone();
    let taken = taken(manifold, layout, catalogue);
    let length = manifold.run.length;
    let fewest = ((length / spacing.most - 1e-9).ceil() as u32).max(2);
    let placed = (fewest..=fewest + MOST_EXTRA).find_map(|count| {
        let places: Option<Vec<Length>> = even(length, count)
            .map(|place| nearest_clear(place, length, &taken))
            .collect();
        places.filter(|places| holds(places, length, spacing.most))
    });
    let clear = placed.is_some();
    Some(Supports {
        places: placed.unwrap_or_else(|| even(length, fewest).collect()),
        spacing,
        clear,
    })
}

fn even(length: Length, count: u32) -> impl Iterator<Item = Length> {
    (0..count).map(move |place| length * ((f64::from(place) + 0.5) / f64::from(count)))
}

/// Whether supports in order stand apart, no further than allowed, and near enough to the ends.
fn holds(places: &[Length], length: Length, most: Length) -> bool {
    let slip = Length::millimetres(1e-6);
    let apart = places
        .windows(2)
        .all(|pair| (CLEARANCE..=most + slip).contains(&(pair[1] - pair[0])));
    let out = |overhang: Length| overhang <= most / 2.0 + slip;
    match (places.first(), places.last()) {
        (Some(first), Some(last)) => apart && out(*first) && out(length - *last),
        _ => false,
    }
}

/// Stretches of the run where no support may have its middle, in order and merged.
fn taken(manifold: &Manifold, layout: &Layout, catalogue: &Catalogue) -> Vec<(Length, Length)> {
    let run = &manifold.run.tube;
    let cup = catalogue.cup_depth(run);
    let about =
        |middle: Length, half: Length| (middle - half - CLEARANCE, middle + half + CLEARANCE);
    let tees = matches!(manifold.build, Build::TeesBrazed | Build::TeesSoldered);
    let outlets = manifold.outlets.iter().map(|outlet| {
        let half = if tees {
            centre_to_stop(&outlet.tube) + cup
        } else {
            outlet.tube.outer_radius() + run.wall
        };
        about(outlet.station, half)
    });
    let couplings = layout.couplings.iter().map(|it| about(it.station, cup));
    let ends = [Length::ZERO, manifold.run.length];
    let ends = ends.into_iter().zip(manifold.run.ends).map(|(face, kind)| {
        let half = if kind == EndKind::Plain {
            Length::ZERO
        } else {
            cup
        };
        about(face, half)
    });
    let mut spans: Vec<(Length, Length)> = outlets.chain(couplings).chain(ends).collect();
    spans.sort_by(|a, b| a.0.in_metres().total_cmp(&b.0.in_metres()));
    let mut merged: Vec<(Length, Length)> = Vec::new();
    for span in spans {
        match merged.last_mut() {
            Some(last) if span.0 < last.1 => last.1 = last.1.max(span.1),
            _ => merged.push(span),
        }
    }
    merged
}

/// The nearest place of the run outside every taken stretch.
fn nearest_clear(place: Length, length: Length, taken: &[(Length, Length)]) -> Option<Length> {
    let Some((from, to)) = taken
        .iter()
        .find(|(from, to)| (*from..*to).contains(&place))
    else {
        return Some(place);
    };
    let mut sides = [*from, *to];
    sides.sort_by(|a, b| {
        let far = |side: &Length| (*side - place).abs().in_metres();
        far(a).total_cmp(&far(b))
    });
    sides
        .into_iter()
        .find(|side| (Length::ZERO..=length).contains(side))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feet(
        id: &str,
        direction: Direction,
        basis: Option<SupportBasis>,
    ) -> Option<(f64, SupportBasis)> {
        let catalogue = Catalogue::load().unwrap();
        let tube = catalogue.tube(id).unwrap();
        let row = widest(&catalogue, tube, direction, basis)?;
        Some(((row.most.in_feet() * 100.0).round() / 100.0, row.basis))
    }

    #[test]
    fn spacings_are_those_of_the_texts() {
        // Each figure as the row's own source prints it; see data/support_spacing.csv.
        let level = Direction::Horizontal;
        let by = |id, basis| feet(id, level, Some(basis)).map(|(feet, _)| feet);
        assert_eq!(by("b88-l-2", SupportBasis::MssSp58), Some(8.0));
        assert_eq!(by("b88-l-2.5", SupportBasis::MssSp58), Some(9.0));
        assert_eq!(by("b88-l-1.25", SupportBasis::IrcImc), Some(6.0));
        assert_eq!(by("b88-l-1.5", SupportBasis::IrcImc), Some(10.0));
        assert_eq!(by("b88-l-1.5", SupportBasis::Upc), Some(6.0));
        assert_eq!(by("b88-l-8", SupportBasis::Municipal), None);
        // 2 in is 53.98 mm outside: the row of 54 mm, 2.7 m.
        assert_eq!(by("b88-l-2", SupportBasis::UkGuide), Some(8.86));
        assert_eq!(
            feet("b88-l-2", Direction::Vertical, Some(SupportBasis::MssSp58)),
            None
        );
    }

    #[test]
    fn the_strictest_text_stands_when_none_is_named() {
        let level = Direction::Horizontal;
        assert_eq!(
            feet("b88-l-2", level, None),
            Some((8.0, SupportBasis::MssSp58))
        );
        assert_eq!(
            feet("b88-l-1.5", level, None).map(|(feet, _)| feet),
            Some(6.0)
        );
        assert_eq!(
            feet("b88-l-8", level, None),
            Some((10.0, SupportBasis::IrcImc))
        );
    }
}
