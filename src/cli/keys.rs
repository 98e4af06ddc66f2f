//! `offtake keys`: makes, lists and revokes keys.

use super::{Outcome, compose, print};
use crate::app::App;
use crate::config::DatabaseConfig;
use crate::http::auth::{KeyHash, Scope};
use crate::http::wire::{is_unseen, unfit};
use crate::shop::audit::Actor;
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use clap::{Args, Subcommand};
use std::error::Error;
use uuid::Uuid;

/// How every key begins, so that a key is known for one wherever it turns up.
const PREFIX: &str = "offtake_";

/// What to do with keys.
#[derive(Debug, Subcommand)]
pub enum KeysCommand {
    /// Make a key and print it; it is shown this once and never again
    Create(CreateArgs),
    /// List the keys: id, label, scopes, when made, whether in use
    List(ListArgs),
    /// Take a key out of use, at once and for good
    Revoke(RevokeArgs),
}

/// A key to make.
#[derive(Debug, Args)]
pub struct CreateArgs {
    /// What the key may do: check, estimate, account or admin; may be given several times
    #[arg(long = "scope", required = true, value_parser = scope)]
    scopes: Vec<Scope>,
    /// What you call it
    #[arg(long, value_parser = label)]
    label: String,
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

/// Which keys.
#[derive(Debug, Args)]
pub struct ListArgs {
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

/// Which key.
#[derive(Debug, Args)]
pub struct RevokeArgs {
    /// Its id, as `keys list` shows it
    id: Uuid,
    /// The database.
    #[command(flatten)]
    database: DatabaseConfig,
}

fn scope(word: &str) -> Result<Scope, String> {
    let found = Scope::ALL
        .iter()
        .copied()
        .find(|scope| scope.as_str() == word);
    found.ok_or_else(|| {
        let words: Vec<&str> = Scope::ALL.iter().map(|scope| scope.as_str()).collect();
        format!("choose one of {}", words.join(", "))
    })
}

/// Labels are listed one to a line, with tabs between the columns.
fn label(text: &str) -> Result<String, &'static str> {
    let text = text.trim_matches(is_unseen);
    let wrong = |c: char| c.is_control() || unfit(c).is_some();
    if text.is_empty() || text.chars().count() > 100 || text.contains(wrong) {
        return Err(
            "give a name of 1 to 100 characters, without line breaks, tabs or characters that cannot be printed",
        );
    }
    Ok(text.to_owned())
}

/// Does it.
pub async fn run(command: &KeysCommand) -> Outcome {
    match command {
        KeysCommand::Create(args) => create(args).await,
        KeysCommand::List(args) => list(args).await,
        KeysCommand::Revoke(args) => revoke(args).await,
    }
}

/// The use cases, done by whoever runs this command.
async fn by_command(database: &DatabaseConfig) -> Result<App, Box<dyn Error + Send + Sync>> {
    let app = compose::app(&database.database).await?;
    Ok(app.acting_as(Actor::Command("offtake keys")))
}

async fn create(args: &CreateArgs) -> Outcome {
    let app = by_command(&args.database).await?;
    let key = make(&app, &args.label, &args.scopes).await?;
    app.db().close().await;
    print(&key)?;
    Ok(())
}

/// Makes a key and keeps its hash.
pub(super) async fn make(
    app: &App,
    label: &str,
    wanted: &[Scope],
) -> Result<String, Box<dyn Error + Send + Sync>> {
    let key = format!("{PREFIX}{}", URL_SAFE_NO_PAD.encode(compose::secret()?));
    // In the order of the list, each once, however they were given.
    let scopes: Vec<&str> = Scope::ALL
        .iter()
        .filter(|scope| wanted.contains(scope))
        .map(|scope| scope.as_str())
        .collect();
    let hash = KeyHash::of(&key).to_hex();
    app.add_key(label, &scopes.join(" "), hash).await?;
    Ok(key)
}

async fn list(args: &ListArgs) -> Outcome {
    let app = compose::app(&args.database.database).await?;
    for key in app.keys().await? {
        let state = key.revoked_at.map_or_else(
            || "in use".to_owned(),
            |at| format!("revoked {}", at.strftime("%Y-%m-%d")),
        );
        print(&format!(
            "{}\t{}\t{}\tmade {}\t{state}",
            key.id,
            key.label,
            key.scopes,
            key.created_at.strftime("%Y-%m-%d")
        ))?;
    }
    app.db().close().await;
    Ok(())
}

async fn revoke(args: &RevokeArgs) -> Outcome {
    let app = by_command(&args.database).await?;
    app.revoke_key(args.id).await?;
    app.db().close().await;
    print(&format!("revoked {}", args.id))?;
    Ok(())
}
