//! `scant prices`: which prices are missing or old, and the list to fill in.

use super::args::PricesArgs;
use super::{Exit, clock, console, load};
use crate::kitchen::render;
use crate::report;

pub(super) fn run(args: &PricesArgs) -> Exit {
    let read = load::read(Some(&args.dir));
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
        return super::print(&list, Exit::Best);
    }
    super::print(&text, Exit::Best)
}
