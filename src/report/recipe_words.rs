//! What is said of recipes by themselves, on pages as in text.

use std::fmt::Write as _;

use super::measures::{Measures, told};
use super::{phrases, trade_sentences, words};
use crate::explain::{BatchRecipe, Collection, Dish, FinishedLunch, Substitute};
use crate::larder::{Currency, Nutrient};
use crate::table::advice::Advice;

/// How amounts are to be read.
pub(super) fn measures(which: Measures) -> String {
    match which {
        Measures::Metric => {
            "Amounts are for all who eat, rounded to measures a cook has; the plan \
                             itself counts milligrams. What is more than a twentieth off is marked \
                             \"about\"."
                .to_owned()
        }
        Measures::Us | Measures::Both => phrases::MEASURES.to_owned(),
    }
}

/// What a collection is.
pub(super) fn collected(collection: &Collection) -> String {
    let count = words::count(collection.dishes.len() as i64, "recipe");
    let mut told = format!(
        "{count}: each line as written, or with the first food that the rules leave; for those who \
         eat on the first day."
    );
    if !collection.left_out.is_empty() {
        let names = words::and(&collection.left_out);
        let _ = write!(told, " The rules leave no way to make {names}.");
    }
    told
}

/// What a portion costs outside of a week.
pub(super) fn cost(dish: &Dish, currency: &Currency) -> String {
    let cost = words::cash_nano(dish.lunch.portion_cost_nano, currency);
    format!("{cost} a portion: its share of the packs that cost least by weight.")
}

/// What a batch makes, how long it takes and keeps.
pub(super) fn batch(batch: &BatchRecipe, which: Measures) -> String {
    let amount = crate::explain::Measured {
        mg: batch.makes_mg,
        cup_mg: None,
        counted: None,
    };
    let mut said = format!(
        "Makes {}: {} active minutes",
        told(&amount, which),
        words::minutes(batch.minutes_nano)
    );
    if batch.passive_minutes > 0 {
        let _ = write!(said, ", {} by itself", batch.passive_minutes);
    }
    if !batch.recipe.needs.is_empty() {
        let _ = write!(said, "; {}", batch.recipe.needs.join(", "));
    }
    let keeps = words::count(i64::from(batch.keeps), "day");
    format!("{said}. Keeps {keeps} after cooking, if kept cold.")
}

/// What goes on top: a portion as the cook wrote it, or for all who eat where one measure is asked for.
pub(super) fn finish(finish: &FinishedLunch, which: Measures) -> Vec<String> {
    let placed = finish.placed.iter();
    placed
        .map(|line| match which {
            Measures::Both => format!("{}, {}", line.food, phrases::finisher_note(line)),
            _ => format!("{}, {} for all", line.food, told(&line.amount, which)),
        })
        .collect()
}

/// Allergens by name, or that none is known.
pub(super) fn allergens(names: &[String]) -> String {
    if names.is_empty() {
        "none in the kitchen's data".to_owned()
    } else {
        names.join(", ")
    }
}

/// Allergens of a lunch and of what goes on top.
pub(super) fn all_allergens(dish: &Dish) -> Vec<String> {
    let finish = dish.finish.iter();
    let new = finish.flat_map(|finish| &finish.new_allergens);
    let mut all: Vec<String> = dish.lunch.allergens.iter().chain(new).cloned().collect();
    all.sort();
    all
}

/// What a portion gives.
pub(super) fn nutrition(dish: &Dish) -> String {
    let shown = [
        Nutrient::Energy,
        Nutrient::Protein,
        Nutrient::Fat,
        Nutrient::Carbohydrate,
        Nutrient::Fibre,
        Nutrient::Sodium,
    ];
    let each = shown.into_iter().filter_map(|nutrient| {
        let mut all = dish.nutrition.iter();
        let (_, amount) = all.find(|(other, _)| *other == nutrient)?;
        let mark = if amount.incomplete { " or more" } else { "" };
        let figure = words::nutrient(amount.milli, nutrient);
        Some(format!("{} {figure}{mark}", nutrient.label()))
    });
    let each: Vec<String> = each.collect();
    format!(
        "{}. {}{}",
        phrases::capital(&each.join(", ")),
        phrases::ESTIMATE,
        not_counted(dish)
    )
}

/// That figures are without what goes on top, where something does.
pub(super) fn not_counted(dish: &Dish) -> &'static str {
    let placed = |finish: &FinishedLunch| !finish.placed.is_empty();
    if dish.finish.as_ref().is_some_and(placed) {
        phrases::NOT_COUNTED
    } else {
        ""
    }
}

/// What a line may take instead, and what that changes of a portion.
pub(super) fn substitute(one: &Substitute, currency: &Currency, which: Measures) -> String {
    let portion = match which {
        Measures::Both => one.written.clone(),
        _ => told(&one.portion, which),
    };
    let more = one.more_milli.iter().map(|&(nutrient, more)| match more {
        Some(milli) => format!(
            "{} {}{}",
            nutrient.label(),
            if milli > 0 { "+" } else { "" },
            words::nutrient(milli, nutrient)
        ),
        None => format!("{} not known", nutrient.label()),
    });
    format!(
        "{} ({portion}) for {}: {} a portion; {}",
        one.other,
        one.taken,
        trade_sentences::signed(one.more_nano, currency),
        more.collect::<Vec<_>>().join(", ")
    )
}

/// Where all advice of a collection was published.
pub(super) fn sources(collection: &Collection) -> Option<String> {
    let mut all: Vec<&Advice> = Vec::new();
    let dishes = collection.dishes.iter().flat_map(|dish| &dish.advice);
    let batches = collection.batches.iter().flat_map(|batch| &batch.advice);
    for advice in dishes.chain(batches) {
        if !all.iter().any(|known| known.topic == advice.topic) {
            all.push(advice);
        }
    }
    all.sort_by_key(|advice| advice.topic);
    let told: Vec<String> = all
        .iter()
        .map(|advice| format!("{}: {}", advice.title, advice.source))
        .collect();
    (!told.is_empty()).then(|| format!("Sources of this advice. {}.", told.join(". ")))
}
