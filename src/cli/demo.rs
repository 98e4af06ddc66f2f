//! `offtake demo`: an invented shop, the whole main job, then a server to try.

use super::{Outcome, compose};
use crate::app::App;
use crate::demo::{Demo, walk};
use crate::http::auth::Scope;
use crate::http::router;
use crate::http::state::{ApiState, Limits};
use crate::server::{Server, stop_signal};
use crate::shop::audit::Actor;
use clap::Args;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::time::Duration;
use tokio::sync::oneshot;

/// How the demo runs.
#[derive(Debug, Clone, Args)]
pub struct DemoConfig {
    /// Stop when the job is done, instead of leaving the server up
    #[arg(long)]
    pub once: bool,
    /// Folder for papers, drawings and the demo's database; the database is made anew
    #[arg(long, default_value = "./demo-out")]
    pub out: PathBuf,
}

/// Runs it.
pub async fn run(config: &DemoConfig) -> Outcome {
    let app = fresh_app(config).await?;
    let by = app.acting_as(Actor::Command("offtake demo"));
    let key = super::keys::make(&by, "demo", &[Scope::Admin]).await?;
    let state = ApiState::new(compose::ports(&app), Limits::default())?;
    let router = router::router(state)?;
    let server = Server::bind(([127, 0, 0, 1], 0).into(), Duration::from_secs(5)).await?;
    let demo = Demo {
        base: format!("http://{}", server.address()),
        key,
        out: config.out.clone(),
        stays: !config.once,
        today: app.today(),
    };
    let (done, stopped) = oneshot::channel::<()>();
    let serving = tokio::spawn(server.run(router, async move {
        // Stops when told, or when nobody is left who could tell.
        let _ = stopped.await;
    }));
    let walked = walk(&demo, &mut io::stdout()).await;
    if walked.is_ok() && !config.once {
        super::print(&format!("\nlistening on {}; stop with Ctrl-C", demo.base))?;
        stop_signal()?.await;
    }
    let _ = done.send(());
    serving.await?;
    app.db().close().await;
    Ok(walked?)
}

/// The use cases over a database made anew in the demo's folder.
async fn fresh_app(config: &DemoConfig) -> Result<App, Box<dyn std::error::Error + Send + Sync>> {
    fs::create_dir_all(&config.out)?;
    let path = config.out.join("demo.db");
    for ending in ["", "-wal", "-shm"] {
        let mut name = path.clone().into_os_string();
        name.push(ending);
        match fs::remove_file(&name) {
            Ok(()) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error.into()),
        }
    }
    compose::app(&format!("sqlite://{}", path.display())).await
}
