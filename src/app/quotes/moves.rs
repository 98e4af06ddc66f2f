//! The moves of a quote: issue, accept, decline, withdraw.

use std::slice;

use jiff::civil::Date;

use super::write::{found, revision_of};
use super::{QuoteView, damaged, read, stored_state};
use crate::app::changes::{Change, log_changes};
use crate::app::{App, AppError, AppFault};
use crate::shop::audit::Deed;
use crate::shop::quote::{Move, Order, OrderFault, QuoteRecord, RecordTotals, State};
use crate::store::quote_revisions::{RevisionRow, StateMove};
use crate::store::quotes::QuoteRow;
use crate::store::{Tx, quote_revisions};

/// Who took a quote, when, and under which order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acceptance {
    /// Who.
    pub name: String,
    /// When; today when not given.
    pub on: Option<Date>,
    /// The customer's order number.
    pub po_number: Option<String>,
    /// Names of the options that are ordered with it.
    pub options: Vec<String>,
}

/// A move asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoveRequest {
    /// Which move.
    pub attempted: Move,
    /// Which revision; the current one when not given.
    pub revision: Option<i64>,
    /// The version of the quote the caller knows; any when not given.
    pub expected: Option<i64>,
    /// For an acceptance.
    pub acceptance: Option<Acceptance>,
    /// For a decline or a withdrawal.
    pub reason: Option<String>,
    /// It was seen to print with the shop's own templates, if it froze any.
    pub is_printed: bool,
}

/// A move that was found to be right: the quote and its revision as they are to be.
pub(super) struct Decided {
    pub deed: Deed,
    pub quote: QuoteRow,
    pub revision: RevisionRow,
    /// The revision that was issued before, as it is to be.
    pub superseded: Option<RevisionRow>,
    /// The revision that is current from then on, if that is another.
    pub current: Option<i64>,
}

impl Decided {
    /// What it changes, in order.
    pub fn changes<'a>(&'a self, by: &'a App) -> impl Iterator<Item = Change<'a>> {
        let before = self.superseded.as_ref();
        let before = before.map(|revision| (Deed::QuoteSuperseded, revision));
        let after = (self.deed, &self.revision);
        let both = before.into_iter().chain([after]);
        both.map(move |(deed, revision)| Change::new(by, deed, (&self.quote, revision)))
    }
}

/// Writes moves of different quotes; what they change is still to be logged.
///
/// # Errors
/// [`AppError::Stale`] when any of the quotes has changed meanwhile; some may be written then.
pub(super) async fn write_moves(tx: &mut Tx, moves: &mut [Decided]) -> Result<(), AppError> {
    let superseded = moves.iter().filter_map(|made| {
        let revision = made.superseded.as_ref()?;
        Some(state_move(made.quote.version, revision))
    });
    let superseded = superseded.collect();
    write(tx, moves, superseded).await?;
    let moved = moves.iter().map(|made| StateMove {
        current: made.current,
        ..state_move(made.quote.version, &made.revision)
    });
    let moved = moved.collect();
    write(tx, moves, moved).await
}

async fn write(tx: &mut Tx, moves: &mut [Decided], to: Vec<StateMove>) -> Result<(), AppError> {
    let versions = quote_revisions::move_states(tx, &to).await?;
    if versions.len() < to.len() {
        return Err(AppError::Stale);
    }
    for made in moves {
        if let Some(version) = versions.get(&made.quote.id) {
            made.quote.version = *version;
        }
    }
    Ok(())
}

impl App {
    /// Moves a revision of a quote. On issuing, the revision issued before is superseded.
    ///
    /// # Errors
    /// When there is no such quote or revision, the move is not allowed from its state, or the
    /// quote changed since the version expected.
    pub async fn move_quote(
        &self,
        number: &str,
        request: MoveRequest,
    ) -> Result<QuoteView, AppError> {
        let moved = again_while_stale(request.expected, || self.move_in_turn(number, &request));
        let (quote, revision) = moved.await?;
        QuoteView::of(quote, revision, self.today())
    }

    /// The move, as the last that is done in a transaction: others who change quotes wait for it, so that
    /// nothing of the record is read here but what the move needs.
    pub(in crate::app) async fn move_within(
        &self,
        tx: &mut Tx,
        number: &str,
        request: &MoveRequest,
    ) -> Result<(QuoteRow, RevisionRow), AppError> {
        let found = found(tx, number).await?;
        let mut decided = self.decided(tx, found, request).await?;
        write_moves(tx, slice::from_mut(&mut decided)).await?;
        log_changes(tx, &decided.changes(self).collect::<Vec<_>>()).await?;
        Ok((decided.quote, decided.revision))
    }

    /// What becomes of a quote that was found in this transaction.
    pub(super) async fn decided(
        &self,
        tx: &mut Tx,
        (mut quote, current): (QuoteRow, RevisionRow),
        request: &MoveRequest,
    ) -> Result<Decided, AppError> {
        let mut revision = meant(tx, (&quote, current), request, self.today()).await?;
        if request
            .expected
            .is_some_and(|expected| expected != quote.version)
        {
            return Err(AppError::Stale);
        }
        let state = self.state_for(tx, &revision, request).await?;
        let next = state.make(request.attempted)?;
        self.refuse_odd_acceptance(request, &revision)?;
        if let Some(acceptance) = &request.acceptance {
            let order = ordered(&revision, &acceptance.options)?;
            revision.ordered = Some(serde_json::to_string(&order).map_err(damaged)?);
        }
        let superseded = if next == State::Issued {
            self.superseded(tx, &quote, revision.revision).await?
        } else {
            None
        };
        let current = match next {
            // What was taken is what the quote is from now on, whatever was drafted meanwhile.
            State::Accepted => Some(revision.revision),
            // A draft that is given up gives way to what is with the customer.
            State::Withdrawn if state == State::Draft => {
                let open = with_customer(tx, &quote, self.today()).await?;
                open.map(|open| open.revision)
            }
            _ => None,
        };
        quote.current_revision = current.unwrap_or(quote.current_revision);
        self.apply(&mut revision, next, request)?;
        Ok(Decided {
            deed: deed(request.attempted),
            quote,
            revision,
            superseded,
            current,
        })
    }

    /// The state that a move starts from: today's, but for an acceptance that is written down later, for which that of
    /// the day the customer accepted counts. Of an offer that another has followed, it is too late.
    async fn state_for(
        &self,
        tx: &mut Tx,
        revision: &RevisionRow,
        request: &MoveRequest,
    ) -> Result<State, AppError> {
        let today = stored_state(revision)?.as_of(revision.valid_until, self.today());
        let accepted = request.acceptance.as_ref().and_then(|given| given.on);
        let (State::Expired, Some(day)) = (today, accepted) else {
            return Ok(today);
        };
        let newest = quote_revisions::newest_issued(tx, revision.quote_id).await?;
        let is_newest = newest.is_some_and(|newest| newest.revision == revision.revision);
        let stood = revision.valid_until.is_some_and(|last| day <= last);
        Ok(match is_newest && stood {
            true => State::Issued,
            false => today,
        })
    }

    /// An acceptance lies between the day of issue and today.
    fn refuse_odd_acceptance(
        &self,
        request: &MoveRequest,
        revision: &RevisionRow,
    ) -> Result<(), AppError> {
        let Some(on) = request
            .acceptance
            .as_ref()
            .and_then(|acceptance| acceptance.on)
        else {
            return Ok(());
        };
        let issued = revision.issued_on.unwrap_or(on);
        if on < issued || on > self.today() {
            return Err(AppError::Unprocessable {
                detail: "The day of acceptance cannot be right.".to_owned(),
                faults: vec![AppFault {
                    pointer: "/date".to_owned(),
                    code: "out_of_range",
                    detail: format!(
                        "date is {on}; give a day from {issued}, when it was issued, to today"
                    ),
                }],
            });
        }
        Ok(())
    }

    fn apply(
        &self,
        revision: &mut RevisionRow,
        next: State,
        request: &MoveRequest,
    ) -> Result<(), AppError> {
        let today = self.today();
        let issuing = next == State::Issued;
        if issuing {
            let record: RecordTotals = read(&revision.frozen)?;
            if record.shop.own.has_templates() && !request.is_printed {
                return Err(AppError::Unprinted);
            }
            let usual = record.shop.quoting.valid_until(today);
            let last = *revision.valid_until.get_or_insert(usual);
            if last < today {
                return Err(AppError::Conflict(format!(
                    "its last day, {last}, has passed; give it a later one before it is issued"
                )));
            }
        }
        let acceptance = request.acceptance.as_ref();
        revision.state = next.word().to_owned();
        revision.changed_at = self.now();
        revision.issued_on = if issuing {
            Some(today)
        } else {
            revision.issued_on
        };
        if let Some(acceptance) = acceptance {
            revision.accepted_on = Some(acceptance.on.unwrap_or(today));
            revision.accepted_by = Some(acceptance.name.clone());
            revision.po_number.clone_from(&acceptance.po_number);
        }
        if request.reason.is_some() {
            revision.reason.clone_from(&request.reason);
        }
        Ok(())
    }

    /// The revision issued before the one that is issued now, if any, superseded.
    async fn superseded(
        &self,
        tx: &mut Tx,
        quote: &QuoteRow,
        issuing: i64,
    ) -> Result<Option<RevisionRow>, AppError> {
        for earlier in (1..issuing).rev() {
            let Some(mut revision) = quote_revisions::get(tx, quote.id, earlier).await? else {
                continue;
            };
            match stored_state(&revision)? {
                State::Accepted => {
                    return Err(AppError::Conflict(format!(
                        "revision {earlier} of {} was accepted meanwhile; another cannot be issued in its place",
                        quote.number
                    )));
                }
                State::Issued => {
                    revision.state = State::Superseded.word().to_owned();
                    revision.changed_at = self.now();
                    return Ok(Some(revision));
                }
                _ => {}
            }
        }
        Ok(None)
    }
}

const fn deed(made: Move) -> Deed {
    match made {
        Move::Issue => Deed::QuoteIssued,
        Move::Accept => Deed::QuoteAccepted,
        Move::Decline => Deed::QuoteDeclined,
        Move::Withdraw => Deed::QuoteWithdrawn,
        Move::Revise => Deed::QuoteRevised,
    }
}

/// The revision that a move is meant for: the one that is named, else the current one. An answer of the customer is
/// meant for what the customer has, whatever was drafted since.
async fn meant(
    tx: &mut Tx,
    (quote, current): (&QuoteRow, RevisionRow),
    request: &MoveRequest,
    today: Date,
) -> Result<RevisionRow, AppError> {
    let is_beside_draft = request.revision.is_none() && stored_state(&current)? == State::Draft;
    match request.attempted {
        Move::Accept | Move::Decline if is_beside_draft => {
            let issued = quote_revisions::newest_issued(tx, quote.id).await?;
            Ok(issued.unwrap_or(current))
        }
        Move::Withdraw if is_beside_draft => match with_customer(tx, quote, today).await? {
            Some(open) => Err(AppError::Conflict(format!(
                "revision {} of {} is a draft, and revision {} is with the customer; say with `revision` which of them to withdraw",
                current.revision, quote.number, open.revision
            ))),
            None => Ok(current),
        },
        _ => revision_of(tx, (quote, current), request.revision).await,
    }
}

/// The revision of a quote that the customer may accept today, if there is one.
async fn with_customer(
    tx: &mut Tx,
    quote: &QuoteRow,
    today: Date,
) -> Result<Option<RevisionRow>, AppError> {
    let Some(issued) = quote_revisions::newest_issued(tx, quote.id).await? else {
        return Ok(None);
    };
    let state = stored_state(&issued)?.as_of(issued.valid_until, today);
    Ok((state == State::Issued).then_some(issued))
}

/// Tries again when another changed the quote at the same moment, unless the caller named the
/// version to change: then that is for the caller to know.
pub(in crate::app) async fn again_while_stale<T, F>(
    expected: Option<i64>,
    attempt: impl Fn() -> F,
) -> Result<T, AppError>
where
    F: Future<Output = Result<T, AppError>>,
{
    const TRIES: usize = 5;
    for _ in 1..TRIES {
        match attempt().await {
            Err(AppError::Stale) if expected.is_none() => {}
            outcome => return outcome,
        }
    }
    attempt().await
}

/// What is ordered with these options.
fn ordered(revision: &RevisionRow, options: &[String]) -> Result<Order, AppError> {
    let record: QuoteRecord = read(&revision.frozen)?;
    let fault = |fault: OrderFault| AppFault {
        pointer: format!("/options/{}", fault.place),
        code: fault.code,
        detail: fault.detail,
    };
    record
        .order(options)
        .map_err(|faults| AppError::Unprocessable {
            detail: "The quote cannot be ordered with these options.".to_owned(),
            faults: faults.into_iter().map(fault).collect(),
        })
}

fn state_move(expected: i64, revision: &RevisionRow) -> StateMove {
    StateMove {
        quote_id: revision.quote_id,
        expected,
        current: None,
        revision: revision.revision,
        state: revision.state.clone(),
        at: revision.changed_at,
        valid_until: revision.valid_until,
        issued_on: revision.issued_on,
        accepted_on: revision.accepted_on,
        accepted_by: revision.accepted_by.clone(),
        po_number: revision.po_number.clone(),
        reason: revision.reason.clone(),
        ordered: revision.ordered.clone(),
    }
}
