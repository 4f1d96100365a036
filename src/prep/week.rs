//! Turns a finished week into what is done in it: every step of every lunch and batch, how long
//! it takes, what it waits for, and the stints it may be done in.

use crate::finish::Placed;
use crate::larder::{ComponentId, Day, FoodId, Ingredient, Larder, MILLI, NANO, Step};
use crate::plan::{Lot, Opening, Plan};
use crate::unicode;

/// Whose step it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Of {
    /// The lunch of a day.
    Lunch(Day),
    /// A batch: its position in the plan.
    Batch(usize),
}

/// A stint: 0 is the prep day; day d has its morning at 2d - 1 and its evening at 2d.
pub type Sitting = usize;

/// Returns the day of a stint.
pub fn day_of(sitting: Sitting) -> Day {
    sitting.div_ceil(2) as Day
}

/// Returns the morning of a lunch day.
pub fn morning(day: Day) -> Sitting {
    usize::from(day) * 2 - 1
}

/// One step of the week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Work {
    /// Whose.
    pub of: Of,
    /// Its position among the kitchen's steps; `None` where the kitchen wrote none.
    pub step: Option<usize>,
    /// Active minutes however much there is, thousandths.
    pub fixed_milli: i64,
    /// Active minutes that grow with the amount, thousandths.
    pub growing_milli: i64,
    /// Passive minutes behind them.
    pub passive: i64,
    /// Equipment (a position in [`Contents::equipment`](crate::larder::Contents::equipment)) and how many.
    pub needs: Vec<(usize, i64)>,
    /// Works that must have ended before it starts.
    pub after: Vec<usize>,
    /// The work at whose end it begins.
    pub at_once: Option<usize>,
    /// Stints it may be done in, rising.
    pub sittings: Vec<Sitting>,
    /// Works with the same key in one stint are done once.
    pub shared: Option<(String, Ingredient)>,
    /// Done with those of the same number, in one stint.
    pub unit: usize,
}

impl Work {
    /// Active minutes if it is done by itself.
    pub fn active(&self) -> i64 {
        whole(self.fixed_milli + self.growing_milli)
    }
}

/// Most minutes of a step that are told apart, thousandths.
pub const MOST_MILLI: i64 = 1_000_000_000_000;

/// Thousandths of a minute as whole minutes: a cook plans with no less.
pub fn whole(milli: i64) -> i64 {
    (milli + MILLI - 1).div_euclid(MILLI)
}

/// Returns the steps of a lunch or batch that are done, with their positions.
pub(super) fn steps<'a>(
    larder: &'a Larder,
    plan: &Plan,
    placed: &[Placed],
    of: Of,
) -> Vec<(usize, &'a Step)> {
    let all = match of {
        Of::Lunch(day) => {
            let lunch = &plan.lunches[usize::from(day) - 1];
            &larder.recipes[lunch.recipe.index()].steps
        }
        Of::Batch(at) => &larder.components[plan.batches[at].component.index()].steps,
    };
    let there = match of {
        Of::Lunch(day) => taken(larder, plan, placed, day),
        Of::Batch(_) => Vec::new(),
    };
    let done = |step: &Step| match (of, step.what) {
        (Of::Batch(_), _) | (_, None) => true,
        (Of::Lunch(_), Some(what)) => there.contains(&what),
    };
    all.iter()
        .enumerate()
        .filter(|(_, step)| done(step))
        .collect()
}

/// What a lunch is made of, finishers placed on it included.
pub(super) fn taken(larder: &Larder, plan: &Plan, placed: &[Placed], day: Day) -> Vec<Ingredient> {
    let lunch = &plan.lunches[usize::from(day) - 1];
    let recipe = &larder.recipes[lunch.recipe.index()];
    let lines = recipe.lines.iter().zip(&lunch.taken);
    let mut all: Vec<Ingredient> = lines
        .map(|(line, &taken)| line.alternatives[usize::from(taken)].what)
        .collect();
    let finished = placed.iter().filter(|placed| placed.day == day);
    all.extend(finished.map(|placed| recipe.finishers[placed.finisher].alternative.what));
    all
}

/// Returns all works of the week: lunches by day, then batches in the plan's order.
pub fn works(larder: &Larder, plan: &Plan, placed: &[Placed]) -> Vec<Work> {
    let lunches = (1..=larder.week.lunches).map(Of::Lunch);
    let batches = (0..plan.batches.len()).map(Of::Batch);
    let mut all: Vec<Work> = Vec::new();
    let mut ends: Vec<(Of, Vec<usize>)> = Vec::new();
    // Batches first, so that lunches can wait for them.
    for of in batches.chain(lunches) {
        let from = all.len();
        one(larder, plan, placed, of, &mut all);
        let waited: Vec<usize> = all[from..]
            .iter()
            .flat_map(|work| work.after.iter().copied().chain(work.at_once))
            .collect();
        let last = (from..all.len())
            .filter(|at| !waited.contains(at))
            .collect();
        ends.push((of, last));
        if let Of::Lunch(day) = of {
            for work in &mut all[from..] {
                wait_for_batches(larder, plan, day, &ends, work);
            }
        }
    }
    number(&mut all, plan);
    all
}

/// Lets a lunch's step wait for the batches that it, or all of the lunch, takes from.
fn wait_for_batches(
    larder: &Larder,
    plan: &Plan,
    day: Day,
    ends: &[(Of, Vec<usize>)],
    work: &mut Work,
) {
    let only: Option<ComponentId> = match what(larder, plan, work) {
        Some(Ingredient::Food(_)) => return,
        Some(Ingredient::Component(id)) => Some(id),
        None => None,
    };
    for (of, last) in ends {
        let Of::Batch(at) = *of else { continue };
        let batch = &plan.batches[at];
        let serves = batch.serves.iter().any(|&(served, _)| served == day);
        if serves && only.is_none_or(|id| id == batch.component) {
            work.after.extend(last);
        }
    }
    work.after.sort_unstable();
    work.after.dedup();
}

/// The kitchen's step of a work.
pub fn step<'a>(larder: &'a Larder, plan: &Plan, work: &Work) -> Option<&'a Step> {
    let steps = match work.of {
        Of::Lunch(day) => {
            let lunch = &plan.lunches[usize::from(day) - 1];
            &larder.recipes[lunch.recipe.index()].steps
        }
        Of::Batch(at) => &larder.components[plan.batches[at].component.index()].steps,
    };
    work.step.map(|at| &steps[at])
}

fn what(larder: &Larder, plan: &Plan, work: &Work) -> Option<Ingredient> {
    step(larder, plan, work).and_then(|step| step.what)
}

/// Active nanominutes, passive minutes, equipment and thousandths of portions of a lunch or batch.
fn totals(larder: &Larder, plan: &Plan, of: Of) -> (i64, i64, Vec<String>, i64) {
    match of {
        Of::Lunch(day) => {
            let lunch = &plan.lunches[usize::from(day) - 1];
            let recipe = &larder.recipes[lunch.recipe.index()];
            let portions = larder.week.eaters_milli[usize::from(day) - 1];
            (recipe.minutes_nano, 0, recipe.needs.clone(), portions)
        }
        Of::Batch(at) => {
            let batch = &plan.batches[at];
            let component = &larder.components[batch.component.index()];
            let mg: i64 = batch.serves.iter().map(|&(_, mg)| mg).sum();
            let active = component.batch_minutes_nano + mg * component.minutes_per_mg_nano;
            let portion = component.portion_mg.unwrap_or(mg).max(1);
            let portions = i128::from(mg) * i128::from(MILLI) / i128::from(portion);
            let needs = component.needs.clone();
            (active, component.passive_minutes, needs, portions as i64)
        }
    }
}

/// Adds the works of one lunch or batch.
fn one(larder: &Larder, plan: &Plan, placed: &[Placed], of: Of, all: &mut Vec<Work>) {
    let (nano, passive, needs, portions_milli) = totals(larder, plan, of);
    // Rates are rounded at loading: what is off by less than a thousandth is no minute more.
    let milli = NANO / MILLI;
    let minutes = whole((nano + milli / 2) / milli);
    let steps = steps(larder, plan, placed, of);
    let from = all.len();
    if steps.is_empty() {
        all.push(Work {
            of,
            step: None,
            fixed_milli: 0,
            growing_milli: minutes * MILLI,
            passive,
            needs: counted(larder, &needs),
            after: Vec::new(),
            at_once: None,
            sittings: home(plan, of),
            shared: None,
            unit: 0,
        });
        return;
    }
    for &(place, step) in &steps {
        let per = step.per_portion_milli.unwrap_or(0);
        all.push(Work {
            of,
            step: Some(place),
            fixed_milli: step.active_minutes.unwrap_or(0) * MILLI,
            growing_milli: growing(per, portions_milli),
            passive: step.passive_minutes.unwrap_or(0),
            needs: counted(larder, &step.needs),
            after: Vec::new(),
            at_once: None,
            sittings: sittings(larder, plan, placed, of, step),
            shared: None,
            unit: 0,
        });
    }
    let own = &mut all[from..];
    share_out(minutes, passive, &steps, own);
    order(&steps, own, from);
    for (at, (_, step)) in steps.iter().enumerate() {
        // What is done first to a food can be done for another lunch with it.
        let bound = steps.get(at + 1).is_some_and(|next| next.1.at_once) || step.at_once;
        if own[at].after.is_empty()
            && !bound
            && let Some(what) = step.what
        {
            own[at].shared = Some((unicode::small(&step.text), what));
        }
    }
}

/// Gives minutes nobody wrote to the steps without any: active ones evenly, the earlier steps the
/// odd minute; passive ones to the last. Where every step has its own, the last gets the rest.
fn share_out(minutes: i64, passive: i64, steps: &[(usize, &Step)], own: &mut [Work]) {
    let said = |step: &Step| step.active_minutes.is_some() || step.per_portion_milli.is_some();
    let given: i64 = own.iter().map(Work::active).sum();
    let rest = (minutes - given).max(0);
    let mut silent: Vec<usize> = (0..steps.len()).filter(|&at| !said(steps[at].1)).collect();
    if silent.is_empty() {
        silent.push(steps.len() - 1);
    }
    let (each, odd) = (rest / silent.len() as i64, rest % silent.len() as i64);
    for (place, &at) in (0..).zip(&silent) {
        own[at].growing_milli += (each + i64::from(place < odd)) * MILLI;
    }
    let given: i64 = own.iter().map(|work| work.passive).sum();
    let silent = steps.iter().rposition(|s| s.1.passive_minutes.is_none());
    own[silent.unwrap_or(steps.len() - 1)].passive += (passive - given).max(0);
}

/// Steps on different foods wait for nothing but the last step before them that names none;
/// steps on one food follow each other; a step that names none waits for all before it.
fn order(steps: &[(usize, &Step)], own: &mut [Work], from: usize) {
    let mut barrier: Option<usize> = None;
    for at in 0..steps.len() {
        let step = steps[at].1;
        let mut after: Vec<usize> = if step.after_all {
            // What stands before the barrier is over before it.
            (barrier.unwrap_or(0)..at).collect()
        } else {
            let same = (0..at).rev().find(|&b| steps[b].1.what == step.what);
            same.into_iter().chain(barrier).collect()
        };
        let directly = at.checked_sub(1).filter(|&b| steps[b].0 + 1 == steps[at].0);
        own[at].at_once = directly.filter(|_| step.at_once).map(|b| from + b);
        after.retain(|&b| Some(from + b) != own[at].at_once);
        after.sort_unstable();
        after.dedup();
        own[at].after = after.into_iter().map(|b| from + b).collect();
        if step.what.is_none() {
            barrier = Some(at);
        }
    }
}

/// Thousandths of minutes for so many thousandths of portions. Past two thousand years it is all
/// the same.
fn growing(per_milli: i64, portions_milli: i64) -> i64 {
    let milli = i128::from(per_milli) * i128::from(portions_milli) / i128::from(MILLI);
    milli.min(MOST_MILLI.into()) as i64
}

fn counted(larder: &Larder, needs: &[String]) -> Vec<(usize, i64)> {
    let mut out: Vec<(usize, i64)> = Vec::new();
    for name in needs {
        let Some(kind) = larder.equipment.iter().position(|tool| tool.name == *name) else {
            continue;
        };
        match out.iter_mut().find(|need| need.0 == kind) {
            Some(need) => need.1 += 1,
            None => out.push((kind, 1)),
        }
    }
    out.sort_unstable();
    out
}

/// Stints of what is not done ahead: the morning of a lunch; for a batch its day, the morning
/// alone if that day's lunch takes of it.
fn home(plan: &Plan, of: Of) -> Vec<Sitting> {
    match of {
        Of::Lunch(day) => vec![morning(day)],
        Of::Batch(at) => {
            let batch = &plan.batches[at];
            let same_day = batch.serves.iter().any(|&(day, _)| day == batch.day);
            match batch.day {
                0 => vec![0],
                day if same_day => vec![morning(day)],
                day => vec![morning(day), morning(day) + 1],
            }
        }
    }
}

fn sittings(larder: &Larder, plan: &Plan, placed: &[Placed], of: Of, step: &Step) -> Vec<Sitting> {
    let home = home(plan, of);
    let day = day_of(home[0]);
    let foods = handled(larder, plan, placed, of, step);
    let mut all: Vec<Sitting> = Vec::new();
    for sitting in 0..home[0] {
        let early = day_of(sitting);
        let ahead = i32::from(day) - i32::from(early);
        // A step may be done in its own day's morning whatever it says.
        let allowed = ahead > 0
            && ahead <= step.ahead_days
            && foods.iter().all(|&food| {
                !morning_only(larder, food) && may_open(larder, plan, food, day, early)
            });
        if allowed {
            all.push(sitting);
        }
    }
    all.extend(home);
    all
}

/// Foods a step may touch: the one it names, else all that the lunch or batch takes itself.
fn handled(larder: &Larder, plan: &Plan, placed: &[Placed], of: Of, step: &Step) -> Vec<FoodId> {
    match (step.what, of) {
        (Some(Ingredient::Food(food)), _) => vec![food],
        (Some(Ingredient::Component(_)), Of::Lunch(_)) => Vec::new(),
        (None, Of::Lunch(day)) => taken(larder, plan, placed, day)
            .into_iter()
            .filter_map(|what| match what {
                Ingredient::Food(food) => Some(food),
                Ingredient::Component(_) => None,
            })
            .collect(),
        (None | Some(Ingredient::Component(_)), Of::Batch(at)) => {
            let foods = plan.batches[at].foods.iter();
            foods.map(|&(food, _)| food).collect()
        }
    }
}

/// Foods that a work takes out of their packs. What lies in no pack is left out.
pub(super) fn touched(larder: &Larder, plan: &Plan, placed: &[Placed], work: &Work) -> Vec<FoodId> {
    step(larder, plan, work).map_or(Vec::new(), |step| {
        handled(larder, plan, placed, work.of, step)
    })
}

/// A ripening fruit of which a cut piece keeps a day at most is cut in the morning.
pub fn morning_only(larder: &Larder, food: FoodId) -> bool {
    larder
        .packs_of(food)
        .any(|(_, pack)| pack.stage.is_some() && pack.open_life <= 1)
}

/// Days on which a lot may be opened, k, and its last day of all.
pub(super) fn window(larder: &Larder, lot: Lot) -> (i32, i32, i32, i32) {
    match lot {
        Lot::Bought(id, trip) => {
            let pack = &larder.packs[id.index()];
            let on = i32::from(larder.trip_day(trip));
            let (from, to) = (on + pack.ready_from, on + pack.ready_to);
            (from, to, pack.open_life, on + pack.end)
        }
        Lot::Stock(id) => {
            let stock = &larder.stock[id.index()];
            // What is open already is good to its day, whenever it is first drawn from.
            let life = if stock.opened {
                stock.ready_to.min(stock.end).max(0)
            } else {
                stock.open_life
            };
            let end = if stock.opened {
                stock.ready_to.min(stock.end)
            } else {
                stock.end
            };
            (stock.ready_from, stock.ready_to, life, end)
        }
    }
}

/// The food of a lot.
pub(super) fn food_of(larder: &Larder, lot: Lot) -> FoodId {
    match lot {
        Lot::Bought(id, _) => larder.packs[id.index()].food,
        Lot::Stock(id) => larder.stock[id.index()].food,
    }
}

/// The last day units opened on `day` are good.
pub(super) fn good(larder: &Larder, lot: Lot, day: Day) -> i32 {
    let (_, _, life, end) = window(larder, lot);
    i32::from(day).saturating_add(life).min(end)
}

/// Whether what is used of `food` on `day` can be at hand on the day `early`: bought, ripe, and
/// if that opens it earlier, still good for all it is used for, with the same fate.
fn may_open(larder: &Larder, plan: &Plan, food: FoodId, day: Day, early: Day) -> bool {
    let of_day = |opening: &&Opening| {
        food_of(larder, opening.lot) == food && opening.draws.iter().any(|draw| draw.0 == day)
    };
    plan.openings.iter().filter(of_day).all(|opening| {
        if opening.day <= early {
            return true;
        }
        let (from, to, ..) = window(larder, opening.lot);
        let last = opening.draws.iter().map(|draw| i32::from(draw.0)).max();
        let carry = larder.week.carry_day;
        let (then, now) = (
            good(larder, opening.lot, opening.day),
            good(larder, opening.lot, early),
        );
        (from..=to).contains(&i32::from(early))
            && last.is_none_or(|last| last <= now)
            && (then >= carry) == (now >= carry)
    })
}

/// Numbers the units: works bound at once go together; so does what a batch that may wait for the
/// evening does not do ahead.
fn number(all: &mut [Work], plan: &Plan) {
    let mut units = 0;
    let mut batch_unit: Vec<Option<usize>> = vec![None; plan.batches.len()];
    for at in 0..all.len() {
        let own_day = day_of(*all[at].sittings.last().unwrap_or(&0));
        let stays = all[at].sittings.iter().all(|&s| day_of(s) == own_day);
        let unit = match (all[at].at_once, all[at].of) {
            (Some(before), _) => all[before].unit,
            (None, Of::Batch(batch)) if stays => *batch_unit[batch].get_or_insert_with(|| {
                units += 1;
                units - 1
            }),
            _ => {
                units += 1;
                units - 1
            }
        };
        all[at].unit = unit;
    }
    // What goes together may only be where all of it may be.
    for unit in 0..units {
        let members: Vec<usize> = (0..all.len()).filter(|&at| all[at].unit == unit).collect();
        let Some((&first, rest)) = members.split_first() else {
            continue;
        };
        let mut common = all[first].sittings.clone();
        for &other in rest {
            common.retain(|sitting| all[other].sittings.contains(sitting));
        }
        for &member in &members {
            all[member].sittings.clone_from(&common);
        }
    }
}
