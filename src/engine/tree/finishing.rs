//! What a search that found a week ends with: the week written out and judged.

use crate::engine::answer::{EngineFault, Outcome, Solved};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::plan::write;
use crate::engine::stage::Stage;
use crate::engine::tree::given::Given;
use crate::rules::judge;

/// What a search that found a week ends with.
pub(in crate::engine) fn finished(
    stage: &Stage,
    found: &Found,
    open_bound: Option<i64>,
    given: &Given,
) -> Result<Outcome, EngineFault> {
    let solved = judged(stage, found, given)?;
    if let Some(bound_nano) = open_bound {
        let bound_nano = bound_nano.min(found.score.objective);
        return Ok(Outcome::Good { solved, bound_nano });
    }
    if solved.tally.objective_nano != found.score.objective {
        return Err(EngineFault::Miscounted {
            search: found.score.objective,
            judge: solved.tally.objective_nano,
        });
    }
    Ok(Outcome::Best(solved))
}

/// Writes the week out and has it judged.
pub(in crate::engine) fn judged(
    stage: &Stage,
    found: &Found,
    given: &Given,
) -> Result<Solved, EngineFault> {
    let plan = write(stage, found).ok_or(EngineFault::Unwritten)?;
    let larder = given.wished(stage.pool.larder)?;
    match judge(&larder, &plan) {
        Ok(tally) if !given.kept_by(&plan, &tally) => Err(EngineFault::NotAsAsked),
        Ok(tally) => Ok(Solved { plan, tally }),
        Err(findings) => Err(EngineFault::Refused(findings)),
    }
}
