//! The settings of the shop. Every version is kept.

use serde::{Deserialize, Serialize};

use super::{App, AppError};
use crate::shop::money::Currency;
use crate::shop::settings::{Shop, Units};
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

impl App {
    /// The settings that hold now, and their version.
    ///
    /// # Errors
    /// [`AppError::NoShop`] when none were ever set.
    pub async fn shop(&self, tx: &mut Tx) -> Result<(Shop, i64), AppError> {
        let row = settings::current(tx).await?.ok_or(AppError::NoShop)?;
        let stored: Stored =
            serde_json::from_str(&row.body).map_err(|source| AppError::Damaged {
                what: "settings of the shop",
                source,
            })?;
        Ok((stored.shop, row.version))
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

    /// Sets the settings anew, after version `expected` (0 when none were ever set). Answers the new version.
    ///
    /// # Errors
    /// [`AppError::Stale`] when `expected` is not the current version.
    pub async fn set_shop(&self, shop: &Shop, expected: i64) -> Result<i64, AppError> {
        let body = serde_json::to_string(&ToStore { form: FORM, shop }).map_err(|source| {
            AppError::Damaged {
                what: "settings of the shop",
                source,
            }
        })?;
        let mut tx = self.db().write().await?;
        let written = settings::append(&mut tx, expected, &body, self.now()).await?;
        let Written::Done(version) = written else {
            return Err(AppError::Stale);
        };
        tx.commit().await?;
        Ok(version)
    }
}
