//! Variety: no two days should taste alike.
//!
//! Asks: at most `per_form` lunches of a form and, where asked, never two side by side; at
//! most `per_protein` lunches of a main protein; any two different recipes of the week at
//! most `sameness` alike, neighbours at most `sameness_adjacent` (see
//! [`sameness`](crate::larder::sameness) for the measure). A recipe that is repeated is
//! governed by `repeats` and by its form, not by its sameness to itself.
//! A kitchen wants it because a week from ten ingredients turns dull without it.
//! To loosen: each limit by itself.

use std::collections::{BTreeMap, BTreeSet};

use super::case::{Case, thousandths};
use super::finding::{Findings, RuleDoc};
use crate::larder::sameness;

pub(super) const TOO_MANY_OF_A_FORM: RuleDoc = RuleDoc {
    code: "too-many-of-a-form",
    asks: "the week has no more lunches of a form than `per_form` allows",
    loosen: "raise `rules: per_form`",
};
pub(super) const SAME_FORM_SIDE_BY_SIDE: RuleDoc = RuleDoc {
    code: "same-form-side-by-side",
    asks: "two lunches of one form do not stand on neighbouring days",
    loosen: "set `rules: form_adjacent` to true",
};
pub(super) const TOO_MANY_OF_A_PROTEIN: RuleDoc = RuleDoc {
    code: "too-many-of-a-protein",
    asks: "the week has no more lunches of a main protein than `per_protein` allows",
    loosen: "raise `rules: per_protein`",
};
pub(super) const TOO_ALIKE: RuleDoc = RuleDoc {
    code: "too-alike",
    asks: "no two different recipes of the week are more alike than `sameness` allows",
    loosen: "raise `rules: sameness`",
};
pub(super) const TOO_ALIKE_SIDE_BY_SIDE: RuleDoc = RuleDoc {
    code: "too-alike-side-by-side",
    asks: "no two different recipes on neighbouring days are more alike than `sameness_adjacent` allows",
    loosen: "raise `rules: sameness_adjacent`",
};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    counts(case, findings);
    neighbours(case, findings);
    pairs(case, findings);
}

fn counts(case: &Case, findings: &mut Findings) {
    let larder = case.larder;
    let (mut forms, mut proteins) = (BTreeMap::new(), BTreeMap::new());
    for served in case.lunches() {
        *forms.entry(served.recipe.form).or_insert(0i64) += 1;
        if let Some(protein) = served.recipe.protein {
            *proteins.entry(protein).or_insert(0i64) += 1;
        }
    }
    for (form, count) in forms {
        if let Some(most) = larder.wishes.per_form.filter(|&most| count > most) {
            let name = &larder.forms[form.index()];
            let detail = format!("{count} lunches are {name}; at most {most} allowed");
            findings.add(&TOO_MANY_OF_A_FORM, detail);
        }
    }
    for (protein, count) in proteins {
        if let Some(most) = larder.wishes.per_protein.filter(|&most| count > most) {
            let name = &larder.proteins[protein.index()];
            let detail = format!("{count} lunches are built on {name}; at most {most} allowed");
            findings.add(&TOO_MANY_OF_A_PROTEIN, detail);
        }
    }
}

fn neighbours(case: &Case, findings: &mut Findings) {
    let wishes = &case.larder.wishes;
    for (today, tomorrow) in case.lunches().zip(case.lunches().skip(1)) {
        let (one, other) = (case.day(today.day), case.day(tomorrow.day));
        if wishes.form_never_adjacent && today.recipe.form == tomorrow.recipe.form {
            let name = &case.larder.forms[today.recipe.form.index()];
            let detail = format!("{one} and {other} are both {name}");
            findings.add(&SAME_FORM_SIDE_BY_SIDE, detail);
        }
        let (a, b) = (today.lunch.recipe, tomorrow.lunch.recipe);
        if let Some(limit) = wishes.sameness_adjacent_milli
            && a != b
            && sameness::exceeds(case.larder, a, b, limit)
        {
            let detail = format!(
                "“{}” on {one} and “{}” on {other} are more than {} alike",
                today.recipe.name,
                tomorrow.recipe.name,
                thousandths(i128::from(limit))
            );
            findings.add(&TOO_ALIKE_SIDE_BY_SIDE, detail);
        }
    }
}

fn pairs(case: &Case, findings: &mut Findings) {
    let Some(limit) = case.larder.wishes.sameness_milli else {
        return;
    };
    let recipes: BTreeSet<_> = case.lunches().map(|served| served.lunch.recipe).collect();
    for &a in &recipes {
        for &b in recipes.range(a..).skip(1) {
            if sameness::exceeds(case.larder, a, b, limit) {
                let detail = format!(
                    "“{}” and “{}” are more than {} alike",
                    case.larder.recipes[a.index()].name,
                    case.larder.recipes[b.index()].name,
                    thousandths(i128::from(limit))
                );
                findings.add(&TOO_ALIKE, detail);
            }
        }
    }
}
