//! Alternates and additions: offered, read back from every paper, ordered, and in the books.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

use crate::harness::{Shop, cents, read, schedule};

const TEES: &str = "Built up from tees";
const SPARE: &str = "Spare header";

/// The first two manifolds of the schedule, the first of them also built up from tees, and one more.
pub fn offer() -> Value {
    let manifolds = schedule();
    let mut tees = manifolds[0].clone();
    tees["mark"] = json!("H-1T");
    tees["build"] = json!("tees_brazed");
    tees["outlets"][0]["first"] = json!("6 in");
    tees["outlets"][0]["pitch"] = json!("7 in");
    tees["run"]["ends"][1]["beyond"] = json!("6 in");
    tees.as_object_mut().unwrap().remove("quantity");
    let mut spare = manifolds[0].clone();
    spare["mark"] = json!("S-1");
    spare["quantity"] = json!(1);
    json!({"customer": {"name": "Test & Sons"}, "project": "Stair 3", "manifolds": manifolds[..2],
        "options": [
            {"name": TEES, "instead_of": "H-1", "manifold": tees},
            {"name": SPARE, "manifold": spare}]})
}

fn amount(of: &Value, name: &str) -> i64 {
    cents(&of[name]["amount"])
}

async fn document(shop: &Shop, path: &str, form: &str) -> Vec<u8> {
    let address = format!("{path}/revisions/1/document?format={form}");
    let answer = shop.request(Method::GET, &address).send().await.unwrap();
    assert_eq!(answer.status(), StatusCode::OK);
    answer.bytes().await.unwrap().to_vec()
}

/// The same schedule quoted with an option in it, by itself: what the price of the option must be the
/// difference to.
async fn quoted_with(shop: &Shop, option: &Value) -> Value {
    let mut body = offer();
    let manifold = option["manifold"].clone();
    match option["instead_of"].is_string() {
        true => {
            body["manifolds"][0] = manifold;
            // An alternate that does not say how many stands for as many as it takes the place of.
            body["manifolds"][0]["quantity"] = json!(2);
        }
        false => body["manifolds"].as_array_mut().unwrap().push(manifold),
    }
    body.as_object_mut().unwrap().remove("options");
    let path = "/v1/quotes?validate_only=true";
    shop.post(path, &body, StatusCode::OK).await
}

pub async fn an_alternate_and_an_addition_from_offer_to_books(shop: Shop) {
    shop.set_up().await;
    let body = offer();
    let quote = shop.post("/v1/quotes", &body, StatusCode::CREATED).await;
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    for (wanted, option) in body["options"].as_array().unwrap().iter().zip(0..) {
        let with = quoted_with(&shop, wanted).await;
        let option = &quote["options"][option];
        for name in ["net", "tax", "gross"] {
            let difference = amount(&with, name) - amount(&quote, name);
            assert_eq!(amount(option, name), difference, "{option}");
        }
        let heads = option["heads"].as_object().unwrap().values();
        assert_eq!(heads.map(cents).sum::<i64>(), amount(option, "net"));
    }
    assert_eq!(quote["options"][0]["manifold"]["quantity"], 2);
    assert_eq!(quote["ordered"], Value::Null);
    shop.post(&format!("{path}/issue"), &json!({}), StatusCode::OK)
        .await;
    papers_tell(&shop, &path, &quote).await;
    refusals(&shop, &path).await;
    let accept = json!({"name": "A. Buyer", "options": [SPARE]});
    let accepted = shop
        .post(&format!("{path}/accept"), &accept, StatusCode::OK)
        .await;
    let ordered = &accepted["ordered"];
    assert_eq!(ordered["options"], json!([SPARE]));
    for name in ["net", "tax", "gross"] {
        let sum = amount(&quote, name) + amount(&quote["options"][1], name);
        assert_eq!(amount(&ordered["totals"], name), sum);
        assert_eq!(
            accepted[name], quote[name],
            "the offer stays as it was issued"
        );
    }
    books(&shop, &path, ordered).await;
}

/// Every paper has the options, with their prices.
async fn papers_tell(shop: &Shop, path: &str, quote: &Value) {
    let net = |place: usize| quote["options"][place]["net"]["amount"].as_str().unwrap();
    let data: Value = serde_json::from_slice(&document(shop, path, "json").await).unwrap();
    assert_eq!(data["options"][0]["net"], net(0));
    let pdf = lopdf::Document::load_mem(&document(shop, path, "pdf").await).unwrap();
    let pages: Vec<u32> = pdf.get_pages().keys().copied().collect();
    let text = pdf.extract_text(&pages).unwrap().replace([',', '\n'], "");
    assert!(text.contains("Options not in the total"), "{text}");
    assert!(text.contains(&format!("+{}", net(1))), "{text}");
    let page = String::from_utf8(document(shop, path, "html").await).unwrap();
    assert!(page.contains(SPARE) && page.contains("Instead of H-1"));
    let ubl = String::from_utf8(document(shop, path, "ubl").await).unwrap();
    let ubl = roxmltree::Document::parse(&ubl).unwrap();
    let named = |name: &str| {
        let mut found = ubl.descendants();
        let found = found.find(|node| node.tag_name().name() == name).unwrap();
        let mut amounts = found.descendants();
        let amount = amounts.find(|node| node.tag_name().name() == "LineExtensionAmount");
        cents(&json!(amount.unwrap().text().unwrap()))
    };
    let line = cents(&quote["lines"][0]["amount"]["amount"]);
    assert_eq!(named("AlternativeLineItem"), line + cents(&json!(net(0))));
    assert_eq!(named("UBLExtension"), cents(&json!(net(1))));
    let book = document(shop, path, "xlsx").await;
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(book)).unwrap();
    let sheet = book.worksheet_range("The options").unwrap();
    let gross: f64 = quote["options"][1]["gross"]["amount"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    assert_eq!(sheet.get_value((5, 6)), Some(&Data::Float(gross)));
}

async fn refusals(shop: &Shop, path: &str) {
    let accept = json!({"name": "A. Buyer", "options": ["Gold", SPARE, SPARE]});
    let refused = shop
        .post(
            &format!("{path}/accept"),
            &accept,
            StatusCode::UNPROCESSABLE_ENTITY,
        )
        .await;
    let errors = &refused["errors"];
    assert_eq!(errors[0]["pointer"], "/options/0");
    assert_eq!(errors[0]["code"], "unknown_option");
    let detail = errors[0]["detail"].as_str().unwrap();
    assert!(detail.contains(TEES) && detail.contains(SPARE), "{detail}");
    assert_eq!(errors[1]["code"], "duplicate");
    assert_eq!(shop.get(path).await["state"], "issued");
}

/// What the books take is what was ordered, in every form.
async fn books(shop: &Shop, path: &str, ordered: &Value) {
    let totals = shop.get("/v1/quote-totals").await;
    let item = &totals["items"][0];
    assert_eq!(item["state"], "accepted");
    for name in ["net", "tax", "gross"] {
        assert_eq!(cents(&item[name]), amount(&ordered["totals"], name));
    }
    assert_eq!(item["heads"], ordered["heads"]);
    let heads = item["heads"].as_object().unwrap().values();
    assert_eq!(heads.map(cents).sum::<i64>(), cents(&item["net"]));
    let taxes = item["taxes"].as_array().unwrap().iter();
    assert_eq!(
        taxes.map(|tax| cents(&tax["amount"])).sum::<i64>(),
        cents(&item["tax"])
    );
    let sheet = shop
        .request(Method::GET, "/v1/quote-totals")
        .header("accept", "text/csv")
        .send()
        .await
        .unwrap();
    let text = sheet.text().await.unwrap();
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let row: BTreeMap<String, String> = rows.deserialize().next().unwrap().unwrap();
    assert_eq!(row["gross"], item["gross"].as_str().unwrap());
    let made = shop
        .post(
            &format!("{path}/links"),
            &json!({"opens": "total"}),
            StatusCode::CREATED,
        )
        .await;
    let link = made["path"].as_str().unwrap();
    let total = shop.request(Method::GET, link).send().await.unwrap();
    assert_eq!(total.text().await.unwrap(), row["gross"]);
}

pub async fn two_options_cost_the_sum_of_both(shop: Shop) {
    shop.set_up().await;
    let quote = shop.post("/v1/quotes", &offer(), StatusCode::CREATED).await;
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    shop.post(&format!("{path}/issue"), &json!({}), StatusCode::OK)
        .await;
    let accept = json!({"name": "A. Buyer", "options": [SPARE, TEES]});
    let accepted = shop
        .post(&format!("{path}/accept"), &accept, StatusCode::OK)
        .await;
    let ordered = &accepted["ordered"];
    assert_eq!(
        ordered["options"],
        json!([TEES, SPARE]),
        "in the order of the quote"
    );
    let options = &quote["options"];
    for name in ["net", "tax", "gross"] {
        let sum = amount(&quote, name) + amount(&options[0], name) + amount(&options[1], name);
        assert_eq!(amount(&ordered["totals"], name), sum);
    }
}

pub async fn options_that_cannot_be_offered_are_refused_with_their_place(shop: Shop) {
    shop.set_up().await;
    let mut body = offer();
    let good = body["options"][0].clone();
    body["options"] =
        json!([good, good, {"name": "Lost", "instead_of": "H-9", "manifold": good["manifold"]}]);
    let refused = shop
        .post("/v1/quotes", &body, StatusCode::UNPROCESSABLE_ENTITY)
        .await;
    let errors = refused["errors"].as_array().unwrap().iter();
    let found: Vec<(&str, &str)> = errors
        .map(|error| {
            let text = |name: &str| error[name].as_str().unwrap();
            (text("pointer"), text("code"))
        })
        .collect();
    assert_eq!(
        found,
        [
            ("/options/1/name", "duplicate"),
            ("/options/2/instead_of", "unknown_mark")
        ]
    );
    // The last manifold of the schedule may not be built, as an option no more than otherwise.
    let mut body = offer();
    body["options"][1]["manifold"] = schedule()[6].clone();
    let refused = shop
        .post("/v1/quotes", &body, StatusCode::UNPROCESSABLE_ENTITY)
        .await;
    let errors = refused["errors"].as_array().unwrap();
    assert!(!errors.is_empty());
    for error in errors {
        assert_eq!(error["code"], "not_buildable");
        let pointer = error["pointer"].as_str().unwrap();
        assert!(pointer.starts_with("/options/1/manifold/"), "{pointer}");
    }
}

pub async fn revisions_tell_what_became_of_options_and_presentation(shop: Shop) {
    shop.set_up().await;
    let quote = shop.post("/v1/quotes", &offer(), StatusCode::CREATED).await;
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    shop.post(&format!("{path}/issue"), &json!({}), StatusCode::OK)
        .await;
    let mut body = offer();
    body["presentation"] = json!("lump_sum");
    body["options"][1]["manifold"]["quantity"] = json!(3);
    body["options"][0]["name"] = json!("All in tees");
    let revised = shop
        .post(&format!("{path}/revisions"), &body, StatusCode::CREATED)
        .await;
    assert_eq!(revised["presentation"], "lump_sum");
    let changes = shop.get(&format!("{path}/revisions/2/changes")).await;
    let changes = changes["changes"].as_array().unwrap();
    let texts: Vec<&str> = changes
        .iter()
        .map(|change| change["text"].as_str().unwrap())
        .collect();
    let net = |quote: &Value| {
        quote["options"][1]["net"]["amount"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    let repriced = format!(
        "option {SPARE}: price was USD +{}, is USD +{}",
        net(&quote),
        net(&revised)
    );
    for wanted in [
        repriced.as_str(),
        "option Spare header: quantity was 1, is 3",
        "price shown was itemised, is one price for the schedule",
    ] {
        assert!(texts.contains(&wanted), "{wanted} is not in {texts:#?}");
    }
    for wanted in [
        "option added: All in tees, instead of H-1, ",
        "option taken out: Built up from tees, ",
    ] {
        assert!(
            texts.iter().any(|text| text.starts_with(wanted)),
            "{texts:#?}"
        );
    }
    // A copy has all of it, too.
    let copied = shop
        .post(&format!("{path}/copy"), &json!({}), StatusCode::CREATED)
        .await;
    assert_eq!(copied["presentation"], "lump_sum");
    assert_eq!(copied["options"], revised["options"]);
    let plain = json!({"options": [], "presentation": "itemised"});
    let plain = shop
        .post(&format!("{path}/copy"), &plain, StatusCode::CREATED)
        .await;
    assert_eq!(
        (&plain["options"], &plain["presentation"]),
        (&json!([]), &json!("itemised"))
    );
}

pub async fn a_sheet_is_quoted_at_one_price(shop: Shop) {
    shop.set_up().await;
    let sheet = "mark,quantity,service,pressure (psi),temperature (degF),build,run,second end,beyond (in),branch,outlets,first (in),pitch (in),stub (in)\r\nH-1,2,hydronic heating,75,180,formed outlets,b88-l-2,plain,4,b88-l-1,6,4,5,3\r\n";
    let asked = shop
        .request(
            Method::POST,
            "/v1/schedules/quotes?customer=C&project=P&presentation=lump_sum",
        )
        .header("content-type", "text/csv")
        .body(sheet);
    let quote = read(asked.send().await.unwrap(), StatusCode::CREATED).await;
    assert_eq!(quote["presentation"], "lump_sum");
    let path = format!("/v1/quotes/{}", quote["number"].as_str().unwrap());
    let data: Value = serde_json::from_slice(&document(&shop, &path, "json").await).unwrap();
    assert_eq!(data["lines"][0]["amount"], Value::Null);
}
