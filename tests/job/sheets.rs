//! Schedules as sheets, over HTTP.

use std::io::Cursor;

use calamine::{Data, DataType, Reader, Xlsx};
use reqwest::{Method, Response, StatusCode};
use rust_xlsxwriter::Workbook;
use serde_json::{Value, json};

use crate::harness::{Shop, read, schedule};

const SCHEDULES: &str = "/v1/schedules";
const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
const HEADING: &str = "Mark,Qty,Service,Pressure (psi),Temperature (degF),Build,Run,First end,Second beyond (in),Branch,Outlets,First (in),Pitch (in),Stub (in),Our job";

async fn send(shop: &Shop, query: &str, kind: &str, sheet: impl Into<Vec<u8>>) -> Response {
    shop.request(Method::POST, &format!("{SCHEDULES}{query}"))
        .header("content-type", kind)
        .body(sheet.into())
        .send()
        .await
        .unwrap()
}

/// The rows of an answer, by heading without its unit.
fn cells(text: &str, delimiter: u8) -> Vec<Value> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let heading = reader.headers().unwrap().clone();
    let rows = reader.records().map(|row| row.unwrap());
    rows.map(|row| {
        let cells = heading.iter().zip(row.iter());
        let named = cells.map(|(name, cell)| {
            let name = name.split(" (").next().unwrap();
            (name.to_lowercase(), Value::from(cell))
        });
        Value::Object(named.collect())
    })
    .collect()
}

fn three_rows() -> String {
    format!(
        "{HEADING}\r\nH-1,2,hydronic heating,75,180,formed outlets,b88-l-2,cap,4,b88-l-1,6,4,5,3,\"=SUM(A1)\"\r\n\r\nX-9,1,potable-cold,75,60,formed_outlets,b88-l-2,,4,b88-l-9,2,4,5,3,\r\nH-1,,,,,,,,,b88-l-0.75,1,40,,3,second group\r\n"
    )
}

pub async fn a_sheet_comes_back_with_its_results(shop: Shop) {
    shop.set_up().await;
    let answer = send(&shop, "", "text/csv", three_rows()).await;
    assert_eq!(answer.status(), StatusCode::OK);
    assert!(
        answer.headers()["content-type"]
            .to_str()
            .unwrap()
            .starts_with("text/csv")
    );
    let text = answer.text().await.unwrap();
    let rows = cells(&text, b',');
    // Blank rows are left out, all others come in their order with what was typed, and the shop's own
    // column too; what a spreadsheet would run is text.
    let marks: Vec<&str> = rows
        .iter()
        .map(|row| row["mark"].as_str().unwrap())
        .collect();
    assert_eq!(marks, ["H-1", "X-9", "H-1"]);
    assert_eq!(rows[0]["our job"], "'=SUM(A1)");
    assert_eq!(rows[2]["our job"], "second group");
    // Both groups are one manifold: seven branches and a cap are joined. The small branch on the large
    // run is the severe case of forming.
    assert_eq!(
        (&rows[0]["verdict"], &rows[0]["joints"]),
        (&json!("buildable_with_cautions"), &json!("8"))
    );
    assert!(
        rows[0]["cautions"]
            .as_str()
            .unwrap()
            .contains("forming-severity")
    );
    assert_eq!(
        (&rows[2]["verdict"], &rows[2]["faults"]),
        (&json!(""), &json!(""))
    );
    let faults = rows[1]["faults"].as_str().unwrap();
    assert!(
        faults.starts_with("Branch: ") && faults.contains("b88-l-9"),
        "{faults}"
    );
    assert_eq!(
        (&rows[1]["verdict"], &rows[1]["price"]),
        (&json!("faults"), &json!(""))
    );
    // Sent again, the answer is read as the sheet it was: its results are made anew.
    let again = send(&shop, "", "text/csv", text.clone()).await;
    assert_eq!(again.text().await.unwrap(), text);
}

pub async fn a_sheet_and_a_request_come_to_the_same(shop: Shop) {
    shop.set_up().await;
    let sheet = format!(
        "{HEADING}\nH-1,2,hydronic heating,75,180,formed outlets,b88-l-2,cap,4,b88-l-1,6,4,5,3,\nH-2,1,hydronic heating,75,180,tees soldered,b88-l-2,cap,4,b88-l-1,3,4,5,3,\n"
    );
    let rows = cells(
        &send(&shop, "", "text/csv", sheet.clone())
            .await
            .text()
            .await
            .unwrap(),
        b',',
    );
    let manifold = |mark: &str, quantity: u32, build: &str, count: u32| {
        json!({"mark": mark, "quantity": quantity, "service": "hydronic_heating", "design_pressure": "75 psi",
            "design_temperature": "180 degF", "build": build,
            "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
            "outlets": [{"tube": "b88-l-1", "count": count, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]})
    };
    let request = json!({"manifolds": [manifold("H-1", 2, "formed_outlets", 6), manifold("H-2", 1, "tees_soldered", 3)]});
    let priced = shop.post("/v1/estimates", &request, StatusCode::OK).await;
    for (row, item) in rows.iter().zip(priced["items"].as_array().unwrap()) {
        assert_eq!(row["hours"], item["hours"]);
        assert_eq!(row["cost"], item["cost"]["amount"]);
        assert_eq!(row["unit_price"], item["unit_price"]["amount"]);
        assert_eq!(row["price"], item["amount"]["amount"]);
        assert_eq!(row["verdict"], item["verdict"]);
    }
    let figures = read(
        send(&shop, "?format=json", "text/csv", sheet).await,
        StatusCode::OK,
    )
    .await;
    for total in ["net", "tax", "gross"] {
        assert_eq!(figures[total], priced[total]);
    }
    assert_eq!(figures["summary"], json!({"ok": 2, "failed": 0}));
    assert_eq!(figures["rows"][1]["row"], 3);
}

pub async fn semicolons_and_decimal_commas_are_read_and_answered(shop: Shop) {
    shop.set_up().await;
    let sheet = "\u{feff}mark;quantity;service;design_pressure;design_temperature;build;run_tube;second_beyond;branch_tube;outlets;first;pitch;stub\r\nD-1;1;hydronic_heating;5,2 bar;82 degC;formed_outlets;b88-l-2;101,6 mm;b88-l-1;6;101,6 mm;127 mm;76,2 mm\r\n";
    let text = send(&shop, "?units=metric", "text/csv", sheet)
        .await
        .text()
        .await
        .unwrap();
    let rows = cells(&text, b';');
    let price = rows[0]["price"].as_str().unwrap();
    let (whole, cents) = price.split_once(',').unwrap();
    assert!(
        whole.parse::<u32>().unwrap() > 0 && cents.len() == 2,
        "{price}"
    );
    assert!(rows[0]["mass"].as_str().unwrap().contains(','), "{text}");
    assert_eq!(rows[0]["pitch"], "127 mm");
    // The same with points comes to the same, and is answered with points.
    let points = sheet.replace(',', ".");
    let text = send(&shop, "?units=metric", "text/csv", points)
        .await
        .text()
        .await
        .unwrap();
    assert_eq!(cells(&text, b';')[0]["price"], format!("{whole}.{cents}"));
}

pub async fn every_fault_has_its_cell_and_spoils_no_other_row(shop: Shop) {
    shop.set_up().await;
    let good = "H-1,1,hydronic heating,75,180,formed outlets,b88-l-2,cap,4,b88-l-1,6,4,5,3,";
    let sheet = [
        HEADING,
        good,
        "A,x,hydronic heating,75 inches,180,formed outlets,b88-l-2,cup,4,b88-l-1,6,4,5,3,",
        "B,1,hydronic heating,75,180,formed outlets,b88-l-2,cap,4,b88-l-1,6,2-Jan,5,,",
        "h-1,3,,,,,,,,b88-l-1,1,40,,3,",
        ",1,hydronic heating,75,180,formed outlets,b88-l-2,cap,4,b88-l-1,6,4,5,3,",
        "C,1,hydronic heating,75,180,formed outlets,b88-l-2,cap,4,b88-l-1,6,4,5,3,",
    ]
    .join("\r\n");
    let figures = read(
        send(&shop, "?format=json", "text/csv", sheet).await,
        StatusCode::OK,
    )
    .await;
    let mut found = Vec::new();
    for row in figures["rows"].as_array().unwrap() {
        for fault in row["faults"].as_array().into_iter().flatten() {
            assert_eq!(fault["sheet_row"], row["row"]);
            let (column, code) = (
                fault["column"].as_str().unwrap(),
                fault["code"].as_str().unwrap(),
            );
            found.push(format!("{} {column} {code}", row["row"]));
        }
    }
    found.sort();
    assert_eq!(
        found,
        [
            "3 First end unknown_value",
            "3 Pressure (psi) not_a_quantity",
            "3 Qty wrong_type",
            "4 First (in) a_date",
            "4 Stub (in) missing",
            "5 Qty duplicate_mark",
            "6 Mark missing",
        ]
    );
    // Only the last is whole: the rows of H-1 say two quantities.
    assert_eq!(figures["summary"], json!({"ok": 1, "failed": 4}));
    assert_eq!(figures["rows"][5]["mark"], "C");
}

pub async fn a_heading_that_lacks_columns_and_too_many_rows_are_refused_whole(shop: Shop) {
    shop.set_up().await;
    let sheet = "mark,service,presure,temp,build,run,branch\nA,other,75 psi,60 degF,formed_outlets,b88-l-2,b88-l-1\n";
    let problem = read(
        send(&shop, "", "text/csv", sheet).await,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await;
    let faults = problem["errors"].as_array().unwrap();
    let columns: Vec<&str> = faults
        .iter()
        .map(|it| it["column"].as_str().unwrap())
        .collect();
    assert_eq!(columns, ["design_pressure", "stub"]);
    let row = ",1,other,75,60,formed outlets,b88-l-2,cap,4,b88-l-1,6,4,5,3,\n";
    let many: String = (0..501).map(|place| format!("M-{place}{row}")).collect();
    let refused = send(&shop, "", "text/csv", format!("{HEADING}\n{many}")).await;
    let problem = read(refused, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert!(
        problem["errors"][0]["detail"]
            .as_str()
            .unwrap()
            .contains("501 manifolds")
    );
    let none = send(&shop, "", "application/json", "{}").await;
    assert_eq!(none.status(), StatusCode::UNSUPPORTED_MEDIA_TYPE);
}

pub async fn a_workbook_comes_back_typed_with_its_totals(shop: Shop) {
    shop.set_up().await;
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.write_row(0, 0, HEADING.split(',')).unwrap();
    for (row, mark, branch) in [(1, "=1+1", "b88-l-1"), (2, "H-2", "b88-l-9")] {
        sheet
            .write_row(
                row,
                0,
                [
                    mark,
                    "",
                    "hydronic heating",
                    "",
                    "",
                    "formed outlets",
                    "b88-l-2",
                    "cap",
                ],
            )
            .unwrap();
        for (column, number) in [
            (1, 2.0),
            (3, 75.0),
            (4, 180.0),
            (8, 4.0),
            (10, 6.0),
            (11, 4.0),
            (12, 5.0),
            (13, 3.0),
        ] {
            sheet.write_number(row, column, number).unwrap();
        }
        sheet.write_string(row, 9, branch).unwrap();
    }
    let sent = book.save_to_buffer().unwrap();
    let answer = send(&shop, "", XLSX, sent.clone()).await;
    assert_eq!(answer.headers()["content-type"], XLSX);
    let bytes = answer.bytes().await.unwrap().to_vec();
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.clone())).unwrap();
    let cells = book.worksheet_range("schedule").unwrap();
    let column = |name: &str| {
        let heading = cells.rows().next().unwrap().iter();
        let mut named = heading.map(Data::to_string);
        named.position(|cell| cell.starts_with(name)).unwrap()
    };
    let cell = |row: usize, name: &str| cells.rows().nth(row).unwrap()[column(name)].clone();
    assert_eq!(cell(1, "Mark"), Data::String("=1+1".to_owned()));
    assert_eq!(cell(1, "Pressure"), Data::Float(75.0));
    assert_eq!(cell(1, "verdict"), Data::String("buildable".to_owned()));
    let Data::Float(price) = cell(1, "price (") else {
        panic!("{:?}", cell(1, "price ("))
    };
    assert!(cell(2, "faults").to_string().starts_with("Branch: "));
    assert!(book.worksheet_formula("schedule").unwrap().is_empty());
    let totals = book.worksheet_range("totals").unwrap();
    let net = totals
        .rows()
        .find(|row| row[0].get_string() == Some("net"))
        .unwrap();
    assert_eq!(net[1], Data::Float(price));
    // A workbook in which no sheet is a schedule says so, beside what the first one lacks.
    let mut other = Workbook::new();
    other.add_worksheet().write_string(0, 0, "Notes").unwrap();
    let refused = send(&shop, "", XLSX, other.save_to_buffer().unwrap()).await;
    let problem = read(refused, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(problem["errors"][0]["code"], "wrong_sheet");
    assert_eq!(problem["errors"][1]["code"], "missing");
    // The same sheet gives the same bytes, and the answer can be sent again.
    let again = send(&shop, "", XLSX, sent).await;
    assert_eq!(again.bytes().await.unwrap(), bytes);
    let again = send(&shop, "", XLSX, bytes.clone()).await;
    assert_eq!(again.bytes().await.unwrap(), bytes);
}

pub async fn a_blank_sheet_is_filled_in_as_its_example_shows(shop: Shop) {
    shop.set_up().await;
    assert_eq!(schedule().len(), 7);
    let blank = shop
        .request(Method::GET, "/v1/schedules/blank")
        .send()
        .await
        .unwrap();
    assert_eq!(blank.headers()["content-type"], XLSX);
    let bytes = blank.bytes().await.unwrap().to_vec();
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).unwrap();
    let example = book.worksheet_range("example").unwrap();
    let line = |row: usize| -> String {
        let cells = example.rows().nth(row).unwrap().iter().map(Data::to_string);
        cells.collect::<Vec<_>>().join(",")
    };
    let sheet = format!("{}\n{}\n", line(0), line(1));
    let text = send(&shop, "", "text/csv", sheet)
        .await
        .text()
        .await
        .unwrap();
    let rows = cells(&text, b',');
    assert_eq!(
        (&rows[0]["verdict"], &rows[0]["faults"]),
        (&json!("buildable"), &json!(""))
    );
    let heading = shop
        .request(Method::GET, "/v1/schedules/blank?format=csv")
        .send()
        .await
        .unwrap();
    assert_eq!(heading.text().await.unwrap().trim_end(), line(0));
}

async fn quote(shop: &Shop, query: &str, sheet: String) -> Response {
    send(shop, &format!("/quotes?{query}"), "text/csv", sheet).await
}

/// A schedule that can be built, with a second outlet group of H-1.
fn sound_rows() -> String {
    let rows = three_rows();
    let kept = rows.lines().filter(|line| !line.starts_with("X-9"));
    kept.map(|line| format!("{line}\r\n")).collect()
}

pub async fn a_sheet_becomes_a_quote_of_what_it_was_priced_at(shop: Shop) {
    shop.set_up().await;
    let priced = send(&shop, "?format=json", "text/csv", sound_rows()).await;
    let priced: Value = priced.json().await.unwrap();
    let asked = "customer=Quillmark%20Mechanical&project=Plant%20room&note=As%20agreed";
    let tried = quote(&shop, &format!("{asked}&validate_only=true"), sound_rows()).await;
    assert_eq!(tried.status(), StatusCode::OK);
    let made = quote(&shop, asked, sound_rows()).await;
    assert_eq!(made.status(), StatusCode::CREATED);
    let place = made.headers()["location"].to_str().unwrap().to_owned();
    let made: Value = made.json().await.unwrap();
    assert_eq!(
        place,
        format!("/v1/quotes/{}", made["number"].as_str().unwrap())
    );
    assert_eq!(made["net"], priced["net"]);
    assert_eq!(made["gross"], priced["gross"]);
    assert_eq!(made["customer"]["name"], "Quillmark Mechanical");
    assert_eq!(made["note"], "As agreed");
    assert_eq!(made["manifolds"].as_array().unwrap().len(), 1);
    // Another revision is made from what the sheet said.
    shop.make(made["number"].as_str().unwrap(), "issue", StatusCode::OK)
        .await;
    let again = shop.request(Method::POST, &format!("{place}/revisions"));
    let again: Value = again.send().await.unwrap().json().await.unwrap();
    assert_eq!(again["net"], made["net"]);
    let kept = json!({"name": "Harbour Heating"});
    let kept = shop.post("/v1/customers", &kept, StatusCode::CREATED).await;
    let id = kept["id"].as_str().unwrap();
    let known = quote(&shop, &format!("customer={id}&project=x"), sound_rows()).await;
    let known: Value = known.json().await.unwrap();
    assert_eq!(known["customer"]["name"], "Harbour Heating");
}

pub async fn a_sheet_with_faults_is_quoted_not_at_all(shop: Shop) {
    shop.set_up().await;
    let asked = "customer=Quillmark&project=Plant%20room";
    let faulty = quote(&shop, asked, three_rows()).await;
    assert_eq!(faulty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let told: Value = faulty.json().await.unwrap();
    let fault = &told["errors"][0];
    assert_eq!(
        (&fault["sheet_row"], &fault["column"]),
        (&json!(4), &json!("Branch"))
    );
    // A stop of the checks is told by the row and the column, too.
    let crowded = sound_rows().replace(",4,5,3,\"", ",4,1,3,\"");
    let crowded = quote(&shop, asked, crowded).await;
    assert_eq!(crowded.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let told: Value = crowded.json().await.unwrap();
    let errors = told["errors"].as_array().unwrap();
    assert!(!errors.is_empty());
    for fault in errors {
        assert_eq!(fault["code"], "not_buildable", "{fault}");
        assert_eq!(fault["sheet_row"], 2, "{fault}");
    }
    assert!(
        errors.iter().any(|fault| fault["column"] == "Branch"),
        "{told}"
    );
    let nobody = "customer=0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e&project=x";
    let nobody = quote(&shop, nobody, sound_rows()).await;
    let told: Value = nobody.json().await.unwrap();
    assert_eq!(told["errors"][0]["parameter"], "customer", "{told}");
    let unnamed = quote(&shop, "project=x", sound_rows()).await;
    assert_eq!(unnamed.status(), StatusCode::BAD_REQUEST);
    let all = shop.get("/v1/quotes").await;
    assert_eq!(all["items"], json!([]), "nothing was stored");
}

pub async fn one_job_is_quoted_once(shop: Shop) {
    shop.set_up().await;
    let presses: Vec<_> = (0..20)
        .map(|_| {
            let path = format!("{SCHEDULES}/quotes?customer=Quillmark&project=Plant%20room");
            let press = shop
                .request(Method::POST, &path)
                .header("content-type", "text/csv")
                .header("idempotency-key", "PEN-1%20rev%201")
                .body(sound_rows());
            tokio::spawn(async move { press.send().await.unwrap() })
        })
        .collect();
    let mut numbers = std::collections::BTreeSet::new();
    for press in presses {
        let answer = press.await.unwrap();
        match answer.status() {
            StatusCode::CREATED => {
                let made: Value = answer.json().await.unwrap();
                numbers.insert(made["number"].as_str().unwrap().to_owned());
            }
            status => {
                assert_eq!(status, StatusCode::CONFLICT);
                assert!(answer.headers().contains_key("retry-after"));
            }
        }
    }
    assert_eq!(numbers.len(), 1);
    let all = shop.get("/v1/quotes").await;
    assert_eq!(all["items"].as_array().unwrap().len(), 1);
}
