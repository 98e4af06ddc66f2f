//! The sticks of a whole schedule: a plan of its own for every tube in it.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::fault::MOST_PIECES;
use super::plan::Balance;
use super::{
    CutError, CutFault, CutJob, CutLength, CutPlan, Keep, PieceFault, Stock, StockFault, Wanted,
    Work, plan_within,
};

/// A schedule to cut. Pieces are cut from stock of the same tube; what names no tube belongs
/// together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutSchedule {
    /// Width that a cut turns to swarf.
    pub kerf: CutLength,
    /// What to cut from, each with its tube.
    pub stock: Vec<(Option<String>, Stock)>,
    /// What to cut, each with its tube.
    pub pieces: Vec<(Option<String>, Wanted)>,
    /// Which rests are kept; `None` when none is.
    pub keep: Option<Keep>,
    /// Decimals in which the cost is told, at least.
    pub decimals: u32,
}

/// One thing wrong with a schedule. Places are those in the whole schedule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ScheduleFault {
    /// As of a single job.
    Job(CutFault),
    /// Pieces of a tube that there is no stock of.
    NoStockOf(usize),
    /// Stock of that tube runs out; so many of these pieces are left over in the best plan found.
    NotEnough(usize, u32),
}

/// The plan of one tube.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TubePlan {
    /// The tube.
    pub tube: Option<String>,
    /// Its plan; places are those in the whole schedule.
    pub plan: CutPlan,
}

/// The plans of a schedule, in the order of the tubes' names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SchedulePlan {
    /// One for each tube.
    pub tubes: Vec<TubePlan>,
}

impl SchedulePlan {
    /// Whether every plan is proven.
    pub fn is_proven(&self) -> bool {
        self.tubes.iter().all(|tube| tube.plan.is_proven)
    }

    /// Cost of all.
    pub fn cost(&self) -> Decimal {
        self.tubes.iter().map(|tube| tube.plan.cost).sum()
    }

    /// No plans cost less than this.
    pub fn bound(&self) -> Decimal {
        self.tubes.iter().map(|tube| tube.plan.bound).sum()
    }

    /// Cost of the stock alone.
    pub fn stock_cost(&self) -> Decimal {
        self.tubes.iter().map(|tube| tube.plan.stock_cost).sum()
    }

    /// Where all the stock goes.
    pub fn balance(&self) -> Balance {
        self.tubes.iter().map(|tube| tube.plan.balance).sum()
    }
}

/// Lines of one tube: their places in the schedule.
#[derive(Default)]
struct Lines {
    stock: Vec<usize>,
    pieces: Vec<usize>,
}

/// Plans a schedule within so much work. The tubes share it: what one does not need is there for those
/// after it.
///
/// # Errors
/// Everything that is wrong with it, at once.
pub fn plan_schedule(
    schedule: &CutSchedule,
    work: u64,
) -> Result<SchedulePlan, Vec<ScheduleFault>> {
    let groups = groups(schedule);
    let mut faults = overall_faults(schedule);
    let mut tubes = Vec::with_capacity(groups.len());
    let mut left = Work::of(work);
    let mut to_plan = groups.len() as u64;
    for (tube, lines) in groups {
        let mut share = match faults.is_empty() {
            true => Work::of(left.left() / to_plan),
            false => Work::of(0),
        };
        let given = share.left();
        to_plan -= 1;
        if lines.pieces.is_empty() {
            // Stock that nothing is cut from is read for its faults all the same.
            faults.extend(stock_faults(schedule, &lines));
            continue;
        }
        if lines.stock.is_empty() {
            let missing = lines
                .pieces
                .iter()
                .map(|place| ScheduleFault::NoStockOf(*place));
            faults.extend(missing);
            continue;
        }
        let planned = plan_within(&job(schedule, &lines), &mut share);
        left.spend(given - share.left());
        match planned {
            Ok(found) => tubes.push(TubePlan {
                tube,
                plan: placed(found, &lines),
            }),
            Err(CutError::Faulty(found)) => {
                faults.extend(found.into_iter().map(|fault| moved(fault, &lines)));
            }
            Err(CutError::NotEnough(short)) => {
                let left = short.into_iter();
                let named =
                    left.map(|(line, count)| ScheduleFault::NotEnough(lines.pieces[line], count));
                faults.extend(named);
            }
        }
    }
    if faults.is_empty() {
        return Ok(SchedulePlan { tubes });
    }
    Err(distinct(faults))
}

fn groups(schedule: &CutSchedule) -> BTreeMap<Option<String>, Lines> {
    let mut groups: BTreeMap<Option<String>, Lines> = BTreeMap::new();
    for (place, (tube, _)) in schedule.stock.iter().enumerate() {
        groups.entry(tube.clone()).or_default().stock.push(place);
    }
    for (place, (tube, _)) in schedule.pieces.iter().enumerate() {
        groups.entry(tube.clone()).or_default().pieces.push(place);
    }
    groups
}

fn job(schedule: &CutSchedule, lines: &Lines) -> CutJob {
    let stock = lines.stock.iter();
    let pieces = lines.pieces.iter();
    CutJob {
        kerf: schedule.kerf,
        stock: stock
            .map(|place| schedule.stock[*place].1.clone())
            .collect(),
        pieces: pieces
            .map(|place| schedule.pieces[*place].1.clone())
            .collect(),
        keep: schedule.keep.clone(),
        decimals: schedule.decimals,
    }
}

/// What no single job shows: names that come twice under different tubes, too many pieces in all,
/// nothing to cut.
fn overall_faults(schedule: &CutSchedule) -> Vec<ScheduleFault> {
    let mut faults = Vec::new();
    if schedule.pieces.is_empty() {
        faults.push(ScheduleFault::Job(CutFault::NoPieces));
    }
    let counts = schedule
        .pieces
        .iter()
        .map(|(_, piece)| u64::from(piece.count));
    let total: u64 = counts.sum();
    if total > u64::from(MOST_PIECES) {
        faults.push(ScheduleFault::Job(CutFault::Pieces(total)));
    }
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (place, (_, stock)) in schedule.stock.iter().enumerate() {
        let first = *seen.entry(&stock.id).or_insert(place);
        if first != place {
            faults.push(ScheduleFault::Job(CutFault::Stock(
                place,
                StockFault::SameName(first),
            )));
        }
    }
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (place, (_, piece)) in schedule.pieces.iter().enumerate() {
        let first = *seen.entry(&piece.id).or_insert(place);
        if first != place {
            faults.push(ScheduleFault::Job(CutFault::Piece(
                place,
                PieceFault::SameName(first),
            )));
        }
    }
    faults
}

fn stock_faults(schedule: &CutSchedule, lines: &Lines) -> Vec<ScheduleFault> {
    let found = super::fault::faults(&job(schedule, lines)).into_iter();
    let of_stock = found.filter(|fault| !matches!(fault, CutFault::NoPieces));
    of_stock.map(|fault| moved(fault, lines)).collect()
}

/// The same fault by its place in the whole schedule.
fn moved(fault: CutFault, lines: &Lines) -> ScheduleFault {
    ScheduleFault::Job(match fault {
        CutFault::Stock(place, StockFault::SameName(first)) => {
            CutFault::Stock(lines.stock[place], StockFault::SameName(lines.stock[first]))
        }
        CutFault::Stock(place, fault) => CutFault::Stock(lines.stock[place], fault),
        CutFault::Piece(place, PieceFault::SameName(first)) => CutFault::Piece(
            lines.pieces[place],
            PieceFault::SameName(lines.pieces[first]),
        ),
        CutFault::Piece(place, fault) => CutFault::Piece(lines.pieces[place], fault),
        of_all => of_all,
    })
}

fn placed(mut plan: CutPlan, lines: &Lines) -> CutPlan {
    for stick in &mut plan.sticks {
        stick.stock = lines.stock[stick.stock];
        for piece in &mut stick.pieces {
            *piece = lines.pieces[*piece];
        }
    }
    plan
}

/// Each fault once: what concerns the whole schedule is found again for every tube. Only the
/// overall count of pieces is told.
fn distinct(faults: Vec<ScheduleFault>) -> Vec<ScheduleFault> {
    let mut kept: Vec<ScheduleFault> = Vec::new();
    let counted = |fault: &ScheduleFault| matches!(fault, ScheduleFault::Job(CutFault::Pieces(_)));
    for fault in faults {
        let again = kept.contains(&fault) || (counted(&fault) && kept.iter().any(counted));
        if !again {
            kept.push(fault);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stock(id: &str, inches: i64) -> Stock {
        Stock {
            id: id.to_owned(),
            length: CutLength::sixty_fourths(64 * inches),
            trim: CutLength::ZERO,
            cost: Decimal::TEN,
            count: None,
        }
    }

    fn piece(id: &str, inches: i64, count: u32) -> Wanted {
        Wanted {
            id: id.to_owned(),
            length: CutLength::sixty_fourths(64 * inches),
            count,
        }
    }

    fn tube(name: &str) -> Option<String> {
        Some(name.to_owned())
    }

    fn schedule(
        stock: Vec<(Option<String>, Stock)>,
        pieces: Vec<(Option<String>, Wanted)>,
    ) -> CutSchedule {
        CutSchedule {
            kerf: CutLength::ZERO,
            stock,
            pieces,
            keep: None,
            decimals: 2,
        }
    }

    #[test]
    fn each_tube_has_its_own_plan_and_all_add_up() {
        let job = schedule(
            vec![
                (tube("b"), stock("b 100", 100)),
                (tube("a"), stock("a 100", 100)),
            ],
            vec![
                (tube("a"), piece("a1", 50, 3)),
                (tube("b"), piece("b1", 100, 1)),
            ],
        );
        let found = plan_schedule(&job, 1_000_000).unwrap();
        assert!(found.is_proven());
        assert_eq!(found.cost(), Decimal::from(30));
        let tubes: Vec<_> = found.tubes.iter().map(|it| it.tube.as_deref()).collect();
        assert_eq!(tubes, [Some("a"), Some("b")]);
        let a = &found.tubes[0].plan;
        assert!(a.sticks.iter().all(|stick| stick.stock == 1));
        assert!(
            a.sticks
                .iter()
                .all(|stick| stick.pieces.iter().all(|it| *it == 0))
        );
        assert_eq!(found.tubes[1].plan.sticks[0].stock, 0);
        assert_eq!(found.tubes[1].plan.sticks[0].pieces, [1]);
        assert_eq!(found.balance().scrap, CutLength::sixty_fourths(64 * 50));
    }

    #[test]
    fn every_fault_of_every_tube_is_told_once_by_its_place() {
        let mut job = schedule(
            vec![
                (tube("a"), stock("s", 100)),
                (tube("b"), stock("s", 100)),
                (tube("d"), stock("idle", 0)),
            ],
            vec![
                (tube("b"), piece("p", 10, 0)),
                (tube("a"), piece("q", 101, 1)),
                (tube("c"), piece("p", 10, 6_000)),
            ],
        );
        job.kerf = CutLength::nanometres(-1);
        let faults = plan_schedule(&job, 1_000_000).unwrap_err();
        let hundred = CutLength::sixty_fourths(6_400);
        for expected in [
            ScheduleFault::Job(CutFault::Pieces(6_001)),
            ScheduleFault::Job(CutFault::Stock(1, StockFault::SameName(0))),
            ScheduleFault::Job(CutFault::Piece(2, PieceFault::SameName(0))),
            ScheduleFault::Job(CutFault::Kerf(job.kerf)),
            ScheduleFault::Job(CutFault::Piece(1, PieceFault::TooLong(hundred))),
            ScheduleFault::Job(CutFault::Piece(0, PieceFault::Count)),
            ScheduleFault::NoStockOf(2),
            ScheduleFault::Job(CutFault::Stock(2, StockFault::Length)),
        ] {
            let told = faults.iter().filter(|fault| **fault == expected).count();
            assert_eq!(told, 1, "{expected:?} in {faults:?}");
        }
        assert_eq!(faults.len(), 8, "{faults:?}");
    }

    #[test]
    fn stock_that_runs_out_names_what_is_left_over() {
        let few = Stock {
            count: Some(1),
            ..stock("s", 100)
        };
        let job = schedule(vec![(None, few)], vec![(None, piece("p", 60, 3))]);
        let faults = plan_schedule(&job, 1_000_000).unwrap_err();
        assert_eq!(faults, [ScheduleFault::NotEnough(0, 2)]);
    }
}
