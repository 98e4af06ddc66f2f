//! The life of quotes.

use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

use crate::harness::{Shop, quote_of, read, schedule};

pub async fn numbers_have_no_gaps_and_no_repeats(shop: Shop) {
    shop.set_up().await;
    let good = quote_of(&schedule()[..1]);
    let bad = quote_of(&schedule()[6..]);
    // Sixteen at once make and issue quotes; every third request is refused on the way.
    let work = (0..16).map(|worker| {
        let (shop, good, bad) = (shop.clone(), good.clone(), bad.clone());
        tokio::spawn(async move {
            if worker % 3 == 0 {
                shop.post("/v1/quotes", &bad, StatusCode::UNPROCESSABLE_ENTITY)
                    .await;
            }
            let quote = shop.post("/v1/quotes", &good, StatusCode::CREATED).await;
            let number = quote["number"].as_str().unwrap().to_owned();
            shop.make(&number, "issue", StatusCode::OK).await;
            number
        })
    });
    let mut numbers = Vec::new();
    for worker in work.collect::<Vec<_>>() {
        numbers.push(worker.await.unwrap());
    }
    numbers.sort();
    let ends: Vec<i32> = numbers
        .iter()
        .map(|number| number.rsplit('-').next().unwrap().parse().unwrap())
        .collect();
    assert_eq!(ends, (1..=16).collect::<Vec<_>>());
}

pub async fn wrong_moves_name_the_right_ones(shop: Shop) {
    shop.set_up().await;
    let number = shop.draft(1).await;
    let problem = shop.make(&number, "accept", StatusCode::CONFLICT).await;
    assert!(
        problem["detail"]
            .as_str()
            .unwrap()
            .contains("allowed from here: issue, withdraw"),
        "{problem}"
    );
    shop.make(&number, "issue", StatusCode::OK).await;
    shop.make(&number, "issue", StatusCode::CONFLICT).await;
    shop.make(&number, "decline", StatusCode::OK).await;
    shop.make(&number, "accept", StatusCode::CONFLICT).await;
    let missing = shop.make("Q-0", "issue", StatusCode::NOT_FOUND).await;
    assert_eq!(missing["type"], "/problems/not-found");
    let early = json!({"name": "A", "date": "2020-01-01"});
    let number = shop.draft(1).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let problem = shop
        .post(
            &format!("/v1/quotes/{number}/accept"),
            &early,
            StatusCode::UNPROCESSABLE_ENTITY,
        )
        .await;
    assert_eq!(problem["errors"][0]["pointer"], "/date");
}

pub async fn a_revision_takes_the_place_of_the_one_before(shop: Shop) {
    shop.set_up().await;
    let number = shop.draft(2).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let again = shop
        .post(
            &format!("/v1/quotes/{number}/revisions"),
            &json!(null),
            StatusCode::CREATED,
        )
        .await;
    assert_eq!(
        (&again["revision"], &again["state"]),
        (&json!(2), &json!("draft"))
    );
    // Until the new one is issued the old one stands.
    assert_eq!(
        shop.get(&format!("/v1/quotes/{number}/revisions/1")).await["state"],
        "issued"
    );
    shop.make(&number, "issue", StatusCode::OK).await;
    assert_eq!(
        shop.get(&format!("/v1/quotes/{number}/revisions/1")).await["state"],
        "superseded"
    );
    let old = json!({"name": "A", "revision": 1});
    let problem = shop
        .post(
            &format!("/v1/quotes/{number}/accept"),
            &old,
            StatusCode::CONFLICT,
        )
        .await;
    assert!(
        problem["detail"].as_str().unwrap().contains("superseded"),
        "{problem}"
    );
    shop.make(&number, "accept", StatusCode::OK).await;
    let problem = shop
        .post(
            &format!("/v1/quotes/{number}/revisions"),
            &json!(null),
            StatusCode::CONFLICT,
        )
        .await;
    assert_eq!(problem["type"], "/problems/wrong-state");
}

pub async fn a_draft_is_written_anew_only_over_its_version(shop: Shop) {
    shop.set_up().await;
    let number = shop.draft(1).await;
    let path = format!("/v1/quotes/{number}");
    let etag = shop.get(&path).await["etag"].as_str().unwrap().to_owned();
    let mut body = quote_of(&schedule()[1..2]);
    body["customer"]["name"] = json!("Another Customer");
    let put = |etag: Option<String>| {
        let request = shop.request(Method::PUT, &path).json(&body);
        match etag {
            Some(etag) => request.header("if-match", etag),
            None => request,
        }
    };
    read(
        put(None).send().await.unwrap(),
        StatusCode::PRECONDITION_REQUIRED,
    )
    .await;
    let changed = read(
        put(Some(etag.clone())).send().await.unwrap(),
        StatusCode::OK,
    )
    .await;
    assert_eq!(changed["customer"]["name"], "Another Customer");
    read(
        put(Some(etag)).send().await.unwrap(),
        StatusCode::PRECONDITION_FAILED,
    )
    .await;
    let listed = shop.get("/v1/quotes?customer=another").await;
    assert_eq!(listed["items"][0]["number"], number.as_str());
    // A move made with a version that has passed is refused; nothing moved.
    let stale = shop
        .request(Method::POST, &format!("{path}/issue"))
        .header("if-match", "\"old\"");
    read(stale.send().await.unwrap(), StatusCode::PRECONDITION_FAILED).await;
    assert_eq!(shop.get(&path).await["state"], "draft");
    shop.make(&number, "issue", StatusCode::OK).await;
    let now = shop.get(&path).await["etag"].as_str().unwrap().to_owned();
    read(put(Some(now)).send().await.unwrap(), StatusCode::CONFLICT).await;
}

pub async fn trying_first_stores_nothing(shop: Shop) {
    shop.set_up().await;
    let body = quote_of(&schedule()[..3]);
    let tried = shop
        .post("/v1/quotes?validate_only=true", &body, StatusCode::OK)
        .await;
    assert_eq!(tried["number"], "");
    assert_eq!(shop.get("/v1/quotes").await["items"], json!([]));
    assert_eq!(shop.get("/v1/quote-totals").await["items"], json!([]));
    let made = shop.post("/v1/quotes", &body, StatusCode::CREATED).await;
    assert_eq!(tried["net"], made["net"]);
    assert!(made["number"].as_str().unwrap().ends_with("-0001"));
}

pub async fn an_issued_quote_keeps_what_it_froze(shop: Shop) {
    shop.set_up().await;
    let number = shop.draft(2).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let path = format!("/v1/quotes/{number}");
    let before = shop.get(&path).await;
    // The shop doubles its wages; what was quoted stays.
    let current = shop.request(Method::GET, "/v1/shop").send().await.unwrap();
    let etag = current.headers()["etag"].to_str().unwrap().to_owned();
    let mut settings: Value =
        serde_json::from_str(include_str!("../../src/demo/data/shop.json")).unwrap();
    settings["pricing"]["crew_rate"] = json!("76.00");
    let put = shop
        .request(Method::PUT, "/v1/shop")
        .header("if-match", etag)
        .json(&settings);
    read(put.send().await.unwrap(), StatusCode::OK).await;
    assert_eq!(shop.get(&path).await, before);
    let again = shop.draft(2).await;
    let again = shop.get(&format!("/v1/quotes/{again}")).await;
    assert_ne!(again["net"], before["net"]);
}

/// A quote whose first revision is with the customer, and whose second is a draft; its number.
async fn draft_beside_open(shop: &Shop) -> String {
    shop.set_up().await;
    let number = shop.draft(1).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let revise = format!("/v1/quotes/{number}/revisions");
    shop.post(&revise, &json!(null), StatusCode::CREATED).await;
    number
}

/// While another revision is drafted, what the customer has is what answers are meant for; what is taken is what the
/// quote is from then on.
pub async fn an_answer_is_meant_for_what_the_customer_has(shop: Shop) {
    let number = draft_beside_open(&shop).await;
    let path = format!("/v1/quotes/{number}");
    let revise = format!("{path}/revisions");
    let unclear = shop.make(&number, "withdraw", StatusCode::CONFLICT).await;
    let detail = unclear["detail"].as_str().unwrap();
    assert!(detail.contains("revision 2") && detail.contains("revision 1 is with the customer"));
    let order = json!({"name": "A. Buyer", "po_number": "PO-77"});
    let taken = shop
        .post(&format!("{path}/accept"), &order, StatusCode::OK)
        .await;
    assert_eq!(
        (&taken["revision"], &taken["state"]),
        (&json!(1), &json!("accepted"))
    );

    let now = shop.get(&path).await;
    assert_eq!(
        (&now["state"], &now["current_revision"], &now["po_number"]),
        (&json!("accepted"), &json!(1), &json!("PO-77"))
    );
    for query in ["state=accepted", "text=po-77"] {
        let found = shop.get(&format!("/v1/quotes?{query}")).await;
        assert_eq!(found["items"][0]["number"], number.as_str(), "{query}");
    }
    // The draft is of no use any more, and says so.
    let draft = shop.get(&format!("{revise}/2")).await;
    assert_eq!(draft["moves"], json!(["withdraw"]));
    let second = json!({"revision": 2});
    shop.post(&format!("{path}/issue"), &second, StatusCode::CONFLICT)
        .await;
    let refused = shop.post(&revise, &json!(null), StatusCode::CONFLICT).await;
    assert_eq!(refused["moves"], json!([]));
    shop.post(&format!("{path}/withdraw"), &second, StatusCode::OK)
        .await;
    assert_eq!(shop.get(&path).await["state"], "accepted");
}

/// A draft that is given up gives way to what is with the customer.
pub async fn a_draft_given_up_gives_way_to_what_is_open(shop: Shop) {
    let number = draft_beside_open(&shop).await;
    let path = format!("/v1/quotes/{number}");
    let revise = format!("{path}/revisions");
    let second = json!({"revision": 2});
    shop.post(&format!("{path}/withdraw"), &second, StatusCode::OK)
        .await;
    let now = shop.get(&path).await;
    assert_eq!(
        (&now["revision"], &now["state"]),
        (&json!(1), &json!("issued"))
    );
    // The next revision has a number of its own, and takes the place of the first.
    let third = shop.post(&revise, &json!(null), StatusCode::CREATED).await;
    assert_eq!(third["revision"], 3);
    let issued = shop.make(&number, "issue", StatusCode::OK).await;
    assert_eq!(issued["revision"], 3);
    let first = shop.get(&format!("{revise}/1")).await;
    assert_eq!(first["state"], "superseded");
    let declined = shop.make(&number, "decline", StatusCode::OK).await;
    assert_eq!(
        (&declined["revision"], &declined["state"]),
        (&json!(3), &json!("declined"))
    );
    // One that stands alone is simply withdrawn.
    let number = shop.draft(1).await;
    shop.make(&number, "withdraw", StatusCode::OK).await;
    let alone = shop.get(&format!("/v1/quotes/{number}")).await;
    assert_eq!(alone["state"], "withdrawn");
}
