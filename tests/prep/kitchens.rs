//! Small whole kitchens: what is placed where, against every placement there is; what is shared;
//! what may not be done ahead; what steps may look like.

use std::fmt::Write as _;

use scant::engine::{Limits, Outcome, solve};
use scant::kitchen::{Read, read_texts};
use scant::larder::Larder;
use scant::plan::Plan;
use scant::prep::bench::{Bench, Job, schedule};
use scant::prep::week::{Of, Work, works};
use scant::prep::{Note, Prepared, What, judge, notes, prepare};

use super::{Dice, NODES};

pub(crate) fn read(text: &str) -> Read {
    read_texts(vec![("k.yaml".to_owned(), text.as_bytes().to_vec())])
}

/// Reads a kitchen without fault and finds its best week.
pub(crate) fn week(text: &str) -> (Larder, Plan) {
    let read = read(text);
    let larder = read
        .larder
        .unwrap_or_else(|| panic!("{:?}\n{text}", read.faults));
    best(larder)
}

fn best(larder: Larder) -> (Larder, Plan) {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    match solve(&larder, &limits).unwrap().0 {
        Outcome::Best(solved) => (larder, solved.plan),
        other => panic!("{}: {other:?}", larder.name),
    }
}

/// Reads a kitchen of the fixtures and finds its best week.
fn stored(name: &str) -> (Larder, Plan) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let read = scant::kitchen::read_dir(&folder.join(name));
    let faults = read.faults;
    best(read.larder.unwrap_or_else(|| panic!("{name}: {faults:?}")))
}

/// Prepares a week and has it judged.
pub(crate) fn prepared(larder: &Larder, plan: &Plan) -> Prepared {
    let done = prepare(larder, plan, &[], &|| false);
    assert_eq!(judge(larder, plan, &[], &done), Ok(()), "{done:#?}");
    done
}

/// The head of a kitchen and its foods: a bag of each that keeps, and a ripe fruit.
pub(crate) fn pantry(lunches: u8, extra: &str) -> String {
    let mut text = format!(
        "currency: USD\nweek: {{lunches: {lunches}, eaters: 2, carry_day: {}}}\n{extra}\nfoods:\n",
        lunches + 3
    );
    for food in ["carrots", "cabbage", "beans", "rice"] {
        let _ = writeln!(
            text,
            "  - {{food: {food}, nutrients: {{energy: 100}}, source: invented, packs: [{{pack: bag, \
             size: 3 kg, price: 1.50, keeps: 60, open_keeps: 60}}]}}"
        );
    }
    let _ = writeln!(
        text,
        "  - {{food: avocado, nutrients: {{energy: 100}}, source: invented, packs: [{{pack: hard, \
         size: 300 g, price: 1.00, stage: hard, ready: 1..4, open_keeps: 1}}]}}\n  - {{food: tofu, \
         nutrients: {{energy: 100}}, source: invented, packs: [{{pack: block, size: 600 g, price: \
         2.00, keeps: 20, open_keeps: 1}}]}}"
    );
    text
}

/// A recipe of one lunch day.
fn recipe(day: usize, foods: &[&str], minutes: u64, steps: &[String]) -> String {
    let lines: Vec<String> = foods
        .iter()
        .map(|food| format!("{{food: {food}, amount: 120 g}}"))
        .collect();
    let mut text = format!(
        "  - recipe: lunch {day}\n    form: form {day}\n    days: [{day}]\n    minutes: {minutes}\n    \
         needs: [burner, oven]\n    lines: [{}]\n    steps:\n",
        lines.join(", ")
    );
    for step in steps {
        let _ = writeln!(text, "      - {step}");
    }
    text
}

/// A kitchen of two or three lunches, each with its own recipe, some of it movable.
fn random(seed: u64) -> String {
    let mut dice = Dice::new(seed);
    let lunches = 2 + dice.roll(2) as u8;
    let mut text = pantry(lunches, "equipment: {burner: 1}");
    text.push_str("recipes:\n");
    for day in 1..=usize::from(lunches) {
        let mut steps = Vec::new();
        for food in ["carrots", "cabbage", "beans"] {
            if dice.roll(2) == 0 {
                continue;
            }
            let mut step = format!("{{do: cut, food: {food}, active: {}", dice.roll(4));
            if dice.roll(2) == 0 {
                let _ = write!(step, ", per_portion: 0.{}", 1 + dice.roll(9));
            }
            if dice.roll(3) == 0 {
                let _ = write!(step, ", passive: {}", dice.roll(9));
            }
            if dice.roll(2) == 0 {
                let _ = write!(step, ", ahead: {}", 1 + dice.roll(2));
            }
            if dice.roll(4) == 0 {
                step.push_str(", needs: [burner]");
            }
            steps.push(step + "}");
            if dice.roll(4) == 0 {
                let bound = if dice.roll(2) == 0 {
                    ", at_once: true"
                } else {
                    ""
                };
                let ahead = if dice.roll(2) == 0 {
                    ", ahead: true"
                } else {
                    ""
                };
                steps.push(format!(
                    "{{do: rinse, food: {food}, active: 1, passive: {}{bound}{ahead}}}",
                    dice.roll(5)
                ));
            }
        }
        steps.push(format!(
            "{{do: pack, active: {}, needs: []}}",
            1 + dice.roll(3)
        ));
        text += &recipe(day, &["carrots", "cabbage", "beans"], 1, &steps);
    }
    text
}

/// The bench of some works, put together anew: what has one key in one stint is done once.
fn bench(larder: &Larder, works: &[Work], here: &[usize]) -> Bench {
    let mut heads: Vec<usize> = Vec::new();
    let mut job_of = vec![usize::MAX; works.len()];
    for &at in here {
        let same = heads.iter().position(|&head| {
            works[head].shared.is_some() && works[head].shared == works[at].shared
        });
        job_of[at] = same.unwrap_or(heads.len());
        if same.is_none() {
            heads.push(at);
        }
    }
    let jobs = (0..heads.len()).map(|job| {
        let members = || {
            here.iter()
                .filter(|&&at| job_of[at] == job)
                .map(|&at| &works[at])
        };
        let fixed = members().map(|work| work.fixed_milli).max().unwrap();
        let growing: i64 = members().map(|work| work.growing_milli).sum();
        let mut needs: Vec<(usize, i64)> = members().flat_map(|work| work.needs.clone()).collect();
        needs.sort_unstable();
        needs.dedup();
        let inside = |at: &usize| here.contains(at).then(|| job_of[*at]);
        Job {
            active: (fixed + growing + 999) / 1000,
            passive: members().map(|work| work.passive).max().unwrap(),
            needs,
            after: members()
                .flat_map(|work| &work.after)
                .filter_map(inside)
                .collect(),
            at_once: members().find_map(|work| work.at_once.as_ref().and_then(inside)),
        }
    });
    Bench {
        jobs: jobs.collect(),
        capacity: larder.equipment.iter().map(|tool| tool.count).collect(),
    }
}

/// Whether each day that has work of a later one keeps its limits, by the works alone.
fn in_room(larder: &Larder, works: &[Work], placed: &[usize], lengths: &[i64]) -> bool {
    let wishes = &larder.wishes;
    (0..=usize::from(larder.week.lunches)).all(|day| {
        let here = |at: &usize| placed[*at].div_ceil(2) == day;
        let own = |at: usize| match works[at].of {
            Of::Lunch(own) => usize::from(own),
            Of::Batch(_) => panic!("these kitchens have none"),
        };
        if !(0..works.len()).filter(here).any(|at| own(at) > day) {
            return true;
        }
        let stints = || (0..lengths.len()).filter(|sitting| sitting.div_ceil(2) == day);
        let length: i64 = stints().map(|sitting| lengths[sitting]).sum();
        let active: i64 = stints()
            .map(|sitting| {
                let here: Vec<usize> = (0..works.len())
                    .filter(|&at| placed[at] == sitting)
                    .collect();
                let jobs = bench(larder, works, &here).jobs;
                jobs.iter().map(|job| job.active).sum::<i64>()
            })
            .sum();
        let keeps = |limit: Option<i64>, minutes: i64| {
            limit.is_none_or(|most| minutes * scant::larder::NANO <= most)
        };
        keeps(wishes.kitchen_minutes_nano[day], length) && keeps(wishes.minutes_nano[day], active)
    })
}

/// The least sum of stint lengths over every placement that the limits of days allow.
fn every_placement(larder: &Larder, works: &[Work]) -> i64 {
    let mut known: std::collections::HashMap<Vec<usize>, i64> = std::collections::HashMap::new();
    let mut chosen = vec![0; works.len()];
    let mut best = i64::MAX;
    loop {
        let placed: Vec<usize> = (0..works.len())
            .map(|at| works[at].sittings[chosen[at]])
            .collect();
        let ordered = works.iter().enumerate().all(|(at, work)| {
            let once = work
                .at_once
                .is_none_or(|before| placed[before] == placed[at]);
            once && work
                .after
                .iter()
                .all(|&before| placed[before] <= placed[at])
        });
        if ordered {
            let mut lengths = Vec::new();
            for sitting in 0..=usize::from(larder.week.lunches) * 2 {
                let here: Vec<usize> = (0..works.len())
                    .filter(|&at| placed[at] == sitting)
                    .collect();
                lengths.push(*known.entry(here.clone()).or_insert_with(|| {
                    let timed = schedule(&bench(larder, works, &here), NODES).unwrap();
                    assert_eq!(timed.bound, timed.length);
                    timed.length
                }));
            }
            let total = lengths.iter().sum();
            if total < best && in_room(larder, works, &placed, &lengths) {
                best = total;
            }
        }
        let mut at = 0;
        loop {
            if at == works.len() {
                return best;
            }
            chosen[at] += 1;
            if chosen[at] < works[at].sittings.len() {
                break;
            }
            chosen[at] = 0;
            at += 1;
        }
    }
}

/// What the week counts of a day, one thing after another, against the works of its batches and
/// lunches, and the prep plan's minutes against both: a week's rule on minutes in the kitchen is
/// never far from what the cook then stands there.
#[test]
fn minutes_in_the_kitchen_are_those_of_the_works_one_after_another() {
    let (mut shorter, mut held) = (0, 0);
    for name in [
        "boatyard",
        "stored/kitchen-time",
        "stored/minutes-a-day",
        "stored/everything",
    ] {
        let (larder, plan) = stored(name);
        let works = works(&larder, &plan, &[]);
        let mut one_by_one = 0;
        for (at, batch) in plan.batches.iter().enumerate() {
            let component = &larder.components[batch.component.index()];
            let mine = works.iter().filter(|work| work.of == Of::Batch(at));
            let by_works: i64 = mine
                .filter(|work| !work.needs.is_empty())
                .map(|work| work.passive)
                .sum();
            assert_eq!(component.watched_minutes(), by_works, "{name}");
            held += i32::from(by_works > 0);
            one_by_one += by_works;
        }
        // Whole minutes step by step, and waiting for what holds nothing, are not in the sum.
        one_by_one += works.iter().map(Work::active).sum::<i64>();
        let beside = works
            .iter()
            .filter(|work| work.needs.is_empty() || matches!(work.of, Of::Lunch(_)));
        let waits: i64 = beside.map(|work| work.passive).sum();
        let done = prepared(&larder, &plan);
        assert!(
            done.length <= one_by_one + waits,
            "{name}: {} of {one_by_one} and {waits}",
            done.length
        );
        shorter += i32::from(done.length < one_by_one);
    }
    assert!(shorter > 0 && held > 3, "{shorter} shorter, {held} watched");
}

#[test]
fn no_placement_of_a_small_week_is_shorter() {
    let (mut moved, mut shared, mut many) = (0, 0, 0);
    for seed in 0..300 {
        let (larder, plan) = week(&random(seed));
        let works = works(&larder, &plan, &[]);
        let ways: usize = works.iter().map(|work| work.sittings.len()).product();
        if ways > 20_000 {
            continue;
        }
        many += 1;
        let done = prepared(&larder, &plan);
        assert_eq!(done.length, every_placement(&larder, &works), "seed {seed}");
        assert_eq!(done.bound, done.length, "seed {seed}: not proved");
        assert_eq!(
            done,
            prepare(&larder, &plan, &[], &|| false),
            "seed {seed}: not the same again"
        );
        moved += i32::from(done.stints.iter().any(|stint| stint.sitting % 2 == 0));
        shared += i32::from(
            done.stints
                .iter()
                .any(|s| s.tasks.iter().any(|t| t.parts.len() > 1)),
        );
    }
    assert!(many > 250, "{many}");
    assert!(
        moved > 20 && shared > 20,
        "{moved} moved, {shared} shared: asks nothing"
    );
}

/// The same kitchens with limits on their days: work is brought forward only where the day has room
/// for it, and of all placements that keep so the shortest is found.
#[test]
fn work_comes_to_a_day_only_where_its_limits_allow() {
    let (mut many, mut dearer) = (0, 0);
    for seed in 0..300 {
        let (free, plan) = week(&random(seed));
        let mut dice = Dice::new(seed + 1_000);
        let larder = free.changed(|new| {
            for day in 0..=usize::from(new.week.lunches) {
                // What its own work takes the week is judged for; a limit above that may be any.
                let own = day > 0;
                let least = i64::from(own);
                if dice.roll(3) > 0 {
                    let most = (least + dice.roll(12) as i64) * scant::larder::NANO;
                    let limits = if dice.roll(2) == 0 {
                        &mut new.wishes.kitchen_minutes_nano
                    } else {
                        &mut new.wishes.minutes_nano
                    };
                    limits[day] = Some(most);
                }
            }
        });
        let larder = larder.unwrap();
        let works = works(&larder, &plan, &[]);
        let ways: usize = works.iter().map(|work| work.sittings.len()).product();
        if ways > 5_000 {
            continue;
        }
        many += 1;
        let done = prepared(&larder, &plan);
        assert_eq!(done.length, every_placement(&larder, &works), "seed {seed}");
        assert_eq!(done.bound, done.length, "seed {seed}: not proved");
        dearer += i32::from(done.length > prepared(&free, &plan).length);
    }
    assert!(
        many > 200 && dearer > 20,
        "{many} asked, {dearer} longer for a limit"
    );
}

fn text_of(steps: [&[&str]; 2]) -> String {
    let mut text = pantry(2, "");
    text.push_str("recipes:\n");
    for (day, steps) in (1..).zip(steps) {
        let steps: Vec<String> = steps.iter().map(ToString::to_string).collect();
        text += &recipe(day, &["carrots", "avocado", "tofu"], 6, &steps);
    }
    text
}

fn lengths(done: &Prepared) -> Vec<(usize, i64)> {
    let all = done.stints.iter();
    all.map(|stint| (stint.sitting, stint.length)).collect()
}

/// By hand: two eaters; grating is 2 + 2 x 0.5 = 3 minutes, for both lunches 2 + 2 = 4; packing the
/// rest of 6: 3. Apart: 6 + 6. Tuesday's done on Monday morning: 4 + 3, then 3: 10 in all.
#[test]
fn what_is_cut_for_two_lunches_is_cut_once_if_it_may() {
    let grate = "{do: grate, food: carrots, active: 2, per_portion: 0.5, ahead: 1}";
    let (larder, plan) = week(&text_of([&[grate, "Pack."], &[grate, "Pack."]]));
    let done = prepared(&larder, &plan);
    assert_eq!(lengths(&done), [(1, 7), (3, 3)]);
    assert_eq!(done.stints[0].tasks[0].parts.len(), 2);
    // Not on another's day, if the second is for its day only.
    let fresh = "{do: grate, food: carrots, active: 2, per_portion: 0.5}";
    let (larder, plan) = week(&text_of([&[grate, "Pack."], &[fresh, "Pack."]]));
    assert_eq!(lengths(&prepared(&larder, &plan)), [(1, 6), (3, 6)]);
    // Nor if another thing is done to it.
    let slice = "{do: slice, food: carrots, active: 2, per_portion: 0.5, ahead: 1}";
    let (larder, plan) = week(&text_of([&[grate, "Pack."], &[slice, "Pack."]]));
    assert_eq!(lengths(&prepared(&larder, &plan)), [(1, 6), (3, 6)]);
}

/// By hand: pressing is 1 + 20, then cutting 2 and packing 3. In the morning 26; pressed the evening
/// before, 1 there and 5 in the morning. The tofu is opened then, and good for a day after.
#[test]
fn pressing_goes_to_the_evening_before_and_opens_the_pack_there() {
    let press = "{do: press, food: tofu, active: 1, passive: 20, needs: [], ahead: 1}";
    let cut = "{do: cut, food: tofu, active: 2}";
    let (larder, plan) = week(&text_of([&["Pack."], &[press, cut, "Pack."]]));
    let done = prepared(&larder, &plan);
    // Both lunches take tofu from one block, open from Monday: nothing is opened early.
    assert_eq!(lengths(&done), [(1, 6), (2, 1), (3, 5)]);
    let day = |plan: &Plan| plan.openings.iter().map(|o| o.day).collect::<Vec<_>>();
    assert_eq!(day(&done.opened), day(&plan));
}

#[test]
fn a_pack_is_not_opened_early_if_it_would_not_last() {
    // Tofu for Monday and Tuesday, open a day: on Sunday it may not be opened for Monday.
    let press = "{do: press, food: tofu, active: 1, passive: 20, needs: [], ahead: 1}";
    let cut = "{do: cut, food: tofu, active: 2}";
    let (larder, plan) = week(&text_of([&[press, cut, "Pack."], &["Pack."]]));
    assert_eq!(lengths(&prepared(&larder, &plan)), [(1, 26), (3, 6)]);
}

#[test]
fn a_ripe_fruit_is_cut_in_the_morning_whatever_the_step_says() {
    let halve = "{do: halve, food: avocado, active: 1, passive: 30, ahead: 1}";
    let (larder, plan) = week(&text_of([&[halve, "Pack."], &[halve, "Pack."]]));
    let done = prepared(&larder, &plan);
    assert_eq!(lengths(&done), [(1, 36), (3, 36)]);
    let all = notes(&larder, &done.opened, &[]);
    let days = |wanted: fn(&What) -> bool| -> Vec<i32> {
        let all: &[Note] = &all;
        all.iter()
            .filter(|note| wanted(&note.what))
            .map(|note| note.day)
            .collect()
    };
    assert_eq!(days(|what| matches!(what, What::CutToday { .. })), [1, 2]);
    // Bought hard on Sunday, ripe on Monday, one cut on Monday and eaten up on Tuesday: 300 g hold
    // 240 g and 240 g are two fruits; the second goes to the refrigerator.
    assert_eq!(days(|what| matches!(what, What::Counter { .. })), [0]);
    let cold = days(|what| matches!(what, What::Refrigerate { .. }));
    let opened: i64 = plan
        .openings
        .iter()
        .filter(|o| o.day == 1)
        .map(|o| o.units)
        .sum();
    assert!(cold.is_empty() || cold == [1], "{cold:?} {opened}");
}

#[test]
fn a_kitchen_without_steps_or_minutes_is_prepared_too() {
    let mut text = pantry(2, "");
    text.push_str(
        "recipes:\n  - {recipe: a, form: x, days: [1], lines: [{food: rice, amount: 200 g}]}\n  - \
         {recipe: b, form: y, days: [2], minutes: 0.5, lines: [{food: rice, amount: 200 g}]}\n",
    );
    let (larder, plan) = week(&text);
    assert_eq!(lengths(&prepared(&larder, &plan)), [(1, 0), (3, 1)]);
}

#[test]
fn a_batch_for_later_waits_for_the_evening_and_one_for_today_does_not() {
    let mut text = pantry(2, "rules: {minutes: {each_day: 60, Sunday: 0}}");
    text.push_str(
        "components:\n  - {component: cooked rice, makes: 500 g, keeps: 1, minutes: 5, \
         passive_minutes: 30, needs: [burner], from: [{food: rice, amount: 200 g}]}\nrecipes:\n  - \
         {recipe: a, form: x, days: [1], minutes: 4, lines: [{food: carrots, amount: 200 g}]}\n  - \
         {recipe: b, form: y, days: [2], minutes: 4, lines: [{component: cooked rice, amount: 200 \
         g}]}\n",
    );
    let (larder, mut plan) = week(&text);
    plan.batches[0].day = 1;
    for opening in &mut plan.openings {
        for draw in &mut opening.draws {
            if draw.0 == 2 {
                draw.0 = 1;
                opening.day = 1;
            }
        }
    }
    // 35 on Monday evening; or beside Monday's lunch, 35 in the morning for both: 4 less.
    assert_eq!(lengths(&prepared(&larder, &plan)), [(1, 35), (3, 4)]);
    plan.batches[0].day = 2;
    for opening in &mut plan.openings {
        for draw in &mut opening.draws {
            if opening.day == 1 && plan.batches[0].foods.iter().any(|food| food.1 == draw.1) {
                draw.0 = 2;
            }
        }
    }
    assert_eq!(lengths(&prepared(&larder, &plan))[1], (3, 39));
}

/// More steps than any cook writes: an end is found, judged, and no proof claimed that there is none of.
#[test]
fn a_thousand_steps_come_to_an_end() {
    for (count, lasts) in [(110, 3), (999, 3), (999, 10_080)] {
        let mut dice = Dice::new(count);
        let step = |food: &str, dice: &mut Dice| {
            format!(
                "{{do: v{}, food: {food}, active: {}, per_portion: 9999.999, passive: {lasts}, \
                 needs: [{}], ahead: 14}}",
                dice.roll(400),
                dice.roll(3),
                ["", "oven", "burner"][dice.roll(3) as usize]
            )
        };
        let steps: Vec<String> = (0..count)
            .map(|at| step(["carrots", "beans"][at as usize % 2], &mut dice))
            .collect();
        let mut text = pantry(2, "");
        text.push_str("recipes:\n");
        text += &recipe(1, &["carrots", "beans"], 1, &steps);
        text += &recipe(2, &["carrots", "beans"], 1, &steps);
        let (larder, plan) = week(&text);
        let done = prepared(&larder, &plan);
        assert!(done.bound <= done.length);
    }
}

/// Each with what the fault must speak of.
#[test]
fn odd_steps_and_equipment_are_refused_with_what_to_write_instead() {
    let with = |equipment: &str, step: &str| {
        let mut text = pantry(1, equipment);
        text.push_str("recipes:\n");
        read(&(text + &recipe(1, &["carrots"], 9, &[step.to_owned(), "Pack.".to_owned()])))
    };
    for (equipment, step, what, help) in [
        (
            "",
            "{do: cut, food: carots}",
            "`carots` is not in this recipe",
            "`carrots`",
        ),
        (
            "",
            "{do: cut, food: beans}",
            "`beans` is not in this recipe",
            "`carrots`",
        ),
        (
            "",
            "{do: cut, needs: [ovem]}",
            "`ovem` is not among the `needs`",
            "`oven`",
        ),
        (
            "",
            "{do: cut, needs: [blender]}",
            "`blender` is not among",
            "doing without it",
        ),
        (
            "",
            "{do: cut, needs: [oven, oven]}",
            "needs 2 of `oven`, and the kitchen has 1",
            "equipment: {oven: 2}",
        ),
        (
            "equipment: {oven: 0}",
            "Cut.",
            "there is no `oven`",
            "without",
        ),
        ("equipment: {oven: two}", "Cut.", "`two`", "number"),
        (
            "equipment: [oven]",
            "Cut.",
            "`equipment` must be a mapping",
            "burner: 2",
        ),
        (
            "equipment: {oven: 1, Oven: 2}",
            "Cut.",
            "already stands here",
            "keep one",
        ),
        (
            "",
            "{do: cut, at_once: true}",
            "on the first step",
            "leave it out",
        ),
        (
            "",
            "{do: cut, how: thin}",
            "`how` stands without `food`",
            "food: NAME",
        ),
        (
            "",
            "{do: cut, ahead: soon}",
            "ahead",
            "true for the day before",
        ),
        ("", "{do: cut, ahead: 99}", "99", ""),
        ("", "{do: cut, passiv: 3}", "no key `passiv`", "`passive`"),
        ("", "{food: carrots}", "lacks `do`", ""),
        ("", "{do: cut, active: 1.5}", "active", ""),
        ("", "{do: cut, per_portion: -1}", "per_portion", ""),
    ] {
        let read = with(equipment, step);
        let said: Vec<String> = read
            .faults
            .iter()
            .map(|f| format!("{} / {}", f.what, f.help))
            .collect();
        assert_eq!(said.len(), 1, "{equipment} {step}: {said:?}");
        assert!(
            said[0].contains(what) && said[0].contains(help),
            "{step}: {said:?}"
        );
        assert!(read.faults[0].line > 0, "{said:?}");
    }
    let warned = |equipment: &str, step: &str| {
        let read = with(equipment, step);
        assert!(read.faults.is_empty(), "{:?}", read.faults);
        let said = read
            .warnings
            .iter()
            .map(|w| format!("{} / {}", w.what, w.help));
        said.filter(|said| !said.contains("no recipe uses") && !said.contains("a portion of"))
            .collect::<Vec<_>>()
    };
    let said = warned("equipment: {ovn: 2}", "Cut.");
    assert!(
        said[0].contains("nothing needs the equipment `ovn`") && said[0].contains("`oven`"),
        "{said:?}"
    );
    let said = warned("", "{do: cut, food: carrots, active: 30}");
    assert!(
        said[0].contains("have 30 active minutes, and the plan counts 9"),
        "{said:?}"
    );
    assert!(warned("equipment: {oven: 2}", "{do: cut, needs: [oven, oven]}").is_empty());
}
