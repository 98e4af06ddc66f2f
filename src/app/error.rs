//! What may keep a use case from being done.

use crate::documents::file_fault::FileFault;
use crate::shop::estimate::Lacking;
use crate::shop::offcut::WrongOffcutMove;
use crate::shop::quote::WrongMove;
use crate::store::StoreError;

/// Why a use case was not done. Nothing was stored.
#[derive(Debug, thiserror::Error)]
pub enum AppError {
    /// There is no such thing.
    #[error("there is no {kind} {name:?}")]
    NotFound {
        /// What kind of thing.
        kind: &'static str,
        /// The name it was looked for by.
        name: String,
    },
    /// A link that opened something once.
    #[error("This link is {0}; ask whoever gave it to you for a new one.")]
    LinkEnded(&'static str),
    /// It has changed since the caller read it.
    #[error("it has changed since it was read")]
    Stale,
    /// Something stored stands against it.
    #[error("{0}")]
    Conflict(String),
    /// A move that the state does not allow.
    #[error(transparent)]
    WrongMove(#[from] WrongMove),
    /// A quote with templates of the shop's own is to be issued that nobody has printed with them yet.
    #[error("templates of the shop's own must print a quote before it is issued")]
    Unprinted,
    /// A move of an offcut that cannot be made from where it stands.
    #[error(transparent)]
    WrongOffcutMove(#[from] WrongOffcutMove),
    /// The request can be read, but not carried out: faults with pointers into it.
    #[error("{detail}")]
    Unprocessable {
        /// In a sentence.
        detail: String,
        /// Where, and what to do.
        faults: Vec<AppFault>,
    },
    /// A logo or template that cannot be used: faults with places in it.
    #[error("{detail}")]
    File {
        /// In a sentence.
        detail: String,
        /// Where, and what to do.
        faults: Vec<FileFault>,
    },
    /// Prices, times or settings that an estimate needs are not there.
    #[error("the estimate needs {} thing(s) that the shop has not entered", .0.len())]
    Lacking(Vec<Lacking>),
    /// The shop has no settings yet.
    #[error("the shop has no settings yet; enter its name and currency with PUT /v1/shop")]
    NoShop,
    /// No list or model holds.
    #[error("{0}")]
    NothingInForce(String),
    /// A paper could not be made: a fault of this program or of a template.
    #[error("the document could not be made")]
    Document(#[source] Box<dyn std::error::Error + Send + Sync>),
    /// What was stored cannot be read back: a fault of this program.
    #[error("the stored {what} does not read")]
    Damaged {
        /// What.
        what: &'static str,
        /// What the reader said.
        #[source]
        source: serde_json::Error,
    },
    /// The operating system has no random bytes to give.
    #[error("the operating system gave no random bytes")]
    NoChance,
    /// The database cannot be used at the moment.
    #[error("the database cannot be used at the moment")]
    Unavailable(#[source] StoreError),
    /// The database: a fault of this program, or of what is stored.
    #[error("the database")]
    Store(#[source] StoreError),
}

impl From<StoreError> for AppError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Conflict(_) => {
                Self::Conflict("Something of that name is there already.".to_owned())
            }
            StoreError::Unavailable(_) | StoreError::Busy(_) => Self::Unavailable(error),
            other => Self::Store(other),
        }
    }
}

/// A fault of a request that a use case found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AppFault {
    /// JSON pointer into the request.
    pub pointer: String,
    /// A stable code.
    pub code: &'static str,
    /// What is wrong and what to do.
    pub detail: String,
}

impl AppError {
    /// There is no such thing.
    pub fn not_found(kind: &'static str, name: impl ToString) -> Self {
        Self::NotFound {
            kind,
            name: name.to_string(),
        }
    }
}
