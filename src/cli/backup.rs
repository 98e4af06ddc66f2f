//! `offtake backup`: writes a whole copy of an embedded database while the service goes on.

use super::{Outcome, compose, print};
use crate::config::DatabaseConfig;
use crate::store::Db;
use clap::Args;
use std::path::PathBuf;

/// From where to where.
#[derive(Debug, Args)]
pub struct BackupArgs {
    /// The file to write; it must not exist yet
    file: PathBuf,
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

/// Does it.
pub async fn run(args: &BackupArgs) -> Outcome {
    let app = compose::app_over(Db::connect(&args.database.database).await?)?;
    // A copy of a database that was made just now, by a slip in its address, would be no backup.
    if !app.db().is_migrated().await? {
        return Err("the tables of this database are missing or not up to date; check --database, then run offtake migrate".into());
    }
    app.db().backup(&args.file).await?;
    app.db().close().await;
    print(&format!("backed up to {}", args.file.display()))?;
    Ok(())
}
