//! Turns flaws of a larder into faults: with their place where files were read, without one
//! where options or questions changed a larder.

use super::drafts::{ComponentDraft, FoodDraft, RecipeDraft};
use super::equipment::Tools;
use super::fault::{Fault, Sink};
use super::place::At;
use super::wording::{Says, says, shown};
use crate::larder::{Flaw, Largest, Of, Wrong};

/// What a larder's figures come from, for places.
pub(crate) struct Places<'a> {
    pub(crate) foods: &'a [FoodDraft],
    pub(crate) components: &'a [ComponentDraft],
    pub(crate) recipes: &'a [RecipeDraft],
    pub(crate) tools: &'a Tools,
    /// Of each unit on hand, in the larder's order.
    pub(crate) stock: &'a [At],
    pub(crate) aims: At,
    pub(crate) rules: At,
}

impl Places<'_> {
    fn of(&self, of: Of) -> At {
        match of {
            Of::Aims => self.aims,
            Of::Rules => self.rules,
            Of::Week | Of::Stock(_) => At::nowhere(),
            Of::Food(id) => self.foods[id.index()].at,
            Of::Pack(id) => {
                let packs = self.foods.iter().flat_map(|draft| &draft.pack_at);
                packs
                    .map(|at| at.1)
                    .nth(id.index())
                    .unwrap_or(At::nowhere())
            }
            Of::Component(id) => self.components[id.index()].at,
            Of::Recipe(id) => self.recipes[id.index()].at,
        }
    }
}

/// Notes a fault for every flaw.
pub(crate) fn tell(flaws: &[Flaw], places: &Places, sink: &mut Sink) {
    for flaw in flaws {
        sink.refuse::<()>(places.of(flaw.of), said(flaw));
    }
}

/// Returns the fault of a flaw that no line of a file is to blame for.
pub fn flaw_told(flaw: &Flaw) -> Fault {
    let Says { what, help } = said(flaw);
    Fault {
        what,
        help,
        ..Fault::default()
    }
}

fn said(flaw: &Flaw) -> Says {
    let name = shown(&flaw.name);
    match (&flaw.wrong, flaw.of) {
        (Wrong::PaysForItself, _) => says(
            format!("with this `carry_credit`, buying `{name}` to keep it would pay for itself"),
            "the price is too low for its size to be valued exactly: lower `carry_credit`, \
             or correct price or size",
        ),
        (Wrong::TooLarge(_), Of::Aims) => says(
            "prices and weights of the aims, or the stock's value, are too large to add up \
             exactly",
            "lower the prices in `aims`, or check the amounts in `stock`",
        ),
        (Wrong::TooLarge(most), _) => too_large(&name, most.as_ref()),
        (Wrong::Beyond(figure), of) => says(
            format!(
                "{}: {figure} beyond what a kitchen may have",
                whose(of, &name)
            ),
            "write a figure within the limits of the kitchen files",
        ),
        (Wrong::Astray(what), of) => says(
            format!("{}: {what} that do not go with the rest", whose(of, &name)),
            "name what is there, each once, in order",
        ),
    }
}

/// Says of a recipe or component that its figures are too large, and which of them are.
fn too_large(name: &str, most: Option<&(Largest, String)>) -> Says {
    let what = format!(
        "the figures of `{name}` are so large that a week of it could not be added up exactly"
    );
    match most {
        Some((Largest::Price(_), of)) => {
            let of = shown(of);
            says(
                format!("{what}: the largest part is what `{of}` can cost"),
                format!("check the amount of `{of}`, the prices and pack sizes of it, and eaters"),
            )
        }
        Some((Largest::Nutrient(_), of)) => {
            let of = shown(of);
            says(
                format!("{what}: the largest part is a nutrient of `{of}`"),
                format!("check the amount of `{of}` and its figures"),
            )
        }
        Some((Largest::Minutes, _)) => says(
            format!("{what}: the largest part is minutes"),
            "check its minutes, and what a minute costs in `aims`",
        ),
        None => says(
            what,
            "check its amounts, the prices and pack sizes of its foods, eaters and minutes",
        ),
    }
}

fn whose(of: Of, name: &str) -> String {
    match of {
        Of::Week => "the week".to_owned(),
        Of::Aims => "the aims".to_owned(),
        Of::Rules => "the rules".to_owned(),
        Of::Food(_) | Of::Pack(_) | Of::Stock(_) | Of::Component(_) | Of::Recipe(_) => {
            format!("`{name}`")
        }
    }
}
