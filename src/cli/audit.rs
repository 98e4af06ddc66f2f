//! `offtake audit`: verifies and exports the audit trail, without the service.

use super::{Outcome, compose, print};
use crate::app::audit::{AuditQuery, KeptEntry};
use crate::config::DatabaseConfig;
use crate::http::v1::audit::AuditEntryOut;
use clap::{Args, Subcommand};

/// Entries that are read at a time.
const BATCH: u32 = 500;

/// What to do with the audit trail.
#[derive(Debug, Subcommand)]
pub enum AuditCommand {
    /// Walk the whole chain, and print its head; fails when an entry does not fit
    Verify(VerifyArgs),
    /// Print every entry, oldest first, one JSON object a line
    Export(ExportArgs),
}

/// What to hold the chain against.
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// A head that was printed before and kept elsewhere, as NUMBER:HASH
    #[arg(long)]
    kept: Option<KeptEntry>,
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

/// From where.
#[derive(Debug, Args)]
pub struct ExportArgs {
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

/// Does it.
pub async fn run(command: &AuditCommand) -> Outcome {
    match command {
        AuditCommand::Verify(args) => verify(args).await,
        AuditCommand::Export(args) => export(args).await,
    }
}

async fn verify(args: &VerifyArgs) -> Outcome {
    let app = compose::app(&args.database.database).await?;
    let verdict = app.verify_audit(args.kept.as_ref()).await?;
    app.db().close().await;
    if let Some(flaw) = verdict.flaw {
        return Err(flaw.detail.into());
    }
    let head = verdict
        .head
        .map_or_else(String::new, |head| format!("{}:{}", head.number, head.hash));
    print(&format!("{} entries fit\t{head}", verdict.entries))?;
    Ok(())
}

async fn export(args: &ExportArgs) -> Outcome {
    let app = compose::app(&args.database.database).await?;
    let mut query = AuditQuery::default();
    loop {
        let entries = app.audit_entries(&query, BATCH).await?;
        let Some(last) = entries.last().map(|entry| entry.number) else {
            break;
        };
        query.after = last;
        for entry in entries {
            let number = entry.number;
            let out =
                AuditEntryOut::of(entry).map_err(|_| format!("entry {number} does not read"))?;
            print(&serde_json::to_string(&out)?)?;
        }
    }
    app.db().close().await;
    Ok(())
}
