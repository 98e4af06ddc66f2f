//! Carries notices over HTTP.

use std::error::Error;
use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use reqwest::dns::{Addrs, Name, Resolve, Resolving};
use reqwest::redirect::Policy;
use reqwest::{Client, Url};

use crate::app::webhooks::{Courier, Parcel, Receipt, is_public};

/// How long a receiver may take: the specification proposes 15 to 30 seconds.
const PATIENCE: Duration = Duration::from_secs(20);

/// A courier over HTTP.
#[derive(Debug)]
pub struct HttpCourier {
    client: Client,
    private: bool,
}

impl HttpCourier {
    /// One that reaches the public net, over TLS; with `private`, any address, with or without TLS.
    ///
    /// # Errors
    /// When the client cannot be set up.
    pub fn new(private: bool) -> Result<Self, reqwest::Error> {
        // A redirect could lead anywhere, and is no success by the specification; a proxy would
        // resolve names by itself.
        let builder = Client::builder()
            .timeout(PATIENCE)
            .redirect(Policy::none())
            .no_proxy()
            .user_agent("offtake");
        let builder = match private {
            true => builder,
            false => builder.dns_resolver(Arc::new(PublicOnly)),
        };
        Ok(Self {
            client: builder.build()?,
            private,
        })
    }

    /// The address, if it may be sent to. Names are judged by what they resolve to, when they do.
    fn allowed(&self, text: &str) -> Result<Url, String> {
        let url = Url::parse(text).map_err(|error| format!("not sent: {error}"))?;
        if self.private {
            return Ok(url);
        }
        if url.scheme() != "https" {
            return Err("not sent: only https addresses are sent to".to_owned());
        }
        let host = url.host_str().unwrap_or_default();
        let bare = host.trim_start_matches('[').trim_end_matches(']');
        match bare.parse::<IpAddr>() {
            Ok(address) if !is_public(address) => {
                Err(format!("not sent: {host} is a private address"))
            }
            _ => Ok(url),
        }
    }

    async fn send(&self, parcel: Parcel) -> Receipt {
        let url = self.allowed(&parcel.url)?;
        let answer = self
            .client
            .post(url)
            .header("content-type", "application/json")
            .header("webhook-id", parcel.id)
            .header("webhook-timestamp", parcel.timestamp)
            .header("webhook-signature", parcel.signature)
            .body(parcel.body)
            .send()
            .await;
        answer
            .map(|answer| answer.status().as_u16())
            .map_err(|error| format!("no answer: {}", causes(&error.without_url())))
    }
}

impl Courier for HttpCourier {
    fn carry(&self, parcel: Parcel) -> Pin<Box<dyn Future<Output = Receipt> + Send + '_>> {
        Box::pin(self.send(parcel))
    }
}

fn causes(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(next) = cause {
        text = format!("{text}: {next}");
        cause = next.source();
    }
    text
}

/// Resolves names to public addresses alone, at the moment of sending: a name that meant something
/// else when the webhook was made leads nowhere else now.
struct PublicOnly;

impl Resolve for PublicOnly {
    fn resolve(&self, name: Name) -> Resolving {
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await?;
            let public: Vec<SocketAddr> = found.filter(|address| is_public(address.ip())).collect();
            if public.is_empty() {
                return Err(format!("{} has no public address", name.as_str()).into());
            }
            Ok(Box::new(public.into_iter()) as Addrs)
        })
    }
}
