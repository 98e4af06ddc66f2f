//! The reader as a whole: one body, every fault.

use super::{At, Each, Faults, FromWire, LengthIn, List, Text, Whole, from_json};
use jiff::civil::Date;
use rust_decimal::Decimal;
use serde_json::{Value, json};
use uuid::Uuid;

crate::wire_enum! {
    /// Temper of a tube.
    pub enum TemperIn {
        /// Hard.
        Drawn = "drawn",
        /// Soft.
        Annealed = "annealed",
    }
}

crate::wire_struct! {
    /// A row of outlets.
    pub struct RowIn {
        /// Distance between outlets.
        #[example = "5 in"]
        pitch: LengthIn,
        /// How many.
        count: Option<Whole<1, 200>>,
    }
}

crate::wire_struct! {
    /// An order.
    #[example = {"mark": "H-1", "temper": "drawn", "rows": [{"pitch": "5 in"}]}]
    pub struct OrderIn {
        /// Its mark.
        mark: Text<20>,
        /// Its temper.
        temper: TemperIn,
        /// Its rows.
        rows: List<RowIn, 3>,
        /// When it is wanted.
        wanted_on: Option<Date>,
        /// A price.
        price: Option<Decimal>,
        /// Whose it is.
        customer: Option<Uuid>,
        /// Whether it may wait.
        r#final: Option<bool>,
    }
}

fn faults_of(body: &Value) -> Vec<(String, String)> {
    let mut faults = Faults::new();
    let read = OrderIn::read(body, &At::BODY, &mut faults);
    assert!(read.is_none() || !faults.is_empty());
    let list = faults.as_slice().iter();
    list.map(|fault| {
        (
            fault.pointer.clone().unwrap_or_default(),
            fault.code.to_string(),
        )
    })
    .collect()
}

#[test]
fn one_body_with_seven_faults_gives_seven_entries() {
    let body = json!({
        "mark": "", "temper": "anealed", "colour": "red",
        "rows": [{"pitch": 5}, {"pitch": "5 in", "count": 0}, {}],
        "wanted_on": "11/12/2026"
    });
    let expected = [
        ("/colour", "unknown_field"),
        ("/mark", "too_short"),
        ("/temper", "unknown_value"),
        ("/rows/0/pitch", "unit_missing"),
        ("/rows/1/count", "out_of_range"),
        ("/rows/2/pitch", "missing"),
        ("/wanted_on", "not_a_date"),
    ];
    let expected = expected.map(|(pointer, code)| (pointer.to_owned(), code.to_owned()));
    assert_eq!(faults_of(&body), expected);
}

#[test]
fn faults_say_what_was_given_and_what_to_do() {
    for (field, value, part) in [
        ("wanted_on", json!("11/12/2026"), "YYYY-MM-DD"),
        ("wanted_on", json!("2026-02-30"), "a date of the calendar"),
        ("temper", json!("anealed"), "did you mean \"annealed\"?"),
        ("price", json!("1,234.50"), "without thousands separators"),
        ("price", json!("NaN"), "a decimal number"),
        ("price", json!("1e5"), "a decimal number"),
        ("price", json!("12345678901234567890123456789"), "29 digits"),
        (
            "price",
            json!(0.123_456_789_012_345_67),
            "send it as a text",
        ),
        ("customer", json!("42"), "an id such as"),
        ("final", json!("yes"), "true or false"),
        ("mark", json!("a\u{7}b"), "U+0007, a control character"),
        ("mark", json!("a\u{fffe}b"), "U+FFFE, which stands for no"),
        ("mark", json!("a\u{ffff}b"), "U+FFFF, which stands for no"),
        ("mark", json!("H-\u{202e}1"), "U+202E, which turns"),
        ("mark", json!("H-\u{2066}1"), "U+2066, which turns"),
        (
            "mark",
            json!(" \u{200b}\u{200d}\u{2060}\u{feff}"),
            "is empty",
        ),
        ("mark", json!("x".repeat(21)), "at most 20"),
        ("rows", json!([]), "give 1 to 3"),
        (
            "rows",
            json!(vec![json!({"pitch": "1 in"}); 4]),
            "has 4 items",
        ),
        ("rows", json!("x"), "a list of 1 to 3 items"),
        ("rows", json!([7]), "item 1 of `rows` is the number 7"),
        ("marc", json!("H-1"), "did you mean `mark`?"),
    ] {
        let mut body = json!({"mark": "H-1", "temper": "drawn", "rows": [{"pitch": "5 in"}]});
        body[field] = value;
        let mut faults = Faults::new();
        OrderIn::read(&body, &At::BODY, &mut faults);
        let [fault] = faults.as_slice() else {
            panic!("{field}: {faults:?}");
        };
        assert!(fault.detail.contains(part), "{field}: {}", fault.detail);
    }
}

#[test]
fn a_good_body_reads_whole_and_null_is_absent() {
    let text = br#"{"mark":"H-1","temper":"annealed","rows":[{"pitch":"4 1/2 in","count":6.0}],
        "wanted_on":"2026-12-11","price":1234.50,"final":true,"customer":null}"#;
    let order: OrderIn = from_json(text).unwrap();
    assert_eq!(order.temper, TemperIn::Annealed);
    assert_eq!(order.rows.as_slice()[0].count.map(Whole::get), Some(6));
    assert!((order.rows.as_slice()[0].pitch.get().in_inches() - 4.5).abs() < 1e-12);
    assert_eq!(order.price.unwrap().to_string(), "1234.5");
    assert_eq!(order.wanted_on.unwrap().to_string(), "2026-12-11");
    assert_eq!((order.r#final, order.customer), (Some(true), None));
    let again = serde_json::to_vec(&order).unwrap();
    assert!(
        from_json::<OrderIn>(&again).is_ok(),
        "what is echoed can be sent again"
    );
}

#[test]
fn the_schema_says_what_the_reader_does() {
    let schema = serde_json::to_value(<OrderIn as utoipa::PartialSchema>::schema()).unwrap();
    assert_eq!(schema["additionalProperties"], json!(false));
    assert_eq!(schema["required"], json!(["mark", "temper", "rows"]));
    assert_eq!(schema["description"], json!("An order."));
    assert_eq!(schema["examples"][0]["mark"], json!("H-1"));
    assert_eq!(schema["properties"]["mark"]["maxLength"], json!(20));
    assert_eq!(
        schema["properties"]["mark"]["description"],
        json!("Its mark.")
    );
    assert_eq!(
        schema["properties"]["final"]["type"],
        json!(["boolean", "null"])
    );
    assert_eq!(schema["properties"]["rows"]["maxItems"], json!(3));
    assert_eq!(
        schema["properties"]["rows"]["items"]["$ref"],
        json!("#/components/schemas/RowIn")
    );
    let mut components = Vec::new();
    <OrderIn as utoipa::ToSchema>::schemas(&mut components);
    let names: Vec<_> = components.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["TemperIn", "RowIn", "LengthIn"]);
}

#[test]
fn what_is_not_json_names_line_and_column() {
    let problem = from_json::<OrderIn>(b"{\n  \"mark\": NaN\n}")
        .unwrap_err()
        .body();
    assert_eq!(
        (problem.status, problem.kind.as_str()),
        (400, "/problems/malformed-body")
    );
    assert!(
        problem.detail.contains("line 2 column"),
        "{}",
        problem.detail
    );
    for text in [&b""[..], b"  ", b"\xff{}", b"{\"a\":1e999}", b"{} {}"] {
        assert_eq!(from_json::<OrderIn>(text).unwrap_err().body().status, 400);
    }
}

#[test]
fn a_byte_order_mark_and_a_name_given_twice() {
    let good =
        b"\xEF\xBB\xBF{\"mark\":\"H-1\",\"temper\":\"drawn\",\"rows\":[{\"pitch\":\"5 in\"}]}";
    assert!(from_json::<OrderIn>(good).is_ok());
    let twice =
        b"{\"mark\":\"H-1\",\"mark\":\"H-2\",\"temper\":\"drawn\",\"rows\":[{\"pitch\":\"5 in\"}]}";
    let problem = from_json::<OrderIn>(twice).unwrap_err().body();
    assert_eq!(problem.errors.unwrap()[0].code, "duplicate_field");
}

crate::wire_struct! {
    /// A cap has nothing to say.
    pub struct CapIn {}
}

crate::wire_struct! {
    /// A plain end.
    pub struct PlainIn {
        /// How far it stands out.
        beyond: LengthIn,
    }
}

crate::wire_union! {
    /// How an end is made.
    pub enum EndIn by "kind" {
        /// Closed with a cap.
        Cap(CapIn) = "cap",
        /// Left plain.
        Plain(PlainIn) = "plain",
    }
}

#[test]
fn a_choice_of_shapes_is_told_by_its_kind() {
    let read = |value: Value| {
        let mut faults = Faults::new();
        let read = EndIn::read(&value, &At::BODY.field("end"), &mut faults);
        let codes = faults.as_slice().iter();
        let codes: Vec<_> = codes
            .map(|fault| (fault.pointer.clone().unwrap(), fault.code.to_string()))
            .collect();
        (read, codes)
    };
    let fault = |pointer: &str, code: &str| vec![(pointer.to_owned(), code.to_owned())];
    let (cap, none) = read(json!({"kind": "cap"}));
    assert!(matches!(cap, Some(EndIn::Cap(_))) && none.is_empty());
    let plain = json!({"kind": "plain", "beyond": "4 in"});
    let (Some(end), _) = read(plain.clone()) else {
        panic!("it reads");
    };
    assert_eq!(serde_json::to_value(&end).unwrap(), plain);
    assert_eq!(
        read(json!({"kind": "cap", "beyond": "4 in"})).1,
        fault("/end/beyond", "unknown_field")
    );
    assert_eq!(
        read(json!({"kind": "plain"})).1,
        fault("/end/beyond", "missing")
    );
    assert_eq!(
        read(json!({"kind": "plan"})).1,
        fault("/end/kind", "unknown_value")
    );
    assert_eq!(read(json!({})).1, fault("/end/kind", "missing"));
    assert_eq!(read(json!("cap")).1, fault("/end", "wrong_type"));
}

#[test]
fn the_schema_of_a_choice_has_a_component_for_each_shape() {
    let mut components = Vec::new();
    EndIn::components(&mut components);
    let names: Vec<_> = components.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["EndIn", "EndInCap", "EndInPlain", "LengthIn"]);
    let choice = serde_json::to_value(&components[0].1).unwrap();
    assert_eq!(
        choice["discriminator"]["mapping"]["cap"],
        "#/components/schemas/EndInCap"
    );
    let plain = serde_json::to_value(&components[2].1).unwrap();
    assert_eq!(plain["required"], json!(["kind", "beyond"]));
    assert_eq!(plain["properties"]["kind"]["enum"], json!(["plain"]));
}

#[test]
fn a_bad_item_does_not_spoil_its_neighbours() {
    let mut faults = Faults::new();
    let rows = json!([{"pitch": "5 in"}, {"pitch": 5, "x": 1}, {"pitch": "6 in"}]);
    let at = At::BODY.field("rows");
    let rows = Each::<RowIn, 3>::read(&rows, &at, &mut faults).unwrap();
    assert!(faults.is_empty());
    let rows = rows.as_slice();
    assert!(rows[0].is_ok() && rows[2].is_ok());
    let pointers: Vec<_> = rows[1]
        .as_ref()
        .unwrap_err()
        .as_slice()
        .iter()
        .map(|f| f.pointer.clone().unwrap())
        .collect();
    assert_eq!(pointers, ["/rows/1/x", "/rows/1/pitch"]);
    assert!(Each::<RowIn, 3>::read(&json!([1, 2, 3, 4]), &at, &mut faults).is_none());
    assert_eq!(faults.as_slice()[0].code, "too_many");
}
