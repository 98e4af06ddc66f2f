//! Links that open one thing to whoever holds them, without a key: unguessable, ending, revocable.
//!
//! The token is shown once and never kept; its hash is. What a link opens is its [`Purpose`]: a
//! further one needs a variant there, a call that makes it with [`App::new_link`], and an address
//! that opens it with [`App::find_link`]. `answer` is what the customer does, `readings` what is only
//! read.

mod answer;
mod readings;

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan as _};
use serde_json::json;
use uuid::Uuid;

use super::audit::{Done, sha256};
use super::quotes::found;
use super::{App, AppError, AppFault};
use crate::shop::audit::Deed;
use crate::shop::link::{Act, Purpose, Standing};
use crate::shop::quote::State;
use crate::store::links::{self, LinkEventRow, LinkRow};
use crate::store::{Tx, quote_revisions, quotes};

pub use answer::{OfferAnswer, OfferedQuote};
pub use readings::LinkListing;

/// Days that a link outlasts the quote it opens, when nobody says otherwise: who comes late is told
/// so by the page.
const GRACE_DAYS: i64 = 30;
/// Days that a link lasts at most.
const MOST_DAYS: i64 = 400;
/// Characters of a token; anything longer is not one of ours.
const MOST_CHARACTERS: usize = 100;
/// Events that are shown of a link.
const EVENTS_SHOWN: i64 = 200;

/// A link to make.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewLink {
    /// What it opens.
    pub purpose: Purpose,
    /// The revision it opens. When not given, the page is that of the current one for good; figures and
    /// papers are those of the newest that was issued, whenever they are read.
    pub revision: Option<i64>,
    /// The last day it opens.
    pub expires_on: Option<Date>,
    /// Whom it is for, in the shop's words.
    pub label: String,
    /// The key it is made with.
    pub made_by: Uuid,
}

/// What is known of a link; never its token.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Its id.
    pub id: Uuid,
    /// What it opens.
    pub purpose: String,
    /// The number of the quote it opens.
    pub number: Option<String>,
    /// The revision it opens.
    pub revision: Option<i64>,
    /// Whom it is for.
    pub label: String,
    /// Where it stands now.
    pub standing: Standing,
    /// When it was made.
    pub created_at: Timestamp,
    /// From when on it opens nothing.
    pub expires_at: Timestamp,
    /// When it was revoked, if it was.
    pub revoked_at: Option<Timestamp>,
    /// How often it was opened.
    pub views: i64,
    /// The latest that was done with it, latest first.
    pub events: Vec<LinkEvent>,
}

/// Something done with a link.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LinkEvent {
    /// What, as a word of [`Act`].
    pub what: String,
    /// Who, by their own word; empty when nobody said.
    pub name: String,
    /// What they said, or why it was refused.
    pub detail: String,
    /// When.
    pub at: Timestamp,
}

impl App {
    /// Makes a link to something of a quote that was issued; the link, and its token, which is shown this
    /// once.
    ///
    /// # Errors
    /// When there is no such quote or revision, it is a draft, or the last day cannot be right.
    pub async fn create_quote_link(
        &self,
        number: &str,
        new: &NewLink,
    ) -> Result<(Link, String), AppError> {
        let mut tx = self.db.write().await?;
        let (quote, current) = found(&mut tx, number).await?;
        let follows = new.revision.is_none() && new.purpose.is_only_read();
        let wanted = new.revision.unwrap_or(current.revision);
        let opened = if follows {
            quote_revisions::newest_issued(&mut tx, quote.id).await?
        } else {
            quote_revisions::get(&mut tx, quote.id, wanted).await?
        };
        let revision = match opened {
            Some(revision) if revision.state != State::Draft.word() => revision,
            None if !follows => {
                return Err(AppError::not_found(
                    "revision",
                    format!("{number}/{wanted}"),
                ));
            }
            _ => {
                return Err(AppError::Conflict(format!(
                    "Revision {wanted} of {number} is a draft; issue it before you make a link to it."
                )));
            }
        };
        let last = self.last_day(new.expires_on, revision.valid_until)?;
        let (row, token) = self.new_link(last, new)?;
        let row = LinkRow {
            quote_id: Some(quote.id),
            revision: (!follows).then_some(revision.revision),
            ..row
        };
        links::insert(&mut tx, &row).await?;
        let link = self.described(&mut tx, row).await?;
        self.record(&mut tx, done(Deed::LinkMade, &link)).await?;
        tx.commit().await?;
        Ok((link, token))
    }

    /// Makes a link to the totals of all quotes; the link, and its token, which is shown this once.
    ///
    /// # Errors
    /// When the last day cannot be right.
    pub async fn create_totals_link(&self, new: &NewLink) -> Result<(Link, String), AppError> {
        let last = self.last_day(new.expires_on, None)?;
        let (row, token) = self.new_link(last, new)?;
        let mut tx = self.db.write().await?;
        links::insert(&mut tx, &row).await?;
        let link = self.described(&mut tx, row).await?;
        self.record(&mut tx, done(Deed::LinkMade, &link)).await?;
        tx.commit().await?;
        Ok((link, token))
    }

    /// A link with a new token, not yet stored and opening no quote yet; the token is shown this once.
    ///
    /// # Errors
    /// [`AppError::NoChance`].
    pub fn new_link(&self, last_day: Date, new: &NewLink) -> Result<(LinkRow, String), AppError> {
        let token = URL_SAFE_NO_PAD.encode(self.new_secret()?);
        // Tokens have 256 random bits, so a plain hash keeps them.
        let row = LinkRow {
            id: self.new_id(),
            hash: sha256(&token),
            purpose: new.purpose.word().to_owned(),
            quote_id: None,
            revision: None,
            label: new.label.clone(),
            made_by: new.made_by,
            created_at: self.now(),
            expires_at: self.end_of(last_day),
            revoked_at: None,
        };
        Ok((row, token))
    }

    /// The link of a token, for that purpose and no other, and where it stands.
    ///
    /// # Errors
    /// [`AppError::NotFound`], which never holds the token.
    pub async fn find_link(
        &self,
        tx: &mut Tx,
        token: &str,
        purpose: Purpose,
    ) -> Result<(LinkRow, Standing), AppError> {
        let known = if token.len() <= MOST_CHARACTERS {
            links::find_by_hash(tx, &sha256(token)).await?
        } else {
            None
        };
        let row = known
            .filter(|row| row.purpose == purpose.word())
            .ok_or_else(|| AppError::not_found("link", "of that address"))?;
        let standing = Standing::at(self.now(), row.expires_at, row.revoked_at);
        Ok((row, standing))
    }

    /// The links of a quote.
    ///
    /// # Errors
    /// When there is no such quote.
    pub async fn quote_links(&self, number: &str) -> Result<Vec<Link>, AppError> {
        let mut tx = self.db.read().await?;
        let (quote, _) = found(&mut tx, number).await?;
        let mut described = Vec::new();
        for row in links::of_quote(&mut tx, quote.id).await? {
            described.push(self.described(&mut tx, row).await?);
        }
        Ok(described)
    }

    /// A link.
    ///
    /// # Errors
    /// When there is no such link.
    pub async fn link(&self, id: Uuid) -> Result<Link, AppError> {
        let mut tx = self.db.read().await?;
        let row = links::get(&mut tx, id)
            .await?
            .ok_or_else(|| AppError::not_found("link", id))?;
        self.described(&mut tx, row).await
    }

    /// Takes a link out of use, at once and for good. One that was revoked before stays as it is. Whoever
    /// `may_answer` may take any; others only those that are no more than read.
    ///
    /// # Errors
    /// When there is no such link.
    pub async fn revoke_link(&self, id: Uuid, may_answer: bool) -> Result<Link, AppError> {
        let mut tx = self.db.write().await?;
        let reads =
            |row: &LinkRow| Purpose::from_word(&row.purpose).is_some_and(Purpose::is_only_read);
        let row = links::get(&mut tx, id)
            .await?
            .filter(|row| may_answer || reads(row))
            .ok_or_else(|| AppError::not_found("link", id))?;
        let now = self.now();
        let revoked = links::revoke(&mut tx, id, now).await?;
        let row = LinkRow {
            revoked_at: row.revoked_at.or(Some(now)),
            ..row
        };
        let link = self.described(&mut tx, row).await?;
        if revoked {
            self.record(&mut tx, done(Deed::LinkRevoked, &link)).await?;
        }
        tx.commit().await?;
        Ok(link)
    }

    /// The last day of a link: as wished, or some time after the last day of what it opens.
    ///
    /// # Errors
    /// When the day wished for has passed or is too far off.
    pub fn last_day(&self, wished: Option<Date>, stands: Option<Date>) -> Result<Date, AppError> {
        let today = self.today();
        let latest = today.saturating_add(MOST_DAYS.days());
        let usual = stands.unwrap_or(today).max(today);
        let last = wished.unwrap_or(usual.saturating_add(GRACE_DAYS.days()).min(latest));
        if last < today || last > latest {
            return Err(AppError::Unprocessable {
                detail: "The last day of the link cannot be right.".to_owned(),
                faults: vec![AppFault {
                    pointer: "/expires_on".to_owned(),
                    code: "out_of_range",
                    detail: format!("expires_on is {last}; give a day from {today} to {latest}"),
                }],
            });
        }
        Ok(last)
    }

    async fn described(&self, tx: &mut Tx, row: LinkRow) -> Result<Link, AppError> {
        let number = match row.quote_id {
            Some(quote) => quotes::number(tx, quote).await?,
            None => None,
        };
        let events = links::events(tx, row.id, EVENTS_SHOWN).await?;
        Ok(Link {
            views: links::count(tx, row.id, Act::Viewed.word()).await?,
            events: events.into_iter().map(event).collect(),
            standing: Standing::at(self.now(), row.expires_at, row.revoked_at),
            id: row.id,
            purpose: row.purpose,
            number,
            revision: row.revision,
            label: row.label,
            created_at: row.created_at,
            expires_at: row.expires_at,
            revoked_at: row.revoked_at,
        })
    }

    /// Something done with a link just now.
    pub(super) fn link_event(&self, link_id: Uuid, act: Act) -> LinkEventRow {
        LinkEventRow {
            id: self.new_id(),
            link_id,
            what: act.word().to_owned(),
            name: String::new(),
            detail: String::new(),
            at: self.now(),
        }
    }
}

/// What is written down of a link; never its token.
fn done(deed: Deed, link: &Link) -> Done {
    Done::new(deed, link.id).with(json!({
        "purpose": link.purpose,
        "quote": link.number,
        "revision": link.revision,
        "label": link.label,
        "expires_at": link.expires_at.to_string(),
    }))
}

fn event(row: LinkEventRow) -> LinkEvent {
    LinkEvent {
        what: row.what,
        name: row.name,
        detail: row.detail,
        at: row.at,
    }
}
