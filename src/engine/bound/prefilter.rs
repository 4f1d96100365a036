//! Shares in sixteen bits: which candidates looking ahead need not look at one by one.
//!
//! A share one level down is what a candidate would cost less its shares of the units that
//! the lunch looked ahead from uses itself. Both are kept here in steps of a power of two,
//! the whole rounded down and the parts rounded up, so that eight candidates are subtracted
//! and compared at once. Who asks for shares up to some value gets all of those, and a few
//! more: exact sums decide.
//!
//! Proof. With step s, lowest value l, whole a and parts b of a candidate,
//! `floor((a - l) / s) - sum of ceil(b / s) <= (a - l - sum of b) / s`. No share is below l,
//! so what would be negative may be 0. A whole cut off at [`MOST`] is only made smaller; a
//! part cut off at the top takes any whole to 0. So a share of at most v is held as at most
//! `floor((v - l) / s)`. And where the whole was not cut off, one held as h with at most k
//! parts is below `l + s (h + 1 + k)`: each rounding moves it by less than a step.

use std::ops::Range;

/// Places tested together.
pub(in crate::engine) const BLOCK: usize = 64;

/// Largest number held: comparisons are signed.
const MOST: u16 = i16::MAX as u16;

/// Users of a unit for whom a row of all places is subtracted rather than theirs one by one:
/// one in so many.
const DENSE: usize = 24;

/// No row yet.
const NONE: u32 = u32::MAX;

/// The shares of a node's candidates, by place.
#[derive(Default)]
pub(in crate::engine) struct Prefilter {
    low: i64,
    shift: u32,
    /// Whole shares, whole blocks of them.
    next: Vec<u16>,
    /// By unit: place and part of each user.
    users: Vec<Vec<(u32, u16)>>,
    /// Parts of all places, for units with many users, made when first asked for.
    rows: Vec<u16>,
    row_of: Vec<u32>,
    /// Shares beside the lunch looked ahead from, and the least of each block.
    shares: Vec<u16>,
    least: Vec<u16>,
    /// Shares beside what several lunches use.
    first: Vec<u16>,
}

impl Prefilter {
    /// A prefilter for so many units.
    pub(in crate::engine) fn new(units: usize) -> Self {
        Self {
            users: vec![Vec::new(); units],
            row_of: vec![NONE; units],
            ..Self::default()
        }
    }

    /// Starts a node whose shares are at least `low`, and of interest up to `top`.
    pub(in crate::engine) fn clear(&mut self, low: i64, top: i64) {
        let range = top.saturating_sub(low).max(0) as u64;
        self.low = low;
        self.shift = (u64::BITS - range.leading_zeros()).saturating_sub(u16::BITS - 1);
        self.next.clear();
        self.rows.clear();
        self.row_of.fill(NONE);
    }

    /// Forgets the users of a unit.
    pub(in crate::engine) fn clear_unit(&mut self, unit: usize) {
        self.users[unit].clear();
    }

    /// A part, rounded up.
    pub(in crate::engine) fn part(&self, share: i64) -> u16 {
        let up = (share.max(0) as u64 + (1 << self.shift) - 1) >> self.shift;
        u16::try_from(up).unwrap_or(u16::MAX)
    }

    /// Adds a part to the users of a unit.
    pub(in crate::engine) fn add_part(&mut self, unit: usize, part: u16) {
        self.users[unit].push((self.next.len() as u32, part));
    }

    /// Adds the whole share of the next place.
    pub(in crate::engine) fn add(&mut self, share: i64) {
        let held = self.hold(share);
        self.next.push(held);
    }

    /// Ends the node's places: fills up the last block.
    pub(in crate::engine) fn seal(&mut self) {
        self.next
            .resize(self.next.len().next_multiple_of(BLOCK), MOST);
    }

    /// What a share of at most `share` is held as, at most.
    pub(in crate::engine) fn hold(&self, share: i64) -> u16 {
        let over = share.saturating_sub(self.low);
        if over < 0 {
            return 0;
        }
        u16::try_from(over >> self.shift).map_or(MOST, |held| held.min(MOST))
    }

    /// Works out the shares beside a lunch that uses `units`.
    pub(in crate::engine) fn lay(&mut self, units: impl Iterator<Item = usize>) {
        let blocks = 0..self.next.len() / BLOCK;
        self.copy(&blocks);
        self.lay_blocks::<false>(units.map(|unit| (unit, u16::MAX)), blocks);
    }

    /// The same, for units that several lunches use; some places are of no interest.
    pub(in crate::engine) fn lay_first(
        &mut self,
        units: impl Iterator<Item = usize>,
        without: impl Iterator<Item = usize>,
    ) {
        self.lay(units);
        std::mem::swap(&mut self.shares, &mut self.first);
        for place in without {
            self.first[place] = MOST;
        }
    }

    /// The same, for one of those lunches and the other units that it uses.
    pub(in crate::engine) fn lay_further(&mut self, units: impl Iterator<Item = usize>) {
        self.shares.clone_from(&self.first);
        let blocks = 0..self.next.len() / BLOCK;
        self.lay_blocks::<false>(units.map(|unit| (unit, u16::MAX)), blocks);
    }

    /// Works out, for some blocks, the shares beside a lunch of whose units no more than so
    /// much is subtracted.
    pub(in crate::engine) fn lay_within(
        &mut self,
        units: impl Iterator<Item = (usize, u16)>,
        blocks: Range<usize>,
    ) {
        self.copy(&blocks);
        self.lay_blocks::<true>(units, blocks);
    }

    /// Begins with the whole shares of some blocks.
    fn copy(&mut self, blocks: &Range<usize>) {
        self.shares.resize(self.next.len(), 0);
        let places = blocks.start * BLOCK..blocks.end * BLOCK;
        self.shares[places.clone()].copy_from_slice(&self.next[places]);
    }

    fn lay_blocks<const CAPPED: bool>(
        &mut self,
        units: impl Iterator<Item = (usize, u16)>,
        blocks: Range<usize>,
    ) {
        let width = self.next.len();
        let (start, end) = (blocks.start * BLOCK, blocks.end * BLOCK);
        let mut rows = [(0usize, 0u16); 4];
        let mut waiting = 0;
        for (unit, cap) in units {
            let users = &self.users[unit];
            if users.len() * DENSE < width {
                for &(place, part) in users {
                    let share = &mut self.shares[place as usize];
                    *share = share.saturating_sub(part.min(cap));
                }
                continue;
            }
            if self.row_of[unit] == NONE {
                let at = self.rows.len();
                self.row_of[unit] = (at / width) as u32;
                self.rows.resize(at + width, 0);
                let row = &mut self.rows[at..];
                for &(place, part) in users {
                    row[place as usize] = part;
                }
            }
            rows[waiting] = (self.row_of[unit] as usize * width + start, cap);
            waiting += 1;
            if waiting == rows.len() {
                self.subtract::<CAPPED>(start..end, &rows);
                waiting = 0;
            }
        }
        self.subtract::<CAPPED>(start..end, &rows[..waiting]);
        self.least.resize(width / BLOCK, 0);
        let shares = self.shares[start..end].chunks_exact(BLOCK);
        for (least, block) in self.least[blocks].iter_mut().zip(shares) {
            let mut lowest = i16::MAX;
            for &share in block {
                lowest = lowest.min(share as i16);
            }
            *least = lowest as u16;
        }
    }

    /// Subtracts up to four rows, each from where it begins and no more than its cap.
    fn subtract<const CAPPED: bool>(&mut self, places: Range<usize>, rows: &[(usize, u16)]) {
        let shares = &mut self.shares[places];
        let len = shares.len();
        let row = |at: usize| &self.rows[rows[at].0..rows[at].0 + len];
        let less = |share: u16, part: u16, at: usize| {
            let part = if CAPPED { part.min(rows[at].1) } else { part };
            share.saturating_sub(part)
        };
        match rows.len() {
            0 => {}
            1 => {
                for (share, a) in shares.iter_mut().zip(row(0)) {
                    *share = less(*share, *a, 0);
                }
            }
            2 => {
                for ((share, a), b) in shares.iter_mut().zip(row(0)).zip(row(1)) {
                    *share = less(less(*share, *a, 0), *b, 1);
                }
            }
            3 => {
                let parts = row(0).iter().zip(row(1)).zip(row(2));
                for (share, ((a, b), c)) in shares.iter_mut().zip(parts) {
                    *share = less(less(less(*share, *a, 0), *b, 1), *c, 2);
                }
            }
            _ => {
                let parts = row(0).iter().zip(row(1)).zip(row(2)).zip(row(3));
                for (share, (((a, b), c), d)) in shares.iter_mut().zip(parts) {
                    *share = less(less(less(less(*share, *a, 0), *b, 1), *c, 2), *d, 3);
                }
            }
        }
    }

    /// A value that no share of the places allowed, a word for each block, is below; none if
    /// there are no such places.
    pub(in crate::engine) fn least(&self, allowed: &[u64]) -> Option<i64> {
        let blocks = allowed.iter().zip(&self.least);
        let least = blocks
            .filter(|(places, _)| **places != 0)
            .map(|(_, &least)| least);
        Some(self.low + (i64::from(least.min()?) << self.shift))
    }

    /// What the least share of a block is held as.
    pub(in crate::engine) fn least_of(&self, block: usize) -> u16 {
        self.least[block]
    }

    /// Places of a block held as at most `held`, a bit each.
    pub(in crate::engine) fn within(&self, block: usize, held: u16) -> u64 {
        if self.least[block] > held {
            return 0;
        }
        let shares = &self.shares[block * BLOCK..(block + 1) * BLOCK];
        let mut flags = [0u8; BLOCK];
        for (flag, &share) in flags.iter_mut().zip(shares) {
            *flag = u8::from(share as i16 <= held as i16);
        }
        // A flag of each of eight bytes, moved to the top byte.
        let mut bits = 0;
        for (at, eight) in flags.chunks_exact(8).enumerate() {
            let eight = u64::from_le_bytes(eight.try_into().expect("eight bytes"));
            bits |= (eight.wrapping_mul(0x0102_0408_1020_4080) >> 56) << (8 * at);
        }
        bits
    }

    /// A value that the share of a place is not below.
    pub(in crate::engine) fn lowest(&self, place: usize) -> i64 {
        self.low + (i64::from(self.shares[place]) << self.shift)
    }

    /// Whether a place is held as at most `held`.
    pub(in crate::engine) fn may(&self, place: usize, held: u16) -> bool {
        self.shares[place] <= held
    }

    /// Whether the share of a place, with at most `parts` parts, is certainly at most what
    /// `held` stands for.
    pub(in crate::engine) fn certain(&self, place: usize, held: u16, parts: usize) -> bool {
        self.next[place] < MOST && usize::from(self.shares[place]) + 1 + parts <= usize::from(held)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plain sequence of numbers, different for each seed.
    fn numbers(mut seed: u64) -> impl FnMut(i64) -> i64 {
        move |below| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            ((seed >> 33) % below as u64) as i64
        }
    }

    #[test]
    fn holds_back_nothing_and_is_certain_of_nothing_dearer() {
        const UNITS: usize = 9;
        let mut prefilter = Prefilter::new(UNITS);
        for seed in 0..200 {
            let mut next = numbers(seed);
            let places = 1 + next(300) as usize;
            let low = next(2_000_000) - 1_000_000;
            let size = 10i64.pow(1 + (seed % 12) as u32);
            let parts: Vec<Vec<i64>> = (0..places)
                .map(|_| {
                    (0..UNITS)
                        .map(|unit| {
                            if next(30) < 3 + 3 * unit as i64 {
                                next(size)
                            } else {
                                0
                            }
                        })
                        .collect()
                })
                .collect();
            let wholes: Vec<i64> = parts
                .iter()
                .map(|parts| low + next(size) + parts.iter().sum::<i64>())
                .collect();
            let top = low + next(6 * size);
            prefilter.clear(low, top);
            for unit in 0..UNITS {
                prefilter.clear_unit(unit);
            }
            for (parts, &whole) in parts.iter().zip(&wholes) {
                for (unit, &part) in parts.iter().enumerate() {
                    if part > 0 {
                        let part = prefilter.part(part);
                        prefilter.add_part(unit, part);
                    }
                }
                prefilter.add(whole);
            }
            prefilter.seal();
            for _ in 0..20 {
                let used: Vec<usize> = (0..UNITS).filter(|_| next(3) > 0).collect();
                prefilter.lay(used.iter().copied());
                let most = low - size / 10 + next(4 * size);
                let held = prefilter.hold(most);
                for place in 0..places {
                    let taken: i64 = used.iter().map(|&unit| parts[place][unit]).sum();
                    let share = wholes[place] - taken;
                    let bit = prefilter.within(place / BLOCK, held) >> (place % BLOCK) & 1;
                    assert!(bit == 1 || share > most, "seed {seed}, place {place}");
                    if prefilter.certain(place, held, used.len()) {
                        assert!(bit == 1 && share <= most, "seed {seed}, place {place}");
                    }
                }
            }
        }
    }
}
