//! The same design in inches, psi and degrees Fahrenheit, and in millimetres, bar and degrees
//! Celsius: the same verdict, and the same rules at the same places with the same weight. How the
//! units change into each other is the international agreement on yard and pound (1959).

use super::checks::answered;
use super::harness::TestServer;
use rand_chacha::ChaCha8Rng;
use rand_core::{RngCore, SeedableRng};
use serde_json::{Value, json};

const RUNS: [&str; 5] = ["b88-l-2", "b88-m-2", "b88-k-3", "en1057-54x2", "b819-l-2"];
const BRANCHES: [&str; 5] = [
    "b88-l-0.5",
    "b88-l-1",
    "b88-k-1.5",
    "en1057-28x1.2",
    "b280-0.875",
];
const BUILDS: [&str; 4] = [
    "formed_outlets",
    "tees_brazed",
    "tees_soldered",
    "purchased",
];
const SERVICES: [&str; 5] = [
    "hydronic_heating",
    "potable_water",
    "chilled_water",
    "compressed_air",
    "fuel_gas",
];

/// A number between two others, drawn in steps that no limit falls on.
fn drawn(chance: &mut ChaCha8Rng, from: f64, to: f64) -> f64 {
    from + (to - from) * f64::from(chance.next_u32()) / f64::from(u32::MAX)
}

fn one_of<'a>(chance: &mut ChaCha8Rng, words: &[&'a str]) -> &'a str {
    words[chance.next_u32() as usize % words.len()]
}

/// The figures of a design, in inches, psi and degrees Fahrenheit.
struct Figures {
    pressure: f64,
    temperature: f64,
    first: f64,
    pitch: f64,
    beyond: f64,
    stub: f64,
    collar: f64,
}

impl Figures {
    fn write(&self, mut design: Value, metric: bool) -> Value {
        let length = |inches: f64| {
            if metric {
                format!("{} mm", inches * 25.4)
            } else {
                format!("{inches} in")
            }
        };
        let (pressure, temperature) = if metric {
            let bar = self.pressure * 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254) / 1e5;
            let celsius = (self.temperature - 32.0) / 1.8;
            (format!("{bar} bar"), format!("{celsius} degC"))
        } else {
            (
                format!("{} psi", self.pressure),
                format!("{} degF", self.temperature),
            )
        };
        design["design_pressure"] = json!(pressure);
        design["design_temperature"] = json!(temperature);
        design["run"]["ends"][1]["beyond"] = json!(length(self.beyond));
        let row = &mut design["outlets"][0];
        row["first"] = json!(length(self.first));
        row["pitch"] = json!(length(self.pitch));
        row["stub"] = json!(length(self.stub));
        if design["build"] == "formed_outlets" {
            design["outlets"][0]["collar_height"] = json!(length(self.collar));
        }
        design
    }
}

fn design(chance: &mut ChaCha8Rng) -> [Value; 2] {
    let shape = json!({
        "mark": "U-1", "quantity": 1, "service": one_of(chance, &SERVICES),
        "build": one_of(chance, &BUILDS),
        "run": {"tube": one_of(chance, &RUNS), "ends": [{"kind": "cap"}, {"kind": "plain"}]},
        "outlets": [{"tube": one_of(chance, &BRANCHES), "count": 1 + chance.next_u32() % 12}],
    });
    let figures = Figures {
        pressure: drawn(chance, 1.0, 600.0),
        temperature: drawn(chance, 34.0, 420.0),
        first: drawn(chance, 1.0, 8.0),
        pitch: drawn(chance, 0.8, 8.0),
        beyond: drawn(chance, 1.0, 8.0),
        stub: drawn(chance, 1.0, 6.0),
        collar: drawn(chance, 0.08, 0.25),
    };
    [false, true].map(|metric| figures.write(shape.clone(), metric))
}

/// Rule, weight and place of every finding.
fn rules(item: &Value) -> Vec<[Value; 3]> {
    let findings = item["findings"].as_array().unwrap().iter();
    findings
        .map(|it| ["rule", "level", "pointer"].map(|field| it[field].clone()))
        .collect()
}

#[tokio::test]
async fn two_hundred_designs_fare_alike_in_both_systems() {
    let server = TestServer::start().await;
    let mut chance = ChaCha8Rng::seed_from_u64(1959);
    let pairs: Vec<[Value; 2]> = (0..200).map(|_| design(&mut chance)).collect();
    let manifolds: Vec<&Value> = pairs.iter().flatten().collect();
    let body = json!({"manifolds": manifolds, "units": "metric"});
    let answer = answered(&server, "/v1/manifolds/check", &body).await;
    let items = answer["items"].as_array().unwrap();
    assert_eq!(items.len(), 400);
    let mut verdicts = std::collections::BTreeMap::new();
    for (pair, both) in items.chunks(2).zip(&pairs) {
        let [inch, metric] = pair else { unreachable!() };
        assert_eq!(
            inch.get("problem").is_some(),
            metric.get("problem").is_some(),
            "{both:?}"
        );
        if inch.get("problem").is_some() {
            continue;
        }
        assert_eq!(inch["verdict"], metric["verdict"], "{both:?}");
        assert_eq!(rules(inch), rules(metric), "{both:?}");
        let verdict = inch["verdict"].as_str().unwrap();
        *verdicts.entry(verdict).or_insert(0) += 1;
    }
    // The designs are of more than one sort, or nothing was tried.
    assert!(verdicts.values().sum::<i32>() >= 150, "{verdicts:?}");
    assert!(verdicts.len() >= 2, "{verdicts:?}");
}
