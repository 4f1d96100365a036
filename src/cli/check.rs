//! `scant check`: every fault, then every warning, on standard output.

use std::path::Path;

use super::ask_args::Format;
use super::{Exit, load, printing};
use crate::kitchen::render;
use crate::report;

pub(super) fn run(dir: Option<&Path>, format: Format) -> Exit {
    let read = load::read(dir);
    if format == Format::Json {
        let sound = read.larder.is_some() && read.faults.is_empty();
        let exit = if sound { Exit::Best } else { Exit::Fault };
        return printing::print(&report::check_json(&read), exit);
    }
    let mut text = report::put_in(&read.put_in) + &render::report(&read);
    let exit = match &read.larder {
        Some(larder) if read.faults.is_empty() => {
            text += &report::kitchen(larder);
            Exit::Best
        }
        _ => Exit::Fault,
    };
    printing::print(&text, exit)
}
