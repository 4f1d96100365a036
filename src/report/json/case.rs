//! A week in short, how it differs from another, and the answer to one question: shapes, and how
//! they are filled.

use schemars::JsonSchema;
use serde::Serialize;

use super::exact::Exact;
use crate::explain::{Brief, Case, Explanation, Proof, Sums, Switch, When};
use crate::report::names::isolated;
use crate::report::trade_sentences;

/// Sums people compare.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SumsShape {
    /// Price of all packs, minor units.
    pub bill: i64,
    /// Foods to buy bought.
    pub foods: i64,
    /// Value of what spoils, minor units, unweighted.
    pub spoiled: Exact,
    /// Active minutes.
    pub minutes: Exact,
    /// Total, wishes priced in, minor units.
    pub objective: Exact,
}

/// Three different words.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ProofWord {
    /// Proved: there is no better week.
    Best,
    /// Proved: there is no week.
    Impossible,
    /// Stopped before it was settled.
    Open,
    /// Not asked: with the change, figures are beyond what a kitchen may have.
    NotAsked,
}

/// A week in short.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BriefShape {
    /// Its sums.
    pub sums: SumsShape,
    /// Its lunches, in day order.
    pub lunches: Vec<BriefLunchShape>,
    /// Foods to buy bought.
    pub bought: Vec<String>,
}

/// A lunch in short.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BriefLunchShape {
    /// The day.
    pub day: i32,
    /// The recipe.
    pub recipe: String,
    /// What lines take that is not their first alternative: taken, and instead of what.
    pub taking: Vec<(String, String)>,
}

/// The answer to one question, held against the chosen week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CaseShape {
    /// What was proved.
    pub outcome: ProofWord,
    /// The best week; when open, the best one found, if any.
    pub week: Option<BriefShape>,
    /// Its sums less those of the chosen week.
    pub more: Option<SumsShape>,
    /// The least the total can differ from that of the chosen week: exact if the outcome
    /// is best, a bound if it is open, null if nothing is proved or there is no week.
    pub at_least: Option<Exact>,
    /// How the week differs from the chosen one.
    pub switch: Option<SwitchShape>,
}

/// A change told at the end of a week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct TellingShape {
    /// The change and what comes of it, in words.
    pub sentence: String,
    /// The best week with it.
    pub case: CaseShape,
}

/// How a week differs, whatever the days.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SwitchShape {
    /// Day and recipe of the lunches that leave.
    pub leave: Vec<(i32, String)>,
    /// Day and recipe of the lunches that come.
    pub come: Vec<(i32, String)>,
    /// Recipe, what a line of it took, what it takes now.
    pub lines: Vec<(String, String, String)>,
    /// Recipes that move to another day.
    pub moved: Vec<String>,
    /// Foods not bought any more.
    pub dropped: Vec<String>,
    /// Foods bought only now.
    pub added: Vec<String>,
}

pub(super) fn sums(sums: &Sums) -> SumsShape {
    SumsShape {
        bill: sums.packs_minor,
        foods: sums.foods,
        spoiled: Exact::nano(sums.spoiled_nano),
        minutes: Exact::nano(sums.minutes_nano),
        objective: Exact::nano(sums.objective_nano),
    }
}

pub(super) fn word(proof: Proof) -> ProofWord {
    match proof {
        Proof::Best => ProofWord::Best,
        Proof::Impossible => ProofWord::Impossible,
        Proof::Open => ProofWord::Open,
        Proof::NotAsked => ProofWord::NotAsked,
    }
}

pub(super) fn brief(week: &Brief) -> BriefShape {
    BriefShape {
        sums: sums(&week.sums),
        lunches: week
            .lunches
            .iter()
            .map(|lunch| BriefLunchShape {
                day: lunch.when.day,
                recipe: lunch.recipe.clone(),
                taking: lunch.taking.clone(),
            })
            .collect(),
        bought: week.bought.clone(),
    }
}

pub(super) fn case(case: &Case) -> CaseShape {
    CaseShape {
        outcome: word(case.proof),
        week: case.week.as_ref().map(brief),
        more: case.more.as_ref().map(sums),
        at_least: case.least_nano.map(Exact::nano),
        switch: case.switch.as_ref().map(switch),
    }
}

/// The changes told at the end of a week.
pub(super) fn tellings(explanation: &Explanation) -> Vec<TellingShape> {
    let currency = &explanation.currency;
    let told = explanation.telling.iter();
    told.map(|told| TellingShape {
        sentence: trade_sentences::telling(&isolated(told), currency),
        case: case(&told.case),
    })
    .collect()
}

fn lunches(list: &[(When, String)]) -> Vec<(i32, String)> {
    let list = list.iter();
    list.map(|(when, recipe)| (when.day, recipe.clone()))
        .collect()
}

fn switch(switch: &Switch) -> SwitchShape {
    SwitchShape {
        leave: lunches(&switch.leave),
        come: lunches(&switch.come),
        lines: switch
            .lines
            .iter()
            .map(|line| (line.recipe.clone(), line.was.clone(), line.is.clone()))
            .collect(),
        moved: switch.moved.clone(),
        dropped: switch.dropped.clone(),
        added: switch.added.clone(),
    }
}
