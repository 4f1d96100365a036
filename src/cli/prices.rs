//! `scant prices`: which prices are missing or old, the list to fill in, and what changed ones change.

use super::args::PricesArgs;
use super::clock::Allowance;
use super::week::{compared, ours};
use super::{Exit, clock, console, load, printing};
use crate::kitchen::{self, Read, render};
use crate::larder::Larder;
use crate::report;

pub(super) fn run(args: &PricesArgs) -> Exit {
    let read = load::read(Some(&args.dir));
    if let Some(since) = args.since {
        return changed(args, since, &read).unwrap_or_else(|exit| exit);
    }
    let missing = read.prices.iter().any(|priced| priced.minor.is_none());
    // Prices that are missing are faults of the kitchen and what is asked for here.
    let usable = read.larder.is_some() || missing;
    let Some(currency) = read.currency.filter(|_| usable && !read.prices.is_empty()) else {
        console::talk(&render::faults(&read.faults, read.tally, &read.sources));
        return Exit::Fault;
    };
    let today = clock::today();
    let (due, text) = report::prices(&read.prices, &currency, today, args.older);
    if args.template {
        // Lines of a terminal end in LF alone; price lists are read with either.
        let list = report::prices_csv(&due, today).replace("\r\n", "\n");
        return printing::print(&list, Exit::Best);
    }
    printing::print(&text, Exit::Best)
}

/// Tells which prices changed after a day, and the week before beside the week now.
fn changed(args: &PricesArgs, since: chrono::NaiveDate, now: &Read) -> Result<Exit, Exit> {
    let was = kitchen::read_dir_as_of(&args.dir, since);
    let (old, new) = (sound(&was)?, sound(now)?);
    let (same, text) = report::price_changes(&was.prices, &now.prices, &new.currency, since);
    if same {
        return Ok(printing::print(&text, Exit::Best));
    }
    let allowance = Allowance::begin_within(args.limit, 0)?;
    let asked = format!("the prices after {since}");
    let told = compared(old, new, asked, &allowance).map_err(|fault| ours(&fault))?;
    let exit = Exit::from(told.verdict);
    let week = report::parts(&told, &[]);
    Ok(printing::print(&format!("{text}\n{week}"), exit))
}

/// The larder of a kitchen without a fault.
fn sound(read: &Read) -> Result<&Larder, Exit> {
    read.larder.as_ref().ok_or_else(|| {
        console::talk(&render::faults(&read.faults, read.tally, &read.sources));
        Exit::Fault
    })
}
