//! A larder made ready: what searches of it have in common.

use crate::engine::answer::{Effort, EngineFault, Limits, Outcome};
use crate::engine::model::items::{Item, Items, Lines, Pairs, all_items};
use crate::engine::model::pool::Pool;
use crate::engine::model::score::{Ceilings, Weights};
use crate::engine::threads::threads;
use crate::engine::tree::finishing::finished;
use crate::engine::tree::given::Given;
use crate::engine::tree::near_weeks::NearWeeks;
use crate::engine::tree::open_search::{Asking, Kept, OpenSearch};
use crate::engine::tree::searched::Searched;
use crate::engine::tree::staging::{Gauges, Laid, first_ceilings, make_stage, settle};
use crate::larder::{Aim, Larder, NANO, Stock, weighted};
use std::sync::OnceLock;

/// What a search ends with, and the weeks up to an objective beyond the best one, if listed.
pub type Beyond = (Outcome, Effort, Option<NearWeeks>);

/// A larder made ready: what every search of it begins with, for several questions that
/// differ in what is given only.
pub struct Ready<'a> {
    pub(in crate::engine) pool: Pool<'a>,
    pub(in crate::engine) items: Vec<Item>,
    /// See [`Items::left_out`].
    left_out: bool,
    /// See [`Items::by_line`].
    by_line: bool,
    pairs: OnceLock<Pairs>,
    gauges: Gauges<'static>,
}

impl<'a> Ready<'a> {
    /// Makes `larder` ready, unless `stop` says to give up: then no search of it proves anything.
    pub fn new(larder: &'a Larder, stop: &dyn Fn() -> bool) -> Self {
        let pool = Pool::new(larder);
        let items = all_items(&pool, stop);
        Self::with(pool, items)
    }

    fn with(pool: Pool<'a>, items: Items) -> Self {
        let Items {
            list,
            left_out,
            by_line,
        } = items;
        Self {
            pool,
            items: list,
            left_out,
            by_line,
            pairs: OnceLock::new(),
            gauges: Gauges::default(),
        }
    }

    /// The larder.
    pub fn larder(&self) -> &'a Larder {
        self.pool.larder
    }

    /// Whether no search of it proves anything: see [`Items::left_out`].
    pub(in crate::engine) fn left_out(&self) -> bool {
        self.left_out
    }

    /// Finds the best week that also keeps what is given.
    ///
    /// # Errors
    /// Those of [`crate::engine::solve`].
    pub fn solve(&self, given: &Given, limits: &Limits) -> Result<(Outcome, Effort), EngineFault> {
        let (outcome, effort, _) = self.solve_on(&threads(limits)?, given, limits)?;
        Ok((outcome, effort))
    }

    /// The same, with all weeks up to [`Given::beyond_part`] beyond the best one: none if it was
    /// not proved best, if they are too many, or if it was found in a list itself.
    ///
    /// # Errors
    /// Those of [`crate::engine::solve`].
    pub fn solve_beyond(&self, given: &Given, limits: &Limits) -> Result<Beyond, EngineFault> {
        self.solve_on(&threads(limits)?, given, limits)
    }

    pub(in crate::engine) fn laid(&self) -> Laid<'_> {
        Laid {
            pool: &self.pool,
            items: &self.items,
            pairs: self
                .pairs
                .get_or_init(|| Pairs::new(&self.pool, &self.items)),
            gauges: &self.gauges,
        }
    }

    pub(in crate::engine) fn solve_on(
        &self,
        threads: &rayon::ThreadPool,
        given: &Given,
        limits: &Limits,
    ) -> Result<Beyond, EngineFault> {
        let (pool, items) = (&self.pool, &self.items);
        let larder = pool.larder;
        given.wished(larder)?;
        let mut effort = Effort::default();
        let mut ceilings = first_ceilings(larder);
        given.lower(&mut ceilings);
        if self.left_out {
            return self.solve_line_by_line(threads, given, limits, ceilings);
        }
        let mut seed: Option<Vec<u32>> = given.first_items(items);
        if let Some(near) = given.near
            && larder.wishes.order.is_empty()
        {
            let asked = (near, given, limits);
            let (outcome, found) = among(threads, pool, items, asked, ceilings, &mut effort)?;
            if let Some(outcome) = outcome {
                return Ok((outcome, effort, None));
            }
            seed = found.or(seed);
        }
        let laid = self.laid();
        for aim in &aims(larder) {
            let stage = make_stage(laid, *aim, ceilings, given, limits);
            let searched = threads.install(|| stage.run(seed.as_deref()));
            effort.nodes += searched.nodes;
            effort.work += searched.work;
            effort.leaves += searched.leaves;
            let Searched {
                best,
                open_bound,
                listed,
                ..
            } = searched;
            let Some(found) = best else {
                return Ok((without_week(open_bound), effort, None));
            };
            match aim {
                Some(aim) if open_bound.is_none() => {
                    settle(&mut ceilings, *aim, found.score.objective);
                    seed = Some(found.items);
                }
                _ => {
                    let whole = open_bound.is_none() && stage.lists_beyond();
                    let below = stage.beyond(found.score.objective).min(stage.most);
                    let near = whole.then(|| stage.near(listed, below)).flatten();
                    let outcome = finished(&stage, &found, open_bound, given)?;
                    return Ok((outcome, effort, near));
                }
            }
        }
        unreachable!("the last stage has no aim and returns")
    }

    /// The same where recipes can be taken in more ways than are laid out.
    fn solve_line_by_line(
        &self,
        threads: &rayon::ThreadPool,
        given: &Given,
        limits: &Limits,
        mut ceilings: Ceilings,
    ) -> Result<Beyond, EngineFault> {
        let pool = &self.pool;
        let larder = pool.larder;
        let lines: Vec<Lines> = pool
            .servable_recipes()
            .map(|recipe| Lines::new(pool, recipe))
            .collect();
        let widest: Vec<Item> = lines.iter().map(|lines| lines.widest(pool)).collect();
        let pairs = Pairs::new(pool, &widest);
        let wide = Gauges::default();
        let laid = Laid {
            pool,
            items: &widest,
            pairs: &pairs,
            gauges: &wide,
        };
        let few = Given {
            most_work: if self.by_line {
                Some(FIRST_WORK)
            } else {
                given.most_work
            },
            beyond_part: None,
            ..*given
        };
        let foods = wide.of(pool, &Weights::aim(Aim::Foods), &widest).0;
        let mut effort = Effort::default();
        let mut before: Option<Kept> = None;
        for aim in aims(larder) {
            let first = make_stage(self.laid(), aim, ceilings, &few, limits);
            let seed = given.first_items(&self.items);
            let first = threads.install(|| first.run(seed.as_deref()));
            let stage = make_stage(laid, aim, ceilings, given, limits);
            let asking = Asking {
                aim,
                ceilings,
                given,
                limits,
            };
            let search = OpenSearch::new(&stage, &foods, (&wide, &lines), asking);
            let known = [
                first.best.map(|found| Kept::new(&found, &self.items)),
                before.as_ref().and_then(|kept| search.again(kept)),
            ];
            let searched = threads.install(|| search.run(known.into_iter().flatten()));
            effort.nodes += first.nodes + searched.nodes;
            effort.work += first.work + searched.work;
            effort.leaves += first.leaves + searched.leaves;
            // A run told to stop before it had a bound.
            let open_bound = searched.open_bound;
            let open_bound = open_bound.map(|bound| bound.max(least_of_any(larder, aim)));
            let Some(kept) = searched.best else {
                return Ok((without_week(open_bound), effort, None));
            };
            match aim {
                Some(aim) if open_bound.is_none() => {
                    settle(&mut ceilings, aim, kept.found.score.objective);
                    before = Some(kept);
                }
                _ => {
                    let pairs = Pairs::new(pool, &kept.items);
                    let gauges = Gauges::within(&wide);
                    let laid = Laid {
                        pool,
                        items: &kept.items,
                        pairs: &pairs,
                        gauges: &gauges,
                    };
                    let stage = make_stage(laid, aim, ceilings, given, limits);
                    let outcome = finished(&stage, &kept.found, open_bound, given)?;
                    return Ok((outcome, effort, None));
                }
            }
        }
        unreachable!("the last stage has no aim and returns")
    }
}

/// Work on the few items laid out before lines are taken one by one: first weeks, and no search.
const FIRST_WORK: u64 = 1;

/// What is made small, one after the other; the one-currency objective last.
fn aims(larder: &Larder) -> Vec<Option<Aim>> {
    let aims = larder.wishes.order.iter().copied().map(Some);
    aims.chain([None]).collect()
}

/// What a search without a week ends with.
fn without_week(open_bound: Option<i64>) -> Outcome {
    match open_bound {
        Some(bound_nano) => Outcome::OutOfTime { bound_nano },
        None => Outcome::Impossible,
    }
}

/// What no week's objective is below, whatever its lunches: what is on hand may earn its credit, and
/// each lunch be preferred in every way; packs cost more than they earn.
fn least_of_any(larder: &Larder, aim: Option<Aim>) -> i64 {
    if aim.is_some() {
        return 0;
    }
    let wishes = &larder.wishes;
    let kept = |unit: &Stock| weighted(unit.value_nano, wishes.carry_credit_milli) * unit.left_mg;
    let credit: i64 = larder.stock.iter().map(kept).sum();
    let liked = wishes
        .preferences
        .iter()
        .map(|wish| wish.price_minor.min(0));
    let liked = liked.sum::<i64>() * NANO * larder.lunch_count() as i64;
    liked - credit
}

/// The best week of those listed, if no other can be better; else its items, if there is one.
fn among(
    threads: &rayon::ThreadPool,
    pool: &Pool,
    items: &[Item],
    (near, given, limits): (&NearWeeks, &Given, &Limits),
    ceilings: Ceilings,
    effort: &mut Effort,
) -> Result<(Option<Outcome>, Option<Vec<u32>>), EngineFault> {
    let (mut sets, occurs) = near.within(items);
    // Items that are in none of the weeks need no floors.
    let kept: Vec<u32> = (0..items.len() as u32)
        .filter(|&at| occurs[at as usize])
        .collect();
    let few: Vec<Item> = kept.iter().map(|&at| items[at as usize].clone()).collect();
    for at in sets.iter_mut().flat_map(|(_, set)| set) {
        *at = kept.partition_point(|&old| old < *at) as u32;
    }
    let pairs = Pairs::new(pool, &few);
    let gauges = Gauges::default();
    let laid = Laid {
        pool,
        items: &few,
        pairs: &pairs,
        gauges: &gauges,
    };
    let stage = make_stage(laid, None, ceilings, given, limits);
    let searched = threads.install(|| stage.run_among(&sets, near.below_nano()));
    effort.leaves += searched.leaves;
    let Some(found) = searched.best else {
        // None is listed that was asked for: is every one that was?
        let all = stage.most <= near.below_nano() && searched.open_bound.is_none();
        return Ok((all.then_some(Outcome::Impossible), None));
    };
    let objective = found.score.objective;
    if objective <= near.below_nano() {
        let outcome = finished(&stage, &found, searched.open_bound, given)?;
        return Ok((Some(outcome), None));
    }
    let items = found.items.iter().map(|&at| kept[at as usize]).collect();
    Ok((None, Some(items)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::items::items_of;
    use crate::engine::model::samples::{alone, kitchen, numbers, varied};

    /// Lines one by one find the same week as all ways laid out, or that there is none.
    #[test]
    fn lines_one_by_one_find_what_all_ways_laid_out_do() {
        let mut next = numbers(7);
        let (mut weeks, mut none) = (0, 0);
        for name in [
            "stored/everything",
            "stored/nutrition",
            "stored/repeats",
            "stored/ripening-fruit",
            "stored/strict-order",
            "stored/stock-on-hand",
            "stored/budget-and-preferences",
            "stored/food-groups",
            "stored/two-trips",
            "stored/cap-and-forms",
            "stored/bans-and-pins",
            "stored/minutes-a-day",
        ] {
            let sound = kitchen(name);
            for turn in 0..12 {
                let larder = match turn {
                    0 => sound.clone(),
                    _ => varied(&sound, &mut next),
                };
                let limits = alone();
                let whole = Ready::new(&larder, &|| false);
                let pool = Pool::new(&larder);
                let few = items_of(&pool, 0, &|| false);
                let few = Ready::with(
                    pool,
                    Items {
                        left_out: true,
                        ..few
                    },
                );
                let asked = |ready: &Ready| ready.solve(&Given::default(), &limits);
                match (asked(&whole), asked(&few)) {
                    (Ok((Outcome::Best(one), _)), Ok((Outcome::Best(other), _))) => {
                        let sums = |solved: &crate::engine::Solved| {
                            let tally = &solved.tally;
                            (tally.objective_nano, tally.foods, tally.spoiled_nano)
                        };
                        assert_eq!(sums(&one), sums(&other), "{name} {turn}");
                        weeks += 1;
                    }
                    (Ok((Outcome::Impossible, _)), Ok((Outcome::Impossible, _))) => none += 1,
                    (one, other) => panic!("{name} {turn}: {one:?} {other:?}"),
                }
            }
        }
        assert!(weeks > 20, "{weeks} {none}");
    }
}
