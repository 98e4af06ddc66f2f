//! Wrought fittings, as clients look them up.

use super::harness::{ACCOUNT, CHECK, TestServer, header, problem};
use reqwest::{Method, StatusCode};
use serde_json::Value;

async fn get(server: &TestServer, path: &str) -> Value {
    let answer = server.request(Method::GET, path).bearer_auth(CHECK);
    let answer = answer.send().await.unwrap();
    assert_eq!(answer.status(), StatusCode::OK, "{path}");
    answer.json().await.unwrap()
}

fn ids(page: &Value) -> Vec<&str> {
    let items = page["items"].as_array().unwrap();
    items.iter().map(|it| it["id"].as_str().unwrap()).collect()
}

/// Every fitting, page by page.
async fn all(server: &TestServer) -> Vec<Value> {
    let mut found = Vec::new();
    let mut path = "/v1/fittings?limit=97".to_owned();
    loop {
        let page = get(server, &path).await;
        found.extend(page["items"].as_array().unwrap().clone());
        match page["next"].as_str() {
            Some(next) => path = next.to_owned(),
            None => return found,
        }
    }
}

#[tokio::test]
async fn fittings_are_found_by_kind_and_sizes() {
    let server = TestServer::start().await;
    for (filters, wanted) in [
        ("kind=tee&nominal=2&branch=1", vec!["tee-2x2x1"]),
        (
            "kind=tee&nominal=3/4",
            vec![
                "tee-0.75x0.75x0.25",
                "tee-0.75x0.75x0.375",
                "tee-0.75x0.75x0.5",
                "tee-0.75x0.75x0.625",
                "tee-0.75x0.75x0.75",
            ],
        ),
        // Refrigerant tube of 7/8 in outside takes fittings of 3/4 in.
        ("kind=cap&nominal=7/8+OD", vec!["cap-0.75"]),
        (
            "nominal=28+mm&branch=15+mm",
            vec!["tee-28mmx28mmx15mm", "reducer-28mmx15mm"],
        ),
        ("kind=coupling&nominal=2-1/2", vec!["coupling-2.5"]),
        (
            "kind=reducer&nominal=1/2",
            vec!["reducer-0.5x0.25", "reducer-0.5x0.375"],
        ),
        ("kind=male_adapter&nominal=1", vec!["male-adapter-1"]),
        // There is no 5/8 in pipe thread.
        ("kind=female_adapter&nominal=5/8", vec![]),
    ] {
        let page = get(&server, &format!("/v1/fittings?{filters}")).await;
        assert_eq!(ids(&page), wanted, "{filters}");
    }
}

#[tokio::test]
async fn the_list_holds_every_pair_once_and_what_estimates_ask_for() {
    let server = TestServer::start().await;
    let all = all(&server).await;
    let of = |kind: &str| all.iter().filter(|it| it["kind"] == kind).count();
    // 16 inch sizes and 16 metric ones: pairs with repetition for tees, without for reducers.
    assert_eq!(of("tee"), 2 * (16 * 17 / 2));
    assert_eq!(of("reducer"), 2 * (16 * 15 / 2));
    assert_eq!((of("cap"), of("coupling")), (32, 32));
    assert_eq!((of("male_adapter"), of("female_adapter")), (21, 21));
    let mut ids: Vec<&str> = all.iter().map(|it| it["id"].as_str().unwrap()).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all.len());
    // The codes of the demo's price list are ids here.
    let sheet = include_str!("../../src/demo/data/prices.csv");
    let mut held = 0;
    for line in sheet.lines().filter(|line| line.contains(",fitting,")) {
        let code = line.split(',').next().unwrap();
        let row = all.iter().find(|it| it["id"] == code).unwrap();
        assert_eq!(row["counted"], true, "{code}");
        held += 1;
    }
    assert!(held > 10);
}

#[tokio::test]
async fn a_fitting_says_what_is_known_of_it_and_what_is_not() {
    let server = TestServer::start().await;
    let tee = get(&server, "/v1/fittings/TEE-2x2x1").await;
    assert_eq!(tee["name"], "tee 2 x 2 x 1 in");
    assert_eq!(tee["standard"], "ASME B16.22");
    assert_eq!(tee["rated_as"], "b88-l-2");
    let ends = tee["ends"].as_array().unwrap();
    assert_eq!(ends.len(), 3);
    // Copper Tube Handbook, consumption tables: cups of 2 in are 1.34 in deep, of 1 in 0.91 in.
    assert_eq!(ends[0]["cup_depth"]["value"], 1.34);
    assert_eq!(ends[2]["cup_depth"]["value"], 0.91);
    assert_eq!(ends[2]["place"], "branch");
    assert_eq!(ends[2]["cup_depth_source"]["status"], "seen");
    assert_eq!(ends[2]["tube_outside_diameter"]["value"], 1.125);
    // The stand-in, by hand: half the leg across and 1/16 in.
    assert_eq!(ends[0]["make_up"]["value"], 0.625);
    assert_eq!(ends[2]["make_up"]["value"], 1.125);
    assert_eq!(ends[2]["make_up_source"]["status"], "stand_in");
    assert_eq!(tee["source"]["sizes"]["status"], "stand_in");
    let wanting = tee["not_known"].as_array().unwrap();
    assert!(wanting.contains(&Value::from("centre to the bottom of each cup")));

    let adapter = get(&server, "/v1/fittings/female-adapter-28mm?units=metric").await;
    assert_eq!(adapter["standard"], "EN 1254-1");
    let thread = &adapter["ends"][1];
    assert_eq!(thread["joint"], "female_thread");
    assert_eq!(thread["thread"], "Rp 1");
    assert_eq!(thread["cup_depth"], Value::Null);
    assert_eq!(adapter["ends"][0]["cup_depth"]["value"], 18.4);
    assert_eq!(
        adapter["ends"][0]["cup_depth_source"]["status"],
        "from_memory"
    );
    assert_eq!(adapter["source"]["rating"]["status"], "stand_in");
    assert_eq!(adapter["counted"], false);
}

#[tokio::test]
async fn cups_are_as_deep_as_the_published_ones() {
    // Copper Tube Handbook, solder consumption table, column of cup depths (seen).
    let server = TestServer::start().await;
    let mut read = csv::Reader::from_reader(
        include_bytes!("../data/published_solder_consumption.csv").as_slice(),
    );
    let place = |name: &str, head: &csv::StringRecord| head.iter().position(|it| it == name);
    let head = read.headers().unwrap().clone();
    let (nominal, depth) = (
        place("nominal_in", &head).unwrap(),
        place("cup_depth_in", &head).unwrap(),
    );
    let rows: Vec<csv::StringRecord> = read.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 6);
    for row in rows {
        let path = format!("/v1/fittings?kind=coupling&nominal={}", &row[nominal]);
        let page = get(&server, &path).await;
        let end = &page["items"][0]["ends"][0];
        let published: f64 = row[depth].parse().unwrap();
        assert_eq!(end["cup_depth"]["value"], published, "{row:?}");
        assert_eq!(end["cup_depth_source"]["status"], "seen");
    }
}

#[tokio::test]
async fn a_wrong_id_is_answered_with_the_nearest() {
    let server = TestServer::start().await;
    for (path, nearest) in [
        ("/v1/fittings/tee-2x2x1.1", "tee-2x2x1"),
        ("/v1/fittings/cap2", "cap-2"),
        ("/v1/fittings/reducer-1x2", "reducer-"),
    ] {
        let answer = server.admin(Method::GET, path).send().await.unwrap();
        let body = problem(answer, StatusCode::NOT_FOUND, "not-found").await;
        let detail = body["detail"].as_str().unwrap();
        assert!(detail.contains(nearest), "{detail}");
    }
    for path in [
        "/v1/fittings?kind=elbow",
        "/v1/fittings?nominal=x",
        "/v1/fittings?after=x",
    ] {
        let answer = server.admin(Method::GET, path).send().await.unwrap();
        problem(answer, StatusCode::BAD_REQUEST, "invalid-query").await;
    }
}

#[tokio::test]
async fn fittings_may_be_kept_and_need_a_key_that_may_check() {
    let server = TestServer::start().await;
    for path in ["/v1/fittings?limit=3", "/v1/fittings/cap-2"] {
        let first = server.admin(Method::GET, path).send().await.unwrap();
        assert_eq!(header(&first, "cache-control"), "private, max-age=3600");
        let tag = header(&first, "etag").to_owned();
        let again = server.admin(Method::GET, path).header("if-none-match", tag);
        let again = again.send().await.unwrap();
        assert_eq!(again.status(), StatusCode::NOT_MODIFIED, "{path}");
        let other = server.request(Method::GET, path).bearer_auth(ACCOUNT);
        let refused = other.send().await.unwrap();
        problem(refused, StatusCode::FORBIDDEN, "missing-scope").await;
    }
}
