//! Lines of direct cost: what is bought, and what equipment is charged.

use rust_decimal::Decimal;

use super::{Derivation, Told, hours};
use crate::shop::estimate::needs::{MaterialNeed, NeedAmount};
use crate::shop::estimate::sticks::Nested;
use crate::shop::estimate::{DirectLine, Origin, Scheduled};
use crate::shop::price_list::{PriceItem, PriceUnit};

/// The amount of a line.
pub fn amount(told: Told<'_>, line: &DirectLine) -> Derivation {
    let unit = line.line.unit.as_str();
    let (quantity, price) = match &line.origin {
        Origin::Bought { needs, price } => {
            (bought(told, needs, price), list_price(told, line, price))
        }
        Origin::Sticks {
            nested,
            stick,
            price,
        } => (
            sticks(nested, (*stick, unit)),
            list_price(told, line, price),
        ),
        Origin::Kept { price } => (kept(line), credit(told, line, price)),
        Origin::Hours {
            time,
            portions,
            sizes,
        } => (
            hours::hours(told, time, (portions, *sizes)),
            hours::rate(told),
        ),
        Origin::Equipment => (collars(told, line), charge(told)),
    };
    let currency = told.books.shop.currency;
    let product = Derivation::product("quantity by price", currency.code(), vec![quantity, price]);
    product.to_minor_unit(line.line.text.clone(), currency)
}

/// How many manifolds, in words that follow what one takes.
fn for_all(item: &Scheduled<'_>) -> String {
    match item.manifold.quantity {
        1 => String::new(),
        many => format!(", for {many} manifolds"),
    }
}

fn net_source(item: &Scheduled<'_>, need: &MaterialNeed, unit: PriceUnit) -> String {
    match need.amount {
        NeedAmount::Tube { .. } => {
            let pieces = item.takeoff.layout.pieces.iter();
            let of_it = pieces.filter(|piece| piece.tube.id == need.code);
            let lengths = of_it.map(|piece| match unit {
                PriceUnit::Metre => {
                    format!("{} of {:.1} mm", piece.count, piece.length.in_millimetres())
                }
                _ => format!("{} of {:.3} in", piece.count, piece.length.in_inches()),
            });
            let lengths: Vec<String> = lengths.collect();
            format!(
                "pieces of the layout: {}{}",
                lengths.join(", "),
                for_all(item)
            )
        }
        NeedAmount::Filler(_) => {
            let joints = item.takeoff.joint_count();
            format!("fills the gaps of {joints} joints{}", for_all(item))
        }
        NeedAmount::Joints(_) => format!("joints of the take-off{}", for_all(item)),
        NeedAmount::Pieces(_) => format!("counted from the design{}", for_all(item)),
    }
}

fn bought(told: Told<'_>, needs: &[(usize, MaterialNeed)], price: &PriceItem) -> Derivation {
    let (unit, pricing) = (price.unit.word(), &told.books.shop.pricing);
    let each = needs.iter().map(|(place, need)| {
        let item = &told.schedule[*place];
        let mark = item.manifold.mark.clone();
        let value = need.net_in(price.unit).unwrap_or_default();
        let net = Derivation::given("net", (value, unit), net_source(item, need, price.unit));
        match need.beyond(pricing) {
            None => Derivation { what: mark, ..net },
            Some((name, share)) => {
                let share = Derivation::share(name, share, "shop setting");
                let beyond = Derivation::one_and(format!("net with {name}"), share);
                Derivation::product(mark, unit, vec![net, beyond])
            }
        }
    });
    let sum = Derivation::sum("needed by the schedule", unit, each.collect());
    match price.unit {
        PriceUnit::Stick => sum.rounded_up("whole sticks"),
        PriceUnit::Each | PriceUnit::Joint => sum,
        _ => sum.rounded("quantity", 3),
    }
}

fn list_price(told: Told<'_>, line: &DirectLine, price: &PriceItem) -> Derivation {
    let currency = told.books.shop.currency.code();
    let list = &told.books.prices;
    let source = format!(
        "price list \"{}\" of {}, item {}{}",
        list.name,
        list.effective_on,
        price.code,
        price.break_basis(line.line.quantity)
    );
    let what = format!("price of one {}", price.unit.word());
    Derivation::given(what, (line.line.unit_price, currency), source)
}

fn sticks(nested: &Nested, (stick, unit): (Decimal, &str)) -> Derivation {
    let source = format!(
        "cut plan: {} pieces nested, {}",
        nested.pieces,
        match nested.is_proven {
            true => "no plan needs less",
            false => "not proven the least",
        }
    );
    let count = Derivation::given("sticks", (Decimal::from(nested.sticks), ""), source);
    let length = Derivation::given("one stick", (stick, unit), "catalogue");
    Derivation::product("sticks bought", unit, vec![count, length])
}

fn kept(line: &DirectLine) -> Derivation {
    let quantity = (line.line.quantity, line.line.unit.as_str());
    Derivation::given("rests worth keeping", quantity, "cut plan")
}

fn credit(told: Told<'_>, line: &DirectLine, price: &PriceItem) -> Derivation {
    let currency = told.books.shop.currency.code();
    let cutting = told.books.shop.pricing.cutting.as_ref();
    let value = cutting
        .map(|cutting| cutting.offcut_value)
        .unwrap_or_default();
    let list = format!(
        "price list \"{}\", item {}",
        told.books.prices.name, price.code
    );
    let whole = Derivation::given("price of one", (price.price, currency), list);
    let share = Derivation::share("worth of a rest", value, "shop setting");
    let worth = Derivation::product("worth of one", currency, vec![share, whole]);
    let worth = worth.rounded(format!("credit for one {}", line.line.unit), 6);
    let less = Derivation::given(
        "credited",
        (Decimal::NEGATIVE_ONE, ""),
        "taken off the cost",
    );
    Derivation::product("credit", currency, vec![less, worth])
}

fn collars(told: Told<'_>, line: &DirectLine) -> Derivation {
    let shares = line.shares.iter().enumerate();
    let each = shares
        .filter(|(_, count)| !count.is_zero())
        .map(|(place, count)| {
            let item = &told.schedule[place];
            let source = format!("counted from the design{}", for_all(item));
            Derivation::given(item.manifold.mark.clone(), (*count, "collar"), source)
        });
    Derivation::sum("collars formed", "collar", each.collect())
}

fn charge(told: Told<'_>) -> Derivation {
    let charge = told.books.shop.pricing.collar_charge;
    let currency = told.books.shop.currency.code();
    Derivation::given("charge for a collar", (charge, currency), "shop setting")
}
