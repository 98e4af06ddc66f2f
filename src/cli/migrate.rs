//! `offtake migrate`: brings the tables up to date.

use super::{Outcome, compose, print};
use crate::config::DatabaseConfig;
use clap::Args;

/// Where.
#[derive(Debug, Args)]
pub struct MigrateArgs {
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

/// Does it.
pub async fn run(args: &MigrateArgs) -> Outcome {
    let app = compose::app(&args.database.database).await?;
    app.db().close().await;
    print("the tables are up to date")?;
    Ok(())
}
