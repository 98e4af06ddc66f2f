//! Forming profiles, over real sockets.

use super::checks::{answered, manifold};
use super::harness::{CHECK, TestServer, header, problem};
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

const PATH: &str = "/v1/forming-profiles/shop";

async fn get(server: &TestServer, path: &str) -> Response {
    let asked = server.request(Method::GET, path).bearer_auth(CHECK);
    asked.send().await.unwrap()
}

async fn read(server: &TestServer, path: &str) -> Value {
    let answer = get(server, path).await;
    assert_eq!(answer.status(), StatusCode::OK, "{path}");
    answer.json().await.unwrap()
}

async fn put(server: &TestServer, tag: Option<&str>, kind: &str, body: String) -> Response {
    let mut sent = server.admin(Method::PUT, PATH).header("content-type", kind);
    if let Some(tag) = tag {
        sent = sent.header("if-match", tag);
    }
    sent.body(body).send().await.unwrap()
}

fn profile(least_pitch: &str) -> Value {
    json!({"name": "Bench press", "source": "samples", "sizes": [
        {"run": "2", "branch": "1", "allowed": true, "least_pitch": least_pitch, "pilot": "0.86 in", "source": "sample 14"}]})
}

async fn checked(server: &TestServer, more: Value) -> Value {
    let mut body = json!({"manifolds": [manifold()]});
    for (field, value) in more.as_object().unwrap() {
        body[field] = value.clone();
    }
    answered(server, "/v1/manifolds/check", &body).await
}

#[tokio::test]
async fn a_shop_enters_metric_and_refrigerant_sizes() {
    let server = TestServer::start().await;
    let sheet = "run,branch,allowed,pilot,least_pitch\r\n54 mm,28 mm,yes,21.5 mm,160 mm\r\n2-1/8 OD,7/8 OD,yes,0.62 in,\r\n";
    let made = put(&server, None, "text/csv", sheet.to_owned()).await;
    assert_eq!(
        made.status(),
        StatusCode::OK,
        "{}",
        made.text().await.unwrap()
    );
    // What was entered comes back, from the database and as a sheet.
    let stored = read(&server, PATH).await;
    let sizes = stored["sizes"].as_array().unwrap();
    assert_eq!(
        (&sizes[0]["run"], &sizes[0]["branch"]),
        (&json!("54 mm"), &json!("28 mm"))
    );
    assert_eq!(
        (&sizes[1]["run"], &sizes[1]["branch"]),
        (&json!("2-1/8 OD"), &json!("7/8 OD"))
    );
    let csv = get(&server, &format!("{PATH}?format=csv&units=metric")).await;
    let csv = csv.text().await.unwrap();
    assert!(csv.contains("\r\n54 mm,28 mm,yes,21.5 mm,160 mm,"), "{csv}");
    // EN 1057 tube, whose pitch of 5 in (127 mm) is less than the 160 mm entered.
    let mut metric = manifold();
    metric["run"]["tube"] = json!("en1057-54x2");
    metric["outlets"][0]["tube"] = json!("en1057-28x1.2");
    let body = answered(
        &server,
        "/v1/manifolds/check",
        &json!({"manifolds": [metric], "units": "metric"}),
    )
    .await;
    let item = &body["items"][0];
    assert_eq!(item["computed"]["outlets"][0]["pilot"]["value"], 21.5);
    let findings = item["findings"].as_array().unwrap();
    let of_pitch = |it: &&Value| it["rule"] == "outlet-pitch";
    let stop = findings.iter().find(of_pitch).unwrap();
    assert_eq!(
        (&stop["level"], &stop["limit"]["value"]),
        (&json!("stop"), &json!(160.0))
    );
    // Water tube of 2 and 3/4 in has the outside diameters of the second row.
    let mut inch = manifold();
    inch["outlets"][0]["tube"] = json!("b88-l-0.75");
    let body = answered(
        &server,
        "/v1/manifolds/check",
        &json!({"manifolds": [inch]}),
    )
    .await;
    assert_eq!(
        body["items"][0]["computed"]["outlets"][0]["pilot"]["value"],
        0.62
    );
    // A branch larger than its run is refused in whatever sizes.
    let wide = json!({"name": "n", "source": "s", "sizes": [{"run": "28 mm", "branch": "2", "allowed": true}]});
    let refused = put(&server, Some("*"), "application/json", wide.to_string()).await;
    let body = problem(refused, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
    assert!(
        body["errors"]
            .to_string()
            .contains("2 in, larger than its run of 28 mm"),
        "{body}"
    );
}

#[tokio::test]
async fn the_shops_own_profile_holds_where_none_is_named() {
    let server = TestServer::start().await;
    let before = checked(&server, json!({})).await;
    assert_eq!(before["forming_profile"]["id"], "built-in");
    let made = put(
        &server,
        None,
        "application/json",
        profile("6 in").to_string(),
    )
    .await;
    assert_eq!(made.status(), StatusCode::OK);
    let tag = header(&made, "etag").to_owned();
    let after = checked(&server, json!({})).await;
    assert_eq!(
        after["forming_profile"],
        json!({"id": "shop", "version": 1, "name": "Bench press"})
    );
    // Outlets every 5 in, where the shop has entered 6 in.
    let item = &after["items"][0];
    assert_eq!(item["verdict"], "not_buildable");
    let stop = item["findings"].as_array().unwrap();
    let stop = stop.iter().find(|it| it["level"] == "stop").unwrap();
    assert_eq!(
        (&stop["rule"], &stop["limit"]["value"]),
        (&json!("outlet-pitch"), &json!(6.0))
    );
    assert_eq!(stop["basis"]["kind"], "shop");
    assert!(
        stop["basis"]["cite"]
            .as_str()
            .unwrap()
            .contains("sample 14")
    );
    assert_eq!(item["computed"]["outlets"][0]["pilot"]["value"], 0.86);
    // Whoever names the built-in one is judged by it; a later version takes over.
    let named = checked(&server, json!({"forming_profile": "built-in"})).await;
    assert_eq!(named["items"][0]["verdict"], before["items"][0]["verdict"]);
    let again = put(
        &server,
        None,
        "application/json",
        profile("4 in").to_string(),
    )
    .await;
    problem(again, StatusCode::PRECONDITION_REQUIRED, "version-required").await;
    let again = put(
        &server,
        Some(&tag),
        "application/json",
        profile("4 in").to_string(),
    )
    .await;
    assert_eq!(again.status(), StatusCode::OK);
    let stale = put(
        &server,
        Some(&tag),
        "application/json",
        profile("3 in").to_string(),
    )
    .await;
    problem(stale, StatusCode::PRECONDITION_FAILED, "stale").await;
    let now = checked(&server, json!({})).await;
    assert_eq!(now["forming_profile"]["version"], 2);
    assert_ne!(now["items"][0]["verdict"], "not_buildable");
    let old = read(&server, &format!("{PATH}?version=1")).await;
    assert_eq!(old["sizes"][0]["least_pitch"]["value"], 6.0);
    assert_eq!(
        read(&server, PATH).await["sizes"][0]["least_pitch"]["value"],
        4.0
    );
}

#[tokio::test]
async fn a_profile_that_is_not_there_is_a_fault_of_the_request() {
    let server = TestServer::start().await;
    let body = json!({"manifolds": [manifold()], "forming_profile": "press-9"});
    let sent = server
        .admin(Method::POST, "/v1/manifolds/check")
        .json(&body);
    let answer = problem(
        sent.send().await.unwrap(),
        StatusCode::UNPROCESSABLE_ENTITY,
        "unprocessable",
    )
    .await;
    assert_eq!(answer["errors"][0]["pointer"], "/forming_profile");
    problem(get(&server, PATH).await, StatusCode::NOT_FOUND, "not-found").await;
    let list = read(&server, "/v1/forming-profiles").await;
    assert_eq!(list["items"].as_array().unwrap().len(), 1);
    assert_eq!(list["items"][0]["id"], "built-in");
    let fixed = server.admin(Method::PUT, "/v1/forming-profiles/built-in");
    let fixed = fixed.json(&profile("2 in")).send().await.unwrap();
    problem(fixed, StatusCode::CONFLICT, "conflict").await;
    let denied = server.request(Method::PUT, PATH).bearer_auth(CHECK);
    let denied = denied.json(&profile("2 in")).send().await.unwrap();
    problem(denied, StatusCode::FORBIDDEN, "missing-scope").await;
}

#[tokio::test]
async fn a_sheet_comes_back_as_it_went_and_its_faults_are_named_by_cell() {
    let server = TestServer::start().await;
    let heading = "run,branch,allowed,pilot,least_pitch,least_end_distance,thinnest_run,anneal,usual_ratio,severe_ratio,source,note\r\n";
    let sheet = format!(
        "{heading}2,1,yes,0.875 in,2 in,1.5 in,L,no,0.72,0.63,\"sample 14, cut open\",\r\n2,1/2,no,,,,,,,,cracked,\r\n"
    );
    let made = put(&server, None, "text/csv", sheet.clone()).await;
    assert_eq!(made.status(), StatusCode::OK);
    let back = get(&server, &format!("{PATH}?format=csv")).await;
    let tag = header(&back, "etag").to_owned();
    assert_eq!(back.text().await.unwrap(), sheet);
    let wrong = format!(
        "{heading}2,1,yes,0.875,,,,,,,,\r\n2,1.0,yes,,,,,,,,,\r\n1,2,perhaps,,,,DWV,,0.6,0.7,,\r\n3,1,,,,,,,,,,\r\n"
    );
    let refused = put(&server, Some(&tag), "text/csv", wrong).await;
    let body = problem(refused, StatusCode::UNPROCESSABLE_ENTITY, "invalid-body").await;
    let found: Vec<(u64, &str)> = body["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| {
            (
                it["sheet_row"].as_u64().unwrap(),
                it["column"].as_str().unwrap(),
            )
        })
        .collect();
    for cell in [
        (2, "pilot"),
        (3, "branch"),
        (4, "allowed"),
        (4, "branch"),
        (4, "thinnest_run"),
        (4, "severe_ratio"),
    ] {
        assert!(found.contains(&cell), "{cell:?} in {found:?}");
    }
    // A row of the blank sheet that nobody filled in is no fault.
    assert!(found.iter().all(|(row, _)| *row != 5), "{found:?}");
    assert_eq!(read(&server, PATH).await["version"], 1);
    let blank = get(&server, "/v1/forming-profiles/blank")
        .await
        .text()
        .await
        .unwrap();
    assert!(
        blank.starts_with(heading) && blank.contains("\r\n2,1,,"),
        "{blank}"
    );
}
