//! Notices of quote changes reach a receiver that fails at first, signed, with every secret in force.

use std::time::Duration;

use jiff::Timestamp;
use offtake::shop::webhook::signatures;
use reqwest::StatusCode;
use serde_json::{Value, json};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpListener;
use tokio::sync::mpsc;

use crate::harness::Shop;

/// What a receiver got.
struct Got {
    id: String,
    at: i64,
    signature: String,
    body: String,
}

impl Got {
    fn is_signed_by(&self, secret: &str) -> bool {
        let at = Timestamp::from_second(self.at).unwrap();
        let wanted = signatures(&[secret], &self.id, at, &self.body);
        self.signature.split(' ').any(|one| one == wanted)
    }

    fn kind(&self) -> Value {
        serde_json::from_str::<Value>(&self.body).unwrap()["type"].clone()
    }
}

/// A receiver that answers with these statuses in turn, and with the last one ever after.
async fn receiver(answers: Vec<u16>) -> (String, mpsc::UnboundedReceiver<Got>) {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let url = format!("http://{}/in", listener.local_addr().unwrap());
    let (tell, told) = mpsc::unbounded_channel();
    tokio::spawn(async move {
        let mut answers = answers.into_iter().peekable();
        loop {
            let (mut stream, _) = listener.accept().await.unwrap();
            let status = match answers.len() {
                1 => *answers.peek().unwrap(),
                _ => answers.next().unwrap(),
            };
            let mut bytes = Vec::new();
            let got = loop {
                let mut part = [0; 4096];
                let count = stream.read(&mut part).await.unwrap();
                bytes.extend_from_slice(&part[..count]);
                if let Some(got) = whole(&bytes) {
                    break got;
                }
            };
            let answer =
                format!("HTTP/1.1 {status} X\r\ncontent-length: 0\r\nconnection: close\r\n\r\n");
            stream.write_all(answer.as_bytes()).await.unwrap();
            if tell.send(got).is_err() {
                return;
            }
        }
    });
    (url, told)
}

/// The request once all of it is there.
fn whole(bytes: &[u8]) -> Option<Got> {
    let text = String::from_utf8(bytes.to_vec()).ok()?;
    let (head, body) = text.split_once("\r\n\r\n")?;
    let field = |name: &str| {
        head.lines()
            .filter_map(|line| line.split_once(": "))
            .find(|(known, _)| known.eq_ignore_ascii_case(name))
            .map(|(_, value)| value.to_owned())
    };
    let length: usize = field("content-length")?.parse().ok()?;
    (body.len() == length).then(|| Got {
        id: field("webhook-id").unwrap(),
        at: field("webhook-timestamp").unwrap().parse().unwrap(),
        signature: field("webhook-signature").unwrap(),
        body: body.to_owned(),
    })
}

async fn next(told: &mut mpsc::UnboundedReceiver<Got>) -> Got {
    let patience = Duration::from_secs(60);
    tokio::time::timeout(patience, told.recv())
        .await
        .unwrap()
        .unwrap()
}

pub async fn notices_come_until_they_are_taken(shop: Shop) {
    shop.set_up().await;
    let (url, mut told) = receiver(vec![503, 204]).await;
    let body = json!({"url": url, "events": ["quote.issued", "quote.accepted"]});
    let made = shop.post("/v1/webhooks", &body, StatusCode::CREATED).await;
    let hook = format!("/v1/webhooks/{}", made["webhook"]["id"].as_str().unwrap());
    let secret = made["secret"].as_str().unwrap().to_owned();
    let number = shop.draft(1).await;
    shop.make(&number, "issue", StatusCode::OK).await;
    let refused = next(&mut told).await;
    assert_eq!(refused.kind(), "quote.issued");
    assert!(refused.is_signed_by(&secret));
    let again = next(&mut told).await;
    assert_eq!((&again.id, &again.body), (&refused.id, &refused.body));
    assert!(again.is_signed_by(&secret));
    // With a new secret, the one before signs, too, for a while.
    let rotate = format!("{hook}/rotate");
    let turned = shop.post(&rotate, &json!({}), StatusCode::OK).await;
    let new = turned["secret"].as_str().unwrap().to_owned();
    assert_ne!(new, secret);
    shop.make(&number, "accept", StatusCode::OK).await;
    let accepted = next(&mut told).await;
    assert_eq!(accepted.kind(), "quote.accepted");
    assert!(accepted.is_signed_by(&secret) && accepted.is_signed_by(&new));
    assert!(!accepted.is_signed_by("whsec_AAAA"));
    // Without overlap it does not.
    let turned = shop
        .post(&rotate, &json!({"overlap_hours": 0}), StatusCode::OK)
        .await;
    let newest = turned["secret"].as_str().unwrap().to_owned();
    let log = settled(&shop, &hook).await;
    assert_eq!(log["items"].as_array().unwrap().len(), 2, "{log}");
    let tries = |item: &Value| -> Vec<Value> {
        let tries = item["tries"].as_array().unwrap();
        tries.iter().map(|one| one["status"].clone()).collect()
    };
    assert_eq!(tries(&log["items"][0]), [json!(204)]);
    assert_eq!(tries(&log["items"][1]), [json!(503), json!(204)]);
    let notice = log["items"][1]["id"].as_str().unwrap();
    let replay = format!("{hook}/deliveries/{notice}/replay");
    let sent = shop.request(reqwest::Method::POST, &replay).send().await;
    assert_eq!(sent.unwrap().status(), StatusCode::ACCEPTED);
    let replayed = next(&mut told).await;
    assert_eq!((&replayed.id, &replayed.body), (&refused.id, &refused.body));
    assert!(replayed.is_signed_by(&newest) && !replayed.is_signed_by(&secret));
}

/// The log once nothing waits any more.
async fn settled(shop: &Shop, hook: &str) -> Value {
    for _ in 0..100 {
        let log = shop.get(&format!("{hook}/deliveries")).await;
        let items = log["items"].as_array().unwrap();
        if items.iter().all(|item| item["state"] == "delivered") {
            return log;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("something still waits");
}
