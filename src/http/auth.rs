//! Who is calling, and what their key may do.

mod presented;

pub use presented::KeyHash;

use super::problem::{Problem, Slug};
use super::state::{ApiState, Unavailable};
use crate::shop::audit::Actor;
use axum::extract::{self, FromRequestParts, Request};
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::Response;
use futures::future::BoxFuture;
use uuid::Uuid;

crate::wire_enum! {
    /// What a key may do.
    pub enum Scope {
        /// Look things up, check designs, lay them out.
        Check = "check",
        /// Estimate, quote, keep prices and jobs.
        Estimate = "estimate",
        /// Read totals for the books.
        Account = "account",
        /// Everything, and change the shop itself.
        Admin = "admin",
    }
}

/// A key that is known and good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownKey {
    /// Its id; never the key itself.
    pub id: Uuid,
    /// What its owner calls it.
    pub label: String,
    /// What it may do.
    pub scopes: Vec<Scope>,
}

/// Finds keys by what is stored of them.
pub trait KeyRing: Send + Sync {
    /// The good key with that hash. A revoked key is not good.
    fn find<'a>(
        &'a self,
        hash: &'a KeyHash,
    ) -> BoxFuture<'a, Result<Option<KnownKey>, Unavailable>>;
}

/// The owner of the key that a request carries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caller(KnownKey);

impl Caller {
    /// Id of the key.
    pub const fn key_id(&self) -> Uuid {
        self.0.id
    }

    /// What its owner calls it.
    pub fn label(&self) -> &str {
        &self.0.label
    }

    /// The caller as who acts.
    fn actor(&self) -> Actor {
        let scopes: Vec<&str> = self.0.scopes.iter().map(|scope| scope.as_str()).collect();
        Actor::Key {
            id: self.0.id,
            label: self.0.label.clone(),
            scopes: scopes.join(" "),
        }
    }

    /// Whether the key may do that. `admin` may do everything.
    pub fn may(&self, scope: Scope) -> bool {
        self.0.scopes.contains(&scope) || self.0.scopes.contains(&Scope::Admin)
    }

    /// Refuses a key that may do none of these.
    ///
    /// # Errors
    /// 403 that names the scopes.
    pub fn require(&self, any_of: &[Scope]) -> Result<(), Problem> {
        if any_of.iter().any(|scope| self.may(*scope)) {
            return Ok(());
        }
        let names: Vec<_> = any_of
            .iter()
            .map(|scope| format!("`{}`", scope.as_str()))
            .collect();
        let has: Vec<_> = self
            .0
            .scopes
            .iter()
            .map(|scope| format!("`{}`", scope.as_str()))
            .collect();
        Err(Problem::new(Slug::MissingScope).with_detail(format!(
            "This call needs a key with the scope {}; this one has {}.",
            names.join(" or "),
            if has.is_empty() {
                "none".to_owned()
            } else {
                has.join(", ")
            }
        )))
    }
}

/// Finds the caller once a request; the layer around `/v1` calls it first, extractors find it there.
impl FromRequestParts<ApiState> for Caller {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ApiState) -> Result<Self, Problem> {
        if let Some(caller) = parts.extensions.get::<Self>() {
            return Ok(caller.clone());
        }
        let hash = presented::key(&parts.headers)?;
        let known = state
            .ports()
            .keys
            .find(&hash)
            .await?
            .ok_or_else(|| Problem::new(Slug::InvalidKey))?;
        tracing::Span::current().record("key_id", tracing::field::display(known.id));
        let caller = Self(known);
        parts.extensions.insert(caller.clone());
        Ok(caller)
    }
}

/// The state as handlers behind the door take it: its use cases know who acts. They take this one in
/// place of axum's, so that whatever a handler changes is written down under its caller.
#[derive(Debug, Clone)]
pub struct State<S>(pub S);

impl FromRequestParts<ApiState> for State<ApiState> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &ApiState) -> Result<Self, Problem> {
        let caller = Caller::from_request_parts(parts, state).await?;
        Ok(Self(state.acting_as(caller.actor())))
    }
}

/// The layer that lets nobody without a good key in.
///
/// # Errors
/// 401 without one.
pub(super) async fn authenticate(
    extract::State(state): extract::State<ApiState>,
    request: Request,
    next: Next,
) -> Result<Response, Problem> {
    let (mut parts, body) = request.into_parts();
    let _caller = Caller::from_request_parts(&mut parts, &state).await?;
    Ok(next.run(Request::from_parts(parts, body)).await)
}

macro_rules! may {
    ($($name:ident: $doc:literal, $($scope:ident),+;)+) => {$(
        #[doc = $doc]
        #[derive(Debug, Clone)]
        pub struct $name(pub Caller);

        impl FromRequestParts<ApiState> for $name {
            type Rejection = Problem;
            async fn from_request_parts(parts: &mut Parts, state: &ApiState) -> Result<Self, Problem> {
                let caller = Caller::from_request_parts(parts, state).await?;
                caller.require(&[$(Scope::$scope),+])?;
                Ok(Self(caller))
            }
        }
    )+};
}

may! {
    MayCheck: "A caller who may check designs.", Check;
    MayEstimate: "A caller who may estimate and quote.", Estimate;
    MayAccount: "A caller who may read totals.", Account;
    MayAdmin: "A caller who may change the shop.", Admin;
    MayEstimateOrAccount: "A caller who may estimate or read totals.", Estimate, Account;
}
