//! Accounting fetches everything at the end of the month while the office goes on.

#![expect(
    clippy::disallowed_methods,
    reason = "what is put beside a running program bears the hour of that program"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::slice;

use jiff::Timestamp;
use offtake::store::quote_changes::{self, QuoteChange};
use offtake::store::quote_revisions::RevisionRow;
use offtake::store::quotes::{self, QuoteRow};
use offtake::store::{Db, Tx};
use reqwest::{Method, StatusCode};
use serde_json::Value;
use uuid::Uuid;

use crate::harness::{Shop, admin_key, read, serve};

/// Quotes that are there when the pull begins.
const QUOTES: usize = 1_000;
/// Items of a page.
const LIMIT: usize = 37;

/// A quote as the shop made it, and others like it put beside it: a thousand made by the program would
/// take minutes and say no more.
struct Books {
    db: Db,
    model: (QuoteRow, RevisionRow),
}

impl Books {
    async fn open(url: &str, number: &str) -> Self {
        let db = Db::connect(url).await.unwrap();
        let mut tx = db.read().await.unwrap();
        let model = quotes::get(&mut tx, number).await.unwrap().unwrap();
        drop(tx);
        Self { db, model }
    }

    fn number(place: usize) -> String {
        format!("Q-M-{place:05}")
    }

    async fn add(&self, places: std::ops::Range<usize>) {
        let mut tx = self.db.write().await.unwrap();
        for place in places {
            let (mut quote, mut revision) = self.model.clone();
            // Later ones have later ids, as the program gives them.
            quote.id = Uuid::from_u128(quote.id.as_u128() + 1 + place as u128);
            quote.number = Self::number(place);
            quote.version = 1;
            revision.quote_id = quote.id;
            revision.state = "draft".to_owned();
            revision.issued_on = None;
            quotes::insert(&mut tx, &quote, &revision).await.unwrap();
            self.log(&mut tx, &quote, "draft").await;
        }
        tx.commit().await.unwrap();
    }

    async fn change(&self, place: usize) {
        let mut tx = self.db.write().await.unwrap();
        let (quote, _) = quotes::get(&mut tx, &Self::number(place))
            .await
            .unwrap()
            .unwrap();
        self.log(&mut tx, &quote, "withdrawn").await;
        tx.commit().await.unwrap();
    }

    async fn log(&self, tx: &mut Tx, quote: &QuoteRow, state: &str) {
        let revision = &self.model.1;
        let change = QuoteChange {
            quote_id: quote.id,
            number: quote.number.clone(),
            revision: 1,
            state: state.to_owned(),
            customer: quote.customer.clone(),
            project: quote.project.clone(),
            currency: revision.currency.clone(),
            net: revision.net,
            tax: revision.tax,
            gross: revision.gross,
            issued_on: None,
            accepted_on: None,
            po_number: None,
            heads: revision.heads.clone(),
            taxes: Some("[]".to_owned()),
            at: Timestamp::now(),
        };
        quote_changes::append(tx, slice::from_ref(&change))
            .await
            .unwrap();
    }
}

/// A page, whose body and whose `Link` field name the same next one.
async fn page(shop: &Shop, path: &str) -> (Vec<Value>, Option<String>, Value) {
    let answer = shop.request(Method::GET, path).send().await.unwrap();
    let links: Vec<String> = answer
        .headers()
        .get_all("link")
        .iter()
        .map(|link| link.to_str().unwrap().to_owned())
        .collect();
    let page = read(answer, StatusCode::OK).await;
    let next = page["next"].as_str().map(str::to_owned);
    let linked = links
        .iter()
        .find_map(|link| link.strip_suffix(">; rel=\"next\"")?.strip_prefix('<'));
    assert_eq!(linked, next.as_deref(), "{links:?}");
    (page["items"].as_array().unwrap().clone(), next, page)
}

fn numbers(items: &[Value]) -> Vec<String> {
    let of = |item: &Value| item["number"].as_str().unwrap().to_owned();
    items.iter().map(of).collect()
}

/// Goes through a list page by page.
struct Pages<'a> {
    shop: &'a Shop,
    next: Option<String>,
    items: Vec<Value>,
    last: Value,
}

impl<'a> Pages<'a> {
    fn of(shop: &'a Shop, first: String) -> Self {
        Self {
            shop,
            next: Some(first),
            items: Vec::new(),
            last: Value::Null,
        }
    }

    /// Takes a page; whether there are more.
    async fn take(&mut self) -> bool {
        let path = self.next.take().unwrap();
        let (items, next, whole) = page(self.shop, &path).await;
        assert!(items.len() <= LIMIT);
        self.items.extend(items);
        (self.next, self.last) = (next, whole);
        self.next.is_some()
    }
}

async fn everything_comes_once(url: String) {
    let key = admin_key(&url);
    let (_running, base) = serve(&url);
    let shop = Shop::new(base, &key);
    shop.set_up().await;
    let first = shop.draft(1).await;
    let books = Books::open(&url, &first).await;
    books.add(0..QUOTES).await;
    let there: BTreeSet<String> = (0..QUOTES).map(Books::number).chain([first]).collect();

    // Between pages two quotes are added, and one that was or will be on a page is withdrawn.
    let (mut added, mut changed, mut count) = (QUOTES, BTreeSet::new(), 0);
    let begun = Timestamp::now();
    let mut pull = Pages::of(&shop, format!("/v1/quote-totals?limit={LIMIT}"));
    while pull.take().await {
        count += 1;
        books.add(added..added + 2).await;
        added += 2;
        let place = (count * 211) % QUOTES;
        books.change(place).await;
        changed.insert(Books::number(place));
    }
    let (pulled, last) = (pull.items, pull.last);
    let seen = numbers(&pulled);
    assert_eq!(seen.len(), there.len());
    assert_eq!(seen.into_iter().collect::<BTreeSet<_>>(), there);
    assert!(pulled.iter().all(|item| item["state"] == "draft"));

    // The next pull, by where that one ended or by the hour it began, is what happened meanwhile.
    let mut meanwhile: BTreeMap<String, &str> = (QUOTES..added)
        .map(|place| (Books::number(place), "draft"))
        .collect();
    meanwhile.extend(changed.iter().map(|number| (number.clone(), "withdrawn")));
    let resume = last["resume"].as_str().unwrap();
    for path in [
        format!("/v1/quote-totals?limit={LIMIT}&after={resume}"),
        format!("/v1/quote-totals?limit={LIMIT}&changed_since={begun}"),
    ] {
        let mut pull = Pages::of(&shop, path.clone());
        while pull.take().await {}
        let pulled = pull.items;
        let found: BTreeMap<String, &str> = pulled
            .iter()
            .map(|item| {
                (
                    item["number"].as_str().unwrap().to_owned(),
                    item["state"].as_str().unwrap(),
                )
            })
            .collect();
        assert_eq!(found.len(), pulled.len(), "one came twice: {path}");
        assert_eq!(found, meanwhile, "{path}");
    }

    // The list of quotes: none of those that were there is missing or comes twice.
    let already: BTreeSet<String> = there
        .iter()
        .cloned()
        .chain((QUOTES..added).map(Books::number))
        .collect();
    let mut list = Pages::of(&shop, format!("/v1/quotes?limit={LIMIT}"));
    while list.take().await {
        books.add(added..added + 1).await;
        added += 1;
    }
    let seen = numbers(&list.items);
    let distinct: BTreeSet<String> = seen.iter().cloned().collect();
    assert_eq!(distinct.len(), seen.len());
    assert!(distinct.is_superset(&already));
}

#[test]
fn a_thousand_quotes_come_once_each_on_sqlite() {
    crate::databases::on_sqlite(everything_comes_once);
}

#[test]
fn a_thousand_quotes_come_once_each_on_postgres() {
    crate::databases::on_postgres(everything_comes_once);
}
