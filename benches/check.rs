//! How long a check takes: of one manifold in the library, and of a hundred over the interface.
//!
//! `cargo bench --bench check` prints microseconds, which differ from machine to machine, and ratios
//! to something measured in the same run, which differ little: to parsing the manifold's own JSON;
//! to a route beside the service that only parses the same body and echoes it, for schedules that are
//! asked again, as a spreadsheet does that is worked out anew, and for schedules never seen before.

#![expect(clippy::unwrap_used, reason = "a bench may fail by panicking")]
#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod service;
mod timing;

use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use axum::routing::post;
use axum::{Json, Router};
use http_body_util::BodyExt;
use offtake::http::auth::Scope;
use offtake::http::{router, v1};
use offtake::trade::catalogue::Catalogue;
use offtake::trade::check::check;
use offtake::trade::manifold::{
    Build, Design, EndDesign, EndKind, Manifold, OutletDuty, OutletRow, RunDesign,
};
use offtake::trade::metal::Metal;
use offtake::trade::outlet::GivenCollar;
use offtake::trade::quantity::{Angle, Length, Pressure, Temperature};
use offtake::trade::rule_set::RuleSet;
use offtake::trade::service::Service;
use offtake::trade::tube::Temper;
use serde_json::{Value, json};
use service::{KEY, state};
use timing::median;
use tower::ServiceExt;

/// Manifolds of a request.
const MANIFOLDS: usize = 100;
/// Requests on their way at once.
const AT_ONCE: usize = 4;

/// Twelve outlets of 1 in on 2 in, every 5 in.
fn design(catalogue: &Catalogue) -> Design {
    let tube = |id: &str| Arc::clone(catalogue.tube(id).unwrap());
    let end = EndDesign {
        kind: EndKind::Plain,
        beyond: Some(Length::inches(4.0)),
        joins: Metal::Copper,
    };
    Design {
        mark: "B-1".to_owned(),
        quantity: 1,
        service: Service::HydronicHeating,
        design_pressure: Pressure::psi(75.0),
        design_temperature: Temperature::fahrenheit(180.0),
        build: Build::FormedOutlets,
        run: RunDesign {
            tube: tube("b88-l-2"),
            temper: Temper::Drawn,
            ends: [end; 2],
            length: None,
        },
        outlets: vec![OutletRow {
            tube: tube("b88-l-1"),
            station: None,
            count: Some(12),
            first: Some(Length::inches(4.0)),
            pitch: Some(Length::inches(5.0)),
            clock: Angle::ZERO,
            stub: Length::inches(3.0),
            flow: None,
            duty: OutletDuty::default(),
            collar: GivenCollar::default(),
            joins: Metal::Copper,
        }],
        filler: None,
        filler_wire: None,
        conditions: Vec::new(),
        supply: None,
    }
}

/// The same, as a request says it.
fn written() -> Value {
    json!({"mark": "B-1", "quantity": 1, "service": "hydronic_heating",
        "design_pressure": "75 psi", "design_temperature": "180 degF", "build": "formed_outlets",
        "run": {"tube": "b88-l-2", "temper": "drawn",
            "ends": [{"kind": "plain", "beyond": "4 in"}, {"kind": "plain", "beyond": "4 in"}]},
        "outlets": [{"tube": "b88-l-1", "count": 12, "first": "4 in", "pitch": "5 in",
            "clock": "0 deg", "stub": "3 in"}]})
}

/// The check of one manifold, in the library.
fn library() -> Duration {
    let catalogue = Catalogue::load().unwrap();
    let rules = RuleSet::default_set();
    let manifold = Manifold::resolve(design(&catalogue), &catalogue).unwrap();
    let text = written().to_string();
    let checking = median(2001, || {
        black_box(check(black_box(&manifold), &catalogue, &rules));
    });
    let parsing = median(2001, || {
        black_box(serde_json::from_str::<Value>(black_box(&text)).unwrap());
    });
    println!(
        "check of one manifold of 12 outlets: {:.1} us, {:.1} times parsing its own JSON ({} bytes)",
        checking.as_secs_f64() * 1e6,
        checking.as_secs_f64() / parsing.as_secs_f64(),
        text.len()
    );
    checking
}

/// Parses and echoes; it lives here alone.
async fn echo(Json(body): Json<Value>) -> Json<Value> {
    Json(body)
}

async fn service() -> Router {
    let state = state(Scope::Check, "sqlite::memory:").await;
    let resources = v1::routes(&state).route("/v1/echo", post(echo));
    router::router_of(state, resources).unwrap()
}

/// Sends the body and reads the whole answer; its length.
async fn ask(service: Router, path: &'static str, body: Arc<str>) -> usize {
    let request = Request::post(path)
        .header(header::AUTHORIZATION, format!("Bearer {KEY}"))
        .header(header::CONTENT_TYPE, "application/json")
        .body(Body::from(body.to_string()))
        .unwrap();
    let answer = service.oneshot(request).await.unwrap();
    assert_eq!(answer.status(), StatusCode::OK);
    answer.into_body().collect().await.unwrap().to_bytes().len()
}

/// A schedule of its own: no two of its manifolds are alike, and none is in another schedule.
fn schedule(number: usize) -> Arc<str> {
    let manifolds = (0..MANIFOLDS).map(|place| {
        let mut one = written();
        one["mark"] = json!(format!("B-{number}-{place}"));
        one["outlets"][0]["pitch"] = json!(format!("{} in", 5.0 + place as f64 / 100.0));
        one
    });
    json!({ "manifolds": manifolds.collect::<Vec<_>>() })
        .to_string()
        .into()
}

/// Requests a second, taking the schedules in turn.
async fn rate(service: &Router, path: &'static str, schedules: &[Arc<str>], goes: usize) -> f64 {
    let begun = Instant::now();
    let each = (0..AT_ONCE).map(|caller| {
        let service = service.clone();
        let bodies: Vec<Arc<str>> = (0..goes)
            .map(|go| Arc::clone(&schedules[(caller + go * AT_ONCE) % schedules.len()]))
            .collect();
        tokio::spawn(async move {
            for body in bodies {
                black_box(ask(service.clone(), path, body).await);
            }
        })
    });
    for done in each.collect::<Vec<_>>() {
        done.await.unwrap();
    }
    (goes * AT_ONCE) as f64 / begun.elapsed().as_secs_f64()
}

/// The time of one request when nothing else is going on.
async fn alone(service: &Router, path: &'static str, body: &Arc<str>) -> Duration {
    let mut times = Vec::new();
    for _ in 0..201 {
        let begun = Instant::now();
        black_box(ask(service.clone(), path, Arc::clone(body)).await);
        times.push(begun.elapsed());
    }
    times.sort();
    times[times.len() / 2]
}

async fn interface(checking: Duration) {
    /// Schedules of the first time, and how often a few of them are asked again.
    const SCHEDULES: usize = 120;
    const AGAIN: usize = 300;
    let service = service().await;
    let schedules: Vec<Arc<str>> = (0..SCHEDULES).map(schedule).collect();
    let few = &schedules[SCHEDULES - 8..];
    let body = &schedules[0];
    let echoes = rate(&service, "/v1/echo", &schedules, AGAIN).await;
    for (path, what) in [
        ("/v1/manifolds/check", "everything"),
        (
            "/v1/manifolds/check?detail=verdict",
            "verdicts and findings",
        ),
    ] {
        let first = rate(&service, path, &schedules, SCHEDULES / AT_ONCE).await;
        // Whatever of these is no longer kept is worked out once.
        rate(&service, path, few, few.len()).await;
        let again = rate(&service, path, few, AGAIN).await;
        let answer = ask(service.clone(), path, Arc::clone(body)).await;
        println!(
            "{MANIFOLDS} manifolds over the interface, {what} ({answer} bytes for {}): asked again {again:.0} requests a second, {:.2} of the {echoes:.0} that parse and echo the same; never asked before {first:.0}, {:.3} of them, {:.0} us a manifold",
            body.len(),
            again / echoes,
            first / echoes,
            1e6 / first / MANIFOLDS as f64,
        );
    }
    // Half the rate is twice the time: what of that the checks themselves leave for reading a request
    // that was never seen and writing an answer that has the contract's fields for each outlet.
    let allowed = alone(&service, "/v1/echo", body).await * 2;
    let share = checking.as_secs_f64() * MANIFOLDS as f64 / allowed.as_secs_f64();
    println!(
        "of the time of two echoes, {share:.2} goes into checking {MANIFOLDS} manifolds in the library alone"
    );
}

fn main() {
    let checking = library();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(interface(checking));
}
