//! Rows of variety: forms, main proteins and recipes too much alike (section 4, number 9,
//! of the model).

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};
use crate::larder::sameness::Sameness;
use crate::larder::{Day, FormId, ProteinId, RecipeId};

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    forms(columns, draft);
    proteins(columns, draft);
    let sameness = Sameness::new(columns.larder);
    if let Some(limit) = columns.larder.wishes.sameness_milli {
        pairs_of_the_week(columns, &sameness, limit, draft);
    }
    if let Some(limit) = columns.larder.wishes.sameness_adjacent_milli {
        neighbours(columns, &sameness, limit, draft);
    }
}

fn terms_on<'a>(
    columns: &'a Columns,
    recipes: &'a [RecipeId],
    days: impl Iterator<Item = Day> + Clone + 'a,
) -> Vec<(usize, i128)> {
    let pairs = recipes
        .iter()
        .flat_map(move |&recipe| days.clone().map(move |day| (recipe, day)));
    pairs
        .map(|(recipe, day)| (columns.lunch(recipe, day), ONE))
        .collect()
}

fn neighbouring_days(columns: &Columns) -> impl Iterator<Item = Day> + use<> {
    1..columns.larder.week.lunches
}

fn forms(columns: &Columns, draft: &mut Draft) {
    let wishes = &columns.larder.wishes;
    for (index, name) in columns.names.forms.iter().enumerate() {
        let of_form: Vec<RecipeId> = columns
            .recipes()
            .filter(|r| columns.larder.recipes[r.index()].form == FormId::new(index))
            .collect();
        if let Some(most) = wishes.per_form {
            draft.row(
                "too-many-of-a-form",
                format!("form.{name}"),
                terms_on(columns, &of_form, 1..=columns.larder.week.lunches),
                Sense::AtMost,
                i128::from(most) * ONE,
            );
        }
        if wishes.form_never_adjacent {
            for day in neighbouring_days(columns) {
                draft.row(
                    "same-form-side-by-side",
                    format!("form_beside.{name}.d{day}"),
                    terms_on(columns, &of_form, day..=day + 1),
                    Sense::AtMost,
                    ONE,
                );
            }
        }
    }
}

fn proteins(columns: &Columns, draft: &mut Draft) {
    let Some(most) = columns.larder.wishes.per_protein else {
        return;
    };
    for (index, name) in columns.names.proteins.iter().enumerate() {
        let of_protein: Vec<RecipeId> = columns
            .recipes()
            .filter(|r| columns.larder.recipes[r.index()].protein == Some(ProteinId::new(index)))
            .collect();
        draft.row(
            "too-many-of-a-protein",
            format!("protein.{name}"),
            terms_on(columns, &of_protein, 1..=columns.larder.week.lunches),
            Sense::AtMost,
            i128::from(most) * ONE,
        );
    }
}

/// Two recipes too much alike are not both in the week.
fn pairs_of_the_week(columns: &Columns, sameness: &Sameness, limit: i64, draft: &mut Draft) {
    let week = 1..=columns.larder.week.lunches;
    for (r, &in_week) in columns.recipes().zip(&columns.in_week) {
        for day in columns.lunch_days() {
            draft.row(
                "too-alike",
                format!("in_week.{}.d{day}", columns.names.recipes[r.index()]),
                vec![(columns.lunch(r, day), ONE), (in_week, -ONE)],
                Sense::AtMost,
                0,
            );
        }
    }
    for a in columns.recipes() {
        for b in columns.recipes().skip(a.index() + 1) {
            if !sameness.exceeds(a, b, limit) {
                continue;
            }
            let terms = if columns.in_week.is_empty() {
                terms_on(columns, &[a, b], week.clone())
            } else {
                let both = [a, b];
                both.map(|r| (columns.in_week[r.index()], ONE)).to_vec()
            };
            let names = &columns.names.recipes;
            draft.row(
                "too-alike",
                format!("alike.{}.{}", names[a.index()], names[b.index()]),
                terms,
                Sense::AtMost,
                ONE,
            );
        }
    }
}

/// A recipe on one day shuts out all that are too much like it on the next. The day has one
/// lunch, so they fit one row together.
fn neighbours(columns: &Columns, sameness: &Sameness, limit: i64, draft: &mut Draft) {
    for a in columns.recipes() {
        let alike: Vec<RecipeId> = columns
            .recipes()
            .filter(|&b| b != a && sameness.exceeds(a, b, limit))
            .collect();
        if alike.is_empty() {
            continue;
        }
        let name = &columns.names.recipes[a.index()];
        for day in neighbouring_days(columns) {
            let mut terms = terms_on(columns, &alike, day + 1..=day + 1);
            terms.push((columns.lunch(a, day), ONE));
            draft.row(
                "too-alike-side-by-side",
                format!("alike_beside.{name}.d{day}"),
                terms,
                Sense::AtMost,
                ONE,
            );
        }
    }
}
