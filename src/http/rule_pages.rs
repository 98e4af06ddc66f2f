//! The pages that explain the rules: formula, source, and an example checked when it is asked for.

use axum::Json;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::negotiate::{HTML, JSON, Negotiator};
use super::page::{escape, page, prose};
use super::problem::{Problem, ProblemBody, Slug};
use super::state::ApiState;
use super::v1::findings::{FigureOut, FindingOut, SourceOut};
use super::wire::{Units, WirePath, nearest};
use crate::trade::explain::{Explanation, WorkedExample, explanation};
use crate::trade::finding::Rule;
use crate::trade::rule_set::RuleSet;

/// The routes.
pub(in crate::http) fn routes() -> OpenApiRouter<ApiState> {
    OpenApiRouter::new()
        .routes(routes!(list_rules))
        .routes(routes!(get_rule))
}

/// Every page ends so.
const DEFERS: &str = "This helps a shop to judge. The code of the place, the specification of the job and licensed people decide.";

/// A rule in the list.
#[derive(Debug, Serialize, ToSchema)]
struct RuleSummary {
    /// Its name, as findings carry it.
    #[schema(value_type = String, example = "collar-height")]
    rule: &'static str,
    /// The page that explains it.
    #[schema(example = "/rules/collar-height")]
    href: String,
    /// The rule in a few words.
    #[schema(value_type = String, example = "The collar is high enough")]
    title: &'static str,
}

/// The rules.
#[derive(Debug, Serialize, ToSchema)]
struct RuleSummaries {
    /// Every rule, in the order findings are listed.
    items: Vec<RuleSummary>,
}

/// A figure that an example starts from.
#[derive(Debug, Serialize, ToSchema)]
struct GivenFigure {
    /// What it is.
    #[schema(value_type = String, example = "run wall")]
    name: &'static str,
    /// The figure.
    figure: FigureOut,
}

/// A rule at work on an example, checked when the page was asked for.
#[derive(Debug, Serialize, ToSchema)]
struct RuleExample {
    /// The rule set it was checked by.
    #[schema(value_type = String, example = "offtake-1")]
    rule_set: &'static str,
    /// The example in words.
    #[schema(example = "A manifold for hydronic heating: a run of 2 in type L, drawn tube.")]
    text: String,
    /// The figures it starts from.
    given: Vec<GivenFigure>,
    /// What the rule finds, the weightiest first.
    findings: Vec<FindingOut>,
}

/// A rule explained.
#[derive(Debug, Serialize, ToSchema)]
struct RulePage {
    /// Its name, as findings carry it.
    #[schema(value_type = String, example = "collar-height")]
    rule: &'static str,
    /// The rule in a few words.
    #[schema(value_type = String, example = "The collar is high enough")]
    title: &'static str,
    /// What it asks, and what happens otherwise.
    #[schema(value_type = String, example = "The branch is brazed into the collar, so the collar must be at least three walls high.")]
    explanation: &'static str,
    /// The formula, with its symbols; `null` when nothing is calculated.
    #[schema(required, value_type = Option<String>, example = "h = (D / 3) (1 - K^1.5)")]
    formula: Option<&'static str>,
    /// Where it comes from, each with how far it may be trusted.
    sources: Vec<SourceOut>,
    /// The rule at work.
    example: RuleExample,
    /// Who decides.
    #[schema(value_type = String, example = "The code of the place, the specification of the job and licensed people decide.")]
    caution: &'static str,
}

impl RulePage {
    fn of(rule: Rule, page: &Explanation, rules: &RuleSet, worked: WorkedExample) -> Self {
        let given = worked.given.into_iter().map(|(name, figure)| GivenFigure {
            name,
            figure: FigureOut::of(&figure, Units::Imperial),
        });
        Self {
            rule: rule.name(),
            title: page.title,
            explanation: page.text,
            formula: (!page.formula.is_empty()).then_some(page.formula),
            sources: page.sources.iter().map(SourceOut::from).collect(),
            example: RuleExample {
                rule_set: rules.name,
                text: worked.told,
                given: given.collect(),
                findings: FindingOut::all(&worked.findings, Units::Imperial),
            },
            caution: DEFERS,
        }
    }
}

/// Every rule
///
/// The rules that manifolds are checked by, for people (HTML, the default here) or programs (JSON).
#[utoipa::path(get, path = "/rules", tag = "meta", security(()),
    responses(
        (status = 200, description = "The rules.", content((RuleSummaries = "application/json"), (String = "text/html"))),
        (status = 406, description = "Neither HTML nor JSON is wanted.", body = ProblemBody, content_type = "application/problem+json"),
    ))]
async fn list_rules(negotiator: Negotiator) -> Result<Response, Problem> {
    let items: Vec<RuleSummary> = Rule::ALL
        .iter()
        .map(|rule| RuleSummary {
            rule: rule.name(),
            href: format!("/rules/{}", rule.name()),
            title: explanation(*rule).title,
        })
        .collect();
    if negotiator.choose(&[HTML, JSON])?.is(JSON) {
        return Ok(Json(RuleSummaries { items }).into_response());
    }
    let rows: String = items
        .iter()
        .map(|item| {
            format!(
                "<tr><td><a href=\"{}\"><code>{}</code></a></td><td>{}</td></tr>\n",
                item.href,
                item.rule,
                escape(item.title)
            )
        })
        .collect();
    let content = format!(
        "<p>Every finding of a check names its rule. Each rule has a page with its formula, its sources and an example that is checked when you open it.</p>\n\
         <table><thead><tr><th>Rule</th><th>What it asks</th></tr></thead><tbody>\n{rows}</tbody></table>\n<p>{DEFERS}</p>"
    );
    Ok(page("Rules", &content).into_response())
}

/// One rule explained
///
/// What it asks, by which formula and source, with an example that is checked by the same code when
/// it is asked for; for people (HTML, the default here) or programs (JSON).
#[utoipa::path(get, path = "/rules/{rule}", tag = "meta", security(()),
    params(("rule" = String, Path, description = "Name of the rule.", example = "collar-height")),
    responses(
        (status = 200, description = "The rule.", content((RulePage = "application/json"), (String = "text/html"))),
        (status = 404, description = "There is no such rule.", body = ProblemBody, content_type = "application/problem+json"),
        (status = 406, description = "Neither HTML nor JSON is wanted.", body = ProblemBody, content_type = "application/problem+json"),
    ))]
async fn get_rule(
    State(state): State<ApiState>,
    negotiator: Negotiator,
    WirePath(name): WirePath<String>,
) -> Result<Response, Problem> {
    let rule = Rule::named(&name).ok_or_else(|| unknown(&name))?;
    let (rules, page) = (RuleSet::default_set(), explanation(rule));
    let worked = page
        .worked(rule, state.app().catalogue(), &rules)
        .ok_or_else(|| Problem::internal(&"the example of a rule cannot be put together"))?;
    let shown = RulePage::of(rule, &page, &rules, worked);
    if negotiator.choose(&[HTML, JSON])?.is(JSON) {
        return Ok(Json(shown).into_response());
    }
    Ok(super::page::page(shown.title, &html(&shown)).into_response())
}

fn unknown(name: &str) -> Problem {
    let near = nearest(name, Rule::ALL.iter().map(|rule| rule.name()));
    let hint = near.map_or_else(String::new, |near| format!(" Did you mean `{near}`?"));
    let shown: String = name.chars().take(80).collect();
    Problem::new(Slug::NotFound).with_detail(format!(
        "There is no rule \"{shown}\".{hint} `/rules` lists them."
    ))
}

fn html(shown: &RulePage) -> String {
    let formula = shown
        .formula
        .map_or_else(|| "<p>Nothing is calculated.</p>".to_owned(), equations);
    let sources: String = shown
        .sources
        .iter()
        .map(|source| {
            format!(
                "<tr><td>{}</td><td>{}</td></tr>\n",
                escape(&source.cite),
                source.status.as_str().replace('_', " ")
            )
        })
        .collect();
    let given: String = shown
        .example
        .given
        .iter()
        .map(|given| {
            format!(
                "<tr><th scope=\"row\">{}</th><td>{}</td></tr>\n",
                given.name,
                said(&given.figure)
            )
        })
        .collect();
    let findings: String = shown.example.findings.iter().map(finding).collect();
    format!(
        "<p>Rule <code>{}</code></p>\n<p>{}</p>\n<h2>Formula</h2>\n{formula}\n<h2>Sources</h2>\n\
         <table><thead><tr><th>Source</th><th>How far it may be trusted</th></tr></thead><tbody>\n{sources}</tbody></table>\n\
         <h2>An example, checked now</h2>\n<p>{}</p>\n<table><tbody>\n{given}</tbody></table>\n\
         <p>By rule set <code>{}</code> the check says:</p>\n{findings}<p>{}</p>\n<p><a href=\"/rules\">All rules</a></p>",
        shown.rule,
        prose(shown.explanation),
        escape(&shown.example.text),
        shown.example.rule_set,
        shown.caution,
    )
}

/// A formula, one step a line, and below it what its symbols mean.
fn equations(formula: &str) -> String {
    let (steps, symbols) = formula.split_once(", where ").unwrap_or((formula, ""));
    let lines: String = steps
        .split("; ")
        .map(|step| format!("<li><code>{}</code></li>\n", escape(step)))
        .collect();
    let symbols = match symbols {
        "" => String::new(),
        symbols => format!("<p>Here {}.</p>\n", escape(symbols)),
    };
    format!("<ul class=\"formula\">\n{lines}</ul>\n{symbols}")
}

fn finding(found: &FindingOut) -> String {
    let figures = match (&found.measured, &found.limit) {
        (Some(measured), Some(limit)) => format!(
            "<tr><th scope=\"row\">measured</th><td>{}</td></tr>\n<tr><th scope=\"row\">limit</th><td>{}</td></tr>\n",
            said(measured),
            said(limit)
        ),
        _ => String::new(),
    };
    format!(
        "<table class=\"finding\"><tbody>\n<tr><th scope=\"row\">{}</th><td>{}</td></tr>\n{figures}\
         <tr><th scope=\"row\">because</th><td>{} ({})</td></tr>\n<tr><th scope=\"row\">what to do</th><td>{}</td></tr>\n</tbody></table>\n",
        found.level.as_str(),
        escape(&found.detail),
        escape(&found.basis.cite),
        found.basis.kind.as_str().replace('_', " "),
        escape(&found.remedy),
    )
}

/// A figure as people read it.
fn said(figure: &FigureOut) -> String {
    match figure {
        FigureOut::Quantity(it) => format!("{} {}", it.value, it.unit),
        FigureOut::Number(it) => it.value.to_string(),
        FigureOut::Word(it) => escape(&it.value),
    }
}
