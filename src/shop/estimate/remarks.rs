//! What an estimate rests on that its reader should know.

use std::collections::BTreeMap;

use super::{Books, Scheduled};
use crate::shop::labour::{Condition, Operation, TimeSource, Work};
use crate::trade::manifold::Build;
use crate::trade::source::Status;

/// Whom a remark is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Audience {
    /// The shop: how far its own figures may be trusted.
    Shop,
    /// The customer, too: what the offer rests on.
    Everybody,
}

/// What an estimate rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// In a sentence.
    pub text: String,
    /// Whom it is for.
    pub audience: Audience,
}

const TEE: &str = "The length of a tee from centre to stop is a stand-in (half the other leg's diameter + 1/16 in); measure the fittings you buy.";
const BOUGHT: &str =
    "A bought manifold is priced as listed; its rating and listing are its maker's to show.";
const DENSITY: &str = "The density of a filler is from memory or a stand-in; it moves the filler mass by a few per cent.";
const ASSUMED: &str =
    "No filler was named for some manifolds; the usual one of the build was taken.";
const NO_WASTE: &str =
    "The shop's settings allow no waste on tube; kerf and offcuts are not paid for.";

impl TimeSource {
    /// Invented times are nobody's secret: whoever reads a demo's paper must know it for one.
    const fn audience(self) -> Audience {
        match self {
            Self::Demo => Audience::Everybody,
            Self::TimeStudy | Self::BookedHours | Self::Opinion => Audience::Shop,
        }
    }
}

/// The remarks of a schedule, worst first, each once.
pub fn remarks(schedule: &[Scheduled<'_>], works: &[Work], books: &Books<'_>) -> Vec<Remark> {
    let mut remarks = labour_remarks(works, books);
    remarks.extend(factor_remarks(schedule, works, books));
    let any = |test: &dyn Fn(&Scheduled<'_>) -> bool| schedule.iter().any(test);
    let has_tees =
        any(&|item| matches!(item.manifold.build, Build::TeesBrazed | Build::TeesSoldered));
    let is_bought = any(&|item| item.manifold.build == Build::Purchased);
    let guesses_density = any(&|item| {
        item.manifold.filler.density.1.status != Status::Seen && item.takeoff.joint_count() > 0
    });
    let assumes = any(&|item| item.manifold.filler_assumed && item.takeoff.joint_count() > 0);
    let wastes_nothing = books.shop.pricing.tube_waste.is_zero()
        && books.shop.pricing.cutting.is_none()
        && any(&|item| !item.takeoff.layout.pieces.is_empty());
    for (applies, text, audience) in [
        (is_bought, BOUGHT, Audience::Everybody),
        (has_tees, TEE, Audience::Shop),
        (guesses_density, DENSITY, Audience::Shop),
        (assumes, ASSUMED, Audience::Shop),
        (wastes_nothing, NO_WASTE, Audience::Shop),
    ] {
        if applies {
            let text = text.to_owned();
            remarks.push(Remark { text, audience });
        }
    }
    remarks
}

fn labour_remarks(works: &[Work], books: &Books<'_>) -> Vec<Remark> {
    let mut by_source: BTreeMap<TimeSource, Vec<&str>> = BTreeMap::new();
    for operation in Operation::ALL.iter().copied() {
        let used = works.iter().any(|work| work.amount(operation).count > 0);
        if let (true, Some(time)) = (used, books.labour.time(operation)) {
            by_source
                .entry(time.source)
                .or_default()
                .push(operation.spoken());
        }
    }
    by_source
        .into_iter()
        .rev()
        .filter_map(|(source, operations)| {
            let remark = source.remark()?;
            Some(Remark {
                text: format!("Times for {} {remark}.", operations.join(", ")),
                audience: source.audience(),
            })
        })
        .collect()
}

/// What conditions and repetition rest on, where they bear on the schedule.
fn factor_remarks(schedule: &[Scheduled<'_>], works: &[Work], books: &Books<'_>) -> Vec<Remark> {
    let working: Vec<&Scheduled<'_>> = schedule
        .iter()
        .zip(works)
        .filter(|(_, work)| work.amounts().next().is_some())
        .map(|(item, _)| item)
        .collect();
    let named = |condition: &&Condition| {
        let mut names = working.iter().flat_map(|item| &item.manifold.conditions);
        names.any(|name| condition.is_named(name))
    };
    let mut factors: Vec<(TimeSource, String)> = Vec::new();
    for condition in books.labour.conditions.iter().filter(named) {
        let told = (
            condition.source,
            format!("Factors for working {}", condition.name),
        );
        if !factors.contains(&told) {
            factors.push(told);
        }
    }
    let repeats = working.iter().any(|item| item.manifold.quantity > 1) || working.len() > 1;
    let repetition = books.labour.repetition.filter(|_| repeats);
    factors.extend(repetition.map(|it| (it.source, "Savings by repetition".to_owned())));
    let told = factors.into_iter().filter_map(|(source, what)| {
        let text = format!("{what} {}.", source.remark()?);
        Some(Remark {
            text,
            audience: source.audience(),
        })
    });
    told.collect()
}
