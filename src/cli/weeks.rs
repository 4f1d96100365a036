//! `scant weeks`: weeks in a row, each the best given what those before it left.

use std::path::Path;

use super::args::WeeksArgs;
use super::ask_args::Format;
use super::clock::Allowance;
use super::week::{For, Found, Question, answer, ours};
use super::{Exit, after, console, printing, request, whole};
use crate::explain::{Row, RowWeek, Verdict, kept};
use crate::larder::Former;
use crate::larder::former::MOST_FORMER;
use crate::report;

pub(super) fn run(args: &WeeksArgs) -> Exit {
    match planned(args) {
        Ok(exit) | Err(exit) => exit,
    }
}

fn planned(args: &WeeksArgs) -> Result<Exit, Exit> {
    let allowance = Allowance::begin(&args.ask)?;
    let asked = request::read(&args.ask, true)?;
    let mut row = Row {
        kitchen: asked.larder.name.clone(),
        currency: asked.larder.currency.clone(),
        asked: usize::from(args.weeks),
        refused_weeks: asked.after.rest.refuse,
        priced_weeks: asked.after.rest.price,
        weeks: Vec::new(),
    };
    if let Some(dir) = args.plans.as_deref() {
        // Found out before the search: a row takes long.
        whole::folder(dir)?;
        let files: Vec<_> = (1..=row.asked).map(|n| file(dir, n)).collect();
        whole::ready(files.iter().map(std::path::PathBuf::as_path))?;
    }
    let mut former = asked.after.former.clone();
    let mut starts = 0;
    for number in 1..=row.asked {
        let begun = asked
            .after
            .begin(former.as_ref(), &asked.plain, &asked.larder)?;
        if number == 1 {
            asked.after.tell(&begun);
        } else {
            starts += begun.days;
        }
        if number == 2 {
            after::weekdays(&begun);
        }
        let which = format!("week {number}: ");
        let question = Question {
            plain: &begun.plain,
            larder: &begun.larder,
            ask: &args.ask,
            finishing: args.told.finish,
            purpose: For::Paper,
            ways: true,
        };
        let Found { told, plan, .. } =
            answer(&question, &allowance, &which).map_err(|fault| ours(&fault))?;
        let before = former.take().map_or_else(Vec::new, |former| former.weeks);
        let told = told.after(&before);
        let verdict = told.verdict;
        if let (Some(plan), Some(week)) = (&plan, &told.week) {
            let recipes = week.lunches.iter().map(|lunch| lunch.recipe.clone());
            let mut weeks = vec![recipes.collect()];
            weeks.extend(before);
            weeks.truncate(MOST_FORMER);
            former = Some(Former {
                carry_day: begun.larder.week.carry_day,
                prep: begun.larder.week.calendar.prep(),
                kept: kept(&begun.larder, plan),
                weeks,
            });
        }
        if let Some(dir) = args.plans.as_deref().filter(|_| told.week.is_some()) {
            write(dir, number, &report::json(&told))?;
        }
        row.weeks.push(RowWeek::new(
            number,
            starts,
            told,
            &begun.larder,
            &begun.lost,
        ));
        if verdict != Verdict::Best {
            break;
        }
        if allowance.stopped() && number < row.asked {
            console::talk(&format!("stopped after week {number}"));
            break;
        }
    }
    let whole_row = row.weeks.len() == row.asked;
    let exit = match row.verdict() {
        Verdict::Best if !whole_row => Exit::Unproved,
        verdict => verdict.into(),
    };
    let text = match args.told.format {
        Format::Text => report::row(&row),
        Format::Json => report::row_json(&row),
    };
    Ok(printing::print(&text, exit))
}

fn file(dir: &Path, number: usize) -> std::path::PathBuf {
    dir.join(format!("week-{number}.json"))
}

fn write(dir: &Path, number: usize, text: &str) -> Result<(), Exit> {
    whole::folder(dir)?;
    let path = file(dir, number);
    whole::write_all([(path.as_path(), text.to_owned())])
}
