//! Who quotes go to.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::json;
use uuid::Uuid;

use super::audit::{Done, differences};
use super::drafts::settled;
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::shop::quote::Customer;
use crate::store::customers::{CustomerChange, CustomerRow};
use crate::store::{Tx, customers};

const KIND: &str = "customer";
const FORM: u32 = 1;

/// A customer that is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownCustomer {
    /// Its id.
    pub id: Uuid,
    /// Who it is.
    pub customer: Customer,
    /// Counted from 1 with each change.
    pub version: i64,
    /// When it was added.
    pub created_at: Timestamp,
    /// When it last changed.
    pub changed_at: Timestamp,
}

#[derive(Serialize)]
struct ToStore<'a> {
    form: u32,
    customer: &'a Customer,
}

#[derive(Deserialize)]
struct Stored {
    customer: Customer,
}

fn written(customer: &Customer) -> Result<String, AppError> {
    serde_json::to_string(&ToStore {
        form: FORM,
        customer,
    })
    .map_err(|source| AppError::Damaged { what: KIND, source })
}

fn known(row: CustomerRow) -> Result<KnownCustomer, AppError> {
    let stored: Stored = serde_json::from_str(&row.body)
        .map_err(|source| AppError::Damaged { what: KIND, source })?;
    Ok(KnownCustomer {
        id: row.id,
        customer: stored.customer,
        version: row.version,
        created_at: row.created_at,
        changed_at: row.changed_at,
    })
}

impl App {
    /// The customer of an id, within other work.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn customer(&self, tx: &mut Tx, id: Uuid) -> Result<KnownCustomer, AppError> {
        let row = customers::get(tx, id).await?;
        known(row.ok_or_else(|| AppError::not_found(KIND, id))?)
    }

    /// The customer of an id.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn find_customer(&self, id: Uuid) -> Result<KnownCustomer, AppError> {
        let mut tx = self.db().read().await?;
        self.customer(&mut tx, id).await
    }

    /// Up to `limit` customers in the order they were added, after the one of that id.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn customers(
        &self,
        after: Option<Uuid>,
        limit: u32,
    ) -> Result<Vec<KnownCustomer>, AppError> {
        let mut tx = self.db().read().await?;
        let rows = customers::page(&mut tx, after, i64::from(limit)).await?;
        rows.into_iter().map(known).collect()
    }

    /// Adds a customer.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn add_customer(&self, customer: Customer) -> Result<KnownCustomer, AppError> {
        let now = self.now();
        let row = CustomerRow {
            id: self.new_id(),
            name: customer.name.clone(),
            body: written(&customer)?,
            version: 1,
            created_at: now,
            changed_at: now,
        };
        let mut tx = self.db().write().await?;
        customers::insert(&mut tx, &row).await?;
        let done = Done::new(Deed::CustomerAdded, row.id).version(row.version);
        self.record(&mut tx, done.with(json!({"name": row.name})))
            .await?;
        tx.commit().await?;
        known(row)
    }

    /// Changes a customer that is at version `expected`. Quotes keep the customer as it was.
    ///
    /// # Errors
    /// [`AppError::NotFound`] or [`AppError::Stale`].
    pub async fn change_customer(
        &self,
        id: Uuid,
        expected: i64,
        customer: &Customer,
    ) -> Result<KnownCustomer, AppError> {
        let change = CustomerChange {
            expected,
            name: customer.name.clone(),
            body: written(customer)?,
            at: self.now(),
        };
        let mut tx = self.db().write().await?;
        let before = self.customer(&mut tx, id).await?.customer;
        settled(KIND, id, customers::update(&mut tx, id, &change).await?)?;
        let changed = self.customer(&mut tx, id).await?;
        // How people are reached is not kept for good: only that it changed.
        let places = differences(Some(&before), customer);
        let places: Vec<_> = places.iter().map(|change| &change["at"]).collect();
        let done = Done::new(Deed::CustomerChanged, id).version(changed.version);
        self.record(
            &mut tx,
            done.with(json!({"name": customer.name, "changed": places})),
        )
        .await?;
        tx.commit().await?;
        Ok(changed)
    }
}
