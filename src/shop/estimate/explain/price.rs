//! From cost to price: what is added, the price of one manifold, and tax.

use rust_decimal::Decimal;

use super::{Derivation, Told};
use crate::shop::estimate::{Added, LABOUR, LineOrigin};
use crate::shop::money::{Percent, Profit};
use crate::shop::quote::TaxLine;
use crate::shop::risk::{DRAWS, SEED};

const SETTING: &str = "shop setting";

impl Told<'_> {
    fn currency(&self) -> &str {
        self.books.shop.currency.code()
    }

    /// The amounts of some of the lines before a place.
    fn lines(&self, before: usize, counts: impl Fn(&str) -> bool) -> Vec<Derivation> {
        let lines = self.estimate.lines[..before].iter().enumerate();
        lines
            .filter(|(_, line)| counts(&line.head))
            .map(|(place, line)| Derivation {
                line: Some(place),
                ..Derivation::given(
                    line.text.clone(),
                    (line.amount, self.currency()),
                    "the line itself",
                )
            })
            .collect()
    }

    fn so_far(&self, before: usize, what: &str) -> Derivation {
        Derivation::sum(what, self.currency(), self.lines(before, |_| true))
    }
}

/// The amount of a line that adds to those before it.
pub fn amount(told: Told<'_>, place: usize, added: Added) -> Derivation {
    let pricing = &told.books.shop.pricing;
    let sum = |what: &str| told.so_far(place, what);
    let share_of = |name: &str, percent: Percent, of: Derivation| {
        let share = Derivation::share(name, percent, SETTING);
        Derivation::product(name, told.currency(), vec![share, of])
    };
    let exact = match added {
        Added::SmallTools => {
            let labour = told.lines(place, |head| head == LABOUR);
            let labour = Derivation::sum("labour", told.currency(), labour);
            share_of("small tools", pricing.small_tools, labour)
        }
        Added::Overhead => share_of("overhead", pricing.overhead, sum("direct cost")),
        Added::Contingency => share_of(
            "contingency",
            pricing.contingency,
            sum("cost with overhead"),
        ),
        Added::Reserve => reserve(told, place),
        Added::Profit => profit(told, sum("cost")),
        Added::MinimumCharge => minimum(told, sum("price so far")),
        Added::Discount => {
            let less = Derivation::given("taken off", (Decimal::NEGATIVE_ONE, ""), "a discount");
            let off = share_of("discount", pricing.discount, sum("price"));
            Derivation::product("discount", told.currency(), vec![less, off])
        }
        Added::Rounding => {
            let net = net(told);
            Derivation::difference("rounding", told.currency(), [net, sum("price")])
        }
    };
    let text = told.estimate.lines[place].text.clone();
    exact.to_minor_unit(text, told.books.shop.currency)
}

fn reserve(told: Told<'_>, place: usize) -> Derivation {
    let amount = told.estimate.lines[place].amount;
    let level = told
        .books
        .shop
        .pricing
        .contingency_level
        .unwrap_or_default();
    let source =
        format!("P{level} less P50 of cost with overhead, over {DRAWS} draws with seed {SEED}");
    Derivation::given("contingency", (amount, told.currency()), source)
}

fn profit(told: Told<'_>, cost: Derivation) -> Derivation {
    match told.books.shop.pricing.profit {
        Profit::Markup(percent) => {
            let share = Derivation::share("markup on cost", percent, SETTING);
            Derivation::product("profit", told.currency(), vec![share, cost])
        }
        Profit::Margin(percent) => {
            let share = || Derivation::share("margin on price", percent, SETTING);
            let one = Derivation::given("the price", (Decimal::ONE, ""), "one");
            let left = Derivation::difference("what cost is of the price", "", [one, share()]);
            let part = Derivation::product("margin by cost", told.currency(), vec![cost, share()]);
            Derivation::quotient("profit", told.currency(), [part, left])
        }
    }
}

fn minimum(told: Told<'_>, so_far: Derivation) -> Derivation {
    let least = told.books.shop.pricing.minimum_charge;
    let least = Derivation::given("minimum charge", (least, told.currency()), SETTING);
    let lacking = Derivation::difference("what lacks to it", told.currency(), [least, so_far]);
    let nothing = Derivation::given("nothing", (Decimal::ZERO, told.currency()), "at least");
    Derivation::greatest("made up", told.currency(), vec![lacking, nothing])
}

/// The prices of all manifolds.
fn net(told: Told<'_>) -> Derivation {
    let items = told.estimate.items.iter().map(|item| {
        let price = (item.unit_price, told.currency());
        let parts = vec![
            Derivation::given("price of one", price, "rounded to the minor unit"),
            Derivation::given(
                "manifolds",
                (item.quantity.into(), ""),
                "quantity of the design",
            ),
        ];
        Derivation::product(item.mark.clone(), told.currency(), parts)
    });
    Derivation::sum("net", told.currency(), items.collect())
}

/// The price of one manifold: its part of the price by direct cost.
pub fn unit_price(told: Told<'_>, item: usize) -> Derivation {
    let currency = told.currency();
    let lines = &told.estimate.origins;
    let rounding = lines
        .iter()
        .position(|origin| *origin == LineOrigin::Added(Added::Rounding));
    let price = told.so_far(rounding.unwrap_or(lines.len()), "price");
    let mut direct = Vec::new();
    let mut parts = Vec::new();
    for (place, origin) in lines.iter().enumerate() {
        let LineOrigin::Direct(line) = origin else {
            continue;
        };
        let at_line = |value, source: &str| Derivation {
            line: Some(place),
            ..Derivation::given(line.line.text.clone(), (value, currency), source)
        };
        direct.push(at_line(line.line.amount, "the line itself"));
        parts.push(at_line(line.share_of(item), shared_by(&line.line.head)));
    }
    parts.retain(|part| !part.value.is_zero());
    let its = Derivation::sum("its direct cost", currency, parts);
    let whole = Derivation::sum("direct cost of all", currency, direct);
    let count = told.schedule.len();
    let share = match whole.value.is_zero() {
        true => {
            let one = Derivation::given("the whole", (Decimal::ONE, ""), "one");
            let items = Derivation::given("items", (count.into(), ""), "no item has a cost");
            Derivation::quotient("its part", "", [one, items])
        }
        false => Derivation::quotient("its part", "", [its, whole]),
    };
    let part = Derivation::product("its part of the price", currency, vec![price, share]);
    let quantity = told.schedule[item].manifold.quantity.into();
    let quantity = Derivation::given("manifolds", (quantity, ""), "quantity of the design");
    let one = Derivation::quotient("price of one, exact", currency, [part, quantity]);
    one.to_minor_unit("price of one", told.books.shop.currency)
}

fn shared_by(head: &str) -> &'static str {
    match head {
        LABOUR => "its part of the line by run time",
        _ => "its part of the line by quantity",
    }
}

/// The amount of a tax.
pub fn tax(told: Told<'_>, tax: &TaxLine) -> Derivation {
    let source = match told.estimate.totals.taxes.len() {
        1 => "net",
        _ => "the part of net by direct cost of the heads it is on",
    };
    let base = Derivation::given("taxed", (tax.base, told.currency()), source);
    let share = Derivation::share(tax.name.clone(), tax.rate, SETTING);
    let exact = Derivation::product("tax", told.currency(), vec![share, base]);
    exact.to_minor_unit(tax.text(), told.books.shop.currency)
}
