//! Tube masses. Source: weights of ASTM B88, B306, B819, B280 and B88M and masses of EN 1057 as
//! printed in engineering tables and makers' tables (column `weight` of the tube table).

use offtake::trade::tube::Standard;

/// How far a computed weight may lie from the printed one.
fn allowed(standard: &str, published: f64) -> f64 {
    let decimals = 2 - published.log10().floor() as i32;
    let half_figure = 10f64.powi(-decimals) * 0.5;
    match standard {
        // Printed to three figures.
        "b88" | "b819" => half_figure,
        // To two or three figures, the smallest to a thousandth of a pound.
        "b306" => half_figure.max(published * 0.005),
        "b280" => half_figure.max(0.0005),
        // To two or three figures, some of them cut off rather than rounded.
        "b88m" => half_figure.max(published * 0.012),
        // From the standard's own density, to a gram a metre or 0.2 %.
        _ => 0.0016_f64.max(published * 0.002),
    }
}

#[test]
fn every_published_weight_is_met_at_its_figures() {
    let catalogue = crate::catalogue();
    let rows = crate::published(include_str!("../../src/trade/data/tube.csv"));
    let mut wrong = Vec::new();
    for row in &rows {
        let id = &row["id"];
        let mass = catalogue.tube(id).unwrap().linear_mass();
        let computed = match row["unit"].as_str() {
            "in" => mass.in_pounds_per_foot(),
            _ => mass.in_kilograms_per_metre(),
        };
        let published: f64 = row["weight"].parse().unwrap();
        if (computed - published).abs() > allowed(&row["standard"], published) {
            wrong.push(format!("{id}: {computed} for {published}"));
        }
    }
    assert_eq!(rows.len(), 219);
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn ids_say_what_the_tube_is() {
    let catalogue = crate::catalogue();
    // Ids are a contract: standard, then type where there is one, then the size it goes by.
    for tube in catalogue.tubes() {
        let size = tube.nominal.decimal();
        let wanted = match (tube.standard, tube.type_name.as_deref()) {
            (Standard::En1057, _) => {
                let wall = (tube.wall.in_millimetres() * 1e3).round() / 1e3;
                format!("en1057-{size}x{wall}")
            }
            (Standard::AstmB280, _) if tube.coils.is_empty() => format!("b280-{size}"),
            (Standard::AstmB280, _) => {
                let wall = (tube.wall.in_inches() * 1e4).round() / 1e4;
                format!("b280-coil-{size}x{wall}")
            }
            (standard, letter) => format!(
                "{}-{}-{size}",
                standard.id_prefix(),
                letter.unwrap().to_lowercase()
            ),
        };
        assert_eq!(tube.id, wanted);
    }
    for id in [
        "b88-k-1.25",
        "b306-dwv-2",
        "b819-l-1",
        "b280-0.875",
        "en1057-28x1.2",
        "b88m-b-28",
    ] {
        assert!(catalogue.tube(id).is_some(), "{id}");
    }
}

#[test]
fn medical_gas_tube_has_the_dimensions_of_water_tube() {
    // Copper Tube Handbook, Table 14.2f against its tables of types K and L (seen).
    let catalogue = crate::catalogue();
    let medical = catalogue
        .tubes()
        .iter()
        .filter(|tube| tube.standard == Standard::AstmB819);
    for tube in medical {
        let water = catalogue.tube(&tube.id.replace("b819", "b88")).unwrap();
        assert_eq!((tube.od, tube.wall), (water.od, water.wall), "{}", tube.id);
    }
}
