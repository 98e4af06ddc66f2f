//! Splits a long or crowded run into several views, one above the other, at one scale.

use crate::trade::manifold::Manifold;
use crate::trade::quantity::Length;

/// Outlets closer than this stand at one station.
const SAME_STATION: Length = Length::millimetres(0.05);

/// Most labels that stand side by side in one view.
const MOST_LABELS: usize = 44;

/// How much room the views of a run may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Budget {
    /// The run is drawn at least this high, in drawing units, where the rest allows.
    least_run: f64,
    /// Views together may take about this height, in drawing units.
    height: f64,
    /// Most views.
    views: u32,
}

impl Budget {
    /// For one printed page with tables beside: what does not fit is drawn smaller.
    pub const PAGE: Self = Self {
        least_run: 15.0,
        height: 620.0,
        views: 6,
    };
    /// For the bench: as many views as make it legible.
    pub const ROOMY: Self = Self {
        least_run: 20.0,
        height: f64::INFINITY,
        views: 40,
    };
}

/// A stretch of the run shown in one view, in inches from the datum end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

impl Stretch {
    /// Whether a label of a station is shown here; the datum is in the first stretch.
    pub fn shows(&self, station: f64) -> bool {
        self.holds(station) || (station <= 0.0 && self.from <= 0.0)
    }

    /// Whether a station is shown here. A station on a seam belongs to the stretch before it.
    pub fn holds(&self, station: f64) -> bool {
        station > self.from && station <= self.to
    }
}

/// The room a view has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Width for the run, in drawing units.
    pub width: f64,
    /// Most height of the manifold itself, in drawing units.
    pub height: f64,
}

/// All views and their scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Views {
    /// In order along the run.
    pub stretches: Vec<Stretch>,
    /// Drawing units an inch.
    pub scale: f64,
}

/// Outlets at one station, by their number counted from 1.
#[derive(Debug, Clone, PartialEq)]
pub struct StationGroup {
    /// From the datum end.
    pub station: Length,
    /// Numbers of the outlets.
    pub outlets: Vec<usize>,
}

/// Outlets gathered by station.
pub fn stations(manifold: &Manifold) -> Vec<StationGroup> {
    let mut groups: Vec<StationGroup> = Vec::new();
    for (index, outlet) in manifold.outlets.iter().enumerate() {
        match groups.last_mut() {
            Some(group) if (outlet.station - group.station).abs() < SAME_STATION => {
                group.outlets.push(index + 1);
            }
            _ => groups.push(StationGroup {
                station: outlet.station,
                outlets: vec![index + 1],
            }),
        }
    }
    groups
}

/// Chooses how many views a run needs: one if it is legible in one.
///
/// The run's length goes with `marks`, the stations that carry a label, in order; `tall` is how
/// far the manifold reaches above and below its axis together, and `od` the run's outside
/// diameter, all in inches; `labels` says how much height the labels of a stretch take, in
/// drawing units.
pub fn views(
    (length, marks): (f64, &[f64]),
    (tall, od): (f64, f64),
    (room, budget): (Room, Budget),
    labels: impl Fn(&Stretch) -> f64,
) -> Views {
    let scale_of = |longest: f64| (room.width / longest).min(room.height / tall);
    let mut chosen = None;
    for count in 1..=budget.views {
        let stretches = split(length, marks, length / f64::from(count));
        let longest = stretches.iter().map(|s| s.to - s.from).fold(0.0, f64::max);
        let scale = scale_of(longest);
        let height =
            stretches.len() as f64 * tall * scale + stretches.iter().map(&labels).sum::<f64>();
        if chosen.is_some() && height > budget.height {
            break;
        }
        chosen = Some(Views { stretches, scale });
        if od * scale >= budget.least_run {
            break;
        }
    }
    chosen.unwrap_or_else(|| Views {
        stretches: vec![Stretch {
            from: 0.0,
            to: length,
        }],
        scale: scale_of(length),
    })
}

/// Cuts the run into stretches of about `wanted`, midway between marks, none too crowded.
fn split(length: f64, marks: &[f64], wanted: f64) -> Vec<Stretch> {
    let mut stretches = Vec::new();
    let mut from = 0.0;
    let mut rest = marks;
    while length - from > wanted * 1.02 || rest.len() > MOST_LABELS {
        let reached = rest.partition_point(|mark| *mark <= from + wanted);
        let here = reached.min(MOST_LABELS);
        let to = match (
            here.checked_sub(1).and_then(|last| rest.get(last)),
            rest.get(here),
        ) {
            (Some(last), Some(next)) => {
                (from + wanted).clamp(last + (next - last) * 0.35, last + (next - last) * 0.65)
            }
            (None, Some(next)) => (from + wanted).min(from + (next - from) * 0.8),
            (_, None) => from + wanted,
        };
        if to <= from || to >= length {
            break;
        }
        stretches.push(Stretch { from, to });
        rest = &rest[here..];
        from = to;
    }
    stretches.push(Stretch { from, to: length });
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_view_is_crowded_and_nothing_is_lost() {
        let marks: Vec<f64> = (1..=200).map(|place| f64::from(place) * 0.7).collect();
        let stretches = split(150.0, &marks, 150.0);
        let held: Vec<usize> = stretches
            .iter()
            .map(|stretch| marks.iter().filter(|mark| stretch.holds(**mark)).count())
            .collect();
        assert!(held.iter().all(|count| *count <= MOST_LABELS), "{held:?}");
        assert_eq!(held.iter().sum::<usize>(), 200);
        assert!(
            stretches
                .windows(2)
                .all(|pair| pair[0].to.total_cmp(&pair[1].from).is_eq())
        );
    }
}
