//! Cut plans and the offcut rack, over HTTP.

use reqwest::{Method, StatusCode};
use serde_json::{Value, json};
use tokio::task::JoinSet;

use crate::harness::{Shop, read, schedule};

const PLANS: &str = "/v1/cut-plans";

async fn add(shop: &Shop, tube: &str, length: &str) -> String {
    let body = json!({"tube": tube, "length": length, "label": format!("of {length}")});
    let made = shop.post("/v1/offcuts", &body, StatusCode::CREATED).await;
    made["id"].as_str().unwrap().to_owned()
}

fn job(reserve_for: &str) -> Value {
    json!({
        "kerf": "0 in", "units": "imperial",
        "stock": [{"id": "stick", "tube": "b88-l-2", "length": "100 in", "cost": "50.00"}],
        "pieces": [{"id": "run", "tube": "b88-l-2", "length": "40 in", "count": 3}],
        "offcuts": {"reserve_for": reserve_for},
    })
}

/// The stock that each stick of a plan is cut from.
fn stock(plan: &Value) -> Vec<&str> {
    let sticks = plan["sticks"].as_array().unwrap().iter();
    sticks
        .map(|stick| stick["stock"].as_str().unwrap())
        .collect()
}

pub async fn an_offcut_goes_through_its_life(shop: Shop) {
    let id = add(&shop, "b88-l-2", "31 1/2 in").await;
    let path = format!("/v1/offcuts/{id}");
    let known = shop.get(&path).await;
    assert_eq!(
        (&known["state"], &known["for"], &known["length"]["text"]),
        (&json!("available"), &json!(null), &json!("31 1/2 in"))
    );
    assert_eq!(known["temper"], "drawn");
    let reserved = shop
        .post(
            &format!("{path}/reserve"),
            &json!({"for": "J-1"}),
            StatusCode::OK,
        )
        .await;
    assert_eq!(
        (&reserved["state"], &reserved["for"]),
        (&json!("reserved"), &json!("J-1"))
    );
    // Nobody else gets it, and the answer says what can be done.
    let refused = shop
        .post(
            &format!("{path}/reserve"),
            &json!({"for": "J-2"}),
            StatusCode::CONFLICT,
        )
        .await;
    let detail = refused["detail"].as_str().unwrap();
    assert!(
        detail.contains("\"J-1\"") && detail.contains("return it"),
        "{detail}"
    );
    shop.post(
        &format!("{path}/take"),
        &json!({"for": "J-2"}),
        StatusCode::CONFLICT,
    )
    .await;
    shop.post(&format!("{path}/take"), &json!({}), StatusCode::OK)
        .await;
    let back = json!({"length": "12 in"});
    let back = shop
        .post(&format!("{path}/return"), &back, StatusCode::OK)
        .await;
    assert_eq!(
        (&back["state"], &back["length"]["value"]),
        (&json!("available"), &json!(12.0))
    );
    let known = shop.get(&path).await;
    let made: Vec<&str> = known["moves"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["made"].as_str().unwrap())
        .collect();
    assert_eq!(made, ["add", "reserve", "take", "return"]);
    assert_eq!(known["moves"][2]["for"], "J-1");
    // Who saw it before it was moved is told.
    let stale = shop
        .request(Method::POST, &format!("{path}/reserve"))
        .header("if-match", "\"old\"")
        .json(&json!({"for": "J-3"}));
    read(stale.send().await.unwrap(), StatusCode::PRECONDITION_FAILED).await;
    let nothing = json!({"tube": "b88-l-2", "length": "0 in"});
    shop.post("/v1/offcuts", &nothing, StatusCode::UNPROCESSABLE_ENTITY)
        .await;
}

pub async fn a_plan_draws_on_the_rack_and_reserves(shop: Shop) {
    let long = add(&shop, "b88-l-2", "80 in").await;
    add(&shop, "b88-l-2", "39 in").await;
    add(&shop, "b88-l-1", "80 in").await;
    let plan = shop.post(PLANS, &job("J-1"), StatusCode::OK).await;
    // Two of 40 in from the offcut of 80 in, one from a stick.
    assert_eq!(stock(&plan), [long.as_str(), "stick"]);
    assert_eq!(
        (&plan["proven"], &plan["reserved"]),
        (&json!(true), &json!([long]))
    );
    assert_eq!(plan["cost"]["amount"], "50.00");
    assert_eq!(plan["sticks"][0]["label"], "of 80 in");
    let known = shop.get(&format!("/v1/offcuts/{long}")).await;
    assert_eq!(
        (&known["state"], &known["for"]),
        (&json!("reserved"), &json!("J-1"))
    );
    // The next plan finds it gone.
    let plan = shop.post(PLANS, &job("J-2"), StatusCode::OK).await;
    assert_eq!(stock(&plan), ["stick", "stick"]);
    assert_eq!(plan["reserved"], json!([]));
    let free = shop.get("/v1/offcuts?tube=b88-l-2&state=available").await;
    assert_eq!(free["items"].as_array().unwrap().len(), 1);
    let held = shop.get("/v1/offcuts?for=J-1").await;
    assert_eq!(held["items"][0]["id"], json!(long));
}

pub async fn plans_made_at_once_never_share_an_offcut(shop: Shop) {
    const PIECES: usize = 3;
    for _ in 0..PIECES {
        add(&shop, "b88-l-2", "80 in").await;
    }
    let mut tasks = JoinSet::new();
    for rival in 0..6 {
        let shop = shop.clone();
        tasks.spawn(async move {
            let sent = shop
                .request(Method::POST, PLANS)
                .json(&job(&format!("J-{rival}")));
            let answer = sent.send().await.unwrap();
            // Whoever was beaten too often is told to send it again, and holds nothing.
            match answer.status() {
                StatusCode::OK => read(answer, StatusCode::OK).await,
                _ => read(answer, StatusCode::CONFLICT).await,
            }
        });
    }
    let mut given: Vec<String> = Vec::new();
    for plan in tasks.join_all().await {
        let reserved = plan["reserved"].as_array().cloned().unwrap_or_default();
        given.extend(reserved.iter().map(|id| id.as_str().unwrap().to_owned()));
    }
    let count = given.len();
    given.sort();
    given.dedup();
    assert_eq!(given.len(), count, "an offcut was given twice");
    assert_eq!(count, PIECES);
    let held = shop.get("/v1/offcuts?state=reserved").await;
    assert_eq!(held["items"].as_array().unwrap().len(), PIECES);
}

pub async fn a_whole_schedule_is_cut_from_sticks_as_sold(shop: Shop) {
    shop.set_up().await;
    let manifolds = &schedule()[..6];
    let body = json!({"kerf": "1/16 in", "manifolds": manifolds, "units": "imperial"});
    let plan = shop.post(PLANS, &body, StatusCode::OK).await;
    assert_eq!(plan["cost"]["currency"], "USD");
    let tubes = plan["tubes"].as_array().unwrap();
    assert!(tubes.len() >= 2, "{tubes:#?}");
    // Every piece of every cut list is in the plan, as often as it is wanted.
    let layout = shop
        .post(
            "/v1/manifolds/layout",
            &json!({"manifolds": manifolds}),
            StatusCode::OK,
        )
        .await;
    let mut wanted: Vec<String> = Vec::new();
    for (item, manifold) in layout["items"].as_array().unwrap().iter().zip(manifolds) {
        let times = manifold["quantity"].as_u64().unwrap_or(1);
        for piece in item["pieces"].as_array().unwrap() {
            let name = format!(
                "{} {}",
                item["mark"].as_str().unwrap(),
                piece["id"].as_str().unwrap()
            );
            let count = piece["count"].as_u64().unwrap() * times;
            wanted.extend((0..count).map(|_| name.clone()));
        }
    }
    let mut cut: Vec<String> = Vec::new();
    for stick in plan["sticks"].as_array().unwrap() {
        let pieces = stick["pieces"].as_array().unwrap().iter();
        cut.extend(pieces.map(|piece| piece.as_str().unwrap().to_owned()));
    }
    wanted.sort();
    cut.sort();
    assert_eq!(cut, wanted);
    // Where the stock goes, in inches as shown.
    let part = |name: &str| plan["lengths"][name]["value"].as_f64().unwrap();
    let sum: f64 = ["pieces", "kerf", "trim", "kept", "scrap"]
        .map(part)
        .iter()
        .sum();
    assert!(
        (sum - part("stock")).abs() < 0.02,
        "{sum} of {}",
        part("stock")
    );
}
