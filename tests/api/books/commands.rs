//! The commands that keep the books: what they print where, and how they end.

use super::service::{Service, Shop, body};
use reqwest::{Method, StatusCode};

#[tokio::test]
async fn a_key_is_made_used_and_revoked() {
    let service = Service::start();
    let printed = service.shop.done(&[
        "keys",
        "create",
        "--scope",
        "estimate",
        "--scope",
        "check",
        "--label",
        "front office",
    ]);
    let key = printed.strip_suffix('\n').unwrap();
    // 32 random bytes are 43 characters of base64url (RFC 4648 section 5, without padding).
    assert!(key.starts_with("offtake_") && key.len() == 8 + 43, "{key}");
    let listed = service.shop.done(&["keys", "list"]);
    assert!(!listed.contains(key), "the key itself is shown once");
    let line = listed
        .lines()
        .find(|line| line.contains("front office"))
        .unwrap();
    let cells: Vec<&str> = line.split('\t').collect();
    assert_eq!((cells[2], cells[4]), ("check estimate", "in use"));
    let ask = async || {
        let request = service.request(Method::GET, "/v1/units", key);
        request.send().await.unwrap().status()
    };
    assert_eq!(ask().await, StatusCode::OK);
    assert!(
        service
            .shop
            .done(&["keys", "revoke", cells[0]])
            .contains(cells[0])
    );
    assert_eq!(ask().await, StatusCode::UNAUTHORIZED);
    let again = service.shop.run(&["keys", "revoke", cells[0]]);
    assert_eq!(again.status.code(), Some(1));
    assert!(again.stdout.is_empty());
    assert!(String::from_utf8_lossy(&again.stderr).contains("no key in use"));
    assert!(service.shop.done(&["keys", "list"]).contains("revoked 2"));
}

#[test]
fn wrong_use_ends_with_two_and_prints_no_result() {
    let shop = Shop::new();
    for wrong in [
        &["keys", "create", "--label", "x"][..],
        &["keys", "create", "--scope", "everything", "--label", "x"],
        &["keys", "create", "--scope", "check", "--label", " "],
        &[
            "keys",
            "create",
            "--scope",
            "check",
            "--label",
            "a\u{202e}b",
        ],
        &["keys", "create", "--scope", "check", "--label", "\u{200b}"],
        &["keys", "revoke", "seven"],
        &["backup"],
        &[
            "import",
            "prices",
            "x.csv",
            "--name",
            "x",
            "--supplier",
            "y",
            "--currency",
            "dollars",
            "--effective-on",
            "2026-01-01",
        ],
        &[
            "import",
            "prices",
            "x.csv",
            "--name",
            "x",
            "--supplier",
            "y",
            "--currency",
            "USD",
            "--effective-on",
            "11/12/2026",
        ],
    ] {
        let output = shop.run(wrong);
        assert_eq!(output.status.code(), Some(2), "{wrong:?}");
        assert!(
            output.stdout.is_empty() && !output.stderr.is_empty(),
            "{wrong:?}"
        );
    }
    assert!(!shop.path("shop.db").exists(), "nothing was begun");
}

#[test]
fn a_backup_is_a_whole_database_and_overwrites_nothing() {
    let shop = Shop::new();
    let copy = shop.path("copy.db");
    let file = copy.display().to_string();
    let nothing = shop.run(&["backup", &file]);
    assert_eq!(
        nothing.status.code(),
        Some(1),
        "there is nothing to back up"
    );
    assert!(!copy.exists());
    assert_eq!(shop.done(&["migrate"]), "the tables are up to date\n");
    shop.key("admin");
    shop.done(&["backup", &file]);
    let again = shop.run(&["backup", &file]);
    assert_eq!(again.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&again.stderr).contains("never overwrites"));
    let address = format!("sqlite://{file}");
    assert_eq!(
        shop.done(&["keys", "list", "--database", &address]),
        shop.done(&["keys", "list"])
    );
}

fn import<'a>(file: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec![
        "import",
        "prices",
        file,
        "--name",
        "Winter",
        "--supplier",
        "Harbour Metals",
    ];
    arguments.extend(["--currency", "USD", "--effective-on", "2026-01-01"]);
    arguments.extend(more);
    arguments
}

#[tokio::test]
async fn a_sheet_of_prices_is_imported_whole_or_not_at_all() {
    let service = Service::start();
    let bad = service.shop.write(
        "bad.csv",
        "code,kind,unit,price\ncap-2,fitting,each,1\ncap-2,fitting,each,x\nb88-q-2,tube,ft,1\n",
    );
    let refused = service.shop.run(&import(&bad, &[]));
    assert_eq!(refused.status.code(), Some(1));
    assert!(refused.stdout.is_empty());
    let told = String::from_utf8(refused.stderr).unwrap();
    for fault in [
        "row 3: `price`",
        "row 3: `code`",
        "row 4: `code`",
        "b88-k-2",
    ] {
        assert!(told.contains(fault), "{told}");
    }
    let lists = body(service.get("/v1/price-lists").await, StatusCode::OK).await;
    assert_eq!(lists["items"].as_array().unwrap().len(), 0);
    let good = service.shop.write(
        "good.csv",
        "code,kind,text,unit,price\nb88-l-2,tube,2 in L,ft,14.20\ncap-2,fitting,,each,6.10\n",
    );
    let draft = service.shop.done(&import(&good, &[]));
    assert!(draft.ends_with("\tdraft\t2 items\n"), "{draft}");
    let published = service.shop.done(&import(&good, &["--publish"]));
    let id = published.strip_suffix("\tpublished\t2 items\n").unwrap();
    let items = body(
        service.get(&format!("/v1/price-lists/{id}/items")).await,
        StatusCode::OK,
    )
    .await;
    assert_eq!(items["items"][0]["price"], "14.20");
    let empty = service.shop.write("empty.csv", "code,kind,unit,price\n");
    let refused = service.shop.run(&import(&empty, &["--publish"]));
    assert_eq!(refused.status.code(), Some(1));
    let lists = body(service.get("/v1/price-lists").await, StatusCode::OK).await;
    assert_eq!(
        lists["items"].as_array().unwrap().len(),
        2,
        "neither made nor published"
    );
}
