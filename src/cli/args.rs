//! What may be typed; parsing checks the shape and does nothing else.

use std::path::PathBuf;
use std::time::Duration;

use clap::builder::PossibleValuesParser;
use clap::{Args, Parser, Subcommand, ValueEnum};

use super::add_args::{AddArgs, BoughtArgs};
use super::ask_args::{AskArgs, Format, ToldArgs, date, seconds, threads};
use super::console::Typed;
use super::paper_args::{CalendarArgs, ImportArgs, ListArgs, RecipesArgs, SheetArgs, ShellArgs};
use crate::report::Part;
use crate::rules::RULES;
use crate::tradeoffs::Section;

/// Help, the commands by what they are for.
const HELP: &str = "{about}

{usage-heading} {usage}

Plan:   week       the best week of a kitchen
        weeks      weeks in a row, each begun with what the one before kept
        live       one screen in the browser, solved again at every change
Cook:   prep       what is done when, minute by minute
        recipes    the week's lunches and batches for all who eat
        list       the shopping list, and as CSV
        sheet      one page for screen, phone and paper
        calendar   trips, times in the kitchen, last good days as iCalendar
Ask:    tradeoffs  what each rule, food and recipe costs, and what would be gained
        pool       each recipe of a kitchen, before any week is chosen
        foods      the built-in food table
        rule       what a rule asks, and how to loosen it
Kitchen files:
        start      the demo kitchen, or a bare one, as a start for your own
        add        a food, component or recipe, put into a kitchen's files
        prices     what lists of prices lack, or a list to fill in
        check      every fault, then every warning
        import     schema.org recipes, foods of FoodData Central
Other programs:
        program    the week as an integer program, for general solvers
        schema     the JSON Schema of a command's JSON
        shell      completions and man pages

`scant help COMMAND` tells more.

{options}

{after-help}";

/// The command line.
#[derive(Debug, Parser)]
#[command(
    name = "scant",
    version,
    about = "Finds the best week of packed lunches from whole packs, and proves it",
    after_help = "Exit codes: 0 proved best, 1 proved impossible, 2 usage or kitchen files at \
                  fault, 3 not proved, 4 our fault.",
    max_term_width = 90,
    help_template = HELP
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What can be done.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Find the best week of a kitchen
    Week(WeekArgs),
    /// Find weeks in a row, each the best given what those before it left
    Weeks(WeeksArgs),
    /// Show one screen in the browser on which the week is solved again at every change
    Live(LiveArgs),
    /// Check kitchen files: every fault, then every warning
    Check {
        /// The kitchen's folder; the built-in demo kitchen if left out
        dir: Option<PathBuf>,
        /// How to print it
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Write the demo kitchen, with comments, as a start for your own
    Start {
        /// Folder to make; it must not exist or be empty
        dir: PathBuf,
        /// One short file instead, of three foods and two recipes
        #[arg(long)]
        bare: bool,
    },
    /// Add a food or a recipe to a kitchen file; what stands there is not touched
    Add(AddArgs),
    /// Search the built-in food table
    Foods {
        /// Words of a name, or a food number
        #[arg(required = true)]
        words: Vec<Typed>,
        /// Print a food's entry for a kitchen file instead
        #[arg(long)]
        block: bool,
        /// Its pack, price and kind.
        #[command(flatten)]
        bought: BoughtArgs,
    },
    /// Say what each wish costs: every figure from a week solved anew
    Tradeoffs(TradeoffsArgs),
    /// Say what each recipe costs, gives and shares, and what shuts it out, before any week exists
    Pool(PoolArgs),
    /// Say what a rule asks of a week and how to loosen it; of all rules if none is named
    Rule {
        /// Its code, as findings, reasons and programs have it
        #[arg(value_parser = rule_codes(), hide_possible_values = true)]
        code: Option<String>,
    },
    /// Say which prices are missing or old; write the list to fill in
    Prices(PricesArgs),
    /// Print the JSON Schema of the JSON of a command, or of kitchen files
    Schema {
        /// The command
        #[arg(value_enum, default_value_t = Described::Week)]
        of: Described,
    },
    /// Write the integer program of a week, for general solvers
    Program(ProgramArgs),
    /// Say what is done when: every step timed, the cook as short in the kitchen as can be
    Prep(PrepArgs),
    /// Print the week's lunches and batches as recipes for all who eat
    Recipes(RecipesArgs),
    /// Print the shopping list; write it, and what is left, as CSV
    List(ListArgs),
    /// Write trips, times in the kitchen and last good days as an iCalendar file
    Calendar(CalendarArgs),
    /// Write the week as one page for screen, phone and paper
    Sheet(SheetArgs),
    /// Turn schema.org recipes, or foods of FoodData Central, into kitchen files, doubts marked
    Import(ImportArgs),
    /// Shell completions and man pages
    Shell(ShellArgs),
}

/// The codes of all rules; clap tells of near ones.
fn rule_codes() -> PossibleValuesParser {
    PossibleValuesParser::new(RULES.iter().map(|rule| rule.code))
}

/// Weeks in a row.
#[derive(Args, Debug)]
pub struct WeeksArgs {
    /// How many weeks, 1 to 26
    #[arg(value_name = "N", value_parser = clap::value_parser!(u8).range(1..=26))]
    pub weeks: u8,
    /// What is asked of each week.
    #[command(flatten)]
    pub ask: AskArgs,
    /// How each is finished and printed.
    #[command(flatten)]
    pub told: ToldArgs,
    /// Write each week to this folder too, as week-1.json and so on, in the JSON of `week`
    #[arg(long, value_name = "DIR")]
    pub plans: Option<std::path::PathBuf>,
}

/// What may be asked of the screen.
#[derive(Args, Debug)]
pub struct LiveArgs {
    /// The kitchen's folder; the built-in demo kitchen if left out
    pub dir: Option<PathBuf>,
    /// Open the page in the browser
    #[arg(long)]
    pub open: bool,
    /// Stop each search after so many seconds, with the best so far
    #[arg(long, value_name = "SECONDS", default_value = "10", value_parser = seconds)]
    pub limit: Duration,
    /// Threads to search with; 0 is all. The answer is the same for any number
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = threads)]
    pub threads: usize,
}

/// What may be written of a program.
#[derive(Args, Debug)]
#[group(id = "files", multiple = true, required = true, args = ["data", "mps", "lp", "certify"])]
pub struct ProgramArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// Write the data for models/week.mod, in the GNU MathProg language
    #[arg(long, value_name = "FILE")]
    pub data: Option<PathBuf>,
    /// Write the program in free MPS format
    #[arg(long, value_name = "FILE")]
    pub mps: Option<PathBuf>,
    /// Write the program in LP format
    #[arg(long, value_name = "FILE")]
    pub lp: Option<PathBuf>,
    /// Find the best week and write it as a solution of the program
    #[arg(long, value_name = "FILE")]
    pub certify: Option<PathBuf>,
}

/// What may be asked of a week, and how it is found and printed.
#[derive(Args, Debug)]
pub struct WeekArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// How it is finished and printed.
    #[command(flatten)]
    pub told: ToldArgs,
    /// What finds the week
    #[arg(long, value_enum, default_value_t = EngineWord::Search)]
    pub engine: EngineWord,
    /// Leave out what changes would cost: the week alone, sooner
    #[arg(long)]
    pub brief: bool,
    /// Print these parts of the whole report instead of the first screen
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub show: Vec<PartWord>,
    /// Print the whole report; as --show all
    #[arg(long)]
    pub full: bool,
}

/// A part of the whole report as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PartWord {
    /// What is eaten when, with energy and protein
    Lunches,
    /// The shopping list and the cupboard
    List,
    /// What is cooked ahead, and work by day
    Batches,
    /// What goes into each box, and finishers
    Boxes,
    /// What every pack leaves
    Leftovers,
    /// Nutrition, food groups, allergens
    Nutrition,
    /// What was proved, and what the total is made of
    Proof,
    /// Cautions in full
    Cautions,
    /// What changes would cost
    Changes,
    /// All of them
    All,
}

impl PartWord {
    /// Returns the part of the report; none of what is worked out after it, and of all.
    pub(super) fn part(self) -> Option<Part> {
        match self {
            Self::Lunches => Some(Part::Lunches),
            Self::List => Some(Part::List),
            Self::Batches => Some(Part::Batches),
            Self::Boxes => Some(Part::Boxes),
            Self::Leftovers => Some(Part::Leftovers),
            Self::Nutrition => Some(Part::Nutrition),
            Self::Proof => Some(Part::Proof),
            Self::Cautions => Some(Part::Cautions),
            Self::Changes | Self::All => None,
        }
    }
}

/// What may be asked of prices.
#[derive(Args, Debug)]
pub struct PricesArgs {
    /// The kitchen's folder
    pub dir: PathBuf,
    /// Print a list of the missing and the old ones to fill in, as prices*.csv is read
    #[arg(long)]
    pub template: bool,
    /// A price is old after so many days
    #[arg(long, value_name = "DAYS", default_value_t = 90, value_parser = clap::value_parser!(i64).range(0..=36_500))]
    pub older: i64,
    /// Show which prices changed after this day, and what that changed: the best week by the prices of
    /// that day beside the best one by those of now
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date, conflicts_with_all = ["template", "older"])]
    pub since: Option<chrono::NaiveDate>,
    /// With --since: stop after so many seconds in all, with the best so far
    #[arg(long, value_name = "SECONDS", value_parser = seconds, requires = "since")]
    pub limit: Option<Duration>,
}

/// What may be asked of a pool of recipes.
#[derive(Args, Debug)]
pub struct PoolArgs {
    /// The week they are for.
    #[command(flatten)]
    pub ask: AskArgs,
}

/// What may be asked of a prep plan.
#[derive(Args, Debug)]
pub struct PrepArgs {
    /// The week asked for.
    #[command(flatten)]
    pub ask: AskArgs,
    /// How it is finished and printed.
    #[command(flatten)]
    pub told: ToldArgs,
}

/// What may be asked of trade-offs.
#[derive(Args, Debug)]
pub struct TradeoffsArgs {
    /// The week they start from.
    #[command(flatten)]
    pub ask: AskArgs,
    /// How to print them
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Only these sections, each whole; the findings that matter of all if left out
    #[arg(long, value_name = "SECTIONS", value_delimiter = ',')]
    pub only: Vec<SectionWord>,
    /// All sections whole
    #[arg(long)]
    pub full: bool,
    /// How many other weeks, of each kind
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = others)]
    pub others: usize,
    /// How much worse than the best a quite different week may be, in the kitchen's currency;
    /// a tenth of the total if left out
    #[arg(long, value_name = "MONEY")]
    pub within: Option<Typed>,
}

/// A section as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SectionWord {
    /// What each rule costs
    Rules,
    /// What doing without each food costs
    Foods,
    /// What insisting on each recipe costs
    Recipes,
    /// Bill, foods and spoiled value against one another
    Frontier,
    /// One food to buy more or fewer
    Cap,
    /// For 1 to 8 eaters
    Eaters,
    /// The next best weeks, and quite different ones
    Others,
    /// Between which prices the week stays best
    Prices,
    /// Which food serves which lunch
    Reuse,
    /// Amounts and packs that nearly fit
    Amounts,
    /// Ripening fruit
    Ripening,
    /// What each shop is worth
    Shops,
}

impl From<SectionWord> for Section {
    fn from(word: SectionWord) -> Self {
        match word {
            SectionWord::Rules => Self::Rules,
            SectionWord::Foods => Self::Foods,
            SectionWord::Recipes => Self::Recipes,
            SectionWord::Frontier => Self::Frontier,
            SectionWord::Cap => Self::Cap,
            SectionWord::Eaters => Self::Eaters,
            SectionWord::Others => Self::Others,
            SectionWord::Prices => Self::Prices,
            SectionWord::Reuse => Self::Reuse,
            SectionWord::Amounts => Self::Amounts,
            SectionWord::Ripening => Self::Ripening,
            SectionWord::Shops => Self::Shops,
        }
    }
}

/// A command whose JSON is described.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Described {
    /// The week
    Week,
    /// Weeks in a row
    Weeks,
    /// The trade-offs
    Tradeoffs,
    /// The prep plan
    Prep,
    /// What check finds
    Check,
    /// The kitchen files themselves, for editors
    Kitchen,
}

/// What finds the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum EngineWord {
    /// The exact search
    Search,
    /// The integer program and a general solver, within its tolerances: for small kitchens
    Program,
}

fn others(text: &str) -> Result<usize, String> {
    const MOST: usize = 100;
    match text.parse::<usize>() {
        Ok(others) if others <= MOST => Ok(others),
        _ => Err(format!("write a whole number from 0 to {MOST}")),
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::super::ask_args::AimWord;
    use super::*;

    fn week(args: &[&str]) -> Result<WeekArgs, clap::Error> {
        let all = ["scant", "week"].iter().chain(args);
        match Cli::try_parse_from(all)?.command {
            Command::Week(week) => Ok(week),
            other => panic!("not a week: {other:?}"),
        }
    }

    #[test]
    fn the_definitions_hold_together() {
        Cli::command().debug_assert();
    }

    #[test]
    fn help_names_every_command_in_a_group() {
        let cli = Cli::command();
        for command in cli.get_subcommands().filter(|one| one.get_name() != "help") {
            let line = format!(" {} ", command.get_name());
            assert!(HELP.contains(&line), "{line}");
        }
    }

    #[test]
    fn every_option_is_read() {
        let week = week(&[
            "yard",
            "--cap",
            "9",
            "--cap-families",
            "--without",
            "tofu",
            "--without",
            "oven",
            "--with",
            "rice@Monday",
            "--budget",
            "30.50",
            "--prep-minutes",
            "60",
            "--day-minutes",
            "15",
            "--kitchen-minutes",
            "90",
            "--eaters",
            "1.25",
            "--order",
            "foods,cost",
            "--limit",
            "0.5",
            "--threads",
            "1",
            "--format",
            "json",
        ])
        .unwrap();
        assert_eq!(week.ask.cap, Some(9));
        assert!(week.ask.cap_families);
        let minutes = (week.ask.prep_minutes, week.ask.day_minutes);
        assert_eq!(minutes, (Some(60), Some(15)));
        assert_eq!(week.ask.kitchen_minutes, Some(90));
        let without: Vec<&str> = week.ask.without.iter().map(Typed::raw).collect();
        assert_eq!(without, ["tofu", "oven"]);
        assert_eq!(week.ask.order, [AimWord::Foods, AimWord::Cost]);
        assert_eq!(week.ask.limit.map(|limit| limit.as_millis()), Some(500));
        assert_eq!(week.told.format, Format::Json);
    }

    #[test]
    fn a_limit_of_any_size_is_meant() {
        for text in ["1e7", "1e18", "1e300", "0"] {
            let limit = week(&["--limit", text]).unwrap().ask.limit.unwrap();
            assert_eq!(limit.is_zero(), text == "0", "{text}");
        }
        assert_eq!(
            seconds("1e18").unwrap().as_secs(),
            1_000_000_000_000_000_000
        );
    }

    #[test]
    fn nonsense_is_refused() {
        for args in [
            ["--cap", "-1"],
            ["--cap", "many"],
            ["--prep-minutes", "1.5"],
            ["--day-minutes", "10081"],
            ["--kitchen-minutes", "-1"],
            ["--limit", "-1"],
            ["--limit", "NaN"],
            ["--limit", "inf"],
            ["--threads", "x"],
            ["--order", "foods,taste"],
            ["--format", "xml"],
        ] {
            assert!(week(&args).is_err(), "{args:?}");
        }
    }
}
