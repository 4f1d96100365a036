//! Writes entries of kitchen files: a food with what the tables tell of it, a recipe of lines that
//! were jotted down. Without indent: where they go decides that.

use std::fmt::Write as _;

use super::imported::{comment, quoted};
use crate::kitchen::jotted::{Filling, Jotted};
use crate::kitchen::sketch::{Sketch, Time};
use crate::table::Row;
use crate::table::kinds::in_days;

/// Most measures of a row that are named.
const MEASURES: usize = 6;
/// Longest name of a measure that is named, in bytes.
const LONGEST: usize = 16;

/// Returns a food's entry, with its sources as comments. `to_fill`: a price that was not given is a line to
/// fill in; else it is left out, as a price list may have it.
pub fn food_block(food: &Sketch, to_fill: bool) -> String {
    let row = food.row;
    let mut text = format!("- food: {}\n", plain(&food.name));
    let _ = writeln!(text, "  table: \"{}\"  # {}", row.number, comment(row.name));
    if let Some(measures) = measures(row) {
        let _ = writeln!(text, "  # measures of the table: {measures}");
    }
    if food.staple {
        text += "  staple: true\n";
    }
    if let Some((share, source)) = food.drained {
        let why = source.map_or_else(
            || "common practice, no source: weigh yours".to_owned(),
            |source| format!("{}: weigh yours", comment(source)),
        );
        let _ = writeln!(
            text,
            "  yield: {}  # left once drained; {why}",
            percent(share)
        );
    }
    text += &allergens(&food.allergens);
    text += "  packs:\n";
    if food.staple {
        return text + &staple_pack(food);
    }
    match &food.pack {
        Some(pack) => {
            let _ = writeln!(text, "    - pack: {}", plain(pack));
        }
        None => text += "    - pack:   # as on the shelf, like 400 g tin\n",
    }
    match &food.size {
        Some(size) => {
            let _ = writeln!(text, "      size: {}", plain(size));
        }
        None => text += "      size:   # how much is in it, like 400 g\n",
    }
    if let Some(units) = food.units {
        let _ = writeln!(text, "      units: {units}");
    }
    match &food.price {
        Some(price) => {
            let _ = writeln!(text, "      price: {}", priced(price, food.shop.as_deref()));
        }
        None if to_fill => text += "      price:   # of the whole pack\n",
        None => {}
    }
    if food.loose {
        text += "      loose: true\n";
    }
    if let Some((first, last)) = &food.ripens {
        let _ = writeln!(
            text,
            "      stage: hard  # bought ripe: stage: ripe, and take `ready` out"
        );
        let _ = writeln!(
            text,
            "      ready: {}..{}  # {}",
            first.days,
            last.days,
            comment(&last.source)
        );
    }
    let mut assumed = Vec::new();
    for (key, state, time) in [
        ("keeps", "unopened", &food.sealed),
        ("open_keeps", "opened", &food.opened),
    ] {
        let Some(Time { days, published }) = time else {
            continue;
        };
        if let Some(bound) = published {
            let source = comment(&bound.source);
            let kept = bound.where_kept();
            let _ = writeln!(text, "      {key}: {days}  # {state}, {kept}: {source}");
        } else {
            let _ = writeln!(
                text,
                "      {key}: {days}  # {state}: common practice, no source"
            );
            assumed.push(key);
        }
    }
    if !assumed.is_empty() {
        let _ = writeln!(
            text,
            "      assumed: [{}]  # confirm, then take this line out",
            assumed.join(", ")
        );
    }
    text
}

/// A price, and where it is one if that is said.
fn priced(price: &str, shop: Option<&str>) -> String {
    match shop {
        Some(shop) => format!("{{ {}: {} }}", plain(shop), plain(price)),
        None => plain(price),
    }
}

/// A staple has a size and a price, no more.
fn staple_pack(food: &Sketch) -> String {
    let size = food.size.as_deref().map_or("100 g".to_owned(), plain);
    match &food.price {
        Some(price) => {
            let price = priced(price, food.shop.as_deref());
            format!("    - {{ size: {size}, price: {price} }}\n")
        }
        None => format!(
            "    - {{ size: {size}, price: 0 }}  # counts nothing until a price stands here\n"
        ),
    }
}

/// The row's measures in words: `cup 164 g, piece 61 g`.
fn measures(row: &Row) -> Option<String> {
    let short = row
        .measures
        .iter()
        .filter(|measure| measure.name.len() <= LONGEST);
    let named = short.take(MEASURES).map(|measure| {
        let grams = measure.mg / 1_000;
        match measure.mg % 1_000 / 100 {
            0 => format!("{} {grams} g", measure.name),
            tenths => format!("{} {grams}.{tenths} g", measure.name),
        }
    });
    let named: Vec<String> = named.collect();
    (!named.is_empty()).then(|| comment(&named.join(", ")))
}

fn allergens((has, may): &(Vec<&str>, Vec<&str>)) -> String {
    let mut text = String::new();
    if !has.is_empty() {
        let _ = writeln!(
            text,
            "  # allergens: [{}]  # by its kind: read the label, then take the first mark away",
            has.join(", ")
        );
    }
    if !may.is_empty() {
        let _ = writeln!(
            text,
            "  # often made with {}: read the label",
            may.join(", ")
        );
    }
    text
}

/// Thousandths of a percent as a kitchen file writes them.
fn percent(milli: i64) -> String {
    let text = format!("{}.{:03}", milli / 1_000, milli % 1_000);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A recipe to be written.
#[derive(Clone, Debug, Default)]
pub struct RecipeSketch<'a> {
    /// Its name.
    pub name: &'a str,
    /// Bowl, wrap, soup...
    pub form: &'a str,
    /// Main protein.
    pub protein: Option<&'a str>,
    /// Active minutes, as typed.
    pub minutes: Option<&'a str>,
    /// For how many portions its lines are, as typed.
    pub serves: Option<&'a str>,
    /// Equipment.
    pub needs: Vec<&'a str>,
    /// Its lines.
    pub lines: &'a [Jotted],
}

/// Returns a recipe's entry.
pub fn recipe_block(recipe: &RecipeSketch) -> String {
    let mut text = format!("- recipe: {}\n", plain(recipe.name));
    let keys = [
        ("form", Some(recipe.form)),
        ("protein", recipe.protein),
        ("minutes", recipe.minutes),
        ("serves", recipe.serves),
    ];
    for (key, value) in keys {
        if let Some(value) = value {
            let _ = writeln!(text, "  {key}: {}", plain(value));
        }
    }
    if !recipe.needs.is_empty() {
        let needs: Vec<String> = recipe.needs.iter().map(|word| plain(word)).collect();
        let _ = writeln!(text, "  needs: [{}]", needs.join(", "));
    }
    text += "  lines:\n";
    for line in recipe.lines {
        let fillings: Vec<String> = line.fillings.iter().map(filling).collect();
        let written = match fillings.as_slice() {
            [one] => one.clone(),
            several => format!("{{ one_of: [{}] }}", several.join(", ")),
        };
        let note = match line.note.as_str() {
            "" => String::new(),
            note => format!("  # {}", comment(note)),
        };
        let _ = writeln!(text, "    - {written}{note}");
    }
    text
}

/// A component to be written.
#[derive(Clone, Debug, Default)]
pub struct ComponentSketch<'a> {
    /// Its name.
    pub name: &'a str,
    /// How much a batch makes, as typed.
    pub makes: &'a str,
    /// Days it keeps, as typed.
    pub keeps: Option<&'a str>,
    /// Active minutes, as typed.
    pub minutes: Option<&'a str>,
    /// Minutes by itself, as typed.
    pub passive_minutes: Option<&'a str>,
    /// Equipment.
    pub needs: Vec<&'a str>,
    /// What goes in: of each line the first filling.
    pub lines: &'a [Jotted],
}

/// Returns a component's entry.
pub fn component_block(component: &ComponentSketch) -> String {
    let mut text = format!("- component: {}\n", plain(component.name));
    let keys = [
        ("makes", Some(component.makes)),
        ("keeps", component.keeps),
        ("minutes", component.minutes),
        ("passive_minutes", component.passive_minutes),
    ];
    for (key, value) in keys {
        if let Some(value) = value {
            let _ = writeln!(text, "  {key}: {}", plain(value));
        }
    }
    if !component.needs.is_empty() {
        let needs: Vec<String> = component.needs.iter().map(|word| plain(word)).collect();
        let _ = writeln!(text, "  needs: [{}]", needs.join(", "));
    }
    text += "  from:\n";
    for line in component.lines {
        let note = match line.note.as_str() {
            "" => String::new(),
            note => format!("  # {}", comment(note)),
        };
        for one in line.fillings.iter().take(1) {
            let _ = writeln!(text, "    - {}{note}", filling(one));
        }
    }
    text
}

fn filling(filling: &Filling) -> String {
    let key = if filling.cooked { "component" } else { "food" };
    let (name, amount) = (plain(&filling.name), plain(&filling.amount));
    format!("{{ {key}: {name}, amount: {amount} }}")
}

/// Words that YAML or a kitchen file takes for something else than text.
const TAKEN: [&str; 8] = ["true", "false", "null", "yes", "no", "on", "off", "nan"];

/// A text as a cook would write it: without quotes where none are needed.
fn plain(text: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '-' | '/' | '.' | '%');
    let safe = text.starts_with(|c: char| c.is_ascii_alphanumeric())
        && text.trim() == text
        && text.chars().all(bare)
        && !TAKEN.contains(&text.to_ascii_lowercase().as_str());
    if safe { text.to_owned() } else { quoted(text) }
}

/// Returns one line that says what of an added food is to be looked at; empty if nothing is.
pub fn food_told(food: &Sketch) -> String {
    let mut told = Vec::new();
    for (state, time) in [("unopened", &food.sealed), ("opened", &food.opened)] {
        if let Some(time) = time.as_ref().filter(|time| time.published.is_none()) {
            told.push(format!(
                "{state} {} is common practice, no source",
                in_days(time.days.into())
            ));
        }
    }
    if matches!(food.drained, Some((_, None))) {
        told.push("what is left once drained is common practice, no source".to_owned());
    }
    let (has, may) = &food.allergens;
    if !has.is_empty() {
        told.push(format!(
            "by its kind it has {}: read the label",
            has.join(", ")
        ));
    }
    if !may.is_empty() {
        told.push(format!(
            "often made with {}: read the label",
            may.join(", ")
        ));
    }
    told.join("; ")
}
