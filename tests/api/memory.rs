//! Keys and answers for retries, kept in memory: whole, but gone with the process.

use futures::future::{BoxFuture, ready};
use offtake::http::auth::{KeyHash, KeyRing, KnownKey, Scope};
use offtake::http::idempotency::{Claim, Fingerprint, ReplaySlot, ReplayStore, StoredAnswer};
use offtake::http::state::{Readiness, Unavailable};
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use uuid::Uuid;

/// A ring of keys.
#[derive(Default)]
pub struct Ring(Mutex<BTreeMap<KeyHash, KnownKey>>);

impl Ring {
    pub fn add(&self, key: &str, scopes: &[Scope]) {
        let mut ring = self.0.lock().unwrap();
        let id = Uuid::from_u128(ring.len() as u128 + 1);
        let known = KnownKey {
            id,
            label: key.to_owned(),
            scopes: scopes.to_vec(),
        };
        ring.insert(KeyHash::of(key), known);
    }
}

impl KeyRing for Ring {
    fn find<'a>(
        &'a self,
        hash: &'a KeyHash,
    ) -> BoxFuture<'a, Result<Option<KnownKey>, Unavailable>> {
        let found = self.0.lock().unwrap().get(hash).cloned();
        Box::pin(ready(Ok(found)))
    }
}

/// Answers for retries.
#[derive(Default)]
pub struct Replays(Mutex<BTreeMap<ReplaySlot, (Fingerprint, Option<StoredAnswer>)>>);

impl ReplayStore for Replays {
    fn claim<'a>(
        &'a self,
        slot: &'a ReplaySlot,
        fingerprint: &'a Fingerprint,
    ) -> BoxFuture<'a, Result<Claim, Unavailable>> {
        let mut slots = self.0.lock().unwrap();
        let claim = match slots.get(slot) {
            None => {
                slots.insert(slot.clone(), (*fingerprint, None));
                Claim::Fresh
            }
            Some((there, _)) if there != fingerprint => Claim::OtherRequest,
            Some((_, None)) => Claim::Running,
            Some((_, Some(answer))) => Claim::Done(answer.clone()),
        };
        Box::pin(ready(Ok(claim)))
    }

    fn finish<'a>(
        &'a self,
        slot: &'a ReplaySlot,
        answer: StoredAnswer,
    ) -> BoxFuture<'a, Result<(), Unavailable>> {
        if let Some(there) = self.0.lock().unwrap().get_mut(slot) {
            there.1 = Some(answer);
        }
        Box::pin(ready(Ok(())))
    }

    fn release<'a>(&'a self, slot: &'a ReplaySlot) -> BoxFuture<'a, Result<(), Unavailable>> {
        self.0.lock().unwrap().remove(slot);
        Box::pin(ready(Ok(())))
    }
}

/// Whether the service is ready.
pub struct Switch(pub AtomicBool);

impl Readiness for Switch {
    fn check(&self) -> BoxFuture<'_, Result<(), Unavailable>> {
        let answer = if self.0.load(Ordering::SeqCst) {
            Ok(())
        } else {
            Err(Unavailable("switched off".to_owned()))
        };
        Box::pin(ready(answer))
    }
}
