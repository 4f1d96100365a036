//! Rows of opening and drawing: use is met from open units, a unit holds what it holds, is
//! opened once and only to be used, and its remainder is kept or spoils (section 4,
//! numbers 4 and 5, of the model).
//!
//! A unit opened or drawn from on a wrong day has no column, so that ready windows and
//! opened life need no row.

use std::collections::BTreeMap;

use super::Sense;
use super::columns::{Columns, Drawn};
use super::draft::{Draft, MILLIGRAM, ONE, Terms};
use crate::larder::{Day, FoodId};

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    use_is_met(columns, draft);
    for drawn in &columns.drawn {
        if drawn.source.free {
            held_by_a_free_lot(columns, drawn, draft);
        } else {
            held_by_opened_units(columns, drawn, draft);
        }
        fate(columns, drawn, draft);
    }
}

/// What is drawn of a food on a day is what lunches and batches of that day use.
fn use_is_met(columns: &Columns, draft: &mut Draft) {
    let mut rows: BTreeMap<(FoodId, Day), (Terms, i128)> = BTreeMap::new();
    for drawn in &columns.drawn {
        for &(_, day, column) in &drawn.draws {
            let row = rows.entry((drawn.source.food, day)).or_default();
            row.0.push((column, ONE));
        }
    }
    let larder = columns.larder;
    let counted = |food: FoodId| !larder.foods[food.index()].staple;
    for (recipe, day, line, j) in columns.alternatives() {
        let alternative = &larder.recipes[recipe.index()].lines[line].alternatives[j];
        if matches!(alternative.what, crate::larder::Ingredient::Component(_)) {
            continue;
        }
        for (food, mg) in columns.foods_of(recipe, day, line, j) {
            if counted(food) {
                let row = rows.entry((food, day)).or_default();
                row.0.push((
                    columns.takes(recipe, day, line, j),
                    -i128::from(mg) * MILLIGRAM,
                ));
            }
        }
    }
    for ask in &columns.asks {
        for &(food, mg) in &ask.foods {
            if !counted(food) {
                continue;
            }
            for &(from, share) in &ask.shares {
                let row = rows.entry((food, from)).or_default();
                row.0.push((share, -i128::from(mg) * MILLIGRAM));
                if ask.splits() {
                    row.1 += MILLIGRAM;
                }
            }
        }
    }
    for ((food, day), (terms, rounding)) in rows {
        let name = &columns.names.foods[food.index()];
        draft.loose_row(
            "use-not-met",
            format!("use.{name}.d{day}"),
            terms,
            Sense::Equal,
            0,
            rounding,
        );
    }
}

/// Where opening changes nothing, all units of a lot are one store.
fn held_by_a_free_lot(columns: &Columns, drawn: &Drawn, draft: &mut Draft) {
    let unit = i128::from(drawn.source.unit_mg) * MILLIGRAM;
    let held = unit * i128::from(drawn.source.units);
    let mut terms: Vec<_> = drawn.draws.iter().map(|&(_, _, q)| (q, ONE)).collect();
    let rhs = drawn.packs.map_or(held, |(packs, _)| {
        terms.push((packs, -held));
        0
    });
    draft.row(
        "drawn-more-than-it-holds",
        format!("holds.{}", drawn.name),
        terms,
        Sense::AtMost,
        rhs,
    );
    let Some((packs, _)) = drawn.packs else {
        return;
    };
    for &(_, day, q) in &drawn.draws {
        let most = i128::from(columns.need.on(drawn.source.food, day)) * MILLIGRAM;
        if most < held {
            draft.row(
                "drawn-more-than-it-holds",
                format!("holds.{}.on{day}", drawn.name),
                vec![(q, ONE), (packs, -most)],
                Sense::AtMost,
                0,
            );
        }
    }
}

fn held_by_opened_units(columns: &Columns, drawn: &Drawn, draft: &mut Draft) {
    let unit = i128::from(drawn.source.unit_mg) * MILLIGRAM;
    for &(day, opens) in &drawn.opens {
        let of_day = drawn.draws.iter().filter(|draw| draw.0 == Some(day));
        let terms = of_day.clone().map(|&(_, _, q)| (q, ONE));
        draft.row(
            "drawn-more-than-it-holds",
            format!("holds.{}.d{day}", drawn.name),
            terms.chain([(opens, -unit)]).collect(),
            Sense::AtMost,
            0,
        );
        for &(_, on, q) in of_day {
            let most = i128::from(columns.need.on(drawn.source.food, on)) * MILLIGRAM;
            if most < unit {
                draft.row(
                    "drawn-more-than-it-holds",
                    format!("holds.{}.d{day}.on{on}", drawn.name),
                    vec![(q, ONE), (opens, -most)],
                    Sense::AtMost,
                    0,
                );
            }
            if on == day {
                draft.row(
                    "opened-without-use",
                    format!("opened_to_use.{}.d{day}", drawn.name),
                    vec![(q, ONE), (opens, -MILLIGRAM)],
                    Sense::AtLeast,
                    0,
                );
            }
        }
    }
    let mut terms: Vec<_> = drawn.opens.iter().map(|&(_, o)| (o, ONE)).collect();
    let rhs = drawn.packs.map_or(ONE, |(packs, _)| {
        terms.push((packs, -ONE * i128::from(drawn.source.units)));
        0
    });
    let code = match drawn.packs {
        Some(_) => "more-units-than-bought",
        None => "more-units-than-on-hand",
    };
    draft.row(
        code,
        format!("units.{}", drawn.name),
        terms,
        Sense::AtMost,
        rhs,
    );
}

/// Everything a lot holds and nobody eats is kept or spoils, by when it was opened.
fn fate(columns: &Columns, drawn: &Drawn, draft: &mut Draft) {
    let source = &drawn.source;
    let unit = i128::from(source.unit_mg) * MILLIGRAM;
    let sealed_is_kept = source.kept_if_sealed(columns.larder);
    // Left sides: column - remainders of that fate; right side: what a unit on hand holds.
    let mut spoils = (vec![(drawn.spoils, ONE)], 0);
    let mut keeps = (vec![(drawn.keeps, ONE)], 0);
    let sealed = if sealed_is_kept {
        &mut keeps
    } else {
        &mut spoils
    };
    match drawn.packs {
        Some((packs, _)) => sealed.0.push((packs, -unit * i128::from(source.units))),
        None => sealed.1 += unit,
    }
    sealed.0.extend(drawn.opens.iter().map(|&(_, o)| (o, unit)));
    for &(day, o) in &drawn.opens {
        let opened = if source.kept_if_opened(columns.larder, i32::from(day)) {
            &mut keeps
        } else {
            &mut spoils
        };
        opened.0.push((o, -unit));
    }
    for &(opened, _, q) in &drawn.draws {
        let is_kept = opened.map_or(sealed_is_kept, |day| {
            source.kept_if_opened(columns.larder, i32::from(day))
        });
        let side = if is_kept { &mut keeps } else { &mut spoils };
        side.0.push((q, ONE));
    }
    let rows = [("spoiled", spoils), ("kept", keeps)];
    for (word, (terms, rhs)) in rows {
        draft.row(
            "remainder",
            format!("{word}.{}", drawn.name),
            terms,
            Sense::Equal,
            rhs,
        );
    }
}
