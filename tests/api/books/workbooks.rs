//! Price lists and times as XLSX workbooks.

use std::io::{Cursor, Read, Write};

use super::service::{Service, body, faults, version};
use calamine::{Data, Reader, Xlsx};
use reqwest::{Method, Response, StatusCode};
use rust_xlsxwriter::{Format, Formula, Workbook, Worksheet};
use serde_json::{Value, json};
use zip::write::SimpleFileOptions;

const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
const HEADING: [&str; 5] = ["code", "kind", "text", "unit", "price"];

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

async fn put(service: &Service, draft: &Draft, book: Vec<u8>) -> Response {
    service
        .request(Method::PUT, &draft.items, &service.admin)
        .header("if-match", &draft.version)
        .header("content-type", XLSX)
        .body(book)
        .send()
        .await
        .unwrap()
}

fn headed(sheet: &mut Worksheet) -> &mut Worksheet {
    sheet.write_row(0, 0, HEADING).unwrap();
    sheet
}

fn row(sheet: &mut Worksheet, row: u32, cells: [&str; 4], price: f64) {
    sheet.write_row(row, 0, cells).unwrap();
    sheet.write_number(row, 4, price).unwrap();
}

#[tokio::test]
async fn a_list_goes_out_and_in_as_a_workbook_with_text_as_text() {
    let service = Service::start();
    let first = draft(&service).await;
    let items = json!({"items": [
        {"code": "cap-2", "kind": "fitting", "text": "=1+1", "unit": "each", "price": "6.10"},
        {"code": "b88-l-2", "kind": "tube", "text": "2 in, drawn", "unit": "ft", "price": "14.2",
            "breaks": [{"from": "200", "price": "13.10"}]},
    ]});
    let stored = service
        .put(&first.items, Some(&first.version), &items)
        .await;
    assert_eq!(stored.status(), StatusCode::OK);
    let read = body(service.get(&first.items).await, StatusCode::OK).await;
    let sent = service.get(&format!("{}?format=xlsx", first.items)).await;
    assert_eq!(sent.headers()["content-type"], XLSX);
    let tag = version(&sent);
    let bytes = sent.bytes().await.unwrap().to_vec();
    let again = service.get(&format!("{}?format=xlsx", first.items)).await;
    assert_eq!(
        again.bytes().await.unwrap(),
        bytes,
        "the same list, the same bytes"
    );
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.clone())).unwrap();
    let cells = book.worksheet_range("prices").unwrap();
    // By code; a text that looks like a formula is a text, and a price is a number.
    assert_eq!(cells[(2, 2)], Data::String("=1+1".to_owned()));
    assert_eq!(cells[(2, 4)], Data::Float(6.1));
    assert!(book.worksheet_formula("prices").unwrap().is_empty());
    let back = put(
        &service,
        &Draft {
            items: first.items.clone(),
            version: tag,
        },
        bytes,
    )
    .await;
    assert_eq!(back.status(), StatusCode::OK);
    let now = body(service.get(&first.items).await, StatusCode::OK).await;
    let same = |value: &Value| value.to_string().replace("\"6.10\"", "\"6.1\"");
    assert_eq!(same(&now), same(&read));
}

/// Stands for the value of a formula that was never calculated.
const UNCALCULATED: &str = "777777";

/// The workbook without that value, as programs write it that do not calculate.
fn uncalculated(book: &[u8]) -> Vec<u8> {
    let mut parts = zip::ZipArchive::new(Cursor::new(book)).unwrap();
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for place in 0..parts.len() {
        let mut part = parts.by_index(place).unwrap();
        let (mut text, name) = (String::new(), part.name().unwrap().into_owned());
        part.read_to_string(&mut text).unwrap();
        archive
            .start_file(name, SimpleFileOptions::default())
            .unwrap();
        let text = text.replace(&format!("<v>{UNCALCULATED}</v>"), "");
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

#[tokio::test]
async fn every_fault_of_a_workbook_is_named_by_row_and_column() {
    let service = Service::start();
    let draft = draft(&service).await;
    let mut book = Workbook::new();
    let date = Format::new().set_num_format("yyyy-mm-dd");
    let sheet = headed(book.add_worksheet());
    row(sheet, 1, ["b88-l-2", "tube", "good", "ft"], 14.2);
    // What a spreadsheet makes of 3-4 typed as a price.
    row(sheet, 2, ["cap-2", "fitting", "a date", "each"], 1.0);
    sheet
        .write_number_with_format(2, 4, 46_115.0, &date)
        .unwrap();
    row(
        sheet,
        3,
        ["cap-1", "fitting", "never calculated", "each"],
        1.0,
    );
    let bare = Formula::new("=A1").set_result(UNCALCULATED);
    sheet.write_formula(3, 4, bare).unwrap();
    row(sheet, 4, ["cap-3", "fitting", "an error", "each"], 1.0);
    let broken = Formula::new("=1/0").set_result("#DIV/0!");
    sheet.write_formula(4, 4, broken).unwrap();
    row(sheet, 5, ["cap-1.5", "fitting", "calculated", "each"], 1.0);
    let sound = Formula::new("=2*1.6").set_result("3.2");
    sheet.write_formula(5, 4, sound).unwrap();
    row(sheet, 6, ["cap-2.5", "fiting", "wrong kind", "each"], -1.0);
    sheet
        .merge_range(8, 1, 9, 1, "fitting", &Format::new())
        .unwrap();
    sheet.set_row_hidden(10).unwrap();
    row(
        sheet,
        10,
        ["b88-l-9", "tube", "hidden, and no such tube", "ft"],
        1.0,
    );
    sheet.write_string(11, 6, "where no column is").unwrap();
    let book = uncalculated(&book.save_to_buffer().unwrap());
    let answer = put(&service, &draft, book).await;
    let problem = body(answer, StatusCode::UNPROCESSABLE_ENTITY).await;
    let found = faults(&problem);
    for expected in [
        "3 price a_date",
        "4 price formula_without_value",
        "5 price formula_error",
        "7 kind unknown_value",
        "7 price out_of_range",
        "9  merged_cells",
        "9 code missing",
        "11 code unknown_tube",
        "12  cell_without_column",
    ] {
        assert!(
            found.iter().any(|fault| fault == expected),
            "{expected}: {found:#?}"
        );
    }
    // A cell that could not be read is not missing on top of that.
    assert!(
        !found.iter().any(|fault| fault == "3 price missing"),
        "{found:#?}"
    );
    let told = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(told.contains("2026-04-03"), "{told}");
    let stored = body(service.get(&draft.items).await, StatusCode::OK).await;
    assert_eq!(stored["items"], json!([]));
}

#[tokio::test]
async fn the_sheet_that_names_the_columns_is_the_one_that_is_read() {
    let service = Service::start();
    let draft = draft(&service).await;
    let mut book = Workbook::new();
    book.add_worksheet().write_string(0, 0, "Notes").unwrap();
    let hidden = book.add_worksheet();
    row(
        headed(hidden),
        1,
        ["cap-9", "fitting", "hidden", "each"],
        1.0,
    );
    hidden.set_hidden(true);
    let shown = headed(book.add_worksheet());
    row(shown, 1, ["cap-2", "fitting", "shown", "each"], 1.25);
    let stored = put(&service, &draft, book.save_to_buffer().unwrap()).await;
    assert_eq!(stored.status(), StatusCode::OK);
    let now = body(service.get(&draft.items).await, StatusCode::OK).await;
    assert_eq!(now["items"][0]["text"], "shown");
    assert_eq!(now["items"][0]["price"], "1.25");
    let mut book = Workbook::new();
    book.add_worksheet().write_string(0, 0, "Notes").unwrap();
    let wrong = put(
        &service,
        &Draft {
            version: "*".to_owned(),
            ..draft
        },
        book.save_to_buffer().unwrap(),
    )
    .await;
    let problem = body(wrong, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert!(faults(&problem).contains(&"1  wrong_sheet".to_owned()));
}

/// A zip archive with one part of so many bytes of nothing.
fn bomb(megabytes: usize) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default();
    archive
        .start_file("xl/worksheets/sheet1.xml", options)
        .unwrap();
    let nothing = vec![b' '; 1 << 20];
    for _ in 0..megabytes {
        archive.write_all(&nothing).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

#[tokio::test]
async fn what_is_no_workbook_or_holds_too_much_is_refused_before_it_is_read() {
    let service = Service::start();
    let draft = draft(&service).await;
    let mut wide = Workbook::new();
    headed(wide.add_worksheet())
        .write_string(1, 16_000, "far out")
        .unwrap();
    let large = bomb(65);
    assert!(large.len() < 200_000, "{}", large.len());
    for (book, status, told) in [
        (
            b"code,kind\r\n".to_vec(),
            StatusCode::BAD_REQUEST,
            "zip archive",
        ),
        (bomb(1), StatusCode::BAD_REQUEST, "cannot be read"),
        (large, StatusCode::PAYLOAD_TOO_LARGE, "64 MiB"),
        (
            wide.save_to_buffer().unwrap(),
            StatusCode::PAYLOAD_TOO_LARGE,
            "256 columns",
        ),
        (
            Workbook::new().save_to_buffer().unwrap(),
            StatusCode::BAD_REQUEST,
            "no sheet",
        ),
    ] {
        let problem = body(put(&service, &draft, book).await, status).await;
        let detail = problem["detail"].as_str().unwrap();
        assert!(detail.contains(told), "{detail}");
    }
}

#[tokio::test]
async fn times_and_conditions_come_as_workbooks_too() {
    let service = Service::start();
    let blank = service.get("/v1/labour-models/blank?format=xlsx").await;
    let bytes = blank.bytes().await.unwrap().to_vec();
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).unwrap();
    let cells = book.worksheet_range("times").unwrap();
    assert_eq!(cells[(0, 0)], Data::String("operation".to_owned()));
    assert!(cells.height() > 15);
    let model = json!({"name": "Bench", "effective_on": "2026-01-01"});
    let made = service.post("/v1/labour-models", &model).await;
    let place = made.headers()["location"].to_str().unwrap().to_owned();
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet
        .write_row(0, 0, ["operation", "minutes_each", "source"])
        .unwrap();
    sheet.write_string(1, 0, "cut").unwrap();
    sheet.write_number(1, 1, 0.1 + 0.2).unwrap();
    sheet.write_string(1, 2, "opinion").unwrap();
    let times = Draft {
        items: format!("{place}/times"),
        version: version(&made),
    };
    let stored = put(&service, &times, book.save_to_buffer().unwrap()).await;
    assert_eq!(stored.status(), StatusCode::OK);
    let now = body(service.get(&times.items).await, StatusCode::OK).await;
    // As a spreadsheet shows it, not as a binary fraction is.
    assert_eq!(now["times"][0]["minutes_each"], "0.3");
}
