//! What was asked for, held against what was asked for before: what the frozen words of an offer round or leave out.

mod figures;
mod outlets;

use jiff::civil::Date;

use super::describe::end_word;
use crate::shop::settings::Shop;
use crate::trade::manifold::Manifold;
use figures::Figures;

/// What a revision was asked to offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The schedule, in the order of the record.
    pub manifolds: Vec<Manifold>,
    /// The manifolds of the options, in the order of the record.
    pub options: Vec<Manifold>,
    /// The last day it stands, when one was named.
    pub valid_until: Option<Date>,
}

/// A difference of two manifolds.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Difference {
    /// What differs.
    pub what: &'static str,
    /// Of which outlets, counted from the first end: `1 to 6`.
    pub outlets: Option<String>,
    /// What it was; empty for what is new.
    pub before: String,
    /// What it is; empty for what is gone.
    pub after: String,
}

/// One thing that is asked of a `T`.
struct Field<T> {
    what: &'static str,
    /// The particular of an offer that tells it as it is read on a tape or gauge; empty where none does.
    told_by: &'static str,
    said: fn(&Figures<'_>, &T) -> String,
}

impl<T> Field<T> {
    const fn new(
        what: &'static str,
        told_by: &'static str,
        said: fn(&Figures<'_>, &T) -> String,
    ) -> Self {
        Self {
            what,
            told_by,
            said,
        }
    }

    /// What it was and is: as the bench reads it where that differs, to the last figure where only that does. None
    /// where nothing differs, or where one of the particulars that are `told` says so already.
    fn differs(
        &self,
        (before, after): (&T, &T),
        shop: &Shop,
        told: &[&str],
    ) -> Option<(String, String)> {
        let said =
            |figures: Figures<'_>| ((self.said)(&figures, before), (self.said)(&figures, after));
        let exact = said(Figures::exact(shop));
        if exact.0 == exact.1 {
            return None;
        }
        let read = said(Figures::read(shop));
        if read.0 == read.1 {
            return Some(exact);
        }
        (!told.contains(&self.told_by)).then_some(read)
    }
}

const FIELDS: [Field<Manifold>; 13] = [
    Field::new("service", "Service", |_, made| {
        made.service.spoken().to_owned()
    }),
    Field::new("design_pressure", "Design", |figures, made| {
        figures.pressure(made.design_pressure)
    }),
    Field::new("design_temperature", "Design", |figures, made| {
        figures.temperature(made.design_temperature)
    }),
    Field::new("build", "", |_, made| made.build.spoken().to_owned()),
    Field::new("run_tube", "Run", |figures, made| {
        figures.tube(&made.run.tube)
    }),
    Field::new("run_temper", "Run", |_, made| {
        made.run.temper.spoken().to_owned()
    }),
    Field::new("run_length", "Run", |figures, made| {
        figures.length(made.run.length)
    }),
    Field::new("ends", "Ends", |_, made| {
        made.run.ends.map(end_word).join(" / ")
    }),
    Field::new("ends_join", "", |_, made| {
        made.run.joins.map(|metal| metal.spoken()).join(" / ")
    }),
    Field::new("filler", "Joints", |_, made| made.filler.id.clone()),
    Field::new("filler_wire", "", |figures, made| {
        let wire = made.filler_wire;
        wire.map_or_else(String::new, |wire| figures.diameter(wire))
    }),
    Field::new("conditions", "", |_, made| made.conditions.join(", ")),
    Field::new("supply", "", |figures, made| {
        let supply = made.supply.as_ref();
        supply.map_or_else(String::new, |supply| figures.supply(supply))
    }),
];

/// Everything in which two manifolds differ, but for mark and quantity and what the particulars that are `told` say
/// already. In the units of the shop.
pub(super) fn differences(
    before: &Manifold,
    after: &Manifold,
    shop: &Shop,
    told: &[&str],
) -> Vec<Difference> {
    // Most manifolds of a revision are as they were.
    if before == after {
        return Vec::new();
    }
    let mut found: Vec<Difference> = FIELDS
        .iter()
        .filter_map(|field| {
            let (was, is) = field.differs((before, after), shop, told)?;
            Some(Difference {
                what: field.what,
                outlets: None,
                before: was,
                after: is,
            })
        })
        .collect();
    found.extend(outlets::differences(
        &before.outlets,
        &after.outlets,
        shop,
        told,
    ));
    found
}
