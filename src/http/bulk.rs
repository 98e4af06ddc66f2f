//! Answers to bulk calls: 200, with a verdict for every item.

use super::problem::{Problem, ProblemBody};
use serde::Serialize;
use utoipa::ToSchema;

/// How many items went well, so that nobody needs to read them all to know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct BulkSummary {
    /// Items with a result.
    #[schema(example = 2)]
    pub ok: usize,
    /// Items with a problem.
    #[schema(example = 0)]
    pub failed: usize,
}

/// An item with its result.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BulkResult<T> {
    /// Its place in the request, counted from 0.
    #[schema(example = 0)]
    pub index: usize,
    /// What came of it.
    #[serde(flatten)]
    pub result: T,
}

/// An item with a problem.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BulkFailure {
    /// Its place in the request, counted from 0.
    #[schema(example = 1)]
    pub index: usize,
    /// What is wrong with it.
    pub problem: ProblemBody,
}

/// One item of an answer.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[serde(untagged)]
pub enum BulkItem<T> {
    /// It went well.
    Result(BulkResult<T>),
    /// It did not.
    Failure(BulkFailure),
}

/// Numbers the items in their order and counts them.
pub fn bulk<T>(
    items: impl IntoIterator<Item = Result<T, Problem>>,
) -> (BulkSummary, Vec<BulkItem<T>>) {
    let mut summary = BulkSummary { ok: 0, failed: 0 };
    let items = items
        .into_iter()
        .enumerate()
        .map(|(index, item)| match item {
            Ok(result) => {
                summary.ok += 1;
                BulkItem::Result(BulkResult { index, result })
            }
            Err(problem) => {
                summary.failed += 1;
                let problem = problem.body();
                BulkItem::Failure(BulkFailure { index, problem })
            }
        })
        .collect();
    (summary, items)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[derive(Serialize, ToSchema)]
    struct Verdict {
        verdict: &'static str,
    }

    #[test]
    fn a_bad_item_stands_among_good_ones() {
        let good = || {
            Ok(Verdict {
                verdict: "buildable",
            })
        };
        let (summary, items) = bulk([good(), Err(Problem::not_found("tube", "x")), good()]);
        assert_eq!((summary.ok, summary.failed), (2, 1));
        let items = serde_json::to_value(items).unwrap();
        assert_eq!(items[2], json!({"index": 2, "verdict": "buildable"}));
        assert_eq!(items[1]["index"], json!(1));
        assert_eq!(items[1]["problem"]["type"], json!("/problems/not-found"));
    }

    #[test]
    fn the_schema_of_an_item_names_both_shapes() {
        let schema =
            serde_json::to_value(<BulkItem<Verdict> as utoipa::PartialSchema>::schema()).unwrap();
        assert_eq!(
            schema["oneOf"].as_array().map(Vec::len),
            Some(2),
            "{schema:#}"
        );
    }
}
