//! Floors of the last two lunches beside all others: of the very sums, each worked out once.
//!
//! A unit that one of the two uses rises by what that lunch makes it rise; a unit that both use
//! by what both make it rise together. So what is worked out for one lunch serves all pairs that
//! it is in, but for the units that its partner uses too.

use crate::engine::model::stamped::Stamped;
use crate::engine::stage::Stage;

/// What the last two lunches add to what is chosen, by gauge.
#[derive(Default)]
pub(in crate::engine) struct Pairing {
    gauges: Vec<Sums>,
}

/// What one gauge says.
#[derive(Default)]
struct Sums {
    base: Option<i64>,
    by_pair: Stamped<i64>,
    by_item: Stamped<i64>,
}

impl Pairing {
    /// Forgets what other lunches have made of it.
    pub(in crate::engine) fn start(&mut self, stage: &Stage) {
        self.gauges.resize_with(stage.gauges.len(), Sums::default);
        for sums in &mut self.gauges {
            sums.base = None;
            sums.by_pair.clear(stage.pairs.list.len());
            sums.by_item.clear(stage.items.len());
        }
    }

    /// The floors of a gauge for what is chosen and two lunches more. `used` is what is chosen
    /// uses; `shared` are the units of both, as a pair of each.
    pub(in crate::engine) fn sum(
        &mut self,
        stage: &Stage,
        (gauge, used, chosen): (usize, &[i64], &[u32]),
        (second, third): (u32, u32),
        shared: &[(u32, u32)],
    ) -> i64 {
        let base = self.gauges[gauge].base;
        let base = base.unwrap_or_else(|| stage.exact_base(gauge, used, chosen));
        self.gauges[gauge].base = Some(base);
        let mut sum = base;
        for item in [second, third] {
            sum += self.of_item(stage, (gauge, used), item);
        }
        for &(one, other) in shared {
            let (unit, amount) = stage.pairs.list[one as usize];
            let more = amount + stage.pairs.list[other as usize].1;
            sum += stage.exact_more(gauge, used, (unit, more));
            for pair in [one, other] {
                sum -= self.of_pair(stage, (gauge, used), pair);
            }
        }
        sum
    }

    /// What an item adds by itself.
    fn of_item(&mut self, stage: &Stage, (gauge, used): (usize, &[i64]), item: u32) -> i64 {
        if let Some(known) = self.gauges[gauge].by_item.get(item as usize) {
            return known;
        }
        let mut sum = stage.fixed[gauge][item as usize];
        for &pair in stage.pairs.of(item) {
            sum += self.of_pair(stage, (gauge, used), pair);
        }
        self.gauges[gauge].by_item.set(item as usize, sum);
        sum
    }

    /// What a pair adds to its unit's floor by itself.
    fn of_pair(&mut self, stage: &Stage, (gauge, used): (usize, &[i64]), pair: u32) -> i64 {
        let known = &mut self.gauges[gauge].by_pair;
        known.get(pair as usize).unwrap_or_else(|| {
            let more = stage.exact_more(gauge, used, stage.pairs.list[pair as usize]);
            known.set(pair as usize, more);
            more
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::{alone, kitchen, numbers};
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::staging::{first_ceilings, make_stage};
    use crate::engine::tree::worker::Worker;

    /// Put together from the two against the whole set at once, in every gauge.
    #[test]
    fn adds_up_to_the_floors_of_the_whole_set() {
        let mut next = numbers(1);
        let (mut compared, mut both) = (0, 0);
        for name in ["boatyard", "stored/stock-on-hand", "stored/repeats"] {
            let larder = kitchen(name);
            let limits = alone();
            let ready = Ready::new(&larder, &|| false);
            let given = Given {
                spoiled_most_nano: Some(1_000_000_000),
                foods_most: Some(12),
                ..Given::default()
            };
            let mut ceilings = first_ceilings(&larder);
            given.lower(&mut ceilings);
            let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
            let mut worker = Worker::new(&stage);
            let items = ready.items.len();
            let mut pairing = Pairing::default();
            for _ in 0..100 {
                let chosen: Vec<u32> = (0..3).map(|_| next(items) as u32).collect();
                pairing.start(&stage);
                for _ in 0..10 {
                    let (second, third) = (next(items) as u32, next(items) as u32);
                    let mut shared = Vec::new();
                    for &one in stage.pairs.of(second) {
                        for &other in stage.pairs.of(third) {
                            if stage.pairs.list[one as usize].0
                                == stage.pairs.list[other as usize].0
                            {
                                shared.push((one, other));
                            }
                        }
                    }
                    both += shared.len();
                    for gauge in 0..stage.gauges.len() {
                        worker.path.set_used(&chosen);
                        let beside = (gauge, worker.path.used(), chosen.as_slice());
                        let sum = pairing.sum(&stage, beside, (second, third), &shared);
                        let whole: Vec<u32> =
                            chosen.iter().copied().chain([second, third]).collect();
                        worker.path.set_used(&whole);
                        let at_once = stage.exact_base(gauge, worker.path.used(), &whole);
                        assert_eq!(sum, at_once, "{name}: gauge {gauge}, {whole:?}");
                        compared += 1;
                    }
                }
            }
        }
        assert!(compared > 5_000 && both > 1_000, "{compared} {both}");
    }
}
