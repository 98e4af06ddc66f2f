//! The outlets of a manifold held against those of another.

use super::figures::Figures;
use super::{Difference, Field};
use crate::shop::quote::describe::STATIONS_SHOWN;
use crate::shop::settings::Shop;
use crate::trade::manifold::Outlet;

const STATION: &str = "outlet_station";

const FIELDS: [Field<Outlet>; 10] = [
    Field::new("outlet_tube", "", |figures, made| figures.tube(&made.tube)),
    Field::new(STATION, "Stations", |figures, made| {
        figures.length(made.station)
    }),
    Field::new("outlet_clock", "", |figures, made| {
        figures.angle(made.clock)
    }),
    Field::new("outlet_stub", "", |figures, made| figures.length(made.stub)),
    Field::new("outlet_flow", "", |figures, made| {
        let flow = made.flow;
        flow.map_or_else(String::new, |flow| figures.flow(flow))
    }),
    Field::new("outlet_feeds", "", |figures, made| {
        let fed = made.duty.end_use.as_ref();
        fed.map_or_else(String::new, |end_use| figures.end_use(end_use))
    }),
    Field::new("outlet_loss_factor", "", |figures, made| {
        figures.number(made.duty.loss_factor, 2)
    }),
    Field::new("outlet_pilot", "", |figures, made| {
        let pilot = made.collar.pilot;
        pilot.map_or_else(String::new, |pilot| figures.diameter(pilot))
    }),
    Field::new("outlet_collar_height", "", |figures, made| {
        let height = made.collar.height;
        height.map_or_else(String::new, |height| figures.diameter(height))
    }),
    Field::new("outlet_joins", "", |_, made| made.joins.spoken().to_owned()),
];

/// Everything in which the outlets differ: as many of one manifold as of the other are held against each other in their
/// order, else those at one place are, and the others are gone or new.
pub(super) fn differences(
    before: &[Outlet],
    after: &[Outlet],
    shop: &Shop,
    told: &[&str],
) -> Vec<Difference> {
    let (pairs, gone, new) = paired(before, after, shop);
    let mut found = Vec::new();
    for field in &FIELDS {
        // What differs alike of several outlets is said once.
        let mut alike: Vec<((String, String), Vec<usize>)> = Vec::new();
        for (place, old, new) in &pairs {
            // The papers show the first stations alone.
            let is_shown = field.what != STATION || *place < STATIONS_SHOWN;
            let told = if is_shown { told } else { &[] };
            let Some(said) = field.differs((*old, *new), shop, told) else {
                continue;
            };
            match alike.iter_mut().find(|(known, _)| *known == said) {
                Some((_, places)) => places.push(*place),
                None => alike.push((said, vec![*place])),
            }
        }
        found.extend(alike.into_iter().map(|((was, is), places)| Difference {
            what: field.what,
            outlets: Some(numbers(&places)),
            before: was,
            after: is,
        }));
    }
    let whole = |before: String, after: String| Difference {
        what: "outlets",
        outlets: None,
        before,
        after,
    };
    let (gone, new) = (groups(&gone, shop), groups(&new, shop));
    found.extend(gone.into_iter().map(|said| whole(said, String::new())));
    found.extend(new.into_iter().map(|said| whole(String::new(), said)));
    found
}

/// An outlet's place along the later run, what it was and what it is.
type Pair<'a> = (usize, &'a Outlet, &'a Outlet);

/// Outlets that are held against each other, those that are gone and those that are new.
fn paired<'a>(
    before: &'a [Outlet],
    after: &'a [Outlet],
    shop: &Shop,
) -> (Vec<Pair<'a>>, Vec<&'a Outlet>, Vec<&'a Outlet>) {
    if before.len() == after.len() {
        let each = before.iter().zip(after).enumerate();
        let pairs = each.map(|(place, (old, new))| (place, old, new));
        return (pairs.collect(), Vec::new(), Vec::new());
    }
    let figures = Figures::exact(shop);
    let stands = |made: &Outlet| (figures.length(made.station), figures.angle(made.clock));
    let mut left: Vec<_> = before.iter().map(|old| (stands(old), old)).collect();
    let (mut pairs, mut new) = (Vec::new(), Vec::new());
    for (place, made) in after.iter().enumerate() {
        let here = stands(made);
        match left.iter().position(|(known, _)| *known == here) {
            Some(known) => pairs.push((place, left.remove(known).1, made)),
            None => new.push(made),
        }
    }
    (pairs, left.into_iter().map(|(_, old)| old).collect(), new)
}

/// Outlets in words, those that are alike but for their station together.
fn groups(outlets: &[&Outlet], shop: &Shop) -> Vec<String> {
    let figures = Figures::read(shop);
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for outlet in outlets {
        let alike = format!(
            "{}, stub {}, turned {}",
            figures.tube(&outlet.tube),
            figures.length(outlet.stub),
            figures.angle(outlet.clock)
        );
        let station = figures.length(outlet.station);
        match groups.iter_mut().find(|(known, _)| *known == alike) {
            Some((_, stations)) => stations.push(station),
            None => groups.push((alike, vec![station])),
        }
    }
    let said = groups
        .into_iter()
        .map(|(alike, at)| format!("{} x {alike}, at {}", at.len(), at.join(" and ")));
    said.collect()
}

/// Places, counted from 0 and rising, as people count: `1 to 3 and 6`.
fn numbers(places: &[usize]) -> String {
    let mut rows: Vec<(usize, usize)> = Vec::new();
    for place in places {
        match rows.last_mut() {
            Some((_, last)) if *last + 1 == *place => *last = *place,
            _ => rows.push((*place, *place)),
        }
    }
    let said = rows.into_iter().map(|(first, last)| match last - first {
        0 => (first + 1).to_string(),
        1 => format!("{} and {}", first + 1, last + 1),
        _ => format!("{} to {}", first + 1, last + 1),
    });
    said.collect::<Vec<_>>().join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outlets_are_counted_as_people_count() {
        for (places, said) in [
            (vec![2], "3"),
            (vec![0, 1], "1 and 2"),
            (vec![0, 1, 2, 5], "1 to 3 and 6"),
        ] {
            assert_eq!(numbers(&places), said);
        }
    }
}
