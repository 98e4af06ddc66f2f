//! Rated pressures of tube. Source of the expected figures: Copper Tube Handbook, web edition,
//! Table 14.3c (type M, seen) and a data sheet that cites the handbook (types K and L, seen);
//! `tests/data/published_rated_pressures.csv` names the source of each row. EN 1057: a trade
//! body's table of working pressures and of what its formula gives, and its design stresses (seen),
//! `tests/data/published_en1057_pressures.csv`.

use offtake::trade::quantity::{Length, Pressure, Temperature};
use offtake::trade::strength::{rate_tube, thin_wall};
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
        let rating = rate_tube(catalogue, tube, temper, temperature).unwrap();
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

fn en_temper(name: &str) -> (Temper, f64) {
    // Design stresses at 65 degC, N/mm2: R290, R250, R220 (seen).
    match name {
        "R220" => (Temper::Annealed, 46.0),
        "R250" => (Temper::HalfHard, 60.0),
        _ => (Temper::Drawn, 72.5),
    }
}

#[test]
fn en_pressures_are_the_formula_s_and_never_above_the_printed_ones() {
    let catalogue = crate::catalogue();
    let rows = crate::published(include_str!("../data/published_en1057_pressures.csv"));
    let mut printed_rows = 0;
    for row in &rows {
        let number = |column: &str| row[column].parse::<f64>();
        let (od, wall) = (number("od_mm").unwrap(), number("wall_mm").unwrap());
        let (temper, stress) = en_temper(&row["temper"]);
        let by_formula = thin_wall(
            Pressure::megapascals(stress),
            Length::millimetres(wall),
            Length::millimetres(od),
        )
        .in_bar();
        let published = number("working_pressure_formula_bar").unwrap();
        assert!(
            (by_formula - published).abs() < 0.051,
            "{row:?}: {by_formula}"
        );
        let tube = catalogue.tube(&format!("en1057-{od}x{wall}")).unwrap();
        let at = |degc| rate_tube(catalogue, tube, temper, Temperature::celsius(degc));
        let rated = at(65.0).unwrap().pressure.in_bar();
        printed_rows += u32::from(number("working_pressure_pub_bar").is_ok());
        // One size may stand in several rows, not all of which print a pressure.
        let alike = |other: &&std::collections::BTreeMap<String, String>| {
            ["od_mm", "wall_mm", "temper"]
                .iter()
                .all(|column| other[*column] == row[*column])
        };
        let printed = rows
            .iter()
            .filter(alike)
            .filter_map(|row| row["working_pressure_pub_bar"].parse().ok())
            .fold(f64::INFINITY, f64::min);
        assert!(
            (rated - by_formula.min(printed)).abs() < 1e-9,
            "{row:?}: {rated}"
        );
        assert!((at(10.0).unwrap().pressure.in_bar() - rated).abs() < 1e-9);
    }
    assert_eq!((rows.len(), printed_rows), (55, 37));
}

#[test]
fn annealed_en_tube_falls_with_temperature_by_its_design_stresses() {
    // Annealed: 46, 40, 34, 26, 18 N/mm2 at 65, 110, 150, 175, 200 degC (seen). 28 x 1.2:
    // 20 f 1.2 / 26.8 = 0.895 522 f bar. Above 65 degC hard tempers count as annealed.
    let catalogue = crate::catalogue();
    let tube = catalogue.tube("en1057-28x1.2").unwrap();
    for (degc, stress) in [
        (65.0, 46.0),
        (110.0, 40.0),
        (130.0, 37.0),
        (150.0, 34.0),
        (175.0, 26.0),
        (200.0, 18.0),
    ] {
        for temper in [Temper::Annealed, Temper::HalfHard] {
            let rated = rate_tube(catalogue, tube, temper, Temperature::celsius(degc)).unwrap();
            let own = degc <= 65.0 && temper == Temper::HalfHard;
            let wanted = if own { 60.0 } else { stress } * 24.0 / 26.8;
            assert!(
                (rated.pressure.in_bar() - wanted).abs() < 1e-9,
                "{degc} {temper:?}"
            );
        }
    }
    assert!(
        rate_tube(
            catalogue,
            tube,
            Temper::Annealed,
            Temperature::celsius(200.1)
        )
        .is_err()
    );
}

#[test]
fn every_pressure_tube_has_an_annealed_rating_with_its_source() {
    let catalogue = crate::catalogue();
    for tube in catalogue
        .tubes()
        .iter()
        .filter(|tube| tube.is_pressure_tube())
    {
        let room = Temperature::fahrenheit(70.0);
        match rate_tube(catalogue, tube, Temper::Annealed, room) {
            Ok(rating) => {
                assert!(rating.pressure.in_psi() > 90.0, "{}", tube.id);
                assert!(!rating.source.cite.is_empty(), "{}", tube.id);
            }
            Err(why) => unreachable!("{}: {why}", tube.id),
        }
    }
}
