//! Settings from flags and environment. The only place that reads the environment, through `clap`.

use clap::{Args, ValueEnum};
use jiff::tz::TimeZone;
use std::net::SocketAddr;
use std::time::Duration;

/// How the log is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    /// Lines for people.
    Text,
    /// One JSON object a line.
    Json,
}

/// What is logged, and how.
#[derive(Debug, Clone, Args)]
pub struct LogConfig {
    /// What is logged: a level, or levels by part such as `info,offtake=debug`; `info` for the
    /// service and `warn` for other commands when not given
    #[arg(long, global = true, env = "OFFTAKE_LOG")]
    pub log: Option<String>,
    /// How it is written, on standard error
    #[arg(
        long,
        global = true,
        env = "OFFTAKE_LOG_FORMAT",
        value_enum,
        default_value = "text"
    )]
    pub log_format: LogFormat,
}

/// Where the data are.
#[derive(Debug, Clone, Args)]
pub struct DatabaseConfig {
    /// Address of the database, `sqlite://...` or `postgres://...`
    #[arg(
        long,
        env = "OFFTAKE_DATABASE_URL",
        hide_env_values = true,
        default_value = "sqlite://offtake.db"
    )]
    pub database: String,
}

/// How the service runs.
#[derive(Debug, Clone, Args)]
pub struct ServeConfig {
    /// Address and port to listen on; port 0 picks a free one
    #[arg(long, env = "OFFTAKE_LISTEN", default_value = "127.0.0.1:8080")]
    pub listen: SocketAddr,
    /// The database.
    #[command(flatten)]
    pub database: DatabaseConfig,
    /// Requests a minute that one key may make; 0 for any number
    #[arg(long, env = "OFFTAKE_RATE_LIMIT", default_value_t = 0)]
    pub rate_limit: u32,
    /// Heavy jobs (papers, cut plans) done at once; 0 for one per processor
    #[arg(long, env = "OFFTAKE_HEAVY_WORKERS", default_value_t = 0)]
    pub heavy_workers: usize,
    /// Heavy jobs that may wait before more are refused
    #[arg(long, env = "OFFTAKE_HEAVY_QUEUE", default_value_t = 32)]
    pub heavy_queue: usize,
    /// Send webhooks to private addresses, too, and without TLS: for receivers in the shop's own
    /// network
    #[arg(long, env = "OFFTAKE_PRIVATE_WEBHOOKS")]
    pub private_webhooks: bool,
    /// How customers reach the service, such as `https://quotes.example.com`: links are then
    /// answered with their whole address
    #[arg(long, env = "OFFTAKE_PUBLIC_URL", value_parser = public_url)]
    pub public_url: Option<String>,
    /// The shop's time zone, such as `America/Denver`: in whose days quotes are issued and expire
    #[arg(long, env = "OFFTAKE_TIME_ZONE", default_value = "UTC", value_parser = time_zone)]
    pub time_zone: TimeZone,
    /// Seconds to wait, when told to stop, for requests that are being answered
    #[arg(long, env = "OFFTAKE_STOP_SECONDS", default_value_t = 30)]
    pub stop_seconds: u64,
}

impl ServeConfig {
    /// How long to wait for requests in flight when stopping.
    pub const fn grace(&self) -> Duration {
        Duration::from_secs(self.stop_seconds)
    }

    /// Heavy jobs done at once.
    pub fn workers(&self) -> usize {
        match self.heavy_workers {
            0 => std::thread::available_parallelism().map_or(2, usize::from),
            number => number,
        }
    }
}

/// A time zone by its name in the IANA database.
fn time_zone(name: &str) -> Result<TimeZone, String> {
    TimeZone::get(name).map_err(|error| {
        format!("{error}; give a name of the IANA time zone database, such as America/Denver")
    })
}

/// An address that other addresses can be put behind.
fn public_url(text: &str) -> Result<String, String> {
    let url = reqwest::Url::parse(text).map_err(|error| error.to_string())?;
    let has_user = !url.username().is_empty() || url.password().is_some();
    let is_plain = url.query().is_none() && url.fragment().is_none() && !has_user;
    if !matches!(url.scheme(), "http" | "https") || !is_plain {
        return Err(
            "give an address such as https://quotes.example.com, without user, query or fragment"
                .to_owned(),
        );
    }
    Ok(url.as_str().trim_end_matches('/').to_owned())
}

#[cfg(test)]
mod tests {
    use super::{public_url, time_zone};

    #[test]
    fn a_time_zone_is_known_by_its_name() {
        let zone = time_zone("America/Denver").unwrap();
        assert_eq!(zone.iana_name(), Some("America/Denver"));
        for bad in ["Denver", "MST plus", ""] {
            assert!(
                time_zone(bad)
                    .unwrap_err()
                    .contains("such as America/Denver")
            );
        }
    }

    #[test]
    fn a_public_address_is_one_that_others_can_be_put_behind() {
        let good = [
            ("https://quotes.example.com", "https://quotes.example.com"),
            ("http://10.0.0.7:8080/", "http://10.0.0.7:8080"),
            ("https://example.com/shop/", "https://example.com/shop"),
        ];
        for (given, kept) in good {
            assert_eq!(public_url(given).as_deref(), Ok(kept));
        }
        for bad in [
            "quotes.example.com",
            "ftp://example.com",
            "https://example.com/?a=1",
            "https://u@example.com",
            "https://:secret@example.com",
            "",
        ] {
            assert!(public_url(bad).is_err(), "{bad}");
        }
    }
}
