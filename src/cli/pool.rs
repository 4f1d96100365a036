//! `scant pool`: the recipes of a kitchen before any week exists.

use super::args::PoolArgs;
use super::clock::{self, Allowance};
use super::week::ours;
use super::{Exit, printing, request};
use crate::report;
use crate::survey::Least;

pub(super) fn run(args: &PoolArgs) -> Exit {
    told(args).unwrap_or_else(|exit| exit)
}

fn told(args: &PoolArgs) -> Result<Exit, Exit> {
    let allowance = Allowance::begin(&args.ask)?;
    let (_, larder) = request::kitchen(&args.ask)?;
    let told = clock::survey(&larder, &allowance).map_err(|fault| ours(&fault))?;
    let exit = match (told.fewest, told.bill) {
        (Least::NoWeek, _) => Exit::Impossible,
        (Least::Proved(_), Least::Proved(_)) => Exit::Best,
        _ => Exit::Unproved,
    };
    Ok(printing::print(&report::pool(&told), exit))
}
