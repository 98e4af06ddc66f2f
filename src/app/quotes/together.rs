//! Moves of quotes that wait for the database at the same time are made together: one transaction, one
//! log, one wait for the disk.
//!
//! A move by itself spends most of its time on the way to the database and back while all other moves
//! wait. So whoever moves a quote stands in line; whoever's turn comes makes the moves of all who stand
//! there by then. Whoever asks for what cannot be done is told so, and the others are made all or none.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::{iter, mem};

use tokio::sync::{Mutex as Turn, oneshot};
use tracing::Instrument as _;

use super::moves::{MoveRequest, write_moves};
use crate::app::changes::{Change, log_changes};
use crate::app::{App, AppError};
use crate::store::StoreError;
use crate::store::quote_revisions::RevisionRow;
use crate::store::quotes::{self, QuoteRow};

/// Moves made in one transaction, at most: others who write wait for it.
const MOST: usize = 32;

type Outcome = Result<(QuoteRow, RevisionRow), AppError>;

/// Those who are made in one transaction, by the numbers of their quotes: no quote is moved twice in one.
type Together = BTreeMap<String, Waiting>;

/// Moves that wait for their turn.
///
/// Whoever joins the line takes a turn later, and each turn takes one at least, so nobody is left standing.
#[derive(Clone, Default)]
pub(in crate::app) struct MoveLine {
    waiting: Arc<Mutex<Vec<Waiting>>>,
    turn: Arc<Turn<()>>,
}

struct Waiting {
    app: App,
    number: String,
    request: MoveRequest,
    told: oneshot::Sender<Outcome>,
}

impl Waiting {
    fn tell(self, outcome: Outcome) {
        // Whoever went away meanwhile is not told.
        let _ = self.told.send(outcome);
    }
}

impl MoveLine {
    fn waiting(&self) -> MutexGuard<'_, Vec<Waiting>> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes those who can be made along with these; not those who went away, who count on nothing being made.
    fn take(&self, together: &mut Together) {
        let mut waiting = self.waiting();
        for one in mem::take(&mut *waiting) {
            if one.told.is_closed() {
                continue;
            }
            if together.len() == MOST || together.contains_key(&one.number) {
                waiting.push(one);
            } else {
                together.insert(one.number.clone(), one);
            }
        }
    }
}

impl App {
    /// Makes a move together with those that wait at the same time.
    pub(super) async fn move_in_turn(&self, number: &str, request: &MoveRequest) -> Outcome {
        let (told, hears) = oneshot::channel();
        self.moves.waiting().push(Waiting {
            app: self.clone(),
            number: number.to_owned(),
            request: request.clone(),
            told,
        });
        // A task of its own: whoever asked may go away meanwhile, and others wait for what it does.
        let app = self.clone();
        tokio::spawn(async move { app.take_turn().await }.in_current_span());
        match hears.await {
            Ok(outcome) => outcome,
            // Nobody tells: what was to be made together was not.
            Err(_) => self.move_alone(number, request).await,
        }
    }

    async fn take_turn(&self) {
        let _turn = self.moves.turn.lock().await;
        // Whoever is about to ask comes along.
        tokio::task::yield_now().await;
        let mut together = Together::new();
        self.moves.take(&mut together);
        if together.is_empty() {
            // Another made its move along with others.
            return;
        }
        if let Err(error) = self.move_together(together).await {
            tracing::warn!(
                ?error,
                "moves could not be made together; each is made alone"
            );
        }
    }

    /// Makes these moves and those of whoever comes meanwhile, but for those that cannot be made.
    ///
    /// # Errors
    /// When nothing was made; those who were not told then are to try alone.
    async fn move_together(&self, mut together: Together) -> Result<(), AppError> {
        let mut tx = match self.db.write().await {
            Ok(tx) => tx,
            Err(error) => {
                tell_all(together.into_values(), &error);
                return Ok(());
            }
        };
        self.moves.take(&mut together);
        let numbers: Vec<String> = together.keys().cloned().collect();
        quotes::hold(&mut tx, &numbers).await?;
        let (mut moved, mut moves) = (Vec::new(), Vec::new());
        for found in quotes::get_all(&mut tx, &numbers).await? {
            let Some(one) = together.remove(&found.0.number) else {
                continue;
            };
            match one.app.decided(&mut tx, found, &one.request).await {
                Ok(decided) => {
                    moves.push(decided);
                    moved.push(one);
                }
                Err(error @ (AppError::Store(_) | AppError::Unavailable(_))) => return Err(error),
                Err(error) => one.tell(Err(error)),
            }
        }
        for (number, one) in together {
            one.tell(Err(AppError::not_found("quote", number)));
        }
        write_moves(&mut tx, &mut moves).await?;
        let changes: Vec<Change<'_>> = iter::zip(&moves, &moved)
            .flat_map(|(made, one)| made.changes(&one.app))
            .collect();
        log_changes(&mut tx, &changes).await?;
        match tx.commit().await {
            Ok(()) => {
                for (one, made) in iter::zip(moved, moves) {
                    one.tell(Ok((made.quote, made.revision)));
                }
            }
            // Nobody tries alone: it may have been kept all the same.
            Err(error) => tell_all(moved, &error),
        }
        Ok(())
    }

    async fn move_alone(&self, number: &str, request: &MoveRequest) -> Outcome {
        let mut tx = self.db.write().await?;
        let moved = self.move_within(&mut tx, number, request).await?;
        tx.commit().await?;
        Ok(moved)
    }
}

fn tell_all(waiting: impl IntoIterator<Item = Waiting>, error: &StoreError) {
    for one in waiting {
        one.tell(Err(error.for_another().into()));
    }
}
