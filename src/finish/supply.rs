//! What a week leaves of one food, and the finishers it can feed.

use crate::larder::{Day, FoodId, Larder, StockId};
use crate::plan::{Lot, Opening, Plan};

/// A finisher that wants food.
#[derive(Clone, Debug)]
pub(super) struct Need {
    pub(super) day: Day,
    pub(super) finisher: usize,
    pub(super) food: FoodId,
    pub(super) mg: i64,
    pub(super) appeal: i64,
}

/// Something already open: what is left of it between two days.
#[derive(Clone, Debug)]
struct Open {
    lot: Lot,
    /// The day of its opening in the plan; none for open stock the week does not touch.
    opened: Option<Day>,
    from: i32,
    until: i32,
    left: i64,
}

/// Units bought and not opened.
#[derive(Clone, Debug)]
struct Sealed {
    lot: Lot,
    count: i64,
    from: i32,
    to: i32,
    life: i32,
    end: i32,
    unit: i64,
}

/// All that is left of a food.
#[derive(Clone, Debug, Default)]
pub(super) struct Supply {
    open: Vec<Open>,
    sealed: Vec<Sealed>,
}

/// A draw for a finisher.
#[derive(Clone, Debug)]
struct Draw {
    lot: Lot,
    /// The day the units are opened; none for open stock the week does not touch.
    opened: Option<Day>,
    /// Units opened by this draw.
    units: i64,
    day: Day,
    mg: i64,
}

/// Finishers that can be fed together.
#[derive(Clone, Debug, Default)]
pub(super) struct Choice {
    /// Positions among the needs, rising.
    pub(super) chosen: Vec<usize>,
    pub(super) appeal: i64,
    mg: i64,
    draws: Vec<Draw>,
    /// Every choice was looked at.
    pub(super) complete: bool,
}

/// Ways of opening looked at for one food, at most.
const MOST_WAYS: u32 = 200_000;

impl Supply {
    /// What the week leaves of a food.
    pub(super) fn of(larder: &Larder, plan: &Plan, food: FoodId) -> Self {
        let mut supply = Self::default();
        for opening in &plan.openings {
            let drawn: i64 = opening.draws.iter().map(|&(_, mg)| mg).sum();
            let day = i32::from(opening.day);
            let (of, from, until, unit) = match opening.lot {
                Lot::Bought(pack, trip) => {
                    let pack = &larder.packs[pack.index()];
                    let bought = i32::from(larder.trip_day(trip));
                    let until = (bought + pack.end).min(day + pack.open_life);
                    (pack.food, day, until, pack.unit_mg)
                }
                Lot::Stock(id) => {
                    let unit = &larder.stock[id.index()];
                    if unit.opened {
                        let until = unit.end.min(unit.ready_to);
                        (unit.food, unit.ready_from, until, unit.left_mg)
                    } else {
                        let until = unit.end.min(day + unit.open_life);
                        (unit.food, day, until, unit.left_mg)
                    }
                }
            };
            if of == food {
                supply.open.push(Open {
                    lot: opening.lot,
                    opened: Some(opening.day),
                    from,
                    until,
                    left: unit * opening.units - drawn,
                });
            }
        }
        let opened = |lot: Lot| -> i64 {
            let units = plan.openings.iter().filter(|opening| opening.lot == lot);
            units.map(|opening| opening.units).sum()
        };
        for purchase in &plan.purchases {
            let pack = &larder.packs[purchase.pack.index()];
            let lot = Lot::Bought(purchase.pack, purchase.trip);
            let bought = i32::from(larder.trip_day(purchase.trip));
            let count = purchase.count * pack.units - opened(lot);
            if pack.food == food && count > 0 {
                supply.sealed.push(Sealed {
                    lot,
                    count,
                    from: bought + pack.ready_from,
                    to: bought + pack.ready_to,
                    life: pack.open_life,
                    end: bought + pack.end,
                    unit: pack.unit_mg,
                });
            }
        }
        for (index, unit) in larder.stock.iter().enumerate() {
            let lot = Lot::Stock(StockId::new(index));
            // A sealed unit on hand stays as it is: it is no remainder of this week.
            if unit.food == food && unit.opened && opened(lot) == 0 {
                supply.open.push(Open {
                    lot,
                    opened: None,
                    from: unit.ready_from,
                    until: unit.end.min(unit.ready_to),
                    left: unit.left_mg,
                });
            }
        }
        supply
    }

    /// The choice with most appeal; of those the one that takes least, then the first.
    pub(super) fn best(&self, needs: &[Need]) -> Choice {
        let mut best = Choice {
            complete: true,
            ..Choice::default()
        };
        let mut ways = MOST_WAYS;
        // One bit a need; a week has few lunches and a recipe names a food once.
        let count = needs.len().min(20);
        if count < needs.len() {
            best.complete = false;
        }
        for bits in 1u32..1 << count {
            let chosen: Vec<usize> = (0..count).filter(|at| bits & (1 << at) != 0).collect();
            let appeal: i64 = chosen.iter().map(|&at| needs[at].appeal).sum();
            let mg: i64 = chosen.iter().map(|&at| needs[at].mg).sum();
            let better = (appeal, -mg) > (best.appeal, -best.mg)
                || ((appeal, mg) == (best.appeal, best.mg) && chosen < best.chosen);
            if !better {
                continue;
            }
            let mut days: Vec<(Day, i64)> = Vec::new();
            for &at in &chosen {
                // Needs come by day.
                match days.last_mut() {
                    Some((day, sum)) if *day == needs[at].day => *sum += needs[at].mg,
                    _ => days.push((needs[at].day, needs[at].mg)),
                }
            }
            let mut draws = Vec::new();
            if feed(&self.open, &self.sealed, &days, &mut ways, &mut draws) {
                best = Choice {
                    chosen,
                    appeal,
                    mg,
                    draws,
                    complete: best.complete,
                };
            }
        }
        best.complete &= ways > 0;
        best
    }
}

impl Choice {
    /// Writes the draws of a choice into the plan.
    pub(super) fn draw(self, plan: &mut Plan) {
        for draw in &self.draws {
            let same = |opening: &&mut Opening| {
                opening.lot == draw.lot
                    && (draw.opened == Some(opening.day)
                        || draw.opened.is_none() && matches!(opening.lot, Lot::Stock(_)))
            };
            let day = draw.opened.unwrap_or(draw.day);
            let Some(opening) = plan.openings.iter_mut().find(same) else {
                plan.openings.push(Opening {
                    lot: draw.lot,
                    day,
                    units: draw.units.max(1),
                    draws: vec![(draw.day, draw.mg)],
                });
                continue;
            };
            opening.units += draw.units;
            match opening.draws.iter_mut().find(|(day, _)| *day == draw.day) {
                Some((_, mg)) => *mg += draw.mg,
                None => opening.draws.push((draw.day, draw.mg)),
            }
            opening.draws.sort_unstable();
        }
        // What was open already stands with the day of its first draw.
        for opening in &mut plan.openings {
            if let Some(&(first, _)) = opening.draws.first() {
                opening.day = opening.day.min(first);
            }
        }
        plan.openings.sort();
    }
}

/// Feeds days in order; true if all can be fed.
///
/// On each day every number of units that may be opened is tried, fewest first; a unit is
/// opened only on a day on which some of it is eaten. With what is open settled, drawing
/// from what goes off first is best: it leaves the most for every later day.
fn feed(
    open: &[Open],
    sealed: &[Sealed],
    days: &[(Day, i64)],
    ways: &mut u32,
    draws: &mut Vec<Draw>,
) -> bool {
    let Some((&(day, mg), later)) = days.split_first() else {
        return true;
    };
    let on = i32::from(day);
    let most: Vec<i64> = sealed
        .iter()
        .map(|lot| {
            if lot.from <= on && on <= lot.to {
                let enough = mg.div_euclid(lot.unit.max(1)) + 1;
                lot.count.min(enough).min(mg)
            } else {
                0
            }
        })
        .collect();
    let mut units = vec![0i64; sealed.len()];
    loop {
        if *ways == 0 {
            return false;
        }
        *ways -= 1;
        let kept = draws.len();
        if let Some((open, sealed)) = open_and_draw(open, sealed, &units, (day, mg), draws)
            && feed(&open, &sealed, later, ways, draws)
        {
            return true;
        }
        draws.truncate(kept);
        // The next numbers of units, the first lot turning fastest.
        let Some(at) = (0..units.len()).find(|&at| units[at] < most[at]) else {
            return false;
        };
        units[at] += 1;
        units[..at].fill(0);
    }
}

/// Opens units and draws a day's food; none if there is not enough.
fn open_and_draw(
    open: &[Open],
    sealed: &[Sealed],
    units: &[i64],
    (day, mg): (Day, i64),
    draws: &mut Vec<Draw>,
) -> Option<(Vec<Open>, Vec<Sealed>)> {
    let on = i32::from(day);
    let (mut open, mut sealed) = (open.to_vec(), sealed.to_vec());
    let mut left = mg;
    let mut fresh: Vec<usize> = Vec::new();
    for (lot, &count) in sealed.iter_mut().zip(units) {
        if count == 0 {
            continue;
        }
        lot.count -= count;
        // A milligram of each at once.
        left -= count;
        draws.push(Draw {
            lot: lot.lot,
            opened: Some(day),
            units: count,
            day,
            mg: count,
        });
        fresh.push(open.len());
        open.push(Open {
            lot: lot.lot,
            opened: Some(day),
            from: on,
            until: lot.end.min(on + lot.life),
            left: lot.unit * count - count,
        });
    }
    if left < 0 {
        return None;
    }
    let mut order: Vec<usize> = (0..open.len())
        .filter(|&at| open[at].from <= on && on <= open[at].until)
        .collect();
    order.sort_by_key(|&at| (open[at].until, fresh.contains(&at), open[at].lot));
    for at in order {
        let taken = left.min(open[at].left);
        if taken > 0 {
            left -= taken;
            open[at].left -= taken;
            draws.push(Draw {
                lot: open[at].lot,
                opened: open[at].opened,
                units: 0,
                day,
                mg: taken,
            });
        }
    }
    (left == 0).then_some((open, sealed))
}
