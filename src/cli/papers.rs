//! The commands that put a week on paper: recipes, lists, calendar and page. Each finds the
//! week as `scant week` does; where there is none, it prints why and writes no file.

use std::path::{Path, PathBuf};
use std::time::Duration;

use super::args::PrepArgs;
use super::ask_args::{AskArgs, Finishing, Format};
use super::clock::{self, Allowance};
use super::paper_args::{CalendarArgs, ListArgs, RecipesArgs, SheetArgs};
use super::week::For;
use super::{Exit, console, printing, request, week, whole};
use crate::explain::{self, Explanation, Verdict};
use crate::larder::Larder;
use crate::report;
use crate::tradeoffs::{Section, Tradeoffs};

/// Finds the week of a command line; that each of `files` can be written is found out first.
///
/// # Errors
/// The exit, after what there is to say instead of a week was said.
fn found(ask: &AskArgs, purpose: For, files: &[Option<&PathBuf>]) -> Result<Explanation, Exit> {
    Ok(found_with(ask, Finishing::None, purpose, files)?.told)
}

/// A week with the kitchen it was found in: as written, and with the options set.
struct Found {
    told: Explanation,
    plain: Larder,
    larder: Larder,
    allowance: Allowance,
}

/// The same with finishers.
fn found_with(
    ask: &AskArgs,
    finishing: Finishing,
    purpose: For,
    files: &[Option<&PathBuf>],
) -> Result<Found, Exit> {
    let found = asked(ask, finishing, purpose, files)?;
    if found.told.week.is_some() {
        return Ok(found);
    }
    let exit = found.told.verdict.into();
    Err(printing::print(&report::text(&found.told), exit))
}

/// What came of the search, week or none.
fn asked(
    ask: &AskArgs,
    finishing: Finishing,
    purpose: For,
    files: &[Option<&PathBuf>],
) -> Result<Found, Exit> {
    let allowance = Allowance::begin(ask)?;
    let ready = whole::ready(files.iter().copied().flatten().map(PathBuf::as_path));
    // The kitchen's faults are told in the same run.
    let (plain, larder, before) = request::week(ask)?;
    if purpose == For::Calendar {
        dated(&larder)?;
    }
    ready?;
    let question = week::Question {
        plain: &plain,
        larder: &larder,
        ask,
        finishing,
        purpose,
        ways: true,
    };
    let told = week::answer(&question, &allowance, "");
    let told = told.map_err(|fault| week::ours(&fault))?.told;
    let told = told.after(&before);
    Ok(Found {
        told,
        plain,
        larder,
        allowance,
    })
}

/// Returns the exit, whichever way a command ended.
fn ended(result: Result<Exit, Exit>) -> Exit {
    result.unwrap_or_else(|exit| exit)
}

pub(super) fn prep(args: &PrepArgs) -> Exit {
    let write = || {
        let told = asked(&args.ask, args.told.finish, For::Prep, &[])?.told;
        let text = match args.told.format {
            Format::Text => report::prep(&told),
            Format::Json => report::prep_json(&told),
        };
        Ok(printing::print(&text, told.verdict.into()))
    };
    ended(write())
}

pub(super) fn recipes(args: &RecipesArgs) -> Exit {
    let write = || {
        let layout = args.layout(false);
        let (collection, text, exit) = if args.all {
            let (_, larder) = request::kitchen(&args.ask)?;
            let all = explain::collection(&larder, args.finish != Finishing::None);
            let text = report::collection(&all, layout);
            (all, text, Exit::Best)
        } else {
            let files = [args.json_ld.as_ref()];
            let found = found_with(&args.ask, args.finish, For::Paper, &files)?;
            let text = report::recipes(&found.told, layout);
            let week = explain::of_week(&found.larder, &found.told);
            (week, text, found.told.verdict.into())
        };
        let layout = args.layout(true);
        if let Some(path) = &args.json_ld {
            let text = report::recipes_json_ld(&collection, layout);
            whole::write_all([(path.as_path(), text)])?;
        }
        if let Some(dir) = &args.pages {
            pages(dir, &report::recipe_pages(&collection, layout))?;
        }
        Ok(printing::print(&text, exit))
    };
    ended(write())
}

/// Writes pages into a folder, all or none, and says how many.
fn pages(dir: &Path, pages: &[(String, String)]) -> Result<(), Exit> {
    whole::folder(dir)?;
    let paths: Vec<PathBuf> = pages.iter().map(|(name, _)| dir.join(name)).collect();
    let texts = pages.iter().map(|(_, text)| text.clone().into_bytes());
    let files = paths.iter().map(PathBuf::as_path).zip(texts);
    let written = whole::write(files, false)?.len();
    console::talk(&format!("Wrote {written} pages to {}", console::path(dir)));
    Ok(())
}

pub(super) fn list(args: &ListArgs) -> Exit {
    let write = || {
        let told = found(
            &args.ask,
            For::Paper,
            &[args.csv.as_ref(), args.left_csv.as_ref()],
        )?;
        let files = [
            (&args.csv, report::shopping_csv(&told)),
            (&args.left_csv, report::leftovers_csv(&told)),
        ];
        whole::write_all(
            files
                .iter()
                .filter_map(|(path, text)| path.as_deref().map(|path| (path, text.clone()))),
        )?;
        Ok(printing::print(&report::list(&told), told.verdict.into()))
    };
    ended(write())
}

/// Returns the date of the week's Monday.
///
/// # Errors
/// The exit, after it was said that days have no dates.
fn dated(larder: &Larder) -> Result<chrono::NaiveDate, Exit> {
    let calendar = larder.week.calendar;
    calendar.date(calendar.first_monday()).ok_or_else(|| {
        let fault = "a calendar needs dates: add --monday with the date of the week's Monday, or \
                     `starts` with that of the first lunch to the kitchen's `week`";
        console::faults([fault.to_owned()]);
        Exit::Fault
    })
}

pub(super) fn calendar(args: &CalendarArgs) -> Exit {
    let write = || {
        let files = [Some(&args.out)];
        let found = found_with(&args.ask, args.finish, For::Calendar, &files)?;
        let told = found.told;
        let monday = dated(&found.larder)?;
        let text = report::calendar(&told, monday);
        whole::write_all([(args.out.as_path(), text)])?;
        Ok(told.verdict.into())
    };
    ended(write())
}

pub(super) fn sheet(args: &SheetArgs) -> Exit {
    let write = || {
        let found = found_with(&args.ask, args.finish, For::Prep, &[Some(&args.out)])?;
        let wishes = match args.tradeoffs {
            // Nothing is held against a week that is not proved best.
            Some(limit) => {
                let best = found.told.verdict == Verdict::Best;
                Some(wishes(&found, if best { limit } else { Duration::ZERO })?)
            }
            None => None,
        };
        let told = found.told;
        let page = report::sheet(&told, wishes.as_ref());
        whole::write_all([(args.out.as_path(), page)])?;
        Ok(told.verdict.into())
    };
    ended(write())
}

/// What the page tells of trade-offs, worked out for at most `limit` in all.
fn wishes(found: &Found, limit: Duration) -> Result<Tradeoffs, Exit> {
    let wanted = clock::Wanted {
        sections: &[Section::Frontier, Section::Foods],
        others: 0,
        margin_minor: None,
    };
    let allowance = found.allowance.within(limit);
    clock::tradeoffs(&found.larder, &found.plain, &wanted, &allowance)
        .map_err(|fault| week::ours(&fault))
}
