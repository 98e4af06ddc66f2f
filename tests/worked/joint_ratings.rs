//! Ratings of joints. Source of the expected figures: Copper Tube Handbook, web edition, Table
//! 14.4a (seen), every row of it: `tests/data/published_joint_ratings.csv`.

use offtake::trade::flow::fluid::steam_temperature;
use offtake::trade::joint::{JointPattern, soldered_rating, steam_rating};
use offtake::trade::quantity::{Pressure, Temperature};
use offtake::trade::tube::Nominal;

/// Rows of Copper Tube Handbook, Table 14.4a (seen), current edition.
const JOINTS: &str = include_str!("../data/published_joint_ratings.csv");

/// Sizes of tube in a size group such as `1-1/4-2`.
fn sizes_of(group: &str) -> Vec<f64> {
    let (least, most) = match group {
        "1/8-1" => (0.125, 1.0),
        "1-1/4-2" => (1.25, 2.0),
        "2-1/2-4" => (2.5, 4.0),
        "5-8" => (5.0, 8.0),
        "10-12" => (10.0, 12.0),
        // Counted below: a group that is not known makes the count fall short.
        _ => return Vec::new(),
    };
    let sizes = [
        0.25, 0.375, 0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 8.0,
        10.0, 12.0,
    ];
    let within = |size: &f64| (least..=most).contains(size);
    sizes.into_iter().filter(within).collect()
}

#[test]
fn joints_hold_what_every_row_of_the_table_prints() {
    let catalogue = crate::catalogue();
    let (mut pressure, mut steam, mut drainage) = (0, 0, 0);
    for row in crate::published(JOINTS) {
        let printed: f64 = row["P_max_psi"].parse().unwrap();
        let group = &row["size_group_in"];
        for size in sizes_of(group) {
            let nominal = Nominal::from_decimal(size).unwrap();
            let found = match (row["fitting"].as_str(), row["temp_F"].as_str()) {
                ("pressure", "sat.steam") => {
                    let braze = row["joining_material"].starts_with("braze");
                    let ids: Vec<&str> = if braze {
                        vec!["BCuP-2", "BCuP-3", "BCuP-5", "BAg-5", "BAg-7", "BAg-24"]
                    } else {
                        vec![row["joining_material"].as_str()]
                    };
                    steam += 1;
                    for id in ids {
                        let filler = catalogue.filler(id).unwrap();
                        let found = steam_rating(catalogue, filler, nominal).unwrap();
                        assert!((found.in_psi() - printed).abs() < 1e-6, "{row:?} {id}");
                    }
                    continue;
                }
                ("pressure", degf) => {
                    let solder = catalogue.filler(&row["joining_material"]).unwrap();
                    let at = Temperature::fahrenheit(degf.parse().unwrap());
                    pressure += 1;
                    soldered_rating(catalogue, solder, nominal, at)
                }
                _ => {
                    // Drainage joints are in the table; no pressure is asked of them.
                    let degf: f64 = row["temp_F"].parse().unwrap();
                    drainage += 1;
                    let held = catalogue.joint_ratings().iter().find(|known| {
                        known.pattern == JointPattern::Drainage
                            && known.solder == row["joining_material"]
                            && (known.temperature.in_fahrenheit() - degf).abs() < 1e-6
                            && (known.from_inches..=known.to_inches).contains(&size)
                    });
                    held.map(|known| known.rating)
                }
            };
            let found = found.unwrap().in_psi();
            assert!((found - printed).abs() < 1e-6, "{row:?} {size}: {found}");
        }
    }
    // 4 solders and brazing by 5 groups for steam; 4 solders by 4 temperatures otherwise.
    assert_eq!((pressure, steam), (16 * 18, 5 * 18));
    assert!(drainage > 100, "{drainage}");
}

#[test]
fn steam_is_as_hot_as_its_joints_may_be() {
    // The table's ratings for steam are the pressures at which steam reaches the limits of soldered
    // and brazed joints: 15 psi at 250 F and 120 psi at 350 F. ASME steam tables (from memory):
    // 29.82 psia at 250 F, 134.60 psia at 350 F, 14.696 psia at 212 F.
    for (psi, degf, within) in [
        (0.0, 211.96, 0.05),
        (15.0, 249.75, 0.1),
        (120.0, 350.06, 0.1),
        (134.60 - 14.696, 350.0, 0.05),
        (29.82 - 14.696, 250.0, 0.05),
    ] {
        let found = steam_temperature(Pressure::psi(psi)).unwrap();
        let found = found.in_fahrenheit();
        assert!((found - degf).abs() < within, "{psi}: {found}");
    }
    // The critical pressure is 22.064 MPa (IAPWS).
    assert!(steam_temperature(Pressure::megapascals(22.064)).is_none());
    assert!(steam_temperature(Pressure::megapascals(21.9)).is_some());
}
