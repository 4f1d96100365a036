//! Every sentence on trade-offs, in one place. Nothing says more than was proved: "no week"
//! is proved, "at least" is a bound, "not settled" is neither.

use std::fmt::Write as _;

use super::sentences::clash;
use super::words::{and, cash, cash_nano, count, days, mass, minutes, thousandths};
use crate::explain::{
    Asked, Clash, Conflict, How, Misses, Room, Short, Sums, Telling, WayOut, When, is_trifle,
};
use crate::larder::{CapBy, Credited, Currency, MILLI, NANO};
use crate::tradeoffs::{
    Brief, Case, End, FarWeek, Frontier, FruitFacts, Knee, Others, PriceRange, Proof, Ripened,
    Switch, Tradeoffs,
};

/// Instead of what was not asked.
pub(super) const NOT_ASKED: &str = "not asked (figures too large)";

/// What stands under the kitchen's name.
pub(super) fn opening(told: &Tradeoffs) -> String {
    let currency = &told.currency;
    match (told.proof, &told.week) {
        (Proof::Best, Some(week)) => format!(
            "The chosen week is proved best: {}. All figures below are against it; each \
             comes from a week that was solved anew and judged.",
            sums(&week.sums, currency)
        ),
        (Proof::Impossible, _) => {
            "Impossible, proved: no week of this kitchen keeps all the rules.".to_owned()
        }
        _ => "Not settled: the search ended before the best week was proved, so there is \
              nothing to hold other weeks against. Give it more time."
            .to_owned(),
    }
}

/// The chosen week's figures, on its screen.
pub(super) fn chosen(sums: &Sums, currency: &Currency) -> String {
    format!(
        "Proved best: pay {}, {}, thrown out {}, total {}.",
        cash(sums.packs_minor, currency),
        count(sums.foods, "food"),
        cash_nano(sums.spoiled_nano, currency),
        cash_nano(sums.objective_nano, currency)
    )
}

/// What the figures of the screen are.
pub(super) const SIGNS: &str = "Below: how much more (less) than that. Out: thrown out. Total: what is paid, wishes priced in. A letter is another week, told at the end.";

/// Where everything is.
pub(super) const WHOLE: &str = "Whole: --full, or --only SECTION, as reuse.";

/// Where the frontier is not known to be whole.
pub(super) const NOT_ALL: &str = "Not known whether these are all: the search ended before.";

/// Recipes that no week can have, counted.
pub(super) fn fit_no_week(recipes: usize) -> String {
    format!(
        "{} in no week that keeps the rules: proved.",
        count(recipes as i64, "recipe")
    )
}

/// Rules that cost nothing, counted.
pub(super) fn cost_nothing(rules: usize) -> String {
    let costs = if rules == 1 { "costs" } else { "cost" };
    format!("{} {costs} nothing: proved.", count(rules as i64, "rule"))
}

/// What comes into a week.
pub(super) fn come(switch: &Switch) -> String {
    told(switch, "").trim_start_matches("for : ").to_owned()
}

fn sums(sums: &Sums, currency: &Currency) -> String {
    format!(
        "bill {}, {}, spoiled {}, total {}",
        cash(sums.packs_minor, currency),
        count(sums.foods, "food to buy"),
        cash_nano(sums.spoiled_nano, currency),
        cash_nano(sums.objective_nano, currency)
    )
}

/// An amount of money with its sign: `+$1.20`.
pub(crate) fn signed(nano: i64, currency: &Currency) -> String {
    let text = cash_nano(nano, currency);
    if text.starts_with('-') || text == cash(0, currency) {
        text
    } else {
        format!("+{text}")
    }
}

/// How much the objective differs, as far as it is proved.
pub(super) fn difference(case: &Case, currency: &Currency) -> String {
    match (case.proof, case.least_nano) {
        (Proof::Best, Some(nano)) => signed(nano, currency),
        (Proof::Impossible, _) => "no week".to_owned(),
        (Proof::NotAsked, _) => NOT_ASKED.to_owned(),
        (_, Some(nano)) => format!("at least {}", signed(nano, currency)),
        _ => "not settled".to_owned(),
    }
}

/// Which lunches change: the days whose lunch leaves, as the week stands at the head of the
/// report, and the recipes that come.
pub(super) fn switched(switch: &Switch) -> String {
    let leave = switch.leave.iter().map(|(when, _)| when);
    told(switch, &days(leave))
}

/// The same where the week is not at hand: by name.
fn switched_by_name(switch: &Switch) -> String {
    let names: Vec<&str> = switch.leave.iter().map(|(_, name)| name.as_str()).collect();
    told(switch, &names.join("; "))
}

fn told(switch: &Switch, leave: &str) -> String {
    let mut parts = Vec::new();
    if !switch.come.is_empty() {
        let mut come: Vec<String> = Vec::new();
        for (_, name) in &switch.come {
            let times = switch
                .come
                .iter()
                .filter(|(_, other)| other == name)
                .count();
            let text = match times {
                1 => name.clone(),
                _ => format!("{times} x {name}"),
            };
            if !come.contains(&text) {
                come.push(text);
            }
        }
        parts.push(format!("for {leave}: {}", come.join("; ")));
    }
    for line in &switch.lines {
        parts.push(format!("in {}: {} for {}", line.recipe, line.is, line.was));
    }
    if parts.is_empty() && !(switch.added.is_empty() && switch.dropped.is_empty()) {
        let mut text = "the same lunches".to_owned();
        if !switch.added.is_empty() {
            text = format!("{text}, buying {}", and(&switch.added));
        }
        if !switch.dropped.is_empty() {
            text = format!("{text}, not buying {}", and(&switch.dropped));
        }
        parts.push(text);
    }
    match (parts.is_empty(), switch.moved.is_empty()) {
        (true, true) => "the same lunches".to_owned(),
        (true, false) => "the same lunches on other days".to_owned(),
        _ => parts.join("; "),
    }
}

/// What the columns of prices mean.
pub(super) const COLUMNS: &str = "Total, bill, foods and spoiled: how much more than in the \
     chosen week (below 0: less). Lunches: on which days the lunch gives way, and what comes \
     into the week.";

/// Over the prices of rules.
pub(super) const RULES: &str = "Each row is the best week with that one rule changed and all \
     others kept. One step looser is one more of what is counted, a tenth of what is measured, 0.1 of an \
     overlap, a day of a keeping or ripening time.";

/// Under them, where keeping times are among them.
pub(super) const KEEPING: &str = "Keeping times are a matter of safety: a row on one tells what it \
     costs, not that it may be exceeded. Local food codes and the date on the pack come first.";

/// Rules that cost nothing.
pub(super) fn free(rules: &[String]) -> Option<String> {
    (!rules.is_empty()).then(|| {
        format!(
            "Free, proved; dropped (keeping and ripening times: a day longer) each by itself \
             the week would be no better: {}.",
            rules.join("; ")
        )
    })
}

/// Recipes that no week can have.
pub(super) fn never(recipes: &[&str]) -> Option<String> {
    (!recipes.is_empty())
        .then(|| format!("No week that keeps the rules has {}: proved.", or(recipes)))
}

fn or(names: &[&str]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// What a food's absence brings in.
pub(super) fn instead(case: &Case) -> String {
    match &case.switch {
        Some(switch) if case.proof == Proof::Best => {
            let mut text = switched(switch);
            if !switch.added.is_empty() && !switch.come.is_empty() {
                text = format!("{text} (buying {})", and(&switch.added));
            }
            text
        }
        _ => String::new(),
    }
}

/// What the frontier is, and where the chosen week stands.
pub(super) fn frontier(frontier: &Frontier) -> Vec<String> {
    let points = count(frontier.points.len() as i64, "combination");
    let mut sentences = vec![if frontier.complete {
        format!(
            "{points} of bill, foods to buy and spoiled value that none beats in all three: \
             proved, these are all."
        )
    } else {
        format!(
            "{points} found that none beats in all three; the search ended before it was known \
             whether these are all."
        )
    }];
    let beaten = frontier.points.iter().any(|point| point.beats_chosen);
    if frontier.has_chosen {
        sentences.push("The chosen week is one of them.".to_owned());
    } else if beaten {
        sentences.push(
            "The chosen week is not one of them: weeks are chosen by more than these three \
             figures."
                .to_owned(),
        );
    }
    sentences
}

/// What one more food saves.
pub(super) fn knees(knees: &[Knee], currency: &Currency) -> Option<String> {
    let first = knees.first()?;
    let mut text = format!(
        "With {} the least bill is {}.",
        count(first.foods, "food to buy"),
        cash(first.bill_minor, currency)
    );
    let saved: Vec<String> = knees
        .iter()
        .filter_map(|knee| {
            let saves = knee.saves_minor?;
            Some(if saves == 0 {
                format!("the {} saves nothing", ordinal(knee.foods))
            } else {
                format!(
                    "the {} saves {}",
                    ordinal(knee.foods),
                    cash(saves, currency)
                )
            })
        })
        .collect();
    if !saved.is_empty() {
        text = format!("{text} Of one more food each time, {}.", and(&saved));
    }
    Some(text)
}

fn ordinal(n: i64) -> String {
    let end = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

/// How the list of next best weeks ended.
pub(super) fn others(others: &Others) -> String {
    let found = others.next.len();
    let what = "A week is another one if its recipes differ, whatever the days";
    if found >= others.wanted {
        format!("{what}. In order, proved: no other week lies between.")
    } else if others.no_more {
        format!("{what}. There are no others: proved.")
    } else {
        format!("{what}. Not settled: the search ended before the next one was proved.")
    }
}

/// Over the weeks unlike the best.
pub(super) fn far(others: &Others, currency: &Currency) -> String {
    let margin = cash_nano(others.margin_nano, currency);
    if others.far.is_empty() {
        return format!(
            "No week was found whose total is at most {margin} above the best and that differs."
        );
    }
    format!(
        "Unlike the chosen week and one another, at most {margin} above the best; each shares as \
         few lunches with any one before it as a week within that margin can: proved."
    )
}

/// How many lunches a far week shares.
pub(super) fn shared(week: &FarWeek) -> String {
    match week.shared {
        0 => "none".to_owned(),
        n => format!("at most {n}"),
    }
}

/// What happens beyond the ends of a range of prices.
pub(super) fn beyond(range: &PriceRange, currency: &Currency) -> Vec<String> {
    let at = |end: &End, step: i64, word: &str| {
        let price = cash(end.price_minor, currency);
        let case = end.beyond.as_ref().filter(|_| end.settled)?;
        let over = if end.over_budget {
            "over the budget; "
        } else {
            ""
        };
        let turn = case.switch.as_ref().map_or("no week".to_owned(), switched);
        Some(format!(
            "{} ({}) {word} {price}, at {}: {over}{turn}.",
            range.food,
            range.pack,
            cash(end.price_minor + step, currency),
        ))
    };
    [at(&range.low, -1, "below"), at(&range.high, 1, "above")]
        .into_iter()
        .flatten()
        .collect()
}

/// An end of a range in a column.
pub(super) fn end(end: &End, currency: &Currency) -> String {
    let price = cash(end.price_minor, currency);
    match (&end.beyond, end.settled) {
        (Some(_), true) => price,
        (None, true) => format!("{price} or beyond"),
        (_, false) => format!("{price}, not settled further"),
    }
}

/// Over the price ranges.
pub(super) const RANGES: &str = "One price changes, all others stay. At an end the week was \
     solved anew: there it is still best, one minor unit further out it is not; with \"or \
     beyond\" it still is as far as was asked.";

/// Instead of them.
pub(super) const NO_RANGES: &str = "Not worked out under a strict order of aims, where the best week may come and go as a price \
     rises.";

/// Over the reuse matrix.
pub(super) const REUSE: &str = "Of each food to buy, the share of all there is of it (bought, and \
     taken from what is on hand) that each lunch takes; left: what no lunch takes. Each: price \
     over lunches served.";

/// Over the ripening fruit.
pub(super) const RIPENING: &str = "How fast a fruit ripens depends on the fruit and the room: \
     judge it by hand, and take the days as the kitchen's own claim.";

/// One ripening fruit.
pub(super) fn fruit(fruit: &FruitFacts, currency: &Currency) -> Vec<String> {
    let mut sentences = Vec::new();
    if !fruit.in_week {
        sentences.push(match fruit.case.proof {
            Proof::Best => format!(
                "{}: not in the chosen week. Having it: total {}.",
                fruit.food,
                difference(&fruit.case, currency)
            ),
            Proof::Impossible => format!(
                "{}: not in the chosen week, and no week that keeps the rules has it: proved.",
                fruit.food
            ),
            Proof::Open => format!("{}: not in the chosen week; not settled.", fruit.food),
            Proof::NotAsked => format!("{}: not in the chosen week; {NOT_ASKED}.", fruit.food),
        });
    }
    for bought in &fruit.bought {
        sentences.push(ripened(&fruit.food, bought));
    }
    if fruit.bought.is_empty() {
        return sentences;
    }
    for (when, holds, case, bought) in [
        (
            "early",
            fruit.holds_early,
            &fruit.early,
            &fruit.bought_early,
        ),
        ("late", fruit.holds_late, &fruit.late, &fruit.bought_late),
    ] {
        let Some(case) = case else { continue };
        let what = format!("{}, if ripe a day {when}", fruit.food);
        sentences.push(match (holds, case.proof) {
            (true, _) => format!("{what}: the plan still does."),
            (_, Proof::NotAsked) => format!("{what}: {NOT_ASKED}."),
            (_, Proof::Impossible) => {
                format!("{what}: the plan fails, and no week with it keeps the rules: proved.")
            }
            (_, Proof::Open) => {
                format!("{what}: the plan fails; what is best then is not settled.")
            }
            (_, Proof::Best) => {
                let packs: Vec<String> = bought.iter().map(packs).collect();
                format!(
                    "{what}: the plan fails; then buy {} (total {}) and eat {}.",
                    and(&packs),
                    difference(case, currency),
                    case.switch
                        .as_ref()
                        .map(switched_by_name)
                        .unwrap_or_default()
                )
            }
        });
    }
    sentences
}

fn packs(bought: &Ripened) -> String {
    let stage = bought
        .stage
        .as_deref()
        .filter(|stage| !bought.pack.contains(stage));
    let stage = stage.map_or_else(String::new, |stage| format!(" ({stage})"));
    format!("{} x {}{stage}", bought.count, bought.pack)
}

fn ripened(food: &str, bought: &Ripened) -> String {
    let cut: Vec<&str> = bought.cut.iter().map(|when| when.name.as_str()).collect();
    format!(
        "{food}: buy {} on {}; may be cut from {} to {}, is cut on {}: {} to spare.",
        packs(bought),
        bought.bought_on.name,
        bought.first.name,
        super::words::the(&bought.last),
        and(&cut),
        count(i64::from(bought.slack_days), "day")
    )
}

/// Thousandths as percent with a tenth: `12.3 %`.
pub(super) fn percent(milli: i64) -> String {
    format!("{} %", thousandths(milli * MILLI / 10))
}

/// Where the changes told at the end of a week were not asked for.
pub(super) const NOT_TOLD: &str = "Not asked here, because each such question is a long search: `scant tradeoffs` works it \
     out, with the same folder and options.";

/// A change told at the end of a week.
pub(super) fn telling(told: &Telling, currency: &Currency) -> String {
    let case = &told.case;
    let change = match &told.what {
        Asked::Looser(rule) => format!("With {}", clash(rule, currency)),
        Asked::Dropped(rule) => format!("Without the rule \"{}\"", clash(rule, currency)),
        Asked::Without { food, lunches } => format!(
            "Without {food} ({} served)",
            count(*lunches as i64, "lunch")
        ),
        Asked::Others => "With at least one other lunch".to_owned(),
    };
    match (case.proof, &case.more, &case.switch) {
        (Proof::Impossible, ..) => format!("{change} there is no week, proved."),
        (Proof::NotAsked, ..) => format!("{change}: {NOT_ASKED}."),
        (Proof::Best, Some(more), Some(switch)) if same(more) && *switch == Switch::default() => {
            format!("{change} nothing is gained: the week stays as it is, proved.")
        }
        (Proof::Best, Some(more), Some(switch)) => format!(
            "{change} the total would be {} (bill {}, spoiled {}): {}.",
            better(more.objective_nano, currency),
            signed(more.packs_minor * NANO, currency),
            signed(more.spoiled_nano, currency),
            switched(switch)
        ),
        _ => match case.least_nano {
            Some(nano) if nano > 0 => format!(
                "{change} the total would be at least {} higher; by how much was not settled.",
                cash_nano(nano, currency)
            ),
            _ => format!("{change}: not settled within this run."),
        },
    }
}

fn better(nano: i64, currency: &Currency) -> String {
    match nano {
        0 => "just as low".to_owned(),
        _ if nano < 0 => format!("{} lower", cash_nano(-nano, currency)),
        _ => format!("{} higher", cash_nano(nano, currency)),
    }
}

fn same(more: &Sums) -> bool {
    more.objective_nano == 0 && more.packs_minor == 0 && more.spoiled_nano == 0
}

/// How the run ended.
pub(super) fn effort(told: &Tradeoffs) -> String {
    let every = if told.settled { "every" } else { "not every" };
    let mut found = Vec::new();
    if told.solved > 0 {
        let weeks = count(told.solved as i64, "week");
        found.push(format!("{weeks} solved and judged"));
    }
    if told.none > 0 {
        found.push(format!(
            "{} proved to have none",
            count(told.none as i64, "question")
        ));
    }
    found.push(format!("{every} question above is settled"));
    super::phrases::capital(&format!("{}.", found.join("; ")))
}

/// A pack, and where it has its price.
pub(super) fn pack_at(range: &PriceRange) -> String {
    match &range.shop {
        Some(shop) => format!("{}, {shop}", range.pack),
        None => range.pack.clone(),
    }
}

/// Where there are no shops to choose from.
pub(super) const ONE_SHOP: &str = "The kitchen does not name several shops (`week: shops`).";

/// What stands in the table of packs that several shops have.
pub(super) const ELSEWHERE: &str = "Packs that another shop has too. Not there: what the best week \
     that does not buy the pack where this one does costs more in all.";

/// Over near misses.
pub(super) const AMOUNTS: &str = "How amounts and packs fit, all else as it is: whether a dish is \
     as good with less or more is for the cook, and rules on nutrition are not asked again.";

/// More of each use than this part is another dish, and no near miss on a first screen: one in so
/// many. Common practice, no source.
const NEARLY: i64 = 10;

/// A mass not below what it is.
fn at_least(mg: i64) -> String {
    let step = match mg {
        ..100 => 1,
        100..9_900 => 100,
        9_900..999_000 => 1_000,
        _ => 10_000,
    };
    mass((mg + step - 1) / step * step)
}

/// A little less of a food for a smaller purchase. Rounded up, so that as much less is enough.
pub(super) fn short(one: &Short, currency: &Currency) -> String {
    let part = i128::from(one.of - one.kept) * 1_000;
    let tenths = (part + i128::from(one.of) - 1) / i128::from(one.of);
    let saves = match (&one.pack, one.fewer) {
        (Some(pack), Some(fewer)) => format!("{fewer} x {pack}, "),
        _ => String::new(),
    };
    let mut told = format!(
        "{} less {} in all ({}.{} % of each use) saves {saves}{}.",
        at_least(one.less_mg),
        one.food,
        tenths / 10,
        tenths % 10,
        cash(one.saves_minor, currency)
    );
    if let Some(better) = one.better {
        // Thousandths of a percent; rounded up, so that as much is enough.
        let tenths = (better.least + 99) / 100;
        let _ = write!(
            told,
            " A yield of {}.{} % instead of {} % saves {}.",
            tenths / 10,
            tenths % 10,
            thousandths(better.now),
            cash(better.saves_minor, currency)
        );
    }
    told
}

/// A lunch that could take what is thrown out.
pub(super) fn room(one: &Room, currency: &Currency) -> String {
    format!(
        "{} more {} on {} and none is thrown out, worth {}.",
        mass(one.more_mg),
        one.food,
        one.when.name,
        cash_nano(one.saves_nano, currency)
    )
}

/// The near misses of a first screen, without trifles: of those that are near the one that saves
/// most, and the remainder worth most that one lunch would take.
pub(super) fn nearly(misses: &Misses, currency: &Currency) -> Vec<String> {
    let worth = |mg: i64, nano: i64| !is_trifle(currency, mg, nano);
    let near = |one: &&Short| {
        let part = i128::from(one.of - one.kept) * i128::from(NEARLY);
        part <= i128::from(one.of) && worth(one.used_mg, one.saves_minor * NANO)
    };
    let least_first = misses.short.iter().filter(near).rev();
    let one = least_first.max_by_key(|one| one.saves_minor);
    let room_left = misses.room.iter().rev();
    let two = room_left
        .filter(|one| worth(one.more_mg, one.saves_nano))
        .max_by_key(|one| one.saves_nano);
    let told = one.map(|one| short(one, currency));
    told.into_iter()
        .chain(two.map(|two| room(two, currency)))
        .collect()
}

/// Over the ways out of a conflict.
pub(super) fn ways(conflict: &Conflict) -> &'static str {
    match (conflict.ways.is_empty(), conflict.ways_settled) {
        (false, true) => "Ways out, each by itself, the cheapest week first:",
        (false, false) => {
            "Ways out, each by itself, the cheapest week first; whether these are all was not \
             settled:"
        }
        (true, true) if conflict.rules.is_empty() => {
            "One more trip in the middle of the week is no way out."
        }
        (true, true) if conflict.rules.len() == 1 => {
            "Given up by itself it is no way out: other rules clash as well."
        }
        (true, true) => "None of them given up by itself is a way out: other rules clash as well.",
        (true, false) => "Whether one of them given up is a way out was not settled.",
    }
}

/// Over the pairs of changes; none where a single change is a way out.
pub(super) fn pairs(conflict: &Conflict) -> Option<&'static str> {
    match (conflict.pairs.is_empty(), conflict.pairs_settled) {
        _ if !conflict.ways.is_empty() => None,
        (false, true) => Some("Ways out of two changes together, the cheapest week first:"),
        (false, false) => Some(
            "Ways out of two changes together, the cheapest week first; whether these are all was \
             not settled:",
        ),
        (true, true) => Some(
            "No two rules given up together, nor one and one more trip, are a way out: proved.",
        ),
        (true, false) => Some("Whether two changes together are a way out was not settled."),
    }
}

/// Pairs left out of the list.
pub(super) fn more_pairs(left: usize) -> Option<String> {
    (left > 0).then(|| {
        format!(
            "{} more, dearer: see --format json.",
            count(left as i64, "pair")
        )
    })
}

/// What goes with a ban given up.
pub(super) const BAN: &str = "A ban that is there for somebody's allergy is no rule to give up.";

/// Whether a way out gives a ban up.
pub(super) fn unbans(way: &WayOut) -> bool {
    let hows = std::iter::once(&way.how).chain(&way.and);
    hows.clone()
        .any(|how| matches!(how, How::Without(Clash::Without(_))))
}

/// A way out and the week it allows.
pub(super) fn way(way: &WayOut, rule: impl Fn(&Clash) -> String, currency: &Currency) -> String {
    let told = |how: &How| match how {
        How::Looser(Clash::Rest(weeks)) => {
            format!("let recipes rest for {} only", count(*weeks as i64, "week"))
        }
        How::Looser(clash) if way.asked.is_some() => {
            let asked = way.asked.as_ref();
            let told = asked.map(|asked| nearest(asked, clash, currency));
            let open = if way.nearest {
                ""
            } else {
                ", or nearer: not settled"
            };
            format!("{}{open}", told.unwrap_or_default())
        }
        How::Looser(clash) => format!("ask for {} instead", rule(clash)),
        How::Without(Clash::Rest(_)) => {
            "let no recipe rest (no --rest; --again puts a price on serving it again)".to_owned()
        }
        How::Without(Clash::Without(name)) => format!("allow {name}"),
        How::Without(Clash::With(name, _)) => format!("do not insist on {name}"),
        How::Without(clash) => format!("drop the rule \"{}\"", rule(clash)),
        How::Trip(when) => format!("shop on {} too", when.name),
    };
    let how = match &way.and {
        None => told(&way.how),
        Some(and) => format!("{}, and {}", told(&way.how), told(and)),
    };
    let unproved = match (way.best, way.least_nano) {
        (true, _) => String::new(),
        (false, Some(least)) => format!(
            " Not settled whether that is the best week then; its total is at least {}.",
            cash_nano(least, currency)
        ),
        (false, None) => " Not settled whether that is the best week then.".to_owned(),
    };
    let lunches = way.lunches.iter().map(|(when, recipe)| (when, recipe));
    format!(
        "{how}: {}. {}.{unproved}",
        sums(&way.sums, currency),
        by_day(lunches)
    )
}

/// A rule with the nearest number that works in the place of the one it has, told by what it
/// takes: the least budget, the fewest foods, so much more of a nutrient.
fn nearest(asked: &Clash, works: &Clash, currency: &Currency) -> String {
    let instead = || clash(works, currency);
    // What a side of a rule gives way by, and the words for it.
    let by =
        |least: (Option<i64>, Option<i64>), most: (Option<i64>, Option<i64>)| match (least, most) {
            ((Some(asked), Some(works)), _) => Some((asked - works, "less")),
            (_, (Some(asked), Some(works))) => Some((works - asked, "more")),
            _ => None,
        };
    match (asked, works) {
        (Clash::Budget(asked), Clash::Budget(least)) => format!(
            "least budget {}, {} more",
            cash(*least, currency),
            cash(least - asked, currency)
        ),
        (Clash::Cap(_, CapBy::Foods), Clash::Cap(fewest, _)) => {
            format!("fewest foods to buy {fewest}")
        }
        (Clash::Cap(..), Clash::Cap(fewest, _)) => {
            format!("fewest families of foods to buy {fewest}")
        }
        (
            Clash::Minutes {
                limit_nano,
                days: on,
            },
            Clash::Minutes {
                limit_nano: now, ..
            },
        ) => format!(
            "{} more active minutes on {}, at most {}",
            minutes(now - limit_nano),
            days(on),
            minutes(*now)
        ),
        (
            Clash::KitchenMinutes {
                limit_nano,
                days: on,
            },
            Clash::KitchenMinutes {
                limit_nano: now, ..
            },
        ) => format!(
            "{} more minutes in the kitchen on {}, at most {}",
            minutes(now - limit_nano),
            days(on),
            minutes(*now)
        ),
        (Clash::Nutrition(was), Clash::Nutrition(is)) => {
            let Some((by, word)) = by(
                (was.at_least_milli, is.at_least_milli),
                (was.at_most_milli, is.at_most_milli),
            ) else {
                return instead();
            };
            let unit = was.nutrient.unit();
            format!("{} {unit} {word}: {}", thousandths(by), instead())
        }
        (Clash::Credit(was), Clash::Credit(is)) => {
            let Some((by, word)) = by(
                (was.at_least_micro, is.at_least_micro),
                (was.at_most_micro, is.at_most_micro),
            ) else {
                return instead();
            };
            let unit = was.what.unit();
            format!("{} {unit} {word}: {}", thousandths(by / MILLI), instead())
        }
        _ => instead(),
    }
}

/// Where a rule is written: its key in the kitchen's files, and the option that does the same.
pub(super) fn written(rule: &Clash) -> &'static str {
    match rule {
        Clash::PerForm(_) => "rules: per_form",
        Clash::FormsApart => "rules: form_adjacent",
        Clash::PerProtein(_) => "rules: per_protein",
        Clash::Sameness(_) => "rules: sameness",
        Clash::SamenessAdjacent(_) => "rules: sameness_adjacent",
        Clash::Repeats(_) => "rules: repeats",
        Clash::Minutes { .. } => "rules: minutes",
        Clash::KitchenMinutes { .. } => "rules: kitchen_minutes",
        Clash::CookOn(_) => "rules: cook_on",
        Clash::Nutrition(_) => "rules: nutrition, standards",
        Clash::Credit(rule) => match rule.what {
            Credited::Group { .. } => "rules: credits, standards",
            Credited::EnergyShare { .. } => "rules: energy_share, standards",
        },
        Clash::Cap(..) => "rules: cap, or --cap",
        Clash::Budget(_) => "rules: budget, or --budget",
        Clash::Rest(_) => "--rest",
        Clash::Without(_) => "rules: without, or --without",
        Clash::With(..) => "rules: with, or --with",
        Clash::Keeps(..) => "components: keeps",
        Clash::Opened(..) => "packs: open_keeps",
        Clash::ReadyTo(..) | Clash::ReadyFrom(..) => "packs: ready",
    }
}

/// Days and recipes in a row.
pub(super) fn by_day<'a>(lunches: impl Iterator<Item = (&'a When, &'a String)>) -> String {
    let all: Vec<String> = lunches
        .map(|(when, recipe)| super::words::of(when, recipe))
        .collect();
    all.join(", ")
}

/// The lunches of a week.
pub(super) fn lunches(week: &Brief) -> String {
    by_day(
        week.lunches
            .iter()
            .map(|lunch| (&lunch.when, &lunch.recipe)),
    )
}

/// A difference of counts with its sign: `+1`, `0`.
pub(super) fn counted(more: i64) -> String {
    if more == 0 {
        "0".to_owned()
    } else {
        format!("{more:+}")
    }
}
