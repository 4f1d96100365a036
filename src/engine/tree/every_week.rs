//! The bounds of single nodes, each held against every week below it, one by one.

use crate::engine::model::samples::{alone, kitchen, numbers, varied, varied_by_turn};
use crate::engine::stage::Stage;
use crate::engine::tree::given::Given;
use crate::engine::tree::ready::Ready;
use crate::engine::tree::staging::{first_ceilings, make_stage};
use crate::engine::tree::worker::Worker;
use std::collections::HashSet;

/// A week below a node: lunches beside what is chosen, rising, and their floors by gauge.
struct Week {
    more: Vec<u32>,
    floors: Vec<i64>,
}

/// Every set of lunches among these candidates, beside what is chosen, that the rules which need no days allow.
fn weeks(stage: &Stage, chosen: &[u32], candidates: &[u32], missing: usize) -> Vec<Week> {
    let mut sets: Vec<Vec<u32>> = vec![Vec::new()];
    for _ in 0..missing {
        let grown = sets.iter().flat_map(|set| {
            let more = candidates.iter().filter(move |&&item| {
                let with: Vec<u32> = chosen.iter().chain(set).copied().collect();
                set.last().is_none_or(|&last| item >= last) && stage.fits(&with, item)
            });
            more.map(move |&item| [set.as_slice(), &[item]].concat())
        });
        sets = grown.collect();
    }
    let weeks = sets.into_iter().filter_map(|more| {
        let week = [chosen, &more].concat();
        let mut used = vec![0; stage.units()];
        for &(unit, amount) in week.iter().flat_map(|&item| &stage.item(item).units) {
            used[unit as usize] += amount;
        }
        let floors = (0..stage.gauges.len()).map(|at| stage.exact_base(at, &used, &week));
        stage.week_holds(&week).then(|| Week {
            more,
            floors: floors.collect(),
        })
    });
    weeks.collect()
}

/// How often something was asked, and how often it closed or dropped something.
#[derive(Default)]
struct Count {
    nodes: u32,
    children: u32,
    tight: u32,
    dropped: u32,
    closed: u32,
}

/// No bound of a node, of a child of it, or of looking ahead is above a week that lies below; and no candidate is
/// dropped that stands in a week within the incumbent, the ceilings and the rules on means.
#[test]
fn no_bound_of_a_node_is_above_a_week_below_it() {
    let mut next = numbers(17);
    let mut count = Count::default();
    for name in [
        "stored/everything",
        "stored/repeats",
        "stored/stock-on-hand",
        "stored/cap-and-forms",
        "stored/sameness",
        "stored/nutrition",
        "stored/budget-and-preferences",
        "boatyard",
    ] {
        let sound = kitchen(name);
        for _ in 0..6 {
            let larder = varied(&sound, &mut next);
            let limits = alone();
            let ready = Ready::new(&larder, &|| false);
            let given = Given::default();
            let ceilings = first_ceilings(&larder);
            let mut stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
            for _ in 0..25 {
                node(&mut stage, name, &mut next, &mut count);
            }
        }
    }
    let Count {
        nodes,
        children,
        tight,
        dropped,
        closed,
    } = count;
    assert!(
        nodes > 400 && children > 2_000 && tight > 100 && dropped > 200 && closed > 500,
        "{nodes} {children} {tight} {dropped} {closed}"
    );
}

/// A node of some items and few candidates, with an incumbent among its weeks.
fn node(stage: &mut Stage, name: &str, next: &mut impl FnMut(usize) -> usize, count: &mut Count) {
    let lunches = stage.pool.last as usize;
    let missing = lunches.min(2 + next(3));
    let mut chosen: Vec<u32> = Vec::new();
    for _ in 0..200 {
        let item = next(stage.items.len()) as u32;
        if chosen.len() + missing < lunches && stage.fits(&chosen, item) {
            chosen.push(item);
        }
    }
    if chosen.len() + missing < lunches {
        return;
    }
    let mut candidates: Vec<u32> = (0..11).map(|_| next(stage.items.len()) as u32).collect();
    candidates.retain(|&item| stage.fits(&chosen, item));
    candidates.sort_unstable();
    candidates.dedup();
    let all = weeks(stage, &chosen, &candidates, missing);
    let within = |week: &&Week| {
        let mut sums = week.floors[1..].iter().zip(&stage.limits);
        sums.all(|(floor, limit)| floor <= limit)
    };
    let all: Vec<&Week> = all.iter().filter(within).collect();
    if all.is_empty() {
        return;
    }
    count.nodes += 1;
    let bar = all[next(all.len())].floors[0];
    stage.most = bar;
    let mut worker = Worker::new(stage);
    worker.path.set_used(&chosen);
    let left: Vec<&&Week> = all.iter().filter(|week| week.floors[0] <= bar).collect();
    let Some(opened) = worker.open_by_recipe(&chosen, &candidates, missing) else {
        panic!("{name}: {chosen:?} with a week closed");
    };
    count.dropped += (candidates.len() - opened.items.len()) as u32;
    for week in &left {
        let mut more = week.more.iter();
        assert!(
            more.all(|item| opened.items.contains(item)),
            "{name}: {chosen:?} {:?}",
            week.more
        );
    }
    let order: Vec<u32> = opened.order.iter().map(|one| one.1).collect();
    let Worker {
        path, node, probe, ..
    } = &mut worker;
    let mut ahead = probe.prepare_ahead(path, node, (&chosen, missing), &opened);
    for (at, &taken) in order.iter().enumerate() {
        count.children += 1;
        // Weeks of this child: with what is taken, and later ones alone.
        let later = |item: &u32| order.iter().position(|other| other == item) >= Some(at);
        let below: Vec<&&&Week> = left
            .iter()
            .filter(|week| week.more.contains(&taken) && week.more.iter().all(later))
            .collect();
        let least = below.iter().map(|week| week.floors[0]).min();
        let bound = ahead.child_bound(at);
        let said = |bound: Option<i64>| match (bound, least) {
            (Some(bound), Some(least)) => bound <= least,
            (None, Some(_)) => false,
            (_, None) => true,
        };
        assert!(
            said(bound),
            "{name}: {chosen:?} and {taken}: {bound:?} above {least:?}"
        );
        count.tight += u32::from(least.is_some() && bound == least);
        let bound = ahead.look(path, at);
        assert!(
            said(bound),
            "{name}: {chosen:?} and {taken}: {bound:?} above {least:?}"
        );
        count.closed += u32::from(bound.is_none());
        for week in below {
            let mut rest = week.more.clone();
            rest.remove(rest.iter().position(|&item| item == taken).expect("taken"));
            let mut rest = rest.iter();
            assert!(
                rest.all(|item| ahead.left().contains(item)),
                "{name}: {:?}",
                week.more
            );
        }
    }
}

/// A search that lists weeks leaves out no set of lunches of which a week is within what was asked for.
#[test]
fn every_set_of_lunches_within_a_margin_is_listed() {
    let mut next = numbers(23);
    let (mut searched, mut within, mut sets) = (0, 0, 0);
    for name in [
        "stored/stock-on-hand",
        "stored/everything",
        "stored/plain-packs",
        "stored/repeats",
        "stored/sameness",
        "stored/cap-and-forms",
    ] {
        let sound = kitchen(name);
        for turn in 0..12 {
            let larder = varied_by_turn(&sound, turn, &mut next);
            let limits = alone();
            let ready = Ready::new(&larder, &|| false);
            let (given, ceilings) = (Given::default(), first_ceilings(&larder));
            let mut stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
            let Some(best) = stage.run(None).best else {
                continue;
            };
            let best = best.score.objective;
            let below = best + best.abs() / 6;
            let all: Vec<u32> = (0..stage.items.len() as u32).collect();
            let weeks = weeks(&stage, &[], &all, stage.pool.last as usize);
            stage.listing = Some(below);
            let listed: HashSet<Vec<u32>> = stage
                .run(None)
                .listed
                .into_iter()
                .map(|(_, set)| set)
                .collect();
            stage.listing = None;
            let mut worker = Worker::new(&stage);
            searched += 1;
            sets += weeks.len();
            for week in weeks.iter().filter(|week| week.floors[0] <= below) {
                worker.path.settle(&week.more);
                let found = worker.path.take().best;
                if found.is_some_and(|found| found.score.objective <= below) {
                    within += 1;
                    assert!(listed.contains(&week.more), "{name}: {:?}", week.more);
                }
            }
        }
    }
    assert!(
        searched > 30 && within > 200 && sets > 2_000,
        "{searched} {within} {sets}"
    );
}
