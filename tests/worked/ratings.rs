//! Rated pressures of tube. Source of the expected figures: Copper Tube Handbook, web edition,
//! Table 14.3c (type M, seen) and a data sheet that cites the handbook (types K and L, seen);
//! `tests/data/published_rated_pressures.csv` names the source of each row.

use offtake::trade::quantity::Temperature;
use offtake::trade::strength::rate_tube;
use offtake::trade::tube::Temper;

#[test]
fn every_published_rated_pressure_is_met_to_the_psi() {
    let catalogue = crate::catalogue();
    let rows = crate::published(include_str!("../data/published_rated_pressures.csv"));
    assert_eq!(rows.len(), 78);
    let mut wrong = Vec::new();
    for row in &rows {
        let id = format!(
            "b88-{}-{}",
            row["type"].to_lowercase(),
            crate::nominal(&row["nominal_in"])
        );
        let tube = catalogue.tube(&id).unwrap();
        let temper = match row["temper"].as_str() {
            "drawn" => Temper::Drawn,
            _ => Temper::Annealed,
        };
        let temperature = Temperature::fahrenheit(row["temp_F"].parse().unwrap());
        let rating = rate_tube(&catalogue, tube, temper, temperature).unwrap();
        let published: f64 = row["rated_pressure_psi"].parse().unwrap();
        if (rating.pressure.in_psi().round() - published).abs() > 0.5 {
            wrong.push(format!(
                "{id} {temper:?} {temperature:?}: {} for {published}",
                rating.pressure.in_psi()
            ));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
