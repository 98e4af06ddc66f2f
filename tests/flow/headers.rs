//! Whole headers against an independent solve by PyPI `scipy` and `fluids`.

use offtake::trade::flow::outcome::Outcome;
use offtake::trade::manifold::{Design, DropPoint, Loss};
use offtake::trade::quantity::FlowCoefficient;
use serde_json::Value;

use super::{
    Drive, EndUse, Feed, FlowRate, Length, OutletDuty, ReturnHeader, ReturnPath, Temperature,
    close, header, rows, solved, supply,
};

fn number(row: &Value, name: &str) -> f64 {
    row[name].as_f64().unwrap()
}

fn end_use(outlet: &Value) -> Option<EndUse> {
    if let Some(kv) = outlet["kv"].as_f64() {
        return Some(EndUse::Coefficient(FlowCoefficient::kv(kv)));
    }
    let drop = outlet["drop"].as_array()?;
    Some(EndUse::Drop(DropPoint {
        flow: FlowRate::cubic_metres_per_second(drop[0].as_f64().unwrap()),
        loss: Loss::Head(Length::metres(drop[1].as_f64().unwrap())),
    }))
}

fn design(row: &Value) -> Design {
    let outlets = row["outlets"].as_array().unwrap();
    let stations: Vec<f64> = outlets.iter().map(|it| number(it, "station")).collect();
    let text = |name: &str| row[name].as_str().unwrap();
    let mut design = header(
        text("run_id"),
        text("branch_id"),
        &stations,
        number(row, "length"),
    );
    design.design_temperature = Temperature::celsius(number(row, "celsius"));
    for (outlet, given) in design.outlets.iter_mut().zip(outlets) {
        outlet.stub = Length::metres(number(given, "stub"));
        outlet.duty = OutletDuty {
            end_use: end_use(given),
            loss_factor: number(given, "loss_factor"),
        };
    }
    let value = number(row, "value");
    let drive = match text("drive") {
        "head" => Drive::Head(Length::metres(value)),
        _ => Drive::Flow(FlowRate::cubic_metres_per_second(value)),
    };
    let feed = match text("feed") {
        "first_end" => Feed::FirstEnd,
        "second_end" => Feed::SecondEnd,
        _ => Feed::BothEnds,
    };
    let mut fed = supply(drive, feed);
    fed.back = row["return"].as_str().map(|path| ReturnHeader {
        path: match path {
            "direct" => ReturnPath::Direct,
            _ => ReturnPath::Reverse,
        },
        tube: None,
    });
    design.supply = Some(fed);
    design
}

#[test]
fn sixty_headers_share_their_water_as_scipy_finds() {
    let rows = rows(include_str!("data/headers.json"));
    assert!(rows.len() >= 50);
    let mut kinds = std::collections::BTreeSet::new();
    for (place, row) in rows.iter().enumerate() {
        let outcome: Outcome = solved(design(row));
        assert!(
            close(outcome.head.in_metres(), number(row, "head"), 1e-4),
            "{place}: {outcome:?}"
        );
        let flows = row["flows"].as_array().unwrap();
        for (outlet, theirs) in outcome.outlets.iter().zip(flows) {
            let (ours, theirs) = (
                outlet.flow.in_cubic_metres_per_second(),
                theirs.as_f64().unwrap(),
            );
            assert!(close(ours, theirs, 1e-4), "{place}: {ours} for {theirs}");
        }
        kinds.insert((row["feed"].to_string(), row["return"].to_string()));
    }
    assert!(kinds.len() >= 6, "{kinds:?}");
}
