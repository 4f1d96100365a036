//! A good prep plan with one thing broken at a time.

use scant::larder::{Contents, Larder};
use scant::plan::Plan;
use scant::prep::week::Of;
use scant::prep::{Prepared, Task, judge};

use super::kitchens::{pantry, prepared, week};

/// Two lunches from a soup of Sunday, grated carrots, an avocado and tofu.
fn kitchen() -> (Larder, Plan, Prepared) {
    let mut text = pantry(
        2,
        "equipment: {burner: 1}\nrules: {minutes: {each_day: 20, Sunday: 100}}",
    );
    text.push_str(
        "components:
  - component: soup
    makes: 400 g
    from: [{food: beans, amount: 300 g}]
    keeps: 2
    minutes: 26
    passive_minutes: 10
    needs: [burner]
    steps:
      - {do: dice, food: beans, active: 2}
      - {do: Simmer., active: 1, passive: 10, needs: [burner]}
      - {do: Take it off the heat., active: 23, at_once: true}
recipes:
  - recipe: first
    form: x
    days: [1]
    minutes: 9
    needs: [burner]
    lines: [{component: soup, amount: 100 g}, {food: carrots, amount: 100 g}, {food: avocado, amount: 100 g}]
    steps:
      - {do: grate, food: carrots, active: 1, per_portion: 0.5, ahead: 1}
      - {do: halve, food: avocado, active: 1}
      - {do: Pack., active: 2, needs: [burner]}
      - {do: Wipe., active: 1, needs: []}
      - {do: Toast., active: 3, needs: [burner]}
  - recipe: second
    form: y
    days: [2]
    minutes: 9
    lines: [{component: soup, amount: 100 g}, {food: carrots, amount: 100 g}, {food: tofu, amount: 200 g}]
    steps:
      - {do: grate, food: carrots, active: 1, per_portion: 0.5, ahead: 2}
      - {do: press, food: tofu, active: 1, passive: 20, ahead: 1}
      - {do: Pack., active: 5}
",
    );
    let (larder, plan) = week(&text);
    let done = prepared(&larder, &plan);
    (larder, plan, done)
}

/// The codes found once a good plan was changed, each once.
fn codes(change: impl FnOnce(&mut Prepared, &mut Contents)) -> Vec<&'static str> {
    let (larder, plan, mut done) = kitchen();
    let larder = larder.changed(|new| change(&mut done, new)).unwrap();
    let wrong = judge(&larder, &plan, &[], &done).expect_err("it is broken");
    let mut codes: Vec<&str> = wrong.iter().map(|finding| finding.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

/// Sets lengths to when the cook may leave.
fn settle(done: &mut Prepared) {
    for stint in &mut done.stints {
        let leave = |task: &Task| {
            if task.needs.is_empty() {
                task.done()
            } else {
                task.end()
            }
        };
        stint.length = stint.tasks.iter().map(leave).max().unwrap_or(0);
        stint.bound = stint.length;
    }
    done.length = done.stints.iter().map(|stint| stint.length).sum();
    done.bound = done.length;
}

/// The place of the task that does step `step` of `of`.
fn find(done: &Prepared, of: Of, step: usize) -> (usize, usize) {
    for (stint, one) in done.stints.iter().enumerate() {
        for (task, entry) in one.tasks.iter().enumerate() {
            if entry
                .parts
                .iter()
                .any(|p| p.of == of && p.step == Some(step))
            {
                return (stint, task);
            }
        }
    }
    panic!("no such step");
}

/// Takes a task out of its stint and puts it at the end of another.
fn put(done: &mut Prepared, (stint, task): (usize, usize), sitting: usize) {
    let mut taken = done.stints[stint].tasks.remove(task);
    let to = done.stints.iter_mut().find(|s| s.sitting == sitting);
    let to = to.expect("such a stint");
    taken.start = to.tasks.iter().map(Task::end).max().unwrap_or(0);
    to.tasks.push(taken);
    settle(done);
}

#[test]
fn the_good_plan_is_what_a_cook_would_write() {
    let (_, _, done) = kitchen();
    let all: Vec<(usize, i64)> = done.stints.iter().map(|s| (s.sitting, s.length)).collect();
    // Sunday: dice 2, simmer 1 + 10, and in these ten grating for both lunches (1 + 2 x 1), then 23.
    // Monday: 1 + 2 + 1 + 3 and the rest of 9. Tuesday's tofu is pressed on Monday evening (1).
    assert_eq!(all[0], (0, 36));
    let (stint, task) = find(&done, Of::Lunch(2), 0);
    assert_eq!((stint, done.stints[0].tasks[task].active), (0, 3));
    assert_eq!(done.stints[0].tasks[task].parts.len(), 2);
    assert_eq!(find(&done, Of::Lunch(2), 1).0, 2, "{all:?}");
}

#[test]
fn a_step_left_out_or_done_twice_is_found() {
    assert_eq!(
        codes(|done, _| {
            done.stints[0].tasks.pop();
        }),
        ["step-missing"]
    );
    assert_eq!(
        codes(|done, _| {
            let again = done.stints[0].tasks[0].clone();
            done.stints[1].tasks.push(again);
        }),
        ["step-twice"]
    );
    assert_eq!(
        codes(|done, _| {
            let mut odd = done.stints[0].tasks[0].clone();
            odd.parts[0].step = Some(77);
            done.stints[0].tasks.push(odd);
        }),
        ["step-unknown"]
    );
}

#[test]
fn a_step_on_the_wrong_day_is_found() {
    // Pressing is for the day before at most; the pack is not open either.
    assert_eq!(
        codes(|done, _| {
            let at = find(done, Of::Lunch(2), 1);
            put(done, at, 0);
        }),
        ["done-too-early"]
    );
    // The last step of Monday's lunch on Tuesday.
    assert_eq!(
        codes(|done, _| {
            let at = find(done, Of::Lunch(1), 4);
            put(done, at, 3);
        }),
        ["done-too-late"]
    );
}

#[test]
fn an_avocado_cut_the_evening_before_is_found() {
    // Were it not for the rule on ripe fruit, and with the step allowed ahead, all would be well.
    let early = |life: i32| {
        let (larder, plan, mut done) = kitchen();
        let larder = larder.changed(|new| {
            new.recipes[0].steps[1].ahead_days = 1;
            for pack in &mut new.packs {
                if pack.stage.is_some() {
                    pack.open_life = life;
                    pack.end = 9;
                    pack.ready_from = 0;
                }
            }
        });
        let larder = larder.unwrap();
        let at = find(&done, Of::Lunch(1), 1);
        put(&mut done, at, 0);
        for opening in &mut done.opened.openings {
            opening.day = 0;
        }
        let wrong = judge(&larder, &plan, &[], &done).err().unwrap_or_default();
        wrong.iter().map(|f| f.code).collect::<Vec<_>>()
    };
    assert!(early(1).contains(&"cut-too-early"));
    assert!(!early(2).contains(&"cut-too-early"));
}

#[test]
fn a_pack_opened_when_it_may_not_be_is_found() {
    let opened_on = |day: u8| {
        codes(move |done, larder| {
            for opening in &mut done.opened.openings {
                if let scant::plan::Lot::Bought(pack, _) = opening.lot {
                    let food = larder.packs[pack.index()].food;
                    if larder.foods[food.index()].name == "tofu" {
                        opening.day = day;
                    }
                }
            }
        })
    };
    // What is pressed on Monday evening is opened on Monday.
    assert_eq!(opened_on(2), ["not-opened-yet"]);
    // Open for a day: opened on Sunday it is gone on Tuesday.
    assert_eq!(opened_on(0), ["opened-too-early"]);
    assert_eq!(
        codes(|done, _| done.opened.purchases.clear()),
        ["another-week"]
    );
}

#[test]
fn steps_in_the_wrong_order_are_found() {
    // Monday: toasting before wiping, one after the other.
    assert_eq!(
        codes(|done, _| {
            let (stint, wipe) = find(done, Of::Lunch(1), 3);
            let (_, toast) = find(done, Of::Lunch(1), 4);
            let tasks = &mut done.stints[stint].tasks;
            let start = tasks[wipe].start;
            tasks[toast].start = start;
            tasks[wipe].start = start + tasks[toast].active;
        }),
        ["out-of-order"]
    );
    // The soup stands a minute before it is taken off the heat.
    assert_eq!(
        codes(|done, _| {
            let (stint, task) = find(done, Of::Batch(0), 2);
            done.stints[stint].tasks[task].start += 1;
            settle(done);
        }),
        ["not-at-once"]
    );
}

#[test]
fn a_cook_at_two_things_and_a_burner_too_many_are_found() {
    assert_eq!(
        codes(|done, _| {
            // Grating waits for nothing; it starts while beans are diced.
            let (stint, task) = find(done, Of::Lunch(2), 0);
            done.stints[stint].tasks[task].start = 1;
        }),
        ["cook-twice"]
    );
    assert_eq!(
        codes(|done, larder| {
            larder.recipes[0].steps[2].needs.push("burner".to_owned());
            let (stint, packing) = find(done, Of::Lunch(1), 2);
            done.stints[stint].tasks[packing].needs = vec![(0, 2)];
        }),
        ["over-capacity"]
    );
}

#[test]
fn wrong_minutes_equipment_and_sums_are_found() {
    let wiping = |change: fn(&mut Task)| {
        codes(|done, _| {
            let (stint, task) = find(done, Of::Lunch(1), 3);
            change(&mut done.stints[stint].tasks[task]);
            settle(done);
        })
    };
    assert_eq!(wiping(|task| task.active = 0), ["minutes-wrong"]);
    assert_eq!(wiping(|task| task.needs = vec![(0, 1)]), ["needs-wrong"]);
    assert_eq!(codes(|done, _| done.length += 1), ["length-wrong"]);
    assert_eq!(
        codes(|done, _| done.bound = done.length + 1),
        ["length-wrong"]
    );
    assert_eq!(
        codes(|done, _| done.stints[0].length += 1),
        ["length-wrong"]
    );
    assert_eq!(
        codes(|done, _| done.stints.swap(0, 1)),
        ["stints-out-of-order"]
    );
}

/// Sunday has the grating of two lunches, 36 minutes in all; Monday evening the pressing.
#[test]
fn work_brought_to_a_day_that_has_no_room_for_it_is_found() {
    const MINUTE: i64 = scant::larder::NANO;
    let with = |day: usize, most: i64| {
        codes(move |_, new| {
            new.wishes.kitchen_minutes_nano[day] = Some(most * MINUTE);
        })
    };
    assert_eq!(with(0, 35), ["brought-over-limit"]);
    let (larder, plan, done) = kitchen();
    let roomy = larder.changed(|new| new.wishes.kitchen_minutes_nano[0] = Some(36 * MINUTE));
    assert_eq!(judge(&roomy.unwrap(), &plan, &[], &done), Ok(()));
    let monday: i64 = (done.stints.iter().filter(|stint| stint.day() == 1))
        .map(|stint| stint.length)
        .sum();
    assert_eq!(with(1, monday - 1), ["brought-over-limit"]);
    assert_eq!(
        codes(|_, new| new.wishes.minutes_nano[1] = Some(7 * MINUTE)),
        ["brought-over-limit"],
        "7 of its own lunch after grating, and 1 of pressing"
    );
}

#[test]
fn what_is_done_twice_or_together_against_the_rule_is_found() {
    assert_eq!(
        codes(|done, _| {
            let (stint, task) = find(done, Of::Lunch(2), 0);
            let tasks = &mut done.stints[stint].tasks;
            let mut second = tasks[task].clone();
            tasks[task].parts.truncate(1);
            tasks[task].active = 2;
            second.parts.remove(0);
            second.active = 2;
            second.start += 2;
            tasks.push(second);
        }),
        ["not-shared"]
    );
    // Beans diced and carrots grated as one.
    assert_eq!(
        codes(|done, _| {
            let (stint, dice) = find(done, Of::Batch(0), 0);
            let (_, grate) = find(done, Of::Lunch(2), 0);
            let tasks = &mut done.stints[stint].tasks;
            let more = tasks[grate].parts.clone();
            for task in tasks.iter_mut() {
                task.start += 2;
            }
            tasks[dice].parts.extend(more);
            tasks[dice].start = 0;
            tasks[dice].active = 2 + 2;
            tasks.remove(grate);
            settle(done);
        }),
        ["shared-unlike"]
    );
}
