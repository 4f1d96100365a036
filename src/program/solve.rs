//! Solves the integer program in process, with a general-purpose solver.
//!
//! The only file that knows the solver. It is no rival to the search: it takes the same
//! program that is written for outside solvers and shows on a small kitchen that both
//! answers agree. It works in binary fractions, so what it finds is rounded, judged and
//! valued in whole numbers before anyone sees it. Ties are not broken: of weeks with one
//! objective it returns any.

use good_lp::solvers::SolutionStatus;
use good_lp::{
    Expression, ProblemVariables, ResolutionError, Solution, SolverModel, Variable, WithTimeLimit,
    constraint, microlp, variable,
};

use super::columns::Columns;
use super::{Kind, Program, Sense, build_with, extract};
use crate::larder::{Larder, NANO};
use crate::plan::Plan;
use crate::rules::{Finding, Tally, judge};

/// What the solver proved.
#[derive(Clone, Debug)]
pub enum Answer {
    /// A best week, as far as the solver's tolerances go; judged.
    Best(Box<Plan>, Tally),
    /// No week exists.
    Impossible,
    /// The time ran out before a proof.
    OutOfTime,
}

/// A run that went wrong: the solver's fault or ours, never the kitchen's.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The solver gave up.
    #[error("the solver failed: {0}")]
    Solver(String),
    /// Its rounded values make no week.
    #[error("the solver's values make no week")]
    NoWeek,
    /// The judge refused its week.
    #[error("the judge refused the solver's week: {0:?}")]
    Refused(Vec<Finding>),
}

/// Solves `larder`'s program, stage by stage of its aims, in at most `seconds` a stage.
///
/// # Errors
/// [`Failure`] when the solver gives up or what it found does not pass the judge.
pub fn solve(larder: &Larder, seconds: f64) -> Result<Answer, Failure> {
    let mut settled: Vec<i128> = Vec::new();
    loop {
        let (program, columns) = build_with(larder, &settled);
        let values = match optimum(&program, seconds)? {
            Optimum::Values(values) => values,
            Optimum::Impossible if settled.is_empty() => return Ok(Answer::Impossible),
            // A later stage always holds the week of the stage before.
            Optimum::Impossible => {
                return Err(Failure::Solver("lost the week of an earlier aim".into()));
            }
            Optimum::OutOfTime => return Ok(Answer::OutOfTime),
        };
        let (plan, tally) = judged(larder, &columns, &values)?;
        match larder.wishes.order.get(settled.len()) {
            Some(&aim) => settled.push(tally.aim_nano(aim).into()),
            None => return Ok(Answer::Best(Box::new(plan), tally)),
        }
    }
}

fn judged(larder: &Larder, columns: &Columns, values: &[f64]) -> Result<(Plan, Tally), Failure> {
    let plan = extract::plan(columns, values).ok_or(Failure::NoWeek)?;
    let tally = judge(larder, &plan).map_err(Failure::Refused)?;
    Ok((plan, tally))
}

/// What the solver proved about a program.
#[derive(Clone, Debug)]
pub enum Optimum {
    /// Values of the columns, in binary fractions.
    Values(Vec<f64>),
    /// No values hold all rows.
    Impossible,
    /// The time ran out before a proof.
    OutOfTime,
}

fn real(nano: i128) -> f64 {
    nano as f64 / NANO as f64
}

/// Solves any program, in at most `seconds`.
///
/// # Errors
/// [`Failure::Solver`] when the solver gives up.
pub fn optimum(program: &Program, seconds: f64) -> Result<Optimum, Failure> {
    let mut variables = ProblemVariables::new();
    let handles: Vec<Variable> = program
        .columns
        .iter()
        .map(|column| {
            let high = column.high_nano.map_or(f64::INFINITY, real);
            let bounded = variable().min(real(column.low_nano)).max(high);
            variables.add(match column.kind {
                Kind::Continuous => bounded,
                Kind::Integer | Kind::Binary => bounded.integer(),
            })
        })
        .collect();
    let sum = |terms: &mut dyn Iterator<Item = (usize, i128)>| -> Expression {
        terms
            .map(|(column, nano)| real(nano) * handles[column])
            .sum()
    };
    let costs = program.columns.iter().map(|column| column.cost_nano);
    let objective = sum(&mut costs.enumerate().filter(|&(_, nano)| nano != 0));
    let mut model = variables
        .minimise(objective)
        .using(microlp)
        .with_time_limit(seconds);
    for row in &program.rows {
        let left = sum(&mut row.terms.iter().copied());
        let right = real(row.rhs_nano);
        model.add_constraint(match row.sense {
            Sense::AtMost => constraint!(left <= right),
            Sense::AtLeast => constraint!(left >= right),
            Sense::Equal => constraint!(left == right),
        });
    }
    match model.solve() {
        Ok(solution) if matches!(solution.status(), SolutionStatus::Optimal) => {
            let values = handles.iter().map(|&handle| solution.value(handle));
            Ok(Optimum::Values(values.collect()))
        }
        // Stopped with values in hand, or without: neither is a proof.
        Ok(_) | Err(ResolutionError::Other(_)) => Ok(Optimum::OutOfTime),
        Err(ResolutionError::Infeasible) => Ok(Optimum::Impossible),
        Err(other) => Err(Failure::Solver(other.to_string())),
    }
}
