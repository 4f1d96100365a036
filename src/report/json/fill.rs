//! Places an explanation's figures into the JSON's shape; works nothing out.

use super::case::{sums, tellings};
use super::exact::Exact;
use super::shape::{
    AdviceShape, AdvisedShape, AimShape, BatchShape, BetterYieldShape, Calendar, ChangesShape,
    CreditShape, CurrencyShape, DayShape, EffortShape, FateWord, FinisherShape, FinishersShape,
    FoodMass, KeptShape, KitchenShape, LeftoverShape, LeftoverTotalsShape, LimitShape, LineShape,
    LunchChangeShape, LunchShape, MinutesShape, NearMissesShape, NutrientShape, Objective,
    OfferShape, OutcomeWord, PurchaseShape, Report, RoomShape, RuleShape, ServingShape, ShortShape,
    StapleShape, TooFewShape, WayChangeShape, WayOutShape,
};
use crate::explain::{
    AdviceFacts, AimFacts, BatchFacts, Changes, Clash, Conflict, CreditFacts, Explanation, Fate,
    FinisherFacts, Held, How, KitchenDay, LeftoverFacts, LunchChange, LunchFacts, Misses,
    NutrientFacts, OfferFacts, Origin, Parts, PrepFacts, PurchaseFacts, Standing, Taken, Verdict,
    WayOut, When,
};
use crate::larder::{Aim, CapBy, Credited, Currency, Per, Stock};
use crate::report::names::isolated;
use crate::report::sentences;

pub(super) fn report(explanation: &Explanation) -> Report {
    let week = explanation.week.as_ref();
    let total = week.map(|week| week.parts.total_nano);
    let ordered = week.is_some_and(|week| !week.aims.is_empty());
    let bound = match explanation.verdict {
        Verdict::Best => total,
        Verdict::Good { bound_nano } | Verdict::OutOfTime { bound_nano } => Some(bound_nano),
        Verdict::Judged | Verdict::Impossible => None,
    };
    let comparable = explanation.verdict == Verdict::Best || !ordered;
    Report {
        outcome: outcome(explanation.verdict),
        kitchen: explanation.kitchen.clone(),
        currency: CurrencyShape {
            code: explanation.currency.code.clone(),
            digits: explanation.currency.digits,
        },
        week: Calendar {
            days: explanation
                .days
                .iter()
                .map(|(when, eaters)| DayShape {
                    day: when.day,
                    name: when.name.clone(),
                    eaters: Exact::milli(*eaters),
                })
                .collect(),
            trips: explanation.trips.iter().map(|trip| trip.when.day).collect(),
            shops: explanation
                .trips
                .iter()
                .map(|trip| trip.shop.clone())
                .collect(),
            carry_day: explanation.carry.day,
            starts: (explanation.days.first())
                .and_then(|(when, _)| when.date)
                .map(|date| date.to_string()),
        },
        objective: week.map(|week| objective(&week.parts)),
        bound: bound.map(Exact::nano),
        gap: match (total, bound) {
            (Some(total), Some(bound)) if comparable => Some(Exact::nano(total - bound)),
            _ => None,
        },
        aims: week.map_or_else(Vec::new, |week| week.aims.iter().map(aim).collect()),
        bill: week.map(|week| week.tally.packs_minor),
        foods: week.map(|week| week.tally.foods),
        families: week.map(|week| week.tally.families),
        lunches: each(week, |week| week.lunches.iter().map(lunch).collect()),
        purchases: each(week, |week| week.purchases.iter().map(purchase).collect()),
        staples: each(week, |week| {
            week.staples
                .iter()
                .map(|staple| StapleShape {
                    food: staple.food.clone(),
                    mg: staple.mg,
                    cost: Exact::nano(staple.cost_nano),
                    serves: numbers(&staple.serves),
                })
                .collect()
        }),
        batches: each(week, |week| week.batches.iter().map(batch).collect()),
        minutes: each(week, |week| {
            week.minutes
                .iter()
                .map(|day| MinutesShape {
                    day: day.when.day,
                    minutes: Exact::nano(day.minutes_nano),
                    limit: day.limit_nano.map(Exact::nano),
                })
                .collect()
        }),
        kitchen_minutes: each(week, |week| {
            let prep = explanation.prep.as_ref();
            week.kitchen.iter().map(|day| kitchen(day, prep)).collect()
        }),
        leftovers: each(week, |week| week.leftovers.iter().map(leftover).collect()),
        leftover_totals: week.map(|week| {
            let totals = &week.leftover_totals;
            LeftoverTotalsShape {
                bought_mg: totals.had_mg,
                used_mg: totals.used_mg,
                kept_mg: totals.kept_mg,
                spoiled_mg: totals.spoiled_mg,
                kept_value: Exact::nano(totals.kept_nano),
                spoiled_value: Exact::nano(totals.spoiled_nano),
            }
        }),
        kept: (explanation.handed.as_ref()).map_or_else(Vec::new, |handed| kept(&handed.kept)),
        before: (explanation.handed.as_ref()).map_or_else(Vec::new, |handed| handed.before.clone()),
        nutrition: week
            .into_iter()
            .flat_map(|week| &week.nutrition)
            .map(|facts| (facts.nutrient.key(), nutrient(facts)))
            .collect(),
        credits: each(week, |week| week.credits.iter().map(credit).collect()),
        sources: each(week, |week| week.sources.clone()),
        rules: each(week, |week| week.standings.iter().map(rule).collect()),
        changes: explanation.changes.as_ref().map(changes),
        conflict: explanation.conflict.as_ref().map(|conflict| {
            let rules = conflict.rules.iter();
            rules
                .map(|rule| sentences::clash(&isolated(rule), &explanation.currency))
                .collect()
        }),
        too_few_recipes: explanation.conflict.as_ref().and_then(too_few),
        finishers: explanation.finishers.as_ref().map(finishers),
        ways_out: explanation
            .conflict
            .as_ref()
            .map(|conflict| ways_out(conflict, &explanation.currency)),
        tellings: tellings(explanation),
        near_misses: explanation.misses.as_ref().map(near_misses),
        effort: EffortShape {
            nodes: explanation.effort.nodes,
            leaves: explanation.effort.leaves,
        },
        cautions: week
            .and_then(|week| sentences::old_batches(&isolated(week)))
            .into_iter()
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .collect(),
        advice: each(week, |week| week.advice.iter().map(advice).collect()),
    }
}

fn kitchen(facts: &KitchenDay, prep: Option<&PrepFacts>) -> KitchenShape {
    let timed = |prep: &PrepFacts| {
        let day = prep.days.iter().find(|day| day.when.day == facts.when.day);
        day.map_or(0, |day| day.length)
    };
    KitchenShape {
        day: facts.when.day,
        minutes: Exact::nano(facts.minutes_nano),
        limit: facts.limit_nano.map(Exact::nano),
        prep: prep.map(timed),
        prep_proved: prep.map(|prep| prep.bound == prep.length),
    }
}

pub(super) fn advice(facts: &AdviceFacts) -> AdviceShape {
    AdviceShape {
        about: facts.advice.title,
        line: facts.advice.line,
        source: facts.advice.source,
        of: (facts.of.iter())
            .map(|advised| AdvisedShape {
                day: advised.when.day,
                batch: advised.batch,
                name: advised.thing.clone(),
                foods: advised.foods.clone(),
            })
            .collect(),
    }
}

fn each<T, W>(week: Option<&W>, rows: impl Fn(&W) -> Vec<T>) -> Vec<T> {
    week.map_or_else(Vec::new, rows)
}

fn numbers(days: &[When]) -> Vec<i32> {
    days.iter().map(|when| when.day).collect()
}

pub(super) fn outcome(verdict: Verdict) -> OutcomeWord {
    match verdict {
        Verdict::Best => OutcomeWord::Best,
        Verdict::Good { .. } | Verdict::Judged => OutcomeWord::Good,
        Verdict::Impossible => OutcomeWord::Impossible,
        Verdict::OutOfTime { .. } => OutcomeWord::OutOfTime,
    }
}

fn objective(parts: &Parts) -> Objective {
    Objective {
        total: Exact::nano(parts.total_nano),
        packs: Exact::nano(parts.packs_nano),
        staples: Exact::nano(parts.staples_nano),
        spoiled: Exact::nano(parts.spoiled_nano),
        foods: Exact::nano(parts.foods_nano),
        minutes: Exact::nano(parts.minutes_nano),
        watched: parts.watched_nano.map(Exact::nano),
        trips: Exact::nano(parts.trips_nano),
        preferences: Exact::nano(parts.preferences_nano),
        carry: Exact::nano(parts.carry_nano),
    }
}

fn aim(facts: &AimFacts) -> AimShape {
    let (aim, reached) = match facts.aim {
        Aim::Foods => ("foods", Exact::whole(facts.reached)),
        Aim::Cost => ("cost", Exact::nano(facts.reached)),
        Aim::Spoiled => ("spoiled", Exact::nano(facts.reached)),
        Aim::Minutes => ("minutes", Exact::nano(facts.reached)),
    };
    AimShape { aim, reached }
}

fn lunch(facts: &LunchFacts) -> LunchShape {
    LunchShape {
        day: facts.when.day,
        name: facts.when.name.clone(),
        recipe: facts.recipe.clone(),
        form: facts.form.clone(),
        protein: facts.protein.clone(),
        minutes: Exact::nano(facts.minutes_nano),
        cost: Exact::nano(facts.cost_nano),
        cost_a_portion: Exact::nano(facts.portion_cost_nano),
        lines: facts
            .lines
            .iter()
            .map(|line| {
                let (food, component) = match &line.taken {
                    Taken::Food(name) => (Some(name.clone()), None),
                    Taken::Component(name) => (None, Some(name.clone())),
                };
                LineShape {
                    food,
                    component,
                    written: line.written.clone(),
                    portion_mg: line.portion_mg,
                    all_mg: line.all_mg,
                    choices: line.choices,
                    instead_of: line.instead_of.clone(),
                }
            })
            .collect(),
        allergens: facts.allergens.clone(),
    }
}

fn purchase(facts: &PurchaseFacts) -> PurchaseShape {
    PurchaseShape {
        number: facts.number,
        food: facts.food.clone(),
        family: facts.family.clone(),
        pack: facts.pack.clone(),
        stage: facts.stage.clone(),
        loose: facts.loose,
        count: facts.count,
        each: facts.each_minor,
        price: facts.price_minor,
        as_purchased_mg: facts.ap_mg,
        edible_mg: facts.mg,
        trip: facts.trip,
        bought_on: facts.bought_on.day,
        shop: facts.shop.clone(),
        counted: true,
        serves: numbers(&facts.serves),
    }
}

fn batch(facts: &BatchFacts) -> BatchShape {
    BatchShape {
        component: facts.component.clone(),
        day: facts.when.day,
        makes_mg: facts.mg,
        serves: facts
            .serves
            .iter()
            .map(|(when, mg)| ServingShape {
                day: when.day,
                mg: *mg,
            })
            .collect(),
        keeps_until: facts.keeps_until.day,
        minutes: Exact::nano(facts.minutes_nano),
        passive_minutes: facts.passive_minutes,
        needs: facts.needs.clone(),
        foods: facts
            .foods
            .iter()
            .map(|(food, mg)| FoodMass {
                food: food.clone(),
                mg: *mg,
            })
            .collect(),
    }
}

fn leftover(facts: &LeftoverFacts) -> LeftoverShape {
    LeftoverShape {
        food: facts.food.clone(),
        pack: facts.pack.clone(),
        stage: facts.stage.clone(),
        on_hand: facts.origin == Origin::Stock,
        bought_on: match &facts.origin {
            Origin::Bought(trip) => Some(trip.when.day),
            Origin::Stock => None,
        },
        shop: match &facts.origin {
            Origin::Bought(trip) => trip.shop.clone(),
            Origin::Stock => None,
        },
        units: facts.units,
        bought_mg: facts.had_mg,
        used_mg: facts.used_mg,
        left_mg: facts.left_mg,
        value: Exact::nano(facts.value_nano),
        opened_on: facts.opened_on.as_ref().map(|when| when.day),
        good_until: facts.good_until.day,
        fate: match facts.fate {
            Fate::UsedUp => FateWord::UsedUp,
            Fate::Kept => FateWord::Kept,
            Fate::Spoiled => FateWord::Spoiled,
        },
    }
}

fn kept(units: &[(String, Stock, When)]) -> Vec<KeptShape> {
    let alike = units.chunk_by(|a, b| a == b);
    alike
        .map(|alike| {
            let (food, unit, _) = &alike[0];
            KeptShape {
                food: food.clone(),
                label: unit.label.clone(),
                units: alike.len() as i64,
                opened: unit.opened,
                left_mg: unit.left_mg,
                ready_from: unit.ready_from,
                good_until: unit.ready_to,
                open_keeps: (!unit.opened).then_some(unit.open_life),
                end: unit.end,
                unit_value_nano: unit.value_nano,
            }
        })
        .collect()
}

fn per(per: Per) -> &'static str {
    match per {
        Per::Lunch => "lunch",
        Per::Week => "week",
    }
}

fn credit(facts: &CreditFacts) -> CreditShape {
    let (group, nutrient, unit) = match &facts.what {
        Credited::Group { name, unit } => (Some(name.clone()), None, unit.clone()),
        Credited::EnergyShare { nutrient, .. } => {
            (None, Some(nutrient.key()), "% of energy".to_owned())
        }
    };
    CreditShape {
        group,
        nutrient,
        unit,
        lunches: facts.lunches.iter().map(|&v| Exact::milli(v)).collect(),
        week: Exact::milli(facts.week_milli),
        limits: facts
            .limits
            .iter()
            .map(|limit| LimitShape {
                per: per(limit.per),
                at_least: limit.at_least_milli.map(Exact::milli),
                at_most: limit.at_most_milli.map(Exact::milli),
                source: limit.source.clone(),
            })
            .collect(),
    }
}

fn nutrient(facts: &NutrientFacts) -> NutrientShape {
    NutrientShape {
        unit: facts.nutrient.unit(),
        lunches: facts
            .lunches
            .iter()
            .map(|amount| Exact::milli(amount.milli))
            .collect(),
        incomplete: facts
            .lunches
            .iter()
            .map(|amount| amount.incomplete)
            .collect(),
        mean: Exact::milli(facts.mean_milli),
        missing: facts.missing.clone(),
        limits: facts
            .rules
            .iter()
            .map(|rule| LimitShape {
                per: per(rule.per),
                at_least: rule.at_least_milli.map(Exact::milli),
                at_most: rule.at_most_milli.map(Exact::milli),
                source: rule.source.clone(),
            })
            .collect(),
    }
}

fn rule(standing: &Standing) -> RuleShape {
    let (reached, limit) = (standing.reached, standing.limit);
    let plain = (Exact::whole(reached), Exact::whole(limit));
    let thousandths = (Exact::milli(reached), Exact::milli(limit));
    let (rule, about, day, (reached, limit)) = match &standing.held {
        Held::Cap(CapBy::Foods) => ("cap", None, None, plain),
        Held::Cap(CapBy::Families) => ("cap_families", None, None, plain),
        Held::Budget => ("budget", None, None, plain),
        Held::Minutes(when) => (
            "minutes",
            None,
            Some(when),
            (Exact::nano(reached), Exact::nano(limit)),
        ),
        Held::KitchenMinutes(when) => (
            "kitchen_minutes",
            None,
            Some(when),
            (Exact::nano(reached), Exact::nano(limit)),
        ),
        Held::Floor(nutrient, when) => (
            "floor",
            Some(nutrient.key().to_owned()),
            when.as_ref(),
            thousandths,
        ),
        Held::Ceiling(nutrient, when) => (
            "ceiling",
            Some(nutrient.key().to_owned()),
            when.as_ref(),
            thousandths,
        ),
        Held::PerForm(form) => ("per_form", Some(form.clone()), None, plain),
        Held::PerProtein(protein) => ("per_protein", Some(protein.clone()), None, plain),
    };
    RuleShape {
        rule,
        about,
        day: day.map(|when| when.day),
        reached,
        limit,
        at_limit: standing.at_limit(),
    }
}

fn changes(changes: &Changes) -> ChangesShape {
    let differ = changes.differences.as_ref();
    let lunch = |change: &LunchChange| LunchChangeShape {
        day: change.when.day,
        before: change.before.clone(),
        after: change.after.clone(),
        lines: change.lines.clone(),
    };
    ChangesShape {
        asked: changes.asked.clone(),
        banned: changes.banned.clone(),
        before_outcome: outcome(changes.before_verdict),
        before: changes.before.as_ref().map(sums),
        after: changes.after.as_ref().map(sums),
        lunches: differ.map(|differ| differ.lunches.iter().map(lunch).collect()),
        dropped: differ.map(|differ| differ.dropped.clone()),
        added: differ.map(|differ| differ.added.clone()),
    }
}

/// Near misses.
pub(super) fn near_misses(misses: &Misses) -> NearMissesShape {
    let short = misses.short.iter().map(|one| ShortShape {
        food: one.food.clone(),
        pack: one.pack.clone(),
        fewer: one.fewer,
        used_mg: one.used_mg,
        less_mg: one.less_mg,
        kept: one.kept,
        of: one.of,
        saves: one.saves_minor,
        better_yield: one.better.map(|better| BetterYieldShape {
            now: Exact::milli(better.now),
            least: Exact::milli(better.least),
            saves: better.saves_minor,
        }),
    });
    let room = misses.room.iter().map(|one| RoomShape {
        food: one.food.clone(),
        day: one.when.day,
        more_mg: one.more_mg,
        saves: Exact::nano(one.saves_nano),
    });
    NearMissesShape {
        short: short.collect(),
        room: room.collect(),
    }
}

/// Fewer recipes than the lunches need.
pub(super) fn too_few(conflict: &Conflict) -> Option<TooFewShape> {
    let few = conflict.too_few?;
    Some(TooFewShape {
        recipes: few.recipes,
        banned: few.banned,
        resting: few.resting,
        without_day: few.without_day,
        left: few.left,
        repeats: few.repeats,
        lunches: few.lunches,
        needed: few.needed,
    })
}

/// The ways out of a conflict: by one change, or where there is none by two.
pub(super) fn ways_out(conflict: &Conflict, currency: &Currency) -> Vec<WayOutShape> {
    let all = conflict.ways.iter().chain(&conflict.pairs);
    all.map(|way| way_out(way, currency)).collect()
}

fn way_out(way: &WayOut, currency: &Currency) -> WayOutShape {
    let WayChangeShape { how, rule, trip } = change(&way.how, currency);
    let lunches = way.lunches.iter();
    WayOutShape {
        how,
        rule,
        trip,
        and: way.and.as_ref().map(|how| change(how, currency)),
        asked: (way.asked.as_ref()).map(|clash| sentences::clash(&isolated(clash), currency)),
        nearest: way.nearest,
        lunches: lunches
            .map(|(when, name)| (when.day, name.clone()))
            .collect(),
        sums: sums(&way.sums),
        best: way.best,
    }
}

fn change(how: &How, currency: &Currency) -> WayChangeShape {
    let rule = |clash: &Clash| Some(sentences::clash(&isolated(clash), currency));
    let (how, rule, trip) = match how {
        How::Looser(clash) => ("looser", rule(clash), None),
        How::Without(clash) => ("without", rule(clash), None),
        How::Trip(when) => ("trip", None, Some(when.day)),
    };
    WayChangeShape { how, rule, trip }
}

fn finishers(facts: &FinisherFacts) -> FinishersShape {
    let placed = facts.lunches.iter().flat_map(|lunch| {
        lunch.placed.iter().map(|line| FinisherShape {
            day: lunch.when.day,
            recipe: lunch.recipe.clone(),
            food: line.food.clone(),
            written: line.written.clone(),
            mg: line.all_mg,
            appeal: line.appeal,
            staple: line.staple,
        })
    });
    FinishersShape {
        appeal: facts.appeal,
        proved: facts.proved,
        placed: placed.collect(),
        bought: facts.bought.iter().map(offer).collect(),
        offers: facts.offers.iter().map(offer).collect(),
    }
}

fn offer(facts: &OfferFacts) -> OfferShape {
    OfferShape {
        food: facts.food.clone(),
        pack: facts.pack.clone(),
        count: facts.count,
        day: facts.when.day,
        shop: facts.shop.clone(),
        price: facts.price_minor,
        gain: facts.gain,
        lifts: facts.lifts.iter().map(|when| when.day).collect(),
        beyond: facts.beyond.any(),
        beyond_cap: facts.beyond.cap,
        beyond_budget: facts.beyond.budget,
    }
}
