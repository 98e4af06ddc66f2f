//! Hours of an operation, and what an hour costs.

use rust_decimal::Decimal;

use super::{Derivation, Told};
use crate::shop::estimate::Portion;
use crate::shop::labour::{Driver, OperationTime};
use crate::shop::settings::CrewMember;

const MINUTES: &str = "min";

/// Hours over the schedule.
pub fn hours(
    told: Told<'_>,
    time: &OperationTime,
    (portions, sizes): (&[Portion], Option<u32>),
) -> Derivation {
    let source = time_source(told, time);
    let mut parts: Vec<Derivation> = match sizes {
        Some(sizes) => vec![set_ups(time, sizes, &source)],
        None => portions.iter().map(|it| run_time(told, time, it)).collect(),
    };
    if !time.setup_minutes.is_zero() {
        let setup = (time.setup_minutes, MINUTES);
        parts.push(Derivation::given("set-up of the batch", setup, source));
    }
    let minutes = Derivation::sum("minutes over the schedule", MINUTES, parts);
    let sixty = Derivation::given(
        "minutes of an hour",
        (Decimal::from(60), MINUTES),
        "an hour",
    );
    Derivation::quotient("hours", "h", [minutes, sixty]).rounded("hours", 4)
}

fn time_source(told: Told<'_>, time: &OperationTime) -> String {
    format!(
        "labour model \"{}\" of {}, {} ({})",
        told.books.labour.name,
        told.books.labour.effective_on,
        time.operation.word(),
        time.source.word()
    )
}

fn set_ups(time: &OperationTime, sizes: u32, source: &str) -> Derivation {
    let each = Derivation::given("one set-up", (time.minutes_each, MINUTES), source);
    let count = (Decimal::from(sizes), "branch size");
    let sizes = Derivation::given("branch sizes", count, "those formed in the schedule");
    Derivation::product("set-ups", MINUTES, vec![each, sizes])
}

/// Run time of one item of the schedule.
fn run_time(told: Told<'_>, time: &OperationTime, portion: &Portion) -> Derivation {
    let manifold = told.schedule[portion.item].manifold;
    let mut factors = vec![one(told, time, portion), units(told, portion)];
    factors.extend(portion.conditions.iter().map(|condition| {
        let source = format!("labour model, {}", condition.source.word());
        Derivation::given(
            format!("working {}", condition.name),
            (condition.factor, ""),
            source,
        )
    }));
    Derivation::product(manifold.mark.clone(), MINUTES, factors)
}

/// Minutes for one manifold at the model's times.
fn one(told: Told<'_>, time: &OperationTime, portion: &Portion) -> Derivation {
    let source = time_source(told, time);
    let counted = time.operation.counted_by();
    let count = (Decimal::from(portion.amount.count), counted);
    let parts = vec![
        Derivation::given(
            format!("for each {counted}"),
            (time.minutes_each, MINUTES),
            source.clone(),
        ),
        Derivation::given(format!("{counted}s"), count, "counted from the design"),
    ];
    let each = Derivation::product("by count", MINUTES, parts);
    let driver = time.operation.driver();
    if driver == Driver::None || time.minutes_per_driver.is_zero() {
        return Derivation {
            what: "one manifold".to_owned(),
            ..each
        };
    }
    let unit = driver.unit();
    let parts = vec![
        Derivation::given(
            format!("for each {unit}"),
            (time.minutes_per_driver, MINUTES),
            source,
        ),
        Derivation::given(
            "added up",
            (portion.amount.driver, unit),
            "taken from the design",
        ),
    ];
    let driven = Derivation::product("by size", MINUTES, parts);
    Derivation::sum("one manifold", MINUTES, vec![each, driven])
}

fn units(told: Told<'_>, portion: &Portion) -> Derivation {
    let quantity = told.schedule[portion.item].manifold.quantity;
    let (what, source) = match &told.books.labour.repetition {
        Some(it) => (
            "manifolds' time, with repetition",
            format!(
                "{quantity} of a kind, after those before them in the schedule, by {} of {} from unit {} ({})",
                it.curve.spoken(),
                it.slope,
                it.timed_at,
                it.source.word()
            ),
        ),
        None => ("manifolds", "quantity of the design".to_owned()),
    };
    Derivation::given(what, (portion.units, ""), source)
}

/// What an hour costs.
pub fn rate(told: Told<'_>) -> Derivation {
    let (pricing, currency) = (&told.books.shop.pricing, told.books.shop.currency.code());
    let loaded = |what: &str, wage: Decimal, burden| {
        let wage = Derivation::given("wage of an hour", (wage, currency), "shop setting");
        let burden = Derivation::share("burden", burden, "shop setting");
        let burden = Derivation::one_and("wage with burden", burden);
        Derivation::product(what, currency, vec![wage, burden])
    };
    let hour = match pricing.crew.as_slice() {
        [] => loaded(
            "an hour",
            pricing.crew_rate.unwrap_or_default(),
            pricing.burden,
        ),
        crew => {
            let heads = |member: &CrewMember| {
                Derivation::given(member.role.clone(), (member.count, ""), "shop setting")
            };
            let members = crew.iter().map(|member| {
                let burden = member.burden.unwrap_or(pricing.burden);
                let hour = loaded("an hour of one", member.wage, burden);
                Derivation::product(member.role.clone(), currency, vec![heads(member), hour])
            });
            let whole = Derivation::sum("an hour of all", currency, members.collect());
            let heads = Derivation::sum("heads", "", crew.iter().map(heads).collect());
            Derivation::quotient("mean hour of the crew", currency, [whole, heads])
        }
    };
    hour.rounded("rate of an hour", 4)
}
