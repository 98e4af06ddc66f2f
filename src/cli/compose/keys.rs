//! Keys as they are stored.

use crate::app::App;
use crate::http::auth::{KeyHash, KeyRing, KnownKey, Scope};
use crate::http::state::Unavailable;
use crate::store::{StoreError, keys};
use futures::future::BoxFuture;

/// Looks keys up in the database.
pub struct StoredKeys(pub App);

impl KeyRing for StoredKeys {
    fn find<'a>(
        &'a self,
        hash: &'a KeyHash,
    ) -> BoxFuture<'a, Result<Option<KnownKey>, Unavailable>> {
        Box::pin(async move {
            let row = self
                .lookup(hash)
                .await
                .map_err(|error| Unavailable(error.to_string()))?;
            Ok(row.map(|row| KnownKey {
                id: row.id,
                label: row.label,
                scopes: row.scopes.split_whitespace().filter_map(scope).collect(),
            }))
        })
    }
}

impl StoredKeys {
    async fn lookup(&self, hash: &KeyHash) -> Result<Option<keys::KeyRow>, StoreError> {
        let mut tx = self.0.db().read().await?;
        keys::find_live_by_hash(&mut tx, &hash.to_hex()).await
    }
}

fn scope(word: &str) -> Option<Scope> {
    Scope::ALL
        .iter()
        .copied()
        .find(|scope| scope.as_str() == word)
}
