//! The findings that matter: of each section the most telling, each other week once.

use super::{
    CapFacts, Case, EatersFacts, FrontierPoint, FruitFacts, PriceRange, Proof, RulePrice, Switch,
    Tradeoffs,
};
use crate::explain::Clash;

/// Most rows of a section.
const MOST: usize = 3;
/// Most rows of sections that say less.
const FEW: usize = 2;

/// The findings that matter, and the other weeks they speak of.
#[derive(Clone, Debug, Default)]
pub struct Digest {
    /// Rules that cost something, the dearest first.
    pub rules: Findings<RuleFinding>,
    /// Rules that cost nothing: proved.
    pub free: usize,
    /// Foods given up, the cheapest first.
    pub foods: Findings<Finding>,
    /// Recipes insisted on, the cheapest first.
    pub left_out: Findings<Finding>,
    /// Recipes that no week can have: proved.
    pub never: usize,
    /// Recipes given up, the one that gains most first.
    pub kept: Findings<Finding>,
    /// Of each number of foods on the frontier the cheapest week, the fewest foods first; then
    /// the week that throws least out.
    pub choices: Findings<ChoiceFinding>,
    /// By caps on foods to buy.
    pub caps: Vec<CapFacts>,
    /// By eaters.
    pub eaters: Vec<EatersFacts>,
    /// The next best weeks; those unlike the chosen one are counted.
    pub others: Findings<Finding>,
    /// Packs whose price has least room, the tightest first.
    pub prices: Findings<PriceRange>,
    /// Shops given up, the one that costs least first.
    pub shops: Findings<Finding>,
    /// Ripening fruit.
    pub fruits: Findings<FruitFinding>,
    /// The other weeks, as they differ from the chosen one; findings name them by position.
    pub weeks: Vec<Switch>,
}

/// Some rows of a section, and how many more there are.
#[derive(Clone, Debug)]
pub struct Findings<T> {
    /// The first.
    pub rows: Vec<T>,
    /// How many are left out.
    pub more: usize,
}

impl<T> Default for Findings<T> {
    fn default() -> Self {
        Self {
            rows: Vec::new(),
            more: 0,
        }
    }
}

impl<T> Findings<T> {
    fn first(mut rows: Vec<T>, most: usize) -> Self {
        let more = rows.len().saturating_sub(most);
        rows.truncate(most);
        Self { rows, more }
    }
}

/// Which week an answer brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// None that is proved best.
    None,
    /// The same lunches.
    Same,
    /// Another, by its position.
    Other(usize),
}

/// An answer that has a row, and its week.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What is given up or insisted on; several where the answer is the same.
    pub names: Vec<String>,
    /// The answer.
    pub case: Case,
    /// Its week.
    pub which: Which,
}

/// A rule, dropped and loosened.
#[derive(Clone, Debug)]
pub struct RuleFinding {
    /// The rule.
    pub rule: Clash,
    /// Without it, if it may go.
    pub dropped: Option<(Case, Which)>,
    /// One step looser, if there is a step.
    pub looser: Option<(Clash, Case, Which)>,
}

/// A point of the frontier.
#[derive(Clone, Debug)]
pub struct ChoiceFinding {
    /// What it is: of the cheapest of all, the least thrown out, the fewest foods.
    pub cheapest: bool,
    /// See above.
    pub least_waste: bool,
    /// See above.
    pub fewest: bool,
    /// The point.
    pub point: FrontierPoint,
}

/// A ripening fruit.
#[derive(Clone, Debug)]
pub struct FruitFinding {
    /// The facts.
    pub facts: FruitFacts,
    /// The week that has it, where the chosen one has not.
    pub which: Which,
}

/// The weeks met so far.
#[derive(Default)]
struct Weeks {
    met: Vec<Switch>,
}

impl Weeks {
    fn which(&mut self, case: &Case) -> Which {
        let Some(switch) = case.switch.as_ref().filter(|_| case.proof == Proof::Best) else {
            return Which::None;
        };
        if switch.leave.is_empty() && switch.lines.is_empty() {
            return Which::Same;
        }
        if let Some(at) = self.met.iter().position(|met| alike(met, switch)) {
            Which::Other(at)
        } else {
            self.met.push(switch.clone());
            Which::Other(self.met.len() - 1)
        }
    }
}

/// Whether two weeks have the same lunches, whatever the days and packs.
fn alike(a: &Switch, b: &Switch) -> bool {
    let names = |lunches: &[(crate::explain::When, String)]| {
        let mut all: Vec<String> = lunches.iter().map(|(_, name)| name.clone()).collect();
        all.sort();
        all
    };
    a.leave == b.leave && names(&a.come) == names(&b.come) && a.lines == b.lines
}

/// Puts questions that have the same answer together, in the order of the first.
fn grouped(all: impl Iterator<Item = (String, Case)>) -> Vec<(Vec<String>, Case)> {
    let mut groups: Vec<(Vec<String>, Case)> = Vec::new();
    for (name, case) in all {
        let same = |other: &Case| {
            let best = case.proof == Proof::Best && other.proof == Proof::Best;
            let weeks = case.switch.as_ref().zip(other.switch.as_ref());
            best && case.more == other.more && weeks.is_some_and(|(a, b)| alike(a, b))
        };
        match groups.iter_mut().find(|(_, other)| same(other)) {
            Some((names, _)) => names.push(name),
            None => groups.push((vec![name], case)),
        }
    }
    groups
}

fn findings(
    weeks: &mut Weeks,
    all: impl Iterator<Item = (String, Case)>,
    most: usize,
) -> Findings<Finding> {
    let shown = Findings::first(grouped(all), most);
    Findings {
        more: shown.more,
        rows: shown
            .rows
            .into_iter()
            .map(|(names, case)| Finding {
                names,
                which: weeks.which(&case),
                case,
            })
            .collect(),
    }
}

/// Picks the findings that matter.
pub fn digest(told: &Tradeoffs) -> Digest {
    let mut weeks = Weeks::default();
    let mut digest = Digest::default();
    if let Some(rules) = &told.rules {
        let costly: Vec<&RulePrice> = rules.iter().filter(|price| !price.free).collect();
        digest.free = rules.len() - costly.len();
        let shown = Findings::first(costly, MOST);
        digest.rules.more = shown.more;
        for price in shown.rows {
            let dropped = price.without.clone().map(|case| {
                let which = weeks.which(&case);
                (case, which)
            });
            let looser = price.looser.clone().map(|(rule, case)| {
                let which = weeks.which(&case);
                (rule, case, which)
            });
            digest.rules.rows.push(RuleFinding {
                rule: price.rule.clone(),
                dropped,
                looser,
            });
        }
    }
    if let Some(foods) = &told.foods {
        let all = foods
            .iter()
            .map(|price| (price.food.clone(), price.without.clone()));
        digest.foods = findings(&mut weeks, all, FEW);
    }
    if let Some(recipes) = &told.recipes {
        let some = recipes
            .left_out
            .iter()
            .filter(|(_, case)| case.proof != Proof::Impossible);
        digest.never = recipes.left_out.len() - some.clone().count();
        digest.left_out = findings(&mut weeks, some.cloned(), FEW);
        digest.kept = findings(&mut weeks, recipes.kept.iter().cloned(), FEW);
    }
    if let Some(frontier) = &told.frontier {
        digest.choices = choices(&frontier.points);
    }
    digest.caps = told.caps.clone().unwrap_or_default();
    digest.eaters = told.eaters.clone().unwrap_or_default();
    if let Some(others) = &told.others {
        let next = others.next.iter().take(FEW);
        let next = next.map(|case| ("next".to_owned(), case.clone()));
        let rows = next.map(|(name, case)| Finding {
            names: vec![name],
            which: weeks.which(&case),
            case,
        });
        digest.others.rows = rows.collect();
        digest.others.more = others.far.len() + others.next.len().saturating_sub(FEW);
    }
    if let Some(ranges) = &told.ranges {
        let mut tight: Vec<&PriceRange> = ranges
            .iter()
            .filter(|range| room(range).is_some())
            .collect();
        tight.sort_by_key(|range| room(range));
        let shown = Findings::first(tight.into_iter().cloned().collect(), FEW);
        digest.prices = Findings {
            more: ranges.len() - shown.rows.len(),
            ..shown
        };
    }
    if let Some(shops) = &told.shops {
        let mut all: Vec<_> = shops.shops.iter().collect();
        let settled = |case: &Case| {
            (
                case.proof != Proof::Best,
                case.more.map(|m| m.objective_nano),
            )
        };
        all.sort_by_key(|price| settled(&price.without));
        let all = all.into_iter();
        let all = all.map(|price| (price.shop.clone(), price.without.clone()));
        digest.shops = findings(&mut weeks, all, MOST);
        digest.shops.more += shops.packs.len();
    }
    if let Some(fruits) = &told.ripening {
        let shown = Findings::first(fruits.clone(), 1);
        digest.fruits.more = shown.more;
        for facts in shown.rows {
            let which = if facts.in_week {
                Which::Same
            } else {
                weeks.which(&facts.case)
            };
            digest.fruits.rows.push(FruitFinding { facts, which });
        }
    }
    digest.weeks = weeks.met;
    digest
}

/// The cheapest point of each number of foods and the one that throws least out.
fn choices(points: &[FrontierPoint]) -> Findings<ChoiceFinding> {
    let fewest = points.iter().map(|point| point.foods).min();
    let cheapest = points.iter().map(|point| point.bill_minor).min();
    let least = points.iter().map(|point| point.spoiled_nano).min();
    let mut shown: Vec<&FrontierPoint> = Vec::new();
    let mut foods: Vec<i64> = points.iter().map(|point| point.foods).collect();
    foods.sort_unstable();
    foods.dedup();
    for n in foods {
        let mine = points.iter().filter(|point| point.foods == n);
        shown.extend(mine.min_by_key(|point| (point.bill_minor, point.spoiled_nano)));
    }
    let wasteless = points
        .iter()
        .filter(|point| Some(point.spoiled_nano) == least);
    let wasteless = wasteless.min_by_key(|point| (point.bill_minor, point.foods));
    if let Some(point) =
        wasteless.filter(|&point| !shown.iter().any(|one| std::ptr::eq(*one, point)))
    {
        shown.push(point);
    }
    Findings {
        more: points.len() - shown.len(),
        rows: shown
            .into_iter()
            .map(|point| ChoiceFinding {
                cheapest: Some(point.bill_minor) == cheapest,
                least_waste: Some(point.spoiled_nano) == least,
                fewest: Some(point.foods) == fewest,
                point: point.clone(),
            })
            .collect(),
    }
}

/// How far the nearer end of a range is from the price, thousandths of it; none where no end is
/// known.
fn room(range: &PriceRange) -> Option<i64> {
    let known = [&range.low, &range.high].into_iter();
    let known = known.filter(|end| end.settled && end.beyond.is_some());
    let far = known.map(|end| (end.price_minor - range.price_minor).abs());
    Some(far.min()?.saturating_mul(1_000) / range.price_minor.max(1))
}
