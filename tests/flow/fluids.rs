//! Water against CoolProp's IAPWS-95 and viscosity of 2008; glycol against CoolProp's own reading
//! of the same published fits.

use offtake::trade::flow::fluid::{Fluid, Glycol, NoLiquid};
use offtake::trade::quantity::{Pressure, Temperature};

use crate::{close, rows};

#[test]
fn water_is_what_coolprop_says() {
    let rows = rows(include_str!("data/water.json"));
    assert!(rows.len() > 25);
    for row in rows {
        let number = |name: &str| row[name].as_f64().unwrap();
        let temperature = Temperature::celsius(number("celsius"));
        let at = |pressure| Fluid::Water.at(temperature, pressure);
        let water = at(Pressure::bar(number("gauge_bar"))).unwrap();
        let density = water.density.in_kilograms_per_cubic_metre();
        // Ours is at saturation, theirs at up to 20 bar, which is worth a tenth of a per cent.
        assert!(close(density, number("density"), 1.2e-3), "{row} {density}");
        let viscosity = water.viscosity.in_pascal_seconds();
        assert!(
            close(viscosity, number("viscosity"), 3e-3),
            "{row} {viscosity}"
        );
        let boils = Pressure::pascals(number("boils_at_pascal") - 101_325.0);
        if boils > Pressure::ZERO {
            assert!(
                matches!(at(boils * 0.999), Err(NoLiquid::Boils { .. })),
                "{row}"
            );
            assert!(at(boils * 1.001).is_ok(), "{row}");
        }
    }
}

#[test]
fn glycol_is_what_coolprop_says() {
    let rows = rows(include_str!("data/glycol.json"));
    assert!(rows.len() > 70);
    for row in rows {
        let number = |name: &str| row[name].as_f64().unwrap();
        let glycol = match row["glycol"].as_str().unwrap() {
            "propylene" => Glycol::Propylene,
            _ => Glycol::Ethylene,
        };
        let fluid = Fluid::Mixture {
            glycol,
            share: number("share"),
        };
        let liquid = fluid
            .at(Temperature::celsius(number("celsius")), Pressure::bar(9.0))
            .unwrap();
        let density = liquid.density.in_kilograms_per_cubic_metre();
        assert!(close(density, number("density"), 1e-6), "{row} {density}");
        let viscosity = liquid.viscosity.in_pascal_seconds();
        assert!(
            close(viscosity, number("viscosity"), 1e-6),
            "{row} {viscosity}"
        );
        let freezing = fluid.freezing().in_kelvin();
        assert!(
            close(freezing, number("freezing_kelvin"), 1e-6),
            "{row} {freezing}"
        );
    }
}
