//! What an estimate rests on that its reader should know.

use std::collections::BTreeMap;

use super::{Books, Scheduled};
use crate::shop::labour::{Operation, TimeSource, Work};
use crate::trade::manifold::Build;
use crate::trade::source::Status;

/// The remarks of a schedule, worst first, each once.
pub fn remarks(schedule: &[Scheduled<'_>], works: &[Work], books: &Books<'_>) -> Vec<String> {
    let mut remarks = labour_remarks(works, books);
    let any = |test: &dyn Fn(&Scheduled<'_>) -> bool| schedule.iter().any(test);
    if any(&|item| matches!(item.manifold.build, Build::TeesBrazed | Build::TeesSoldered)) {
        remarks.push(
            "The length of a tee from centre to stop is a stand-in (half the other leg's diameter + 1/16 in); measure the fittings you buy.".to_owned(),
        );
    }
    if any(&|item| item.manifold.build == Build::Purchased) {
        remarks.push("A bought manifold is priced as listed; its rating and listing are its maker's to show.".to_owned());
    }
    if any(&|item| {
        item.manifold.filler.density.1.status != Status::Seen && item.takeoff.joint_count() > 0
    }) {
        remarks.push("The density of a filler is from memory or a stand-in; it moves the filler mass by a few per cent.".to_owned());
    }
    if any(&|item| item.manifold.filler_assumed && item.takeoff.joint_count() > 0) {
        remarks.push(
            "No filler was named for some manifolds; the usual one of the build was taken."
                .to_owned(),
        );
    }
    if books.shop.pricing.tube_waste.is_zero()
        && any(&|item| !item.takeoff.layout.pieces.is_empty())
    {
        remarks.push(
            "The shop's settings allow no waste on tube; kerf and offcuts are not paid for."
                .to_owned(),
        );
    }
    remarks
}

fn labour_remarks(works: &[Work], books: &Books<'_>) -> Vec<String> {
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
            Some(format!("Times for {} {remark}.", operations.join(", ")))
        })
        .collect()
}
