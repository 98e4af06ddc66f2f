//! The settings of the shop. Every version is kept.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::audit::{Done, differences};
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::shop::money::Currency;
use crate::shop::settings::{Shop, Units};
use crate::store::settings::SettingsRow;
use crate::store::{Tx, Written, settings};

/// Version of the stored form.
const FORM: u32 = 1;

#[derive(Serialize)]
struct ToStore<'a> {
    form: u32,
    shop: &'a Shop,
}

#[derive(Deserialize)]
struct Stored {
    shop: Shop,
}

/// The settings as they were from some moment on.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopVersion {
    /// Counted from 1 with each change.
    pub version: i64,
    /// When they were set.
    pub changed_at: Timestamp,
    /// The settings.
    pub shop: Shop,
}

fn read(row: &SettingsRow) -> Result<Shop, AppError> {
    let stored: Stored = serde_json::from_str(&row.body).map_err(|source| AppError::Damaged {
        what: "settings of the shop",
        source,
    })?;
    Ok(stored.shop)
}

impl App {
    /// The settings that hold now, and their version.
    ///
    /// # Errors
    /// [`AppError::NoShop`] when none were ever set.
    pub async fn shop(&self, tx: &mut Tx) -> Result<(Shop, i64), AppError> {
        let row = settings::current(tx).await?.ok_or(AppError::NoShop)?;
        Ok((read(&row)?, row.version))
    }

    /// Up to `limit` versions of the settings, newest first, of those before `before`.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn shop_history(
        &self,
        before: Option<i64>,
        limit: u32,
    ) -> Result<Vec<ShopVersion>, AppError> {
        let mut tx = self.db().read().await?;
        let rows = settings::history(&mut tx, before, i64::from(limit)).await?;
        let versions = rows.iter().map(|row| {
            Ok(ShopVersion {
                version: row.version,
                changed_at: row.changed_at,
                shop: read(row)?,
            })
        });
        versions.collect()
    }

    /// The settings that hold now and their version, outside any other work.
    ///
    /// # Errors
    /// [`AppError::NoShop`] when none were ever set.
    pub async fn current_shop(&self) -> Result<(Shop, i64), AppError> {
        let mut tx = self.db().read().await?;
        self.shop(&mut tx).await
    }

    /// The units of answers that name none; imperial while there are no settings.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn usual_units(&self) -> Result<Units, AppError> {
        match self.current_shop().await {
            Ok((shop, _)) => Ok(shop.units),
            Err(AppError::NoShop) => Ok(Units::default()),
            Err(error) => Err(error),
        }
    }

    /// The shop's currency; `None` while there are no settings.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn usual_currency(&self) -> Result<Option<Currency>, AppError> {
        match self.current_shop().await {
            Ok((shop, _)) => Ok(Some(shop.currency)),
            Err(AppError::NoShop) => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Sets the settings anew, after version `expected` (0 when none were ever set); logo and templates stay. Answers
    /// the new version.
    ///
    /// # Errors
    /// [`AppError::Stale`] when `expected` is not the current version.
    pub async fn set_shop(&self, shop: &Shop, expected: i64) -> Result<i64, AppError> {
        let mut tx = self.db().write().await?;
        let before = settings::current(&mut tx).await?;
        let before = before.as_ref().map(read).transpose()?;
        let shop = Shop {
            own: before
                .as_ref()
                .map(|before| before.own.clone())
                .unwrap_or_default(),
            ..shop.clone()
        };
        let version = self.append_shop(&mut tx, &shop, expected).await?;
        let changed = differences(before.as_ref(), &shop);
        let done = Done::new(Deed::ShopSet, "shop").version(version);
        self.record(&mut tx, done.with(json!({"changed": changed})))
            .await?;
        tx.commit().await?;
        Ok(version)
    }

    /// Adds a version of the settings after `expected`.
    pub(super) async fn append_shop(
        &self,
        tx: &mut Tx,
        shop: &Shop,
        expected: i64,
    ) -> Result<i64, AppError> {
        let body = serde_json::to_string(&ToStore { form: FORM, shop }).map_err(|source| {
            AppError::Damaged {
                what: "settings of the shop",
                source,
            }
        })?;
        match settings::append(tx, expected, &body, self.now()).await? {
            Written::Done(version) => Ok(version),
            _ => Err(AppError::Stale),
        }
    }
}
