//! `scant shell`: completions and man pages, made from the definitions of the command line.

use std::fs;
use std::io;
use std::path::Path;

use clap::CommandFactory;

use super::args::Cli;
use super::paper_args::ShellArgs;
use super::{Exit, console, whole};

pub(super) fn run(args: &ShellArgs) -> Exit {
    if let Some(dir) = &args.manuals {
        match manuals(dir) {
            Ok(pages) => console::talk(&format!(
                "Wrote {pages} man pages to {}",
                console::path(dir)
            )),
            Err(error) => {
                console::talk(&format!("fault: {}: {error}", console::path(dir)));
                return Exit::Fault;
            }
        }
    }
    let Some(shell) = args.completions else {
        return Exit::Best;
    };
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "scant", &mut script);
    super::print(&String::from_utf8_lossy(&script), Exit::Best)
}

/// Writes `scant.1` and a page a command, each whole; returns how many.
fn manuals(dir: &Path) -> io::Result<usize> {
    fs::create_dir_all(dir)?;
    let mut all = Cli::command();
    all.build();
    let mut pages = vec![("scant.1".to_owned(), page(all.clone())?)];
    for command in all.get_subcommands() {
        if command.get_name() == "help" {
            continue;
        }
        // Built, a command knows what is typed: `scant week`.
        let command = command.clone().version(env!("CARGO_PKG_VERSION"));
        let name = format!("scant-{}", command.get_name());
        pages.push((format!("{name}.1"), page(command)?));
    }
    for (name, text) in &pages {
        whole::write(&dir.join(name), text)?;
    }
    Ok(pages.len())
}

fn page(command: clap::Command) -> io::Result<Vec<u8>> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command)
        .source(concat!("scant ", env!("CARGO_PKG_VERSION")))
        .render(&mut text)?;
    Ok(text)
}
