//! Asks whether figures of any size change nothing but the figures.
//!
//! The truth is in laws that hold for every kitchen: all money ten times as much, all masses twice
//! or ten times as much, all minutes sixty times as many give the same lunches and the same sums so
//! many times over, up to the largest kitchen that is let in; one step beyond it is a fault with a
//! remedy. Prices, sizes, eaters and lives drawn over the whole range that is let in (log-uniform)
//! are held against trying every week, against the program's rows as exact fractions, and against
//! the program solved in process.
//!
//! `SCANT_SEEDS=from..to` runs other wide seeds than the usual ones.

mod support;

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

use scant::engine::{self, Limits, Outcome, Solved};
use scant::kitchen::flaw_told;
use scant::larder::{Contents, Flaw, Ingredient, Larder, NANO, value_nano};
use scant::program;
use scant::program::solve::{Answer, Failure};
use scant::rules::Tally;

use support::brute::{self, Untried};
use support::random::{Dice, Size, draw};
use support::{key, read, side_by_side};

/// Stored kitchens that take seconds each are left to `optima.rs`.
const SLOW: [&str; 2] = ["everything", "repeats"];

fn stored() -> Vec<Larder> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stored");
    let mut folders: Vec<_> = std::fs::read_dir(folder)
        .expect("stored kitchens")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| !SLOW.iter().any(|slow| path.ends_with(slow)))
        .collect();
    folders.sort();
    let read = |path: &std::path::PathBuf| {
        let read = scant::kitchen::read_dir(path);
        read.larder.expect("a stored kitchen has no fault")
    };
    folders.iter().map(read).collect()
}

fn kitchens() -> Vec<Larder> {
    let small = (70_000..70_060).map(|seed| read(&draw(seed, Size::Small)));
    stored().into_iter().chain(small).collect()
}

/// Ended without a proof.
struct Unproved;

/// The best week or none, both proved.
fn best(larder: &Larder) -> Result<Option<Solved>, Unproved> {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    match engine::solve(larder, &limits) {
        Ok((Outcome::Best(solved), _)) => Ok(Some(solved)),
        Ok((Outcome::Impossible, _)) => Ok(None),
        Ok(_) => Err(Unproved),
        Err(fault) => panic!("{fault}"),
    }
}

/// What milligrams are worth, as the kitchen files would set it.
fn revalue(contents: &mut Contents) {
    for pack in &mut contents.packs {
        pack.value_nano = value_nano(pack.price_minor, pack.unit_mg * pack.units);
    }
    let value_of = |contents: &Contents, food: usize, staple: bool| {
        let packs = &contents.foods[food].packs;
        let packs = &contents.packs[packs.start as usize..packs.end as usize];
        let values = packs.iter().map(|pack| pack.value_nano);
        if staple {
            values.min()
        } else {
            packs.first().map(|pack| pack.value_nano)
        }
    };
    for food in 0..contents.foods.len() {
        if contents.foods[food].staple {
            contents.foods[food].staple_value_nano = value_of(contents, food, true).unwrap_or(0);
        }
    }
    for unit in 0..contents.stock.len() {
        let food = contents.stock[unit].food.index();
        contents.stock[unit].value_nano = value_of(contents, food, false).unwrap_or(0);
    }
}

fn all_money(contents: &mut Contents, times: i64) {
    for pack in &mut contents.packs {
        pack.price_minor *= times;
    }
    let wishes = &mut contents.wishes;
    wishes.food_price_minor *= times;
    wishes.minute_price_minor *= times;
    wishes.watch_price_minor *= times;
    wishes.trip_price_minor *= times;
    for trip in &mut contents.week.trips {
        trip.going_minor = trip.going_minor.map(|price| price * times);
    }
    let wishes = &mut contents.wishes;
    wishes.budget_minor = wishes.budget_minor.map(|most| most * times);
    for preference in &mut wishes.preferences {
        preference.price_minor *= times;
    }
    revalue(contents);
}

fn all_masses(contents: &mut Contents, times: i64) {
    for pack in &mut contents.packs {
        pack.unit_ap_mg *= times;
        pack.unit_mg *= times;
    }
    for unit in &mut contents.stock {
        unit.left_mg *= times;
    }
    for component in &mut contents.components {
        component.makes_mg *= times;
        component.portion_mg = component.portion_mg.map(|mg| mg * times);
        component.minutes_per_mg_nano /= times;
        for (_, mg) in &mut component.foods {
            *mg *= times;
        }
    }
    for recipe in &mut contents.recipes {
        let lines = recipe
            .lines
            .iter_mut()
            .flat_map(|line| &mut line.alternatives);
        let optional = recipe
            .finishers
            .iter_mut()
            .map(|line| &mut line.alternative);
        for alternative in lines.chain(optional) {
            alternative.mg *= times;
        }
    }
    for rule in &mut contents.wishes.nutrition {
        rule.at_least_milli = rule.at_least_milli.map(|v| v * times);
        rule.at_most_milli = rule.at_most_milli.map(|v| v * times);
    }
    for rule in &mut contents.wishes.credits {
        rule.at_least_micro = rule.at_least_micro.map(|v| v * times);
        rule.at_most_micro = rule.at_most_micro.map(|v| v * times);
    }
    revalue(contents);
}

fn all_minutes(contents: &mut Contents, times: i64) {
    for component in &mut contents.components {
        component.batch_minutes_nano *= times;
        component.minutes_per_mg_nano *= times;
        component.passive_minutes *= times;
        for step in &mut component.steps {
            step.passive_minutes = step.passive_minutes.map(|minutes| minutes * times);
        }
    }
    for recipe in &mut contents.recipes {
        recipe.minutes_nano *= times;
    }
    let wishes = &mut contents.wishes;
    let limits = wishes.minutes_nano.iter_mut();
    for limit in limits.chain(&mut wishes.kitchen_minutes_nano).flatten() {
        *limit *= times;
    }
    // What a minute costs stays, so all else costs as much more.
    let (active, watched) = (
        contents.wishes.minute_price_minor,
        contents.wishes.watch_price_minor,
    );
    all_money(contents, times);
    contents.wishes.minute_price_minor = active;
    contents.wishes.watch_price_minor = watched;
}

/// Whether no amount of the kitchen is rounded, so that masses can be multiplied.
fn whole(larder: &Larder, times: i64) -> bool {
    let eaters = &larder.week.eaters_milli;
    let alternatives = larder.recipes.iter().flat_map(|recipe| &recipe.lines);
    let mut alternatives = alternatives.flat_map(|line| &line.alternatives);
    let rates = larder
        .components
        .iter()
        .map(|component| component.minutes_per_mg_nano);
    rates.clone().all(|rate| rate % times == 0)
        && alternatives.all(|alternative| {
            eaters.iter().all(|milli| {
                let product = alternative.mg * milli;
                let mg = product / 1_000;
                let shares = match alternative.what {
                    Ingredient::Food(_) => true,
                    Ingredient::Component(id) => {
                        let component = &larder.components[id.index()];
                        let mut foods = component.foods.iter();
                        foods.all(|&(_, each)| {
                            i128::from(mg) * i128::from(each) % i128::from(component.makes_mg) == 0
                        })
                    }
                };
                product % 1_000 == 0 && shares
            })
        })
}

/// What a sum of values may be out by, times over: half of 1e-9 a milligram, rounded twice, of less
/// than half a tonne left over or a staple.
fn rounding(times: i64) -> i64 {
    NANO / 2 * times.max(1) / 1_000 + NANO / 1_000
}

/// What is wrong with the week of a larder changed so, where sums should be `money` times over.
fn differs(
    (larder, solved): (&Larder, Option<&Solved>),
    (changed, money): (&Larder, i64),
) -> Option<String> {
    let again = best(changed).ok()?;
    let (was, now) = match (solved, &again) {
        (None, None) => return None,
        (Some(was), Some(now)) => (was, now),
        (was, now) => return Some(format!("{was:?} became {now:?}")),
    };
    let (a, b) = (&was.tally, &now.tally);
    let exact = b.packs_minor == a.packs_minor * money && a.foods == b.foods;
    let off =
        (i128::from(b.objective_nano) - i128::from(a.objective_nano) * i128::from(money)).abs();
    if off > i128::from(rounding(money)) {
        return Some(format!("{a:?} became {b:?}"));
    }
    let lunches = |solved: &Solved| -> Vec<String> {
        let lunches = solved.plan.lunches.iter();
        lunches
            .map(|l| larder.recipes[l.recipe.index()].name.clone())
            .collect()
    };
    let same = exact && lunches(was) == lunches(now);
    // Weeks as good as each other to the rounding may take each other's place.
    let tied = b.objective_nano != a.objective_nano * money;
    (!same && !tied).then(|| format!("{:?} {a:?} became {:?} {b:?}", lunches(was), lunches(now)))
}

/// Multiplies step by step until the kitchen is no longer let in, and tells what differs.
fn climbs(
    larder: &Larder,
    steps: &[i64],
    change: impl Fn(&mut Contents, i64),
    money: impl Fn(i64) -> i64,
    (asked, refused): (&AtomicUsize, &AtomicUsize),
) -> Option<String> {
    let solved = best(larder).ok()?;
    for &times in steps {
        match larder.changed(|contents| change(contents, times)) {
            Ok(changed) => {
                asked.fetch_add(1, Relaxed);
                let what = differs((larder, solved.as_ref()), (&changed, money(times)));
                if let Some(what) = what {
                    return Some(format!("{} times {times}: {what}", larder.name));
                }
            }
            Err(flaws) => {
                refused.fetch_add(1, Relaxed);
                return untold(&flaws);
            }
        }
    }
    None
}

/// A flaw that says not what to do about it.
fn untold(flaws: &[Flaw]) -> Option<String> {
    let told = flaws.iter().map(flaw_told);
    let mut bare = told.filter(|fault| fault.what.is_empty() || fault.help.is_empty());
    bare.next().map(|fault| format!("{fault:?}"))
}

#[allow(clippy::print_stdout, reason = "counts, for who runs it")]
fn hold(wrong: &[String], (asked, refused): (AtomicUsize, AtomicUsize), least: usize) {
    let (asked, refused) = (asked.into_inner(), refused.into_inner());
    println!("{asked} larger kitchens asked, {refused} refused");
    assert!(
        wrong.is_empty(),
        "{} break the law; the first: {}",
        wrong.len(),
        wrong[0]
    );
    assert!(asked >= least, "only {asked} were asked");
}

#[test]
fn all_money_ten_times_over_changes_figures_alone() {
    let counts = (AtomicUsize::new(0), AtomicUsize::new(0));
    let steps: Vec<i64> = (1..10).map(|power| 10_i64.pow(power)).collect();
    for digits in [0, 2, 3] {
        let wrong = side_by_side(&kitchens(), |larder| {
            let own = larder.changed(|contents| contents.currency.digits = digits);
            let own = own.ok()?;
            // Digits beyond the smallest are asked at the top alone.
            let steps = if digits == 2 { &steps[..] } else { &steps[2..] };
            climbs(
                &own,
                steps,
                all_money,
                |times| times,
                (&counts.0, &counts.1),
            )
        });
        assert!(
            wrong.is_empty(),
            "{} break the law; the first: {}",
            wrong.len(),
            wrong[0]
        );
    }
    assert!(counts.1.load(Relaxed) > 60, "no limit was met");
    hold(&[], counts, 150);
}

#[test]
fn all_masses_twice_or_ten_times_change_figures_alone() {
    let counts = (AtomicUsize::new(0), AtomicUsize::new(0));
    let wrong = side_by_side(&kitchens(), |larder| {
        let steps = [2, 10].into_iter().filter(|&times| whole(larder, times));
        let steps: Vec<i64> = steps.collect();
        climbs(larder, &steps, all_masses, |_| 1, (&counts.0, &counts.1))
    });
    hold(&wrong, counts, 40);
}

#[test]
fn all_minutes_sixty_times_over_change_figures_alone() {
    let counts = (AtomicUsize::new(0), AtomicUsize::new(0));
    let wrong = side_by_side(&kitchens(), |larder| {
        climbs(
            larder,
            &[60],
            all_minutes,
            |times| times,
            (&counts.0, &counts.1),
        )
    });
    hold(&wrong, counts, 30);
}

/// A number of `low..=high`, every size as likely.
fn wide(dice: &mut Dice, low: i64, high: i64) -> i64 {
    let (from, to) = ((low as f64).ln(), (high as f64).ln());
    let part = dice.roll(0, 1_000_000) as f64 / 1e6;
    ((from + (to - from) * part).exp().round() as i64).clamp(low, high)
}

/// A small kitchen with prices, sizes, eaters and lives from the whole range.
fn widened(seed: u64) -> Result<Larder, Vec<Flaw>> {
    let larder = read(&draw(seed, Size::Small));
    let mut dice = Dice::new(seed ^ 0x5ca1e);
    let most_minor = larder.currency.most_minor();
    larder.changed(|contents| {
        // A price level, and each pack's own within a factor of a hundred.
        let level = wide(&mut dice, 1, most_minor / 100);
        for pack in &mut contents.packs {
            pack.price_minor = wide(&mut dice, level, level * 100);
        }
        // Eaters, and packs that keep up with them.
        let eaters = wide(&mut dice, 1, 1_000_000);
        contents.week.eaters_milli.fill(eaters);
        for pack in &mut contents.packs {
            let size = pack.unit_mg.saturating_mul(eaters) / 2_000;
            pack.unit_mg = wide(&mut dice, (size / 2).max(1), (size * 3).max(2));
            pack.unit_ap_mg = pack.unit_mg;
            if pack.stage.is_none() {
                let life = wide(&mut dice, 1, 3_651) as i32 - 1;
                (pack.ready_from, pack.ready_to, pack.end) = (0, life, life);
                pack.open_life = (wide(&mut dice, 1, 3_651) as i32 - 1).min(life);
            }
        }
        for unit in &mut contents.stock {
            unit.left_mg = (unit.left_mg.saturating_mul(eaters) / 2_000).max(1);
        }
        for price in [
            &mut contents.wishes.food_price_minor,
            &mut contents.wishes.trip_price_minor,
        ] {
            if *price > 0 {
                *price = wide(&mut dice, 1, level * 100);
            }
        }
        contents.wishes.budget_minor = None;
        revalue(contents);
    })
}

fn seeds() -> std::ops::Range<u64> {
    let Ok(text) = std::env::var("SCANT_SEEDS") else {
        return 0..1_000;
    };
    let (from, to) = text.split_once("..").expect("from..to");
    from.parse().expect("a number")..to.parse().expect("a number")
}

/// Steps of trying everything: of a hundred wide kitchens, about seven have more.
const BRUTE_STEPS: u64 = 100_000;
/// Of the program in process, on the clock: what it has not proved by then is not counted.
const PROGRAM_SECONDS: f64 = 2.0;

/// The program against a wide kitchen's proved week.
enum Other {
    Same,
    /// It works in floating point: no answer, or a week less good than one that its own rows let
    /// pass.
    Unanswered(&'static str),
    Wrong(String),
}

/// Aims in order, then the objective.
fn aims(larder: &Larder, tally: &Tally) -> [i64; 5] {
    let key = key(larder, tally);
    std::array::from_fn(|place| key[place])
}

/// What rows of the program, as exact fractions, have against the search's week.
fn rows_against(larder: &Larder, solved: &Solved) -> Option<String> {
    let order = &larder.wishes.order;
    let settled: Vec<i128> = order
        .iter()
        .map(|&aim| solved.tally.aim_nano(aim).into())
        .collect();
    let program = program::build(larder, &settled);
    let week = program::certificate(larder, &program, &solved.plan);
    let values: Vec<_> = week.into_iter().map(|(_, value)| value).collect();
    let broken = program::check(&program, &values);
    let objective = program::objective(&program, &values);
    let same = objective.is_whole() && objective.over == solved.tally.objective_nano.into();
    (!broken.is_empty() || !same)
        .then(|| format!("rows {broken:?} are broken, the objective is {objective:?}"))
}

/// Whether figures rounded to milligrams may break this rule.
fn rounded(code: &str) -> bool {
    let amounts = [
        "drawn-more-than-it-holds",
        "drawn-without-use",
        "opened-without-use",
        "use-not-met",
    ];
    amounts.contains(&code)
}

fn by_program(larder: &Larder, found: Option<&Solved>) -> Other {
    if let Some(what) = found.and_then(|solved| rows_against(larder, solved)) {
        return Other::Wrong(what);
    }
    match (program::solve::solve(larder, PROGRAM_SECONDS), found) {
        (Ok(Answer::Best(_, tally)), Some(found)) => {
            let (has, wanted) = (aims(larder, &tally), aims(larder, &found.tally));
            match has.cmp(&wanted) {
                Ordering::Less => Other::Wrong(format!("the program has {tally:?}, not {found:?}")),
                Ordering::Equal => Other::Same,
                Ordering::Greater => Other::Unanswered("the solver passed the best week over"),
            }
        }
        (Ok(Answer::Best(_, tally)), None) => Other::Wrong(format!("the program has {tally:?}")),
        (Ok(Answer::Impossible), None) => Other::Same,
        (Ok(Answer::Impossible), Some(_)) => Other::Unanswered("the solver missed every week"),
        (Ok(Answer::OutOfTime), _) => Other::Unanswered("the solver has no proof in time"),
        (Err(Failure::Refused(findings)), _) if findings.iter().any(|f| !rounded(f.code)) => {
            Other::Wrong(format!(
                "the judge refuses the program's week: {findings:?}"
            ))
        }
        (Err(_), _) => Other::Unanswered("the solver gave up or its figures make no week"),
    }
}

/// Wide kitchens: seeds by what came of them.
#[derive(Default)]
struct Came(Mutex<BTreeMap<&'static str, Vec<u64>>>);

impl Came {
    fn add(&self, what: &'static str, seed: u64) {
        let mut lists = self.0.lock().expect("no panic inside");
        lists.entry(what).or_default().push(seed);
    }
}

const ALL_THREE: &str = "search, every week and program agree";
const REFUSED: &str = "refused";
const ALONE: &str = "neither ended";

/// One wide kitchen three ways; returns what is wrong.
fn three_ways(seed: u64, came: &Came) -> Option<String> {
    let larder = match widened(seed) {
        Ok(larder) => larder,
        Err(flaws) => {
            came.add(REFUSED, seed);
            return untold(&flaws);
        }
    };
    let Ok(found) = best(&larder) else {
        return Some("the search proves nothing".to_owned());
    };
    let tried = brute::solve_within(&larder, BRUTE_STEPS);
    if let Ok(answer) = &tried {
        let wanted = answer.best.as_ref().map(|best| best.key);
        let is = found.as_ref().map(|solved| key(&larder, &solved.tally));
        if is != wanted {
            return Some(format!(
                "the search has {is:?}, trying everything {wanted:?}"
            ));
        }
    }
    let program = by_program(&larder, found.as_ref());
    match (&tried, &program) {
        (Ok(_), Other::Same) => came.add(ALL_THREE, seed),
        (Err(_), Other::Unanswered(_)) => came.add(ALONE, seed),
        _ => {}
    }
    match tried {
        Err(Untried::TooMany) => came.add("too many weeks and ways of opening to try", seed),
        Err(Untried::OffGrid) => came.add("no whole milligrams on the grid that is tried", seed),
        Ok(_) => {}
    }
    match program {
        Other::Wrong(what) => return Some(what),
        Other::Unanswered(why) => came.add(why, seed),
        Other::Same => {}
    }
    None
}

/// The search proves every one of these kitchens. Trying everything ends for 93 of 100: the others
/// open dozens of units on several days, divide lunches between many batches, or divide them in
/// ways that no grid has. The solver in process answers 97 of 100: it works in floating point and
/// on the clock. Seeds of each kind are printed with `--nocapture`.
#[test]
#[allow(clippy::print_stdout, reason = "counts, for who runs it")]
fn figures_of_any_size_are_proved_as_trying_everything_and_the_program_say() {
    let came = Came::default();
    let all: Vec<u64> = seeds().collect();
    let wrong = side_by_side(&all, |&seed| {
        three_ways(seed, &came).map(|what| format!("seed {seed}: {what}"))
    });
    let mut lists = came.0.into_inner().expect("no panic inside");
    for (what, list) in &mut lists {
        list.sort_unstable();
        println!("{} {what}", list.len());
        if *what != ALL_THREE {
            println!("    {list:?}");
        }
    }
    assert!(
        wrong.is_empty(),
        "{} disagree; the first: {}",
        wrong.len(),
        wrong[0]
    );
    let count = |what| lists.get(what).map_or(0, Vec::len);
    let percent = |part: usize| part * 100 / all.len();
    assert!(
        percent(count(ALL_THREE)) >= 80 && percent(count(ALONE) + count(REFUSED)) <= 3,
        "too few are answered three ways"
    );
}
