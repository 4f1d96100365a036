//! `scant tradeoffs`: kitchen in, what each wish costs out.

use super::args::{Format, SectionWord, TradeoffsArgs};
use super::week::ours;
use super::{Exit, clock, console, request};
use crate::report;
use crate::tradeoffs::{Proof, SECTIONS, Section, Tradeoffs};

pub(super) fn run(args: &TradeoffsArgs) -> Exit {
    let (plain, larder) = match request::kitchen(&args.ask) {
        Ok(kitchens) => kitchens,
        Err(exit) => return exit,
    };
    let margin_minor = match &args.within {
        None => None,
        Some(text) => match request::money(text.raw(), &larder) {
            Ok(minor) => Some(minor),
            Err(fault) => {
                console::talk(&format!("fault: --within {text}: {fault}"));
                return Exit::Fault;
            }
        },
    };
    let sections: Vec<Section> = if args.only.is_empty() {
        SECTIONS.to_vec()
    } else {
        args.only.iter().copied().map(SectionWord::into).collect()
    };
    clock::watch();
    let wanted = clock::Wanted {
        sections: &sections,
        others: args.others,
        margin_minor,
        threads: args.ask.threads,
        limit: args.ask.limit,
    };
    match clock::tradeoffs(&larder, &plain, &wanted) {
        Ok(told) => show(&told, args.format),
        Err(fault) => ours(&fault),
    }
}

fn show(told: &Tradeoffs, format: Format) -> Exit {
    let text = match format {
        Format::Text => report::tradeoffs(told),
        Format::Json => report::tradeoffs_json(told),
    };
    let exit = match (told.proof, told.settled) {
        (Proof::Impossible, _) => Exit::Impossible,
        (Proof::Best, true) => Exit::Best,
        _ => Exit::Unproved,
    };
    super::print(&text, exit)
}
