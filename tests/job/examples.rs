//! Every example of the OpenAPI document is one that the server answers with success.

use reqwest::{Method, StatusCode};
use serde_json::{Value, json};

use crate::harness::{Shop, quote_of, schedule};

const DOCUMENT: &str = include_str!("../../openapi/offtake.json");

/// Operations that answer a question and store nothing, though the question comes as a body.
const ASKING: [&str; 9] = [
    "check_manifolds",
    "lay_out_manifolds",
    "work_out_flows",
    "size_manifolds",
    "create_estimate",
    "create_comparison",
    "create_cut_plan",
    "price_schedule",
    "reprice_open_quotes",
];

/// Entries in the audit trail, all of which must fit.
async fn entries(shop: &Shop) -> i64 {
    let verdict = shop.get("/v1/audit/verify").await;
    assert_eq!(verdict["intact"], true, "{verdict}");
    verdict["entries"].as_i64().unwrap()
}

/// What stands in a path for something that must be there first.
async fn prepared(shop: &Shop, operation: &str) -> Option<String> {
    let id = |made: Value| made["id"].as_str().unwrap().to_owned();
    Some(match operation {
        "get_customer" | "replace_customer" => id(shop
            .post("/v1/customers", &json!({"name": "C"}), StatusCode::CREATED)
            .await),
        "get_price_list"
        | "get_price_items"
        | "replace_price_items"
        | "reprice_open_quotes"
        | "diff_price_lists" => price_list(shop).await,
        "publish_price_list" => {
            let list = price_list(shop).await;
            let items = json!({"items": [{"code": "cap-2", "kind": "fitting", "text": "cap", "unit": "each", "price": "1.00"}]});
            put(shop, &format!("/v1/price-lists/{list}/items"), &items).await;
            list
        }
        "get_labour_model" | "get_times" | "replace_times" | "get_conditions"
        | "replace_conditions" | "get_repetition" | "replace_repetition" => {
            labour_model(shop).await
        }
        "publish_labour_model" => {
            let model = labour_model(shop).await;
            let times =
                json!({"times": [{"operation": "cut", "minutes_each": "1", "source": "opinion"}]});
            put(shop, &format!("/v1/labour-models/{model}/times"), &times).await;
            model
        }
        "get_offcut" | "reserve_offcut" | "take_offcut" => offcut(shop).await,
        "return_offcut" => {
            let offcut = offcut(shop).await;
            let path = format!("/v1/offcuts/{offcut}/take");
            shop.post(&path, &json!({"for": "E"}), StatusCode::OK).await;
            offcut
        }
        "get_quote" | "replace_quote" | "issue_quote" | "withdraw_quote" | "get_quote_revision"
        | "get_quote_document" => shop.draft(1).await,
        "get_webhook" | "rotate_webhook_secret" | "disable_webhook" | "list_deliveries" => {
            webhook(shop).await
        }
        "enable_webhook" => {
            let hook = webhook(shop).await;
            let path = format!("/v1/webhooks/{hook}/disable");
            shop.post(&path, &json!({}), StatusCode::OK).await;
            hook
        }
        "replay_delivery" => {
            let hook = webhook(shop).await;
            shop.draft(1).await;
            let log = shop.get(&format!("/v1/webhooks/{hook}/deliveries")).await;
            // Two names: of the webhook, and of the notice.
            format!("{hook} {}", log["items"][0]["id"].as_str().unwrap())
        }
        "get_logo" | "delete_logo" => {
            let logo = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 3 1\"/>";
            put_text(shop, "/v1/shop/logo", "image/svg+xml", logo).await;
            return None;
        }
        "delete_template" => {
            let put = &document()["paths"]["/v1/shop/templates/{name}"]["put"];
            let example = &put["requestBody"]["content"]["text/plain"]["example"];
            let path = "/v1/shop/templates/quote.typ";
            put_text(shop, path, "text/plain", example.as_str().unwrap()).await;
            return None;
        }
        "get_link" | "revoke_link" => {
            let number = shop.draft(1).await;
            shop.make(&number, "issue", StatusCode::OK).await;
            let path = format!("/v1/quotes/{number}/links");
            let made = shop.post(&path, &json!({}), StatusCode::CREATED).await;
            id(made["link"].clone())
        }
        "accept_quote" => {
            let mut body = quote_of(&schedule()[..1]);
            let manifold = &schedule()[1];
            body["options"] = json!([{"name": "Spare header", "manifold": manifold}]);
            let quote = shop.post("/v1/quotes", &body, StatusCode::CREATED).await;
            let number = quote["number"].as_str().unwrap().to_owned();
            shop.make(&number, "issue", StatusCode::OK).await;
            number
        }
        "decline_quote"
        | "create_quote_revision"
        | "create_quote_link"
        | "list_quote_links"
        | "copy_quote"
        | "get_quote_changes" => {
            let number = shop.draft(1).await;
            shop.make(&number, "issue", StatusCode::OK).await;
            number
        }
        _ => return None,
    })
}

async fn webhook(shop: &Shop) -> String {
    let body = json!({"url": "https://books.example/in"});
    let made = shop.post("/v1/webhooks", &body, StatusCode::CREATED).await;
    made["webhook"]["id"].as_str().unwrap().to_owned()
}

async fn offcut(shop: &Shop) -> String {
    let body = json!({"tube": "b88-l-2", "length": "40 in"});
    let made = shop.post("/v1/offcuts", &body, StatusCode::CREATED).await;
    made["id"].as_str().unwrap().to_owned()
}

async fn price_list(shop: &Shop) -> String {
    let head =
        json!({"name": "E", "supplier": "S", "currency": "USD", "effective_on": "2099-01-01"});
    let made = shop
        .post("/v1/price-lists", &head, StatusCode::CREATED)
        .await;
    made["id"].as_str().unwrap().to_owned()
}

async fn labour_model(shop: &Shop) -> String {
    let head = json!({"name": "E", "effective_on": "2099-01-01"});
    let made = shop
        .post("/v1/labour-models", &head, StatusCode::CREATED)
        .await;
    made["id"].as_str().unwrap().to_owned()
}

async fn put(shop: &Shop, path: &str, body: &Value) {
    let sent = shop
        .request(Method::PUT, path)
        .header("if-match", "*")
        .json(body)
        .send()
        .await
        .unwrap();
    assert_eq!(
        sent.status(),
        StatusCode::OK,
        "{}",
        sent.text().await.unwrap()
    );
}

async fn put_text(shop: &Shop, path: &str, media: &str, text: &str) {
    let request = shop.request(Method::PUT, path);
    let request = request.header("content-type", media).body(text.to_owned());
    let sent = request.send().await.unwrap();
    assert_eq!(
        sent.status(),
        StatusCode::OK,
        "{}",
        sent.text().await.unwrap()
    );
}

fn document() -> Value {
    serde_json::from_str(DOCUMENT).unwrap()
}

/// The address with the parameters filled in: what was prepared, else the example.
fn address(path: &str, operation: &Value, prepared: Option<&str>) -> String {
    let mut address = path.to_owned();
    let mut query = Vec::new();
    for parameter in operation["parameters"].as_array().into_iter().flatten() {
        let name = parameter["name"].as_str().unwrap();
        let example = parameter["example"]
            .as_str()
            .map_or_else(|| parameter["example"].to_string(), str::to_owned);
        match (parameter["in"].as_str().unwrap(), prepared) {
            ("path", Some(prepared)) if name == "id" || name == "number" => {
                let first = prepared.split(' ').next().unwrap();
                address = address.replace(&format!("{{{name}}}"), first);
            }
            ("path", Some(prepared)) if prepared.contains(' ') => {
                let second = prepared.split(' ').next_back().unwrap();
                address = address.replace(&format!("{{{name}}}"), second);
            }
            ("path", _) => address = address.replace(&format!("{{{name}}}"), &example),
            // A list held against itself.
            ("query", Some(prepared)) if name == "from" => query.push(format!("from={prepared}")),
            ("query", _) if parameter["required"] == true => {
                query.push(format!("{name}={}", example.replace(' ', "%20")))
            }
            _ => {}
        }
    }
    if query.is_empty() {
        address
    } else {
        format!("{address}?{}", query.join("&"))
    }
}

fn example(document: &Value, media: &Value) -> Value {
    media.get("example").cloned().unwrap_or_else(|| {
        let name = media["schema"]["$ref"]
            .as_str()
            .unwrap()
            .rsplit('/')
            .next()
            .unwrap();
        document["components"]["schemas"][name]["examples"][0].clone()
    })
}

pub async fn the_server_answers_its_own_examples(shop: Shop) {
    shop.set_up().await;
    assert_eq!(schedule().len(), 7);
    let document = document();
    let mut refused = Vec::new();
    let mut sent = 0;
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let Ok(method) = method.to_uppercase().parse::<Method>() else {
                continue;
            };
            let name = operation["operationId"].as_str().unwrap_or_default();
            // The shop's settings are the last to change: everything else is priced with them.
            if !operation.is_object() || name.is_empty() || name == "put_shop" {
                continue;
            }
            sent += send(&shop, &document, (&method, path, operation), &mut refused).await;
        }
    }
    let put = &document["paths"]["/v1/shop"]["put"];
    sent += send(
        &shop,
        &document,
        (&Method::PUT, "/v1/shop", put),
        &mut refused,
    )
    .await;
    assert!(refused.is_empty(), "{refused:#?}");
    assert!(sent >= 48, "only {sent} examples were sent");
}

/// Sends an operation once for each form of its body; how many were sent.
async fn send(
    shop: &Shop,
    document: &Value,
    (method, path, operation): (&Method, &str, &Value),
    refused: &mut Vec<String>,
) -> usize {
    let name = operation["operationId"].as_str().unwrap();
    let bodies: Vec<Option<(&String, &Value)>> =
        match operation["requestBody"]["content"].as_object() {
            // A workbook or a picture is no text that a document could show.
            Some(content) => content
                .iter()
                .filter(|(media, _)| !media.contains("spreadsheetml") && *media != "image/png")
                .map(Some)
                .collect(),
            None => vec![None],
        };
    let count = bodies.len();
    for body in bodies {
        let prepared = prepared(shop, name).await;
        let before = entries(shop).await;
        let mut request = shop.request(
            method.clone(),
            &address(path, operation, prepared.as_deref()),
        );
        if *method == Method::PUT {
            request = request.header("if-match", "*");
        }
        if let Some((media, described)) = body {
            let example = example(document, described);
            let text = example
                .as_str()
                .map_or_else(|| example.to_string(), str::to_owned);
            request = request.header("content-type", media).body(text);
        }
        let answer = request.send().await.unwrap();
        let status = answer.status();
        let is_json = answer
            .headers()
            .get("content-type")
            .is_some_and(|kind| kind.to_str().unwrap().starts_with("application/json"));
        let bytes = answer.bytes().await.unwrap();
        if !status.is_success() {
            refused.push(format!(
                "{name}: {status} {}",
                String::from_utf8_lossy(&bytes)
            ));
        } else if is_json {
            let value: Value = serde_json::from_slice(&bytes).unwrap();
            refused.extend(unlike(document, (operation, status), &value));
            refused.extend(odd_instants(name, &value));
        }
        let changes = *method != Method::GET && !ASKING.contains(&name);
        let written = entries(shop).await - before;
        if changes != (written > 0) {
            refused.push(format!("{name}: {written} entries in the audit trail"));
        }
    }
    count
}

/// Instants that a spreadsheet would not read: all but those of the audit trail, which are hashed as they
/// are (and shown so in the document), are whole seconds with `Z`.
fn odd_instants(name: &str, answer: &Value) -> Vec<String> {
    let is_instant = |text: &str| {
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        text.len() > 11 && text.as_bytes()[10] == b'T' && digits(&text[..4]) && digits(&text[5..7])
    };
    match answer {
        Value::String(text) if text.is_ascii() && is_instant(text) => {
            let is_whole = text.len() == 20 && text.ends_with('Z');
            let is_hashed = ["list_audit_entries", "get_openapi"].contains(&name);
            (!is_whole && !is_hashed)
                .then(|| format!("{name}: {text} is no whole second"))
                .into_iter()
                .collect()
        }
        Value::Array(items) => items
            .iter()
            .flat_map(|item| odd_instants(name, item))
            .collect(),
        Value::Object(members) => members
            .values()
            .flat_map(|member| odd_instants(name, member))
            .collect(),
        _ => Vec::new(),
    }
}

/// Where an answer is not as the document describes it.
fn unlike(
    document: &Value,
    (operation, status): (&Value, StatusCode),
    answer: &Value,
) -> Vec<String> {
    let described =
        &operation["responses"][status.as_str()]["content"]["application/json"]["schema"];
    if described.is_null() {
        return vec![format!(
            "{}: {status} is not described",
            operation["operationId"]
        )];
    }
    // The document's components come along, so that references into them hold.
    let mut schema = described.clone();
    schema["components"] = document["components"].clone();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults = validator.iter_errors(answer);
    faults
        .take(3)
        .map(|fault| {
            format!(
                "{}: {}: {fault}",
                operation["operationId"],
                fault.instance_path()
            )
            .chars()
            .take(400)
            .collect()
        })
        .collect()
}
