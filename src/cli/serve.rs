//! `offtake serve`: runs the service until it is told to stop.

use super::{Outcome, compose, print};
use crate::app::App;
use crate::config::ServeConfig;
use crate::http::rate::RateLimit;
use crate::http::router;
use crate::http::state::{ApiState, Limits, Ports};
use crate::server::{Ended, Server, stop_signal};
use std::net::SocketAddr;
use std::time::Duration;

/// Runs it.
pub async fn run(config: &ServeConfig) -> Outcome {
    let app = compose::app(&config.database.database)
        .await?
        .with_time_zone(config.time_zone.clone());
    guard_open_door(config.listen, compose::has_keys(&app).await?)?;
    let limits = Limits {
        rate: (config.rate_limit > 0).then_some(RateLimit {
            requests: config.rate_limit,
            window: Duration::from_secs(60),
        }),
        heavy_workers: config.workers(),
        heavy_queue: config.heavy_queue,
        private_webhooks: config.private_webhooks,
        ..Limits::default()
    };
    let ports = Ports {
        public_url: config.public_url.as_deref().map(Into::into),
        ..compose::ports(&app)
    };
    let state = ApiState::new(ports, limits)?;
    let router = router::router(state)?;
    let stop = stop_signal()?;
    let server = Server::bind(config.listen, config.grace())
        .await
        .map_err(|error| format!("cannot listen on {}: {error}", config.listen))?;
    print(&format!("listening on http://{}", server.address()))?;
    let courier = compose::HttpCourier::new(config.private_webhooks)?;
    let carrying = tokio::spawn(carry_notices(app, courier));
    let ended = server.run(router, stop).await;
    // What is being carried is not written down, and so is carried again after the next start.
    carrying.abort();
    match ended {
        Ended::Finished => Ok(()),
        Ended::CutOff => {
            Err("some requests were cut off after the time allowed for stopping".into())
        }
    }
}

/// Carries notices for as long as the service runs.
async fn carry_notices(app: App, courier: compose::HttpCourier) {
    loop {
        let pause = match app.deliver_due(&courier).await {
            Ok(0) => Duration::from_secs(1),
            Ok(_) => Duration::ZERO,
            Err(error) => {
                tracing::error!(%error, "notices could not be carried");
                Duration::from_secs(10)
            }
        };
        tokio::time::sleep(pause).await;
    }
}

/// Refuses to listen beyond this machine while no key is made: such a server could be of no use to
/// anyone, and shows that a step was forgotten.
fn guard_open_door(listen: SocketAddr, has_keys: bool) -> Result<(), String> {
    if listen.ip().is_loopback() || has_keys {
        return Ok(());
    }
    Err(format!(
        "refusing to listen on {listen}, beyond this machine, while no key is made; make one with: offtake keys create --scope admin --label office"
    ))
}

#[cfg(test)]
mod tests {
    use super::guard_open_door;

    #[test]
    fn beyond_this_machine_a_key_is_needed_first() {
        let open = "0.0.0.0:8080".parse().unwrap();
        let refused = guard_open_door(open, false).unwrap_err();
        assert!(refused.contains("offtake keys create"));
        assert_eq!(guard_open_door(open, true), Ok(()));
        assert_eq!(
            guard_open_door("127.0.0.1:0".parse().unwrap(), false),
            Ok(())
        );
        assert_eq!(guard_open_door("[::1]:0".parse().unwrap(), false), Ok(()));
    }
}
