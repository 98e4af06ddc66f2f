//! The command line. Results go to standard output, the log to standard error; exit 0 when done,
//! 1 when it failed, 2 when it was used wrongly.

mod audit;
mod backup;
mod compose;
mod demo;
mod import;
mod keys;
mod migrate;
mod openapi;
mod serve;
mod set_apart;

use crate::config::{LogConfig, ServeConfig};
use crate::telemetry;
use clap::{Parser, Subcommand};
use std::error::Error;
use std::io::{self, Write as _};
use std::process::ExitCode;

/// What a command answers with when it fails.
type Outcome = Result<(), Box<dyn Error + Send + Sync>>;

/// Checks, estimates, quotes and bench papers for copper pipe manifolds.
#[derive(Debug, Parser)]
#[command(version, about)]
struct Cli {
    #[command(subcommand)]
    command: Command,
    #[command(flatten)]
    log: LogConfig,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run the service
    Serve(ServeConfig),
    /// Print the OpenAPI document
    Openapi,
    /// Walk an invented shop through the whole job, then leave the server up to try
    Demo(demo::DemoConfig),
    /// Make, list and revoke keys
    #[command(subcommand)]
    Keys(keys::KeysCommand),
    /// Bring the tables of the database up to date
    Migrate(migrate::MigrateArgs),
    /// Write a whole copy of an embedded database, while the service goes on
    Backup(backup::BackupArgs),
    /// Verify and export the audit trail
    #[command(subcommand)]
    Audit(audit::AuditCommand),
    /// Take in sheets
    #[command(subcommand)]
    Import(import::ImportCommand),
    /// Set what a shop wrote, for the service
    #[command(hide = true)]
    SetApart(set_apart::SetApartArgs),
}

/// Runs the program.
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    match start(cli) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // Nobody is left to tell when standard error is closed.
            let _ = writeln!(io::stderr(), "offtake: {}", chain(error.as_ref()));
            ExitCode::FAILURE
        }
    }
}

fn start(cli: Cli) -> Outcome {
    // It has neither a log nor threads.
    if let Command::SetApart(args) = &cli.command {
        return set_apart::run(args);
    }
    let usual = match cli.command {
        Command::Serve(_) => "info",
        // Whoever runs a command by hand reads its result, not its log.
        _ => "warn",
    };
    telemetry::start(&cli.log, usual)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        match cli.command {
            Command::Serve(config) => serve::run(&config).await,
            Command::Openapi => openapi::run().await,
            Command::Demo(config) => demo::run(&config).await,
            Command::Keys(command) => keys::run(&command).await,
            Command::Migrate(args) => migrate::run(&args).await,
            Command::Backup(args) => backup::run(&args).await,
            Command::Audit(command) => audit::run(&command).await,
            Command::Import(command) => import::run(&command).await,
            Command::SetApart(args) => set_apart::run(&args),
        }
    })
}

/// An error with its causes, each once.
fn chain(error: &(dyn Error + 'static)) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(next) = cause {
        text.push_str(": ");
        text.push_str(&next.to_string());
        cause = next.source();
    }
    text
}

/// Prints one line of a result.
fn print(line: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    writeln!(out, "{line}")?;
    out.flush()
}
