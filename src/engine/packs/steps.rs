//! The least that packs of one food cost that hold at least so much, whatever the days.
//!
//! [`PackSteps::least`] bounds what is still to be bought in [`crate::engine::packs::ways`] and
//! [`crate::engine::packs::flexible`]: a staircase that counts whole packs, where a price by the milligram
//! would let an eighth of a pack be bought.
//!
//! Let each pack option weigh `k` (its price, or its price and what is left over if none of it
//! is drawn) and hold `c`. Choices of packs are taken up in the order of their weight; one that
//! holds no more than one before it is dropped, with all that grows out of it.
//!
//! Proof. Weights are above nothing, so each choice is taken up before all that contain it. Let a
//! choice be dropped for one before it, which weighs no more and holds no less. The same packs
//! added to both keep that order, so for every choice that contains the dropped one there is one
//! that was not dropped, weighs no more and holds no less. So the first that holds `m` among
//! those kept weighs the least of all choices that hold `m`.

use std::collections::BinaryHeap;

/// The staircase of one food, for one weight of its packs.
#[derive(Clone, Debug)]
pub(in crate::engine) struct PackSteps {
    /// What a choice of packs holds and weighs, both rising.
    steps: Vec<(i64, i64)>,
    /// Weight and capacity of the pack that weighs least by the milligram: for what no step holds.
    lightest: (i64, i64),
}

/// Choices of packs that are listed at most.
const MOST_STEPS: usize = 96;

impl PackSteps {
    /// Lists the choices of packs, each option given by what it weighs and holds, up to one that
    /// holds `most`; none where there are no packs, or where one weighs nothing or less.
    pub(in crate::engine) fn new(packs: &[(i64, i64)], most: i64) -> Option<Self> {
        let &lightest = packs.iter().min_by(|a, b| {
            (i128::from(a.0) * i128::from(b.1)).cmp(&(i128::from(b.0) * i128::from(a.1)))
        })?;
        if packs
            .iter()
            .any(|&(weight, holds)| weight <= 0 || holds <= 0)
        {
            return None;
        }
        let mut steps: Vec<(i64, i64)> = Vec::new();
        // Lightest first; of equals the one that holds most.
        let mut next = BinaryHeap::from([(std::cmp::Reverse(0), 0)]);
        let mut widest = -1;
        while let Some((std::cmp::Reverse(weight), holds)) = next.pop() {
            if holds <= widest {
                continue;
            }
            widest = holds;
            steps.push((holds, weight));
            if holds >= most || steps.len() == MOST_STEPS {
                break;
            }
            for &(more, inside) in packs {
                // A choice beyond 64 bits is beyond any week that is let through.
                let grown: Option<(i64, i64)> =
                    weight.checked_add(more).zip(holds.checked_add(inside));
                next.extend(grown.map(|(weight, holds)| (std::cmp::Reverse(weight), holds)));
            }
        }
        Some(Self { steps, lightest })
    }

    /// Returns the least weight of packs that hold at least `mg`, or a number below it.
    ///
    /// Beyond the last step: what is not listed weighs no less than the last step, and no less
    /// than the same mass of the pack that is lightest by the milligram.
    pub(in crate::engine) fn least(&self, mg: i64) -> i64 {
        if mg <= 0 {
            return 0;
        }
        let at = self.steps.partition_point(|&(holds, _)| holds < mg);
        if let Some(&(_, weight)) = self.steps.get(at) {
            return weight;
        }
        let (weight, holds) = self.lightest;
        let by_weight = match mg.checked_mul(weight) {
            Some(product) => product / holds,
            None => (i128::from(mg) * i128::from(weight) / i128::from(holds)) as i64,
        };
        let last = self.steps.last().map_or(0, |&(_, weight)| weight);
        by_weight.max(last)
    }
}

#[cfg(test)]
mod tests {
    use super::PackSteps;

    /// Every number of every pack, counted out.
    fn counted_out(packs: &[(i64, i64)], mg: i64) -> i64 {
        let Some((&(weight, holds), rest)) = packs.split_first() else {
            return if mg <= 0 { 0 } else { i64::MAX / 2 };
        };
        let most = (mg.max(0) + holds - 1) / holds;
        (0..=most)
            .map(|count| count * weight + counted_out(rest, mg - count * holds))
            .min()
            .unwrap()
    }

    #[test]
    fn steps_are_the_least_of_all_choices_of_packs() {
        let mut seed = 7u64;
        let mut next = move |below: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as i64 % below
        };
        let (mut exact, mut beyond) = (0, 0);
        for _ in 0..400 {
            let packs: Vec<(i64, i64)> = (0..=next(3))
                .map(|_| (1 + next(90), 1 + next(40)))
                .collect();
            let most = 1 + next(120);
            let steps = PackSteps::new(&packs, most).unwrap();
            for mg in 0..most + 40 {
                let least = counted_out(&packs, mg);
                if mg <= steps.steps.last().unwrap().0 {
                    assert_eq!(steps.least(mg), least, "{packs:?} {mg}");
                    exact += 1;
                } else {
                    assert!(steps.least(mg) <= least, "{packs:?} {mg}");
                    beyond += 1;
                }
            }
        }
        assert!(exact > 10_000 && beyond > 1_000, "{exact} {beyond}");
    }

    #[test]
    fn a_pack_that_weighs_nothing_has_no_steps() {
        assert!(PackSteps::new(&[(5, 10), (0, 3)], 100).is_none());
        assert!(PackSteps::new(&[], 100).is_none());
    }

    /// Six, nine and twenty: 43 is the largest amount that cannot be bought to the piece
    /// (a textbook example of the problem of Frobenius, from memory). With weights that follow
    /// what a box holds, the least weight of packs that hold at least n is n itself just where
    /// n can be bought.
    #[test]
    fn boxes_of_six_nine_and_twenty() {
        let steps = PackSteps::new(&[(6, 6), (9, 9), (20, 20)], 60).unwrap();
        let bought: Vec<i64> = (1..=60).filter(|&n| steps.least(n) == n).collect();
        let missing: Vec<i64> = (1..=60).filter(|n| !bought.contains(n)).collect();
        assert_eq!(missing.last(), Some(&43));
        assert_eq!(missing.len(), 22);
    }
}
