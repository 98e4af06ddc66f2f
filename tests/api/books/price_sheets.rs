//! Price lists as sheets.

use super::service::{Service, body, faults, version};
use reqwest::{Method, Response, StatusCode};
use serde_json::{Value, json};

struct Draft {
    items: String,
    version: String,
}

async fn draft(service: &Service) -> Draft {
    let list = json!({"name": "Winter", "supplier": "Harbour Metals", "currency": "USD", "effective_on": "2026-01-01"});
    let made = service.post("/v1/price-lists", &list).await;
    let place = made.headers()["location"].to_str().unwrap();
    Draft {
        items: format!("{place}/items"),
        version: version(&made),
    }
}

async fn as_sheet(service: &Service, path: &str) -> Response {
    let request = service.request(Method::GET, path, &service.estimator);
    request.header("accept", "text/csv").send().await.unwrap()
}

#[tokio::test]
async fn a_sheet_with_seven_faults_names_seven_cells() {
    let service = Service::start();
    let draft = draft(&service).await;
    let sheet = "\
code,kind,text,unit,price\r
b88-l-2,tube,good,ft,14.20\r
b88-l-9,tube,no such tube,ft,1\r
cap-2,fitting,decimal comma,each,\"1,50\"\r
cap-1,fitting,wrong unit,ft,1\r
\r
cap-3,fiting,wrong kind,each,1\r
B88-L-2,tube,twice,ft,1\r
coupling-2,fitting,negative,each,-1\r
coupling-1,fitting,no price,each,\r
cap-0.5,fitting,good,each,0.95\r
";
    let answer = service.put_sheet(&draft.items, &draft.version, sheet).await;
    let problem = body(answer, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(
        faults(&problem),
        [
            "3 code unknown_tube",
            "4 price not_a_decimal",
            "5 unit wrong_unit",
            "7 kind unknown_value",
            "8 code duplicate",
            "9 price out_of_range",
            "10 price missing",
        ]
    );
    let detail = |index: usize| problem["errors"][index]["detail"].as_str().unwrap();
    assert!(detail(1).contains("with a point"), "{}", detail(1));
    assert!(
        detail(3).contains("did you mean \"fitting\""),
        "{}",
        detail(3)
    );
    assert!(detail(4).contains("row 2 has already"), "{}", detail(4));
    let stored = body(service.get(&draft.items).await, StatusCode::OK).await;
    assert_eq!(stored["items"], json!([]));
}

#[tokio::test]
async fn office_tools_may_write_the_sheet_their_way() {
    let service = Service::start();
    let draft = draft(&service).await;
    // Byte order mark, capitals and spaces in the heading, columns in another order, rows left blank.
    let sheet = "\u{feff}Price, CODE ,Kind,Unit,Text\r\n14.20,b88-l-2,tube,ft,\"2 in, \"\"L\"\" ½″\"\r\n,,,,\r\n6.10,cap-2,fitting,each,\r\n";
    let put = service.put_sheet(&draft.items, &draft.version, sheet).await;
    assert_eq!(put.status(), StatusCode::OK);
    let stored = body(service.get(&draft.items).await, StatusCode::OK).await;
    assert_eq!(stored["items"][0]["text"], "2 in, \"L\" ½″");
    assert_eq!(stored["items"][1]["text"], "cap-2");
    let sheet = as_sheet(&service, &draft.items).await;
    assert_eq!(
        sheet.headers()["content-type"],
        "text/csv; charset=utf-8; header=present"
    );
    assert_ne!(
        version(&sheet),
        version(&service.get(&draft.items).await),
        "another form, another tag"
    );
    let text = sheet.text().await.unwrap();
    assert_eq!(
        text,
        "code,kind,text,unit,price,breaks\r\nb88-l-2,tube,\"2 in, \"\"L\"\" ½″\",ft,14.20,\r\ncap-2,fitting,cap-2,each,6.10,\r\n"
    );
}

#[tokio::test]
async fn nothing_in_a_sheet_runs_as_a_formula() {
    let service = Service::start();
    let draft = draft(&service).await;
    let texts = ["=1+1", "@SUM(1)", "+1", "-1", "\tx", "'=1"];
    let codes = ["cap-0.5", "cap-1", "cap-2", "cap-3", "cap-4", "cap-5"];
    let items: Vec<Value> = texts
        .iter()
        .zip(codes)
        .map(|(text, code)| json!({"code": code, "kind": "fitting", "unit": "each", "price": "0.50", "text": text}))
        .collect();
    let put = service
        .put(&draft.items, Some(&draft.version), &json!({"items": items}))
        .await;
    assert_eq!(put.status(), StatusCode::OK);
    let stored = body(service.get(&draft.items).await, StatusCode::OK).await;
    let kept: Vec<&str> = stored["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| item["text"].as_str().unwrap())
        .collect();
    assert_eq!(
        kept[..4],
        ["=1+1", "@SUM(1)", "+1", "-1"],
        "texts are kept as they are"
    );
    let sheet = as_sheet(&service, &draft.items).await;
    let tag = version(&sheet);
    let sheet = sheet.text().await.unwrap();
    for line in sheet.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        assert!(cells[2].starts_with('\''), "{line}");
        assert_eq!(cells[4], "0.50", "a number is left alone");
    }
    // Sent back as it came, it is what it was.
    assert_eq!(
        service.put_sheet(&draft.items, &tag, sheet).await.status(),
        StatusCode::OK
    );
    assert_eq!(
        body(service.get(&draft.items).await, StatusCode::OK).await,
        stored
    );
}

#[tokio::test]
async fn what_is_no_sheet_of_prices_is_refused() {
    let service = Service::start();
    let draft = draft(&service).await;
    let put = async |sheet: &[u8]| service.put_sheet(&draft.items, &draft.version, sheet).await;
    assert_eq!(put(b"").await.status(), StatusCode::BAD_REQUEST);
    let latin = body(
        put(b"code,kind,unit,price\ncap-2,fitting,each,\xA31\n").await,
        StatusCode::BAD_REQUEST,
    )
    .await;
    assert!(latin["detail"].as_str().unwrap().contains("line 2"));
    let semicolons = body(
        put(b"code;kind;unit;price\ncap-2;fitting;each;1\n").await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert!(
        semicolons["errors"][0]["detail"]
            .as_str()
            .unwrap()
            .contains("commas")
    );
    let headless = body(
        put(b"code,kind,unit\ncap-2,fitting,each\n").await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(faults(&headless), ["1 price missing"]);
    let wide = body(
        put(b"code,kind,unit,price\ncap-2,fitting,each,1,50\n").await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    assert_eq!(faults(&wide), ["2  cell_without_column"]);
    let request = service.request(Method::PUT, &draft.items, &service.admin);
    let pdf = request
        .header("content-type", "application/pdf")
        .header("if-match", &draft.version)
        .body("x");
    assert_eq!(
        pdf.send().await.unwrap().status(),
        StatusCode::UNSUPPORTED_MEDIA_TYPE
    );
}

#[tokio::test]
async fn quantity_breaks_go_both_ways_and_a_table_that_is_not_monotone_is_refused() {
    let service = Service::start();
    let draft = draft(&service).await;
    let sheet = "code,kind,unit,price,breaks\ncap-2,fitting,each,6.10,50: 5.20; 200: 4.90\ncap-1,fitting,each,3,\n";
    let put = service.put_sheet(&draft.items, &draft.version, sheet).await;
    let next = version(&put);
    assert_eq!(put.status(), StatusCode::OK);
    let stored = body(service.get(&draft.items).await, StatusCode::OK).await;
    assert_eq!(
        stored["items"][1]["breaks"],
        json!([{"from": "50", "price": "5.20"}, {"from": "200", "price": "4.90"}])
    );
    assert_eq!(stored["items"][0]["breaks"], json!([]));
    let sheet = as_sheet(&service, &draft.items).await.text().await.unwrap();
    assert!(sheet.contains("cap-2,fitting,cap-2,each,6.10,50: 5.20; 200: 4.90\r\n"));
    // What was answered as JSON is taken back as it is.
    let put = service.put(&draft.items, Some(&next), &stored).await;
    let next = version(&put);
    assert_eq!(put.status(), StatusCode::OK);
    let wrong = "code,kind,unit,price,breaks\ncap-2,fitting,each,6.10,50: 7; 20: 5\ncap-1,fitting,each,3,ten for 2\n";
    let answer = service.put_sheet(&draft.items, &next, wrong).await;
    let problem = body(answer, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(
        faults(&problem),
        [
            "2 breaks dearer_in_quantity",
            "2 breaks not_rising",
            "3 breaks not_breaks",
        ]
    );
    let list = json!({"items": [{"code": "cap-2", "kind": "fitting", "unit": "each", "price": "6",
        "breaks": [{"from": "0", "price": "5"}, {"from": "10", "price": "5.5"}]}]});
    let answer = service.put(&draft.items, Some(&next), &list).await;
    let problem = body(answer, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(
        faults(&problem),
        [
            "/items/0/breaks/0/from out_of_range",
            "/items/0/breaks/1/price dearer_in_quantity",
        ]
    );
}
