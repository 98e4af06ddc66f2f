//! Price lists and their items.

use offtake::store::price_items::{self, PriceItemRow};
use offtake::store::{Db, StoreError, Written, price_lists};

use crate::rows::{amount, at, day, id, price_list};
use crate::runner::raw;

on_both!(
    a_price_list_may_change_until_it_is_published,
    items_are_replaced_as_a_whole_and_sorted_by_bytes,
    a_code_that_comes_twice_is_a_conflict,
    a_price_that_is_no_number_is_named_as_unreadable,
    the_list_in_force_is_the_latest_published_in_the_currency,
    price_lists_page_in_the_order_they_were_added,
);

fn item(code: &str, price: &str) -> PriceItemRow {
    PriceItemRow {
        code: code.to_owned(),
        kind: "tube".to_owned(),
        text: "Tube 2\" type L, drawn".to_owned(),
        unit: "ft".to_owned(),
        price: amount(price),
        stick: Some("20 ft".to_owned()),
        breaks: Some("100: 1.00".to_owned()),
    }
}

async fn a_price_list_may_change_until_it_is_published(db: Db) {
    let mut tx = db.write().await.unwrap();
    price_lists::insert(&mut tx, &price_list(1, "2026-01-01"))
        .await
        .unwrap();
    assert_eq!(
        price_lists::get(&mut tx, id(1)).await.unwrap(),
        Some(price_list(1, "2026-01-01"))
    );
    assert_eq!(price_lists::get(&mut tx, id(2)).await.unwrap(), None);
    assert_eq!(
        price_lists::publish(&mut tx, id(2), 1, at(3))
            .await
            .unwrap(),
        Written::Missing
    );
    assert_eq!(
        price_lists::publish(&mut tx, id(1), 9, at(3))
            .await
            .unwrap(),
        Written::Stale
    );
    assert_eq!(
        price_lists::publish(&mut tx, id(1), 1, at(3))
            .await
            .unwrap(),
        Written::Done(2)
    );
    assert_eq!(
        price_lists::publish(&mut tx, id(1), 2, at(4))
            .await
            .unwrap(),
        Written::Fixed
    );
    let items = [item("b88-l-2", "9.99")];
    assert_eq!(
        price_items::replace(&mut tx, id(1), 2, &items)
            .await
            .unwrap(),
        Written::Fixed
    );
    assert_eq!(price_items::all(&mut tx, id(1)).await.unwrap(), []);

    let list = price_lists::get(&mut tx, id(1)).await.unwrap().unwrap();
    assert_eq!(
        (list.state.as_str(), list.published_at, list.version),
        ("published", Some(at(3)), 2)
    );
}

async fn items_are_replaced_as_a_whole_and_sorted_by_bytes(db: Db) {
    let mut tx = db.write().await.unwrap();
    price_lists::insert(&mut tx, &price_list(1, "2026-01-01"))
        .await
        .unwrap();
    price_lists::insert(&mut tx, &price_list(2, "2026-01-01"))
        .await
        .unwrap();
    let old = [item("z", "1"), item("same in both lists", "2")];
    assert_eq!(
        price_items::replace(&mut tx, id(2), 1, &old).await.unwrap(),
        Written::Done(2)
    );
    assert_eq!(
        price_items::replace(&mut tx, id(1), 1, &old).await.unwrap(),
        Written::Done(2)
    );

    // Longer than any binary float keeps, with a trailing zero that says how exact it is.
    let mut filler = item("b", "12345678901234567.8900");
    filler.stick = None;
    let new = [
        filler.clone(),
        item("a", "0"),
        item("B", "-1.5"),
        item("same in both lists", "3"),
    ];
    assert_eq!(
        price_items::replace(&mut tx, id(1), 1, &new).await.unwrap(),
        Written::Stale
    );
    assert_eq!(
        price_items::replace(&mut tx, id(3), 1, &new).await.unwrap(),
        Written::Missing
    );
    assert_eq!(
        price_items::replace(&mut tx, id(1), 2, &new).await.unwrap(),
        Written::Done(3)
    );
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    let found = price_items::all(&mut tx, id(1)).await.unwrap();
    assert_eq!(
        found,
        [
            item("B", "-1.5"),
            item("a", "0"),
            filler,
            item("same in both lists", "3")
        ]
    );
    assert_eq!(found[2].price.to_string(), "12345678901234567.8900");
    assert_eq!(
        price_items::all(&mut tx, id(2)).await.unwrap().len(),
        2,
        "the other list is as it was"
    );
}

async fn a_code_that_comes_twice_is_a_conflict(db: Db) {
    let mut tx = db.write().await.unwrap();
    price_lists::insert(&mut tx, &price_list(1, "2026-01-01"))
        .await
        .unwrap();
    tx.commit().await.unwrap();

    let mut tx = db.write().await.unwrap();
    let twice = [item("a", "1"), item("a", "2")];
    let error = price_items::replace(&mut tx, id(1), 1, &twice)
        .await
        .unwrap_err();
    assert!(matches!(error, StoreError::Conflict(_)), "{error:?}");
    drop(tx);

    let mut tx = db.read().await.unwrap();
    assert_eq!(price_items::all(&mut tx, id(1)).await.unwrap(), []);
    assert_eq!(
        price_lists::get(&mut tx, id(1))
            .await
            .unwrap()
            .unwrap()
            .version,
        1
    );
}

async fn a_price_that_is_no_number_is_named_as_unreadable(db: Db) {
    let mut tx = db.write().await.unwrap();
    price_lists::insert(&mut tx, &price_list(1, "2026-01-01"))
        .await
        .unwrap();
    let items = [item("a", "1")];
    assert_eq!(
        price_items::replace(&mut tx, id(1), 1, &items)
            .await
            .unwrap(),
        Written::Done(2)
    );
    assert_eq!(
        raw(&mut tx, "update price_items set price = 'dear'")
            .await
            .unwrap(),
        1
    );
    let error = price_items::all(&mut tx, id(1)).await.unwrap_err();
    let StoreError::Corrupt { what, .. } = &error else {
        panic!("{error:?}")
    };
    assert!(what.contains("price"), "{what}");
    assert_eq!(error.to_string().matches("price").count(), 1, "{error}");
}

async fn the_list_in_force_is_the_latest_published_in_the_currency(db: Db) {
    let mut tx = db.write().await.unwrap();
    for (n, effective_on, currency) in [
        (1, "2026-01-01", "USD"),
        (2, "2026-02-01", "EUR"),
        (3, "2026-03-01", "USD"),
        (4, "2026-04-01", "USD"),
    ] {
        let mut list = price_list(n, effective_on);
        list.currency = currency.to_owned();
        price_lists::insert(&mut tx, &list).await.unwrap();
        if n != 3 {
            assert_eq!(
                price_lists::publish(&mut tx, id(n), 1, at(5))
                    .await
                    .unwrap(),
                Written::Done(2)
            );
        }
    }
    for (on, currency, expected) in [
        ("2025-12-31", None, None),
        ("2026-01-01", None, Some(1)),
        ("2026-03-31", None, Some(2)),
        ("2026-03-31", Some("USD"), Some(1)),
        ("2026-03-31", Some("GBP"), None),
        ("2026-04-01", Some("USD"), Some(4)),
        ("2026-04-01", Some("EUR"), Some(2)),
    ] {
        let found = price_lists::in_force(&mut tx, day(on), currency)
            .await
            .unwrap();
        assert_eq!(
            found.map(|list| list.id),
            expected.map(id),
            "on {on} in {currency:?}"
        );
    }
}

async fn price_lists_page_in_the_order_they_were_added(db: Db) {
    let mut tx = db.write().await.unwrap();
    for n in [3, 1, 2] {
        price_lists::insert(&mut tx, &price_list(n, "2026-01-01"))
            .await
            .unwrap();
    }
    let first = price_lists::page(&mut tx, None, 2).await.unwrap();
    assert_eq!(
        first.iter().map(|list| list.id).collect::<Vec<_>>(),
        [id(1), id(2)]
    );
    let second = price_lists::page(&mut tx, Some(id(2)), 2).await.unwrap();
    assert_eq!(
        second.iter().map(|list| list.id).collect::<Vec<_>>(),
        [id(3)]
    );
}
