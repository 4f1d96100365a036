//! `scant tradeoffs`: kitchen in, what each wish costs out.

use super::args::{SectionWord, TradeoffsArgs};
use super::ask_args::Format;
use super::clock::{self, Allowance};
use super::week::ours;
use super::{Exit, console, options, printing, request};
use crate::report;
use crate::tradeoffs::{Proof, SECTIONS, Section, Tradeoffs};

pub(super) fn run(args: &TradeoffsArgs) -> Exit {
    told(args).unwrap_or_else(|exit| exit)
}

fn told(args: &TradeoffsArgs) -> Result<Exit, Exit> {
    let allowance = Allowance::begin(&args.ask)?;
    let (plain, larder) = request::kitchen(&args.ask)?;
    let margin_minor = match &args.within {
        None => None,
        Some(text) => match options::money(text.raw(), &larder) {
            Ok(minor) => Some(minor),
            Err(fault) => {
                console::talk(&format!("fault: --within {text}: {fault}"));
                return Err(Exit::Fault);
            }
        },
    };
    let sections: Vec<Section> = if args.only.is_empty() {
        SECTIONS.to_vec()
    } else {
        args.only.iter().copied().map(SectionWord::into).collect()
    };
    let wanted = clock::Wanted {
        sections: &sections,
        others: args.others,
        margin_minor,
    };
    match clock::tradeoffs(&larder, &plain, &wanted, &allowance) {
        Ok(told) => Ok(show(&told, args)),
        Err(fault) => Err(ours(&fault)),
    }
}

fn show(told: &Tradeoffs, args: &TradeoffsArgs) -> Exit {
    let exit = match (told.proof, told.settled) {
        (Proof::Impossible, _) => Exit::Impossible,
        (Proof::Best, true) => Exit::Best,
        _ => Exit::Unproved,
    };
    let whole = args.full || !args.only.is_empty();
    match args.format {
        Format::Json => printing::print(&report::tradeoffs_json(told), exit),
        Format::Text if whole => printing::print(&report::tradeoffs(told), exit),
        Format::Text => printing::print_screen(&report::trade_screen(told, console::look()), exit),
    }
}
