//! What each shop is worth, and what each pack bought would cost elsewhere.

use super::base::Base;
use super::change::Change;
use super::desk::{Desk, Question};
use super::facts::{Case, food_name};
use crate::engine::EngineFault;
use crate::explain::When;
use crate::larder::{FoodId, Larder, PackId, ShopId};

/// Shops of a kitchen that names several.
#[derive(Clone, Debug)]
pub struct Shops {
    /// In the kitchen's order, the usual one first.
    pub shops: Vec<ShopPrice>,
    /// Packs bought that another shop sells as well, in the order of their foods.
    pub packs: Vec<ElsewherePrice>,
}

/// A shop, and the best week without it.
#[derive(Clone, Debug)]
pub struct ShopPrice {
    /// The shop.
    pub shop: String,
    /// Days on which the chosen week buys something there.
    pub days: Vec<When>,
    /// What it buys there costs so much.
    pub bill_minor: i64,
    /// The week without it.
    pub without: Case,
}

/// A pack bought at one shop that others sell too.
#[derive(Clone, Debug)]
pub struct ElsewherePrice {
    /// The food.
    pub food: String,
    /// The pack.
    pub pack: String,
    /// Where the chosen week buys it.
    pub shop: String,
    /// Price of one there.
    pub each_minor: i64,
    /// The other shops that have the same pack, with its price there.
    pub others: Vec<(String, i64)>,
    /// The best week that does not buy it where this one does.
    pub without: Case,
}

fn shops(larder: &Larder) -> impl Iterator<Item = ShopId> + use<> {
    let count = larder.shops.len();
    // One shop alone is the only place to buy: giving it up is no question.
    (0..if count > 1 { count } else { 0 }).map(ShopId::new)
}

/// Packs bought, once each, with the same pack at other shops.
fn packs(larder: &Larder, base: &Base) -> Vec<(PackId, Vec<PackId>)> {
    let mut all: Vec<PackId> = base.solved.plan.purchases.iter().map(|b| b.pack).collect();
    all.sort_unstable();
    all.dedup();
    let elsewhere = |id: PackId| {
        let pack = &larder.packs[id.index()];
        let same = larder.packs_of(pack.food).filter(|(other, there)| {
            let same = (&there.label, &there.stage) == (&pack.label, &pack.stage);
            same && *other != id && larder.is_sold(*other)
        });
        same.map(|(other, _)| other).collect()
    };
    let all = all.into_iter().map(|id| (id, elsewhere(id)));
    all.filter(|(_, others): &(_, Vec<PackId>)| !others.is_empty())
        .collect()
}

fn without_shop(shop: ShopId) -> Question {
    Question::one(Change::BanShop(shop))
}

fn without_pack(pack: PackId) -> Question {
    Question::one(Change::BanPack(pack))
}

pub(super) fn questions(larder: &Larder, base: &Base) -> Vec<Question> {
    let packs = packs(larder, base).into_iter();
    let packs = packs.map(|(pack, _)| without_pack(pack));
    shops(larder).map(without_shop).chain(packs).collect()
}

pub(super) fn shops_told(desk: &mut Desk, base: &Base) -> Result<Shops, EngineFault> {
    let larder = desk.larder;
    desk.ask_all(&questions(larder, base))?;
    let name = |shop: ShopId| larder.shops[shop.index()].clone();
    let mut told = Shops {
        shops: Vec::new(),
        packs: Vec::new(),
    };
    for shop in shops(larder) {
        let here = base.solved.plan.purchases.iter();
        let here = here.filter(|bought| larder.packs[bought.pack.index()].shop == Some(shop));
        let mut days: Vec<i32> = here
            .clone()
            .map(|bought| i32::from(larder.trip_day(bought.trip)))
            .collect();
        days.sort_unstable();
        days.dedup();
        let day = |day: i32| When::new(larder, day);
        let answer = desk.ask(&without_shop(shop))?;
        told.shops.push(ShopPrice {
            shop: name(shop),
            days: days.into_iter().map(day).collect(),
            bill_minor: here
                .map(|bought| larder.packs[bought.pack.index()].price_minor * bought.count)
                .sum(),
            without: base.case(larder, &answer),
        });
    }
    for (id, others) in packs(larder, base) {
        let pack = &larder.packs[id.index()];
        let food: FoodId = pack.food;
        let price = |id: &PackId| {
            let shop = larder.shop_of(*id).unwrap_or_default();
            (shop.to_owned(), larder.packs[id.index()].price_minor)
        };
        let answer = desk.ask(&without_pack(id))?;
        told.packs.push(ElsewherePrice {
            food: food_name(larder, food),
            pack: pack.label.clone(),
            shop: price(&id).0,
            each_minor: pack.price_minor,
            others: others.iter().map(price).collect(),
            without: base.case(larder, &answer),
        });
    }
    Ok(told)
}
