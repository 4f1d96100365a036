//! Judges a prep plan from larder and plan alone: every step once, on a day and in an order that
//! the kitchen allows, with the minutes it takes, equipment and cook never asked for twice. Knows
//! nothing of how stints were chosen or timed.

use std::collections::BTreeMap;

use super::bench::{Bench, Job};
use super::timing::{Mistiming, mistimings};
use super::week::Of;
use super::{Part, Prepared, Stint, Task};
use crate::finish::Placed;
use crate::larder::{ComponentId, Day, FoodId, Ingredient, Larder, NANO, Step};
use crate::plan::{Lot, Opening, Plan};
use crate::rules::Finding;
use crate::unicode;

/// A step as the judge sees it.
struct Wanted<'a> {
    part: Part,
    step: Option<&'a Step>,
    /// The day it is for.
    day: Day,
    /// Thousandths of active minutes: whatever the amount, and growing with it.
    milli: (i64, i64),
    passive: i64,
    needs: Vec<(usize, i64)>,
    /// What must have ended before.
    after: Vec<Part>,
    at_once: Option<Part>,
    /// First thing done to its food, bound to nothing.
    sharable: bool,
}

/// Where a part is done.
type Found<'a> = BTreeMap<Part, (&'a Stint, &'a Task)>;

/// Judges a prep plan.
///
/// # Errors
/// Everything that is wrong with it.
pub fn judge(
    larder: &Larder,
    plan: &Plan,
    placed: &[Placed],
    prepared: &Prepared,
) -> Result<(), Vec<Finding>> {
    let mut wrong: Vec<Finding> = Vec::new();
    let mut say = |code: &'static str, detail: String| wrong.push(Finding { code, detail });
    let wanted = wanted(larder, plan, placed);
    let mut found: Found = BTreeMap::new();
    for stint in &prepared.stints {
        for task in &stint.tasks {
            for &part in &task.parts {
                if found.insert(part, (stint, task)).is_some() {
                    say("step-twice", format!("{part:?}"));
                }
            }
        }
    }
    if !prepared.stints.is_sorted_by(|a, b| a.sitting < b.sitting) {
        say("stints-out-of-order", String::new());
    }
    for want in &wanted {
        if !found.contains_key(&want.part) {
            say("step-missing", format!("{:?}", want.part));
        }
    }
    if found.len() > wanted.len() {
        say(
            "step-unknown",
            format!("{} too many", found.len() - wanted.len()),
        );
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let by_part: BTreeMap<Part, &Wanted> = wanted.iter().map(|w| (w.part, w)).collect();
    for want in &wanted {
        placed_well(
            larder,
            plan,
            placed,
            prepared,
            want,
            found[&want.part].0,
            &mut wrong,
        );
        in_order(want, &found, &mut wrong);
    }
    for stint in &prepared.stints {
        one_stint(larder, stint, &by_part, &mut wrong);
    }
    days_kept(larder, prepared, &by_part, &mut wrong);
    opened_well(larder, plan, &prepared.opened, &mut wrong);
    let all: i64 = prepared.stints.iter().map(|stint| stint.length).sum();
    if all != prepared.length || prepared.bound > prepared.length {
        wrong.push(finding("length-wrong", format!("{all} in all")));
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

fn finding(code: &'static str, detail: String) -> Finding {
    Finding { code, detail }
}

fn wanted<'a>(larder: &'a Larder, plan: &Plan, placed: &[Placed]) -> Vec<Wanted<'a>> {
    let mut all = Vec::new();
    for (at, batch) in plan.batches.iter().enumerate() {
        let component = &larder.components[batch.component.index()];
        let mg: i64 = batch.serves.iter().map(|&(_, mg)| mg).sum();
        let portions = match component.portion_mg {
            Some(one) => (i128::from(mg) * 1000 / i128::from(one)) as i64,
            None => 1000,
        };
        let nano = component.batch_minutes_nano + mg * component.minutes_per_mg_nano;
        let steps: Vec<(usize, &Step)> = component.steps.iter().enumerate().collect();
        let head = (Of::Batch(at), batch.day, nano, component.passive_minutes);
        all.extend(of_entry(larder, head, portions, &component.needs, &steps));
    }
    for (day, lunch) in (1..).zip(&plan.lunches) {
        let recipe = &larder.recipes[lunch.recipe.index()];
        let mut there: Vec<Ingredient> = Vec::new();
        for (line, &taken) in recipe.lines.iter().zip(&lunch.taken) {
            there.push(line.alternatives[usize::from(taken)].what);
        }
        for finisher in placed.iter().filter(|placed| placed.day == day) {
            there.push(recipe.finishers[finisher.finisher].alternative.what);
        }
        let steps: Vec<(usize, &Step)> = recipe
            .steps
            .iter()
            .enumerate()
            .filter(|(_, step)| step.what.is_none_or(|what| there.contains(&what)))
            .collect();
        let portions = larder.week.eaters_milli[usize::from(day) - 1];
        let head = (Of::Lunch(day), day, recipe.minutes_nano, 0);
        let mut own = of_entry(larder, head, portions, &recipe.needs, &steps);
        for want in &mut own {
            let about = want.step.and_then(|step| step.what);
            for (at, batch) in plan.batches.iter().enumerate() {
                let serves = batch.serves.iter().any(|&(served, _)| served == day);
                let waits = match about {
                    None => true,
                    Some(what) => what == Ingredient::Component(batch.component),
                };
                if serves && waits {
                    let parts = all.iter().map(|want: &Wanted| want.part);
                    want.after
                        .extend(parts.filter(|part| part.of == Of::Batch(at)));
                }
            }
        }
        all.extend(own);
    }
    all
}

/// The steps of one lunch or batch, with `(whose, day, active nanominutes, passive minutes)`.
fn of_entry<'a>(
    larder: &Larder,
    (of, day, nano, passive): (Of, Day, i64, i64),
    portions_milli: i64,
    needs: &[String],
    steps: &[(usize, &'a Step)],
) -> Vec<Wanted<'a>> {
    let whole = |milli: i64| (milli + 999) / 1000;
    let minutes = whole((nano + 500_000) / 1_000_000);
    let tools = |names: &[String]| -> Vec<(usize, i64)> {
        let kinds = 0..larder.equipment.len();
        kinds
            .map(|kind| {
                let name = &larder.equipment[kind].name;
                (
                    kind,
                    names.iter().filter(|other| *other == name).count() as i64,
                )
            })
            .filter(|need| need.1 > 0)
            .collect()
    };
    if steps.is_empty() {
        return vec![Wanted {
            part: Part { of, step: None },
            step: None,
            day,
            milli: (0, minutes * 1000),
            passive,
            needs: tools(needs),
            after: Vec::new(),
            at_once: None,
            sharable: false,
        }];
    }
    let part = |at: usize| Part {
        of,
        step: Some(steps[at].0),
    };
    let mut all: Vec<Wanted> = Vec::new();
    for (at, &(place, step)) in steps.iter().enumerate() {
        let at_once = at > 0 && step.at_once && steps[at - 1].0 + 1 == place;
        let next_at_once = steps.get(at + 1).is_some_and(|next| next.1.at_once);
        let waits = |before: &usize| {
            let other = steps[*before].1;
            step.after_all || other.what.is_none() || other.what == step.what
        };
        // What a step that names nothing waited for is over before what waits for it.
        let open = steps[..at]
            .iter()
            .rposition(|(_, step)| step.what.is_none());
        let after: Vec<Part> = (open.unwrap_or(0)..at).filter(waits).map(part).collect();
        let per = i128::from(step.per_portion_milli.unwrap_or(0));
        let growing = per * i128::from(portions_milli) / 1000;
        let growing = growing.min(super::week::MOST_MILLI.into()) as i64;
        all.push(Wanted {
            part: part(at),
            step: Some(step),
            day,
            milli: (step.active_minutes.unwrap_or(0) * 1000, growing),
            passive: step.passive_minutes.unwrap_or(0),
            needs: tools(&step.needs),
            sharable: after.is_empty() && !step.at_once && !next_at_once && step.what.is_some(),
            after,
            at_once: at_once.then(|| part(at - 1)),
        });
    }
    // Minutes that no step names: shared by those that name none, else the last one's.
    let given: i64 = all.iter().map(|w| whole(w.milli.0 + w.milli.1)).sum();
    let unsaid = |w: &Wanted| {
        let step = w.step.expect("made of steps");
        step.active_minutes.is_none() && step.per_portion_milli.is_none()
    };
    let silent = all.iter().filter(|w| unsaid(w)).count() as i64;
    let left = (minutes - given).max(0);
    if silent == 0 {
        all.last_mut().expect("not empty").milli.1 += left * 1000;
    } else {
        let (each, mut odd) = (left / silent, left % silent);
        for want in all.iter_mut().filter(|w| unsaid(w)) {
            let share = each + odd.min(1);
            odd -= odd.min(1);
            want.milli.1 += share * 1000;
        }
    }
    let rest = (passive - all.iter().map(|w| w.passive).sum::<i64>()).max(0);
    let silent = |w: &&mut Wanted| w.step.is_some_and(|step| step.passive_minutes.is_none());
    if let Some(want) = all.iter_mut().rev().find(silent) {
        want.passive += rest;
    } else if let Some(want) = all.last_mut() {
        want.passive += rest;
    }
    all
}

/// Whether a step is done on a day on which it may be.
fn placed_well(
    larder: &Larder,
    plan: &Plan,
    placed: &[Placed],
    prepared: &Prepared,
    want: &Wanted,
    stint: &Stint,
    wrong: &mut Vec<Finding>,
) {
    let on = stint.day();
    let evening = stint.sitting > 0 && stint.sitting.is_multiple_of(2);
    let name = format!("{:?}", want.part);
    let too_late = match want.part.of {
        Of::Lunch(_) => on == want.day && evening,
        Of::Batch(at) => {
            let served = plan.batches[at].serves.iter().any(|s| s.0 == want.day);
            on == want.day && evening && served
        }
    };
    if on > want.day || too_late {
        wrong.push(finding("done-too-late", name));
        return;
    }
    let early = i32::from(want.day) - i32::from(on);
    if early == 0 {
        return;
    }
    if want.step.is_none_or(|step| early > step.ahead_days) {
        wrong.push(finding("done-too-early", name));
        return;
    }
    let foods: Vec<FoodId> = match (want.step.and_then(|step| step.what), want.part.of) {
        (Some(Ingredient::Food(food)), _) => vec![food],
        (Some(Ingredient::Component(_)), Of::Lunch(_)) => Vec::new(),
        (None, Of::Lunch(day)) => {
            let lunch = &plan.lunches[usize::from(day) - 1];
            let recipe = &larder.recipes[lunch.recipe.index()];
            let taken = recipe.lines.iter().zip(&lunch.taken);
            let taken = taken.map(|(line, &at)| line.alternatives[usize::from(at)].what);
            let more = placed.iter().filter(|p| p.day == day);
            let more = more.map(|p| recipe.finishers[p.finisher].alternative.what);
            taken
                .chain(more)
                .filter_map(|what| match what {
                    Ingredient::Food(food) => Some(food),
                    Ingredient::Component(_) => None,
                })
                .collect()
        }
        (_, Of::Batch(at)) => plan.batches[at].foods.iter().map(|f| f.0).collect(),
    };
    for food in foods {
        let packs = larder.packs.iter().filter(|pack| pack.food == food);
        if packs.clone().any(|p| p.stage.is_some() && p.open_life <= 1) {
            let food = &larder.foods[food.index()].name;
            wrong.push(finding("cut-too-early", food.clone()));
        }
        let of_day = |opening: &&Opening| {
            food_of(larder, opening.lot) == food && opening.draws.iter().any(|d| d.0 == want.day)
        };
        if prepared
            .opened
            .openings
            .iter()
            .filter(of_day)
            .any(|o| o.day > on)
        {
            wrong.push(finding("not-opened-yet", name.clone()));
        }
    }
}

fn food_of(larder: &Larder, lot: Lot) -> FoodId {
    match lot {
        Lot::Bought(pack, _) => larder.packs[pack.index()].food,
        Lot::Stock(stock) => larder.stock[stock.index()].food,
    }
}

/// Whether what is opened earlier than the week says may be, and changes nothing else.
fn opened_well(larder: &Larder, plan: &Plan, opened: &Plan, wrong: &mut Vec<Finding>) {
    let same = plan.lunches == opened.lunches
        && plan.batches == opened.batches
        && plan.purchases == opened.purchases
        && plan.openings.len() == opened.openings.len();
    if !same {
        wrong.push(finding("another-week", String::new()));
        return;
    }
    for (old, new) in plan.openings.iter().zip(&opened.openings) {
        if old == new {
            continue;
        }
        let (from, to, good): (i32, i32, [i32; 2]) = match old.lot {
            Lot::Bought(id, trip) => {
                let pack = &larder.packs[id.index()];
                let on = i32::from(larder.trip_day(trip));
                let good = |day: Day| (i32::from(day) + pack.open_life).min(on + pack.end);
                let window = (on + pack.ready_from, on + pack.ready_to);
                (window.0, window.1, [good(old.day), good(new.day)])
            }
            Lot::Stock(id) => {
                let stock = &larder.stock[id.index()];
                let good = |day: Day| {
                    if stock.opened {
                        stock.ready_to.min(stock.end)
                    } else {
                        (i32::from(day) + stock.open_life).min(stock.end)
                    }
                };
                (
                    stock.ready_from,
                    stock.ready_to,
                    [good(old.day), good(new.day)],
                )
            }
        };
        let carry = larder.week.carry_day;
        let day = i32::from(new.day);
        let fine = (old.lot, old.units, &old.draws) == (new.lot, new.units, &new.draws)
            && new.day < old.day
            && (from..=to).contains(&day)
            && old.draws.iter().all(|draw| i32::from(draw.0) <= good[1])
            && (good[0] >= carry) == (good[1] >= carry);
        if !fine {
            wrong.push(finding("opened-too-early", format!("{new:?}")));
        }
    }
}

fn in_order(want: &Wanted, found: &Found, wrong: &mut Vec<Finding>) {
    let (stint, task) = found[&want.part];
    for before in &want.after {
        let (other, first) = found[before];
        let fine = other.sitting < stint.sitting
            || (other.sitting == stint.sitting && first.end() <= task.start);
        if !fine {
            let detail = format!("{:?} before {:?}", want.part, before);
            wrong.push(finding("out-of-order", detail));
        }
    }
    if let Some(before) = want.at_once {
        let (other, first) = found[&before];
        if other.sitting != stint.sitting || first.end() != task.start {
            wrong.push(finding("not-at-once", format!("{:?}", want.part)));
        }
    }
}

/// Whether each day on which something is done for a later one keeps its limits of minutes: what a
/// day's own work takes the week was judged for, and nothing comes to it that it has no room for.
fn days_kept(
    larder: &Larder,
    prepared: &Prepared,
    by_part: &BTreeMap<Part, &Wanted>,
    wrong: &mut Vec<Finding>,
) {
    let wishes = &larder.wishes;
    for day in 0..=larder.week.lunches {
        let stints = || prepared.stints.iter().filter(|stint| stint.day() == day);
        let tasks = || stints().flat_map(|stint| &stint.tasks);
        let mut parts = tasks().flat_map(|task| &task.parts);
        if !parts.any(|part| by_part[part].day > day) {
            continue;
        }
        let in_kitchen: i64 = stints().map(|stint| stint.length).sum();
        let active: i64 = tasks().map(|task| task.active).sum();
        for (limits, minutes, what) in [
            (&wishes.kitchen_minutes_nano, in_kitchen, "in the kitchen"),
            (&wishes.minutes_nano, active, "active"),
        ] {
            let limit = limits.get(usize::from(day)).copied().flatten();
            if limit.is_some_and(|most| i128::from(minutes) * i128::from(NANO) > i128::from(most)) {
                let name = larder.day_name(day.into());
                wrong.push(finding(
                    "brought-over-limit",
                    format!("{name}: {minutes} minutes {what}"),
                ));
            }
        }
    }
}

/// The minutes of the tasks of one stint, what is done once, and its timetable.
fn one_stint(
    larder: &Larder,
    stint: &Stint,
    by_part: &BTreeMap<Part, &Wanted>,
    wrong: &mut Vec<Finding>,
) {
    let mut shared: BTreeMap<(String, bool, u32), usize> = BTreeMap::new();
    for (at, task) in stint.tasks.iter().enumerate() {
        let wants: Vec<&Wanted> = task.parts.iter().map(|part| by_part[part]).collect();
        let fixed = wants.iter().map(|want| want.milli.0).max().unwrap_or(0);
        let growing: i64 = wants.iter().map(|want| want.milli.1).sum();
        let passive = wants.iter().map(|want| want.passive).max().unwrap_or(0);
        if task.active != (fixed + growing + 999) / 1000 || task.passive != passive {
            wrong.push(finding("minutes-wrong", format!("{:?}", task.parts)));
        }
        let mut needs: BTreeMap<usize, i64> = BTreeMap::new();
        for &(kind, count) in wants.iter().flat_map(|want| &want.needs) {
            let most = needs.entry(kind).or_insert(0);
            *most = count.max(*most);
        }
        if task.needs != needs.into_iter().collect::<Vec<_>>() {
            wrong.push(finding("needs-wrong", format!("{:?}", task.parts)));
        }
        for want in &wants {
            let Some(step) = want.step.filter(|_| want.sharable) else {
                if wants.len() > 1 {
                    wrong.push(finding("shared-unlike", format!("{:?}", want.part)));
                }
                continue;
            };
            let (component, id) = match step.what {
                Some(Ingredient::Component(ComponentId(id))) => (true, id),
                Some(Ingredient::Food(FoodId(id))) => (false, id),
                None => continue,
            };
            let key = (unicode::small(&step.text), component, id);
            if *shared.entry(key).or_insert(at) != at {
                wrong.push(finding("not-shared", format!("{:?}", want.part)));
            }
        }
        let alike = |want: &&Wanted| {
            want.step
                .map(|step| (unicode::small(&step.text), step.what))
        };
        if wants.len() > 1
            && !wants
                .windows(2)
                .all(|pair| alike(&pair[0]) == alike(&pair[1]))
        {
            wrong.push(finding("shared-unlike", format!("{:?}", task.parts)));
        }
    }
    let jobs = stint.tasks.iter().map(|task| Job {
        active: task.active,
        passive: task.passive,
        needs: task.needs.clone(),
        ..Job::default()
    });
    let bench = Bench {
        jobs: jobs.collect(),
        capacity: larder.equipment.iter().map(|tool| tool.count).collect(),
    };
    let starts: Vec<i64> = stint.tasks.iter().map(|task| task.start).collect();
    for mistiming in mistimings(&bench, &starts, stint.length) {
        let code = match mistiming {
            Mistiming::CookTwice(..) => "cook-twice",
            Mistiming::OverCapacity(..) => "over-capacity",
            Mistiming::WrongLength(_) => "length-wrong",
            _ => "mistimed",
        };
        wrong.push(finding(code, format!("{mistiming:?}")));
    }
    if stint.bound > stint.length {
        wrong.push(finding("length-wrong", "below its bound".to_owned()));
    }
}
