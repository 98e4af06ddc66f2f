//! The walk: shop, prices, times, checks, drawings, comparison, estimate, quote, books.

use std::fs;
use std::io::Write;

use serde_json::{Value, json};

use super::client::{Body, Client};
use super::report::{self, text};
use super::{Demo, DemoError};

const SHOP: &str = include_str!("data/shop.json");
const PRICES: &str = include_str!("data/prices.csv");
const LABOUR: &str = include_str!("data/labour.csv");
const SCHEDULE: &str = include_str!("data/schedule.json");
const OPTIONS: &str = include_str!("data/options.json");

/// Walks through the whole job and prints what came of it.
///
/// # Errors
/// When a call fails or a file cannot be written.
pub async fn walk(demo: &Demo, out: &mut dyn Write) -> Result<(), DemoError> {
    let client = Client::new(&demo.base, &demo.key);
    fs::create_dir_all(&demo.out)?;
    let schedule: Value = read("schedule.json", SCHEDULE)?;
    set_up_shop(&client, demo, out).await?;
    let verdicts = check_and_draw(&client, demo, &schedule, out).await?;
    let compared = client
        .post(
            "/v1/estimates/compare",
            Body::Json(json!({"manifolds": schedule})),
            "demo-compare",
        )
        .await?;
    report::comparison(out, &compared.json())?;
    let estimated = client
        .post(
            "/v1/estimates",
            Body::Json(json!({"manifolds": schedule})),
            "demo-estimate",
        )
        .await?;
    report::estimate(out, &estimated.json())?;
    let good = buildable(&schedule, &verdicts);
    plan_sticks(&client, demo, &good, out).await?;
    quote(&client, demo, &good, out).await?;
    pull_totals(&client, demo, out).await?;
    try_next(demo, &good, out)
}

fn read(name: &str, data: &str) -> Result<Value, DemoError> {
    serde_json::from_str(data).map_err(|error| DemoError::Unexpected(format!("{name} ({error})")))
}

async fn set_up_shop(client: &Client, demo: &Demo, out: &mut dyn Write) -> Result<(), DemoError> {
    report::heading(out, "The shop")?;
    client
        .put("/v1/shop", Body::Json(read("shop.json", SHOP)?), None)
        .await?;
    writeln!(
        out,
        "  Fernhollow Pipeworks, invented for this demo, like its prices and its times"
    )?;
    let head = json!({"name": "Demo prices", "supplier": "Invented Metals", "currency": "USD", "effective_on": demo.today.to_string()});
    publish(client, "/v1/price-lists", head, ("items", PRICES)).await?;
    writeln!(out, "  {} prices published", PRICES.lines().count() - 1)?;
    let head = json!({"name": "Demo times", "effective_on": demo.today.to_string()});
    publish(client, "/v1/labour-models", head, ("times", LABOUR)).await?;
    writeln!(
        out,
        "  {} operation times published, source: demo",
        LABOUR.lines().count() - 1
    )?;
    Ok(())
}

/// Makes a draft, fills it from a sheet, publishes it.
async fn publish(
    client: &Client,
    place: &str,
    head: Value,
    (part, sheet): (&str, &'static str),
) -> Result<(), DemoError> {
    let made = client
        .post(place, Body::Json(head), &format!("demo-{part}"))
        .await?;
    let id = text(&made.json(), "/id").to_owned();
    let address = format!("{place}/{id}");
    client
        .put(
            &format!("{address}/{part}"),
            Body::Csv(sheet),
            made.etag.as_deref(),
        )
        .await?;
    client
        .post(
            &format!("{address}/publish"),
            Body::None,
            &format!("demo-publish-{part}"),
        )
        .await?;
    Ok(())
}

/// Checks the schedule and writes a drawing of each manifold; the verdicts in order.
async fn check_and_draw(
    client: &Client,
    demo: &Demo,
    schedule: &Value,
    out: &mut dyn Write,
) -> Result<Vec<String>, DemoError> {
    let checked = client
        .post(
            "/v1/manifolds/check",
            Body::Json(json!({"manifolds": schedule})),
            "demo-check",
        )
        .await?
        .json();
    report::checks(out, &checked)?;
    for manifold in schedule.as_array().into_iter().flatten() {
        let drawing = client
            .post_for(
                "/v1/manifolds/layout",
                json!({"manifolds": [manifold]}),
                "image/svg+xml",
            )
            .await?;
        fs::write(
            demo.out.join(format!("{}.svg", text(manifold, "/mark"))),
            drawing.bytes,
        )?;
    }
    if let Some(first) = schedule.get(0) {
        write_for_the_bench(client, demo, first).await?;
    }
    let verdict = |item: &Value| text(item, "/verdict").to_owned();
    Ok(checked["items"]
        .as_array()
        .into_iter()
        .flatten()
        .map(verdict)
        .collect())
}

/// One manifold as the bench and CAD take it.
async fn write_for_the_bench(
    client: &Client,
    demo: &Demo,
    manifold: &Value,
) -> Result<(), DemoError> {
    for (form, ending) in [
        ("application/dxf", ".dxf"),
        ("application/pdf", "-bench.pdf"),
    ] {
        let request = json!({"manifolds": [manifold]});
        let paper = client
            .post_for("/v1/manifolds/layout", request, form)
            .await?;
        let name = format!("{}{ending}", text(manifold, "/mark"));
        fs::write(demo.out.join(name), paper.bytes)?;
    }
    Ok(())
}

/// Nests the tube of what can be built in sticks, as figures and as a picture.
async fn plan_sticks(
    client: &Client,
    demo: &Demo,
    good: &[Value],
    out: &mut dyn Write,
) -> Result<(), DemoError> {
    let request = json!({"kerf": "1/16 in", "end_trim": "1/4 in", "keep": {"least": "24 in"}, "manifolds": good});
    let plan = client
        .post(
            "/v1/cut-plans",
            Body::Json(request.clone()),
            "demo-cut-plan",
        )
        .await?;
    report::cut_plan(out, &plan.json())?;
    let picture = client
        .post_for("/v1/cut-plans", request, "image/svg+xml")
        .await?;
    fs::write(demo.out.join("cut-plan.svg"), picture.bytes)?;
    Ok(())
}

fn buildable(schedule: &Value, verdicts: &[String]) -> Vec<Value> {
    schedule
        .as_array()
        .into_iter()
        .flatten()
        .zip(verdicts)
        .filter(|(_, verdict)| *verdict != "not_buildable")
        .map(|(manifold, _)| manifold.clone())
        .collect()
}

/// The offer: what can be built, one of it also built otherwise, and a spare.
fn offer(good: &[Value]) -> Result<Value, DemoError> {
    Ok(json!({
        "customer": {"name": "Quillmark Mechanical", "contact": "R. Ashdown", "address": ["18 Saltmarsh Road", "Penwick"], "email": "r.ashdown@quillmark.example"},
        "project": "Penwick school, plant room",
        "note": "Thank you for your enquiry. Lead time is two weeks from your order.",
        "manifolds": good,
        "options": read("options.json", OPTIONS)?}))
}

async fn quote(
    client: &Client,
    demo: &Demo,
    good: &[Value],
    out: &mut dyn Write,
) -> Result<(), DemoError> {
    report::heading(out, "Quote")?;
    let drafted = client
        .post("/v1/quotes", Body::Json(offer(good)?), "demo-quote")
        .await?
        .json();
    let number = text(&drafted, "/number").to_owned();
    let issued = client
        .post(
            &format!("/v1/quotes/{number}/issue"),
            Body::None,
            "demo-issue",
        )
        .await?
        .json();
    writeln!(
        out,
        "  {number} revision 1 issued on {}, valid until {}: net {}, tax {}, gross {} {}",
        text(&issued, "/issued_on"),
        text(&issued, "/valid_until"),
        text(&issued, "/net/amount"),
        text(&issued, "/tax/amount"),
        text(&issued, "/gross/amount"),
        text(&issued, "/gross/currency")
    )?;
    report::options(out, &issued)?;
    let document = format!("/v1/quotes/{number}/revisions/1/document");
    for (form, ending) in [
        ("application/pdf", "pdf"),
        ("application/json", "json"),
        ("application/xml", "xml"),
        ("text/html", "html"),
        (
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            "xlsx",
        ),
    ] {
        let paper = client.get(&document, form).await?;
        fs::write(demo.out.join(format!("{number}.{ending}")), paper.bytes)?;
    }
    let accepted = json!({"name": "R. Ashdown", "po_number": "PO-20418"});
    client
        .post(
            &format!("/v1/quotes/{number}/accept"),
            Body::Json(accepted),
            "demo-accept",
        )
        .await?;
    writeln!(out, "  accepted by R. Ashdown under PO-20418")?;
    Ok(())
}

async fn pull_totals(client: &Client, demo: &Demo, out: &mut dyn Write) -> Result<(), DemoError> {
    report::heading(out, "Books")?;
    let totals = client.get("/v1/quote-totals", "text/csv").await?;
    for line in String::from_utf8_lossy(&totals.bytes).lines() {
        writeln!(out, "  {line}")?;
    }
    fs::write(demo.out.join("quote-totals.csv"), totals.bytes)?;
    Ok(())
}

fn try_next(demo: &Demo, good: &[Value], out: &mut dyn Write) -> Result<(), DemoError> {
    let body = demo.out.join("check.json");
    let request = json!({"manifolds": good.iter().take(1).collect::<Vec<_>>()});
    fs::write(&body, format!("{request:#}\n"))?;
    if !demo.stays {
        writeln!(
            out,
            "\n  papers, drawings and the totals are in {}; run the demo without --once to keep its server up",
            demo.out.display()
        )?;
        return Ok(());
    }
    let (base, key) = (&demo.base, &demo.key);
    report::heading(out, "What to try next")?;
    writeln!(
        out,
        "  papers, drawings and the totals are in {}",
        demo.out.display()
    )?;
    writeln!(out, "  server {base}")?;
    writeln!(out, "  key    {key}")?;
    writeln!(
        out,
        "  curl -H \"Authorization: Bearer {key}\" -H \"Content-Type: application/json\" --data @{} {base}/v1/manifolds/check",
        body.display()
    )?;
    writeln!(
        out,
        "  curl -H \"Authorization: Bearer {key}\" \"{base}/v1/tubes/b88-l-2/rating?temperature=180%20degF&temper=annealed\""
    )?;
    writeln!(
        out,
        "  curl -H \"Authorization: Bearer {key}\" \"{base}/v1/quote-totals?format=csv\""
    )?;
    writeln!(out, "  the documentation is at {base}/docs")?;
    out.flush()?;
    Ok(())
}
