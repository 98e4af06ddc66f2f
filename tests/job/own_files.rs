//! Logo and templates of the shop: a quote freezes them, the same revision is the same bytes, and customers can answer
//! on the shop's own page.

use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

use crate::harness::{Shop, quote_of, read, schedule};

const DOCS: &str = include_str!("../../docs/templates.md");
const PAPER: &str = "/v1/shop/templates/quote.typ";
const PAGE: &str = "/v1/shop/templates/quote.html";

/// The example of the documentation in that language.
fn example(language: &str) -> &'static str {
    let after = DOCS.split(&format!("```{language}\n")).nth(1).unwrap();
    after.split("```").next().unwrap()
}

fn logo(colour: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 30 10\"><path d=\"M1 1h28v8h-28z\" fill=\"{colour}\"/></svg>"
    )
}

async fn put(shop: &Shop, path: &str, media: &str, text: String) {
    let request = shop.request(Method::PUT, path);
    let sent = request
        .header("content-type", media)
        .body(text)
        .send()
        .await;
    read(sent.unwrap(), StatusCode::OK).await;
}

async fn remove(shop: &Shop, path: &str) {
    let sent = shop.request(Method::DELETE, path).send().await.unwrap();
    assert_eq!(sent.status(), StatusCode::NO_CONTENT);
}

async fn fetched(shop: &Shop, number: &str, form: &str) -> Response {
    let path = format!("/v1/quotes/{number}/revisions/1/document?format={form}");
    shop.request(Method::GET, &path).send().await.unwrap()
}

async fn papers(shop: &Shop, number: &str) -> [Vec<u8>; 2] {
    let mut papers = Vec::new();
    for form in ["pdf", "html"] {
        let answer = fetched(shop, number, form).await;
        assert_eq!(answer.status(), StatusCode::OK, "{form}");
        papers.push(answer.bytes().await.unwrap().to_vec());
    }
    papers.try_into().unwrap()
}

async fn issued(shop: &Shop) -> String {
    let number = shop.draft(1).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    number
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes
        .windows(text.len())
        .any(|part| part == text.as_bytes())
}

pub async fn the_same_revision_is_the_same_bytes_whatever_the_shop_puts_there(shop: Shop) {
    shop.set_up().await;
    let plain = issued(&shop).await;
    let as_plain = papers(&shop, &plain).await;
    put(&shop, "/v1/shop/logo", "image/svg+xml", logo("#8a4b1f")).await;
    let brown = issued(&shop).await;
    let as_brown = papers(&shop, &brown).await;
    assert!(holds(&as_brown[1], "class=\"logo\"") && !holds(&as_plain[1], "class=\"logo\""));
    put(&shop, "/v1/shop/logo", "image/svg+xml", logo("#205070")).await;
    put(&shop, PAPER, "text/plain", example("typst").to_owned()).await;
    put(&shop, PAGE, "text/plain", example("html").to_owned()).await;
    let own = issued(&shop).await;
    let as_own = papers(&shop, &own).await;
    assert!(holds(&as_own[1], " for Test &amp; Sons</h1>"));
    assert!(
        as_own[0].len() < as_brown[0].len(),
        "the example prints no drawing"
    );
    // A draft shows what stands there once it is written anew, and not before.
    let draft = shop.draft(1).await;
    remove(&shop, PAPER).await;
    remove(&shop, PAGE).await;
    remove(&shop, "/v1/shop/logo").await;
    assert!(holds(
        &papers(&shop, &draft).await[1],
        " for Test &amp; Sons</h1>"
    ));
    let path = format!("/v1/quotes/{draft}");
    let again = shop.request(Method::PUT, &path).header("if-match", "*");
    let again = again
        .json(&quote_of(&schedule()[..1]))
        .send()
        .await
        .unwrap();
    read(again, StatusCode::OK).await;
    assert!(holds(&papers(&shop, &draft).await[1], "<h1>Quotation"));
    for (number, as_it_was) in [(plain, as_plain), (brown, as_brown), (own, as_own)] {
        assert!(
            papers(&shop, &number).await == as_it_was,
            "{number} has changed"
        );
    }
}

/// The address of the customer's page.
async fn page_of(shop: &Shop, number: &str) -> String {
    let path = format!("/v1/quotes/{number}/links");
    let made = shop.post(&path, &json!({}), StatusCode::CREATED).await;
    made["path"].as_str().unwrap().to_owned()
}

async fn answer(shop: &Shop, page: &str, name: &str) -> String {
    let form = format!("name={name}&agree=yes");
    let request = shop.request(Method::POST, &format!("{page}/accept"));
    let request = request.header("content-type", "application/x-www-form-urlencoded");
    let answer = request.body(form).send().await.unwrap();
    assert_eq!(answer.status(), StatusCode::OK);
    answer.text().await.unwrap()
}

pub async fn a_customer_answers_on_the_shops_own_page(shop: Shop) {
    shop.set_up().await;
    // Fails once somebody of that name has accepted, which no trial can foresee.
    let whole = example("html");
    let template = whole.replace(
        "<main>",
        "<main>{% if outcome.by == \"Zed\" %}{{ outcome.by.first.letter }}{% endif %}",
    );
    put(&shop, PAGE, "text/plain", template).await;
    for (name, is_own) in [("Jo", true), ("Zed", false)] {
        let number = issued(&shop).await;
        let page = page_of(&shop, &number).await;
        let open = shop.request(Method::GET, &page).send().await.unwrap();
        let policy = open.headers()["content-security-policy"]
            .to_str()
            .unwrap()
            .to_owned();
        assert!(
            policy.starts_with("default-src 'none'; style-src 'sha256-"),
            "{policy}"
        );
        let open = open.text().await.unwrap();
        assert!(
            open.contains("<form method=\"post\"") && open.contains(" for Test &amp; Sons</h1>")
        );
        let after = answer(&shop, &page, name).await;
        assert_eq!(
            after.contains(" for Test &amp; Sons</h1>"),
            is_own,
            "{after}"
        );
        assert!(
            after.contains("ccepted") && !after.contains("<form"),
            "{after}"
        );
        let quote = shop.get(&format!("/v1/quotes/{number}")).await;
        assert_eq!(quote["state"], "accepted");
    }
}

pub async fn what_the_shops_own_paper_cannot_print_is_not_issued(shop: Shop) {
    shop.set_up().await;
    // The sample quotes have two lines at most.
    let whole = example("typst");
    let line = whole.lines().count() + 1;
    let template = format!("{whole}#if q.schedule.len() > 2 {{ panic(\"too long\") }}\n");
    put(&shop, PAPER, "text/plain", template).await;
    issued(&shop).await;
    let number = shop.draft(3).await;
    let refusals = [
        shop.make(&number, "issue", StatusCode::UNPROCESSABLE_ENTITY)
            .await,
        read(
            fetched(&shop, &number, "pdf").await,
            StatusCode::UNPROCESSABLE_ENTITY,
        )
        .await,
    ];
    for refused in refusals {
        let told: &Value = &refused["errors"][0];
        assert_eq!(
            told["place"],
            json!({"line": line, "column": 28}),
            "{refused}"
        );
        assert!(told["detail"].as_str().unwrap().contains("too long"));
        assert!(
            refused["detail"]
                .as_str()
                .unwrap()
                .contains("PUT /v1/shop/templates/quote.typ")
        );
    }
    assert_eq!(
        fetched(&shop, &number, "html").await.status(),
        StatusCode::OK
    );
    let quote = shop.get(&format!("/v1/quotes/{number}")).await;
    assert_eq!(quote["state"], "draft");
}
