//! What single candidates add to exact floors, each pair of unit and amount worked out once.

use crate::engine::stage::Stage;

/// Increases by pair, valid by the stamp.
pub(in crate::engine) struct ExactIncreases {
    stamp: Vec<u32>,
    now: u32,
    by_pair: Vec<i64>,
}

/// Increases beside what is used, in one dimension.
pub(in crate::engine) struct Beside<'w, 's, 'a> {
    increases: &'w mut ExactIncreases,
    stage: &'s Stage<'a>,
    dimension: usize,
    used: &'w [i64],
}

impl ExactIncreases {
    pub(in crate::engine) fn new(stage: &Stage) -> Self {
        let pairs = stage.pairs.list.len();
        Self {
            stamp: vec![0; pairs],
            now: 0,
            by_pair: vec![0; pairs],
        }
    }

    /// Begins anew beside what is used, in one dimension.
    pub(in crate::engine) fn beside<'w, 's, 'a>(
        &'w mut self,
        stage: &'s Stage<'a>,
        dimension: usize,
        used: &'w [i64],
    ) -> Beside<'w, 's, 'a> {
        self.now += 1;
        Beside {
            increases: self,
            stage,
            dimension,
            used,
        }
    }
}

impl Beside<'_, '_, '_> {
    /// What an item adds.
    #[inline]
    pub(in crate::engine) fn of(&mut self, item: u32) -> i64 {
        let stage = self.stage;
        let known = &mut *self.increases;
        let mut more = stage.fixed[self.dimension][item as usize];
        for &pair in stage.pairs.of(item) {
            let p = pair as usize;
            if known.stamp[p] != known.now {
                known.stamp[p] = known.now;
                known.by_pair[p] = stage.exact_more(self.dimension, self.used, stage.pairs.list[p]);
            }
            more += known.by_pair[p];
        }
        more
    }
}
