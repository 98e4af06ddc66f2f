//! The shop's logo: what is taken, what is refused and why, and where it goes.

use super::service::{Service, body, faults};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

const LOGO: &str = "/v1/shop/logo";
const SVG: &str = "image/svg+xml";
const PNG: &str = "image/png";
/// Made by Python's zlib, see `tests/outside/make_logos.py`.
const WIDE: &[u8] = include_bytes!("../../data/logo_wide.png");
const DRAWN: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 60 20\"><path d=\"M2 2h56v16h-56z\"/></svg>";

async fn put(service: &Service, path: &str, media: &str, bytes: impl Into<Vec<u8>>) -> Response {
    let request = service.request(Method::PUT, path, &service.admin);
    let request = request.header("content-type", media).body(bytes.into());
    request.send().await.unwrap()
}

fn header<'a>(response: &'a Response, name: &str) -> &'a str {
    response.headers()[name].to_str().unwrap()
}

#[tokio::test]
async fn a_logo_is_put_fetched_and_taken_off() {
    let service = Service::start();
    let early = put(&service, LOGO, SVG, DRAWN).await;
    let early = body(early, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert!(early["detail"].as_str().unwrap().contains("PUT /v1/shop"));
    assert_eq!(service.get(LOGO).await.status(), StatusCode::NOT_FOUND);
    drop(service);

    let service = Service::with_shop().await;
    assert_eq!(service.get(LOGO).await.status(), StatusCode::NOT_FOUND);
    let tried = put(&service, &format!("{LOGO}?validate_only=true"), PNG, WIDE).await;
    assert_eq!(tried.status(), StatusCode::OK);
    assert_eq!(service.get(LOGO).await.status(), StatusCode::NOT_FOUND);
    for (media, bytes) in [(PNG, WIDE), (SVG, DRAWN.as_bytes())] {
        let set = put(&service, &format!("{LOGO}?text=A%20coil"), media, bytes).await;
        let set = body(set, StatusCode::OK).await;
        assert_eq!(
            set,
            json!({"media_type": media, "bytes": bytes.len(), "text": "A coil"})
        );
        let got = service.get(LOGO).await;
        assert!(header(&got, "content-type").starts_with(media));
        assert_eq!(header(&got, "x-content-type-options"), "nosniff");
        let policy = header(&got, "content-security-policy");
        assert_eq!(
            policy,
            "default-src 'none'; style-src 'unsafe-inline'; sandbox"
        );
        let tag = header(&got, "etag").to_owned();
        assert_eq!(got.bytes().await.unwrap(), bytes);
        let again = service.request(Method::GET, LOGO, &service.estimator);
        let again = again.header("if-none-match", tag).send().await.unwrap();
        assert_eq!(again.status(), StatusCode::NOT_MODIFIED);
    }
    // Settings are replaced whole, and the logo is none of them.
    let shop = json!({"letterhead": {"name": "Another name"}, "currency": "USD"});
    let set = service.put("/v1/shop", Some("*"), &shop).await;
    assert_eq!(set.status(), StatusCode::OK);
    assert_eq!(service.get(LOGO).await.status(), StatusCode::OK);
    let remove = || service.request(Method::DELETE, LOGO, &service.admin).send();
    assert_eq!(remove().await.unwrap().status(), StatusCode::NO_CONTENT);
    assert_eq!(remove().await.unwrap().status(), StatusCode::NOT_FOUND);
    assert_eq!(service.get(LOGO).await.status(), StatusCode::NOT_FOUND);
    let history = body(service.get("/v1/shop/history").await, StatusCode::OK).await;
    let versions = history["items"].as_array().unwrap().iter();
    let own: Vec<&Value> = versions.map(|version| &version["own_files"]).collect();
    let (none, logo) = (json!([]), json!(["logo"]));
    assert_eq!(own, [&none, &logo, &logo, &logo, &none]);
    assert_eq!(
        deeds(&service).await,
        [
            "shop_set",
            "logo_set",
            "logo_set",
            "shop_set",
            "logo_removed"
        ]
    );
}

/// What was done to the shop, in order.
async fn deeds(service: &Service) -> Vec<String> {
    let page = body(service.get("/v1/audit").await, StatusCode::OK).await;
    let items = page["items"].as_array().unwrap().iter();
    let shop = items.filter(|item| item["subject"]["kind"] == "shop");
    shop.map(|item| item["deed"].as_str().unwrap().to_owned())
        .collect()
}

#[tokio::test]
async fn only_an_admin_puts_a_logo() {
    let service = Service::with_shop().await;
    for method in [Method::PUT, Method::DELETE] {
        let request = service.request(method, LOGO, &service.estimator);
        let answer = request.header("content-type", SVG).body(DRAWN).send().await;
        assert_eq!(answer.unwrap().status(), StatusCode::FORBIDDEN);
    }
}

fn svg(inner: &str) -> Vec<u8> {
    DRAWN
        .replace("<path", &format!("{inner}<path"))
        .into_bytes()
}

/// A PNG that says it has that many pixels, and holds none (ISO/IEC 15948, 11.2.1).
fn header_alone(width: u32, height: u32) -> Vec<u8> {
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = b"IHDR".to_vec();
    chunk.extend(width.to_be_bytes());
    chunk.extend(height.to_be_bytes());
    chunk.extend([8, 6, 0, 0, 0]);
    png.extend(13_u32.to_be_bytes());
    png.extend(&chunk);
    png.extend(crc(&chunk).to_be_bytes());
    png
}

/// The checksum of a chunk, as ISO/IEC 15948 annex D gives it.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| match crc & 1 {
            1 => 0xedb8_8320 ^ (crc >> 1),
            _ => crc >> 1,
        })
    })
}

#[tokio::test]
async fn a_file_that_is_no_logo_is_refused_with_what_was_found() {
    let service = Service::with_shop().await;
    let jpeg = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01".to_vec();
    let mut noise = WIDE.to_vec();
    noise.truncate(600_000);
    noise.resize(600_000, 7);
    let inner = STANDARD.encode(&WIDE[..100]);
    let inner = format!("<image href=\"data:image/png;base64,{inner}\"/>");
    let bad: Vec<(&str, Vec<u8>, &str, &str)> = vec![
        (
            PNG,
            WIDE[..WIDE.len() / 2].to_vec(),
            "not_a_picture",
            "breaks off",
        ),
        (PNG, jpeg.clone(), "not_a_picture", "JPEG"),
        (PNG, DRAWN.into(), "not_a_picture", "markup"),
        (PNG, Vec::new(), "not_a_picture", "empty"),
        (
            PNG,
            header_alone(50_000, 50_000),
            "picture_too_large",
            "50000 x 50000",
        ),
        (PNG, noise, "picture_too_large", "600000 bytes"),
        (SVG, jpeg, "not_a_picture", "JPEG"),
        (SVG, WIDE.to_vec(), "not_a_picture", "PNG"),
        (SVG, "<svg".into(), "not_a_picture", "well-formed"),
        (SVG, "<html/>".into(), "not_a_picture", "`html`"),
        (SVG, svg("<script/>"), "active_content", "`script`"),
        (
            SVG,
            svg("<foreignObject/>"),
            "active_content",
            "`foreignObject`",
        ),
        (
            SVG,
            svg("<g onload=\"x()\"/>"),
            "active_content",
            "`onload`",
        ),
        (
            SVG,
            svg("<image href=\"https://example.com/x.png\"/>"),
            "refers_outside",
            "example.com",
        ),
        (
            SVG,
            svg("<style>@import url(\"x.css\");</style>"),
            "refers_outside",
            "@import",
        ),
        (
            SVG,
            svg("<g style=\"fill:url(http://example.com/x)\"/>"),
            "refers_outside",
            "example.com",
        ),
        (SVG, svg(&inner), "not_a_picture", "the picture inside"),
        (
            SVG,
            DRAWN.replace("viewBox=\"0 0 60 20\"", "").into(),
            "no_size",
            "viewBox",
        ),
        (
            SVG,
            format!("<!DOCTYPE svg [<!ENTITY a \"{}\">]>{DRAWN}", "b".repeat(9)).into(),
            "part_not_allowed",
            "DOCTYPE",
        ),
    ];
    for (media, bytes, code, said) in bad {
        let refused = put(&service, LOGO, media, bytes).await;
        let refused = body(refused, StatusCode::UNPROCESSABLE_ENTITY).await;
        let told = &refused["errors"][0];
        assert_eq!(told["code"], code, "{refused}");
        assert!(
            told["detail"].as_str().unwrap().contains(said),
            "{said}: {refused}"
        );
    }
    let other = put(&service, LOGO, "image/jpeg", "x").await;
    assert_eq!(header(&other, "accept"), "image/png, image/svg+xml");
    assert_eq!(other.status(), StatusCode::UNSUPPORTED_MEDIA_TYPE);
    assert_eq!(service.get(LOGO).await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn every_fault_of_an_svg_comes_at_once_with_line_and_column() {
    let service = Service::with_shop().await;
    let wrong = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"none\">\n<script/>\n  <g onclick=\"x\"/>\n<use href=\"a.svg#b\"/></svg>";
    let refused = body(
        put(&service, LOGO, SVG, wrong).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(
        faults(&refused),
        [
            " no_size",
            " active_content",
            " active_content",
            " refers_outside"
        ]
    );
    let places: Vec<&Value> = refused["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| &one["place"])
        .collect();
    let place = |line: u32, column: u32| json!({"line": line, "column": column});
    assert_eq!(
        places,
        [&place(1, 1), &place(2, 1), &place(3, 6), &place(4, 6)]
    );
    let said = refused["errors"][2]["detail"].as_str().unwrap();
    assert!(said.starts_with("line 3, column 6: "), "{said}");
}
