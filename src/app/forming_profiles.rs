//! Forming profiles: what the shop's equipment can draw. Every version is kept.

mod stored;

use jiff::Timestamp;
use serde_json::json;

use super::audit::{Done, content};
use super::drafts::damaged;
use super::{App, AppError};
use crate::shop::audit::Deed;
use crate::store::forming_profiles::{self, FormingProfileRow};
use crate::store::{Tx, Written};
use crate::trade::forming::{BUILT_IN, FormingProfile};

pub use stored::frozen_text;

const KIND: &str = "forming profile";

/// Id of the profile that holds where none is named.
pub const SHOP: &str = "shop";

/// A profile with when it was made.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownProfile {
    /// The profile.
    pub profile: FormingProfile,
    /// When this version was made; the built-in one was always there.
    pub changed_at: Option<Timestamp>,
}

impl KnownProfile {
    fn built_in() -> Self {
        Self {
            profile: FormingProfile::built_in(),
            changed_at: None,
        }
    }
}

fn known(row: FormingProfileRow) -> Result<KnownProfile, AppError> {
    let changed_at = Some(row.changed_at);
    Ok(KnownProfile {
        profile: stored::read(row)?,
        changed_at,
    })
}

impl App {
    /// The profile of a name; the shop's own when none is named, else the built-in one.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn forming_profile(
        &self,
        tx: &mut Tx,
        id: Option<&str>,
        version: Option<i64>,
    ) -> Result<KnownProfile, AppError> {
        let wanted = id.unwrap_or(SHOP);
        if wanted == BUILT_IN {
            let built_in = KnownProfile::built_in();
            return match version {
                Some(version) if version != built_in.profile.version => Err(AppError::not_found(
                    KIND,
                    format!("{wanted}, version {version}"),
                )),
                _ => Ok(built_in),
            };
        }
        match (forming_profiles::get(tx, wanted, version).await?, id) {
            (Some(row), _) => known(row),
            (None, None) => Ok(KnownProfile::built_in()),
            (None, Some(id)) => Err(AppError::not_found(
                KIND,
                version.map_or_else(
                    || id.to_owned(),
                    |version| format!("{id}, version {version}"),
                ),
            )),
        }
    }

    /// The profile of an id, outside any other work.
    ///
    /// # Errors
    /// [`AppError::NotFound`].
    pub async fn find_forming_profile(
        &self,
        id: &str,
        version: Option<i64>,
    ) -> Result<KnownProfile, AppError> {
        let mut tx = self.db().read().await?;
        self.forming_profile(&mut tx, Some(id), version).await
    }

    /// The newest version of up to `limit` profiles, by id, after the one of id `after`: the built-in
    /// one comes first.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn forming_profiles(
        &self,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<KnownProfile>, AppError> {
        let mut tx = self.db().read().await?;
        // No stored id is the built-in one's, so that it can stand before them all.
        let first = after.is_none();
        let after = after.filter(|after| *after != BUILT_IN);
        let rows = forming_profiles::page(&mut tx, after, i64::from(limit)).await?;
        let stored = rows.into_iter().map(known);
        let all = first.then(KnownProfile::built_in).into_iter().map(Ok);
        all.chain(stored).take(limit as usize).collect()
    }

    /// Adds a version after version `expected` (0 when there is none yet).
    ///
    /// # Errors
    /// [`AppError::Conflict`] for the built-in profile, [`AppError::Stale`].
    pub async fn set_forming_profile(
        &self,
        profile: FormingProfile,
        expected: i64,
    ) -> Result<KnownProfile, AppError> {
        if profile.id == BUILT_IN {
            return Err(AppError::Conflict(format!(
                "The profile {BUILT_IN} is part of the program and never changes. Enter your own limits as the profile {SHOP}, which holds wherever none is named."
            )));
        }
        let row = FormingProfileRow {
            id: profile.id.clone(),
            version: expected + 1,
            name: profile.name.clone(),
            body: stored::text(&profile)?,
            changed_at: self.now(),
        };
        let mut tx = self.db().write().await?;
        let Written::Done(version) = forming_profiles::append(&mut tx, expected, &row).await?
        else {
            return Err(AppError::Stale);
        };
        if version != row.version {
            return Err(damaged(KIND, "versions do not follow each other"));
        }
        let done = Done::new(Deed::FormingProfileSet, &row.id).version(version);
        let detail = json!({"name": row.name, "content": content(&row.body)});
        self.record(&mut tx, done.with(detail)).await?;
        tx.commit().await?;
        known(row)
    }
}
