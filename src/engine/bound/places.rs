//! Where units of the larder stand among those that what is left of lines uses.

use crate::engine::bound::curve::Range;
use crate::engine::bound::settled::Settled;
use crate::engine::model::stamped::Stamped;

/// By unit of the larder: its place in a list, if it stands there.
#[derive(Debug)]
pub(in crate::engine) struct Places(Stamped<u32>);

impl Places {
    /// For a larder with so many units, none of which stands in the list.
    pub(in crate::engine) fn new(units: usize) -> Self {
        Self(Stamped::new(units))
    }

    /// Begins an empty list.
    pub(in crate::engine) fn forget(&mut self) {
        self.0.forget();
    }

    pub(in crate::engine) fn get(&self, unit: u32) -> Option<usize> {
        self.0.get(unit as usize).map(|place| place as usize)
    }

    /// The place of a unit, at the end of the list if it does not stand there yet.
    pub(in crate::engine) fn of<U>(
        &mut self,
        unit: u32,
        list: &mut Vec<U>,
        new: impl Fn(u32) -> U,
    ) -> usize {
        self.get(unit).unwrap_or_else(|| {
            self.0.set(unit as usize, list.len() as u32);
            list.push(new(unit));
            list.len() - 1
        })
    }

    /// Takes over what is settled of units, as their ranges and the most that may be used; none where what is left
    /// cannot keep it.
    pub(in crate::engine) fn settle<U>(
        &self,
        settled: &[Settled],
        list: &mut [U],
        of: impl Fn(&mut U) -> (&mut Range, &mut i64),
    ) -> Option<()> {
        for one in settled {
            let Some(place) = self.get(one.unit) else {
                if one.least > one.most || one.least > 0 {
                    return None;
                }
                continue;
            };
            let (range, cap) = of(&mut list[place]);
            if one.least > one.most || range.most < one.least || range.made > one.most {
                return None;
            }
            range.settled = one.least;
            *cap = one.most;
        }
        Some(())
    }
}
