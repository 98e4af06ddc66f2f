//! Tube masses. Source: ASTM B88 and B306 weights as printed in engineering tables, three
//! figures each (column `weight_lb_ft` of the tube table, seen).

#[test]
fn every_published_weight_is_met_at_its_three_figures() {
    let catalogue = crate::catalogue();
    let rows = crate::published(include_str!("../../src/trade/data/tube.csv"));
    let mut wrong = Vec::new();
    for row in &rows {
        let id = format!(
            "{}-{}-{}",
            row["standard"],
            row["wall_type"].to_lowercase(),
            row["nominal_in"]
        );
        let computed = catalogue
            .tube(&id)
            .unwrap()
            .linear_mass()
            .in_pounds_per_foot();
        let published: f64 = row["weight_lb_ft"].parse().unwrap();
        let allowed = if row["standard"] == "b88" {
            let decimals = 2 - published.log10().floor() as i32;
            10f64.powi(-decimals) * 0.5
        } else {
            // The drainage table is printed to two or three figures.
            published * 0.005
        };
        if (computed - published).abs() > allowed {
            wrong.push(format!("{id}: {computed} for {published}"));
        }
    }
    assert_eq!(rows.len(), 60);
    assert!(wrong.is_empty(), "{wrong:#?}");
}
