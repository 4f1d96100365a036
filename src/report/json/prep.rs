//! The prep plan as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use super::super::names::isolated;
use super::super::prep_words;
use super::super::sentences;
use super::fill::outcome;
use super::shape::{AdviceShape, OutcomeWord};
use crate::explain::{Explanation, NoteFacts, NoteOf, StintFacts, TaskFacts, Time};

/// What is done when. Times are whole minutes from the beginning of a stint; days are counted
/// from the prep day, which is 0.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PrepReport {
    /// What was proved of the week.
    pub outcome: OutcomeWord,
    /// The kitchen's name.
    pub kitchen: String,
    /// Minutes in the kitchen, all stints together; null without a week.
    pub minutes: Option<i64>,
    /// No way of placing and timing the steps of this week takes fewer.
    pub bound: Option<i64>,
    /// Whether that is proved: `bound` is `minutes`.
    pub proved: bool,
    /// In time order.
    pub stints: Vec<StintShape>,
    /// What is to be seen to besides, by day.
    pub notes: Vec<NoteShape>,
    /// What no figure here can promise.
    pub cautions: Vec<String>,
    /// What protects: each line of advice that this week needs, the gravest first.
    pub advice: Vec<AdviceShape>,
}

/// A stint.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct StintShape {
    /// The day.
    pub day: i32,
    /// Its name.
    pub name: String,
    /// When on it.
    pub time: TimeWord,
    /// Minutes in the kitchen.
    pub minutes: i64,
    /// No timetable of these tasks is shorter.
    pub bound: i64,
    /// Minutes that need the cook.
    pub active: i64,
    /// When the last thing that goes on by itself is over.
    pub over: i64,
    /// By start.
    pub tasks: Vec<TaskShape>,
    /// Stretches in which the cook waits.
    pub waits: Vec<WaitShape>,
}

/// When on a day.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TimeWord {
    /// The prep day, at any time.
    PrepDay,
    /// Before the lunch is carried off.
    Morning,
    /// After that.
    Evening,
}

/// Something done once.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct TaskShape {
    /// Recipes and components it is part of.
    pub of: Vec<String>,
    /// Lunch days of the recipes among them.
    pub lunches: Vec<i32>,
    /// What is done.
    pub verb: String,
    /// The food or component it is done to; null where the step names none.
    pub food: Option<String>,
    /// The instruction.
    pub text: String,
    /// When it starts.
    pub start: i64,
    /// When the cook is done with it.
    pub done: i64,
    /// When it is over: from `done` on it goes on by itself.
    pub end: i64,
    /// Equipment held from start to end.
    pub needs: Vec<NeedShape>,
    /// What goes on by itself while the cook does this.
    pub beside: Vec<BesideShape>,
    /// May be done in an earlier stint too: the earliest.
    pub as_early_as: Option<EarlyShape>,
    /// The day it is for, if it is done before it.
    pub ahead_of: Option<i32>,
}

/// A stint.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct EarlyShape {
    /// The day.
    pub day: i32,
    /// When on it.
    pub time: TimeWord,
}

/// Equipment.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct NeedShape {
    /// Its name.
    pub name: String,
    /// How many.
    pub count: i64,
}

/// What goes on by itself.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BesideShape {
    /// The recipe or component.
    pub of: String,
    /// Until when.
    pub end: i64,
}

/// A stretch of waiting.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct WaitShape {
    /// From when.
    pub from: i64,
    /// Until when.
    pub to: i64,
}

/// Something to see to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct NoteShape {
    /// The day; may lie behind the last lunch.
    pub day: i32,
    /// Its name.
    pub name: String,
    /// What kind.
    pub kind: NoteWord,
    /// The food or component.
    pub food: String,
    /// The pack, or what the cook calls it; null for a dressing and for fruit to cut.
    pub pack: Option<String>,
    /// Units of the pack; null where they do not matter.
    pub units: Option<i64>,
    /// The day that belongs to it: ripe by, cut by, good until.
    pub by: Option<i32>,
    /// Milligrams to throw out.
    pub mg: Option<i64>,
    /// The same as a sentence.
    pub text: String,
}

/// Kinds of notes.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum NoteWord {
    /// Unripe fruit to the counter.
    Counter,
    /// Ripe fruit to the refrigerator.
    Refrigerate,
    /// A pack to open.
    Open,
    /// Fruit to cut this morning and not before.
    CutToday,
    /// A dressing to carry apart.
    CarryApart,
    /// What is past its last good day.
    ThrowOut,
}

pub(super) fn report(explanation: &Explanation) -> PrepReport {
    let facts = explanation.prep.as_ref();
    PrepReport {
        outcome: outcome(explanation.verdict),
        kitchen: explanation.kitchen.clone(),
        minutes: facts.map(|facts| facts.length),
        bound: facts.map(|facts| facts.bound),
        proved: facts.is_some_and(|facts| facts.bound == facts.length),
        stints: facts.map_or(Vec::new(), |facts| facts.stints.iter().map(stint).collect()),
        notes: facts.map_or(Vec::new(), |facts| facts.notes.iter().map(note).collect()),
        cautions: sentences::CAUTIONS.map(str::to_owned).to_vec(),
        advice: explanation.week.as_ref().map_or(Vec::new(), |week| {
            week.advice.iter().map(super::fill::advice).collect()
        }),
    }
}

fn word(time: Time) -> TimeWord {
    match time {
        Time::PrepDay => TimeWord::PrepDay,
        Time::Morning => TimeWord::Morning,
        Time::Evening => TimeWord::Evening,
    }
}

fn stint(facts: &StintFacts) -> StintShape {
    StintShape {
        day: facts.when.day,
        name: facts.when.name.clone(),
        time: word(facts.time),
        minutes: facts.length,
        bound: facts.bound,
        active: facts.active,
        over: facts.over,
        tasks: facts.tasks.iter().map(task).collect(),
        waits: facts
            .waits
            .iter()
            .map(|&(from, to)| WaitShape { from, to })
            .collect(),
    }
}

fn task(facts: &TaskFacts) -> TaskShape {
    TaskShape {
        of: facts.of.clone(),
        lunches: facts.lunches.iter().map(|when| when.day).collect(),
        verb: facts.verb.clone(),
        food: facts.food.clone(),
        text: facts.text.clone(),
        start: facts.start,
        done: facts.done,
        end: facts.end,
        needs: facts
            .needs
            .iter()
            .map(|(name, count)| NeedShape {
                name: name.clone(),
                count: *count,
            })
            .collect(),
        beside: facts
            .beside
            .iter()
            .map(|(of, end)| BesideShape {
                of: of.clone(),
                end: *end,
            })
            .collect(),
        as_early_as: facts.as_early_as.as_ref().map(|(when, time)| EarlyShape {
            day: when.day,
            time: word(*time),
        }),
        ahead_of: facts.ahead_of.as_ref().map(|when| when.day),
    }
}

fn note(facts: &NoteFacts) -> NoteShape {
    let (kind, food, pack, units, by, mg) = match &facts.of {
        NoteOf::Counter {
            food,
            pack,
            units,
            ripe,
            ..
        } => (
            NoteWord::Counter,
            food,
            Some(pack),
            Some(*units),
            Some(ripe),
            None,
        ),
        NoteOf::Refrigerate {
            food,
            pack,
            units,
            until,
            ..
        } => (
            NoteWord::Refrigerate,
            food,
            Some(pack),
            Some(*units),
            Some(until),
            None,
        ),
        NoteOf::Open {
            food,
            pack,
            units,
            good_until,
            ..
        } => (
            NoteWord::Open,
            food,
            Some(pack),
            Some(*units),
            Some(good_until),
            None,
        ),
        NoteOf::CutToday { food } => (NoteWord::CutToday, food, None, None, None, None),
        NoteOf::Apart { dressing, .. } => (NoteWord::CarryApart, dressing, None, None, None, None),
        NoteOf::ThrowOut { food, pack, mg } => {
            (NoteWord::ThrowOut, food, Some(pack), None, None, Some(*mg))
        }
    };
    NoteShape {
        day: facts.when.day,
        name: facts.when.name.clone(),
        kind,
        food: food.clone(),
        pack: pack.cloned(),
        units,
        by: by.map(|when| when.day),
        mg,
        text: prep_words::note(&isolated(facts)).replace(super::super::words::JOINT, " "),
    }
}
