//! The server: bind, serve, stop gracefully.

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::Request;
use futures::future::{Either, select};
use hyper_util::rt::{TokioExecutor, TokioIo, TokioTimer};
use hyper_util::server::conn::auto::Builder;
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::error::Error;
use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::pin::pin;
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::signal::unix::{SignalKind, signal};
use tower::ServiceExt as _;

/// How long a client may take over the head of a request, and keep a connection idle.
const HEAD_TIMEOUT: Duration = Duration::from_secs(30);
/// Pause after a connection could not be accepted, such as when there are no file handles left.
const ACCEPT_PAUSE: Duration = Duration::from_millis(200);

/// A server that has its address and does not serve yet.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    grace: Duration,
}

/// How serving ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Everything in flight was finished.
    Finished,
    /// The time allowed for that ran out.
    CutOff,
}

impl Server {
    /// Takes the address; port 0 picks a free one. On stopping, requests in flight get `grace`.
    ///
    /// # Errors
    /// When the address cannot be had.
    pub async fn bind(address: SocketAddr, grace: Duration) -> io::Result<Self> {
        let listener = TcpListener::bind(address).await?;
        Ok(Self {
            address: listener.local_addr()?,
            listener,
            grace,
        })
    }

    /// The address it really has.
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// Serves until `stop` is over, then finishes what is in flight.
    pub async fn run(self, router: Router, stop: impl Future<Output = ()> + Send) -> Ended {
        let graceful = GracefulShutdown::new();
        let mut stop = pin!(stop);
        loop {
            match select(pin!(self.listener.accept()), stop.as_mut()).await {
                Either::Left((Ok((stream, _)), _)) => serve(stream, router.clone(), &graceful),
                Either::Left((Err(error), _)) => {
                    tracing::warn!(%error, "a connection could not be accepted");
                    tokio::time::sleep(ACCEPT_PAUSE).await;
                }
                Either::Right(((), _)) => break,
            }
        }
        drop(self.listener);
        tracing::info!(connections = graceful.count(), "stopping");
        match tokio::time::timeout(self.grace, graceful.shutdown()).await {
            Ok(()) => Ended::Finished,
            Err(_) => {
                tracing::warn!("some requests did not finish in time");
                Ended::CutOff
            }
        }
    }
}

fn into_axum<B>(request: Request<B>) -> Request<Body>
where
    B: http_body_util::BodyExt<Data = Bytes> + Send + 'static,
    B::Error: Into<Box<dyn Error + Send + Sync>>,
{
    request.map(Body::new)
}

fn serve(stream: TcpStream, router: Router, graceful: &GracefulShutdown) {
    if let Err(error) = stream.set_nodelay(true) {
        tracing::debug!(%error, "no-delay could not be set");
    }
    let mut builder = Builder::new(TokioExecutor::new());
    builder
        .http1()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIMEOUT)
        // A client of the simple kind closes its half as soon as it has asked.
        .half_close(true);
    builder.http2().timer(TokioTimer::new());
    let service = TowerToHyperService::new(router.map_request(into_axum));
    let connection = builder
        .serve_connection(TokioIo::new(stream), service)
        .into_owned();
    let connection = graceful.watch(connection);
    tokio::spawn(async move {
        if let Err(error) = connection.await {
            // The client hung up, or did not speak HTTP.
            tracing::debug!(%error, "a connection ended early");
        }
    });
}

/// Waits to be told to stop: SIGTERM, or Ctrl-C.
///
/// # Errors
/// When signals cannot be listened for.
pub fn stop_signal() -> io::Result<impl Future<Output = ()>> {
    let mut terminate = signal(SignalKind::terminate())?;
    let mut interrupt = signal(SignalKind::interrupt())?;
    Ok(async move {
        select(pin!(terminate.recv()), pin!(interrupt.recv())).await;
    })
}
