//! What a customer does with the link to a quote: looks, accepts, declines.

use crate::app::quotes::{
    Acceptance, MoveRequest, QuoteView, again_while_stale, found, revision_of,
};
use crate::app::{App, AppError};
use crate::shop::audit::Actor;
use crate::shop::link::{Act, Purpose, Standing};
use crate::shop::quote::Move;
use crate::store::links::{self, LinkEventRow, LinkRow};
use crate::store::{Tx, quotes};

/// A quote as the holder of a link may see it.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferedQuote {
    /// The revision that the link opens, as it stands today.
    pub view: QuoteView,
    /// Where the link stands. Only a live one shows the quote.
    pub standing: Standing,
}

/// What a customer answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OfferAnswer {
    /// Takes it.
    Accept {
        /// Who.
        name: String,
        /// Their order number.
        po_number: Option<String>,
        /// Names of the options they order with it.
        options: Vec<String>,
    },
    /// Does not take it.
    Decline {
        /// Who; empty when they did not say.
        name: String,
        /// Why.
        reason: Option<String>,
    },
}

impl OfferAnswer {
    const fn act(&self) -> Act {
        match self {
            Self::Accept { .. } => Act::Accepted,
            Self::Decline { .. } => Act::Declined,
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::Accept { name, .. } | Self::Decline { name, .. } => name,
        }
    }

    fn said(&self) -> String {
        match self {
            Self::Accept { po_number, .. } => po_number.clone().unwrap_or_default(),
            Self::Decline { reason, .. } => reason.clone().unwrap_or_default(),
        }
    }

    fn move_of(&self, revision: Option<i64>) -> MoveRequest {
        let (attempted, acceptance, reason) = match self {
            Self::Accept {
                name,
                po_number,
                options,
            } => {
                let acceptance = Acceptance {
                    name: name.clone(),
                    on: None,
                    po_number: po_number.clone(),
                    options: options.clone(),
                };
                (Move::Accept, Some(acceptance), None)
            }
            Self::Decline { reason, .. } => (Move::Decline, None, reason.clone()),
        };
        MoveRequest {
            attempted,
            revision,
            expected: None,
            acceptance,
            reason,
            is_printed: false,
        }
    }
}

impl App {
    /// The quote of a link. What a live link is used for is written down; `None` looks without a trace. A use of one
    /// that has ended is always written down, as refused.
    ///
    /// # Errors
    /// When no link has that token.
    pub async fn offered_quote(
        &self,
        token: &str,
        act: Option<Act>,
    ) -> Result<OfferedQuote, AppError> {
        let mut tx = self.db.read().await?;
        let (link, standing) = self.find_link(&mut tx, token, Purpose::QuotePage).await?;
        let view = self.linked_quote(&mut tx, &link).await?;
        drop(tx);
        let event = match standing {
            Standing::Live => act.map(|act| self.link_event(link.id, act)),
            ended => Some(LinkEventRow {
                detail: format!("the link is {}", ended.word()),
                ..self.link_event(link.id, Act::Refused)
            }),
        };
        if let Some(event) = event {
            let mut tx = self.db.write().await?;
            links::record(&mut tx, &event).await?;
            tx.commit().await?;
        }
        Ok(OfferedQuote { view, standing })
    }

    /// Accepts or declines the revision of a link; the act is written down in the same transaction,
    /// and so is one that is refused.
    ///
    /// # Errors
    /// When no live link has that token, or the state of the revision does not allow the move.
    pub async fn answer_offer(&self, token: &str, answer: &OfferAnswer) -> Result<(), AppError> {
        let outcome = again_while_stale(None, || self.try_answer(token, answer)).await;
        if let Err(refused @ (AppError::WrongMove(_) | AppError::Conflict(_))) = &outcome {
            let mut tx = self.db.write().await?;
            let (link, _) = self.find_link(&mut tx, token, Purpose::QuotePage).await?;
            let event = LinkEventRow {
                name: answer.name().to_owned(),
                detail: refused.to_string(),
                ..self.link_event(link.id, Act::Refused)
            };
            links::record(&mut tx, &event).await?;
            tx.commit().await?;
        }
        outcome
    }

    async fn try_answer(&self, token: &str, answer: &OfferAnswer) -> Result<(), AppError> {
        let mut tx = self.db.write().await?;
        let (link, standing) = self.find_link(&mut tx, token, Purpose::QuotePage).await?;
        if standing != Standing::Live {
            return Err(AppError::Conflict(format!(
                "this link is {}",
                standing.word()
            )));
        }
        let number = number(&mut tx, &link).await?;
        let event = LinkEventRow {
            name: answer.name().to_owned(),
            detail: answer.said(),
            ..self.link_event(link.id, answer.act())
        };
        links::record(&mut tx, &event).await?;
        // Whoever holds the link is who acts.
        let customer = self.acting_as(Actor::Link {
            id: link.id,
            label: link.label.clone(),
        });
        customer
            .move_within(&mut tx, &number, &answer.move_of(link.revision))
            .await?;
        tx.commit().await?;
        Ok(())
    }

    pub(super) async fn linked_quote(
        &self,
        tx: &mut Tx,
        link: &LinkRow,
    ) -> Result<QuoteView, AppError> {
        let number = number(tx, link).await?;
        let (quote, current) = found(tx, &number).await?;
        let revision = revision_of(tx, (&quote, current), link.revision).await?;
        QuoteView::of(quote, revision, self.today())
    }
}

async fn number(tx: &mut Tx, link: &LinkRow) -> Result<String, AppError> {
    let number = match link.quote_id {
        Some(quote) => quotes::number(tx, quote).await?,
        None => None,
    };
    number.ok_or_else(|| AppError::not_found("quote", "of that link"))
}
