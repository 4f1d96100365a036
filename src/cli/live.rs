//! `scant live`: one screen in the browser, on which the week is solved again at every change.

use std::collections::hash_map::DefaultHasher;
use std::fs;
use std::hash::{Hash as _, Hasher as _};
use std::net::{Ipv4Addr, TcpListener};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use super::args::LiveArgs;
use super::{Exit, clock, console, demo, load, printing, whole};
use crate::kitchen::{self, Read, render};
use crate::larder::Larder;
use crate::live::guard::Guard;
use crate::live::{Host, server};

/// The folder, the clock and the means of one run.
struct Here {
    dir: Option<PathBuf>,
    limit: Duration,
    threads: usize,
    clock: clock::Since,
}

pub(super) fn run(args: &LiveArgs) -> Exit {
    started(args).unwrap_or_else(|exit| exit)
}

fn started(args: &LiveArgs) -> Result<Exit, Exit> {
    let here = Here {
        dir: args.dir.clone(),
        limit: args.limit,
        threads: args.threads,
        clock: clock::Since::begin(),
    };
    let stamp = here.stamp();
    let loaded = load::load(args.dir.as_deref())?;
    loaded.tell_warnings();
    // Of the loopback address alone: no other machine comes in.
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(|error| {
        console::talk(&format!(
            "fault: no port of 127.0.0.1 can be had: {error}; end other programs and try again"
        ));
        Exit::Fault
    })?;
    let port = listener.local_addr().map_or(0, |address| address.port());
    let (token, secret) = (secret()?, secret()?);
    let address = format!("http://127.0.0.1:{port}/?token={token}");
    let said = format!(
        "{address}\nOpens once, in one browser of this machine; Ctrl-C ends it. Nothing is written \
         unless you ask for it there.\n"
    );
    let printed = printing::print(&said, Exit::Best);
    if printed != Exit::Best {
        return Err(printed);
    }
    if args.open && !opened(&address) {
        console::talk("note: no browser could be opened; open the address yourself");
    }
    let guard = Guard::new(port, token, secret);
    let served = server::serve(listener, Box::new(here), (loaded.larder, stamp), guard);
    if let Err(error) = served {
        console::talk(&format!("fault: the server ended: {error}; start it again"));
        return Err(Exit::Fault);
    }
    Ok(Exit::Best)
}

/// 128 bits that nobody can guess.
fn secret() -> Result<String, Exit> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(|error| {
        console::talk(&format!(
            "fault: this machine gives no random numbers: {error}"
        ));
        Exit::Fault
    })?;
    Ok(format!("{:032x}", u128::from_be_bytes(bytes)))
}

/// Asks the desktop to open an address.
fn opened(address: &str) -> bool {
    let program = if cfg!(target_os = "macos") {
        "open"
    } else {
        "xdg-open"
    };
    let mut command = if cfg!(windows) {
        let mut command = Command::new("rundll32");
        command.arg("url.dll,FileProtocolHandler");
        command
    } else {
        Command::new(program)
    };
    command.arg(address).spawn().is_ok()
}

fn larder(read: &Read) -> Result<Larder, String> {
    match &read.larder {
        Some(larder) if read.faults.is_empty() => Ok(larder.clone()),
        _ => Err(render::report(read)),
    }
}

impl Here {
    fn files(&self) -> Result<&Path, String> {
        self.dir
            .as_deref()
            .ok_or_else(|| "the demo kitchen has no files".to_owned())
    }
}

impl Host for Here {
    fn read(&self) -> Result<Larder, String> {
        larder(&match &self.dir {
            Some(dir) => kitchen::read_dir_on(dir, Some(clock::latest_day())),
            None => kitchen::read_texts(demo::texts()),
        })
    }

    fn stamp(&self) -> u64 {
        let mut all: Vec<(PathBuf, u64, Option<std::time::SystemTime>)> = Vec::new();
        let entries = self.dir.as_deref().and_then(|dir| fs::read_dir(dir).ok());
        for entry in entries.into_iter().flatten().flatten() {
            if let Ok(about) = entry.metadata() {
                all.push((entry.path(), about.len(), about.modified().ok()));
            }
        }
        all.sort();
        let mut hasher = DefaultHasher::new();
        all.hash(&mut hasher);
        hasher.finish()
    }

    fn texts(&self) -> Vec<(String, String)> {
        self.dir.as_deref().map_or_else(Vec::new, kitchen::texts)
    }

    fn read_with(&self, name: &str, text: &str) -> Result<Larder, String> {
        larder(&kitchen::read_dir_with(self.files()?, name, text))
    }

    fn write(&self, name: &str, text: &str) -> Result<(), String> {
        let path = self.files()?.join(name);
        let written = whole::write([(path.as_path(), text.as_bytes().to_vec())], false);
        let said = written
            .map_err(|_| "the file could not be written; the terminal says why".to_owned())?;
        for line in said {
            console::talk(&line);
        }
        Ok(())
    }

    fn now(&self) -> Duration {
        self.clock.passed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn threads(&self) -> usize {
        self.threads
    }

    fn folder(&self) -> Option<String> {
        self.dir.as_deref().map(console::path)
    }
}
