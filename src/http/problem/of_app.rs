//! What a use case could not do, as a problem document.

use super::{Problem, Slug};
use crate::app::AppError;
use crate::documents::file_fault::{FileFault, FileFlaw};
use crate::http::wire::{Fault, Faults, TextPlace};
use crate::shop::estimate::Lacking;
use crate::shop::price_list::ItemKind;

impl From<AppError> for Problem {
    fn from(error: AppError) -> Self {
        let detail = error.to_string();
        match error {
            AppError::NotFound { kind, name } => Self::not_found(kind, &name),
            AppError::LinkEnded(_) => Self::new(Slug::LinkEnded).with_detail(detail),
            AppError::Stale => Self::new(Slug::Stale)
                .with_detail("It has changed since it was read. Fetch it again, look at what changed, and send your change with the new ETag."),
            AppError::Conflict(_) => Self::new(Slug::Conflict).with_detail(detail),
            AppError::WrongMove(wrong) => Self::new(Slug::WrongState)
                .with_detail(detail)
                .with_moves(wrong.from.moves().iter().map(|open| open.verb())),
            AppError::Unprinted | AppError::WrongOffcutMove(_) => Self::new(Slug::WrongState).with_detail(detail),
            AppError::Unprocessable { faults, .. } => Self::new(Slug::Unprocessable).with_detail(detail).with_errors(
                faults.into_iter().map(|fault| Fault::new(fault.pointer, fault.code, fault.detail)),
            ),
            AppError::File { faults, .. } => Self::new(Slug::Unprocessable)
                .with_detail(detail)
                .with_errors(faults.iter().map(file_fault)),
            AppError::Lacking(lacking) => lacking_problem(&lacking),
            AppError::NoShop | AppError::NothingInForce(_) => Self::new(Slug::Unprocessable).with_detail(detail),
            AppError::Unavailable(_) => {
                tracing::error!(error = %chain(&error), "the database did not answer");
                Self::new(Slug::NotReady).with_retry_after(2)
            }
            AppError::Store(_)
            | AppError::Damaged { .. }
            | AppError::Document(_)
            | AppError::NoChance => Self::internal(&chain(&error)),
        }
    }
}

/// An error with its causes, each once, for the log.
fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(next) = cause {
        text = format!("{text}: {next}");
        cause = next.source();
    }
    text
}

/// A fault of a logo or template; its place also stands in the sentence, for people.
fn file_fault(fault: &FileFault) -> Fault {
    let code = match fault.flaw {
        FileFlaw::NotAPicture => "not_a_picture",
        FileFlaw::PictureTooLarge => "picture_too_large",
        FileFlaw::NoSize => "no_size",
        FileFlaw::Active => "active_content",
        FileFlaw::RefersOutside => "refers_outside",
        FileFlaw::PartNotAllowed => "part_not_allowed",
        FileFlaw::TooLong => "too_long",
        FileFlaw::Template => "template_fault",
        FileFlaw::TooCostly => "too_costly",
        FileFlaw::Unescaped => "unescaped",
        FileFlaw::FormMissing => "form_missing",
    };
    let place = fault.place.map(|at| TextPlace {
        line: at.line,
        column: at.column,
    });
    Fault::new("", code, fault.to_string()).at_place(place)
}

/// Everything an estimate lacks, each as an entry of its own.
pub fn lacking_faults(lacking: &[Lacking]) -> Faults {
    lacking.iter().map(lacking_fault).collect()
}

fn lacking_problem(lacking: &[Lacking]) -> Problem {
    Problem::new(Slug::Unprocessable)
        .with_detail(format!(
            "The estimate needs {} thing(s) that the shop has not entered; `errors` names each.",
            lacking.len()
        ))
        .with_faults(lacking_faults(lacking))
}

fn missing_price(code: &str, kind: ItemKind, (text, marks): (&str, &[String])) -> Fault {
    let units: Vec<&str> = kind.units().iter().map(|unit| unit.word()).collect();
    Fault::new(
        "",
        "missing_price",
        format!(
            "no price for {text} (code {code:?}), needed by {}; add a {} item with that code to the price list, by {}",
            marks.join(", "),
            kind.word(),
            units.join(" or ")
        ),
    )
}

fn known_conditions(known: &[String]) -> String {
    match known.is_empty() {
        true => "it has none: put its conditions, or leave them out of the manifolds".to_owned(),
        false => format!(
            "it has {}: name one of them, or put its conditions anew",
            known.join(", ")
        ),
    }
}

fn lacking_fault(lacking: &Lacking) -> Fault {
    match lacking {
        Lacking::Shop => Fault::new(
            "",
            "missing_shop",
            "the shop has no settings yet; enter at least its name and currency with PUT /v1/shop",
        ),
        Lacking::PriceList(why) => Fault::new("", "missing_price_list", why.clone()),
        Lacking::Price {
            code,
            kind,
            text,
            marks,
        } => missing_price(code, *kind, (text, marks)),
        Lacking::Operation { operation, marks } => Fault::new(
            "",
            "missing_operation",
            format!(
                "the labour model has no time for \"{}\" ({}), needed by {}; enter it with its source",
                operation.word(),
                operation.spoken(),
                marks.join(", ")
            ),
        ),
        Lacking::Condition { name, marks, known } => Fault::new(
            "",
            "unknown_condition",
            format!(
                "the labour model has no condition {name:?}, named by {}; {}",
                marks.join(", "),
                known_conditions(known)
            ),
        ),
        Lacking::CrewRate => Fault::new(
            "",
            "missing_setting",
            "the shop's crew rate is not set, so labour has no price; set pricing.crew_rate or pricing.crew with PUT /v1/shop",
        ),
        Lacking::NoPriceAtMargin => Fault::new(
            "",
            "impossible_margin",
            "a margin of 100 % or more leaves no price; set pricing.profit to a smaller margin or to a markup",
        ),
        Lacking::Currency { list, shop } => Fault::new(
            "",
            "currency_differs",
            format!(
                "the price list is in {list}, the shop's currency is {shop}; choose a list in {shop}"
            ),
        ),
    }
}
