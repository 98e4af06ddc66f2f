//! Ready when the database answers and its tables are up to date.

use crate::app::App;
use crate::http::state::{Readiness, Unavailable};
use futures::future::BoxFuture;

/// Asks the database.
pub struct DatabaseAnswers(pub App);

impl Readiness for DatabaseAnswers {
    fn check(&self) -> BoxFuture<'_, Result<(), Unavailable>> {
        Box::pin(async move {
            match self.0.db().is_migrated().await {
                Ok(true) => Ok(()),
                Ok(false) => Err(Unavailable(
                    "the tables are not up to date; run offtake migrate".to_owned(),
                )),
                Err(error) => Err(Unavailable(error.to_string())),
            }
        })
    }
}
