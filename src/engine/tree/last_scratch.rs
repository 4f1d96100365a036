//! Scratch for pairing up the last two lunches.

use crate::engine::bound::forced::Forced;
use crate::engine::bound::prefilter::Prefilter;
use crate::engine::bound::smallest::Room;
use crate::engine::model::stamped::Stamped;
use crate::engine::stage::Stage;
use crate::engine::tree::pairing::Pairing;

/// Scratch for pairing up the last two lunches.
pub(in crate::engine) struct LastScratch {
    /// What is left for them, by what each adds alone, and a part of it by pair.
    pub(in crate::engine) alone: Prefilter,
    pub(in crate::engine) part: Vec<u16>,
    pub(in crate::engine) second: SecondUnits,
    /// Units that both use, as a pair of each.
    pub(in crate::engine) shared: Vec<(u32, u32)>,
    /// Exact floors of the two.
    pub(in crate::engine) pairing: Pairing,
    /// What is bought for certain with the second of three, and the room it leaves in the classes.
    pub(in crate::engine) forced: Forced,
    pub(in crate::engine) room: Room,
}

/// Units of the second of the last three lunches: its pair of each.
pub(in crate::engine) struct SecondUnits(Stamped<u32>);

impl SecondUnits {
    pub(in crate::engine) fn set(&mut self, stage: &Stage, second: u32) {
        self.0.forget();
        for &pair in stage.pairs.of(second) {
            self.0.set(stage.pairs.list[pair as usize].0 as usize, pair);
        }
    }

    /// The second lunch's pair of a unit, if it uses it.
    #[inline]
    pub(in crate::engine) fn pair(&self, unit: u32) -> Option<u32> {
        self.0.get(unit as usize)
    }
}

impl LastScratch {
    pub(in crate::engine) fn new(stage: &Stage) -> Self {
        let units = stage.units();
        Self {
            alone: Prefilter::new(units),
            part: vec![0; stage.pairs.list.len()],
            second: SecondUnits(Stamped::new(units)),
            shared: Vec::new(),
            pairing: Pairing::default(),
            forced: Forced::default(),
            room: Room::default(),
        }
    }
}
