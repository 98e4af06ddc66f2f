//! Jobs to plan.

use offtake::shop::cut_plan::{CutJob, CutLength, CutPlan, Keep, Stock, USUAL_WORK, Wanted, plan};
use rust_decimal::Decimal;

/// `(length, cost in hundredths, count)`, `(length, count)`, all lengths in 1/64 in.
pub fn job(kerf: i64, stock: &[(i64, i64, Option<u32>)], pieces: &[(i64, u32)]) -> CutJob {
    CutJob {
        kerf: CutLength::sixty_fourths(kerf),
        stock: stock
            .iter()
            .enumerate()
            .map(|(place, (length, cost, count))| Stock {
                id: format!("S{place}"),
                length: CutLength::sixty_fourths(*length),
                trim: CutLength::ZERO,
                cost: Decimal::new(*cost, 2),
                count: *count,
            })
            .collect(),
        pieces: pieces
            .iter()
            .enumerate()
            .map(|(place, (length, count))| Wanted {
                id: format!("P{place}"),
                length: CutLength::sixty_fourths(*length),
                count: *count,
            })
            .collect(),
        keep: None,
        decimals: 2,
    }
}

pub fn solved(job: &CutJob) -> CutPlan {
    plan(job, USUAL_WORK).unwrap()
}

/// A line of `data/optima.txt`; see `data/solve_with_ortools.py` for its form.
pub struct Known {
    pub name: String,
    pub job: CutJob,
    /// The optimum in hundredths.
    pub optimum: Decimal,
}

pub fn read(line: &str) -> Known {
    let mut words = line.split(' ');
    let name = words.next().unwrap().to_owned();
    let numbers: Vec<i64> = words.map(|word| word.parse().unwrap()).collect();
    let mut numbers = numbers.into_iter();
    let mut next = || numbers.next().unwrap();
    let kerf = next();
    let stock: Vec<_> = (0..next())
        .map(|_| (next(), next(), u32::try_from(next()).ok()))
        .collect();
    let pieces: Vec<_> = (0..next()).map(|_| (next(), next() as u32)).collect();
    let (least, numerator, denominator) = (next(), next(), next());
    let mut job = job(kerf, &stock, &pieces);
    if numerator > 0 {
        job.keep = Some(Keep {
            least: CutLength::sixty_fourths(least),
            value: Decimal::new(numerator, 2),
            per: CutLength::sixty_fourths(denominator),
        });
    }
    Known {
        name,
        job,
        optimum: Decimal::from(next()) / Decimal::from(denominator),
    }
}
