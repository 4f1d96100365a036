//! Every sentence a report prints, in one place.

use super::words::{self, and, cash, cash_nano, count, grouped};
use crate::explain::{
    Changes, Clash, Differences, Explanation, FinisherFacts, Held, OfferFacts, PurchaseFacts,
    Standing, TooFew, Verdict, WeekFacts,
};
use crate::larder::{Aim, CapBy, CreditRule, Credited, Currency, MILLI, Per};

/// The cautions in short; README has them in full.
pub(super) const CAUTIONS: [&str; 5] = [
    "Keep cooked and cut food at or below 4 °C (40 °F), at most two hours out in all \
     (one hour in heat above 32 °C or 90 °F). Chill batches soon after cooking.",
    "Cooked food keeps 3 to 4 days in the refrigerator; a longer time in the kitchen's \
     files is the kitchen's own claim. When in doubt, throw it out.",
    "Allergens are from the kitchen's own data: nothing here knows of traces or of a \
     changed label. Read the label each time.",
    "Nutrition: raw figures, losses in cooking not counted; an estimate, no advice.",
    "Local food codes, the label and a licensed dietitian come first. README has the \
     cautions in full.",
];

/// The gravest of them, for the first screen.
pub(super) const SHORT_CAUTIONS: [&str; 2] = [
    "Cooked and cut food keeps 3 to 4 days at 4 °C (40 °F); in doubt, throw it out.",
    "Read labels for allergens; local codes and dietitians first; advice: scant prep.",
];

/// Where the rest is.
pub(super) const WHERE_THE_REST_IS: &str =
    "Why not X? --with X. More: prep, list, recipes, tradeoffs, --show, --full.";

/// What was proved, where the whole sentence is not needed.
pub(super) const BEST: &str = "Proved best: no week within its rules is better.";

/// How many foods are bought, and how many may be.
pub(super) fn to_buy(week: &WeekFacts) -> String {
    let foods = count(week.tally.foods, "food");
    let cap = week
        .standings
        .iter()
        .find_map(|standing| match standing.held {
            Held::Cap(by) => Some((by, standing.limit, standing.reached)),
            _ => None,
        });
    match cap {
        Some((CapBy::Foods, limit, _)) => format!("{foods} (at most {limit})"),
        Some((CapBy::Families, limit, reached)) => {
            format!("{foods} of {} (at most {limit})", count(reached, "family"))
        }
        None => foods,
    }
}

/// Days that cooked food keeps in the refrigerator at most: University of Illinois Extension,
/// Leftovers, after USDA FSIS.
const LEFTOVER_DAYS: i32 = 4;

/// Batches this week eats later than leftovers keep by the usual advice.
pub(super) fn old_batches(week: &WeekFacts) -> Option<String> {
    let old: Vec<String> = week
        .batches
        .iter()
        .filter(|batch| batch.oldest_days > LEFTOVER_DAYS)
        .map(|batch| format!("{} ({} days)", batch.component, batch.oldest_days))
        .collect();
    (!old.is_empty()).then(|| {
        format!(
            "Eaten here later than {LEFTOVER_DAYS} days after making, by the kitchen's own claim: \
             {}.",
            and(&old)
        )
    })
}

/// What the figures of the week mean.
pub(super) const WEEK_NOTE: &str = "Min: active minutes on the day, batches apart. Cost a portion: the food in it, packs pro rata; \
     what is left over is not in it. kcal and protein: a portion of size 1.";

/// A shopping trip that is allowed and not made.
pub(super) fn idle_trip(number: usize, trip: &str) -> String {
    format!("Trip {number}, {trip}, is not made.")
}

/// How much reuse the list holds.
pub(super) fn reuse(purchases: &[PurchaseFacts]) -> Option<String> {
    let mut foods: Vec<(&str, std::collections::BTreeSet<i32>)> = Vec::new();
    for row in purchases {
        let days = row.serves.iter().map(|when| when.day);
        match foods.iter_mut().find(|(food, _)| *food == row.food) {
            Some((_, all)) => all.extend(days),
            None => foods.push((&row.food, days.collect())),
        }
    }
    if foods.is_empty() {
        return None;
    }
    let single: Vec<&str> = foods
        .iter()
        .filter(|(_, days)| days.len() < 2)
        .map(|&(food, _)| food)
        .collect();
    let shared = (foods.len() - single.len()) as i64;
    Some(if single.is_empty() {
        "Every food bought feeds two lunches or more.".to_owned()
    } else if shared == 0 {
        "No food bought feeds more than one lunch.".to_owned()
    } else {
        format!(
            "{} two lunches or more; only {} {} a single one.",
            agree(shared, "food", "feeds", "feed"),
            and(&single),
            if single.len() == 1 { "feeds" } else { "feed" },
        )
    })
}

fn agree(n: i64, noun: &str, one: &str, many: &str) -> String {
    format!("{} {}", count(n, noun), if n == 1 { one } else { many })
}

/// The line under the shopping list that holds it against the cap.
pub(super) fn counted(week: &WeekFacts) -> String {
    let foods = count(week.tally.foods, "food to buy");
    let cap = week
        .standings
        .iter()
        .find_map(|standing| match standing.held {
            Held::Cap(by) => Some((by, standing.limit, standing.reached)),
            _ => None,
        });
    match cap {
        Some((CapBy::Foods, limit, _)) => format!("{foods}, of at most {limit}."),
        Some((CapBy::Families, limit, reached)) => format!(
            "{foods} in {}, of at most {limit}.",
            count(reached, "family")
        ),
        None => format!("{foods}; no cap is set."),
    }
}

/// The heading that says what was proved.
pub(super) fn verdict(explanation: &Explanation) -> String {
    let currency = &explanation.currency;
    let ordered = explanation
        .week
        .as_ref()
        .is_some_and(|week| !week.aims.is_empty());
    match explanation.verdict {
        Verdict::Best if ordered => {
            "Proved best: no week that keeps the rules does better on the aims in their order."
                .to_owned()
        }
        Verdict::Best => {
            "Proved best: no week that keeps the rules has a smaller total, wishes priced in."
                .to_owned()
        }
        Verdict::Good { .. } if ordered => {
            "Good, not proved best: the search ended before the aims were all settled.".to_owned()
        }
        Verdict::Good { bound_nano } => {
            let total = explanation
                .week
                .as_ref()
                .map_or(bound_nano, |week| week.parts.total_nano);
            format!(
                "Good, not proved best: the search ended before a proof. No week has a total \
                 below {}; this one has {}, a gap of at most {}.",
                cash_nano(bound_nano, currency),
                cash_nano(total, currency),
                cash_nano(total - bound_nano, currency),
            )
        }
        Verdict::Judged => {
            "Judged, not proved best: a general solver found this week, within its tolerances."
                .to_owned()
        }
        Verdict::Impossible => {
            "Impossible, proved: no week of this kitchen keeps all the rules.".to_owned()
        }
        Verdict::OutOfTime { .. } => {
            "Out of time: the search ended before it found a week. Whether there is \
             one is not known."
                .to_owned()
        }
    }
}

/// What an impossible or unfinished run leaves the cook to do, if there is more to say than the
/// ways out do.
pub(super) fn advice(explanation: &Explanation) -> Option<&'static str> {
    match explanation.verdict {
        Verdict::Impossible => match &explanation.conflict {
            None => Some(
                "Which rules clash was not settled in this time: --limit gives more, and scant \
                 tradeoffs looks to the end.",
            ),
            Some(found) if !(found.ways_settled && found.pairs_settled) => Some(
                "More may be settled in more time: --limit gives it, and scant tradeoffs looks to \
                 the end.",
            ),
            Some(found) if !found.ways.is_empty() || !found.pairs.is_empty() => None,
            Some(found) if found.rules.is_empty() => {
                Some("Add recipes, other packs or shopping trips, and try again.")
            }
            Some(_) => Some("Loosen three rules or more at once or add recipes, and try again."),
        },
        Verdict::OutOfTime { .. } => Some(
            "Give it more time (a larger --limit, or none) or a simpler question: fewer rules, or \
             fewer alternatives in a line.",
        ),
        Verdict::Best | Verdict::Good { .. } | Verdict::Judged => None,
    }
}

/// Fewer recipes than the lunches need.
pub(super) fn too_few(few: &TooFew) -> String {
    let gone = [
        (few.banned, "ruled out by bans"),
        (few.resting, "resting"),
        (few.without_day, "without a day"),
    ];
    let gone: Vec<String> = gone
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, why)| format!("{count} {why}"))
        .collect();
    let there = if gone.is_empty() {
        format!(
            "there {} {}",
            if few.left == 1 { "is" } else { "are" },
            few.left
        )
    } else {
        format!("{} of {} left ({})", few.left, few.recipes, gone.join(", "))
    };
    let served = match few.repeats {
        1 => "each served once at most".to_owned(),
        times => format!("each served {times} times at most"),
    };
    format!(
        "Too few recipes: {there}, {served}; {} need {} or more.",
        count(few.lunches as i64, "lunch"),
        few.needed
    )
}

/// What the finishers come to.
pub(super) fn appeal(facts: &FinisherFacts) -> String {
    format!(
        "{}. Amounts are a portion, in brackets for all eaters; cost and nutrition above are those of the plain lunches.",
        lifted(facts)
    )
}

/// How many lunches finishers lift, and by how much.
pub(super) fn lifted(facts: &FinisherFacts) -> String {
    let lunches = facts.lunches.iter();
    let lifted = lunches.filter(|lunch| !lunch.placed.is_empty()).count() as i64;
    let claim = if facts.proved {
        "no other choice has more"
    } else {
        "not proved the most"
    };
    format!(
        "{} lifted, appeal {} in all; {claim}",
        words::count(lifted, "lunch"),
        facts.appeal
    )
}

/// A pack bought for finishers.
pub(super) fn bought_to_finish(offer: &OfferFacts, currency: &Currency) -> String {
    format!("Bought for it: {}.", pack_offered(offer, currency))
}

/// A pack that would bring more.
pub(super) fn offered_to_finish(offer: &OfferFacts, currency: &Currency) -> String {
    let beyond = match (offer.beyond.cap, offer.beyond.budget) {
        (false, false) => "",
        (true, false) => "; the cap has no room for it",
        (false, true) => "; the budget has no room for it",
        (true, true) => "; neither the cap nor the budget has room for it",
    };
    format!(
        "One more purchase: {}{beyond}.",
        pack_offered(offer, currency)
    )
}

fn pack_offered(offer: &OfferFacts, currency: &Currency) -> String {
    let shop = offer.shop.as_ref();
    let shop = shop.map_or(String::new(), |shop| format!(", {shop}"));
    format!(
        "{}, {} x {} on {}{shop}, {}, appeal {} more, for {}",
        offer.food,
        offer.count,
        offer.pack,
        words::short(&offer.when),
        words::cash(offer.price_minor, currency),
        offer.gain,
        words::days(&offer.lifts)
    )
}

/// What stands over the rules of a conflict.
pub(crate) fn conflict(rules: usize) -> &'static str {
    match rules {
        0 => {
            "No rule is to blame: the recipes left, their packs and their keeping times give no \
             week even without rules."
        }
        1 => {
            "This rule leaves no week, even with all others given up; given up as well, there is \
             one:"
        }
        _ => {
            "These rules cannot hold together, even with all others given up; with any one of \
             them given up as well there is a week:"
        }
    }
}

/// A rule of a conflict.
pub(crate) fn clash(clash: &Clash, currency: &Currency) -> String {
    match clash {
        Clash::PerForm(most) => format!("at most {} of a form", count(*most, "lunch")),
        Clash::FormsApart => "no form on neighbouring days".to_owned(),
        Clash::PerProtein(most) => {
            format!("at most {} of a main protein", count(*most, "lunch"))
        }
        Clash::Sameness(most) => {
            format!(
                "overlap of any two lunches at most {}",
                words::thousandths(*most)
            )
        }
        Clash::SamenessAdjacent(most) => {
            format!(
                "overlap of neighbours at most {}",
                words::thousandths(*most)
            )
        }
        Clash::Repeats(most) => format!("a recipe at most {}", count(*most, "time")),
        Clash::Minutes { days, limit_nano } => format!(
            "at most {} active minutes on {}",
            words::minutes(*limit_nano),
            words::days(days)
        ),
        Clash::KitchenMinutes { days, limit_nano } => format!(
            "at most {} minutes in the kitchen on {}",
            words::minutes(*limit_nano),
            words::days(days)
        ),
        Clash::CookOn(days) if days.is_empty() => "nothing cooked ahead".to_owned(),
        Clash::CookOn(days) => format!("batches cooked on {} only", words::days(days)),
        Clash::Nutrition(rule) => {
            let side = |word: &str, milli: Option<i64>| {
                milli.map(|milli| {
                    let unit = rule.nutrient.unit();
                    format!(" {word} {} {unit}", words::thousandths(milli))
                })
            };
            format!(
                "{}{}{} {}",
                rule.nutrient.label(),
                side("at least", rule.at_least_milli).unwrap_or_default(),
                side("at most", rule.at_most_milli).unwrap_or_default(),
                match rule.per {
                    Per::Lunch => "in every lunch",
                    Per::Week => "on average",
                }
            )
        }
        Clash::Credit(rule) => credit(rule),
        Clash::Cap(most, CapBy::Foods) => format!("at most {}", count(*most, "food to buy")),
        Clash::Cap(most, CapBy::Families) => {
            format!("foods to buy of at most {}", count(*most, "family"))
        }
        Clash::Budget(most) => format!("packs for at most {}", cash(*most, currency)),
        Clash::Rest(1) => "no recipe of the week before".to_owned(),
        Clash::Rest(weeks) => {
            format!("no recipe of the last {}", count(*weeks as i64, "week"))
        }
        Clash::Without(name) => format!("without {name}"),
        Clash::With(name, None) => format!("with {name}"),
        Clash::With(name, Some(day)) => format!("with {name} on {day}"),
        Clash::Keeps(name, days) => {
            format!("{name} keeps {}", count(i64::from(*days), "day"))
        }
        Clash::Opened(name, days) => {
            format!("{name}, opened, keeps {}", count(i64::from(*days), "day"))
        }
        Clash::ReadyTo(name, days) => format!(
            "{name} is opened at most {} after it is bought",
            count(i64::from(*days), "day")
        ),
        Clash::ReadyFrom(name, days) => format!(
            "{name} is opened at least {} after it is bought",
            count(i64::from(*days), "day")
        ),
    }
}

/// A credit rule of a conflict.
fn credit(rule: &CreditRule) -> String {
    let (lunch, week) = ("in every lunch", "in the week");
    let when = match rule.per {
        Per::Lunch => lunch,
        Per::Week => week,
    };
    match &rule.what {
        Credited::Group { name, unit } => {
            let side = |word: &str, micro: Option<i64>| {
                micro.map_or(String::new(), |micro| {
                    let amount = words::thousandths(micro / MILLI);
                    format!(" {word} {amount} {unit}")
                })
            };
            format!(
                "{name}{}{} {when}",
                side("at least", rule.at_least_micro),
                side("at most", rule.at_most_micro)
            )
        }
        Credited::EnergyShare {
            nutrient,
            below_percent,
        } => format!(
            "{} below {below_percent} % of the energy {when}",
            nutrient.label()
        ),
    }
}

/// How much the search did.
pub(super) fn effort(explanation: &Explanation) -> String {
    format!(
        "Looked at {} and settled {} to the last pack.",
        count(explanation.effort.nodes as i64, "partial week"),
        count(explanation.effort.leaves as i64, "complete set"),
    )
}

/// Why a column may seem to be a cent out.
pub(super) const ROUNDED: &str =
    "Each figure is rounded by itself for printing; the JSON has them to the last digit.";

/// Who checked the week.
pub(super) const JUDGED: &str = "Judged: every rule and every sum was worked out again from the \
     kitchen and the finished week alone, by code that knows nothing of the search.";

/// The aims of a strict order and what each reached.
pub(super) fn aims(week: &WeekFacts, verdict: Verdict, currency: &Currency) -> Option<String> {
    if week.aims.is_empty() {
        return None;
    }
    let each: Vec<String> = week
        .aims
        .iter()
        .map(|fact| match fact.aim {
            Aim::Foods => count(fact.reached, "food"),
            Aim::Cost => format!("cost {}", cash_nano(fact.reached, currency)),
            Aim::Spoiled => format!("spoiled {}", cash_nano(fact.reached, currency)),
            Aim::Minutes => format!("{} minutes", words::minutes(fact.reached)),
        })
        .collect();
    let settled = if verdict == Verdict::Best {
        "Each was settled before the next was looked at; the total settled what was left."
    } else {
        "Not all of them are settled."
    };
    Some(format!(
        "In strict order: {}. {settled}",
        each.join(", then ")
    ))
}

/// Which rules bind, and the warning that goes with it.
pub(super) fn binding(week: &WeekFacts, currency: &Currency) -> Vec<String> {
    let (at, not): (Vec<&Standing>, Vec<&Standing>) =
        week.standings.iter().partition(|s| s.at_limit());
    let near: Vec<String> = not
        .iter()
        .filter(|s| s.close())
        .map(|s| standing(s, currency))
        .collect();
    let at: Vec<String> = at.iter().map(|s| standing(s, currency)).collect();
    let mut sentences = Vec::new();
    if !at.is_empty() {
        sentences.push(format!("At the limit: {}.", at.join("; ")));
    }
    if !near.is_empty() {
        sentences.push(format!("Within 5 % of the limit: {}.", near.join("; ")));
    }
    if !sentences.is_empty() {
        sentences.push(
            "Loosening one of these may give a better week; but a rule with room to spare can \
             also be what keeps a better week out."
                .to_owned(),
        );
    }
    sentences
}

/// A rule, what is reached and the limit.
pub(super) fn standing(standing: &Standing, currency: &Currency) -> String {
    let (reached, limit) = (standing.reached, standing.limit);
    let at = |when: &Option<crate::explain::When>| {
        when.as_ref()
            .map_or("on average".to_owned(), |when| format!("on {}", when.name))
    };
    match &standing.held {
        Held::Cap(CapBy::Foods) => format!("{} of {limit}", count(reached, "food")),
        Held::Cap(CapBy::Families) => format!("{} of {limit}", count(reached, "family")),
        Held::Budget => format!(
            "bill {} of {}",
            cash(reached, currency),
            cash(limit, currency)
        ),
        Held::Minutes(when) => format!(
            "{} {} of {} minutes",
            when.name,
            words::minutes(reached),
            words::minutes(limit)
        ),
        Held::KitchenMinutes(when) => format!(
            "{} {} of {} minutes in the kitchen",
            when.name,
            words::minutes(reached),
            words::minutes(limit)
        ),
        Held::Floor(nutrient, when) => format!(
            "{} {} {}, at least {}",
            nutrient.label(),
            words::nutrient(reached, *nutrient),
            at(when),
            words::nutrient(limit, *nutrient)
        ),
        Held::Ceiling(nutrient, when) => format!(
            "{} {} {}, at most {}",
            nutrient.label(),
            words::nutrient(reached, *nutrient),
            at(when),
            words::nutrient(limit, *nutrient)
        ),
        Held::PerForm(name) | Held::PerProtein(name) => {
            format!("{name} {} of {limit}", grouped(reached))
        }
    }
}

/// What was asked for that changed a week.
pub(super) fn asked(changes: &Changes) -> String {
    format!("Asked: {}.", and(&changes.asked))
}

/// What the options of a run changed, as sentences.
pub(super) fn changes(changes: &Changes, currency: &Currency) -> Vec<String> {
    let these = match changes.asked.len() {
        1 => "it",
        _ => "them",
    };
    let mut sentences = Vec::new();
    match (&changes.before, &changes.after) {
        (Some(before), Some(after)) => {
            let unproved = match (changes.before_verdict, changes.after_verdict) {
                (Verdict::Best, Verdict::Best) => None,
                (Verdict::Best, _) => Some(format!("The week with {these} is not")),
                (_, Verdict::Best) => Some(format!("The week without {these} is not")),
                _ => Some("Neither week is".to_owned()),
            };
            sentences
                .extend(unproved.map(|which| {
                    format!("{which} proved best, so the differences are not final.")
                }));
            let money_change = |name: &str, before: i64, after: i64| {
                format!(
                    "{name} {} instead of {} ({}{})",
                    cash_nano(after, currency),
                    cash_nano(before, currency),
                    if after < before { "" } else { "+" },
                    cash_nano(after - before, currency)
                )
            };
            sentences.push(format!(
                "{}; {}; {}.",
                money_change(
                    "Bill",
                    before.packs_minor * crate::larder::NANO,
                    after.packs_minor * crate::larder::NANO
                ),
                money_change("spoiled", before.spoiled_nano, after.spoiled_nano),
                money_change("total", before.objective_nano, after.objective_nano),
            ));
            sentences.push(format!(
                "{} instead of {}; {} active minutes instead of {}.",
                count(after.foods, "food to buy"),
                before.foods,
                words::minutes(after.minutes_nano),
                words::minutes(before.minutes_nano),
            ));
            let same = |differences: &Differences| differences.lunches.is_empty();
            if changes.differences.as_ref().is_some_and(same) {
                sentences.push(format!("The lunches are the same with {these}."));
            }
        }
        (Some(_), None) => sentences.push(match changes.after_verdict {
            Verdict::Impossible => {
                format!("Without {these} there is a week; with {these} there is none: proved.")
            }
            _ => format!("Without {these} there is a week; with {these} none was found."),
        }),
        (None, _) => sentences.push(match changes.before_verdict {
            Verdict::Impossible => {
                format!("Without {these} there is no week either: proved.")
            }
            _ => format!("Without {these} no week was found to compare with."),
        }),
    }
    sentences
}
