//! Resolves components made from components: order, circles, and what one batch takes in all.

use super::drafts::{ComponentDraft, FINE};
use super::fault::Sink;
use super::limits;
use super::steps::bytes;
use super::wording::shown;
use crate::larder::{ComponentId, FoodId, Ingredient, Step};
use std::collections::{BTreeMap, BTreeSet};

/// Resolves all drafts in place.
pub(crate) fn resolve_all(drafts: &mut [ComponentDraft], sink: &mut Sink) {
    for index in order(drafts, sink) {
        resolve(drafts, index, sink);
    }
    if sink.is_overfull() {
        // Refused; nobody looks through what was copied so far.
        for draft in drafts {
            draft.component.steps.clear();
            draft.component.needs.clear();
            draft.component.tags.clear();
        }
    }
}

/// Returns the components so that what is inside comes first; those on a cycle are left out,
/// with one fault for each cycle.
fn order(drafts: &[ComponentDraft], sink: &mut Sink) -> Vec<usize> {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        Open,
        Done,
    }
    let mut marks = vec![Mark::New; drafts.len()];
    let mut out = Vec::with_capacity(drafts.len());
    for start in 0..drafts.len() {
        if marks[start] != Mark::New {
            continue;
        }
        // The path from `start`, each with the position of its next part to look at.
        let mut path = vec![(start, 0)];
        marks[start] = Mark::Open;
        while let Some((node, next)) = path.last_mut() {
            let node = *node;
            let Some(&(child, _)) = drafts[node].inside.get(*next) else {
                marks[node] = Mark::Done;
                out.push(node);
                path.pop();
                continue;
            };
            *next += 1;
            match marks[child] {
                Mark::New => {
                    marks[child] = Mark::Open;
                    path.push((child, 0));
                }
                Mark::Open => {
                    let from = path.iter().position(|&(on, _)| on == child).unwrap_or(0);
                    cycle(&path[from..], drafts, sink);
                }
                Mark::Done => {}
            }
        }
    }
    out
}

fn cycle(path: &[(usize, usize)], drafts: &[ComponentDraft], sink: &mut Sink) {
    let mut names: Vec<String> = path
        .iter()
        .take(12)
        .map(|&(index, _)| format!("`{}`", shown(&drafts[index].component.name)))
        .collect();
    if path.len() > names.len() {
        names.push("...".to_owned());
    }
    names.push(names[0].clone());
    sink.fault(
        drafts[path[0].0].at,
        format!(
            "components are made from each other in a circle: {}",
            names.join(" <- ")
        ),
        "take one of them out of another's `from`",
    );
}

/// Bytes, about, that a component holds and one it is in would hold again.
fn copied(draft: &ComponentDraft) -> usize {
    let component = &draft.component;
    let steps = component.steps.iter();
    let steps = steps
        .map(|step| size_of::<Step>() + step.text.len() + step.verb.len() + bytes(&step.needs));
    steps.sum::<usize>()
        + bytes(&component.needs)
        + bytes(&component.tags)
        + size_of::<(FoodId, i64)>() * component.foods.len()
        + size_of::<ComponentId>() * component.inside.len()
}

/// Adds up what one component takes, those inside it being resolved already.
fn resolve(drafts: &mut [ComponentDraft], index: usize, sink: &mut Sink) {
    let mut total: BTreeMap<FoodId, i128> = BTreeMap::new();
    for &(food, mg) in &drafts[index].foods {
        *total.entry(food).or_default() += i128::from(mg);
    }
    let mut rate = drafts[index].rate_fine;
    let mut batch = 0_i64;
    let mut passive = 0_i64;
    let mut needs = drafts[index].component.needs.clone();
    let mut tags = drafts[index].component.tags.clone();
    let mut steps: Vec<Step> = Vec::new();
    let mut seen: Vec<usize> = Vec::new();
    let mut inside: Vec<ComponentId> = Vec::new();
    let parts: BTreeSet<usize> = drafts[index].inside.iter().map(|&(part, _)| part).collect();
    let copied = parts.iter().map(|&part| copied(&drafts[part])).sum();
    if !sink.may_unfold(drafts[index].at, copied) {
        return;
    }
    for &(part, mg) in &drafts[index].inside {
        let inner = &drafts[part];
        let makes = i128::from(inner.component.makes_mg);
        for &(food, per_batch) in &inner.component.foods {
            *total.entry(food).or_default() += i128::from(mg) * i128::from(per_batch) / makes;
        }
        let per_mg =
            i128::from(mg) * inner.rate_fine / i128::from(drafts[index].component.makes_mg);
        rate = rate.saturating_add(per_mg);
        // Twice in one batch is still made once.
        if !seen.contains(&part) {
            seen.push(part);
            inside.push(ComponentId::new(part));
            inside.extend(&inner.component.inside);
            batch = batch.saturating_add(inner.component.batch_minutes_nano);
            passive = passive.saturating_add(inner.component.passive_minutes);
            needs.extend(inner.component.needs.iter().cloned());
            tags.extend(inner.component.tags.iter().cloned());
            steps.extend(inner.component.steps.iter().cloned());
        }
    }
    let draft = &mut drafts[index];
    let most = i128::from(limits::MASS_MG) * 1_000;
    if total.values().any(|&mg| mg > most)
        || rate / FINE > i128::from(limits::MINUTES) * FINE
        || batch > limits::MINUTES * 100 * FINE as i64
    {
        sink.fault(
            draft.at,
            format!(
                "what `{}` takes adds up to more than can be reckoned with",
                shown(&draft.component.name)
            ),
            "check the amounts in `from`, and `makes` of the components inside it",
        );
        return;
    }
    if !steps.is_empty() {
        // What is inside is made before anything else is done to it.
        for step in &mut draft.component.steps {
            step.after_all |= matches!(step.what, Some(Ingredient::Component(_)));
        }
    }
    steps.append(&mut draft.component.steps);
    steps.truncate(limits::LIST);
    inside.sort_unstable();
    inside.dedup();
    needs.sort_unstable();
    needs.dedup();
    tags.sort_unstable();
    tags.dedup();
    let component = &mut draft.component;
    // What rounds to no milligram is in it all the same: bans and allergens ask.
    component.foods = total
        .into_iter()
        .map(|(food, mg)| (food, mg as i64))
        .collect();
    component.batch_minutes_nano += batch;
    component.passive_minutes += passive;
    component.inside = inside;
    component.needs = needs;
    component.tags = tags;
    component.steps = steps;
    component.minutes_per_mg_nano = ((rate + FINE / 2) / FINE) as i64;
    draft.rate_fine = rate;
}

/// Returns which components are part, at any depth, of those in `used`.
pub(crate) fn inside(drafts: &[ComponentDraft], used: &[bool]) -> Vec<bool> {
    let mut out = vec![false; drafts.len()];
    let mut open: Vec<usize> = (0..drafts.len()).filter(|&index| used[index]).collect();
    while let Some(index) = open.pop() {
        for &(part, _) in &drafts[index].inside {
            if !out[part] {
                out[part] = true;
                open.push(part);
            }
        }
    }
    out
}
