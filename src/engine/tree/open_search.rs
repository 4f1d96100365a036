//! Searches a set of recipes of a kitchen whose recipes can be taken in more ways than are laid out, line by line.
//!
//! A set of recipes is bounded with all of its lines open ([`crate::engine::bound::open_lines`]). Below it
//! a node leaves some alternatives of each line, and settles how much of units is used; it is split by a unit,
//! so many packs at least or fewer, where those cost most beyond what the bound pays for them, or else by one line's
//! cheapest alternative. What has few ways left is laid out and searched like any other kitchen, so that days, batches,
//! packs and all rules are asked there and nowhere else: nothing here lets a week in, and each bound only shuts weeks
//! out that are no better than the incumbent.

use crate::engine::answer::Limits;
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_lines::{Bounded, OpenLines};
use crate::engine::bound::open_set::{Needs, OpenRecipe, OpenSet};
use crate::engine::bound::settled::{Settled, note};
use crate::engine::leaf::found::Found;
use crate::engine::model::items::{Item, Lines, Pairs};
use crate::engine::model::score::Ceilings;
use crate::engine::model::sums::least_of;
use crate::engine::stage::Stage;
use crate::engine::tree::given::Given;
use crate::engine::tree::pending::{HasBound, Pending};
use crate::engine::tree::picks::{Taking, improved};
use crate::engine::tree::searched::Searched;
use crate::engine::tree::staging::{Gauges, Laid, make_stage};
use crate::larder::{Aim, NANO, RecipeId};
use std::collections::HashSet;
use std::sync::Arc;

/// A week with its lunches as items of its own, which no list holds.
#[derive(Clone)]
pub(in crate::engine) struct Kept {
    /// Its items are places in the list beside it.
    pub(in crate::engine) found: Found,
    pub(in crate::engine) items: Vec<Item>,
}

impl Kept {
    /// A week found among items.
    pub(in crate::engine) fn new(found: &Found, items: &[Item]) -> Self {
        let mut used = found.items.clone();
        used.sort_unstable();
        used.dedup();
        let place = |item: &u32| used.partition_point(|other| other < item) as u32;
        Self {
            found: Found {
                items: found.items.iter().map(place).collect(),
                ..found.clone()
            },
            items: used.iter().map(|&at| items[at as usize].clone()).collect(),
        }
    }

    fn comes_before(&self, other: &Self) -> bool {
        let taken = |kept: &Self| -> Vec<Box<[u16]>> {
            let items = kept.found.items.iter();
            items
                .map(|&at| kept.items[at as usize].taken.clone())
                .collect()
        };
        let key = |kept: &Self| (kept.found.score, kept.found.recipes.clone());
        key(self)
            .cmp(&key(other))
            .then_with(|| taken(self).cmp(&taken(other)))
            .is_lt()
    }
}

/// What a search of open lines, or a part of it, ends with.
#[derive(Default)]
pub(in crate::engine) struct OpenSearched {
    pub(in crate::engine) best: Option<Kept>,
    pub(in crate::engine) open_bound: Option<i64>,
    pub(in crate::engine) nodes: u64,
    pub(in crate::engine) work: u64,
    pub(in crate::engine) leaves: u64,
}

impl OpenSearched {
    pub(in crate::engine) fn note(&mut self, kept: Kept) {
        if self
            .best
            .as_ref()
            .is_none_or(|best| kept.comes_before(best))
        {
            self.best = Some(kept);
        }
    }

    pub(in crate::engine) fn merge(&mut self, other: Self) {
        self.open_bound = least_of(self.open_bound, other.open_bound);
        self.nodes += other.nodes;
        self.work += other.work;
        self.leaves += other.leaves;
        if let Some(kept) = other.best {
            self.note(kept);
        }
    }
}

/// What is asked, for the searches of what is laid out.
#[derive(Clone, Copy)]
pub(in crate::engine) struct Asking<'a> {
    pub(in crate::engine) aim: Option<Aim>,
    pub(in crate::engine) ceilings: Ceilings,
    pub(in crate::engine) given: &'a Given<'a>,
    pub(in crate::engine) limits: &'a Limits<'a>,
}

/// A search of sets of recipes with open lines.
pub(in crate::engine) struct OpenSearch<'s> {
    /// Of one item a recipe, which takes all of its alternatives.
    pub(in crate::engine) stage: &'s Stage<'s>,
    pub(in crate::engine) gauges: Vec<&'s Gauge>,
    /// Gauges of the stage among these; the others settle ties.
    pub(in crate::engine) dimensions: usize,
    wide: &'s Gauges<'s>,
    pub(in crate::engine) lines: &'s [Lines],
    pub(in crate::engine) recipes: Vec<OpenRecipe>,
    needs: Needs,
    pub(in crate::engine) asking: Asking<'s>,
}

/// Alternatives left of each line of a set, and how much of units is used.
#[derive(Clone)]
struct Node {
    left: Vec<u32>,
    settled: Vec<Settled>,
    bound: i64,
    /// What the bound of its parent ended with.
    multipliers: Option<Arc<[f64]>>,
}

impl HasBound for Node {
    fn bound(&self) -> i64 {
        self.bound
    }
}

/// Ways of a set's lunches that are laid out.
pub(in crate::engine) const FEW_WAYS: usize = 48;

/// Changes of a line tried to make a way of taking the alternatives better: of the first of a set, and of
/// others.
const MOST_CHANGES: usize = 300_000;
const FEW_CHANGES: usize = 4_000;

/// How often bounds and rules drop alternatives of a node before it is split, as long as they leave so much of
/// them at the most.
const TURNS: usize = 3;
const MUCH: (u32, u32) = (9, 10);

impl<'s> OpenSearch<'s> {
    pub(in crate::engine) fn new(
        stage: &'s Stage<'s>,
        foods: &'s Gauge,
        (wide, lines): (&'s Gauges<'s>, &'s [Lines]),
        asking: Asking<'s>,
    ) -> Self {
        let gauges = stage.gauges.iter().map(|gauge| &**gauge);
        let ties = stage.ties.iter().flatten().map(|gauge| &**gauge);
        let ties = stage.ties.iter().map(|_| foods).chain(ties);
        let gauges: Vec<&Gauge> = gauges.chain(ties).collect();
        let needs = Needs::new(stage.pool);
        let recipes = lines.iter();
        let recipes = recipes.map(|lines| OpenRecipe::new(stage.pool, lines, &gauges, &needs));
        Self {
            stage,
            dimensions: stage.gauges.len(),
            wide,
            lines,
            recipes: recipes.collect(),
            gauges,
            needs,
            asking,
        }
    }

    /// The largest bound that may matter.
    pub(in crate::engine) fn cutoff(&self, best: Option<&Kept>) -> i64 {
        let best = best.map_or(i64::MAX, |best| {
            best.found.score.objective - i64::from(!self.stage.settles_ties)
        });
        best.min(self.stage.most)
    }

    /// Searches some items as a kitchen's whole list, for weeks up to `most`.
    fn search_few(&self, items: &[Item], most: i64) -> Searched {
        let pool = self.stage.pool;
        let pairs = Pairs::new(pool, items);
        let gauges = Gauges::within(self.wide);
        let laid = Laid {
            pool,
            items,
            pairs: &pairs,
            gauges: &gauges,
        };
        let asking = self.asking;
        let given = Given {
            near: None,
            beyond_part: None,
            start: None,
            most_work: None,
            ..*asking.given
        };
        let limits = Limits {
            threads: asking.limits.threads,
            stop: asking.limits.stop,
            progress: None,
        };
        let mut few = make_stage(laid, asking.aim, asking.ceilings, &given, &limits);
        few.most = most;
        few.run(None)
    }

    /// A week found before, for what is asked now.
    pub(in crate::engine) fn again(&self, kept: &Kept) -> Option<Kept> {
        let searched = self.search_few(&kept.items, self.stage.most);
        searched.best.map(|found| Kept::new(&found, &kept.items))
    }

    /// Searches below a set of recipes: at most so much work, and so many nodes.
    pub(in crate::engine) fn below(
        &self,
        recipes: &[u32],
        least: i64,
        best: Option<&Kept>,
        (most_work, most_nodes): (u64, u64),
    ) -> OpenSearched {
        let lunches = recipes.iter().map(|&at| &self.recipes[at as usize]);
        let set = OpenSet::new(lunches, self.gauges.len());
        let larder = self.stage.pool.larder;
        let mut below = Below {
            search: self,
            recipes,
            set,
            bounding: OpenLines::new(
                self.gauges.len(),
                larder.foods.len() + larder.components.len(),
            ),
            tried: HashSet::new(),
            done: OpenSearched {
                best: best.cloned(),
                ..OpenSearched::default()
            },
        };
        let mut pending = Pending::default();
        pending.push(Node {
            left: below.set.all_left(),
            settled: Vec::new(),
            bound: least,
            multipliers: None,
        });
        let mut nodes = 0;
        while let Some(node) = pending.pop() {
            if node.bound > self.cutoff(below.done.best.as_ref()) {
                continue;
            }
            if self.stage.halted(true) || below.done.work > most_work || nodes == most_nodes {
                let open = least_of(pending.least(), Some(node.bound));
                below.done.open_bound = least_of(below.done.open_bound, open);
                break;
            }
            nodes += 1;
            below.node(node, &mut pending);
        }
        let open = below.done.open_bound.take();
        below.done.open_bound = open.map(|open| below.raised(open));
        below.done
    }
}

/// Searches below one set of recipes.
struct Below<'o, 's> {
    search: &'o OpenSearch<'s>,
    recipes: &'o [u32],
    set: OpenSet<'o>,
    bounding: OpenLines,
    /// Ways of taking the alternatives settled by themselves.
    tried: HashSet<Vec<u8>>,
    done: OpenSearched,
}

impl Below<'_, '_> {
    /// Bounds a node, settles what is cheapest there, and splits it.
    fn node(&mut self, mut node: Node, pending: &mut Pending<Node>) {
        self.done.nodes += 1;
        let Some(bounded) = self.bound(&mut node) else {
            return;
        };
        node.bound = node.bound.max(bounded.bound);
        node.multipliers = Some(Arc::clone(&bounded.multipliers));
        if self.only_ties(&mut node) {
            return;
        }
        if self.ways(&node.left) <= FEW_WAYS {
            self.settle(&node.left, node.bound);
            return;
        }
        self.try_picks(&bounded.picks, &node);
        if node.bound > self.search.cutoff(self.done.best.as_ref()) {
            return;
        }
        match bounded.split {
            Some((unit, least)) => split_by_unit(node, (unit, least), pending),
            None => split_by_line(node, &bounded, pending),
        }
    }

    /// Drops alternatives until nothing changes; none if nothing is left that matters.
    fn bound(&mut self, node: &mut Node) -> Option<Bounded> {
        let search = self.search;
        let pool = search.stage.pool;
        let mut last = None;
        for _ in 0..TURNS {
            let before = node.left.clone();
            let left = node.left.iter().map(|bits| u64::from(bits.count_ones()));
            self.done.work += left.sum::<u64>();
            if !self.set.narrow_by_days(&mut node.left)
                || !search.needs.narrow(&self.set, &mut node.left)
            {
                return None;
            }
            for dimension in (0..search.dimensions).rev() {
                let top = match dimension {
                    0 => search.cutoff(self.done.best.as_ref()),
                    _ => search.stage.limits[dimension - 1],
                };
                let multipliers = node.multipliers.clone().filter(|_| dimension == 0);
                last = Some(self.bounding.bound(
                    (search.gauges[dimension], dimension),
                    pool,
                    (&self.set, &mut node.settled),
                    (&mut node.left, top),
                    multipliers.as_deref(),
                )?);
            }
            let ways = |left: &[u32]| left.iter().map(|bits| bits.count_ones()).sum::<u32>();
            if ways(&node.left) * MUCH.1 > ways(&before) * MUCH.0 {
                break;
            }
        }
        last
    }

    /// A bound raised to what a week of these recipes can cost.
    fn raised(&self, bound: i64) -> i64 {
        let search = self.search;
        self.set
            .raised((search.gauges[0], 0), search.stage.pool, bound)
    }

    /// Whether all weeks below a node can only be equal to the incumbent, and none is before it by
    /// what settles ties.
    fn only_ties(&mut self, node: &mut Node) -> bool {
        let search = self.search;
        let Some(best) = &self.done.best else {
            return false;
        };
        let bound = self.raised(node.bound);
        if bound < best.found.score.objective || !search.stage.settles_ties {
            return false;
        }
        let score = best.found.score;
        let mut own: Vec<RecipeId> = best.found.recipes.clone();
        own.sort_unstable();
        let recipes = self
            .recipes
            .iter()
            .map(|&at| search.lines[at as usize].recipe);
        let recipes: Vec<RecipeId> = recipes.collect();
        // In the order of their names no day order of these comes before.
        let later = own == recipes || recipes > best.found.recipes;
        let known = [score.foods.saturating_mul(NANO), score.cost, score.spoiled];
        for (gauge, known) in known.into_iter().enumerate() {
            let dimension = search.dimensions + gauge;
            let bounded = self.bounding.bound(
                (search.gauges[dimension], dimension),
                search.stage.pool,
                (&self.set, &mut node.settled),
                (&mut node.left, i64::MAX),
                None,
            );
            let least = bounded.map_or(i64::MAX, |bounded| {
                let gauge = (search.gauges[dimension], dimension);
                self.set.raised(gauge, search.stage.pool, bounded.bound)
            });
            if least != known {
                return least > known;
            }
        }
        later
    }

    /// In how many ways lunches can be taken, one beside the other.
    fn ways(&self, left: &[u32]) -> usize {
        let lunches = self.set.start.windows(2);
        let ways = lunches.map(|lines| {
            let lines = left[lines[0]..lines[1]].iter();
            lines.fold(1, |ways: usize, bits| {
                ways.saturating_mul(bits.count_ones() as usize)
            })
        });
        ways.fold(0, usize::saturating_add)
    }

    /// Settles the cheapest alternatives, and what small changes make of them.
    fn try_picks(&mut self, picks: &[u8], node: &Node) {
        let search = self.search;
        if !self.tried.insert(picks.to_vec()) {
            return;
        }
        let asked = Taking {
            set: &self.set,
            gauges: &search.gauges[..search.dimensions],
            limits: &search.stage.limits,
            pool: search.stage.pool,
            needs: &search.needs,
        };
        let changes = if self.tried.len() == 1 {
            MOST_CHANGES
        } else {
            FEW_CHANGES
        };
        // On one day each, so that all of a lunch can be had at once.
        let left = self.set.on_days(&node.left);
        let left = left.as_deref().unwrap_or(&node.left);
        let better = |picks: &[u8]| {
            let had = picks.iter().zip(left).map(|(&pick, &bits)| {
                let other = || bits.trailing_zeros() as u8;
                if bits >> pick & 1 == 0 { other() } else { pick }
            });
            improved(&asked, &had.collect::<Vec<u8>>(), left, changes)
        };
        let first = changes == MOST_CHANGES;
        let halted = || search.stage.halted(true);
        let opened = first.then(|| self.bounding.opened(&halted)).flatten();
        let opened = opened.map(|picks| better(&picks));
        let better = better(picks);
        for taken in opened.into_iter().chain([better, picks.to_vec()]) {
            let cost = self
                .set
                .cost((search.gauges[0], 0), search.stage.pool, &taken);
            let fresh = taken == picks || self.tried.insert(taken.clone());
            if fresh && cost <= search.cutoff(self.done.best.as_ref()) {
                let left: Vec<u32> = taken.iter().map(|&pick| 1 << pick).collect();
                self.settle(&left, i64::MAX);
            }
        }
    }

    /// Lays out what is left and searches it; what stays open there is open from `bound` on.
    fn settle(&mut self, left: &[u32], bound: i64) {
        let search = self.search;
        let stage = search.stage;
        let mut items: Vec<Item> = Vec::new();
        for (lunch, &recipe) in self.recipes.iter().enumerate() {
            let lines = self.set.start[lunch]..self.set.start[lunch + 1];
            let before = items.len();
            let narrowed = search.lines[recipe as usize].narrowed(&left[lines]);
            narrowed.lay(stage.pool, usize::MAX, &|| false, &mut items);
            if items.len() == before {
                return;
            }
        }
        items.sort_by(|one, other| (one.recipe, &one.taken).cmp(&(other.recipe, &other.taken)));
        items.dedup_by(|one, other| one.recipe == other.recipe && one.taken == other.taken);
        let searched = search.search_few(&items, search.cutoff(self.done.best.as_ref()));
        self.done.nodes += searched.nodes;
        self.done.work += searched.work;
        self.done.leaves += searched.leaves;
        if let Some(found) = &searched.best {
            self.done.note(Kept::new(found, &items));
        }
        if bound < i64::MAX {
            let open = searched.open_bound.map(|open| open.max(bound));
            self.done.open_bound = least_of(self.done.open_bound, open);
        }
    }
}

/// Splits a node: so much of the unit at least is used, or less.
fn split_by_unit(node: Node, (unit, least): (u32, i64), pending: &mut Pending<Node>) {
    let mut less = node.clone();
    note(&mut less.settled, unit, (0, least - 1));
    pending.push(less);
    let mut more = node;
    note(&mut more.settled, unit, (least, i64::MAX));
    pending.go_down(more);
}

/// Splits a node by the line whose cheapest alternative is cheapest by most.
fn split_by_line(node: Node, bounded: &Bounded, pending: &mut Pending<Node>) {
    let lines = (0..node.left.len()).filter(|&line| node.left[line].count_ones() > 1);
    let most = lines.max_by_key(|&line| (bounded.regret[line], std::cmp::Reverse(line)));
    let Some(line) = most else {
        return;
    };
    let bits = node.left[line];
    let pick = 1 << bounded.picks[line];
    // The cheapest may be dropped for what it opens.
    let pick = if bits & pick == 0 {
        bits & bits.wrapping_neg()
    } else {
        pick
    };
    let mut without = node.clone();
    without.left[line] &= !pick;
    if pick == 1 << bounded.picks[line] {
        let next = bounded.bound.saturating_add(bounded.regret[line]);
        without.bound = without.bound.max(next);
    }
    pending.push(without);
    let mut with = node;
    with.left[line] = pick;
    pending.go_down(with);
}
