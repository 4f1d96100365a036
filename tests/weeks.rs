//! Asks whether weeks in a row hand on what they should: every pack is followed from its purchase
//! through the weeks by a ledger of this file's own, in days counted from the first prep day.
//!
//! The truth is that ledger: it knows the kitchen's packs and the plans' purchases, openings and
//! draws, and nothing of how days are moved on. Beside it stand sums done by hand for small
//! kitchens, the brute force for the second week, and the judge for every week. It does not ask
//! whether a first week is best (`oracle.rs`).

mod support;

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use scant::engine::{self, Limits, Outcome, Solved};
use scant::explain::{explain, kept};
use scant::kitchen::{self, Rest};
use scant::larder::{FoodId, Former, Larder, Stock};
use scant::plan::{Lot, Plan};
use scant::rules;

use support::random::{Size, draw};
use support::{brute, key, read, side_by_side};

/// How often a search may ask whether to stop: a few kitchens keep it busy for minutes. Counted,
/// so that every machine gives up on the same ones.
const PATIENCE: usize = 60;

/// The best week, if there is one and it is found soon.
fn best(larder: &Larder) -> Option<Solved> {
    let asked = AtomicUsize::new(0);
    let limits = Limits {
        threads: 1,
        stop: &|| asked.fetch_add(1, Ordering::Relaxed) > PATIENCE,
        progress: None,
    };
    match engine::solve(larder, &limits).expect("no engine fault").0 {
        Outcome::Best(solved) => Some(solved),
        _ => None,
    }
}

fn recipes(larder: &Larder, plan: &Plan) -> Vec<String> {
    let lunches = plan.lunches.iter();
    lunches
        .map(|lunch| larder.recipes[lunch.recipe.index()].name.clone())
        .collect()
}

/// A week of a row.
struct Week {
    larder: Larder,
    solved: Solved,
}

/// Weeks in a row, fewer if one is impossible; every hand-over goes through the JSON.
fn row(larder: &Larder, weeks: usize, rest: Rest) -> Vec<Week> {
    let mut out: Vec<Week> = Vec::new();
    let mut former: Option<Former> = None;
    while out.len() < weeks {
        let now = larder.changed(|now| {
            if let Some(former) = &former {
                let lost = now.start_after(former, former.days_on());
                assert!(lost.is_empty(), "kept, and gone the next day: {lost:?}");
                assert!(rest.apply(now, &former.weeks).is_empty());
            }
        });
        let now = now.expect("a sound larder");
        let Some(solved) = best(&now) else { break };
        let mut served = vec![recipes(&now, &solved.plan)];
        served.extend(former.take().map_or_else(Vec::new, |former| former.weeks));
        let next = Former {
            carry_day: now.week.carry_day,
            prep: now.week.calendar.prep(),
            kept: kept(&now, &solved.plan),
            weeks: served,
        };
        let outcome = Outcome::Best(solved.clone());
        let told = explain(&now, &outcome, engine::Effort::default()).after(&next.weeks[1..]);
        let text = scant::report::json(&told);
        let read = kitchen::read_former("plan.json", text.into_bytes(), larder);
        assert!(
            read.faults.is_empty() && read.warnings.is_empty(),
            "{read:?}"
        );
        assert_eq!(read.former.as_ref(), Some(&next), "by way of the JSON");
        former = Some(next);
        out.push(Week {
            larder: now,
            solved,
        });
    }
    out
}

/// What a thing in the ledger is called beside its amount: food, what a milligram is worth,
/// and its days, counted from the first prep day. Of an open thing only the last counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Terms {
    food: FoodId,
    value: i64,
    open: bool,
    ripe: i64,
    last_to_open: i64,
    life: i64,
    end: i64,
}

impl Terms {
    fn last_good(self) -> i64 {
        if self.open {
            self.end
        } else {
            self.last_to_open
        }
    }

    /// Once opened on a day.
    fn opened(self, on: i64) -> Self {
        assert!(
            self.ripe <= on,
            "opened on {on} before it is ripe: {self:?}"
        );
        assert!(
            on <= self.last_to_open,
            "opened too late, on {on}: {self:?}"
        );
        Self {
            open: true,
            ripe: 0,
            last_to_open: 0,
            life: 0,
            end: self.end.min(on + self.life),
            ..self
        }
    }
}

/// Follows packs. Open things of like terms are one heap; sealed ones are told apart by size.
#[derive(Default)]
struct Ledger {
    open: BTreeMap<Terms, i64>,
    sealed: BTreeMap<(Terms, i64), i64>,
    had: i64,
    used: i64,
    spoiled: i64,
    /// Draws from what a former week left, in milligrams: that the test sees any.
    carried_draws: i64,
    carried_sealed_opened: usize,
}

impl Ledger {
    fn seal(&mut self, terms: Terms, mg: i64, count: i64) {
        if count > 0 {
            *self.sealed.entry((terms, mg)).or_default() += count;
            self.had += mg * count;
        }
    }

    fn unseal(&mut self, terms: Terms, mg: i64, count: i64) {
        let there = self
            .sealed
            .get_mut(&(terms, mg))
            .expect("such a unit is there");
        *there -= count;
        assert!(*there >= 0, "more opened than there are: {terms:?}");
        self.sealed.retain(|_, count| *count > 0);
    }

    fn drawn(&mut self, terms: Terms, draws: &[(u8, i64)], first: i64) {
        for &(day, mg) in draws {
            let on = first + i64::from(day);
            assert!(on <= terms.end, "eaten on {on}, after its day: {terms:?}");
            let heap = self.open.get_mut(&terms).expect("such a heap is there");
            *heap -= mg;
            assert!(*heap >= 0, "more eaten than there is: {terms:?}");
            self.used += mg;
        }
        self.open.retain(|_, mg| *mg > 0);
    }

    /// Takes off what is not good on the day the next cycle begins; returns its value.
    fn spoil(&mut self, carry: i64) -> i128 {
        let mut worth = 0;
        let mut gone = 0;
        self.open.retain(|terms, mg| {
            let stays = terms.last_good() >= carry;
            if !stays {
                gone += *mg;
                worth += i128::from(*mg) * i128::from(terms.value);
            }
            stays
        });
        self.sealed.retain(|(terms, mg), count| {
            let stays = terms.last_good() >= carry;
            if !stays {
                gone += *mg * *count;
                worth += i128::from(*mg * *count) * i128::from(terms.value);
            }
            stays
        });
        self.spoiled += gone;
        worth
    }

    fn left(&self) -> i64 {
        let sealed: i64 = self.sealed.iter().map(|((_, mg), count)| mg * count).sum();
        self.open.values().sum::<i64>() + sealed
    }
}

/// Terms of a unit on hand in a week whose prep day is `first`.
fn on_hand(unit: &Stock, first: i64) -> Terms {
    let at = |day: i32| first + i64::from(day);
    if unit.opened {
        Terms {
            food: unit.food,
            value: unit.value_nano,
            open: true,
            ripe: 0,
            last_to_open: 0,
            life: 0,
            end: at(unit.ready_to.min(unit.end)),
        }
    } else {
        Terms {
            food: unit.food,
            value: unit.value_nano,
            open: false,
            ripe: at(unit.ready_from),
            last_to_open: at(unit.ready_to),
            life: i64::from(unit.open_life),
            end: at(unit.end),
        }
    }
}

/// Follows every pack of a row.
fn follow(weeks: &[Week]) -> Ledger {
    let mut ledger = Ledger::default();
    let mut first = 0;
    for (at, week) in weeks.iter().enumerate() {
        let (larder, plan) = (&week.larder, &week.solved.plan);
        assert_eq!(rules::judge(larder, plan).as_ref(), Ok(&week.solved.tally));
        if at == 0 {
            for unit in &larder.stock {
                let terms = on_hand(unit, first);
                if unit.opened {
                    *ledger.open.entry(terms).or_default() += unit.left_mg;
                    ledger.had += unit.left_mg;
                } else {
                    ledger.seal(terms, unit.left_mg, 1);
                }
            }
        }
        // What the week begins with is what the ledger has, no more and no less. A window that
        // has begun is open from the prep day on.
        let mut open: BTreeMap<Terms, i64> = BTreeMap::new();
        let mut sealed: BTreeMap<(Terms, i64), i64> = BTreeMap::new();
        for unit in &larder.stock {
            let terms = on_hand(unit, first);
            if unit.opened {
                *open.entry(terms).or_default() += unit.left_mg;
            } else {
                *sealed.entry((terms, unit.left_mg)).or_default() += 1;
            }
        }
        let mut begun: BTreeMap<(Terms, i64), i64> = BTreeMap::new();
        for (&(mut terms, mg), &count) in &ledger.sealed {
            terms.ripe = terms.ripe.max(first);
            *begun.entry((terms, mg)).or_default() += count;
        }
        ledger.sealed = begun;
        assert_eq!(ledger.open, open, "open, week {}", at + 1);
        assert_eq!(ledger.sealed, sealed, "sealed, week {}", at + 1);

        let bought_terms = |pack: scant::larder::PackId, trip: u8| {
            let pack = &larder.packs[pack.index()];
            let day = first + i64::from(larder.week.trips[usize::from(trip)].day);
            Terms {
                food: pack.food,
                value: pack.value_nano,
                open: false,
                ripe: day + i64::from(pack.ready_from),
                last_to_open: day + i64::from(pack.ready_to),
                life: i64::from(pack.open_life),
                end: day + i64::from(pack.end),
            }
        };
        for bought in &plan.purchases {
            let pack = &larder.packs[bought.pack.index()];
            let terms = bought_terms(bought.pack, bought.trip);
            ledger.seal(terms, pack.unit_mg, bought.count * pack.units);
        }
        // Openings first, draws after: the order within a day does not matter.
        let mut draws: Vec<(Terms, &[(u8, i64)])> = Vec::new();
        for opening in &plan.openings {
            let on = first + i64::from(opening.day);
            let (terms, mg, was_open) = match opening.lot {
                Lot::Bought(pack, trip) => {
                    let unit = larder.packs[pack.index()].unit_mg;
                    (bought_terms(pack, trip), unit, false)
                }
                Lot::Stock(id) => {
                    let unit = &larder.stock[id.index()];
                    if at > 0 {
                        let drawn = opening.draws.iter().map(|&(_, mg)| mg);
                        ledger.carried_draws += drawn.sum::<i64>();
                        ledger.carried_sealed_opened += usize::from(!unit.opened);
                    }
                    (on_hand(unit, first), unit.left_mg, unit.opened)
                }
            };
            if was_open {
                draws.push((terms, &opening.draws));
                continue;
            }
            ledger.unseal(terms, mg, opening.units);
            let terms = terms.opened(on);
            *ledger.open.entry(terms).or_default() += mg * opening.units;
            assert!(opening.draws.iter().all(|&(day, _)| day >= opening.day));
            draws.push((terms, &opening.draws));
        }
        for (terms, draws) in draws {
            ledger.drawn(terms, draws, first);
        }
        let carry = first + i64::from(larder.week.carry_day);
        let worth = ledger.spoil(carry);
        assert_eq!(
            worth,
            i128::from(week.solved.tally.spoiled_nano),
            "week {}",
            at + 1
        );
        // Lunch day 1 of the next week is the carry day.
        first = carry - 1;
    }
    assert_eq!(ledger.had, ledger.used + ledger.spoiled + ledger.left());
    ledger
}

/// What lunches and batches of a row use of foods that are bought, in milligrams: what is on the
/// plates, not what is drawn.
fn eaten(weeks: &[Week]) -> i64 {
    let mut sum = 0;
    for week in weeks {
        for lunch in scant::explain::eaten(&week.larder, &week.solved.plan) {
            let counted = |food: &FoodId| !week.larder.foods[food.index()].staple;
            sum += lunch
                .iter()
                .filter(|(food, _)| counted(food))
                .map(|(_, mg)| mg)
                .sum::<i64>();
        }
    }
    sum
}

#[test]
fn random_rows_eat_nothing_after_its_day_and_lose_nothing() {
    let seeds: Vec<u64> = (0..400).collect();
    let rows = side_by_side(&seeds, |&seed| {
        let larder = read(&draw(7_000 + seed, Size::Small));
        let weeks = row(&larder, 4, Rest::default());
        let ledger = follow(&weeks);
        assert_eq!(ledger.used, eaten(&weeks), "seed {seed}");
        let carried = weeks.iter().skip(1).map(|week| week.larder.stock.len());
        Some((
            weeks.len(),
            carried.sum::<usize>(),
            ledger.carried_draws,
            ledger.carried_sealed_opened,
        ))
    });
    let whole = rows.iter().filter(|row| row.0 == 4).count();
    let handing = rows.iter().filter(|row| row.1 > 0).count();
    let eating = rows.iter().filter(|row| row.2 > 0).count();
    let opening = rows.iter().filter(|row| row.3 > 0).count();
    assert!(
        whole > 150 && handing > 80 && eating > 60 && opening > 8,
        "{whole} whole rows, {handing} hand on, {eating} eat of it, {opening} open sealed"
    );
}

#[test]
fn the_second_week_is_the_one_that_trying_everything_finds() {
    let seeds: Vec<u64> = (0..900).collect();
    let asked = side_by_side(&seeds, |&seed| {
        let larder = read(&draw(9_000 + seed, Size::Small));
        // With components the brute force leaves ways out that stock may open.
        if !larder.components.is_empty() {
            return None;
        }
        let weeks = row(&larder, 2, Rest::default());
        let second = weeks.get(1)?;
        let answer = brute::solve(&second.larder)?;
        let found = answer.best.expect("the search has a week");
        assert_eq!(
            key(&second.larder, &second.solved.tally),
            found.key,
            "{seed}"
        );
        Some(usize::from(!second.larder.stock.is_empty()))
    });
    let with_stock: usize = asked.iter().sum();
    assert!(with_stock > 50, "{with_stock} of {}", asked.len());
}

/// On a lunch served the week before, minor units.
const PRICE: i64 = 700;

#[test]
fn recipes_that_rest_are_not_served_and_priced_ones_cost_their_price() {
    let seeds: Vec<u64> = (0..300).collect();
    let refused = side_by_side(&seeds, |&seed| {
        let larder = read(&draw(11_000 + seed, Size::Small));
        let rest = Rest {
            refuse: 2,
            price: None,
        };
        let weeks = row(&larder, 4, rest);
        follow(&weeks);
        for (at, week) in weeks.iter().enumerate() {
            let now = recipes(&week.larder, &week.solved.plan);
            for former in &weeks[at.saturating_sub(2)..at] {
                let then = recipes(&former.larder, &former.solved.plan);
                assert!(now.iter().all(|name| !then.contains(name)), "seed {seed}");
            }
        }
        Some(usize::from(weeks.len() > 1))
    });
    let second: usize = refused.iter().sum();
    assert!(second > 30, "{second} rows of two weeks or more");

    let priced = side_by_side(&seeds, |&seed| {
        let larder = read(&draw(11_000 + seed, Size::Small));
        // A strict order of aims may look at prices last.
        if !larder.wishes.order.is_empty() {
            return None;
        }
        let rest = Rest {
            refuse: 0,
            price: Some((1, PRICE)),
        };
        let (plain, weeks) = (row(&larder, 2, Rest::default()), row(&larder, 2, rest));
        let (Some(plain), Some(week)) = (plain.get(1), weeks.get(1)) else {
            return None;
        };
        let again = |week: &Week| {
            let then = recipes(&weeks[0].larder, &weeks[0].solved.plan);
            let now = recipes(&week.larder, &week.solved.plan);
            now.iter().filter(|name| then.contains(name)).count() as i64
        };
        // The judge's sum without the price: the same plan before the unpriced kitchen.
        let unpriced = rules::judge(&plain.larder, &week.solved.plan).expect("it keeps the rules");
        let cost = |week: i64| PRICE * week * scant::larder::NANO;
        let objective = week.solved.tally.objective_nano;
        assert_eq!(objective, unpriced.objective_nano + cost(again(week)));
        assert!(plain.solved.tally.objective_nano <= unpriced.objective_nano);
        assert!(objective <= plain.solved.tally.objective_nano + cost(again(plain)));
        Some(usize::from(again(week) < again(plain)))
    });
    let moved: usize = priced.iter().sum();
    assert!(moved > 50, "{moved} of {} weeks changed", priced.len());
}

#[test]
fn days_are_moved_by_the_carry_day_less_one() {
    // A hard fruit bought on day 0, ripe from day 3 to day 9, good two days once cut; the next
    // Monday is day 8, so the next Sunday is day 7. It is ripe at once then and may be cut until
    // Tuesday, day 2, and eaten to Thursday, day 4: the old day 11.
    let fruit = Stock {
        food: FoodId::new(0),
        label: "hard".to_owned(),
        left_mg: 1,
        opened: false,
        ready_from: 3,
        ready_to: 9,
        open_life: 2,
        end: 11,
        value_nano: 1,
    };
    let former = Former {
        carry_day: 8,
        prep: None,
        kept: Vec::new(),
        weeks: Vec::new(),
    };
    assert_eq!(former.days_on(), 7);
    let moved = fruit.moved(7).expect("still good");
    assert_eq!(
        (moved.ready_from, moved.ready_to, moved.open_life, moved.end),
        (0, 2, 2, 4)
    );
    // Two weeks on it is gone; on its last day it may still be cut on the prep day.
    assert_eq!(fruit.moved(14), None);
    assert_eq!(fruit.moved(9).map(|unit| unit.ready_to), Some(0));
    assert_eq!(fruit.moved(10), None);
    // Hard still when the week begins.
    assert_eq!(fruit.moved(2).map(|unit| unit.ready_from), Some(1));
}
