//! Templates of the shop's own: tried first, refused with line and column, and put in place of ours.

use super::service::{Service, body, faults};
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

const PAPER: &str = "/v1/shop/templates/quote.typ";
const PAGE: &str = "/v1/shop/templates/quote.html";
const DOCS: &str = include_str!("../../../docs/templates.md");
const OUR_PAPER: &str = include_str!("../../../src/documents/quote/quote.typ");
const OUR_PAGE: &str = include_str!("../../../src/documents/page/quote.html");

/// The example of the documentation in that language.
pub fn example(language: &str) -> &'static str {
    let after = DOCS.split(&format!("```{language}\n")).nth(1).unwrap();
    after.split("```").next().unwrap()
}

async fn put(service: &Service, path: &str, text: impl Into<Vec<u8>>) -> Response {
    let request = service.request(Method::PUT, path, &service.admin);
    let request = request
        .header("content-type", "text/plain")
        .body(text.into());
    request.send().await.unwrap()
}

/// Code and place of each fault of a template that is refused.
async fn refused(service: &Service, path: &str, text: &str) -> Vec<(String, Value, String)> {
    let problem = body(
        put(service, path, text).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    let errors = problem["errors"].as_array().unwrap().iter();
    errors
        .map(|error| {
            let text = |name: &str| error[name].as_str().unwrap().to_owned();
            (text("code"), error["place"].clone(), text("detail"))
        })
        .collect()
}

fn place(line: u32, column: u32) -> Value {
    json!({"line": line, "column": column})
}

#[tokio::test]
async fn the_built_in_ones_are_there_to_begin_with_and_to_go_back_to() {
    let service = Service::with_shop().await;
    for (path, ours, own) in [
        (PAPER, OUR_PAPER, example("typst")),
        (PAGE, OUR_PAGE, example("html")),
    ] {
        let got = service.get(path).await;
        assert_eq!(got.headers()["content-type"], "text/plain; charset=utf-8");
        assert_eq!(got.text().await.unwrap(), ours);
        let remove = || service.request(Method::DELETE, path, &service.admin).send();
        assert_eq!(remove().await.unwrap().status(), StatusCode::NOT_FOUND);
        // Ours and the example of the documentation both pass the trial.
        let tried = put(&service, &format!("{path}?validate_only=true"), ours).await;
        body(tried, StatusCode::OK).await;
        let set = body(put(&service, path, own).await, StatusCode::OK).await;
        assert_eq!(set["bytes"], own.len());
        assert_eq!(service.get(path).await.text().await.unwrap(), own);
        assert_eq!(remove().await.unwrap().status(), StatusCode::NO_CONTENT);
        assert_eq!(service.get(path).await.text().await.unwrap(), ours);
    }
    let other = service.get("/v1/shop/templates/other.typ").await;
    let other = body(other, StatusCode::NOT_FOUND).await;
    assert!(other["detail"].as_str().unwrap().contains("quote.typ"));
    let read = service.request(Method::GET, PAPER, &service.estimator);
    assert_eq!(read.send().await.unwrap().status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_broken_paper_is_refused_with_line_and_column() {
    let service = Service::with_shop().await;
    let whole = example("typst");
    let line = u32::try_from(whole.lines().count()).unwrap() + 1;
    for (added, column, said) in [
        ("#q.nothing", 4, "nothing"),
        ("#(1 + \"a\")", 3, "cannot add"),
        ("#read(\"/etc/passwd\")", 7, "access denied"),
        ("#image(\"other.png\", alt: \"x\")", 8, "access denied"),
        ("#import \"@preview/other:1.0.0\"", 9, "access denied"),
        ("#datetime.today()", 2, "current date"),
        ("#let x = (", 10, "unclosed"),
    ] {
        let told = refused(&service, PAPER, &format!("{whole}{added}\n")).await;
        let [(code, at, detail)] = told.as_slice() else {
            panic!("{added}: {told:?}");
        };
        assert_eq!(
            (code.as_str(), at),
            ("template_fault", &place(line, column)),
            "{detail}"
        );
        assert!(detail.contains(said), "{said} is not in {detail}");
    }
    let two = refused(&service, PAPER, "#let a = (\n#let b = )\n").await;
    assert!(
        two.len() > 1 && two.iter().all(|(_, at, _)| at["line"].is_u64()),
        "{two:?}"
    );
    // An archive needs a date, and a reader of pictures a description.
    let undated = refused(
        &service,
        PAPER,
        &whole.replace(", date: day(q.document_date)", ""),
    )
    .await;
    assert!(undated[0].2.contains("document date"), "{undated:?}");
    let mute = refused(&service, PAPER, &whole.replace(" alt: q.logo.text,", "")).await;
    assert!(mute[0].2.contains("alt"), "{mute:?}");
}

#[tokio::test]
async fn a_broken_page_is_refused_with_line_and_column() {
    let service = Service::with_shop().await;
    let whole = example("html");
    let at = |text: &str| {
        let byte = whole.find(text).unwrap();
        let line = whole[..byte].matches('\n').count() + 1;
        u32::try_from(line).unwrap()
    };
    let with = |old: &str, new: &str| whole.replacen(old, new, 1);
    let one = |told: Vec<(String, Value, String)>| match told.as_slice() {
        [(code, at, _)] => (code.clone(), at["line"].as_u64().unwrap_or_default() as u32),
        _ => panic!("{told:?}"),
    };
    let unknown = refused(&service, PAGE, &with("{{ gross }}", "{{ grosss }}")).await;
    assert_eq!(
        one(unknown),
        ("template_fault".to_owned(), at("{{ gross }}"))
    );
    let missing = refused(&service, PAGE, &with("line.amount", "line.sum")).await;
    assert_eq!(
        one(missing),
        ("template_fault".to_owned(), at("line.amount"))
    );
    let unclosed = refused(
        &service,
        PAGE,
        &with("{% endblock %}\n{% block body %}", "{% block body %}"),
    )
    .await;
    assert_eq!(unclosed[0].0, "template_fault");
    let raw = refused(&service, PAGE, &with("{{ term }}", "{{ term|safe }}")).await;
    assert_eq!(one(raw), ("unescaped".to_owned(), at("{{ term }}")));
    let off = with(
        "{{ term }}",
        "{% autoescape false %}{{ term }}{% endautoescape %}",
    );
    assert_eq!(one(refused(&service, PAGE, &off).await).0, "unescaped");
    let outside = refused(&service, PAGE, &with("frame.html", "/etc/passwd")).await;
    assert_eq!(outside[0].0, "template_fault");
    // Without its forms a page is of no use to a customer.
    let mute = refused(&service, PAGE, &whole.replace("/accept\"", "/agree\"")).await;
    assert_eq!(one(mute), ("form_missing".to_owned(), 0));
    let none = refused(&service, PAGE, "<p>{{ number }}</p>").await;
    assert_eq!(none.len(), 2, "{none:?}");
    let binary = put(&service, PAGE, b"ab\n\xff".to_vec()).await;
    let binary = body(binary, StatusCode::BAD_REQUEST).await;
    assert!(
        binary["detail"]
            .as_str()
            .unwrap()
            .contains("line 2, column 1"),
        "{binary}"
    );
    let long = refused(&service, PAGE, &"x".repeat(300_000)).await;
    assert_eq!(long[0].0, "too_long");
}

#[tokio::test]
async fn what_takes_too_much_is_ended() {
    let service = Service::with_shop().await;
    let whole = example("typst");
    let slow = "#for a in range(100000) { for b in range(100000) { let c = a * b } }";
    let large = "#let x = \"0123456789\" * 300000000\n#x.len()";
    let deep = "#let f(n) = if n > 0 { f(n - 1) + f(n - 1) } else { 0 }\n#f(200)";
    for (added, code, said) in [
        (slow, "too_costly", "10 seconds"),
        (large, "too_costly", "1024 MiB"),
        (deep, "template_fault", "depth"),
    ] {
        let told = refused(&service, PAPER, &format!("{whole}{added}\n")).await;
        assert_eq!(told[0].0, code, "{told:?}");
        assert!(told[0].2.contains(said), "{told:?}");
    }
    let (page, before) = (example("html"), "<main>");
    let steps = "{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}";
    let doubled = "{% set x = x ~ x %}".repeat(40);
    let doubled = format!("{{% set x = \"0123456789\" %}}{doubled}{{{{ x }}}}");
    for added in [steps, &doubled] {
        let told = refused(
            &service,
            PAGE,
            &page.replace(before, &format!("{before}{added}")),
        )
        .await;
        assert_eq!(told[0].0, "too_costly", "{told:?}");
    }
    // The service lives on.
    assert_eq!(service.get(PAPER).await.status(), StatusCode::OK);
    assert!(faults(&json!({})).is_empty());
}
