//! The commands that put a week on paper: recipes, lists, calendar and page. Each finds the
//! week as `scant week` does; where there is none, it prints why and writes no file.

use super::args::AskArgs;
use super::paper_args::{CalendarArgs, ListArgs, RecipesArgs, SheetArgs};
use super::{Exit, week, whole};
use crate::explain::Explanation;
use crate::report;

/// Finds the week of a command line.
///
/// # Errors
/// The exit, after what there is to say instead of a week was said.
fn found(ask: &AskArgs) -> Result<Explanation, Exit> {
    let explanation = week::told(ask, false)?;
    if explanation.week.is_some() {
        return Ok(explanation);
    }
    let exit = explanation.verdict.into();
    Err(super::print(&report::text(&explanation), exit))
}

/// Returns the exit, whichever way a command ended.
fn ended(result: Result<Exit, Exit>) -> Exit {
    result.unwrap_or_else(|exit| exit)
}

pub(super) fn recipes(args: &RecipesArgs) -> Exit {
    let write = || {
        let told = found(&args.ask)?;
        if let Some(path) = &args.json_ld {
            whole::write_all([(path.as_path(), report::recipes_json_ld(&told))])?;
        }
        Ok(super::print(&report::recipes(&told), told.verdict.into()))
    };
    ended(write())
}

pub(super) fn list(args: &ListArgs) -> Exit {
    let write = || {
        let told = found(&args.ask)?;
        let files = [
            (&args.csv, report::shopping_csv(&told)),
            (&args.left_csv, report::leftovers_csv(&told)),
        ];
        whole::write_all(
            files
                .iter()
                .filter_map(|(path, text)| path.as_deref().map(|path| (path, text.clone()))),
        )?;
        Ok(super::print(&report::list(&told), told.verdict.into()))
    };
    ended(write())
}

pub(super) fn calendar(args: &CalendarArgs) -> Exit {
    let write = || {
        let told = found(&args.ask)?;
        let text = report::calendar(&told, args.monday);
        whole::write_all([(args.out.as_path(), text)])?;
        Ok(told.verdict.into())
    };
    ended(write())
}

pub(super) fn sheet(args: &SheetArgs) -> Exit {
    let write = || {
        let told = found(&args.ask)?;
        whole::write_all([(args.out.as_path(), report::sheet(&told))])?;
        Ok(told.verdict.into())
    };
    ended(write())
}
