//! Steam, cold, heat beyond the tables, and what is said of it.

use std::sync::Arc;

use offtake::trade::check::Checked;
use offtake::trade::finding::{Figure, Finding, Level, Rule};
use offtake::trade::manifold::{Build, Design};
use offtake::trade::quantity::{Pressure, Temperature};
use offtake::trade::service::Service;

use crate::designs::{catalogue, changed, checked};

fn steam(psi: f64, degf: f64, change: impl FnOnce(&mut Design)) -> Checked {
    checked(changed(|d| {
        d.service = Service::SaturatedSteam;
        d.build = Build::TeesBrazed;
        d.design_pressure = Pressure::psi(psi);
        d.design_temperature = Temperature::fahrenheit(degf);
        d.outlets[0].pitch = Some(crate::designs::inches(8.0));
        d.outlets[0].first = Some(crate::designs::inches(6.0));
        d.run.length = Some(crate::designs::inches(38.0));
        change(d);
    }))
}

fn said<'a>(result: &'a Checked, rule: Rule, pointer: &str) -> Vec<&'a Finding> {
    let found = result.findings.iter();
    found
        .filter(|it| it.rule == rule && it.pointer == pointer)
        .collect()
}

#[test]
fn brazed_joints_carry_steam_of_120_psi_and_soldered_ones_of_15() {
    // Copper Tube Handbook, Table 14.4a: saturated steam, 120 psi brazed and 15 psi soldered.
    let good = steam(119.0, 350.0, |_| {});
    assert_eq!(good.stops().count(), 0, "{:#?}", good.findings);
    let rating = good.rating.unwrap();
    assert_eq!(rating.governed_by.word(), "joint");
    assert!((rating.pressure.in_psi() - 120.0).abs() < 1e-6);
    assert!((rating.margin(Pressure::psi(119.0)).in_psi() - 1.0).abs() < 1e-6);
    assert!((rating.times(Pressure::psi(60.0)).unwrap() - 2.0).abs() < 1e-9);
    // It is tested cold, with water: by the annealed tube, 363.5 psi at 100 degF.
    assert!((rating.cold.in_psi() - 363.5).abs() < 0.1);
    let high = steam(125.0, 353.0, |_| {});
    // One for each size of joint.
    assert_eq!(said(&high, Rule::PressureJoint, "/filler").len(), 2);
    let soldered = |psi, degf| {
        steam(psi, degf, |d| {
            d.build = Build::TeesSoldered;
            d.filler = Some(Arc::clone(catalogue().filler("Sb5").unwrap()));
        })
    };
    let low = soldered(15.0, 249.8);
    assert_eq!(low.stops().count(), 0, "{:#?}", low.findings);
    assert!((low.rating.unwrap().pressure.in_psi() - 15.0).abs() < 1e-6);
    let more = soldered(16.0, 252.0);
    assert_eq!(said(&more, Rule::PressureJoint, "/filler").len(), 2);
    // The table has no row for that solder.
    let unlisted = steam(10.0, 240.0, |d| {
        d.build = Build::TeesSoldered;
        d.filler = Some(Arc::clone(catalogue().filler("HA").unwrap()));
    });
    assert!(unlisted.rating.is_none() && unlisted.stops().count() > 0);
}

#[test]
fn steam_is_not_rated_colder_than_its_pressure_makes_it() {
    // 15 psi is 249.7 degF (ASME steam tables, from memory).
    let at = "/design_temperature";
    let cold = steam(15.0, 180.0, |_| {});
    let [stop] = said(&cold, Rule::ServiceAllowed, at)[..] else {
        panic!("{:#?}", cold.findings);
    };
    assert_eq!(stop.level, Level::Stop);
    let Some(Figure::Temperature(limit)) = stop.limit else {
        panic!("{stop:#?}");
    };
    assert!((limit.in_fahrenheit() - 249.75).abs() < 0.1);
    assert!(stop.remedy.contains("250 degF"), "{}", stop.remedy);
    let super_heated = steam(15.0, 300.0, |_| {});
    let [caution] = said(&super_heated, Rule::ServiceAllowed, at)[..] else {
        panic!("{:#?}", super_heated.findings);
    };
    assert_eq!(caution.level, Level::Caution);
    assert!(said(&steam(15.0, 250.0, |_| {}), Rule::ServiceAllowed, at).is_empty());
    let formed = steam(15.0, 250.0, |d| d.build = Build::FormedOutlets);
    assert_eq!(said(&formed, Rule::ServiceAllowed, "/build").len(), 1);
    let beyond = steam(4000.0, 350.0, |_| {});
    assert_eq!(
        said(&beyond, Rule::ServiceAllowed, at)[0].level,
        Level::Stop
    );
}

#[test]
fn heat_and_cold_beyond_the_tables_stop_with_the_limit() {
    let at = |degf: f64| {
        checked(changed(|d| {
            d.design_temperature = Temperature::fahrenheit(degf)
        }))
    };
    let hot = at(401.0);
    let [run] = said(&hot, Rule::PressureRun, "/run/tube")[..] else {
        panic!("{:#?}", hot.findings);
    };
    // Copper Tube Handbook: allowable stresses end at 400 F.
    let Some(Figure::Temperature(limit)) = run.limit else {
        panic!("{run:#?}");
    };
    assert_eq!(run.level, Level::Stop);
    assert!((limit.in_fahrenheit() - 400.0).abs() < 1e-6);
    assert!(hot.rating.is_none());
    let soldered = checked(changed(|d| {
        d.build = Build::TeesSoldered;
        d.design_temperature = Temperature::fahrenheit(255.0);
    }));
    let joint = said(&soldered, Rule::PressureJoint, "/filler")[0];
    let Some(Figure::Temperature(limit)) = joint.limit else {
        panic!("{joint:#?}");
    };
    assert!((limit.in_fahrenheit() - 250.0).abs() < 1e-6);
    // Below the coldest row that row holds.
    let (cool, cold) = (at(100.0).rating.unwrap(), at(40.0).rating.unwrap());
    assert_eq!(cool, cold);
    let icy = at(20.0);
    let freezing = said(&icy, Rule::ServiceAllowed, "/design_temperature");
    assert_eq!((freezing.len(), icy.stops().count()), (1, 0));
    let deep = at(-330.0);
    assert_eq!(
        said(&deep, Rule::TemperatureJoint, "/design_temperature")[0].level,
        Level::Stop
    );
}

#[test]
fn cautions_stand_where_the_torch_and_the_gauge_can_hurt() {
    let with = |change: fn(&mut Design)| checked(changed(change));
    let filler = |result: &Checked| {
        let found = said(result, Rule::HotWork, "/filler");
        found.first().map(|it| (it.level, it.detail.clone()))
    };
    // Copper to copper no flux is wanted, so nothing is said of its fumes.
    assert_eq!(filler(&with(|_| {})), None);
    let silver = with(|d| d.filler = Some(Arc::clone(catalogue().filler("BAg-5").unwrap())));
    let (level, detail) = filler(&silver).unwrap();
    assert!(level == Level::Caution && detail.contains("fluorides") && detail.contains("zinc"));
    let brass = with(|d| d.run.ends[0].joins = offtake::trade::metal::Metal::Brass);
    assert!(filler(&brass).unwrap().1.contains("fluorides"));
    let soldered = with(|d| d.build = Build::TeesSoldered);
    assert_eq!(filler(&soldered).unwrap().0, Level::Note);
    let refrigerant = with(|d| d.service = Service::Refrigerant);
    assert_eq!(
        said(&refrigerant, Rule::Purge, "/service")[0].level,
        Level::Caution
    );
    let other = with(|d| d.service = Service::Other);
    assert_eq!(
        said(&other, Rule::FillerService, "/filler")[0].level,
        Level::Caution
    );
    // Torch work is said of everything that is joined here, and of nothing that is bought.
    let torch = said(&brass, Rule::HotWork, "/build")[0];
    for word in ["fire watch", "ventilate", "closed, wet or pressurised"] {
        assert!(torch.detail.contains(word), "{}", torch.detail);
    }
    let bought = with(|d| d.build = Build::Purchased);
    assert!(bought.findings.iter().all(|it| it.rule != Rule::HotWork));
}

#[test]
fn gas_that_is_tested_with_gas_says_how_much_energy_that_is() {
    let air = checked(changed(|d| d.service = Service::CompressedAir));
    let test = said(&air, Rule::TestPressure, "/design_pressure")[0];
    assert_eq!(test.level, Level::Caution);
    assert!(test.detail.contains("kJ") && test.remedy.contains("never oxygen"));
    let water = checked(changed(|_| {}));
    let test = said(&water, Rule::TestPressure, "/design_pressure")[0];
    assert_eq!(test.level, Level::Note);
    assert!(test.detail.contains("test with water"));
}
