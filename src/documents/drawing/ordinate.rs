//! Ordinate dimensions: every station from the datum, never chained.

use super::canvas::{Anchor, Canvas, Fill, Pen, Style};
use super::dimension::{bench, ranges, spread};
use super::figure_style::FigureStyle;
use super::frame::Frame;
use super::rows::{Stretch, stations};
use crate::documents::words::drawing as words;
use crate::trade::layout::Layout;
use crate::trade::manifold::Manifold;

/// Least distance between neighbouring labels, in drawing units.
const LABEL_GAP: f64 = 12.5;
/// How the numbers of outlets are set.
const TAG: Style = Style::plain(9.5).bold().held(Anchor::End).upright();
/// How stations are set.
const STATION: Style = Style::plain(9.5).held(Anchor::End).upright();
/// Height in which leaders bend from a station to its label.
const BEND: f64 = 12.0;
/// Distance between a tag and its station.
const TAG_GAP: f64 = 5.0;

/// One label.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Its station, in inches.
    pub station: f64,
    /// The outlets there, or nothing.
    pub tag: String,
    /// The dimension.
    pub text: String,
}

/// All labels of a manifold, in order along the run: datum, outlets, couplings, overall length.
pub fn labels(manifold: &Manifold, layout: &Layout, figures: FigureStyle) -> Vec<Label> {
    let mut labels: Vec<Label> = stations(manifold)
        .into_iter()
        .map(|group| Label {
            station: group.station.in_inches(),
            tag: ranges(&group.outlets),
            text: bench(group.station, figures),
        })
        .collect();
    labels.extend(layout.couplings.iter().map(|coupling| Label {
        station: coupling.station.in_inches(),
        tag: String::new(),
        text: format!("{} {}", words::COUPLING, bench(coupling.station, figures)),
    }));
    labels.sort_by(|a, b| a.station.total_cmp(&b.station));
    let length = manifold.run.length;
    let ends = [
        (0.0, format!("{} 0", words::DATUM)),
        (
            length.in_inches(),
            format!("{} {}", words::OVERALL, bench(length, figures)),
        ),
    ]
    .map(|(station, text)| Label {
        station,
        tag: String::new(),
        text,
    });
    let [datum, overall] = ends;
    labels.insert(0, datum);
    labels.push(overall);
    labels
}

/// Height that the labels of a stretch take below its view, bends included.
pub fn height(labels: &[Label], stretch: &Stretch) -> f64 {
    labels
        .iter()
        .filter(|label| stretch.shows(label.station))
        .map(|label| BEND + 6.0 + tag_room(label) + STATION.width(&label.text))
        .fold(0.0, f64::max)
}

/// Room of a label's tag and the gap after it.
fn tag_room(label: &Label) -> f64 {
    if label.tag.is_empty() {
        0.0
    } else {
        TAG.width(&label.tag) + TAG_GAP
    }
}

/// Draws the labels that a frame shows; `below` is where the view ends, and `low` how far down
/// the manifold reaches at a station.
pub fn draw(
    canvas: &mut Canvas,
    frame: &Frame,
    all: &[Label],
    below: f64,
    low: impl Fn(f64) -> f64,
) {
    let shown: Vec<&Label> = all
        .iter()
        .filter(|label| frame.stretch.shows(label.station))
        .collect();
    let wanted: Vec<f64> = shown.iter().map(|label| frame.x(label.station)).collect();
    let bounds = (super::MARGIN + 6.0, super::WIDTH - super::MARGIN - 6.0);
    let placed = spread(&wanted, LABEL_GAP, bounds);
    for ((label, x), at) in shown.iter().zip(&wanted).zip(&placed) {
        let start = low(label.station);
        canvas.polyline(
            Pen::Thin,
            &[
                (*x, start),
                (*x, below),
                (*at, below + BEND),
                (*at, below + BEND + 3.0),
            ],
        );
        if label.station <= 0.0 {
            let foot = [
                (*x, start - 2.0),
                (x - 4.0, start + 6.0),
                (x + 4.0, start + 6.0),
            ];
            canvas.polygon(Pen::Outline, Fill::Solid, &foot);
        }
        let baseline = at + STATION.size * 0.35;
        let top = below + BEND + 5.0;
        if !label.tag.is_empty() {
            canvas.text(TAG, (baseline, top), &label.tag);
        }
        canvas.text(STATION, (baseline, top + tag_room(label)), &label.text);
    }
}
