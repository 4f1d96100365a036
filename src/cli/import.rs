//! `scant import`: recipes, and foods of FoodData Central, into a kitchen file, doubts marked.

use std::fs::OpenOptions;
use std::io::{self, Read};

use super::paper_args::ImportArgs;
use super::{Exit, console, printing, whole};
use crate::import::{self, MOST_BYTES, central};
use crate::kitchen;
use crate::report;

pub(super) fn run(args: &ImportArgs) -> Exit {
    match (args.file.is_dir(), args.food.is_empty()) {
        (true, _) => return foods(args),
        (false, false) => {
            console::talk(&format!(
                "fault: --food picks foods of a FoodData Central folder, and {} is no folder; name \
                 the folder of the unpacked CSV download",
                console::path(&args.file)
            ));
            return Exit::Fault;
        }
        (false, true) => {}
    }
    let fault = |what: &dyn std::fmt::Display| {
        console::talk(&format!("fault: {}: {what}", console::path(&args.file)));
        Exit::Fault
    };
    let bytes = match kitchen::read_plain(&args.file, MOST_BYTES) {
        Ok(bytes) => bytes,
        Err(error) => return fault(&format!("{error}; name a file that can be read")),
    };
    let kitchen = match &args.kitchen {
        Some(dir) if !dir.is_dir() => {
            return fault(&format!(
                "--kitchen {} is no folder; name the folder of the kitchen's files",
                console::path(dir)
            ));
        }
        Some(dir) => kitchen::called(dir),
        None => import::Kitchen::default(),
    };
    let found = match import::recipes_for(&bytes, &kitchen) {
        Ok(found) => found,
        Err(error) => return fault(&error),
    };
    let (text, [sure, likely, doubtful]) = report::imported(&found);
    if let Err(exit) = write(args, &text) {
        return exit;
    }
    let open = |recipe: &&import::Recipe| recipe.lines.iter().any(import::Reading::is_open);
    let unfinished = match found.recipes.iter().filter(open).count() {
        0 => String::new(),
        many => format!("; unfinished: {many}, which no week has until you have written them"),
    };
    console::talk(&format!(
        "{} {}; lines: {sure} sure, {likely} to check, {doubtful} doubtful and left to you{unfinished}",
        found.recipes.len(),
        if found.recipes.len() == 1 {
            "recipe"
        } else {
            "recipes"
        }
    ));
    if args.out.is_some() {
        return Exit::Best;
    }
    printing::print(&text, Exit::Best)
}

/// Writes the file asked for, if there is one.
///
/// # Errors
/// The exit, after the fault was told.
fn write(args: &ImportArgs, text: &str) -> Result<(), Exit> {
    let Some(out) = &args.out else {
        return Ok(());
    };
    // A kitchen file may hold a cook's own work.
    let there = out.symlink_metadata().is_ok();
    if there {
        console::talk(&format!(
            "fault: {} is there already and is not overwritten; name a new file",
            console::path(out)
        ));
        return Err(Exit::Fault);
    }
    whole::write_new(out, text.to_owned())
}

/// Foods of a FoodData Central folder.
fn foods(args: &ImportArgs) -> Exit {
    let folder = console::path(&args.file);
    if args.food.is_empty() {
        console::talk(&format!(
            "fault: {folder} is a folder: of a FoodData Central download say which foods, by \
             --food ID or --food WORDS; for recipes name a file"
        ));
        return Exit::Fault;
    }
    let open = |name: &str| -> io::Result<Option<Box<dyn Read>>> {
        match kitchen::open_plain(&args.file.join(name), OpenOptions::new().read(true)) {
            Ok(file) => Ok(Some(Box::new(file))),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    };
    let picks: Vec<String> = args.food.iter().map(|pick| pick.raw().to_owned()).collect();
    let found = match central::pick(&open, &picks) {
        Ok(found) => found,
        Err(faults) => {
            console::faults(faults.iter().map(|fault| format!("{folder}: {fault}")));
            return Exit::Fault;
        }
    };
    let (text, [check, doubtful]) = report::central(&found);
    if let Err(exit) = write(args, &text) {
        return exit;
    }
    console::talk(&format!(
        "{} {} of FoodData Central; lines: {check} to check, {doubtful} doubtful and left out; packs \
         and prices are left to you",
        found.foods.len(),
        if found.foods.len() == 1 {
            "food"
        } else {
            "foods"
        }
    ));
    if args.out.is_some() {
        return Exit::Best;
    }
    printing::print(&text, Exit::Best)
}
