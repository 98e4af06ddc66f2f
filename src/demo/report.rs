//! The demo's summary, in columns a terminal shows well.

use std::io::{self, Write};

use serde_json::Value;

/// A text field of an answer; empty when it is not there.
pub fn text<'a>(value: &'a Value, pointer: &str) -> &'a str {
    value
        .pointer(pointer)
        .and_then(Value::as_str)
        .unwrap_or_default()
}

/// A heading with a line under it.
pub fn heading(out: &mut dyn Write, title: &str) -> io::Result<()> {
    writeln!(out, "\n{title}\n{}", "-".repeat(title.chars().count()))
}

/// What is offered beside a quote.
pub fn options(out: &mut dyn Write, quote: &Value) -> io::Result<()> {
    for option in quote["options"].as_array().into_iter().flatten() {
        writeln!(
            out,
            "  option, not in the total: {}, net {} {}",
            text(option, "/name"),
            text(option, "/net/amount"),
            text(option, "/net/currency")
        )?;
    }
    Ok(())
}

/// What the checks say of each manifold.
pub fn checks(out: &mut dyn Write, answer: &Value) -> io::Result<()> {
    heading(out, "Checks")?;
    for item in answer["items"].as_array().into_iter().flatten() {
        let rated = item
            .pointer("/computed/rated_pressure/value")
            .and_then(Value::as_f64);
        let rated = rated.map_or_else(
            || "no rating of ours".to_owned(),
            |psi| {
                format!(
                    "rated {psi:.0} psi ({})",
                    text(item, "/computed/governed_by")
                )
            },
        );
        writeln!(
            out,
            "  {:<6} {:<24} {rated}",
            text(item, "/mark"),
            text(item, "/verdict").replace('_', " ")
        )?;
        for finding in item["findings"].as_array().into_iter().flatten() {
            if text(finding, "/level") != "note" {
                writeln!(
                    out,
                    "         {:<8} {}: {}",
                    text(finding, "/level"),
                    text(finding, "/rule"),
                    text(finding, "/detail")
                )?;
            }
            if text(finding, "/level") == "stop" {
                writeln!(out, "                  do: {}", text(finding, "/remedy"))?;
            }
        }
    }
    Ok(())
}

/// The builds side by side.
pub fn comparison(out: &mut dyn Write, answer: &Value) -> io::Result<()> {
    heading(out, "The four ways to build each, priced by themselves")?;
    writeln!(
        out,
        "  {:<6} {:>16} {:>16} {:>16} {:>16}",
        "", "formed outlets", "tees brazed", "tees soldered", "purchased"
    )?;
    for item in answer["items"].as_array().into_iter().flatten() {
        let cells: Vec<String> = item["builds"]
            .as_array()
            .into_iter()
            .flatten()
            .map(cell)
            .collect();
        writeln!(
            out,
            "  {:<6} {}",
            text(item, "/mark"),
            cells
                .iter()
                .map(|cell| format!("{cell:>16}"))
                .collect::<Vec<_>>()
                .join(" ")
        )?;
    }
    let mix = &answer["cheapest_mix"];
    writeln!(
        out,
        "  cheapest mix: {} {} ({})",
        text(mix, "/price/amount"),
        text(mix, "/price/currency"),
        text(mix, "/basis")
    )
}

fn cell(build: &Value) -> String {
    match (build["feasible"].as_bool(), text(build, "/price/amount")) {
        (Some(false), _) => "cannot be built".to_owned(),
        (_, "") => "not priced".to_owned(),
        (_, price) => price.to_owned(),
    }
}

/// The estimate's items, build-up and totals.
pub fn estimate(out: &mut dyn Write, answer: &Value) -> io::Result<()> {
    heading(out, "Estimate of what can be built")?;
    for item in answer["items"].as_array().into_iter().flatten() {
        let (mark, price) = (text(item, "/mark"), text(item, "/amount/amount"));
        if price.is_empty() {
            writeln!(out, "  {mark:<6} left out: it cannot be built like this")?;
            continue;
        }
        writeln!(
            out,
            "  {mark:<6} {:>3} x {:>10} {price:>12}   {} h",
            item["quantity"],
            text(item, "/unit_price/amount"),
            text(item, "/hours")
        )?;
    }
    let mut heads: Vec<(&str, f64)> = Vec::new();
    for line in answer["lines"].as_array().into_iter().flatten() {
        let amount: f64 = text(line, "/amount/amount").parse().unwrap_or(0.0);
        let head = text(line, "/head");
        match heads.iter_mut().find(|(known, _)| *known == head) {
            Some((_, sum)) => *sum += amount,
            None => heads.push((head, amount)),
        }
    }
    writeln!(out)?;
    for (head, amount) in heads {
        writeln!(out, "  {:<28} {amount:>12.2}", head.replace('_', " "))?;
    }
    for (name, pointer) in [
        ("net", "/net/amount"),
        ("tax", "/tax/amount"),
        ("gross", "/gross/amount"),
    ] {
        writeln!(out, "  {name:<28} {:>12}", text(answer, pointer))?;
    }
    writeln!(
        out,
        "  as hours vary, net stays below {} / {} / {} in 50 / 80 / 90 of 100 cases",
        text(answer, "/percentiles/p50/amount"),
        text(answer, "/percentiles/p80/amount"),
        text(answer, "/percentiles/p90/amount")
    )?;
    for remark in answer["remarks"].as_array().into_iter().flatten() {
        writeln!(out, "  note: {}", remark.as_str().unwrap_or_default())?;
    }
    Ok(())
}

/// The sticks that the schedule is cut from.
pub fn cut_plan(out: &mut dyn Write, answer: &Value) -> io::Result<()> {
    heading(
        out,
        "Sticks, with the pieces of all manifolds nested in them",
    )?;
    for tube in answer["tubes"].as_array().into_iter().flatten() {
        writeln!(
            out,
            "  {:<10} {:>3} {:<6} {:>10} {}, {} kept, {} scrap",
            text(tube, "/tube"),
            tube["sticks"],
            if tube["sticks"] == 1 {
                "stick"
            } else {
                "sticks"
            },
            text(tube, "/cost/amount"),
            text(tube, "/cost/currency"),
            text(tube, "/lengths/kept/text"),
            text(tube, "/lengths/scrap/text")
        )?;
    }
    let proof = match answer["proven"].as_bool() {
        Some(true) => "proven: no plan costs less".to_owned(),
        _ => format!("no plan costs less than {}", text(answer, "/bound/amount")),
    };
    writeln!(
        out,
        "  cost {} {}; {proof}; drawn in cut-plan.svg",
        text(answer, "/cost/amount"),
        text(answer, "/cost/currency")
    )
}
