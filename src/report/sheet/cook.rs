//! What is done when, on the page: each stint with its bars, its steps with their amounts, and what
//! is to be seen to that day.

use super::super::{advice, amounts, phrases, prep_words, words};
use crate::explain::{
    AdviceFacts, Explanation, NoteOf, PrepFacts, RecipeFacts, StintFacts, TaskFacts, Time,
    WeekFacts, When,
};

/// The section.
pub(super) struct Cook {
    pub(super) stints: Vec<Stint>,
    /// Some stint has bars.
    pub(super) drawn: bool,
    /// Where it is not known what is done when: recipes, one after the other.
    pub(super) plain: Vec<Plain>,
    pub(super) told: String,
}

impl Cook {
    /// All that can be ticked, as one text.
    pub(super) fn ticked(&self) -> String {
        let steps = self.stints.iter().flat_map(|stint| &stint.steps);
        let steps = steps.map(|step| format!("{} {}", step.at, step.what));
        steps.collect::<Vec<_>>().join("\n")
    }
}

/// One stretch in the kitchen, or a day on which there is only something to see to.
pub(super) struct Stint {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) prep_day: bool,
    pub(super) rows: Vec<Row>,
    pub(super) marks: Vec<Mark>,
    pub(super) steps: Vec<Step>,
    pub(super) notes: Vec<String>,
}

/// What goes on with one thing.
pub(super) struct Row {
    pub(super) name: String,
    pub(super) note: String,
    pub(super) pieces: Vec<Piece>,
}

/// A stretch: where it begins and how wide it is, both in hundredths of a percent.
pub(super) struct Piece {
    pub(super) kind: &'static str,
    pub(super) left: String,
    pub(super) width: String,
}

/// A mark of the scale.
pub(super) struct Mark {
    pub(super) left: String,
    pub(super) minute: i64,
}

/// Something to do.
pub(super) struct Step {
    pub(super) at: String,
    pub(super) whose: String,
    pub(super) what: String,
    pub(super) more: String,
    /// Equipment: on paper the bars say that something is on the heat.
    pub(super) needs: String,
}

/// A recipe without times.
pub(super) struct Plain {
    pub(super) title: String,
    pub(super) lines: String,
    pub(super) steps: Vec<String>,
}

pub(super) fn cook(explanation: &Explanation, week: &WeekFacts) -> Cook {
    match &explanation.prep {
        Some(facts) => {
            let stints = stints(facts, week);
            Cook {
                drawn: stints.iter().any(|stint| !stint.rows.is_empty()),
                stints,
                plain: Vec::new(),
                told: prep_words::total(facts),
            }
        }
        None => Cook {
            stints: Vec::new(),
            drawn: false,
            plain: (week.cook.batches.iter())
                .chain(&week.cook.lunches)
                .map(plain)
                .collect(),
            told: String::new(),
        },
    }
}

fn plain(recipe: &RecipeFacts) -> Plain {
    let lines = recipe.lines.iter();
    let lines: Vec<String> = lines
        .map(|line| format!("{} {}", line.taken.name(), amounts::at_bench(&line.amount)))
        .collect();
    Plain {
        title: format!("{}: {}", words::short(&recipe.when), recipe.name),
        lines: lines.join(", "),
        steps: recipe.steps.clone(),
    }
}

fn stints(facts: &PrepFacts, week: &WeekFacts) -> Vec<Stint> {
    let days = facts.stints.iter().map(|stint| &stint.when);
    let noted = facts.notes.iter().map(|note| &note.when);
    let mut days: Vec<&When> = days.chain(noted).collect();
    days.sort();
    days.dedup();
    let mut all = Vec::new();
    for when in days {
        let mut notes = Some(notes(facts, &week.advice, when));
        for (at, one) in facts.stints.iter().enumerate() {
            if one.when == *when {
                all.push(stint(at, one, week, notes.take().unwrap_or_default()));
            }
        }
        if let Some(notes) = notes.filter(|notes| !notes.is_empty()) {
            all.push(Stint {
                id: format!("see-{}", all.len()),
                title: when.name.clone(),
                prep_day: false,
                rows: Vec::new(),
                marks: Vec::new(),
                steps: Vec::new(),
                notes,
            });
        }
    }
    all
}

fn stint(at: usize, facts: &StintFacts, week: &WeekFacts, notes: Vec<String>) -> Stint {
    let rows = rows(facts, week);
    // With one thing to do there is nothing to see of what goes on beside it.
    let drawn = rows.len() > 1;
    Stint {
        id: format!("prep-{at}"),
        title: title(facts),
        prep_day: facts.time == Time::PrepDay,
        marks: if drawn { marks(facts) } else { Vec::new() },
        rows: if drawn { rows } else { Vec::new() },
        steps: steps(facts),
        notes,
    }
}

fn title(facts: &StintFacts) -> String {
    let day = match facts.time {
        Time::Morning => format!("{} morning", facts.when.name),
        Time::Evening => format!("{} evening", facts.when.name),
        Time::PrepDay => facts.when.name.clone(),
    };
    let waiting = match facts.length - facts.active {
        0 => String::new(),
        waiting => format!(", {waiting} waiting"),
    };
    format!("{day}: {}{waiting}", words::count(facts.length, "minute"))
}

/// The steps; whose one is is said where it is another's than the one before.
fn steps(facts: &StintFacts) -> Vec<Step> {
    let mut last = String::new();
    let one = |task| {
        let mut step = step(task);
        if step.whose == last {
            step.whose = String::new();
        } else {
            last.clone_from(&step.whose);
        }
        step
    };
    facts.tasks.iter().map(one).collect()
}

fn step(task: &TaskFacts) -> Step {
    let mut more = Vec::new();
    if task.end > task.done {
        more.push(format!("by itself to {}", prep_words::clock(task.end)));
    }
    if let Some((when, time)) = &task.as_early_as {
        more.push(format!(
            "may be done from {} on",
            prep_words::part_of_day(when, *time)
        ));
    }
    Step {
        at: prep_words::clock(task.start),
        whose: amounts::begun(&prep_words::whose(task)),
        what: amounts::told(task),
        more: more.join("; "),
        needs: prep_words::needs(task),
    }
}

/// What there is to see to on a day; what is carried apart stands on the box.
fn notes(facts: &PrepFacts, advised: &[AdviceFacts], when: &When) -> Vec<String> {
    let here = || (facts.notes.iter()).filter(|note| note.when == *when);
    let mut all = Vec::new();
    let opened: Vec<String> = here()
        .filter_map(|note| match &note.of {
            NoteOf::Open { food, pack, .. } if food == pack => Some(food.clone()),
            NoteOf::Open { food, pack, .. } => Some(format!("{food} ({pack})")),
            _ => None,
        })
        .collect();
    if !opened.is_empty() {
        all.push(format!("Open: {}.", opened.join(", ")));
    }
    let out: Vec<String> = here()
        .filter_map(|note| match &note.of {
            NoteOf::ThrowOut { food, mg, .. } => Some(format!("{food} {}", words::mass(*mg))),
            _ => None,
        })
        .collect();
    if !out.is_empty() {
        all.push(format!("Throw out: {}.", out.join(", ")));
    }
    let others = here().filter(|note| {
        !matches!(
            note.of,
            NoteOf::Open { .. } | NoteOf::ThrowOut { .. } | NoteOf::Apart { .. }
        )
    });
    all.extend(others.map(|note| phrases::capital(&prep_words::note(note))));
    all.extend(advice::of_day_in_short(advised, when));
    all
}

/// The tasks of each thing, in order of first use, and what is known of a batch.
fn rows(facts: &StintFacts, week: &WeekFacts) -> Vec<Row> {
    let mut rows: Vec<(String, &TaskFacts, Vec<&TaskFacts>)> = Vec::new();
    for task in &facts.tasks {
        let name = prep_words::whose(task);
        match rows.iter_mut().find(|row| row.0 == name) {
            Some(row) => row.2.push(task),
            None => rows.push((name, task, vec![task])),
        }
    }
    let over = over(facts);
    rows.into_iter()
        .map(|(name, first, tasks)| Row {
            note: batch_note(first, facts, week),
            name: amounts::begun(&name),
            pieces: tasks
                .into_iter()
                .flat_map(|task| pieces(task, over))
                .collect(),
        })
        .collect()
}

/// `eat by Wed · 1.32 kg`.
fn batch_note(task: &TaskFacts, facts: &StintFacts, week: &WeekFacts) -> String {
    let [name] = &task.of[..] else {
        return String::new();
    };
    let batch = (week.batches.iter()).find(|batch| {
        task.lunches.is_empty() && batch.when == facts.when && batch.component == *name
    });
    batch.map_or(String::new(), |batch| {
        format!(
            "{} · eat {}",
            words::mass(batch.mg),
            words::by(&batch.keeps_until, &batch.when)
        )
    })
}

fn over(facts: &StintFacts) -> i64 {
    facts.over.max(facts.length).max(1)
}

/// Hundredths of a percent as the style sheet reads them.
fn percent(part: i64, whole: i64) -> String {
    let hundredths = i128::from(part) * 10_000 / i128::from(whole.max(1));
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

fn pieces(task: &TaskFacts, over: i64) -> Vec<Piece> {
    let piece = |kind, from: i64, to: i64| Piece {
        kind,
        left: percent(from, over),
        width: percent(to - from, over),
    };
    let by_itself = if task.needs.is_empty() {
        "alone"
    } else {
        "watched"
    };
    let hands = (task.done > task.start).then(|| piece("hands", task.start, task.done));
    let rest = (task.end > task.done).then(|| piece(by_itself, task.done, task.end));
    hands.into_iter().chain(rest).collect()
}

/// The scale: no more than eight marks, so that they do not run into each other on a phone.
fn marks(facts: &StintFacts) -> Vec<Mark> {
    let over = over(facts);
    let wide = [5, 10, 15, 30, 60, 120, 240, 480];
    let apart = wide.into_iter().find(|apart| over / apart <= 7);
    let apart = apart.unwrap_or(over / 7 + 1);
    (0..=over / apart)
        .map(|at| Mark {
            left: percent(at * apart, over),
            minute: at * apart,
        })
        .collect()
}
