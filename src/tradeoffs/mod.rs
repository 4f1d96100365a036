//! Turns a larder into what each wish costs: re-solves of a changed larder, told as data.
//!
//! Every figure comes from a week solved again to the end and judged; none is read off a
//! bound or a dual. What was not settled says so ([`Proof::Open`]) and carries no more than
//! was proved. Questions are asked once and side by side (`desk.rs`); what comes out is the
//! same for any number of threads.

mod base;
mod caps;
mod change;
mod conflict;
mod desk;
mod digest;
mod eaters;
mod edges;
mod facts;
mod frontier;
mod instead;
mod misses;
mod nearest;
mod others;
mod pairs;
mod prices;
mod ranges;
mod reuse;
mod ripening;
mod rules;
mod seats;
mod shops;
mod telling;
mod way_out;

pub use caps::CapFacts;
pub use conflict::conflict;
pub use digest::{
    ChoiceFinding, Digest, Finding, Findings, FruitFinding, RuleFinding, Which, digest,
};
pub use eaters::EatersFacts;
pub use edges::{Edges, Limit, Walk, edges, set_limit, taken_of, walk};
pub use facts::{Brief, BriefLunch, Case, LineSwitch, Proof, Switch};
pub use frontier::{Frontier, FrontierPoint, Knee};
pub use instead::instead;
pub use misses::misses;
pub use others::{FarWeek, Others};
pub use prices::{FoodPrice, RecipePrices, RulePrice};
pub use ranges::{End, PriceRange};
pub use reuse::{ReuseRow, Share};
pub use ripening::{FruitFacts, Ripened};
pub use shops::{ElsewherePrice, ShopPrice, Shops};
pub use telling::telling;

use std::panic::resume_unwind;
use std::sync::Arc;
use std::thread;

use crate::engine::EngineFault;
use crate::explain::{Conflict, Misses, When};
use crate::larder::{Aim, Currency, Larder};
use base::Base;
use desk::{Desk, Question};

/// A kind of trade-off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Section {
    /// What each rule costs.
    Rules,
    /// What doing without each food costs.
    Foods,
    /// What insisting on each recipe costs, and what each one kept gains.
    Recipes,
    /// Bill, counted foods and spoiled value against one another.
    Frontier,
    /// The week by its cap on foods to buy.
    Cap,
    /// The week for 1 to 8 eaters.
    Eaters,
    /// The next best weeks, and weeks as different as can be.
    Others,
    /// Between which prices of a pack the week stays best.
    Prices,
    /// Which food serves which lunch.
    Reuse,
    /// Near misses: amounts and packs that nearly fit.
    Amounts,
    /// Ripening fruit.
    Ripening,
    /// What each shop is worth.
    Shops,
}

/// All sections, in the order in which they are told.
pub const SECTIONS: [Section; 12] = [
    Section::Rules,
    Section::Foods,
    Section::Recipes,
    Section::Frontier,
    Section::Cap,
    Section::Eaters,
    Section::Others,
    Section::Prices,
    Section::Reuse,
    Section::Amounts,
    Section::Ripening,
    Section::Shops,
];

/// What is asked, and what it may cost.
pub struct Ask<'a> {
    /// The sections wanted.
    pub sections: &'a [Section],
    /// How many other weeks.
    pub others: usize,
    /// How much worse than the best a different week may be, minor units; none is a tenth
    /// of the objective.
    pub margin_minor: Option<i64>,
    /// Threads to use; 0 means all.
    pub threads: usize,
    /// Asked now and then; true means stop with what there is.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told of questions settled, and of how many are known of.
    pub progress: Option<&'a (dyn Fn(usize, usize) + Sync)>,
}

/// Everything there is to say; a section that was not wanted is none.
#[derive(Clone, Debug)]
pub struct Tradeoffs {
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money.
    pub currency: Currency,
    /// Lunch days.
    pub days: Vec<When>,
    /// What was proved of the chosen week.
    pub proof: Proof,
    /// The strict order of aims; empty for the one-currency objective.
    pub order: Vec<Aim>,
    /// The chosen week; none if there is none or it was not found.
    pub week: Option<Brief>,
    /// Rules that cannot hold together, if there is no week.
    pub conflict: Option<Conflict>,
    /// The rule that costs most first.
    pub rules: Option<Vec<RulePrice>>,
    /// The food that is cheapest to give up first.
    pub foods: Option<Vec<FoodPrice>>,
    /// Recipes left out and kept.
    pub recipes: Option<RecipePrices>,
    /// The frontier.
    pub frontier: Option<Frontier>,
    /// By caps on foods to buy, rising.
    pub caps: Option<Vec<CapFacts>>,
    /// By eaters, rising.
    pub eaters: Option<Vec<EatersFacts>>,
    /// Other weeks.
    pub others: Option<Others>,
    /// By food and pack.
    pub ranges: Option<Vec<PriceRange>>,
    /// By food, the one that serves most lunches first.
    pub reuse: Option<Vec<ReuseRow>>,
    /// Near misses.
    pub misses: Option<Misses>,
    /// By food.
    pub ripening: Option<Vec<FruitFacts>>,
    /// Shops; empty in a kitchen that does not name several.
    pub shops: Option<Shops>,
    /// Questions settled by a week solved anew and judged.
    pub solved: usize,
    /// Questions settled by the proof that there is no week. What is asked for a conflict and
    /// its ways out is counted in neither.
    pub none: usize,
    /// Whether every question was settled.
    pub settled: bool,
}

/// Works out the trade-offs of a kitchen.
///
/// # Errors
/// Those of the engine.
pub fn tradeoffs(larder: &Larder, plain: &Larder, ask: &Ask) -> Result<Tradeoffs, EngineFault> {
    let mut desk = Desk::new(larder, ask.threads, ask.stop, ask.progress);
    let first = desk.ask(&Question::default())?;
    let mut told = Tradeoffs {
        kitchen: larder.name.clone(),
        currency: larder.currency.clone(),
        days: (1..=i32::from(larder.week.lunches))
            .map(|day| When::new(larder, day))
            .collect(),
        proof: first.proof,
        order: larder.wishes.order.clone(),
        week: first
            .week
            .as_ref()
            .map(|week| facts::brief(larder, &week.plan, &week.tally)),
        conflict: None,
        rules: None,
        foods: None,
        recipes: None,
        frontier: None,
        caps: None,
        eaters: None,
        others: None,
        ranges: None,
        reuse: None,
        misses: None,
        ripening: None,
        shops: None,
        solved: 0,
        none: 0,
        settled: false,
    };
    if let Some(best) = first.best() {
        let base = Base {
            solved: Arc::clone(best),
        };
        desk.start_from(Arc::clone(best));
        sections(&mut desk, &base, ask, &mut told)?;
    } else if first.proof == Proof::Impossible {
        told.conflict = conflict(larder, plain, ask.threads, ask.stop)?;
    }
    (told.solved, told.none) = desk.settled();
    let ways = told.conflict.as_ref();
    let ways_settled = ways.is_some_and(|ways| ways.ways_settled && ways.pairs_settled);
    let frontier_settled = told
        .frontier
        .as_ref()
        .is_none_or(|frontier| frontier.complete);
    let ranges_settled =
        (told.ranges.iter().flatten()).all(|range| range.low.settled && range.high.settled);
    told.settled = desk.all_settled()
        && frontier_settled
        && ranges_settled
        && (told.week.is_some() || ways_settled);
    Ok(told)
}

fn sections(
    desk: &mut Desk,
    base: &Base,
    ask: &Ask,
    told: &mut Tradeoffs,
) -> Result<(), EngineFault> {
    let wanted = |section: Section| ask.sections.contains(&section);
    // What can be asked at once is asked at once, so that no thread waits.
    let mut early = Vec::new();
    let larder = desk.larder;
    if wanted(Section::Rules) {
        early.extend(prices::rule_questions(larder, base));
    }
    if wanted(Section::Foods) {
        early.extend(prices::food_questions(larder, base));
    }
    if wanted(Section::Recipes) {
        early.extend(prices::recipe_questions(larder, base));
    }
    if wanted(Section::Shops) {
        early.extend(shops::questions(larder, base));
    }
    if wanted(Section::Cap) {
        early.extend(caps::questions(larder, base));
    }
    if wanted(Section::Eaters) {
        early.extend(eaters::questions(larder));
    }
    if wanted(Section::Ripening) {
        let fruit = ripening::questions(larder, base);
        if !fruit.is_empty() {
            desk.expect_ripening();
        }
        early.extend(fruit);
    }
    // The frontier asks few questions at a time, each after those before: other questions take
    // the threads that it leaves idle. Neither uses what the other was answered.
    thread::scope(|scope| {
        let frontier = wanted(Section::Frontier).then(|| {
            let mut beside = desk.beside();
            let spawned = thread::Builder::new()
                .spawn_scoped(scope, move || frontier::frontier(&mut beside, base));
            // Without another thread it has its turn here.
            spawned.map_err(|_| frontier::frontier(&mut desk.beside(), base))
        });
        desk.ask_all(&early)?;
        for &section in &SECTIONS {
            if !wanted(section) {
                continue;
            }
            match section {
                Section::Rules => told.rules = Some(prices::rules(desk, base)?),
                Section::Foods => told.foods = Some(prices::foods(desk, base)?),
                Section::Recipes => told.recipes = Some(prices::recipes(desk, base)?),
                Section::Frontier => {}
                Section::Cap => told.caps = Some(caps::by_cap(desk, base)?),
                Section::Eaters => told.eaters = Some(eaters::eaters(desk, base)?),
                Section::Others => {
                    told.others = Some(others::others(desk, base, ask.others, ask.margin_minor)?);
                }
                Section::Prices => told.ranges = Some(ranges::ranges(desk, base)?),
                Section::Reuse => told.reuse = Some(reuse::reuse(larder, base)),
                Section::Amounts => told.misses = Some(misses::of(larder, base, true, ask.stop)),
                Section::Ripening => told.ripening = Some(ripening::fruits(desk, base)?),
                Section::Shops => told.shops = Some(shops::shops_told(desk, base)?),
            }
        }
        if let Some(frontier) = frontier {
            let found = match frontier {
                Ok(thread) => thread.join().unwrap_or_else(|panic| resume_unwind(panic)),
                Err(found) => found,
            };
            told.frontier = Some(found?);
        }
        Ok(())
    })
}
