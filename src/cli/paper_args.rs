//! What may be typed of the commands that put a week on paper, and of `import` and `shell`.

use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, ValueEnum};
use clap_complete::Shell;

use super::ask_args::{AskArgs, Finishing, finishing, seconds};
use super::console::Typed;
use crate::report::{Layout, Measures};

/// The week, or the whole kitchen, as recipes.
#[derive(Args, Debug)]
pub struct RecipesArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// All recipes of the kitchen that the rules leave a way to make, not those of a week
    #[arg(long)]
    pub all: bool,
    /// Batches inside the lunches that take from them, or by themselves with a link; folded on
    /// pages and in JSON-LD, linked in text if left out
    #[arg(long, value_name = "folded|linked", value_enum)]
    pub batches: Option<BatchesWord>,
    /// The measures of amounts
    #[arg(long, value_name = "metric|us|both", value_enum, default_value_t = MeasuresWord::Both)]
    pub measures: MeasuresWord,
    /// Write them as schema.org Recipes in JSON-LD too
    #[arg(long, value_name = "FILE")]
    pub json_ld: Option<PathBuf>,
    /// Write a page a recipe and an index into this folder
    #[arg(long, value_name = "DIR")]
    pub pages: Option<PathBuf>,
    /// Lunches finished with optional lines too: none, free (from what is left, nothing more
    /// bought), or with up to N further packs; with --all every optional line, unless none
    #[arg(long, value_name = "none|free|N", default_value = "none", value_parser = finishing)]
    pub finish: Finishing,
}

impl RecipesArgs {
    /// How recipes are laid out, where batches are by themselves or not if nothing is said.
    pub fn layout(&self, folded: bool) -> Layout {
        Layout {
            measures: match self.measures {
                MeasuresWord::Metric => Measures::Metric,
                MeasuresWord::Us => Measures::Us,
                MeasuresWord::Both => Measures::Both,
            },
            folded: match self.batches {
                Some(BatchesWord::Folded) => true,
                Some(BatchesWord::Linked) => false,
                None => folded,
            },
        }
    }
}

/// Where batches stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum BatchesWord {
    /// Inside each lunch, scaled to what it takes
    Folded,
    /// By themselves
    Linked,
}

/// Measures of amounts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum MeasuresWord {
    /// Grams, pieces and spoons
    Metric,
    /// US cups, spoons and ounces
    Us,
    /// Both
    Both,
}

/// The week as lists.
#[derive(Args, Debug)]
pub struct ListArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// Write the shopping list as CSV too
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write what is left of every pack as CSV
    #[arg(long, value_name = "FILE")]
    pub left_csv: Option<PathBuf>,
}

/// The week as a calendar.
#[derive(Args, Debug)]
pub struct CalendarArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// The iCalendar file to write
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Of lunches finished with optional lines too, as on the page: none, free (from what is left,
    /// nothing more bought), or with up to N further packs
    #[arg(long, value_name = "none|free|N", default_value = "free", value_parser = finishing)]
    pub finish: Finishing,
}

/// The week as a page.
#[derive(Args, Debug)]
pub struct SheetArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// The HTML page to write
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Lunches finished with optional lines too: none, free (from what is left, nothing more
    /// bought), or with up to N further packs
    #[arg(long, value_name = "none|free|N", default_value = "free", value_parser = finishing)]
    pub finish: Finishing,
    /// Add the cheapest week, the one of fewest foods, the one that throws out least and what doing
    /// without each food costs; stop working on them after so many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub tradeoffs: Option<Duration>,
}

/// Recipes or foods from elsewhere.
#[derive(Args, Debug)]
pub struct ImportArgs {
    /// JSON-LD, or an HTML page that holds it; or the folder of the FoodData Central CSV download
    pub file: PathBuf,
    /// Of that folder: the food with this FDC id, or the one whose description holds all these
    /// words (repeatable)
    #[arg(long, value_name = "ID|WORDS")]
    pub food: Vec<Typed>,
    /// Read recipes with the names of this kitchen first: its foods and components
    #[arg(long, value_name = "DIR")]
    pub kitchen: Option<PathBuf>,
    /// Write the kitchen file there instead of printing it; a file that is there is not touched
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// What helps a shell and its user.
#[derive(Args, Debug)]
#[group(id = "wanted", required = true, multiple = true, args = ["completions", "manuals"])]
pub struct ShellArgs {
    /// Print completions for this shell
    #[arg(long, value_name = "SHELL")]
    pub completions: Option<Shell>,
    /// Write man pages, one a command, into this folder
    #[arg(long, value_name = "DIR")]
    pub manuals: Option<PathBuf>,
}
