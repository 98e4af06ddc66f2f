//! Stopping finishes what is in flight.

use super::harness::{TestServer, soon};
use offtake::server::Ended;
use reqwest::{Method, StatusCode};
use tokio::net::TcpStream;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_request_in_flight_is_answered_and_new_ones_are_not_taken() {
    let mut server = TestServer::start().await;
    // An idle connection does not hold the server up.
    let idle = TcpStream::connect(server.address).await.unwrap();
    let in_flight = tokio::spawn(server.admin(Method::POST, "/v1/test/held").send());
    soon(server.counters.entered.notified()).await;
    server.begin_stop();
    let refused = async {
        while TcpStream::connect(server.address).await.is_ok() {
            tokio::task::yield_now().await;
        }
    };
    soon(refused).await;
    assert!(!in_flight.is_finished());
    server.counters.release.notify_one();
    let answer = in_flight.await.unwrap().unwrap();
    assert_eq!(answer.status(), StatusCode::CREATED);
    drop(answer);
    assert_eq!(server.ended().await, Ended::Finished);
    drop(idle);
}
