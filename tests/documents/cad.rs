//! The drawing for CAD, read back as pairs of lines.

use std::f64::consts::PI;

use offtake::documents::drawing::dxf;
use offtake::shop::settings::Units;
use offtake::trade::catalogue::Catalogue;
use offtake::trade::layout::Layout;
use offtake::trade::manifold::Manifold;
use offtake::trade::quantity::Angle;
use offtake::trade::rule_set::RuleSet;

use crate::keep;
use crate::samples::manifolds;

fn drawn(manifold: &Manifold, units: Units) -> String {
    let catalogue = Catalogue::load().unwrap();
    let layout = Layout::of(manifold, &catalogue, &RuleSet::default_set());
    dxf(manifold, &layout, units)
}

/// An entity: its kind and its pairs.
struct Entity {
    kind: String,
    pairs: Vec<(u16, String)>,
}

impl Entity {
    fn at(&self, code: u16) -> Option<&str> {
        let mut pairs = self.pairs.iter();
        pairs
            .find(|(known, _)| *known == code)
            .map(|(_, value)| value.as_str())
    }

    fn number(&self, code: u16) -> f64 {
        self.at(code).unwrap().parse().unwrap()
    }
}

fn entities(text: &str) -> Vec<Entity> {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0, "pairs of lines");
    let mut found: Vec<Entity> = Vec::new();
    for pair in lines.chunks(2) {
        let code: u16 = pair[0].trim().parse().unwrap();
        if code == 0 {
            found.push(Entity {
                kind: pair[1].to_owned(),
                pairs: Vec::new(),
            });
        } else {
            let last = found.last_mut().unwrap();
            last.pairs.push((code, pair[1].to_owned()));
        }
    }
    found
}

#[test]
fn every_outlet_has_its_station_and_its_hole_in_true_place() {
    for (name, manifold) in manifolds() {
        for (units, per_inch) in [(Units::Imperial, 1.0), (Units::Metric, 25.4)] {
            let text = drawn(&manifold, units);
            keep(
                &format!("{name} {units:?}.dxf").to_lowercase(),
                text.as_bytes(),
            );
            assert!(text.is_ascii() && text.ends_with("EOF\n"));
            let entities = entities(&text);
            let centres: Vec<f64> = entities
                .iter()
                .filter(|it| it.kind == "LINE" && it.at(8) == Some("CENTRES"))
                .filter(|it| (it.number(10) - it.number(11)).abs() < 1e-9)
                .map(|it| it.number(10))
                .collect();
            for outlet in &manifold.outlets {
                let wanted = outlet.station.in_inches() * per_inch;
                assert!(
                    centres.iter().any(|x| (x - wanted).abs() < 1e-5),
                    "{name}: no centre line at {wanted}"
                );
            }
        }
    }
}

/// The outlines of the holes on the sheet laid flat.
fn holes(manifold: &Manifold) -> Vec<Vec<(f64, f64)>> {
    let all = entities(&drawn(manifold, Units::Imperial));
    all.split(|it| it.kind == "POLYLINE")
        .map(|part| {
            let vertices = part
                .iter()
                .filter(|it| it.kind == "VERTEX" && it.at(8) == Some("HOLES"));
            vertices.map(|it| (it.number(10), it.number(20))).collect()
        })
        .filter(|points: &Vec<_>| !points.is_empty())
        .collect()
}

fn spread(values: Vec<f64>) -> f64 {
    values.iter().copied().fold(f64::MIN, f64::max)
        - values.iter().copied().fold(f64::MAX, f64::min)
}

#[test]
fn a_hole_that_the_edge_of_the_sheet_divides_shows_at_both() {
    let (_, mut manifold) = manifolds().remove(1);
    let across = |hole: &Vec<(f64, f64)>| spread(hole.iter().map(|point| point.1).collect());
    let whole = across(&holes(&manifold)[0]);
    manifold.outlets[0].clock = Angle::degrees(180.0);
    let parts = holes(&manifold);
    assert_eq!(parts.len(), manifold.outlets.len() + 1);
    // The hole stands half on either edge: together as wide as it was.
    assert!((across(&parts[0]) - whole / 2.0).abs() < 1e-5);
    assert!((across(&parts[1]) - whole / 2.0).abs() < 1e-5);
    let round = manifold.run.tube.od.in_inches() * PI;
    let all: Vec<f64> = parts[..2].iter().flatten().map(|point| point.1).collect();
    assert!((spread(all) - round).abs() < 1e-5);
}

#[test]
fn a_pilot_laid_flat_is_as_long_as_it_is_wide_along_and_longer_across() {
    // 1 in on 2 in: the pilot lies on a curve, so across it is 2 R asin(p / R), more than 2 p.
    let (_, manifold) = manifolds().remove(1);
    let catalogue = Catalogue::load().unwrap();
    let layout = Layout::of(&manifold, &catalogue, &RuleSet::default_set());
    let pilot = layout.holes[0].diameter.unwrap().in_inches();
    let holes = holes(&manifold);
    assert_eq!(holes.len(), manifold.outlets.len());
    let along = spread(holes[0].iter().map(|point| point.0).collect());
    let across = spread(holes[0].iter().map(|point| point.1).collect());
    assert!((along - pilot).abs() < 1e-5);
    let radius = manifold.run.tube.outer_radius().in_inches();
    assert!((across - 2.0 * radius * (pilot / 2.0 / radius).asin()).abs() < 1e-5);
    // The sheet laid flat is as wide as the run is round.
    let round = 2.0 * PI * radius;
    assert!(across < round / 4.0);
}

#[test]
fn the_same_manifold_gives_the_same_bytes() {
    for (_, manifold) in manifolds() {
        assert_eq!(
            drawn(&manifold, Units::Metric),
            drawn(&manifold, Units::Metric)
        );
    }
}
