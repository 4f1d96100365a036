//! The command line: the only part that prints or reads the clock.

mod add;
mod add_args;
mod after;
mod args;
mod ask_args;
mod check;
mod clock;
mod console;
mod demo;
mod exit;
mod foods;
mod import;
mod live;
mod load;
mod options;
mod paper_args;
mod papers;
mod parts;
mod pool;
mod prices;
mod printing;
mod program;
mod request;
mod shell;
mod signals;
mod start;
mod tradeoffs;
mod week;
mod weeks;
mod whole;

pub use args::Cli;
pub use exit::Exit;

use std::ffi::OsString;
use std::panic::{self, AssertUnwindSafe, catch_unwind};
use std::path::Path;

use clap::Parser;
use clap::error::ErrorKind;

use args::{Command, Described};
use printing::print;

/// Runs one command line, the program's name first, and returns how it ended.
pub fn run(args: impl IntoIterator<Item = OsString>) -> Exit {
    panic::set_hook(Box::new(|what| console::talk(&what.to_string())));
    let args: Vec<OsString> = args.into_iter().collect();
    let cli = match Cli::try_parse_from(&args) {
        Ok(cli) => cli,
        Err(error) => return not_obeyed(&args, error),
    };
    signals::listen();
    catch_unwind(AssertUnwindSafe(|| obey(&cli.command))).unwrap_or_else(|_| {
        console::talk("our fault, not the kitchen's: please report the message above");
        Exit::Ours
    })
}

/// Prints help and version, which were asked for, or what is wrong with the line.
fn not_obeyed(args: &[OsString], error: clap::Error) -> Exit {
    let asked = matches!(
        error.kind(),
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion
    );
    if asked {
        return print(&error.to_string(), Exit::Best);
    }
    // The message repeats arguments as they are: it is made anew of arguments fit for one.
    let shown = args.iter().map(|arg| console::path(Path::new(arg)));
    let error = Cli::try_parse_from(shown).err().unwrap_or(error);
    console::talk(&error.to_string());
    Exit::Fault
}

fn obey(command: &Command) -> Exit {
    match command {
        Command::Week(args) => week::run(args),
        Command::Weeks(args) => weeks::run(args),
        Command::Live(args) => live::run(args),
        Command::Check { dir, format } => check::run(dir.as_deref(), *format),
        Command::Start { dir, bare } => start::run(dir, *bare),
        Command::Add(args) => add::run(args),
        Command::Foods {
            words,
            block,
            bought,
        } => foods::run(words, *block, bought),
        Command::Program(args) => program::run(args),
        Command::Tradeoffs(args) => tradeoffs::run(args),
        Command::Pool(args) => pool::run(args),
        Command::Prices(args) => prices::run(args),
        Command::Rule { code } => {
            let told = crate::report::rules(code.as_deref());
            print(&told, Exit::Best)
        }
        Command::Schema { of } => {
            let schema = match of {
                Described::Week => crate::report::schema(),
                Described::Prep => crate::report::prep_schema(),
                Described::Weeks => crate::report::row_schema(),
                Described::Tradeoffs => crate::report::tradeoffs_schema(),
                Described::Check => crate::report::check_schema(),
                Described::Kitchen => crate::kitchen::schema(),
            };
            print(&schema, Exit::Best)
        }
        Command::Prep(args) => papers::prep(args),
        Command::Recipes(args) => papers::recipes(args),
        Command::List(args) => papers::list(args),
        Command::Calendar(args) => papers::calendar(args),
        Command::Sheet(args) => papers::sheet(args),
        Command::Import(args) => import::run(args),
        Command::Shell(args) => shell::run(args),
    }
}
