//! `scant shell`: completions and man pages, made from the definitions of the command line.

use std::io;
use std::path::Path;

use clap::CommandFactory;

use super::args::Cli;
use super::paper_args::ShellArgs;
use super::{Exit, console, printing, whole};

pub(super) fn run(args: &ShellArgs) -> Exit {
    if let Some(dir) = &args.manuals
        && let Err(exit) = manuals(dir)
    {
        return exit;
    }
    let Some(shell) = args.completions else {
        return Exit::Best;
    };
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "scant", &mut script);
    printing::print(&String::from_utf8_lossy(&script), Exit::Best)
}

/// Writes `scant.1` and a page a command, each whole, and says how many.
///
/// # Errors
/// The exit, after the fault was told.
fn manuals(dir: &Path) -> Result<(), Exit> {
    whole::folder(dir)?;
    let mut all = Cli::command();
    all.build();
    let mut commands = vec![("scant.1".to_owned(), all.clone())];
    for command in all.get_subcommands() {
        if command.get_name() == "help" {
            continue;
        }
        // Built, a command knows what is typed: `scant week`.
        let command = command.clone().version(env!("CARGO_PKG_VERSION"));
        commands.push((format!("scant-{}.1", command.get_name()), command));
    }
    let mut pages = Vec::new();
    for (name, command) in commands {
        let text = page(command).map_err(|error| {
            console::talk(&format!(
                "our fault: the man page {name} cannot be made: {error}"
            ));
            Exit::Ours
        })?;
        pages.push((dir.join(name), text));
    }
    let files = pages.iter();
    let written = whole::write(files.map(|(p, text)| (p.as_path(), text.clone())), false)?;
    let (pages, dir) = (written.len(), console::path(dir));
    console::talk(&format!("Wrote {pages} man pages to {dir}"));
    Ok(())
}

fn page(command: clap::Command) -> io::Result<Vec<u8>> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command)
        .source(concat!("scant ", env!("CARGO_PKG_VERSION")))
        .render(&mut text)?;
    Ok(text)
}
