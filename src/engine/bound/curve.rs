//! What a unit costs the more of it is used, as straight lines that lie below every way of buying it.

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
