//! `scant add`: a food, a recipe or a component put into a kitchen file. What stands there is not touched, and
//! nothing is written that `check` would refuse.

use std::collections::HashSet;
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::add_args::{AddArgs, AddComponentArgs, AddFoodArgs, AddRecipeArgs, Added, BoughtArgs};
use super::console::{self, Typed};
use super::{Exit, whole};
use crate::kitchen::insert::{self, Inserted, NoPlace};
use crate::kitchen::jotted::Jotted;
use crate::kitchen::sketch::{Bought, Found, Sketch, row_of};
use crate::kitchen::{self, jotted, render};
use crate::report::{self, ComponentSketch, RecipeSketch};
use crate::table::{self, Row};
use crate::unicode;

pub(super) fn run(args: &AddArgs) -> Exit {
    let added = match &args.what {
        Added::Food(args) => food(args),
        Added::Recipe(args) => recipe(args),
        Added::Component(args) => component(args),
    };
    match added {
        Ok(()) => Exit::Best,
        Err(exit) => exit,
    }
}

fn refuse(what: &str) -> Exit {
    console::talk(&format!("fault: {what}"));
    Exit::Fault
}

/// Words of arguments as one name.
fn name(words: &[Typed]) -> Result<String, Exit> {
    let words: Vec<&str> = words.iter().map(Typed::raw).collect();
    let name = words
        .join(" ")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    if name.is_empty() {
        return Err(refuse("the name is empty; write what the kitchen calls it"));
    }
    fit(&name)?;
    Ok(name)
}

/// Refuses what no text of a kitchen file may hold.
fn fit(text: &str) -> Result<(), Exit> {
    match unicode::flaw(text) {
        Some(flaw) => Err(refuse(&format!(
            "`{}` {flaw}; {}",
            unicode::quoted(text),
            flaw.help()
        ))),
        None => Ok(()),
    }
}

pub(super) fn bought(args: &BoughtArgs) -> Result<Bought<'_>, Exit> {
    let all = [&args.pack, &args.size, &args.price, &args.shop];
    for typed in all.into_iter().flatten() {
        fit(typed.raw())?;
    }
    let [pack, size, price, shop] = all.map(|typed| typed.as_ref().map(|t| t.raw().trim()));
    Ok(Bought {
        pack,
        size,
        price,
        shop,
        loose: args.loose,
        staple: args.staple,
    })
}

/// Puts together what is known of a food, asking which row it is where somebody can be asked.
pub(super) fn sketch(name: &str, table: Option<&Typed>, bought: &Bought) -> Result<Sketch, Exit> {
    let row = match table {
        Some(row) => table::find(row.raw()).ok_or_else(|| {
            refuse(&format!(
                "the built-in table has no row `{row}`; scant foods WORDS finds one"
            ))
        })?,
        None => match row_of(name, bought.pack) {
            Found::Row(row) => row,
            Found::Near(near) => choose(name, &near)?,
        },
    };
    Sketch::new(name, row, bought).map_err(|(what, help)| refuse(&format!("{what}; {help}")))
}

/// Asks which of these rows is meant; refuses where nobody can be asked.
fn choose(name: &str, near: &[&'static Row]) -> Result<&'static Row, Exit> {
    let shown = unicode::quoted(name);
    if near.is_empty() {
        return Err(refuse(&format!(
            "no row of the built-in table answers to `{shown}`; name one by --table (scant foods WORDS), \
             or write the food yourself with `nutrients:` and their `source:`"
        )));
    }
    let mut list = String::new();
    for (at, row) in (1..).zip(near) {
        let _ = writeln!(list, "{at:>3}  {:<14} {}", row.number, row.name);
    }
    console::talk(&format!(
        "`{shown}` may be one of these rows of the table:\n{list}"
    ));
    let Some(answer) = console::ask("Which? its number in front, or nothing for none:") else {
        let first = near.first().map_or("ROW", |row| row.number);
        return Err(refuse(&format!(
            "which one is for you to say; add --table ROW, like --table {first}"
        )));
    };
    let at = answer
        .parse::<usize>()
        .ok()
        .and_then(|at| at.checked_sub(1));
    at.and_then(|at| near.get(at).copied())
        .ok_or_else(|| refuse("no row was chosen; nothing was written"))
}

fn food(args: &AddFoodArgs) -> Result<(), Exit> {
    let name = name(&args.name)?;
    let bought = bought(&args.bought)?;
    if !bought.staple && bought.pack.is_none() {
        return Err(refuse(
            "how it is bought is missing; add --pack \"400 g tin\" --price 1.19, or --staple for what is \
             in the cupboard anyway",
        ));
    }
    let sketch = sketch(&name, args.table.as_ref(), &bought)?;
    let into = into(args.into.as_deref(), "foods")?;
    put(&into, "foods", &report::food_block(&sketch, false))?;
    let row = sketch.row;
    console::talk(&format!(
        "Added {}: row {}, {}",
        unicode::quoted(&name),
        row.number,
        row.name
    ));
    let told = report::food_told(&sketch);
    if !told.is_empty() {
        console::talk(&format!("Look at: {told}"));
    }
    Ok(())
}

/// Reads lines with the names of the kitchen a file is of; every fault is told.
fn jot(typed: &[Typed], file: &Path) -> Result<Vec<Jotted>, Exit> {
    let known = kitchen::known(folder(file));
    let mut lines = Vec::new();
    let mut faults = Vec::new();
    for line in typed {
        fit(line.raw())?;
        match jotted::read(line.raw(), &known) {
            Ok(read) => lines.push(read),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() {
        return Ok(lines);
    }
    console::faults(faults);
    Err(Exit::Fault)
}

fn component(args: &AddComponentArgs) -> Result<(), Exit> {
    let name = name(std::slice::from_ref(&args.name))?;
    let into = into(args.into.as_deref(), "components")?;
    let lines = jot(&args.lines, &into)?;
    if let Some(line) = lines.iter().position(|line| line.fillings.len() > 1) {
        return Err(refuse(&format!(
            "`{}`: a batch has no alternatives; write a component for each",
            args.lines[line]
        )));
    }
    let typed = [&args.keeps, &args.minutes, &args.passive];
    for text in typed
        .into_iter()
        .flatten()
        .chain([&args.makes])
        .chain(&args.needs)
    {
        fit(text.raw())?;
    }
    let [keeps, minutes, passive_minutes] =
        typed.map(|typed| typed.as_ref().map(|t| t.raw().trim()));
    let block = report::component_block(&ComponentSketch {
        name: &name,
        makes: args.makes.raw().trim(),
        keeps,
        minutes,
        passive_minutes,
        needs: args.needs.iter().map(Typed::raw).collect(),
        lines: &lines,
    });
    put(&into, "components", &block)?;
    console::talk(&format!("Added {}", unicode::quoted(&name)));
    Ok(())
}

fn recipe(args: &AddRecipeArgs) -> Result<(), Exit> {
    let name = name(std::slice::from_ref(&args.name))?;
    let into = into(args.into.as_deref(), "recipes")?;
    let lines = jot(&args.lines, &into)?;
    let typed = [&args.protein, &args.minutes, &args.serves];
    for text in typed
        .into_iter()
        .flatten()
        .chain([&args.form])
        .chain(&args.needs)
    {
        fit(text.raw())?;
    }
    let [protein, minutes, serves] = typed.map(|typed| typed.as_ref().map(|t| t.raw().trim()));
    let block = report::recipe_block(&RecipeSketch {
        name: &name,
        form: args.form.raw().trim(),
        protein,
        minutes,
        serves,
        needs: args.needs.iter().map(Typed::raw).collect(),
        lines: &lines,
    });
    put(&into, "recipes", &block)?;
    console::talk(&format!("Added {}", unicode::quoted(&name)));
    Ok(())
}

/// The file an entry goes into: the one named, or the last one in the folder one is in that has such
/// entries already.
fn into(named: Option<&Path>, key: &str) -> Result<PathBuf, Exit> {
    if let Some(file) = named {
        let known = file
            .extension()
            .is_some_and(|end| end.eq_ignore_ascii_case("yaml") || end.eq_ignore_ascii_case("yml"));
        if !known {
            return Err(refuse(&format!(
                "{} is no kitchen file; name one that ends in .yaml",
                console::path(file)
            )));
        }
        return Ok(file.to_owned());
    }
    let texts = kitchen::texts(Path::new("."));
    let head = format!("{key}:");
    let has = |text: &str| text.lines().any(|line| line.starts_with(&head));
    let found = texts.iter().rfind(|(_, text)| has(text)).or(texts.last());
    found.map(|(name, _)| PathBuf::from(name)).ok_or_else(|| {
        refuse(
            "no kitchen file is in this folder; go to the kitchen's folder, or name a file by --into \
             (scant start DIR --bare makes a kitchen)",
        )
    })
}

fn folder(file: &Path) -> &Path {
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Puts an entry into a file, if `check` has nothing against it.
fn put(file: &Path, key: &str, entry: &str) -> Result<(), Exit> {
    let shown = console::path(file);
    let old = match fs::symlink_metadata(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => String::new(),
        _ => read(file)?,
    };
    let Inserted { text, lines } = insert::insert(&old, key, entry).map_err(|why| {
        let what = match why {
            NoPlace::Braces => "it is one mapping in braces".to_owned(),
            NoPlace::Brackets => format!("its `{key}:` is not written one entry a line"),
        };
        refuse(&format!("{shown}: {what}; name another file by --into"))
    })?;
    let dir = folder(file);
    let name = file.file_name().and_then(|name| name.to_str());
    let name =
        name.ok_or_else(|| refuse(&format!("{shown} is no name in UTF-8; name another file")))?;
    let before = kitchen::read_dir(dir);
    let after = kitchen::read_dir_with(dir, name, &text);
    let known: HashSet<&str> = before
        .faults
        .iter()
        .map(|fault| fault.what.as_str())
        .collect();
    // What a food that is there now shows of recipes that were there before is no fault of it.
    let ours = |fault: &&kitchen::Fault| {
        let inside = fault.file == name && (lines.0..=lines.1).contains(&fault.line);
        inside || (fault.what.contains("already") && !known.contains(fault.what.as_str()))
    };
    let faults: Vec<String> = after
        .faults
        .iter()
        .filter(ours)
        .map(|fault| render::fault(fault, &after.sources))
        .collect();
    if !faults.is_empty() {
        console::talk(&format!(
            "{}\nfault: {shown} would have what stands above; nothing was written",
            faults.concat()
        ));
        return Err(Exit::Fault);
    }
    let new = fs::symlink_metadata(file).is_err();
    for said in whole::write([(file, text.into_bytes())], new)? {
        console::talk(&said);
    }
    Ok(())
}

fn read(file: &Path) -> Result<String, Exit> {
    let shown = console::path(file);
    let bytes = kitchen::read_plain(file, kitchen::MOST_FORMER_BYTES)
        .map_err(|error| refuse(&format!("{shown}: {error}; name a file that can be read")))?;
    String::from_utf8(bytes).map_err(|_| {
        refuse(&format!(
            "{shown} is not UTF-8 text; save it as plain text in UTF-8"
        ))
    })
}
