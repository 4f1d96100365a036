//! Reads what foods count for in food groups, and the rules on groups and on shares of energy.

use super::drafts::FoodDraft;
use super::fault::Sink;
use super::fields::{self, Fields};
use super::gathered::later;
use super::limits;
use super::node::{Node, Value};
use super::number::{Decimal, percent};
use super::place::At;
use super::spelling::{fold, meant};
use super::wording::{listed, says, shown};
use crate::larder::{Contents, CreditRule, Credited, Nutrient, Per};
use std::collections::BTreeMap;

/// Milligrams figures are given for, and millionths in a unit.
const TABLE_PORTION_MG: i64 = 100_000;
const MICRO: i64 = 1_000_000;

/// Reads a food's `credits:`, a mapping of group to the edible quantity that counts as one unit.
pub(crate) fn of_food(fields: &Fields, draft: &mut FoodDraft, sink: &mut Sink) {
    let Some(node) = fields.get("credits", sink) else {
        return;
    };
    let Value::Map(entries) = &node.value else {
        sink.fault(
            node.at,
            format!(
                "`credits` must be a mapping, and here stands {}",
                node.kind()
            ),
            "write the group and what counts as one unit of it: `credits: {fruit: 1 cup}`",
        );
        return;
    };
    if entries.len() > limits::MEASURES {
        sink.fault(
            node.at,
            format!("`credits` has {} entries", entries.len()),
            format!(
                "at most {} are read: keep those that rules ask for",
                limits::MEASURES
            ),
        );
        return;
    }
    for (key, value) in entries {
        let Some(text) = fields::text(value, "credits", limits::NAME, sink) else {
            continue;
        };
        let read = draft.measures.take(text, &draft.food.name, value.at, sink);
        let Some(mg) = read else {
            continue;
        };
        if mg == 0 {
            sink.fault(
                value.at,
                "nothing of a food cannot count as one unit of a group",
                "write how much of it does, like `1/2 cup`",
            );
            continue;
        }
        let Some(name) = fields::named(key, "a food group", sink) else {
            continue;
        };
        let group = fold(name);
        if draft.credits.iter().any(|(known, _)| *known == group) {
            sink.fault(key.at, "this group stands twice", "keep one of the two");
            continue;
        }
        draft.credits.push((group, mg));
    }
}

/// What foods count for, by group.
pub(crate) struct Credits<'a> {
    /// Whether each food is milk itself.
    dairy: Vec<bool>,
    /// Of each group which foods count for it, and the milligrams that are one unit.
    groups: BTreeMap<&'a str, Vec<(usize, i64)>>,
}

impl<'a> Credits<'a> {
    pub(crate) fn of(drafts: &'a [FoodDraft]) -> Self {
        let mut groups: BTreeMap<&str, Vec<(usize, i64)>> = BTreeMap::new();
        for (food, draft) in drafts.iter().enumerate() {
            for (group, mg) in &draft.credits {
                groups.entry(group).or_default().push((food, *mg));
            }
        }
        let dairy = drafts.iter().map(|draft| {
            draft.row.is_some_and(|row| row.group == "eggs and dairy")
                || draft.food.allergens.iter().any(|word| word == "milk")
        });
        Self {
            dairy: dairy.collect(),
            groups,
        }
    }

    /// Returns the positions of foods that count as fluid milk without being milk, and the
    /// milligrams that count as a cup.
    pub(crate) fn instead_of_milk(&self) -> impl Iterator<Item = (usize, i64)> + '_ {
        let counting = self.groups.get("fluid milk").into_iter().flatten();
        counting.copied().filter(|&(food, _)| !self.dairy[food])
    }

    /// Returns millionths of a unit in 100 g of each food; `None` if no food counts for it. What
    /// does not come out even is rounded up, so that the written quantity is one unit.
    fn figures(&self, group: &str) -> Option<Vec<i64>> {
        let counting = self.groups.get(fold(group).as_str())?;
        let mut figures = vec![0; self.dairy.len()];
        for &(food, mg) in counting {
            figures[food] = (MICRO * TABLE_PORTION_MG + mg - 1) / mg;
        }
        Some(figures)
    }

    /// Adds a rule on a group, unless no food counts for it, which is a fault.
    pub(crate) fn rule(
        &self,
        at: At,
        rule: &GroupRule,
        out: &mut Vec<CreditRule>,
        sink: &mut Sink,
    ) {
        let Some(figures_micro) = self.figures(rule.group) else {
            if sink.partial {
                return;
            }
            let help = later(|allowance| {
                meant(self.groups.keys().copied(), rule.group, allowance, || {
                    "say at the foods what counts, like `credits: {fruit: 1 cup}`".to_owned()
                })
            });
            let what = format!("no food counts towards `{}`", shown(rule.group));
            sink.fault(at, what, help);
            return;
        };
        let micro = |milli: i64| milli * 1_000;
        out.push(CreditRule {
            what: Credited::Group {
                name: rule.group.to_owned(),
                unit: rule.unit.to_owned(),
            },
            per: rule.per,
            at_least_micro: rule.at_least_milli.map(micro),
            at_most_micro: rule.at_most_milli.map(micro),
            source: rule.source.to_owned(),
            figures_micro,
        });
    }
}

/// A rule on a group as written; figures in thousandths of the unit.
pub(crate) struct GroupRule<'a> {
    pub(crate) group: &'a str,
    pub(crate) unit: &'a str,
    pub(crate) per: Per,
    pub(crate) at_least_milli: Option<i64>,
    pub(crate) at_most_milli: Option<i64>,
    pub(crate) source: &'a str,
}

/// Reads `per:`.
pub(crate) fn per(fields: &Fields, sink: &mut Sink) -> Option<Per> {
    match fields.need_text("per", "lunch", sink)? {
        "lunch" => Some(Per::Lunch),
        "week" => Some(Per::Week),
        text => sink.refuse(
            fields.value_at("per"),
            says(
                format!("`{}` is neither `lunch` nor `week`", shown(text)),
                "write `per: lunch` for every lunch by itself, `per: week` for all together",
            ),
        ),
    }
}

/// Reads an entry of `rules: credits:`.
pub(crate) fn group(item: &Node, credits: &Credits, out: &mut Vec<CreditRule>, sink: &mut Sink) {
    let keys = ["group", "unit", "per", "at_least", "at_most", "source"];
    let Some(fields) = Fields::open(item, "a credit rule", &keys, sink) else {
        return;
    };
    let figure = Decimal {
        places: 3,
        least: 0,
        most: limits::CREDIT,
        what: "an amount of a group",
        example: "1.25",
    };
    let group = fields.need_text("group", "fruit", sink);
    let unit = fields.need_text("unit", "cup", sink);
    let per = per(&fields, sink);
    let whose = ("credit", "group", "week");
    let (at_least_milli, at_most_milli) = fields::floor_and_ceiling(&fields, figure, whose, sink);
    let source = fields.need_text("source", "where the figure comes from", sink);
    if let (Some(group), Some(unit), Some(per), Some(source)) = (group, unit, per, source) {
        let rule = GroupRule {
            group,
            unit,
            per,
            at_least_milli,
            at_most_milli,
            source,
        };
        credits.rule(fields.value_at("group"), &rule, out, sink);
    }
}

/// Reads an entry of `rules: energy_share:`.
pub(crate) fn energy_share(
    item: &Node,
    larder: &Contents,
    out: &mut Vec<CreditRule>,
    sink: &mut Sink,
) {
    let keys = ["nutrient", "per", "below", "source"];
    let Some(fields) = Fields::open(item, "an energy share", &keys, sink) else {
        return;
    };
    let giving: Vec<&str> = Nutrient::ALL
        .iter()
        .filter(|nutrient| nutrient.kcal_per_gram().is_some())
        .map(|nutrient| nutrient.key())
        .collect();
    let nutrient = fields
        .need_text("nutrient", "saturated", sink)
        .and_then(|text| {
            let known = Nutrient::from_key(text).filter(|n| n.kcal_per_gram().is_some());
            if known.is_none() {
                sink.fault(
                    fields.value_at("nutrient"),
                    format!(
                        "`{}` is no nutrient with a share of the energy",
                        shown(text)
                    ),
                    format!("those that have one are {}", listed(&giving, "and")),
                );
            }
            known
        });
    let per = per(&fields, sink);
    let below = fields.need_text("below", "10 %", sink).and_then(|text| {
        let milli = sink.take(fields.value_at("below"), percent(text))?;
        if milli == 0 || milli % 1_000 != 0 {
            sink.fault(
                fields.value_at("below"),
                format!("`{}` is not a whole number of percent above 0", shown(text)),
                "write `below: 10 %`",
            );
            return None;
        }
        Some(milli / 1_000)
    });
    let source = fields.need_text("source", "where the figure comes from", sink);
    if let (Some(nutrient), Some(per), Some(below), Some(source)) = (nutrient, per, below, source) {
        out.push(share_rule(larder, nutrient, per, below, source));
    }
}

/// Returns the rule that a nutrient gives less than `below_percent` of the energy: the energy that
/// this share leaves above what the nutrient gives, in millionths of a kcal, is at least one.
pub(crate) fn share_rule(
    larder: &Contents,
    nutrient: Nutrient,
    per: Per,
    below_percent: i64,
    source: &str,
) -> CreditRule {
    // Thousandths become millionths; a percent of those is a tenth of a thousand.
    let factor = nutrient.kcal_per_gram().unwrap_or(0);
    let figures = larder.foods.iter().map(|food| {
        let of = |nutrient: Nutrient| food.nutrients_milli[nutrient.index()].unwrap_or(0);
        of(Nutrient::Energy) * 10 * below_percent - of(nutrient) * 1_000 * factor
    });
    CreditRule {
        what: Credited::EnergyShare {
            nutrient,
            below_percent,
        },
        per,
        at_least_micro: Some(1),
        at_most_micro: None,
        source: source.to_owned(),
        figures_micro: figures.collect(),
    }
}
