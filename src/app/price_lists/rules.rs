//! Which codes a price list may hold. An estimate looks prices up by code, so that a code nothing would
//! ever ask for is a slip of the pen.

use std::collections::BTreeMap;

use crate::shop::price_list::{BRAZING_CONSUMABLES, ItemKind, SOLDERING_CONSUMABLES};
use crate::trade::catalogue::Catalogue;
use crate::trade::fitting::{Fitting, FittingKind};
use crate::trade::tube::Nominal;

/// Why a code is none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodeFault {
    /// A stable code.
    pub code: &'static str,
    /// What is wrong and what to write, to follow the name of the field.
    pub detail: String,
}

impl CodeFault {
    fn new(code: &'static str, detail: String) -> Self {
        Self { code, detail }
    }
}

/// The code as lists hold it, of an item of that kind.
///
/// # Errors
/// When nothing of that kind goes by that code; with the nearest ones, where there are any.
pub fn canonical_code(
    catalogue: &Catalogue,
    kind: ItemKind,
    code: &str,
) -> Result<String, CodeFault> {
    let code = code.trim();
    match kind {
        ItemKind::Tube => tube(catalogue, code),
        ItemKind::Filler => filler(catalogue, code),
        ItemKind::Fitting => fitting(catalogue, code),
        ItemKind::Consumable => consumable(code),
        ItemKind::Manifold => manifold(catalogue, code),
    }
}

fn tube(catalogue: &Catalogue, code: &str) -> Result<String, CodeFault> {
    let found = catalogue.tube(code).map(|tube| tube.id.clone());
    found.ok_or_else(|| {
        let near = catalogue.nearest_tubes(code, 3).join(", ");
        CodeFault::new(
            "unknown_tube",
            format!("is {code:?}, which is no tube of the catalogue; the nearest are {near}"),
        )
    })
}

fn filler(catalogue: &Catalogue, code: &str) -> Result<String, CodeFault> {
    let found = catalogue.filler(code).map(|filler| filler.id.clone());
    found.ok_or_else(|| {
        let near = catalogue.nearest_fillers(code, 3).join(", ");
        CodeFault::new(
            "unknown_filler",
            format!("is {code:?}, which is no filler of the catalogue; the nearest are {near}"),
        )
    })
}

fn consumable(code: &str) -> Result<String, CodeFault> {
    let folded = code.to_ascii_lowercase();
    if [BRAZING_CONSUMABLES, SOLDERING_CONSUMABLES].contains(&folded.as_str()) {
        return Ok(folded);
    }
    Err(CodeFault::new(
        "unknown_consumable",
        format!(
            "is {code:?}; a consumable is \"{BRAZING_CONSUMABLES}\" or \"{SOLDERING_CONSUMABLES}\""
        ),
    ))
}

fn fitting(catalogue: &Catalogue, code: &str) -> Result<String, CodeFault> {
    const FORMS: &str = "write tee-2x2x1 (run, run, branch), cap-2 or coupling-2, with sizes such as 1.25 for 1-1/4 in and 28mm for 28 mm";
    let fault =
        |why: String| CodeFault::new("unknown_fitting", format!("is {code:?}{why}; {FORMS}"));
    let folded = code.to_ascii_lowercase();
    let (word, sizes) = folded.split_once('-').ok_or_else(|| fault(String::new()))?;
    let sizes: Vec<Nominal> = sizes
        .split('x')
        .map(|size| {
            nominal(catalogue, size)
                .ok_or_else(|| fault(format!(", and {size:?} is no size of tube")))
        })
        .collect::<Result<_, _>>()?;
    let (kind, run, branch) = match (word, sizes.as_slice()) {
        ("tee", [run, other, branch]) if run == other => (FittingKind::Tee, *run, Some(*branch)),
        ("cap", [run]) => (FittingKind::Cap, *run, None),
        ("coupling", [run]) => (FittingKind::Coupling, *run, None),
        _ => return Err(fault(String::new())),
    };
    Ok(Fitting { kind, run, branch }.code())
}

fn nominal(catalogue: &Catalogue, size: &str) -> Option<Nominal> {
    let (number, metric) = match size.strip_suffix("mm") {
        Some(number) => (number, true),
        None => (size, false),
    };
    let plain = number.chars().all(|c| c.is_ascii_digit() || c == '.');
    let number = number.parse().ok().filter(|_| plain)?;
    let nominal = if metric {
        Nominal::outside_millimetres(number)?
    } else {
        Nominal::from_decimal(number)?
    };
    let sold = catalogue.tubes().iter();
    let mut sizes = sold.map(|tube| tube.nominal.fitting_size());
    sizes.any(|size| size == nominal).then_some(nominal)
}

/// `manifold:b88-l-2:6xb88-l-1+2xb88-l-0.75`, rewritten with the rows in order of tube id.
fn manifold(catalogue: &Catalogue, code: &str) -> Result<String, CodeFault> {
    let fault = || {
        CodeFault::new(
            "unknown_manifold",
            format!(
                "is {code:?}; write manifold:RUN:COUNTxBRANCH, with several kinds of branch joined by +, for example manifold:b88-l-2:6xb88-l-1"
            ),
        )
    };
    let mut parts = code.splitn(3, ':');
    let (Some(word), Some(run), Some(rows)) = (parts.next(), parts.next(), parts.next()) else {
        return Err(fault());
    };
    if !word.eq_ignore_ascii_case("manifold") {
        return Err(fault());
    }
    let run = tube(catalogue, run)?;
    let mut branches: BTreeMap<String, u32> = BTreeMap::new();
    for row in rows.split('+') {
        let (count, branch) = row.split_once(['x', 'X']).ok_or_else(fault)?;
        let count: u32 = count
            .parse()
            .ok()
            .filter(|count| (1..=200).contains(count))
            .ok_or_else(fault)?;
        *branches.entry(tube(catalogue, branch)?).or_insert(0) += count;
    }
    let rows: Vec<String> = branches
        .iter()
        .map(|(tube, count)| format!("{count}x{tube}"))
        .collect();
    Ok(format!("manifold:{run}:{}", rows.join("+")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(kind: ItemKind, code: &str) -> Result<String, &'static str> {
        canonical_code(Catalogue::built_in().unwrap(), kind, code).map_err(|fault| fault.code)
    }

    #[test]
    fn codes_are_written_one_way() {
        let good = |kind, given: &str| code(kind, given).unwrap();
        assert_eq!(good(ItemKind::Tube, "B88-L-1.25"), "b88-l-1.25");
        assert_eq!(good(ItemKind::Filler, "bcup-3"), "BCuP-3");
        assert_eq!(good(ItemKind::Fitting, "Tee-2x2x1.0"), "tee-2x2x1");
        assert_eq!(good(ItemKind::Fitting, "cap-1.25"), "cap-1.25");
        assert_eq!(
            good(ItemKind::Fitting, "TEE-28mmx28.0mmx15MM"),
            "tee-28mmx28mmx15mm"
        );
        assert_eq!(
            good(
                ItemKind::Manifold,
                "manifold:b88-l-2:2xb88-l-1+1xb88-l-0.75+1xB88-L-1"
            ),
            "manifold:b88-l-2:1xb88-l-0.75+3xb88-l-1"
        );
        assert_eq!(
            good(ItemKind::Consumable, "Brazing-Consumables"),
            "brazing-consumables"
        );
    }

    #[test]
    fn the_fittings_that_estimates_count_are_codes_and_the_others_are_not() {
        for row in Catalogue::built_in().unwrap().fittings() {
            let wanted = if row.fitting.kind.is_counted() {
                Ok(row.id.clone())
            } else {
                Err("unknown_fitting")
            };
            assert_eq!(code(ItemKind::Fitting, &row.id), wanted);
        }
    }

    #[test]
    fn codes_that_no_estimate_asks_for_are_refused() {
        for wrong in [
            "tee-2x1",
            "tee-2x1x1",
            "cap",
            "cap-2x2",
            "cap-7",
            "cap-1/2",
            "elbow-2",
            "cap-1e0",
            "cap-",
        ] {
            assert_eq!(
                code(ItemKind::Fitting, wrong),
                Err("unknown_fitting"),
                "{wrong}"
            );
        }
        for wrong in [
            "manifold",
            "manifold:b88-l-2",
            "manifold:b88-l-2:0xb88-l-1",
            "manifold:b88-l-2:b88-l-1",
            "x:b88-l-2:1xb88-l-1",
        ] {
            assert_eq!(
                code(ItemKind::Manifold, wrong),
                Err("unknown_manifold"),
                "{wrong}"
            );
        }
        assert_eq!(
            code(ItemKind::Manifold, "manifold:b88-l-9:1xb88-l-1"),
            Err("unknown_tube")
        );
        assert_eq!(code(ItemKind::Tube, "b88-l-7"), Err("unknown_tube"));
        assert_eq!(
            code(ItemKind::Consumable, "rags"),
            Err("unknown_consumable")
        );
    }
}
