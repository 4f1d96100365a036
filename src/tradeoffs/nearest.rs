//! The nearest value: the least by which a rule with a number must give way for a week to exist
//! while all other rules stay.
//!
//! Of a budget it is the least bill, found by making the bill small. Where no sum that the search
//! makes small is the rule's number, whole values are halved between one that is proved to leave
//! no week and one that a week keeps; every week found counts with the nearest value that it
//! keeps itself, by the judge. Either way the value is exact: one value nearer there is no week.

use super::change::{Change, Times, changed};
use super::desk::{Desk, Question};
use super::facts::Proof;
use super::rules::Rule;
use crate::engine::{EngineFault, Limits, Outcome, Progress, solve};
use crate::larder::Larder;
use crate::plan::Plan;
use crate::rules::judge;

use super::change::make;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether there is a week.
pub(super) enum Any {
    /// One is known; its plan, if it was told.
    Week(Option<Plan>),
    /// There is none, proved.
    None,
    /// Stopped before that was known, or not asked.
    Open,
}

/// Looks for any week with changes.
///
/// # Errors
/// Those of the engine.
pub(super) fn any(
    larder: &Larder,
    changes: &[Change],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Any, EngineFault> {
    let changed = larder.changed(|contents| {
        make(contents, changes);
        contents.wishes.order.clear();
    });
    let (Ok(larder), false) = (changed, stop()) else {
        return Ok(Any::Open);
    };
    let (outcome, told) = first_told(&larder, threads, stop)?;
    Ok(match outcome {
        Outcome::Best(solved) | Outcome::Good { solved, .. } => Any::Week(Some(solved.plan)),
        Outcome::Impossible => Any::None,
        Outcome::OutOfTime { .. } if told => Any::Week(None),
        Outcome::OutOfTime { .. } => Any::Open,
    })
}

/// Whether there is any week with changes; `None` if stopped before that was known, or not asked.
pub(super) fn possible(
    larder: &Larder,
    changes: &[Change],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<bool>, EngineFault> {
    Ok(match any(larder, changes, threads, stop)? {
        Any::Week(_) => Some(true),
        Any::None => Some(false),
        Any::Open => None,
    })
}

/// Searches until a week is told of, whichever: what the search ended with, and whether one was.
///
/// # Errors
/// Those of the engine.
pub(super) fn first_told(
    larder: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<(Outcome, bool), EngineFault> {
    let found = AtomicBool::new(false);
    let progress = |progress: &Progress| {
        if progress.best_nano.is_some() {
            found.store(true, Ordering::Relaxed);
        }
    };
    let limits = Limits {
        threads,
        stop: &|| found.load(Ordering::Relaxed) || stop(),
        progress: Some(&progress),
    };
    let (outcome, _) = solve(larder, &limits)?;
    Ok((outcome, found.into_inner()))
}

/// How a rule must give way.
pub(super) struct Nearest {
    /// The change: the rule's number, or the rule given up where no number is enough.
    pub(super) change: Change,
    /// A week that keeps it, if one was told.
    pub(super) plan: Option<Plan>,
    /// Proved that nothing nearer lets a week in.
    pub(super) proved: bool,
}

/// What became of a rule.
pub(super) enum Gives {
    /// Given up by itself it lets no week in, proved.
    Never,
    /// Not known whether it does.
    Open,
    /// It does.
    Way(Nearest),
}

/// Finds the nearest value of a rule.
pub(super) struct Seeker<'a> {
    pub(super) larder: &'a Larder,
    pub(super) threads: usize,
    pub(super) stop: &'a (dyn Fn() -> bool + Sync),
}

impl Seeker<'_> {
    fn any(&self, change: Change) -> Result<Any, EngineFault> {
        any(self.larder, &[change], self.threads, self.stop)
    }

    /// The nearest value of a rule; of one without a number the first of `steps` that is enough.
    ///
    /// # Errors
    /// Those of the engine.
    pub(super) fn nearest(
        &self,
        rule: Rule,
        steps: impl Iterator<Item = Change>,
    ) -> Result<Gives, EngineFault> {
        if rule == Rule::Budget {
            return self.least_bill();
        }
        let plan = match self.any(Change::Drop(rule))? {
            Any::Week(plan) => plan,
            Any::None => return Ok(Gives::Never),
            Any::Open => return Ok(Gives::Open),
        };
        if let Some(values) = Values::of(self.larder, rule) {
            return Ok(Gives::Way(self.between(&values, plan)?));
        }
        self.first(steps, Change::Drop(rule), plan)
    }

    /// The first step that is enough, and the loosest of them, which is.
    ///
    /// # Errors
    /// Those of the engine.
    pub(super) fn first(
        &self,
        steps: impl Iterator<Item = Change>,
        loosest: Change,
        plan: Option<Plan>,
    ) -> Result<Gives, EngineFault> {
        let mut proved = true;
        for change in steps {
            match self.any(change)? {
                Any::Week(plan) => {
                    return Ok(Gives::Way(Nearest {
                        change,
                        plan,
                        proved,
                    }));
                }
                Any::None => {}
                Any::Open => proved = false,
            }
        }
        Ok(Gives::Way(Nearest {
            change: loosest,
            plan,
            proved,
        }))
    }

    /// The least bill of any week.
    fn least_bill(&self) -> Result<Gives, EngineFault> {
        let mut desk = Desk::new(self.larder, self.threads, self.stop, None);
        let least = [Change::Drop(Rule::Budget), Change::Bill(Times::default())];
        let answer = desk.ask(&Question::all(least))?;
        Ok(match (answer.proof, answer.week) {
            (Proof::Impossible, _) => Gives::Never,
            (proof, Some(week)) => Gives::Way(Nearest {
                change: Change::Limit(Rule::Budget, week.tally.packs_minor),
                plan: Some(week.plan.clone()),
                proved: proof == Proof::Best,
            }),
            _ => Gives::Open,
        })
    }

    /// The nearest of the values of a rule without which there is a week.
    fn between(&self, values: &Values, plan: Option<Plan>) -> Result<Nearest, EngineFault> {
        let given_up = |plan, proved| Nearest {
            change: Change::Drop(values.rule),
            plan,
            proved,
        };
        let mut at = Nearest {
            change: values.change(values.last),
            proved: true,
            plan: None,
        };
        // Where the week found keeps no number, another one may.
        let own = plan.as_ref().and_then(|plan| values.kept(plan));
        let mut inside = if let Some(own) = own {
            at.plan = plan;
            own
        } else {
            match self.any(at.change)? {
                Any::Week(found) => {
                    at.plan = found;
                    let kept = at.plan.as_ref().and_then(|plan| values.kept(plan));
                    kept.unwrap_or(values.last)
                }
                Any::None => return Ok(given_up(plan, true)),
                Any::Open => return Ok(given_up(plan, false)),
            }
        };
        // At `outside` there is none: it is the rule as it stands.
        let mut outside = 0;
        // Just before the week found and half way, in turn: weeks are few, and often one is the
        // last.
        let mut beside = true;
        while inside - outside > 1 {
            let middle = if beside {
                inside - 1
            } else {
                outside + (inside - outside) / 2
            };
            beside = !beside;
            match self.any(values.change(middle))? {
                Any::Week(found) => {
                    let kept = found.as_ref().and_then(|plan| values.kept(plan));
                    inside = kept.unwrap_or(middle).min(middle);
                    at.plan = found;
                }
                Any::None => outside = middle,
                Any::Open => {
                    at.proved = false;
                    break;
                }
            }
        }
        at.change = values.change(inside);
        Ok(at)
    }
}

/// The values of a rule's number from where it stands to as loose as it gets, by steps of what is
/// told.
struct Values<'a> {
    larder: &'a Larder,
    rule: Rule,
    /// Where step 0 is: the number as it stands, or the next value that is told, not looser.
    start: i64,
    /// What a step is: above 0 for ceilings, below for floors.
    step: i64,
    /// The loosest.
    last: i64,
}

impl<'a> Values<'a> {
    /// None if the rule has no number that can give way.
    fn of(larder: &'a Larder, rule: Rule) -> Option<Self> {
        let scale = rule.scale(larder)?;
        let up = scale.loosest > scale.now;
        let start = if up {
            scale.now.div_euclid(scale.grain) * scale.grain
        } else {
            -((-scale.now).div_euclid(scale.grain)) * scale.grain
        };
        let last = (scale.loosest - start).abs() / scale.grain;
        (last > 0).then_some(Self {
            larder,
            rule,
            start,
            step: if up { scale.grain } else { -scale.grain },
            last,
        })
    }

    fn change(&self, at: i64) -> Change {
        Change::Limit(self.rule, self.start + at * self.step)
    }

    /// The nearest value that a week keeps; none if it keeps none.
    fn kept(&self, plan: &Plan) -> Option<i64> {
        let keeps = |at: i64| {
            let larder = changed(self.larder, &[self.change(at)]);
            larder.is_ok_and(|larder| judge(&larder, plan).is_ok())
        };
        if !keeps(self.last) {
            return None;
        }
        let (mut outside, mut inside) = (0, self.last);
        while inside - outside > 1 {
            let middle = outside + (inside - outside) / 2;
            if keeps(middle) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        Some(inside)
    }
}
