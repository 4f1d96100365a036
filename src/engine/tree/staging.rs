//! Makes one question ready to be searched.

use crate::engine::answer::Limits;
use crate::engine::bound::amounts::Amounts;
use crate::engine::bound::forced::Cover;
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::mean_rules::Mean;
use crate::engine::bound::smallest::Classes;
use crate::engine::model::ceiling::Ceiling;
use crate::engine::model::items::{Item, Pairs};
use crate::engine::model::pool::Pool;
use crate::engine::model::score::{Ceilings, Weights};
use crate::engine::stage::{Stage, Told};
use crate::engine::tree::given::Given;
use crate::larder::{Aim, CapBy, Larder, NANO};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// What each item costs in any case, beside the gauge.
pub(in crate::engine) type Gauged = (Arc<Gauge>, Arc<Vec<i64>>);

/// Pool, items and pairs of a larder, and gauges worked out before.
#[derive(Clone, Copy)]
pub(in crate::engine) struct Laid<'a> {
    pub(in crate::engine) pool: &'a Pool<'a>,
    pub(in crate::engine) items: &'a [Item],
    pub(in crate::engine) pairs: &'a Pairs,
    pub(in crate::engine) gauges: &'a Gauges<'a>,
}

/// Gauges of a pool's items, each worked out once.
#[derive(Default)]
pub(in crate::engine) struct Gauges<'a> {
    known: Mutex<Vec<Gauged>>,
    amounts: OnceLock<Arc<Vec<Amounts>>>,
    /// Gauges of items that take as much or more of each unit: their floors are taken.
    wider: Option<&'a Self>,
}

impl<'a> Gauges<'a> {
    /// Gauges of items that take no more of any unit than those of `wider`, which has a gauge for
    /// every sum that is asked about.
    pub(in crate::engine) fn within(wider: &'a Self) -> Self {
        Self {
            wider: Some(wider),
            ..Self::default()
        }
    }

    /// The gauge of a sum, if it was worked out.
    fn known(&self, weights: &Weights) -> Option<Gauged> {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        known
            .iter()
            .find(|(gauge, _)| gauge.weights == *weights)
            .cloned()
    }

    /// The gauge of a sum, and what each of the items costs under it in any case.
    pub(in crate::engine) fn of(&self, pool: &Pool, weights: &Weights, items: &[Item]) -> Gauged {
        if let Some(gauged) = self.known(weights) {
            return gauged;
        }
        let amounts = self
            .amounts
            .get_or_init(|| Arc::new(Amounts::all(pool, items)));
        let amounts = Arc::clone(amounts);
        let gauge = match self.wider.and_then(|wider| wider.known(weights)) {
            Some((wide, _)) => wide.for_fewer(amounts),
            None => Gauge::new(pool, weights, amounts),
        };
        let fixed = items.iter().map(|item| gauge.fixed(item)).collect();
        let gauged = (Arc::new(gauge), Arc::new(fixed));
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        known.push(gauged.clone());
        gauged
    }
}

/// Ceilings from the wishes.
pub(in crate::engine) fn first_ceilings(larder: &Larder) -> Ceilings {
    let wishes = &larder.wishes;
    let cap = |by| Ceiling::of(wishes.cap.filter(|_| wishes.cap_by == by));
    Ceilings {
        foods: cap(CapBy::Foods),
        families: cap(CapBy::Families),
        packs: Ceiling::of(wishes.budget_minor),
        ..Ceilings::default()
    }
}

/// Keeps a settled aim where it is.
pub(in crate::engine) fn settle(ceilings: &mut Ceilings, aim: Aim, value: i64) {
    match aim {
        Aim::Foods => ceilings.foods.lower(value / NANO),
        Aim::Cost => ceilings.cost.lower(value),
        Aim::Spoiled => ceilings.spoiled.lower(value),
        Aim::Minutes => ceilings.minutes.lower(value),
    }
}

pub(in crate::engine) fn make_stage<'a>(
    laid: Laid<'a>,
    aim: Option<Aim>,
    ceilings: Ceilings,
    given: &'a Given,
    limits: &'a Limits,
) -> Stage<'a> {
    let Laid {
        pool, items, pairs, ..
    } = laid;
    let gauge = |weights: &Weights| laid.gauges.of(pool, weights, items);
    let weights = aim.map_or_else(|| Weights::money(pool.larder), Weights::aim);
    // The one-currency objective comes last, and settles ties.
    let settles_ties = aim.is_none();
    let mut gauges = vec![gauge(&weights)];
    let mut tops = Vec::new();
    let mut add = |weights: Weights, top: i64| {
        gauges.push(gauge(&weights));
        tops.push(top);
    };
    if let Some(most) = ceilings.foods.most() {
        add(Weights::aim(Aim::Foods), most.saturating_mul(NANO));
    }
    if let Some(most) = ceilings.packs.most() {
        let mut packs = Weights::aim(Aim::Cost);
        packs.staple = 0;
        add(packs, most.saturating_mul(NANO));
    }
    if let Some(most) = ceilings.cost.most() {
        add(Weights::aim(Aim::Cost), most);
    }
    if let Some(most) = ceilings.spoiled.most() {
        add(Weights::aim(Aim::Spoiled), most);
    }
    if let Some(most) = ceilings.minutes.most() {
        add(Weights::aim(Aim::Minutes), most);
    }
    let (gauges, fixed) = gauges.into_iter().unzip();
    Stage {
        pool,
        items,
        pairs,
        fixed,
        gauges,
        limits: tops,
        ties: settles_ties
            .then(|| [Aim::Cost, Aim::Spoiled].map(|aim| gauge(&Weights::aim(aim)).0)),
        covers: Cover::all(pool, items, &ceilings),
        means: Mean::all(pool, items),
        classes: Classes::new(pool.larder, &pool.days),
        ceilings,
        settles_ties,
        listing: None,
        too_long: AtomicBool::new(false),
        beyond_part: given
            .beyond_part
            .filter(|_| pool.larder.wishes.order.is_empty()),
        most: given
            .objective_most_nano
            .filter(|_| pool.larder.wishes.order.is_empty())
            .unwrap_or(i64::MAX),
        apart: given.apart,
        with: given.with,
        most_work: given.most_work,
        stop: limits.stop,
        stopped: AtomicBool::new(false),
        told: Told::new(limits.progress, aim),
        #[cfg(test)]
        witness: None,
    }
}
