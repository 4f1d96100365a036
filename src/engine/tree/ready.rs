//! A larder made ready: what searches of it have in common.

use crate::engine::answer::{Effort, EngineFault, Limits, Outcome};
use crate::engine::model::items::{Item, Items, Pairs, all_items};
use crate::engine::model::pool::Pool;
use crate::engine::model::score::Ceilings;
use crate::engine::threads::threads;
use crate::engine::tree::finishing::finished;
use crate::engine::tree::given::Given;
use crate::engine::tree::near_weeks::NearWeeks;
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
    pairs: OnceLock<Pairs>,
    gauges: Gauges,
}

impl<'a> Ready<'a> {
    /// Makes `larder` ready, unless `stop` says to give up: then no search of it proves anything.
    pub fn new(larder: &'a Larder, stop: &dyn Fn() -> bool) -> Self {
        let pool = Pool::new(larder);
        let Items { list, left_out } = all_items(&pool, stop);
        Self {
            pool,
            items: list,
            left_out,
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
        let mut seed: Option<Vec<u32>> = given.first_items(items);
        // Weeks listed before may be made of what is left out here.
        if let Some(near) = given.near
            && !self.left_out
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
        let aims = larder.wishes.order.iter().copied().map(Some);
        let stages: Vec<Option<Aim>> = aims.chain([None]).collect();
        for aim in &stages {
            let stage = make_stage(laid, *aim, ceilings, given, limits);
            let searched = threads.install(|| stage.run(seed.as_deref()));
            effort.nodes += searched.nodes;
            effort.work += searched.work;
            effort.leaves += searched.leaves;
            let Searched {
                best,
                mut open_bound,
                listed,
                ..
            } = searched;
            if self.left_out {
                // What was searched is not all there is: the only bound is that of any week.
                let any = least_of_any(larder, *aim);
                open_bound = Some(open_bound.map_or(any, |bound| bound.min(any)));
            }
            let Some(found) = best else {
                let outcome = match open_bound {
                    Some(bound_nano) => Outcome::OutOfTime { bound_nano },
                    None => Outcome::Impossible,
                };
                return Ok((outcome, effort, None));
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
