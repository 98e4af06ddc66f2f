//! Tubes and fillers, as clients look them up.

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
    items
        .iter()
        .map(|item| item["id"].as_str().unwrap())
        .collect()
}

fn near(found: &Value, wanted: f64, within: f64) -> bool {
    (found.as_f64().unwrap() - wanted).abs() <= within
}

#[tokio::test]
async fn tubes_are_found_by_what_people_know_of_them() {
    let server = TestServer::start().await;
    for nominal in ["1-1/4", "1.25", "1+1/4+in", "1-1/4%22"] {
        let page = get(
            &server,
            &format!("/v1/tubes?standard=b88&nominal={nominal}"),
        )
        .await;
        assert_eq!(
            ids(&page),
            ["b88-k-1.25", "b88-l-1.25", "b88-m-1.25"],
            "{nominal}"
        );
    }
    let page = get(&server, "/v1/tubes?standard=ASTM+B306&type=dwv&min_od=5+in").await;
    let least = |id: &&str| id.starts_with("b306-dwv-");
    assert!(!ids(&page).is_empty() && ids(&page).iter().all(least));
    for item in page["items"].as_array().unwrap() {
        assert!(item["outside_diameter"]["value"].as_f64().unwrap() >= 5.0);
    }
    for (filters, wanted) in [
        (
            "nominal=28+mm&standard=b88m",
            vec!["b88m-a-28", "b88m-b-28", "b88m-c-28"],
        ),
        ("nominal=28mm&type=b", vec!["b88m-b-28"]),
        (
            "standard=EN+1057&min_od=28+mm&max_od=28+mm",
            vec!["en1057-28x0.9", "en1057-28x1.2", "en1057-28x1.5"],
        ),
        (
            "nominal=7/8+OD",
            vec!["b280-0.875", "b280-coil-0.875x0.045"],
        ),
        (
            "standard=b819&type=L&min_od=1.125+in&max_od=1.375+in",
            vec!["b819-l-1", "b819-l-1.25"],
        ),
    ] {
        let page = get(&server, &format!("/v1/tubes?{filters}")).await;
        assert_eq!(ids(&page), wanted, "{filters}");
    }
    let metric = get(&server, "/v1/tubes?min_od=127+mm&standard=b306").await;
    assert_eq!(ids(&metric), ids(&page), "the same length in other words");
}

#[tokio::test]
async fn the_whole_list_comes_page_by_page() {
    let server = TestServer::start().await;
    let whole = get(&server, "/v1/tubes?limit=500").await;
    assert_eq!(ids(&whole).len(), 219);
    assert_eq!(whole["next"], Value::Null);
    let mut seen: Vec<String> = Vec::new();
    let mut path = "/v1/tubes?limit=7&units=metric".to_owned();
    loop {
        let page = get(&server, &path).await;
        seen.extend(ids(&page).iter().map(|id| (*id).to_owned()));
        match page["next"].as_str() {
            Some(next) => path = next.to_owned(),
            None => break,
        }
    }
    assert_eq!(seen, ids(&whole));
    let filler = get(&server, "/v1/fillers?limit=1").await["next"].clone();
    let alien = filler.as_str().unwrap().replace("fillers", "tubes");
    let answer = server.admin(Method::GET, &alien).send().await.unwrap();
    problem(answer, StatusCode::BAD_REQUEST, "invalid-query").await;
}

#[tokio::test]
async fn a_tube_carries_its_figures_and_where_they_come_from() {
    let server = TestServer::start().await;
    // ASTM B88 as reprinted in engineering tables: 2 in type L is 2.125 in outside with a wall of
    // 0.070 in and weighs 1.75 lb/ft; 2.60 kg/m, 53.98 mm.
    let tube = get(&server, "/v1/tubes/B88-L-2").await;
    assert_eq!(tube["id"], "b88-l-2");
    assert_eq!(tube["standard"], "ASTM B88");
    assert_eq!(tube["nominal"], "2");
    assert_eq!(tube["outside_diameter"]["value"], 2.125);
    assert_eq!(tube["wall"]["value"], 0.07);
    assert!(near(&tube["mass"]["value"], 1.75, 0.005));
    assert_eq!(tube["mass"]["unit"], "lb/ft");
    assert_eq!(
        tube["tolerances"]["outside_diameter_annealed"]["value"],
        0.005
    );
    assert_eq!(tube["stick"]["value"], 240.0);
    for group in ["dimensions", "sold", "tolerances", "mass", "contents"] {
        assert!(!tube["source"][group]["cite"].as_str().unwrap().is_empty());
        assert!(tube["source"][group]["status"].is_string());
    }
    let metric = get(&server, "/v1/tubes/b88-l-2?units=metric").await;
    assert_eq!(metric["outside_diameter"]["value"], 53.975);
    assert!(near(&metric["mass"]["value"], 2.60, 0.01));
    // A bore of 1.985 in holds 0.1608 gal/ft, 1.997 l/m (area of the circle, by hand).
    assert!(near(&tube["contents"]["value"], 0.1608, 0.0001));
    assert!(near(&metric["contents"]["value"], 1.997, 0.001));
}

#[tokio::test]
async fn a_rating_shows_its_formula_and_inputs() {
    let server = TestServer::start().await;
    // Copper Tube Handbook, Table 14.3b (seen): 2 in type L annealed at 100 F: 364 psi.
    let rating = get(
        &server,
        "/v1/tubes/b88-l-2/rating?temperature=100+degF&temper=annealed",
    )
    .await;
    assert!(near(&rating["rated_pressure"]["value"], 364.0, 0.6));
    assert_eq!(rating["inputs"]["allowable_stress"]["value"], 6000.0);
    assert_eq!(rating["inputs"]["least_wall"]["value"], 0.063);
    assert_eq!(rating["inputs"]["greatest_od"]["value"], 2.13);
    assert!(
        rating["inputs"]["formula"]
            .as_str()
            .unwrap()
            .contains("2 S t_min")
    );
    assert_eq!(rating["source"]["status"], "seen");
    // The same in metric, and without a temper: the annealed rating.
    let metric = get(
        &server,
        "/v1/tubes/b88-l-2/rating?temperature=37.7777778+degC&units=metric",
    )
    .await;
    assert_eq!(metric["temper"], "annealed");
    assert_eq!(metric["rated_pressure"]["unit"], "bar");
    let bar = rating["rated_pressure"]["value"].as_f64().unwrap() * 0.068_947_57;
    assert!(near(&metric["rated_pressure"]["value"], bar, 0.001));
}

#[tokio::test]
async fn what_has_no_rating_says_where_the_limit_comes_from() {
    let server = TestServer::start().await;
    for (path, parameter, code, part) in [
        (
            "/v1/tubes/b306-dwv-2/rating?temperature=70+degF",
            "id",
            "not_pressure_tube",
            "ASTM B306",
        ),
        (
            "/v1/tubes/b88-l-2/rating?temperature=205+degC",
            "temperature",
            "above_table",
            "400 degF (204 degC) (Copper Tube Handbook",
        ),
        (
            "/v1/tubes/en1057-28x1.2/rating?temperature=205+degC",
            "temperature",
            "above_table",
            "(200 degC) (design stresses of EN 1057",
        ),
        (
            "/v1/tubes/b280-coil-0.375x0.032/rating?temperature=70+degF&temper=drawn",
            "temper",
            "no_tolerance",
            "stand-in",
        ),
    ] {
        let answer = server.admin(Method::GET, path).send().await.unwrap();
        let body = problem(answer, StatusCode::UNPROCESSABLE_ENTITY, "unprocessable").await;
        assert_eq!(body["errors"][0]["parameter"], parameter);
        assert_eq!(body["errors"][0]["code"], code);
        let detail = body["detail"].as_str().unwrap();
        assert!(detail.contains(part), "{detail}");
    }
    for (path, code) in [
        ("/v1/tubes/b88-l-2/rating", "missing"),
        ("/v1/tubes/b88-l-2/rating?temperature=100", "unit_missing"),
        (
            "/v1/tubes/b88-l-2/rating?temperature=1e999+degF",
            "not_a_quantity",
        ),
        (
            "/v1/tubes/b88-l-2/rating?temperature=-500+degF",
            "out_of_range",
        ),
    ] {
        let answer = server.admin(Method::GET, path).send().await.unwrap();
        let body = problem(answer, StatusCode::BAD_REQUEST, "invalid-query").await;
        assert_eq!(body["errors"][0]["code"], code, "{path}");
    }
}

#[tokio::test]
async fn a_wrong_id_is_answered_with_the_nearest() {
    let server = TestServer::start().await;
    for (path, nearest) in [
        ("/v1/tubes/b88-l-2.1", "b88-l-2"),
        ("/v1/tubes/b88-l2/rating?temperature=70+degF", "b88-l-2"),
        ("/v1/tubes/b280-0.87", "b280-0.875"),
        ("/v1/tubes/en1057-28x1.3", "en1057-28x1.2"),
        ("/v1/tubes/b819-l-1.2", "b819-l-1.25"),
        ("/v1/fillers/bcup3", "BCuP-3"),
    ] {
        let answer = server.admin(Method::GET, path).send().await.unwrap();
        let body = problem(answer, StatusCode::NOT_FOUND, "not-found").await;
        let detail = body["detail"].as_str().unwrap();
        assert!(detail.contains(nearest), "{detail}");
    }
}

#[tokio::test]
async fn fillers_and_solders_are_listed_with_their_sources() {
    let server = TestServer::start().await;
    let solders = get(&server, "/v1/fillers?family=solder").await;
    assert_eq!(ids(&solders), ["Sn50", "Sb5", "E", "HB", "HA"]);
    let filler = get(&server, "/v1/fillers/bcup-3?units=metric").await;
    // AWS A5.8, BCuP-3: solidus 1190 F, that is 643 degC.
    assert!(near(&filler["solidus"]["value"], 643.33, 0.01));
    assert_eq!(filler["family"], "copper_phosphorus");
    assert_eq!(filler["brazes"], true);
    assert_eq!(filler["source"]["density"]["status"], "from_memory");
}

#[tokio::test]
async fn the_catalogue_may_be_kept_and_asked_again_by_version() {
    let server = TestServer::start().await;
    for path in ["/v1/tubes?limit=3", "/v1/tubes/b88-l-2", "/v1/fillers"] {
        let first = server.admin(Method::GET, path).send().await.unwrap();
        assert_eq!(header(&first, "cache-control"), "private, max-age=3600");
        let tag = header(&first, "etag").to_owned();
        let again = server.admin(Method::GET, path).header("if-none-match", tag);
        assert_eq!(
            again.send().await.unwrap().status(),
            StatusCode::NOT_MODIFIED,
            "{path}"
        );
    }
}

#[tokio::test]
async fn the_catalogue_needs_a_key_that_may_check() {
    let server = TestServer::start().await;
    let path = "/v1/tubes/b88-l-2";
    problem(
        server.get(path).await,
        StatusCode::UNAUTHORIZED,
        "missing-key",
    )
    .await;
    let other = server.request(Method::GET, path).bearer_auth(ACCOUNT);
    problem(
        other.send().await.unwrap(),
        StatusCode::FORBIDDEN,
        "missing-scope",
    )
    .await;
}

#[tokio::test]
async fn every_example_of_the_description_is_answered_with_success() {
    let server = TestServer::start().await;
    let document: Value = server.get("/openapi.json").await.json().await.unwrap();
    for (path, method) in [
        ("/v1/tubes", "get"),
        ("/v1/tubes/{id}", "get"),
        ("/v1/tubes/{id}/rating", "get"),
        ("/v1/fillers", "get"),
        ("/v1/fillers/{id}", "get"),
        ("/v1/fittings", "get"),
        ("/v1/fittings/{id}", "get"),
        ("/v1/manifolds/check", "post"),
        ("/v1/manifolds/layout", "post"),
    ] {
        let operation = &document["paths"][path][method];
        let mut address = path.to_owned();
        let mut query: Vec<(&str, String)> = Vec::new();
        for parameter in operation["parameters"].as_array().unwrap() {
            let name = parameter["name"].as_str().unwrap();
            assert!(parameter["description"].is_string(), "{path} {name}");
            let value = match &parameter["example"] {
                // A cursor is only ever handed out.
                Value::Null if name == "after" => continue,
                Value::String(text) => text.clone(),
                other => other.to_string(),
            };
            if parameter["in"] == "path" {
                address = address.replace(&format!("{{{name}}}"), &value);
            } else {
                query.push((name, value));
            }
        }
        let whole = reqwest::Url::parse_with_params("http://x/", &query).unwrap();
        let address = format!("{address}?{}", whole.query().unwrap_or_default());
        let sent = server.request(method.to_uppercase().parse().unwrap(), &address);
        let mut sent = sent.bearer_auth(CHECK);
        let body = &operation["requestBody"]["content"]["application/json"]["example"];
        if method == "post" {
            assert!(body.is_object(), "{path}");
            sent = sent.json(body);
        }
        let answer = sent.send().await.unwrap();
        assert_eq!(answer.status(), StatusCode::OK, "{method} {path}");
        let answer: Value = answer.json().await.unwrap();
        if method == "post" {
            assert_eq!(answer["summary"]["failed"], 0, "{path}");
        }
    }
}
