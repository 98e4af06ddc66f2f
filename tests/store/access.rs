//! API keys.

use offtake::store::{Db, StoreError, keys};

use crate::rows::{at, id, key};

on_both!(
    a_key_comes_back_as_it_went_in,
    a_revoked_key_is_no_longer_found,
    a_hash_is_there_once
);

async fn a_key_comes_back_as_it_went_in(db: Db) {
    let mut tx = db.write().await.unwrap();
    keys::insert(&mut tx, &key(2)).await.unwrap();
    keys::insert(&mut tx, &key(1)).await.unwrap();
    tx.commit().await.unwrap();

    let mut tx = db.read().await.unwrap();
    assert_eq!(
        keys::find_live_by_hash(&mut tx, &key(2).hash)
            .await
            .unwrap(),
        Some(key(2))
    );
    assert_eq!(
        keys::find_live_by_hash(&mut tx, "no such hash")
            .await
            .unwrap(),
        None
    );
    assert_eq!(keys::list(&mut tx).await.unwrap(), [key(1), key(2)]);
    assert_eq!(keys::count_live(&mut tx).await.unwrap(), 2);
}

async fn a_revoked_key_is_no_longer_found(db: Db) {
    let mut tx = db.write().await.unwrap();
    keys::insert(&mut tx, &key(1)).await.unwrap();
    assert!(keys::revoke(&mut tx, id(1), at(9)).await.unwrap());
    assert!(
        !keys::revoke(&mut tx, id(1), at(10)).await.unwrap(),
        "revoked before"
    );
    assert!(
        !keys::revoke(&mut tx, id(7), at(10)).await.unwrap(),
        "not there"
    );

    assert_eq!(
        keys::find_live_by_hash(&mut tx, &key(1).hash)
            .await
            .unwrap(),
        None
    );
    assert_eq!(keys::count_live(&mut tx).await.unwrap(), 0);
    let all = keys::list(&mut tx).await.unwrap();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].revoked_at, Some(at(9)), "the first time counts");
}

async fn a_hash_is_there_once(db: Db) {
    let mut tx = db.write().await.unwrap();
    keys::insert(&mut tx, &key(1)).await.unwrap();
    let mut twin = key(2);
    twin.hash = key(1).hash;
    let error = keys::insert(&mut tx, &twin).await.unwrap_err();
    assert!(matches!(error, StoreError::Conflict(_)), "{error:?}");
}
