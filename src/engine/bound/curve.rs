//! What a unit costs at least the more of it is used: pieces and straight lines, in 1e-9 minor units by milligram, that
//! lie below every way of buying it.
//!
//! Plain definition: with F(s) the floor of a week that uses s of the unit ([`Gauge::floor_over`]), a week that may use s
//! pays F(s). The curve says of F what is asked of it thousands of times: a sum in any case, b ([`Curve::base`]), the least
//! more in each of some pieces of sums, and how much once if each milligram beyond m has a price c ([`Curve::once`]).
//!
//! Proof. s is what all alternatives make the lines use, m, or m + step at least; no less than is settled; and no more than
//! `most`: that is the caller's to see to. b is the floor over all of that. A piece has the floor over all its sums, with no
//! more days than the least of them asks for, so no sum in it costs less than the larger of that and b. To take for a piece the
//! least of all later ones where that is less, and to end the last one beyond `most`, only lowers what is said. So
//! F(m + t) >= b + g(t), where g rises in steps.
//! - *A price c >= 0.* In a piece up to t' no t is beyond t' and g is the same, so g(t) - c t >= g(t') - c t'. The least of
//!   that over the ends of pieces is reached at a corner of the line below them, the lower convex hull.
//! - *A price c < 0*, where so much more, `low`, is used for certain: g(t) - c t >= g at its least - c low.
//! - *Beyond a price*: wherever in a piece t lies, c t is no more than at one of both ends.
//!
//! Rounding. F, g and b are whole. c is a fraction of whole numbers; what it comes to is rounded up where it is taken off
//! here, and lines pay it rounded down each ([`floored`]): together no more than c t. So b, what is paid once and what lines
//! pay are never more than F.

use crate::engine::bound::gauge::Gauge;
use crate::engine::model::pool::Pool;

/// Floors of one unit beyond what must be used, as points below which no sum lies: how much
/// more is used, and what that adds. Falls nowhere, and turns nowhere to the right.
#[derive(Debug)]
pub(in crate::engine) struct Curve {
    /// What what must be used costs at least.
    pub(in crate::engine) base: i64,
    hull: Vec<(i64, i64)>,
    /// Sums of which no one costs less than another: from, to, and what they add.
    pub(in crate::engine) pieces: Vec<(i64, i64, i64)>,
}

/// Prices by weight are whole numbers of such parts.
pub(in crate::engine) const PRICE_PARTS: i64 = 1 << 16;

/// Parts in which the range of sums is looked at, and packs that are told apart in it.
const PARTS: i64 = 16;
const PACKS: i64 = 64;

/// What may be used of a unit: at least, as what is left makes them and as it was settled; at most; and the
/// least that one alternative adds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(in crate::engine) struct Range {
    pub(in crate::engine) unit: u32,
    pub(in crate::engine) made: i64,
    pub(in crate::engine) settled: i64,
    pub(in crate::engine) most: i64,
    pub(in crate::engine) step: i64,
    /// Lunches that must use some themselves, and the most that one may use; 0 where batches may.
    pub(in crate::engine) lunches: i64,
    pub(in crate::engine) a_lunch: i64,
}

impl Range {
    /// How many lunches use some themselves, each on its day, where so much is used in all.
    fn lunches(&self, used: i64) -> i64 {
        if self.a_lunch == 0 {
            return self.lunches;
        }
        self.lunches.max((used + self.a_lunch - 1) / self.a_lunch)
    }
}

impl Curve {
    pub(in crate::engine) fn new(gauge: &Gauge, pool: &Pool, range: Range) -> Self {
        let floor = |from: i64, to: i64| {
            gauge.floor_over(range.unit, (from, pool.stretch(to)), range.lunches(from))
        };
        let lowest = range.made.max(range.settled);
        let base = floor(lowest, range.most.max(lowest));
        let first = (range.made + range.step).max(lowest);
        let mut starts: Vec<i64> = vec![first];
        if range.most > first {
            let width = (range.most - first) / PARTS + 1;
            starts.extend((1..PARTS).map(|part| first + part * width));
            let model = pool.foods.get(range.unit as usize).and_then(Option::as_ref);
            for lot in model.iter().flat_map(|model| &model.lots) {
                let size = (lot.unit * lot.units).max(1);
                let before = (first - 1) / size;
                starts.extend((1..=PACKS).map(|pack| (before + pack) * size + 1));
            }
            starts.sort_unstable();
            starts.dedup();
        }
        // The last sums end where packs do, beyond what is asked: else a part of a pack would look dear.
        let ends = starts.iter().skip(1).map(|&start| start - 1);
        let mut ends: Vec<i64> = ends.take_while(|&end| end < range.most).collect();
        let next = starts
            .get(ends.len() + 1)
            .map_or(range.most, |&start| start - 1);
        ends.push(next.max(range.most).max(first));
        let mut points: Vec<(i64, i64)> = starts
            .iter()
            .zip(&ends)
            .map(|(&from, &to)| (to - range.made, (floor(from, to) - base).max(0)))
            .collect();
        let mut least = i64::MAX;
        for point in points.iter_mut().rev() {
            least = least.min(point.1);
            point.1 = least;
        }
        let mut pieces: Vec<(i64, i64, i64)> = Vec::new();
        for (&from, &(to, cost)) in starts.iter().zip(&points) {
            match pieces.last_mut() {
                Some(last) if last.2 == cost => last.1 = to,
                _ => pieces.push((from - range.made, to, cost)),
            }
        }
        let mut hull: Vec<(i64, i64)> = Vec::new();
        for point in points {
            while let [.., a, b] = hull[..]
                && cross(a, b, point) <= 0
            {
                hull.pop();
            }
            hull.push(point);
        }
        Self { base, hull, pieces }
    }

    /// The points of the line below all pieces.
    pub(in crate::engine) fn hull(&self) -> &[(i64, i64)] {
        &self.hull
    }

    /// What is paid once where a milligram has this price, if anything more is used; so much more must be where a
    /// price is below nothing. As exact as sums are in whole numbers.
    pub(in crate::engine) fn once(&self, slope: (i64, i64), low: i64) -> i128 {
        if slope.0 < 0 {
            return i128::from(self.hull[0].1) - ceil(slope, low);
        }
        let points = self.hull.iter();
        let least = points.map(|&(more, cost)| i128::from(cost) - ceil(slope, more));
        least.min().unwrap_or(0)
    }

    /// How much more than a price once and by the milligram a piece costs, wherever in it the sum lies.
    pub(in crate::engine) fn beyond(
        &self,
        piece: usize,
        (once, slope): (i128, (i64, i64)),
    ) -> i128 {
        let (from, to, cost) = self.pieces[piece];
        let price = ceil(slope, from).max(ceil(slope, to));
        i128::from(cost) - once - price
    }

    /// The least and the most sum at both ends of which nothing costs more than a price once and by the milligram by more
    /// than `room`.
    pub(in crate::engine) fn within(
        &self,
        range: &Range,
        price: (i128, (i64, i64)),
        room: i128,
    ) -> (i64, i64) {
        let over = |piece: &usize| self.beyond(*piece, price) > room;
        let pieces = 0..self.pieces.len();
        let last = pieces.clone().rev().find(|piece| !over(piece));
        let most = last.map_or(range.made, |piece| self.pieces[piece].1 + range.made);
        let first = pieces.clone().find(|piece| !over(piece));
        let first = first.filter(|&first| first > 0 && range.settled > range.made);
        let least = first.map_or(range.settled, |piece| self.pieces[piece].0 + range.made);
        (least, most)
    }

    /// Where to split sums of which so much is used in the mean, for so much: how much more that costs, and the least
    /// sum of the part where more is used.
    pub(in crate::engine) fn split(
        &self,
        range: &Range,
        (used, paid): (f64, f64),
    ) -> Option<(f64, i64)> {
        let piece = self.pieces.partition_point(|piece| (piece.1 as f64) < used);
        let piece = piece.min(self.pieces.len() - 1);
        let (from, to, cost) = self.pieces[piece];
        let before = piece.checked_sub(1).map_or(0, |at| self.pieces[at].1);
        let to = to.min(range.most - range.made);
        let least = from + range.made;
        if least <= range.settled.max(range.made) || least > range.most {
            return None;
        }
        let part = (used - before as f64) / (to - before).max(1) as f64;
        Some(((cost as f64 - paid) * part.clamp(0.0, 1.0), least))
    }
}

fn widened((a, b): (i64, i64)) -> (i128, i128) {
    (a.into(), b.into())
}

/// How far three points turn: to the left above 0.
fn cross(a: (i64, i64), b: (i64, i64), c: (i64, i64)) -> i128 {
    let (a, b, c) = (widened(a), widened(b), widened(c));
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// A fraction of so much, rounded down.
pub(in crate::engine) fn floored((of, by): (i64, i64), amount: i64) -> i128 {
    (i128::from(of) * i128::from(amount)).div_euclid(i128::from(by))
}

/// The same, rounded up.
fn ceil((of, by): (i64, i64), amount: i64) -> i128 {
    -floored((-of, by), amount)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::bound::open_samples::on_tiny_kitchens;
    use crate::engine::model::samples::numbers;

    /// A unit that some recipe uses, and what may be used of it.
    fn range(unit: u32, most: i64, next: &mut impl FnMut(usize) -> usize) -> Range {
        let made = next(2) as i64 * next(20) as i64;
        let settled = next(2) as i64 * next(30) as i64;
        let most = (made.max(settled) + next(40) as i64).min(most);
        Range {
            unit,
            made: made.min(most),
            settled: settled.min(most),
            most,
            step: 1 + next(6) as i64,
            lunches: next(4) as i64,
            a_lunch: next(2) as i64 * (1 + next(12) as i64),
        }
    }

    /// Sum by sum: no way of using so much costs less than its piece, than once and by the milligram at any price, and
    /// none within the room lies outside what is kept.
    #[test]
    fn no_sum_costs_less_than_the_curve_says() {
        let (mut tried, mut met, mut tight, mut cut) = (0, 0, 0, 0);
        on_tiny_kitchens(20, &mut numbers(41), |kitchen, next| {
            let (gauge, pool) = (kitchen.gauge, kitchen.pool);
            for unit in 0..kitchen.units as u32 {
                let largest = gauge.amounts[unit as usize].list.last();
                let Some(&largest) = largest else { continue };
                let range = range(unit, largest * i64::from(pool.last), next);
                if range.most <= range.made {
                    continue;
                }
                let curve = Curve::new(gauge, pool, range);
                let open = range.settled > range.made;
                let size = curve
                    .hull
                    .last()
                    .map_or(1, |point| point.1 / point.0.max(1) + 1);
                let parts = next(1 << 18) as i64 * size / 4;
                let slope = (
                    if open && next(3) == 0 { -parts } else { parts },
                    PRICE_PARTS,
                );
                let once = curve.once(slope, (range.settled - range.made).max(0));
                let room = i128::from(size) * next(50) as i128;
                let (least, most) = curve.within(&range, (once, slope), room);
                for sum in range.made.max(range.settled)..=range.most {
                    if sum > range.made && sum < range.made + range.step {
                        continue;
                    }
                    let days = match range.a_lunch {
                        0 => range.lunches,
                        each => range
                            .lunches
                            .max(sum.unsigned_abs().div_ceil(each.unsigned_abs()) as i64),
                    };
                    let cost = gauge.floor_over(unit, (sum, pool.stretch(sum)), days);
                    let label = format!("{} {sum} of {range:?}", kitchen.label);
                    assert!(curve.base <= cost, "{label}");
                    tried += 1;
                    let more = sum - range.made;
                    if more == 0 {
                        assert!((least..=most).contains(&sum), "{label}");
                        continue;
                    }
                    let mut pieces = curve.pieces.iter();
                    let piece = pieces.position(|&(from, to, _)| (from..=to).contains(&more));
                    let piece = piece.expect("a piece for every sum");
                    assert!(curve.base + curve.pieces[piece].2 <= cost, "{label}");
                    met += i32::from(curve.base + curve.pieces[piece].2 == cost);
                    // What is beyond the price, in parts of a unit of money.
                    let beyond = (i128::from(cost - curve.base) - once) * i128::from(slope.1)
                        - i128::from(slope.0) * i128::from(more);
                    assert!(beyond >= 0, "{label} at {slope:?}");
                    tight += i32::from(beyond < i128::from(slope.1));
                    let said = curve.beyond(piece, (once, slope)) * i128::from(slope.1);
                    assert!(said <= beyond, "{label} at {slope:?}");
                    if beyond <= room * i128::from(slope.1) {
                        assert!((least..=most).contains(&sum), "{label} within {room}");
                    } else {
                        cut += i32::from(!(least..=most).contains(&sum));
                    }
                }
            }
        });
        assert!(
            tried > 20_000 && met * 2 > tried && tight > 500 && cut > 1_000,
            "{tried} {met} {tight} {cut}"
        );
    }
}
