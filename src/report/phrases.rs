//! Every sentence of recipes, lists, calendar and page that the week's report does not print
//! too; those are in [`sentences`](super::sentences).

use super::sentences;
use super::words::{self, and};
use crate::explain::{
    BatchFacts, Fate, FinisherFacts, FinisherLine, LeftoverFacts, LeftoverTotals, LunchFacts,
    MeasuredLine, Origin, PurchaseFacts, TripFacts, When,
};
use crate::larder::Currency;
use crate::unicode::FSI;

/// What the measures of a recipe are.
pub(super) const MEASURES: &str = "Amounts are for all who eat that day, rounded to measures a \
     cook has: cups and spoons are US ones, level; the plan itself counts milligrams. What is \
     more than a twentieth off is marked \"about\".";

/// Who a lunch is for and how long it takes.
pub(super) fn lunch_head(lunch: &LunchFacts) -> String {
    format!(
        "{}: {}, {} active minutes on the day.",
        capital(&lunch.form),
        portions(lunch.eaters_milli),
        words::minutes(lunch.minutes_nano)
    )
}

/// `3 portions`.
pub(super) fn portions(eaters_milli: i64) -> String {
    let noun = if eaters_milli == 1_000 {
        "portion"
    } else {
        "portions"
    };
    format!("{} {noun}", words::thousandths(eaters_milli))
}

/// What a batch makes, for which days, and until when it keeps.
pub(super) fn batch_head(batch: &BatchFacts) -> String {
    let days: Vec<String> = batch
        .serves
        .iter()
        .map(|(when, mg)| words::of(when, words::mass(*mg)))
        .collect();
    let passive = match batch.passive_minutes {
        0 => String::new(),
        minutes => format!(", {minutes} by itself"),
    };
    let needs = if batch.needs.is_empty() {
        String::new()
    } else {
        format!("; {}", batch.needs.join(", "))
    };
    format!(
        "Makes {} for {}. {} active minutes{passive}{needs}. Eat {}.",
        words::mass(batch.mg),
        and(&days),
        words::minutes(batch.minutes_nano),
        words::by(&batch.keeps_until, &batch.when)
    )
}

/// Which lines of a lunch are filled otherwise than first written; none if all are as they were.
pub(super) fn instead(lunch: &LunchFacts) -> Option<String> {
    let lines = lunch.lines.iter();
    let taken: Vec<String> = lines
        .filter_map(|line| {
            let first = line.instead_of.as_ref()?;
            Some(format!("{}, not {first}", line.taken.name()))
        })
        .collect();
    (!taken.is_empty()).then(|| taken.join("; "))
}

/// A line of a recipe, with the batch it comes from and what it stands for.
pub(super) fn ingredient(line: &MeasuredLine) -> String {
    let note = ingredient_note(line);
    if note.is_empty() {
        line.taken.name().to_owned()
    } else {
        format!("{} ({note})", line.taken.name())
    }
}

/// The batch a line comes from and what it stands for; empty if there is nothing to say.
pub(super) fn ingredient_note(line: &MeasuredLine) -> String {
    let mut notes = Vec::new();
    if let Some(first) = &line.instead_of {
        notes.push(format!("not {first}"));
    }
    if !line.cooked_on.is_empty() {
        notes.push(format!("batch of {}", words::days(&line.cooked_on)));
    }
    notes.join("; ")
}

/// The text with its first letter as a capital, be it inside an isolate.
pub(super) fn capital(text: &str) -> String {
    let inside = text.trim_start_matches(FSI);
    let before = &text[..text.len() - inside.len()];
    let mut letters = inside.chars();
    letters.next().map_or(before.to_owned(), |first| {
        let capital = first.to_uppercase().chain(letters);
        before.chars().chain(capital).collect()
    })
}

/// Ripeness at purchase, for behind a pack's label: ", hard"; nothing where the label tells it.
pub(super) fn ripeness(pack: &str, stage: Option<&str>) -> String {
    let stage = stage.filter(|stage| !pack.contains(stage));
    stage.map_or(String::new(), |stage| format!(", {stage}"))
}

/// When and where one shops: "Sunday", or "Sunday, farm gate" in a kitchen with shops.
pub(super) fn trip(trip: &TripFacts) -> String {
    trip_to(&trip.when, trip.shop.as_deref())
}

/// The same of what is bought on one.
pub(super) fn trip_to(when: &When, shop: Option<&str>) -> String {
    trip_on(&when.name, shop)
}

/// The same of a day in words.
pub(super) fn trip_on(day: &str, shop: Option<&str>) -> String {
    match shop {
        Some(shop) => format!("{day}, {shop}"),
        None => day.to_owned(),
    }
}

/// What every published nutrition figure is.
pub(super) const ESTIMATE: &str = "Raw figures, losses in cooking not counted: an estimate from a \
     table; no dietary or medical advice.";

/// What goes with the figures of a lunch that is finished.
pub(super) const NOT_COUNTED: &str = " What finishes it is not counted.";

/// What goes with a last good day.
pub(super) const WHEN_IN_DOUBT: &str =
    "A planned day, from the kitchen's own keeping times. When in doubt, throw it out.";

/// What packs of one piece are called where things are sold by the piece.
const PIECES: [&str; 4] = ["single", "piece", "each", "one"];

/// The same where there is little room: one pack is not counted, and nobody is told the steps in
/// which things are weighed.
pub(super) fn buy_short(row: &PurchaseFacts) -> String {
    let stage = ripeness(&row.pack, row.stage.as_deref());
    if row.loose && PIECES.contains(&row.pack.as_str()) {
        format!("{}{stage}", row.count)
    } else if row.loose {
        format!("{} {}{stage}", words::mass(row.ap_mg), row.pack)
    } else if row.count == 1 {
        format!("{}{stage}", row.pack)
    } else {
        format!("{} x {}{stage}", row.count, row.pack)
    }
}

/// How much to put in the basket.
pub(super) fn buy(row: &PurchaseFacts) -> String {
    let stage = ripeness(&row.pack, row.stage.as_deref());
    if row.loose && PIECES.contains(&row.pack.as_str()) {
        format!("{}{stage}, {}", row.count, words::mass(row.ap_mg))
    } else if row.loose {
        format!(
            "{} {}{stage} ({} x {})",
            words::mass(row.ap_mg),
            row.pack,
            row.count,
            words::mass(row.ap_mg / row.count.max(1))
        )
    } else {
        format!("{} x {}{stage}", row.count, row.pack)
    }
}

/// Where a unit comes from and how many there are: `- 1 x 6 oz tin`, `- tahini, on hand`.
pub(super) fn origin(left: &LeftoverFacts) -> String {
    match &left.origin {
        Origin::Stock if left.pack == left.food => "on hand".to_owned(),
        Origin::Stock => format!("{}, on hand", left.pack),
        Origin::Bought(trip) => {
            let shop = trip.shop.as_ref();
            let shop = shop.map_or(String::new(), |shop| format!(", {shop}"));
            let stage = ripeness(&left.pack, left.stage.as_deref());
            match (left.loose, left.pack_units) {
                (true, _) => format!("{}{stage}{shop}", left.pack),
                (false, 1) => format!("{} x {}{stage}{shop}", left.units, left.pack),
                (false, _) => format!("{} from {}{stage}{shop}", left.units, left.pack),
            }
        }
    }
}

/// What a pack bar shows, in words.
pub(super) fn pack(left: &LeftoverFacts) -> String {
    let used: Vec<String> = left
        .draws
        .iter()
        .map(|(when, mg)| words::of(when, words::mass(*mg)))
        .collect();
    let used = if used.is_empty() {
        "nothing used".to_owned()
    } else {
        format!("used {}", used.join(", "))
    };
    let rest = match left.fate {
        Fate::UsedUp => "nothing left".to_owned(),
        Fate::Kept => format!(
            "{} left, good until {}",
            words::mass(left.left_mg),
            words::until(&left.good_until)
        ),
        Fate::Spoiled => format!(
            "{} left, thrown out after {}",
            words::mass(left.left_mg),
            words::the(&left.good_until)
        ),
    };
    format!("Of {}: {used}; {rest}.", words::mass(left.had_mg))
}

/// What all that is left comes to.
pub(super) fn left_totals(totals: &LeftoverTotals, carry: &When, currency: &Currency) -> String {
    format!(
        "Thrown out in all: {}, {}. Kept: {}, {}, still good on {}.",
        words::mass(totals.spoiled_mg),
        words::cash_nano(totals.spoiled_nano, currency),
        words::mass(totals.kept_mg),
        words::cash_nano(totals.kept_nano, currency),
        words::the(carry)
    )
}

/// The row of the chosen week among others.
pub(super) const CHOSEN: &str = "This week";

/// What the three choices of a frontier are, in its order.
pub(super) const CHOICES: [&str; 3] = ["cheapest", "fewest foods", "least thrown out"];

/// What the boxes of the page hold.
pub(super) const A_BOX: &str =
    "Contents of one box, a portion of size 1; minutes are those in the kitchen on the day.";

/// The gravest cautions, for the front of the page.
pub(super) const PAGE_CAUTIONS: [&str; 3] = [
    "Chill cooked and cut food soon, at or below 4 °C (40 °F); it keeps 3 to 4 days; in doubt, throw \
     it out.",
    "Allergens are from the kitchen's own data: read the label each time.",
    "Local food codes, the label and a licensed dietitian come first; cautions in full and sources \
     on the last page.",
];

/// For how many it is.
pub(super) fn portions_a_day(days: &[(When, i64)]) -> String {
    let mut eaters: Vec<i64> = days.iter().map(|&(_, eaters)| eaters).collect();
    eaters.dedup();
    if let [one] = eaters[..] {
        return format!("{} a day", portions(one));
    }
    let each = days.iter();
    let each: Vec<String> = each
        .map(|(when, milli)| words::of(when, words::thousandths(*milli)))
        .collect();
    format!("portions {}", each.join(", "))
}

/// How much of a finisher goes on a portion, and where it comes from.
pub(super) fn finisher_note(line: &FinisherLine) -> String {
    let from = if line.staple {
        ", from the cupboard"
    } else {
        ""
    };
    format!("a portion: {}{from}", line.written)
}

/// Finishers a lunch goes without.
pub(super) fn without(names: &[String]) -> String {
    format!("Not enough is left for {}.", and(names))
}

/// What the finishers of the page come to.
pub(super) fn finished(facts: &FinisherFacts) -> String {
    if facts.lunches.iter().all(|lunch| lunch.placed.is_empty()) {
        return "All lunches go out plain: nothing that is left would finish one.".to_owned();
    }
    format!(
        "{}. Cost and nutrition are those of the plain lunches; the pack bars hold what finishers \
         take.",
        sentences::lifted(facts)
    )
}

/// What the packs bought for finishers cost.
pub(super) fn bought(facts: &FinisherFacts, currency: &Currency) -> String {
    format!(
        "To finish: {} more, {} and {} in all.",
        words::cash(facts.bought_minor, currency),
        words::cash(facts.packs_minor, currency),
        words::count(facts.foods, "food to buy")
    )
}

/// Where trade-offs were not asked for.
pub(super) const NO_WISHES: &str = "Not on this page: the cheapest week, the one of fewest foods \
     and the one that throws out least, and what doing without each food costs. They take many \
     weeks solved anew: write the page with --tradeoffs SECONDS.";
