//! Use cases: load, decide by calling the pure rooms, save, in one transaction.

pub mod apart;
pub mod audit;
mod changes;
pub mod checks;
pub mod customers;
pub mod cut_plans;
mod drafts;
mod error;
pub mod estimates;
pub mod flows;
pub mod forming_profiles;
pub mod keys;
pub mod labour_models;
pub mod links;
pub mod offcuts;
pub mod own_files;
pub mod price_lists;
pub mod quotes;
pub mod reprices;
pub mod rules;
pub mod shop;
pub mod sizing;
pub mod totals;
pub mod webhooks;

use std::fmt;
use std::sync::Arc;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};
use uuid::Uuid;

use self::apart::{Apart, Press};
use self::quotes::MoveLine;
use crate::shop::audit::Actor;
use crate::store::Db;
use crate::trade::catalogue::Catalogue;

pub use drafts::BookState;
pub use error::{AppError, AppFault};

/// Reads the clock.
pub type ReadTime = Arc<dyn Fn() -> Timestamp + Send + Sync>;
/// Makes ids that sort by when they were made.
pub type MakeUuid = Arc<dyn Fn() -> Uuid + Send + Sync>;

/// Makes what nobody can guess; `None` when the operating system has no random bytes to give.
pub type MakeSecret = Arc<dyn Fn() -> Option<[u8; 32]> + Send + Sync>;

/// What the use cases work with. Clock, ids and chance are handed in, so that tests can hand in theirs.
#[derive(Clone)]
pub struct App {
    db: Db,
    catalogue: &'static Catalogue,
    clock: ReadTime,
    ids: MakeUuid,
    secrets: MakeSecret,
    actor: Arc<Actor>,
    press: Press,
    moves: MoveLine,
    zone: TimeZone,
}

impl fmt::Debug for App {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("App")
    }
}

impl App {
    /// From its parts. Until somebody else acts, it is the program itself.
    pub fn new(
        db: Db,
        catalogue: &'static Catalogue,
        clock: ReadTime,
        ids: MakeUuid,
        secrets: MakeSecret,
    ) -> Self {
        Self {
            db,
            catalogue,
            clock,
            ids,
            secrets,
            actor: Arc::new(Actor::Program("offtake")),
            press: Press::default(),
            moves: MoveLine::default(),
            zone: TimeZone::UTC,
        }
    }

    /// The same use cases, with a process apart to set in what the shop wrote.
    #[must_use]
    pub fn with_apart(self, apart: Arc<dyn Apart>) -> Self {
        Self {
            press: Press::new(apart),
            ..self
        }
    }

    /// The same use cases, in the days of a time zone.
    #[must_use]
    pub fn with_time_zone(self, zone: TimeZone) -> Self {
        Self { zone, ..self }
    }

    /// The same use cases, done by somebody: what they change is written down under that name.
    #[must_use]
    pub fn acting_as(&self, actor: Actor) -> Self {
        Self {
            actor: Arc::new(actor),
            ..self.clone()
        }
    }

    /// Who acts.
    pub fn actor(&self) -> &Actor {
        &self.actor
    }

    /// The tables of the trade.
    pub fn catalogue(&self) -> &'static Catalogue {
        self.catalogue
    }

    /// The database.
    pub fn db(&self) -> &Db {
        &self.db
    }

    /// Now, cut to whole microseconds as both databases keep it.
    pub fn now(&self) -> Timestamp {
        let now = (self.clock)();
        Timestamp::from_microsecond(now.as_microsecond()).unwrap_or(now)
    }

    /// Today, in the shop's days: those of UTC when no time zone was given.
    pub fn today(&self) -> Date {
        self.day_of(self.now())
    }

    /// The shop's day of an instant.
    pub fn day_of(&self, instant: Timestamp) -> Date {
        self.zone.to_datetime(instant).date()
    }

    /// The first instant after one of the shop's days.
    pub fn end_of(&self, day: Date) -> Timestamp {
        let next = day.saturating_add(1.days());
        let midnight = self.zone.to_timestamp(next.into());
        midnight.unwrap_or(Timestamp::MAX)
    }

    /// 32 bytes that nobody can guess.
    ///
    /// # Errors
    /// [`AppError::NoChance`].
    pub fn new_secret(&self) -> Result<[u8; 32], AppError> {
        (self.secrets)().ok_or(AppError::NoChance)
    }

    /// A new id.
    pub fn new_id(&self) -> Uuid {
        (self.ids)()
    }
}
