//! The drawing for CAD, read back as pairs of lines.

use std::f64::consts::PI;

use offtake::documents::drawing::dxf;
use offtake::shop::settings::Units;
use offtake::trade::catalogue::Catalogue;
use offtake::trade::layout::Layout;
use offtake::trade::manifold::Manifold;
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

#[test]
fn a_pilot_laid_flat_is_as_long_as_it_is_wide_along_and_longer_across() {
    // 1 in on 2 in: the pilot lies on a curve, so across it is 2 R asin(p / R), more than 2 p.
    let (_, manifold) = manifolds().remove(1);
    let catalogue = Catalogue::load().unwrap();
    let layout = Layout::of(&manifold, &catalogue, &RuleSet::default_set());
    let pilot = layout.holes[0].diameter.unwrap().in_inches();
    let all = entities(&drawn(&manifold, Units::Imperial));
    let holes: Vec<Vec<(f64, f64)>> = all
        .split(|it| it.kind == "POLYLINE")
        .map(|part| {
            let vertices = part
                .iter()
                .filter(|it| it.kind == "VERTEX" && it.at(8) == Some("HOLES"));
            vertices.map(|it| (it.number(10), it.number(20))).collect()
        })
        .filter(|points: &Vec<_>| !points.is_empty())
        .collect();
    assert_eq!(holes.len(), manifold.outlets.len());
    let spread = |values: Vec<f64>| {
        values.iter().copied().fold(f64::MIN, f64::max)
            - values.iter().copied().fold(f64::MAX, f64::min)
    };
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
