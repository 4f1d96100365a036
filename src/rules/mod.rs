//! The judge: recomputes a finished week from larder and plan alone.
//!
//! It knows nothing of how a plan was found, runs on every plan in release builds, and
//! promises: whatever the plan holds it does not panic; it reports every rule that is
//! broken, in the order of [`RULES`]; it rounds only where the model rounds. A plan whose
//! lists make no sense (an id that is not in the larder, a day that does not exist) is
//! refused for that alone, since nothing further can be worked out from it.
//!
//! One file per family of rules. Each opens with what it asks, why a kitchen wants it and
//! how to loosen it, and owns the codes a finding may carry. The larder is taken as
//! validated: it is the loader's work to see that its own ids and figures hold together.

mod batches;
mod case;
mod credits;
mod finding;
mod finished;
mod lunches;
mod minutes;
mod money;
mod nutrition;
mod packs;
mod shape;
mod tally;
mod variety;
mod wishes;

pub use finding::{Finding, RuleDoc};
pub use tally::Tally;

use crate::larder::{Day, Larder};
use crate::plan::Plan;
use case::Case;
use finding::Findings;

/// Every rule the judge knows, in the order in which findings come.
pub const RULES: &[RuleDoc] = &[
    shape::LUNCHES_MISCOUNTED,
    shape::NOT_IN_THE_LARDER,
    shape::LINE_NOT_FILLED,
    shape::NO_SUCH_DAY,
    shape::OUT_OF_ORDER,
    shape::EMPTY_ENTRY,
    shape::STAPLE_BOUGHT,
    shape::FIGURES_TOO_LARGE,
    lunches::NOT_SERVED_THAT_DAY,
    lunches::SERVED_TOO_OFTEN,
    batches::COMPONENT_NOT_MET,
    batches::COOKED_WITHOUT_USE,
    batches::EATEN_BEFORE_COOKED,
    batches::PAST_KEEPING_TIME,
    batches::FOODS_OFF_THE_RATIO,
    batches::NOT_A_COOKING_DAY,
    packs::NOT_SOLD_THERE,
    packs::OPENED_BEFORE_BOUGHT,
    packs::OPENED_BEFORE_RIPE,
    packs::OPENED_TOO_LATE,
    packs::OPENED_WITHOUT_USE,
    packs::DRAWN_BEFORE_OPENED,
    packs::DRAWN_AFTER_GOOD_DAY,
    packs::DRAWN_MORE_THAN_IT_HOLDS,
    packs::MORE_UNITS_THAN_BOUGHT,
    packs::MORE_UNITS_THAN_ON_HAND,
    packs::USE_NOT_MET,
    packs::DRAWN_WITHOUT_USE,
    nutrition::LUNCH_BELOW_FLOOR,
    nutrition::LUNCH_ABOVE_CEILING,
    nutrition::WEEK_BELOW_FLOOR,
    nutrition::WEEK_ABOVE_CEILING,
    credits::LUNCH_LACKS_CREDIT,
    credits::LUNCH_OVER_CREDIT,
    credits::WEEK_LACKS_CREDIT,
    credits::WEEK_OVER_CREDIT,
    credits::LUNCH_OVER_ENERGY_SHARE,
    credits::WEEK_OVER_ENERGY_SHARE,
    minutes::OVER_MINUTES,
    minutes::OVER_KITCHEN_MINUTES,
    variety::TOO_MANY_OF_A_FORM,
    variety::SAME_FORM_SIDE_BY_SIDE,
    variety::TOO_MANY_OF_A_PROTEIN,
    variety::TOO_ALIKE,
    variety::TOO_ALIKE_SIDE_BY_SIDE,
    wishes::BANNED,
    wishes::PIN_MISSING,
    wishes::OVER_CAP,
    wishes::OVER_BUDGET,
    finished::NOT_ITS_FINISHER,
    finished::WEEK_CHANGED,
];

/// Recomputes everything and returns the sums, or every rule the plan breaks.
///
/// # Errors
/// All findings, in rule order.
pub fn judge(larder: &Larder, plan: &Plan) -> Result<Tally, Vec<Finding>> {
    let mut findings = Findings::default();
    shape::check(larder, plan, &mut findings);
    if !findings.is_empty() {
        return Err(in_rule_order(findings));
    }
    let case = Case::new(larder, plan);
    lunches::check(&case, &mut findings);
    batches::check(&case, &mut findings);
    packs::check(&case, &mut findings);
    nutrition::check(&case, &mut findings);
    credits::check(&case, &mut findings);
    minutes::check(&case, &mut findings);
    variety::check(&case, &mut findings);
    wishes::check(&case, &mut findings);
    match money::tally(&case) {
        Some(tally) if findings.is_empty() => Ok(tally),
        Some(_) => Err(in_rule_order(findings)),
        None => {
            findings.add(
                &shape::FIGURES_TOO_LARGE,
                "the week's sums are too large to add up exactly".to_owned(),
            );
            Err(in_rule_order(findings))
        }
    }
}

/// Judges a week with finishers: day, position among the recipe's finishers, and
/// milligrams for all eaters of each.
///
/// # Errors
/// All findings.
pub fn judge_finished(
    larder: &Larder,
    plain: &Plan,
    finished: &Plan,
    placed: &[(Day, usize, i64)],
) -> Result<(), Vec<Finding>> {
    let mut findings = Findings::default();
    shape::check(larder, finished, &mut findings);
    if findings.is_empty() {
        finished::check(larder, plain, finished, placed, &mut findings);
    }
    if findings.is_empty() {
        Ok(())
    } else {
        Err(in_rule_order(findings))
    }
}

/// Returns the findings sorted by the table of rules; those of one rule stay in the
/// order in which they were found.
fn in_rule_order(findings: Findings) -> Vec<Finding> {
    let mut all = findings.all();
    all.sort_by_key(|finding| RULES.iter().position(|rule| rule.code == finding.code));
    all
}
