//! What single candidates add to exact floors, each pair of unit and amount worked out once.

use crate::engine::model::stamped::Stamped;
use crate::engine::stage::Stage;

/// Increases by pair.
pub(in crate::engine) struct ExactIncreases {
    by_pair: Stamped<i64>,
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
        Self {
            by_pair: Stamped::new(stage.pairs.list.len()),
        }
    }

    /// Begins anew beside what is used, in one dimension.
    pub(in crate::engine) fn beside<'w, 's, 'a>(
        &'w mut self,
        stage: &'s Stage<'a>,
        dimension: usize,
        used: &'w [i64],
    ) -> Beside<'w, 's, 'a> {
        self.by_pair.forget();
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
        let known = &mut self.increases.by_pair;
        let mut more = stage.fixed[self.dimension][item as usize];
        for &pair in stage.pairs.of(item) {
            let place = pair as usize;
            more += known.get(place).unwrap_or_else(|| {
                let (dimension, used) = (self.dimension, self.used);
                let more = stage.exact_more(dimension, used, stage.pairs.list[place]);
                known.set(place, more);
                more
            });
        }
        more
    }
}
