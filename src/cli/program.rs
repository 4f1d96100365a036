//! `scant program`: a kitchen's integer program in files, for general solvers.

use std::path::PathBuf;

use super::args::ProgramArgs;
use super::clock::{self, Allowance};
use super::week::ours;
use super::{Exit, console, printing, request, whole};
use crate::engine::{Outcome, Solved};
use crate::larder::Larder;
use crate::program;

pub(super) fn run(args: &ProgramArgs) -> Exit {
    written(args).unwrap_or_else(|exit| exit)
}

fn written(args: &ProgramArgs) -> Result<Exit, Exit> {
    let allowance = Allowance::begin(&args.ask)?;
    let files = [&args.data, &args.mps, &args.lp, &args.certify];
    let ready = whole::ready(files.into_iter().flatten().map(PathBuf::as_path));
    // The kitchen's faults are told in the same run.
    let (_, larder) = request::kitchen(&args.ask)?;
    ready?;
    // A strict order of aims is one program an aim; the last one holds the others settled.
    let wants_week = args.certify.is_some() || !larder.wishes.order.is_empty();
    let best = if wants_week {
        best(&larder, &allowance)?
    } else {
        None
    };
    let settled: Vec<i128> = match &best {
        Some(solved) => {
            let aims = larder.wishes.order.iter();
            aims.map(|&aim| solved.tally.aim_nano(aim).into()).collect()
        }
        None => Vec::new(),
    };
    let built = program::build(&larder, &settled);
    let certificate = best.as_ref().filter(|_| args.certify.is_some());
    let texts = [
        (
            &args.data,
            args.data
                .as_ref()
                .map(|_| program::mathprog_data_of_stage(&larder, &settled)),
        ),
        (&args.mps, args.mps.as_ref().map(|_| program::mps(&built))),
        (&args.lp, args.lp.as_ref().map(|_| program::lp(&built))),
        (
            &args.certify,
            certificate.map(|solved| {
                let values = program::certificate(&larder, &built, &solved.plan);
                program::solution(&built, &values)
            }),
        ),
    ];
    let mut told = vec![format!(
        "{} columns, {} rows",
        built.columns.len(),
        built.rows.len()
    )];
    let files = texts
        .into_iter()
        .filter_map(|(path, text)| Some((path.as_deref()?, text?.into_bytes())));
    told.extend(whole::write(files, false)?);
    if args.certify.is_some() && best.is_none() {
        told.push("No week exists: there is nothing to certify.".to_owned());
        return Ok(printing::print(&(told.join("\n") + "\n"), Exit::Impossible));
    }
    Ok(printing::print(&(told.join("\n") + "\n"), Exit::Best))
}

/// The proved best week; none if none exists.
fn best(larder: &Larder, allowance: &Allowance) -> Result<Option<Solved>, Exit> {
    let (result, _) = clock::search(larder, allowance, None);
    match result {
        Ok((Outcome::Best(solved), _)) => Ok(Some(solved)),
        Ok((Outcome::Impossible, _)) => Ok(None),
        Ok(_) => {
            console::talk(
                "the search ended without a proof: no program of the last aim and no certificate; \
                 a larger --limit may help",
            );
            Err(Exit::Unproved)
        }
        Err(fault) => Err(ours(&fault)),
    }
}
