//! Fills the shape of the trade-offs: names and exact numbers, nothing worked out.

use super::case::{brief, case, word};
use super::exact::Exact;
use super::fill::{near_misses, too_few, ways_out};
use super::shape::CurrencyShape;
use super::trade::{
    CapShape, EatersShape, ElsewhereShape, EndShape, FarShape, FoodPriceShape, FrontierShape,
    FruitShape, KneeShape, OthersShape, PointShape, PriceShape, RecipePriceShape, ReuseShape,
    RipenedShape, RulePriceShape, ShareShape, ShopPriceShape, TradeoffsReport,
};
use crate::larder::Currency;
use crate::report::names::isolated;
use crate::report::sentences;
use crate::tradeoffs::{
    CapFacts, Case, EatersFacts, ElsewherePrice, End, FoodPrice, Frontier, FruitFacts, Others,
    PriceRange, ReuseRow, Ripened, RulePrice, ShopPrice, Tradeoffs,
};

fn list<T, S>(facts: Option<&Vec<T>>, shape: impl Fn(&T) -> S) -> Option<Vec<S>> {
    facts.map(|facts| facts.iter().map(shape).collect())
}

pub(super) fn tradeoffs(told: &Tradeoffs) -> TradeoffsReport {
    let currency = &told.currency;
    let conflict = told.conflict.as_ref();
    let recipes = told.recipes.as_ref();
    TradeoffsReport {
        kitchen: told.kitchen.clone(),
        currency: CurrencyShape {
            code: currency.code.clone(),
            digits: currency.digits,
        },
        outcome: word(told.proof),
        week: told.week.as_ref().map(brief),
        conflict: conflict.map(|conflict| {
            let rules = conflict.rules.iter();
            rules
                .map(|rule| sentences::clash(&isolated(rule), currency))
                .collect()
        }),
        too_few_recipes: conflict.and_then(too_few),
        ways_out: conflict.map(|conflict| ways_out(conflict, currency)),
        rules: list(told.rules.as_ref(), |price| rule(price, currency)),
        foods: list(told.foods.as_ref(), food),
        recipes_left_out: list(recipes.map(|all| &all.left_out), recipe),
        recipes_kept: list(recipes.map(|all| &all.kept), recipe),
        frontier: told.frontier.as_ref().map(frontier),
        caps: list(told.caps.as_ref(), cap),
        eaters: list(told.eaters.as_ref(), eaters),
        others: told.others.as_ref().map(others),
        prices: list(told.ranges.as_ref(), range),
        reuse: list(told.reuse.as_ref(), reuse),
        shops: list(told.shops.as_ref().map(|told| &told.shops), shop),
        packs_elsewhere: list(told.shops.as_ref().map(|told| &told.packs), elsewhere),
        near_misses: told.misses.as_ref().map(near_misses),
        ripening: list(told.ripening.as_ref(), fruit),
        solved: told.solved,
        none: told.none,
        settled: told.settled,
    }
}

fn rule(price: &RulePrice, currency: &Currency) -> RulePriceShape {
    let looser = price.looser.as_ref();
    RulePriceShape {
        rule: sentences::clash(&isolated(&price.rule), currency),
        free: price.free,
        without: price.without.as_ref().map(case),
        looser: looser.map(|(rule, _)| sentences::clash(&isolated(rule), currency)),
        with_looser: looser.map(|(_, facts)| case(facts)),
    }
}

fn food(price: &FoodPrice) -> FoodPriceShape {
    FoodPriceShape {
        food: price.food.clone(),
        bought: price.bought,
        without: case(&price.without),
    }
}

fn shop(price: &ShopPrice) -> ShopPriceShape {
    ShopPriceShape {
        shop: price.shop.clone(),
        days: price.days.iter().map(|when| when.day).collect(),
        bill: price.bill_minor,
        without: case(&price.without),
    }
}

fn elsewhere(price: &ElsewherePrice) -> ElsewhereShape {
    ElsewhereShape {
        food: price.food.clone(),
        pack: price.pack.clone(),
        shop: price.shop.clone(),
        each: price.each_minor,
        others: price.others.clone(),
        without: case(&price.without),
    }
}

fn recipe((name, facts): &(String, Case)) -> RecipePriceShape {
    RecipePriceShape {
        recipe: name.clone(),
        case: case(facts),
    }
}

fn frontier(frontier: &Frontier) -> FrontierShape {
    FrontierShape {
        points: frontier
            .points
            .iter()
            .map(|point| PointShape {
                bill: point.bill_minor,
                foods: point.foods,
                spoiled: Exact::nano(point.spoiled_nano),
                chosen: point.chosen,
                beats_chosen: point.beats_chosen,
                week: brief(&point.week),
            })
            .collect(),
        complete: frontier.complete,
        has_chosen: frontier.has_chosen,
        knees: frontier
            .knees
            .iter()
            .map(|knee| KneeShape {
                foods: knee.foods,
                bill: knee.bill_minor,
                saves: knee.saves_minor,
            })
            .collect(),
    }
}

fn cap(facts: &CapFacts) -> CapShape {
    CapShape {
        most: facts.most,
        own: facts.own,
        case: case(&facts.case),
    }
}

fn eaters(facts: &EatersFacts) -> EatersShape {
    EatersShape {
        eaters: facts.eaters,
        own: facts.own,
        bill_a_portion: facts.bill_per_portion_nano.map(Exact::nano),
        spoiled_share: facts.spoiled_share_milli.map(Exact::milli),
        case: case(&facts.case),
    }
}

fn others(others: &Others) -> OthersShape {
    OthersShape {
        next: others.next.iter().map(case).collect(),
        no_more: others.no_more,
        margin: Exact::nano(others.margin_nano),
        far: others
            .far
            .iter()
            .map(|week| FarShape {
                shares: week.shared,
                case: case(&week.case),
            })
            .collect(),
    }
}

fn range(range: &PriceRange) -> PriceShape {
    let end = |end: &End| EndShape {
        price: end.price_minor,
        settled: end.settled,
        over_budget: end.over_budget,
        beyond: end.beyond.as_ref().map(case),
    };
    PriceShape {
        food: range.food.clone(),
        pack: range.pack.clone(),
        shop: range.shop.clone(),
        price: range.price_minor,
        low: end(&range.low),
        high: end(&range.high),
    }
}

fn reuse(row: &ReuseRow) -> ReuseShape {
    ReuseShape {
        food: row.food.clone(),
        packs: row.packs.clone(),
        price: row.price_minor,
        bought_mg: row.bought_mg,
        on_hand_mg: row.on_hand_mg,
        left_mg: row.over_mg,
        lunches: row
            .shares
            .iter()
            .map(|share| ShareShape {
                day: share.when.day,
                mg: share.mg,
                share: Exact::milli(share.share_milli),
            })
            .collect(),
        lunches_a_pack: row.lunches_per_pack_milli.map(Exact::milli),
        price_a_lunch: Exact::nano(row.price_per_lunch_nano),
    }
}

fn fruit(facts: &FruitFacts) -> FruitShape {
    FruitShape {
        food: facts.food.clone(),
        in_week: facts.in_week,
        case: case(&facts.case),
        bought: facts.bought.iter().map(ripened).collect(),
        holds_early: facts.holds_early,
        early: facts.early.as_ref().map(case),
        bought_early: facts.bought_early.iter().map(ripened).collect(),
        holds_late: facts.holds_late,
        late: facts.late.as_ref().map(case),
        bought_late: facts.bought_late.iter().map(ripened).collect(),
    }
}

fn ripened(bought: &Ripened) -> RipenedShape {
    RipenedShape {
        pack: bought.pack.clone(),
        stage: bought.stage.clone(),
        count: bought.count,
        bought_on: bought.bought_on.day,
        first: bought.first.day,
        last: bought.last.day,
        cut: bought.cut.iter().map(|when| when.day).collect(),
        slack_days: bought.slack_days,
    }
}
