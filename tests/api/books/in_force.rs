//! Which prices and times an estimate of a day rests on.

use jiff::Timestamp;
use jiff::civil::{Date, date};
use offtake::app::labour_models::LabourContent;
use offtake::app::price_lists::NewPriceList;
use offtake::app::{App, AppError};
use offtake::shop::labour::{Operation, OperationTime, TimeSource};
use offtake::shop::money::Currency;
use offtake::shop::price_list::{ItemKind, PriceBreaks, PriceItem, PriceUnit};
use offtake::store::Db;
use offtake::trade::catalogue::Catalogue;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use uuid::Uuid;

/// A shop whose clock goes on by a second with each look.
async fn shop() -> App {
    let (ids, seconds) = (AtomicI64::new(1), AtomicI64::new(0));
    let app = App::new(
        Db::connect("sqlite::memory:").await.unwrap(),
        Catalogue::built_in().unwrap(),
        Arc::new(move || Timestamp::from_second(seconds.fetch_add(1, Ordering::SeqCst)).unwrap()),
        Arc::new(move || Uuid::from_u64_pair(0, ids.fetch_add(1, Ordering::SeqCst).unsigned_abs())),
        Arc::new(|| None),
    );
    app.db().migrate().await.unwrap();
    app
}

fn list(name: &str, currency: &str, effective_on: Date) -> NewPriceList {
    NewPriceList {
        name: name.to_owned(),
        supplier: "Harbour Metals".to_owned(),
        currency: Currency::new(currency).unwrap(),
        effective_on,
        items: vec![PriceItem {
            code: "cap-2".to_owned(),
            kind: ItemKind::Fitting,
            text: "cap".to_owned(),
            unit: PriceUnit::Each,
            price: "6.10".parse().unwrap(),
            breaks: PriceBreaks::default(),
        }],
    }
}

async fn prices(app: &App, on: Date, chosen: Option<Uuid>) -> Result<String, AppError> {
    let mut tx = app.db().read().await.unwrap();
    let dollars = Currency::new("USD").unwrap();
    let list = app
        .price_list_in_force(&mut tx, on, dollars, chosen)
        .await?;
    assert!(list.item("CAP-2").is_some());
    Ok(list.name)
}

#[tokio::test]
async fn the_published_list_that_took_effect_last_holds() {
    let app = shop().await;
    let (march, june) = (date(2026, 3, 1), date(2026, 6, 1));
    app.add_published_price_list(&list("spring", "USD", march), None)
        .await
        .unwrap();
    let summer = app
        .add_published_price_list(&list("summer", "USD", june), None)
        .await
        .unwrap();
    app.add_published_price_list(&list("euros", "EUR", june), None)
        .await
        .unwrap();
    let draft = app
        .add_price_list(&list("draft", "USD", june))
        .await
        .unwrap();
    assert_eq!(
        prices(&app, date(2026, 5, 31), None).await.unwrap(),
        "spring"
    );
    assert_eq!(prices(&app, june, None).await.unwrap(), "summer");
    assert_eq!(prices(&app, june, Some(draft.id)).await.unwrap(), "draft");
    let before = prices(&app, date(2026, 2, 28), None).await.unwrap_err();
    assert!(
        matches!(&before, AppError::NothingInForce(why) if why.contains("USD") && why.contains("2026-02-28"))
    );
    let nobody = prices(&app, june, Some(Uuid::max())).await.unwrap_err();
    assert!(matches!(nobody, AppError::NotFound { .. }));
    // Two of the same day, unless the second takes the place of the first.
    let second = list("summer, corrected", "USD", june);
    let refused = app.add_published_price_list(&second, None).await;
    assert!(matches!(refused, Err(AppError::Unprocessable { .. })));
    assert_eq!(prices(&app, june, None).await.unwrap(), "summer");
    app.add_published_price_list(&second, Some(summer.id))
        .await
        .unwrap();
    assert_eq!(prices(&app, june, None).await.unwrap(), "summer, corrected");
}

#[tokio::test]
async fn a_shop_without_times_has_an_empty_model() {
    let app = shop().await;
    let on = date(2026, 6, 1);
    let mut tx = app.db().read().await.unwrap();
    let none = app.labour_model_in_force(&mut tx, on, None).await.unwrap();
    assert_eq!((none.id.as_str(), none.times().count()), ("", 0));
    drop(tx);
    let time = OperationTime {
        operation: Operation::Braze,
        setup_minutes: "10".parse().unwrap(),
        minutes_each: "3.25".parse().unwrap(),
        minutes_per_driver: "2.5".parse().unwrap(),
        spread: None,
        source: TimeSource::Opinion,
    };
    let content = LabourContent {
        times: vec![time.clone()],
        ..LabourContent::default()
    };
    let draft = app.add_labour_model("bench", on, &content).await.unwrap();
    let mut tx = app.db().read().await.unwrap();
    let named = app
        .labour_model_in_force(&mut tx, on, Some(draft.id))
        .await
        .unwrap();
    assert_eq!(named.time(Operation::Braze), Some(&time));
    assert_eq!(
        app.labour_model_in_force(&mut tx, on, None)
            .await
            .unwrap()
            .id,
        ""
    );
    drop(tx);
    app.publish_labour_model(draft.id, draft.version, None)
        .await
        .unwrap();
    let mut tx = app.db().read().await.unwrap();
    let held = app.labour_model_in_force(&mut tx, on, None).await.unwrap();
    assert_eq!(held.id, draft.id.to_string());
    let early = app
        .labour_model_in_force(&mut tx, date(2026, 5, 31), None)
        .await
        .unwrap();
    assert_eq!(early.times().count(), 0);
}
