//! Trade-offs as a cook reads them: what to give up, and what it brings.

use super::super::grid::{self, Lean};
use super::super::{sentences, trade_sentences as say, words};
use super::section::section as titled;
use crate::explain::{Clash, Conflict, Misses, WayOut};
use crate::larder::{CapBy, Currency, NANO};
use crate::tradeoffs::{
    CapFacts, Case, EatersFacts, FoodPrice, Frontier, FruitFacts, Others, PriceRange, Proof,
    RecipePrices, ReuseRow, RulePrice, Shops, Tradeoffs,
};

/// More days than this do not fit side by side.
const MOST_COLUMNS: usize = 7;

/// More pairs than this are for programs to read.
const MOST_PAIRS: usize = 10;

/// Returns the trade-offs, at most 80 characters wide, ending in a line break.
pub(in super::super) fn tradeoffs(told: &Tradeoffs) -> String {
    let currency = &told.currency;
    let mut parts = vec![grid::paragraph(&told.kitchen) + &grid::paragraph(&say::opening(told))];
    if let Some(conflict) = &told.conflict {
        parts.push(conflict_body(conflict, currency));
    }
    if let Some(week) = told.week.as_ref().filter(|_| told.proof == Proof::Best) {
        let lunches = week.lunches.iter();
        let row = |lunch: &crate::tradeoffs::BriefLunch| {
            vec![words::short(&lunch.when), lunch.recipe.clone()]
        };
        parts.push(grid::rows(
            &[Lean::Left, Lean::Left],
            lunches.map(row).collect(),
        ));
    }
    let mut add = |title: &str, body: Option<String>| {
        parts.extend(body.map(|body| titled(title, &body)));
    };
    let section = told.rules.as_ref();
    add(
        "What each rule costs",
        section.map(|rules| rules_body(rules, currency)),
    );
    add(
        "What doing without a food costs",
        told.foods.as_ref().map(|foods| foods_body(foods, currency)),
    );
    let recipes = told.recipes.as_ref();
    add(
        "What insisting on a recipe costs",
        recipes.map(|recipes| left_out(recipes, currency)),
    );
    add(
        "What the recipes of the week gain",
        recipes.map(|recipes| kept(recipes, currency)),
    );
    let section = told.frontier.as_ref();
    add(
        "Bill against foods against spoiled",
        section.map(|frontier| frontier_body(frontier, told, currency)),
    );
    let section = told
        .shops
        .as_ref()
        .filter(|shops| !shops.shops.is_empty() || alone(told));
    add("Shops", section.map(|shops| shops_body(shops, currency)));
    let section = told.caps.as_ref().filter(|caps| !caps.is_empty());
    add(
        "By foods to buy, at most",
        section.map(|caps| caps_body(caps, currency)),
    );
    let section = told.eaters.as_ref();
    add(
        "By eaters",
        section.map(|eaters| eaters_body(eaters, currency)),
    );
    let section = told.others.as_ref();
    add(
        "Other weeks",
        section.map(|others| others_body(others, !told.order.is_empty(), currency)),
    );
    let section = told.ranges.as_ref();
    add(
        "From which price to which",
        section.map(|ranges| ranges_body(ranges, currency)),
    );
    let section = told.reuse.as_ref();
    add(
        "What serves what",
        section.map(|rows| reuse_body(rows, told, currency)),
    );
    let section = told.misses.as_ref();
    add(
        "Near misses",
        section.map(|misses| misses_body(misses, currency)),
    );
    let section = told.ripening.as_ref();
    add(
        "Ripening",
        section.map(|fruits| ripening_body(fruits, currency)),
    );
    parts.push(grid::paragraph(&say::effort(told)));
    parts.join("\n")
}

/// The rules that cannot hold together and the ways out.
pub(super) fn conflict_body(conflict: &Conflict, currency: &Currency) -> String {
    let rule = |clash: &Clash| sentences::clash(clash, currency);
    let few = conflict.too_few.as_ref().map(sentences::too_few);
    let mut body = few.map_or_else(String::new, |few| grid::paragraph(&few));
    body += &grid::paragraph(sentences::conflict(conflict.rules.len()));
    let written = |clash: &Clash| format!("{} ({})", rule(clash), say::written(clash));
    body += &grid::list(conflict.rules.iter().map(written));
    let told = |ways: &[WayOut]| {
        let ways = ways.iter().map(|way| say::way(way, rule, currency));
        grid::list(ways)
    };
    body += &grid::paragraph(say::ways(conflict));
    body += &told(&conflict.ways);
    if let Some(sentence) = say::pairs(conflict) {
        body += &grid::paragraph(sentence);
        let shown = conflict.pairs.len().min(MOST_PAIRS);
        body += &told(&conflict.pairs[..shown]);
        if let Some(more) = say::more_pairs(conflict.pairs.len() - shown) {
            body += &grid::paragraph(&more);
        }
    }
    if conflict.ways.iter().chain(&conflict.pairs).any(say::unbans) {
        body += &grid::paragraph(say::BAN);
    }
    body
}

/// A table of cases.
fn cases(what: &str, rows: Vec<(String, &Case, String)>, currency: &Currency) -> String {
    let rows = rows
        .into_iter()
        .map(|(label, case, lunches)| {
            let more = case.more.filter(|_| case.proof == Proof::Best);
            let figure = |text: Option<String>| text.unwrap_or_default();
            vec![
                label,
                say::difference(case, currency),
                figure(more.map(|more| say::signed(more.packs_minor * NANO, currency))),
                figure(more.map(|more| say::counted(more.foods))),
                figure(more.map(|more| say::signed(more.spoiled_nano, currency))),
                lunches,
            ]
        })
        .collect();
    grid::table(
        &[
            (what, Lean::Left),
            ("Total", Lean::Right),
            ("Bill", Lean::Right),
            ("Foods", Lean::Right),
            ("Spoiled", Lean::Right),
            ("Lunches", Lean::Left),
        ],
        rows,
    )
}

fn lunches(case: &Case) -> String {
    match (&case.switch, case.proof) {
        (Some(switch), Proof::Best) => say::switched(switch),
        _ => String::new(),
    }
}

fn rules_body(rules: &[RulePrice], currency: &Currency) -> String {
    let mut rows = Vec::new();
    let mut free = Vec::new();
    let mut keeping = false;
    for price in rules {
        let name = sentences::clash(&price.rule, currency);
        if price.free {
            free.push(name);
            continue;
        }
        if let Some(case) = &price.without {
            rows.push((format!("dropped: {name}"), case, lunches(case)));
        } else {
            keeping = true;
        }
        if let Some((looser, case)) = &price.looser {
            let name = sentences::clash(looser, currency);
            rows.push((format!("loosened to: {name}"), case, lunches(case)));
        }
    }
    let mut body = grid::paragraph(say::RULES) + &grid::paragraph(say::COLUMNS);
    body += &cases("Rule", rows, currency);
    let mut notes = Vec::new();
    notes.extend(say::free(&free));
    notes.extend(keeping.then(|| say::KEEPING.to_owned()));
    body + &grid::list(notes)
}

/// Whether shops are all that was asked for.
fn alone(told: &Tradeoffs) -> bool {
    told.rules.is_none() && told.foods.is_none() && told.frontier.is_none()
}

fn shops_body(told: &Shops, currency: &Currency) -> String {
    if told.shops.is_empty() {
        return grid::paragraph(say::ONE_SHOP);
    }
    let rows = told.shops.iter().map(|price| {
        let days: Vec<String> = price.days.iter().map(words::short).collect();
        let days = if days.is_empty() {
            "not gone to".to_owned()
        } else {
            days.join(" ")
        };
        vec![
            price.shop.clone(),
            days,
            words::cash(price.bill_minor, currency),
        ]
    });
    let mut body = grid::table(
        &[
            ("Shop", Lean::Left),
            ("Days", Lean::Left),
            ("Bill there", Lean::Right),
        ],
        rows.collect(),
    );
    body += &grid::paragraph(say::COLUMNS);
    let rows = told.shops.iter();
    let rows = rows.map(|price| (price.shop.clone(), &price.without, lunches(&price.without)));
    body += &cases("Without", rows.collect(), currency);
    if told.packs.is_empty() {
        return body;
    }
    body += &grid::paragraph(say::ELSEWHERE);
    let rows = told.packs.iter().map(|price| {
        let others = price.others.iter();
        let others = others.map(|(shop, each)| format!("{shop} {}", words::cash(*each, currency)));
        vec![
            format!("{} {}", price.food, price.pack),
            format!("{} {}", price.shop, words::cash(price.each_minor, currency)),
            others.collect::<Vec<_>>().join(", "),
            say::difference(&price.without, currency),
        ]
    });
    body + &grid::table(
        &[
            ("Pack", Lean::Left),
            ("Bought at", Lean::Left),
            ("Also at", Lean::Left),
            ("Not there", Lean::Right),
        ],
        rows.collect(),
    )
}

fn foods_body(foods: &[FoodPrice], currency: &Currency) -> String {
    let rows = foods
        .iter()
        .map(|price| {
            let hand = if price.bought { "" } else { " (on hand)" };
            let label = format!("{}{hand}", price.food);
            (label, &price.without, say::instead(&price.without))
        })
        .collect();
    grid::paragraph(say::COLUMNS) + &cases("Without", rows, currency)
}

fn left_out(recipes: &RecipePrices, currency: &Currency) -> String {
    let (never, some): (Vec<_>, Vec<_>) = recipes
        .left_out
        .iter()
        .partition(|(_, case)| case.proof == Proof::Impossible);
    let rows = some.into_iter();
    let row = |(name, case): &'_ (String, Case)| (name.clone(), lunches(case));
    let rows = rows
        .map(|one| {
            let (name, text) = row(one);
            (name, &one.1, text)
        })
        .collect();
    let never: Vec<&str> = never.into_iter().map(|(name, _)| name.as_str()).collect();
    cases("With", rows, currency) + &grid::list(say::never(&never))
}

fn kept(recipes: &RecipePrices, currency: &Currency) -> String {
    let rows = recipes
        .kept
        .iter()
        .map(|(name, case)| (name.clone(), case, lunches(case)))
        .collect();
    cases("Without", rows, currency)
}

fn frontier_body(frontier: &Frontier, told: &Tradeoffs, currency: &Currency) -> String {
    let names = |week: &crate::tradeoffs::Brief| -> Vec<String> {
        week.lunches.iter().map(|l| l.recipe.clone()).collect()
    };
    let chosen = told.week.as_ref().map(names).unwrap_or_default();
    let rows = frontier
        .points
        .iter()
        .map(|point| {
            let mut left = chosen.clone();
            let mut new = Vec::new();
            for name in names(&point.week) {
                match left.iter().position(|old| *old == name) {
                    Some(at) => drop(left.remove(at)),
                    None => new.push(name),
                }
            }
            let mark = match (point.chosen, new.is_empty()) {
                (true, _) => "the chosen week".to_owned(),
                (false, true) => "the same lunches".to_owned(),
                (false, false) => format!("{} for {}", words::and(&new), words::and(&left)),
            };
            vec![
                words::cash(point.bill_minor, currency),
                point.foods.to_string(),
                words::cash_nano(point.spoiled_nano, currency),
                mark,
            ]
        })
        .collect();
    let mut body = grid::list(say::frontier(frontier));
    body += &grid::table(
        &[
            ("Bill", Lean::Right),
            ("Foods", Lean::Right),
            ("Spoiled", Lean::Right),
            ("Lunches", Lean::Left),
        ],
        rows,
    );
    body + &grid::list(say::knees(&frontier.knees, currency))
}

fn caps_body(caps: &[CapFacts], currency: &Currency) -> String {
    let rows = caps.iter().map(|facts| {
        let lunches = match facts.case.proof {
            _ if facts.own => "the chosen week".to_owned(),
            Proof::Impossible => "no week".to_owned(),
            Proof::Open => "not settled".to_owned(),
            Proof::NotAsked => say::NOT_ASKED.to_owned(),
            Proof::Best if facts.case.same_lunches() => "the same recipes".to_owned(),
            Proof::Best => lunches(&facts.case),
        };
        (facts.most.to_string(), &facts.case, lunches)
    });
    let what = match caps[0].by {
        CapBy::Foods => "At most",
        CapBy::Families => "Families",
    };
    cases(what, rows.collect(), currency)
}

fn eaters_body(eaters: &[EatersFacts], currency: &Currency) -> String {
    let rows = eaters
        .iter()
        .map(|facts| {
            let best = facts.case.proof == Proof::Best;
            let week = facts.case.week.as_ref().filter(|_| best);
            let figure = |text: Option<String>| text.unwrap_or_default();
            let lunches = match (facts.own, facts.case.proof) {
                (true, _) => "the chosen week".to_owned(),
                (_, Proof::Impossible) => "no week".to_owned(),
                (_, Proof::Open) => "not settled".to_owned(),
                (_, Proof::NotAsked) => say::NOT_ASKED.to_owned(),
                _ if facts.case.same_lunches() => "the same recipes".to_owned(),
                _ => lunches(&facts.case),
            };
            vec![
                facts.eaters.to_string(),
                figure(week.map(|week| words::cash(week.sums.packs_minor, currency))),
                figure(
                    facts
                        .bill_per_portion_nano
                        .map(|nano| words::cash_nano(nano, currency)),
                ),
                figure(facts.spoiled_share_milli.filter(|_| best).map(say::percent)),
                figure(week.map(|week| week.sums.foods.to_string())),
                lunches,
            ]
        })
        .collect();
    grid::table(
        &[
            ("Eaters", Lean::Right),
            ("Bill", Lean::Right),
            ("A portion", Lean::Right),
            ("Spoiled", Lean::Right),
            ("Foods", Lean::Right),
            ("Lunches", Lean::Left),
        ],
        rows,
    )
}

fn others_body(others: &Others, ordered: bool, currency: &Currency) -> String {
    let place = |at: usize| (at + 2).to_string();
    let rows = others
        .next
        .iter()
        .enumerate()
        .map(|(at, case)| (place(at), case, lunches(case)))
        .collect();
    let mut body = grid::paragraph(&say::others(others)) + &cases("Place", rows, currency);
    if ordered {
        return body;
    }
    body += &grid::paragraph(&say::far(others, currency));
    let rows = others
        .far
        .iter()
        .map(|week| (say::shared(week), &week.case, lunches(&week.case)))
        .collect();
    body + &cases("Shares", rows, currency)
}

fn ranges_body(ranges: &[PriceRange], currency: &Currency) -> String {
    if ranges.is_empty() {
        return grid::paragraph(say::NO_RANGES);
    }
    let rows = ranges
        .iter()
        .map(|range| {
            vec![
                range.food.clone(),
                say::pack_at(range),
                words::cash(range.price_minor, currency),
                say::end(&range.low, currency),
                say::end(&range.high, currency),
            ]
        })
        .collect();
    let mut body = grid::paragraph(say::RANGES);
    body += &grid::table(
        &[
            ("Food", Lean::Left),
            ("Pack", Lean::Left),
            ("Price", Lean::Right),
            ("Best from", Lean::Right),
            ("to", Lean::Right),
        ],
        rows,
    );
    body + &grid::list(ranges.iter().flat_map(|range| say::beyond(range, currency)))
}

fn reuse_body(rows: &[ReuseRow], told: &Tradeoffs, currency: &Currency) -> String {
    let wide = told.days.len() <= MOST_COLUMNS;
    let days: Vec<String> = told.days.iter().map(words::short).collect();
    let mut columns: Vec<(&str, Lean)> = vec![("Food", Lean::Left)];
    if wide {
        columns.extend(days.iter().map(|day| (day.as_str(), Lean::Right)));
    } else {
        columns.push(("Lunches", Lean::Left));
    }
    columns.extend([
        ("Left", Lean::Right),
        ("Serves", Lean::Right),
        ("Each", Lean::Right),
    ]);
    let cells = rows
        .iter()
        .map(|row| {
            let mut cells = vec![row.food.clone()];
            if wide {
                cells.extend(told.days.iter().map(|day| {
                    let share = row.shares.iter().find(|share| share.when.day == day.day);
                    share.map_or(String::new(), |share| {
                        words::share(share.share_milli, 1_000)
                    })
                }));
            } else {
                let fed: Vec<_> = row.shares.iter().map(|share| share.when.clone()).collect();
                cells.push(words::feeds(&fed, told.days.len()));
            }
            let all = row.bought_mg + row.on_hand_mg;
            cells.push(words::share(row.over_mg, all));
            cells.push(row.shares.len().to_string());
            cells.push(words::cash_nano(row.price_per_lunch_nano, currency));
            cells
        })
        .collect();
    grid::paragraph(say::REUSE) + &grid::table(&columns, cells)
}

fn misses_body(misses: &Misses, currency: &Currency) -> String {
    let short = misses.short.iter().map(|one| say::short(one, currency));
    let room = misses.room.iter().map(|one| say::room(one, currency));
    grid::paragraph(say::AMOUNTS) + &grid::list(short.chain(room))
}

fn ripening_body(fruits: &[FruitFacts], currency: &Currency) -> String {
    grid::paragraph(say::RIPENING)
        + &grid::list(fruits.iter().flat_map(|fruit| say::fruit(fruit, currency)))
}
