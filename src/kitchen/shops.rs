//! Reads `week: shops:` and what stands by shop elsewhere.

use super::currency::money;
use super::fault::Sink;
use super::fields::Fields;
use super::limits;
use super::node::Node;
use super::place::At;
use super::spelling::{Allowance, fold, meant};
use super::wording::{Says, either, says, shown};
use crate::larder::{Currency, Day, ShopId, ShoppingTrip};
use std::collections::HashMap;

const KEYS: [&str; 3] = ["shop", "days", "trip_price"];

/// Reads `shops:` into their names, the usual one first, and the trips to them, with what reads the
/// days of one.
pub(crate) fn read(
    node: &Node,
    shopping_days: &dyn Fn(&Node, &mut Sink) -> Option<Vec<Day>>,
    currency: &Currency,
    sink: &mut Sink,
) -> (Vec<String>, Vec<ShoppingTrip>) {
    let mut shops: Vec<String> = Vec::new();
    let mut trips: Vec<ShoppingTrip> = Vec::new();
    let mut seen: HashMap<String, At> = HashMap::new();
    let items = super::fields::list(node, "shops", limits::TRIPS, sink).unwrap_or_default();
    for item in items {
        let Some(fields) = Fields::open(item, "a shop", &KEYS, sink) else {
            continue;
        };
        let Some(name) = fields.need_text("shop", "harbour market", sink) else {
            continue;
        };
        let at = fields.value_at("shop");
        if let Some(&first) = seen.get(&fold(name)) {
            let place = sink.place(first);
            let what = format!("the shop `{}` already stands at {place}", shown(name));
            sink.fault(at, what, "put its days together in one place");
            continue;
        }
        seen.insert(fold(name), at);
        let shop = Some(ShopId::new(shops.len()));
        shops.push(name.to_owned());
        let going_minor = fields.text("trip_price", sink).and_then(|text| {
            let at = fields.value_at("trip_price");
            sink.take(at, money(text, currency, false))
        });
        let days = match fields.get("days", sink) {
            Some(node) => shopping_days(node, sink).unwrap_or_default(),
            None => vec![0],
        };
        trips.extend(days.into_iter().map(|day| ShoppingTrip {
            day,
            shop,
            going_minor,
        }));
    }
    if shops.is_empty() {
        sink.fault(
            node.at,
            "no shop is named",
            "write the usual shop first, like `shops: [{shop: harbour market, days: [0]}]`",
        );
    }
    if trips.len() > limits::TRIPS {
        sink.fault(
            node.at,
            format!(
                "{} shopping trips are more than {}",
                trips.len(),
                limits::TRIPS
            ),
            "leave out days on which one would hardly go",
        );
        trips.truncate(limits::TRIPS);
    }
    in_order(&mut trips);
    (shops, trips)
}

/// The usual shop's first trip, then the others by day and shop.
fn in_order(trips: &mut Vec<ShoppingTrip>) {
    if trips.is_empty() {
        // After a fault; whatever else is read wants a trip.
        trips.push(ShoppingTrip::on(0));
    }
    let key = |trip: &ShoppingTrip| -> (Day, Option<ShopId>) { (trip.day, trip.shop) };
    trips[1..].sort_by_key(key);
}

/// Returns the shop of that name.
pub(crate) fn find(shops: &[String], name: &str) -> Option<ShopId> {
    let name = fold(name);
    let place = shops.iter().position(|shop| fold(shop) == name);
    place.map(ShopId::new)
}

/// Returns what is wrong with a name that no shop has.
pub(crate) fn unknown(shops: &[String], name: &str) -> Says {
    let names = shops.iter().map(String::as_str);
    let all: Vec<&str> = names.clone().collect();
    // A handful of names: no allowance is ever spent on them.
    let allowance = &mut Allowance::default();
    let help = meant(names, name, allowance, || {
        format!("the shops are {}", either(&all))
    });
    says(format!("no shop is called `{}`", shown(name)), help)
}
