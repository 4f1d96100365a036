//! The commands that put a week on paper: recipes, lists, calendar and page. Each finds the
//! week as `scant week` does; where there is none, it prints why and writes no file.

use super::args::{AskArgs, Finishing, Format, PrepArgs};
use super::paper_args::{CalendarArgs, ListArgs, RecipesArgs, SheetArgs};
use super::week::For;
use super::{Exit, week, whole};
use crate::explain::Explanation;
use crate::report;

/// Finds the week of a command line.
///
/// # Errors
/// The exit, after what there is to say instead of a week was said.
fn found(ask: &AskArgs, finishing: Finishing, purpose: For) -> Result<Explanation, Exit> {
    let explanation = week::told(ask, finishing, purpose)?;
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

pub(super) fn prep(args: &PrepArgs) -> Exit {
    let write = || {
        let told = found(&args.ask, args.finish, For::Prep)?;
        let text = match args.format {
            Format::Text => report::prep(&told),
            Format::Json => report::prep_json(&told),
        };
        Ok(super::print(&text, told.verdict.into()))
    };
    ended(write())
}

pub(super) fn recipes(args: &RecipesArgs) -> Exit {
    let write = || {
        let told = found(&args.ask, Finishing::None, For::Paper)?;
        if let Some(path) = &args.json_ld {
            whole::write_all([(path.as_path(), report::recipes_json_ld(&told))])?;
        }
        Ok(super::print(&report::recipes(&told), told.verdict.into()))
    };
    ended(write())
}

pub(super) fn list(args: &ListArgs) -> Exit {
    let write = || {
        let told = found(&args.ask, Finishing::None, For::Paper)?;
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
        let told = found(&args.ask, Finishing::None, For::Prep)?;
        let text = report::calendar(&told, args.monday);
        whole::write_all([(args.out.as_path(), text)])?;
        Ok(told.verdict.into())
    };
    ended(write())
}

pub(super) fn sheet(args: &SheetArgs) -> Exit {
    let write = || {
        let told = found(&args.ask, Finishing::None, For::Prep)?;
        whole::write_all([(args.out.as_path(), report::sheet(&told))])?;
        Ok(told.verdict.into())
    };
    ended(write())
}
