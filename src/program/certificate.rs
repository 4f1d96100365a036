//! Turns a plan into values of a program's columns.
//!
//! Nothing is decided here: every value is what the plan says. A plan that breaks a rule
//! becomes values that break a row of that rule; where it uses what no column stands for
//! (a unit opened outside its window, say), the use is left unmet.

use std::collections::BTreeMap;

use super::columns::{Columns, Drawn};
use super::{Program, Ratio, build_with};
use crate::larder::{Day, Larder};
use crate::plan::{Lot, Plan};

/// Milligrams in a gram.
const GRAM_MG: i128 = 1_000;

/// Returns the value of every column of `program` at `plan`, by name, in column order.
///
/// `program` is any stage of `larder`'s program: the columns are the same in all.
pub fn certificate(larder: &Larder, program: &Program, plan: &Plan) -> Vec<(String, Ratio)> {
    let (again, columns) = build_with(larder, &[]);
    debug_assert_eq!(again.columns.len(), program.columns.len());
    let mut values = vec![Ratio::ZERO; program.columns.len()];
    lunches(&columns, plan, &mut values);
    batches(&columns, plan, &mut values);
    purchases(&columns, plan, &mut values);
    openings(&columns, plan, &mut values);
    remainders(&columns, &mut values);
    let names = program.columns.iter().map(|column| column.name.clone());
    names.zip(values).collect()
}

fn lunches(columns: &Columns, plan: &Plan, values: &mut [Ratio]) {
    let one = Ratio::whole(1);
    for (day, lunch) in columns.lunch_days().zip(&plan.lunches) {
        values[columns.lunch(lunch.recipe, day)] = one;
        for (line, &taken) in lunch.taken.iter().enumerate() {
            values[columns.takes(lunch.recipe, day, line, usize::from(taken))] = one;
        }
        if let Some(&in_week) = columns.in_week.get(lunch.recipe.index()) {
            values[in_week] = one;
        }
    }
}

/// A batch's share of a lunch is what it serves of all that the lunch takes of the
/// component.
fn batches(columns: &Columns, plan: &Plan, values: &mut [Ratio]) {
    for batch in &plan.batches {
        if let Some(&cooks) = columns.cooks.get(&(batch.component, batch.day)) {
            values[cooks] = Ratio::whole(1);
        }
    }
    let taken = |ask: &super::columns::Ask, values: &[Ratio]| values[ask.taken] != Ratio::ZERO;
    let mut demand: BTreeMap<_, i64> = BTreeMap::new();
    for ask in columns.asks.iter().filter(|ask| taken(ask, values)) {
        *demand.entry((ask.component, ask.lunch)).or_default() += ask.mg;
    }
    for ask in &columns.asks {
        if !ask.splits() || !taken(ask, values) {
            continue;
        }
        let all = demand[&(ask.component, ask.lunch)];
        for &(from, share) in &ask.shares {
            let served: i64 = plan
                .batches
                .iter()
                .filter(|batch| batch.component == ask.component && batch.day == from)
                .flat_map(|batch| &batch.serves)
                .filter(|&&(day, _)| day == ask.lunch)
                .map(|&(_, mg)| mg)
                .sum();
            values[share] = Ratio::new(i128::from(served), i128::from(all));
        }
    }
}

fn purchases(columns: &Columns, plan: &Plan, values: &mut [Ratio]) {
    let one = Ratio::whole(1);
    for drawn in &columns.drawn {
        let (Lot::Bought(pack, trip), Some((packs, _))) = (drawn.source.lot, drawn.packs) else {
            continue;
        };
        let count: i64 = plan
            .purchases
            .iter()
            .filter(|bought| bought.pack == pack && bought.trip == trip)
            .map(|bought| bought.count)
            .sum();
        if count == 0 {
            continue;
        }
        values[packs] = Ratio::whole(i128::from(count));
        values[columns.bought[&drawn.source.food]] = one;
        if let Some(column) = columns.trips[usize::from(trip)] {
            values[column] = one;
        }
        let family = columns.larder.foods[drawn.source.food.index()].family;
        if let Some(family) = family {
            values[columns.families[&family]] = one;
        }
    }
}

fn openings(columns: &Columns, plan: &Plan, values: &mut [Ratio]) {
    for drawn in &columns.drawn {
        for opening in plan.openings.iter().filter(|o| o.lot == drawn.source.lot) {
            let of_day = drawn.opens.iter().find(|&&(day, _)| day == opening.day);
            if let Some(&(_, column)) = of_day {
                add(&mut values[column], Ratio::whole(i128::from(opening.units)));
            }
            for &(day, mg) in &opening.draws {
                let opened = (!drawn.source.free).then_some(opening.day);
                if let Some(column) = draw(drawn, opened, day) {
                    add(&mut values[column], Ratio::new(i128::from(mg), GRAM_MG));
                }
            }
        }
    }
}

fn draw(drawn: &Drawn, opened: Option<Day>, day: Day) -> Option<usize> {
    let mut draws = drawn.draws.iter();
    draws
        .find(|draw| draw.0 == opened && draw.1 == day)
        .map(|draw| draw.2)
}

fn add(value: &mut Ratio, more: Ratio) {
    *value = value.plus(more).expect("milligrams fit");
}

/// What is left of every lot, by its fate.
fn remainders(columns: &Columns, values: &mut [Ratio]) {
    for drawn in &columns.drawn {
        let source = &drawn.source;
        let sealed_is_kept = source.kept_if_sealed(columns.larder);
        let unit = |count: Ratio| -> Ratio {
            let mg = count.over * i128::from(source.unit_mg);
            Ratio::new(mg, count.under * GRAM_MG)
        };
        let all_units = drawn.packs.map_or(Ratio::whole(1), |(packs, _)| {
            Ratio::whole(values[packs].over * i128::from(source.units))
        });
        let mut left = [(sealed_is_kept, unit(all_units))].to_vec();
        for &(day, column) in &drawn.opens {
            let held = unit(values[column]);
            let kept = source.kept_if_opened(columns.larder, i32::from(day));
            left.push((sealed_is_kept, Ratio::new(-held.over, held.under)));
            left.push((kept, held));
        }
        for &(opened, _, column) in &drawn.draws {
            let kept = opened.map_or(sealed_is_kept, |day| {
                source.kept_if_opened(columns.larder, i32::from(day))
            });
            let drawn = values[column];
            left.push((kept, Ratio::new(-drawn.over, drawn.under)));
        }
        for (kept, grams) in left {
            let column = if kept { drawn.keeps } else { drawn.spoils };
            add(&mut values[column], grams);
        }
    }
}
