//! Lists of quotes.

use offtake::store::quote_lists::{self, Order, Page, QuoteFilter};
use offtake::store::{Db, Written, quote_revisions, quotes};
use uuid::Uuid;

use crate::quotes::put;
use crate::rows::{day, draft, id, move_state, move_to, quote};

on_both!(
    quotes_page_both_ways,
    quotes_are_found_by_state_customer_and_project,
    quotes_are_found_by_text_day_and_amount,
    quotes_past_their_validity_are_due_to_expire,
);

async fn pages(db: &Db, order: Order) -> Vec<Uuid> {
    let mut tx = db.read().await.unwrap();
    let mut seen = Vec::new();
    loop {
        let page = Page {
            order,
            after: seen.last().copied(),
            limit: 2,
        };
        let found = quote_lists::page(&mut tx, &QuoteFilter::default(), page)
            .await
            .unwrap();
        assert!(found.len() <= 2);
        if found.is_empty() {
            return seen;
        }
        seen.extend(found.iter().map(|row| row.id));
    }
}

async fn quotes_page_both_ways(db: Db) {
    for n in [3, 1, 5, 2, 4] {
        put(&db, n).await;
    }
    assert_eq!(
        pages(&db, Order::OldestFirst).await,
        [1, 2, 3, 4, 5].map(id)
    );
    assert_eq!(
        pages(&db, Order::NewestFirst).await,
        [5, 4, 3, 2, 1].map(id)
    );
}

async fn quotes_are_found_by_state_customer_and_project(db: Db) {
    put(&db, 1).await;
    let mut tx = db.write().await.unwrap();
    let mut other = quote(2, "Q-2");
    other.customer = "Brook Heating 1000".to_owned();
    other.project = "MillxHouse \\ east".to_owned();
    quotes::insert(&mut tx, &other, &draft(2, 1)).await.unwrap();
    let moved = move_state(&mut tx, &move_to(id(2), "issued", 1))
        .await
        .unwrap();
    assert_eq!(moved, Some(2));
    // A second revision: the list shows the current one, once.
    assert_eq!(
        quote_revisions::insert(&mut tx, 2, &draft(2, 2))
            .await
            .unwrap(),
        Written::Done(3)
    );
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    let text = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    for (state, customer, project, expected) in [
        ("", "", "", vec![1, 2]),
        ("draft", "", "", vec![1, 2]),
        ("issued", "", "", vec![]),
        ("", "ÄRGER", "", vec![1]),
        ("", "söHNE", "", vec![1]),
        ("", "heating", "", vec![2]),
        ("", "100%", "", vec![1]),
        ("", "nobody", "", vec![]),
        ("", "", "mill_house", vec![1]),
        ("", "", "mill", vec![1, 2]),
        ("", "", "\\ EAST", vec![2]),
        ("draft", "heiz", "house", vec![1]),
    ] {
        let filter = QuoteFilter {
            state: text(state),
            customer: text(customer),
            project: text(project),
            ..QuoteFilter::default()
        };
        let page = Page {
            limit: 10,
            ..Page::default()
        };
        let found = quote_lists::page(&mut tx, &filter, page).await.unwrap();
        let ids: Vec<_> = found.iter().map(|row| row.id).collect();
        assert_eq!(
            ids,
            expected.into_iter().map(id).collect::<Vec<_>>(),
            "{filter:?}"
        );
    }
    let page = Page {
        order: Order::NewestFirst,
        after: None,
        limit: 1,
    };
    let newest = quote_lists::page(&mut tx, &QuoteFilter::default(), page)
        .await
        .unwrap()
        .remove(0);
    assert_eq!(
        (newest.number.as_str(), newest.revision, newest.version),
        ("Q-2", 2, 3)
    );
    assert_eq!(
        (newest.net, newest.tax, newest.gross),
        (draft(2, 2).net, draft(2, 2).tax, draft(2, 2).gross)
    );
}

async fn quotes_past_their_validity_are_due_to_expire(db: Db) {
    for (n, state, valid_until) in [
        (1, "issued", "2026-05-31"),
        (2, "issued", "2026-05-30"),
        (3, "accepted", "2026-01-01"),
        (4, "issued", "2026-06-01"),
    ] {
        put(&db, n).await;
        let mut tx = db.write().await.unwrap();
        let mut to = move_to(id(n), state, 1);
        to.valid_until = Some(day(valid_until));
        assert_eq!(move_state(&mut tx, &to).await.unwrap(), Some(2));
        tx.commit().await.unwrap();
    }
    put(&db, 5).await;
    let mut tx = db.read().await.unwrap();
    let due = quote_lists::due_to_expire(&mut tx, day("2026-06-01"), 10)
        .await
        .unwrap();
    assert_eq!(
        due.iter().map(|row| row.id).collect::<Vec<_>>(),
        [id(2), id(1)]
    );
    assert_eq!(
        (due[0].revision, due[0].version, due[0].valid_until),
        (1, 2, Some(day("2026-05-30")))
    );
    assert_eq!(
        quote_lists::due_to_expire(&mut tx, day("2026-06-01"), 1)
            .await
            .unwrap()
            .len(),
        1
    );
}

async fn quotes_are_found_by_text_day_and_amount(db: Db) {
    for (n, gross) in [(1, "9.50"), (2, "100.00"), (3, "1000.00")] {
        let mut tx = db.write().await.unwrap();
        let mut first = draft(n, 1);
        first.gross = gross.parse().unwrap();
        let mut made = quote(n, &format!("Q-{n}"));
        made.project = format!("House {n}");
        quotes::insert(&mut tx, &made, &first).await.unwrap();
        let mut issued = move_to(id(n), "issued", 1);
        issued.issued_on = Some(day(&format!("2026-05-0{n}")));
        issued.po_number = Some(format!("PO_{n}"));
        let moved = move_state(&mut tx, &issued).await;
        assert_eq!(moved.unwrap(), Some(2));
        tx.commit().await.unwrap();
    }
    let mut tx = db.read().await.unwrap();
    let on = |text: &str| Some(day(text));
    let sum = |text: &str| Some(text.parse().unwrap());
    let filters = [
        // Amounts are numbers: as texts, 9.50 would be more than 100.00.
        ((None, None), (sum("10"), None), None, vec![2, 3]),
        ((None, None), (None, sum("100")), None, vec![1, 2]),
        ((on("2026-05-02"), None), (None, None), None, vec![2, 3]),
        ((None, on("2026-05-02")), (sum("50"), None), None, vec![2]),
        ((None, None), (None, None), Some("po_3"), vec![3]),
        ((None, None), (None, None), Some("hOUse 1"), vec![1]),
        ((None, None), (None, None), Some("q-2"), vec![2]),
        ((None, None), (None, None), Some("poX3"), vec![]),
    ];
    for (issued, gross, text, expected) in filters {
        let filter = QuoteFilter {
            issued,
            gross,
            text: text.map(str::to_owned),
            ..QuoteFilter::default()
        };
        let page = Page {
            limit: 10,
            ..Page::default()
        };
        let found = quote_lists::page(&mut tx, &filter, page).await.unwrap();
        let ids: Vec<_> = found.iter().map(|row| row.id).collect();
        assert_eq!(
            ids,
            expected.into_iter().map(id).collect::<Vec<_>>(),
            "{filter:?}"
        );
    }
}
