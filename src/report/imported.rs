//! Writes imported recipes as a kitchen file: what is sure as entries, what is not as comments
//! that say why. Quantities are divided by the portions, as kitchen recipes are for one.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::words;
use crate::import::{Confidence, Doubt, Found, MOST_BYTES, Number, Reading, Recipe};
use crate::unicode;

const HEAD: &str = "\
# Recipes from elsewhere, read line by line. Look at every line marked CHECK.
# A line marked DOUBTFUL is left out until you write it yourself: nothing was guessed. Such lines stand
# again under `unfinished`, and no week has the recipe until you have taken that away.
# Amounts are for one portion, of what is eaten; a mass that was read as bought says so. The words after
# a quantity are the line as it stood.
";

/// Returns the kitchen file, and how many lines are sure, likely and doubtful.
pub fn imported(found: &Found) -> (String, [usize; 3]) {
    let mut counts = [0; 3];
    let mut text = HEAD.to_owned();
    for broken in &found.broken {
        let _ = writeln!(
            text,
            "# A script of the page is no JSON and was left out: {}",
            comment(broken)
        );
    }
    let mut names = Names::default();
    let mut recipes = found.recipes.as_slice();
    let foods = foods(found);
    let stubs = food_stubs(&foods);
    let room = (MOST_BYTES as usize).saturating_sub(text.len() + stubs.len() + HEADINGS);
    let mut entries = String::new();
    for (at, recipe) in recipes.iter().enumerate() {
        let name = names.give(&recipe.name, None);
        let mut with = counts;
        let entry = entry(recipe, &name, &foods, &mut with);
        if entries.len() + entry.len() > room {
            recipes = &recipes[..at];
            break;
        }
        (entries, counts) = (entries + &entry, with);
    }
    let left_out = found.left_out + found.recipes.len() - recipes.len();
    if left_out > 0 {
        let _ = writeln!(text, "# {left_out} more recipes were left out: too many.");
    }
    if recipes.iter().any(|recipe| ready(recipe) > 0) {
        text += "\nrecipes:\n";
    }
    text += &entries;
    text += &stubs;
    (text, counts)
}

/// Bytes of what is written between head, entries and stubs, and more.
const HEADINGS: usize = 1_000;

/// Longest name a kitchen file may hold, in characters.
const LONGEST_NAME: usize = 300;

/// Names given, no two of them alike to a kitchen.
#[derive(Default)]
pub(super) struct Names {
    taken: BTreeSet<String>,
    /// The last number behind each name.
    last: BTreeMap<String, usize>,
}

impl Names {
    /// Returns the name; where it is taken or none, the other one; where that is too, the name
    /// with a number behind as much of it as there is room for.
    pub(super) fn give(&mut self, name: &str, other: Option<&str>) -> String {
        let short = |name: &str, most: usize| -> String {
            unicode::cut(&shown(name), most).trim_end().to_owned()
        };
        // As a kitchen tells names apart.
        let fold = unicode::small;
        for one in [Some(name), other].into_iter().flatten() {
            let whole = short(one, LONGEST_NAME);
            if !whole.is_empty() && self.taken.insert(fold(&whole)) {
                return whole;
            }
        }
        let last = self.last.entry(fold(name)).or_insert(1);
        loop {
            *last += 1;
            let mark = format!("({last})");
            let begin = short(name, LONGEST_NAME - mark.len() - 1);
            let name = format!("{begin} {mark}").trim().to_owned();
            if self.taken.insert(fold(&name)) {
                return name;
            }
        }
    }
}

/// Lines that can stand as entries.
fn ready(recipe: &Recipe) -> usize {
    let sure = |line: &&Reading| written(line, recipe.portions).is_some();
    recipe.lines.iter().filter(sure).count()
}

/// Rows used, with the name the recipes of this file give them: the first one read.
fn foods(found: &Found) -> BTreeMap<&'static str, String> {
    let mut foods = BTreeMap::new();
    let mut names = Names::default();
    for recipe in &found.recipes {
        for line in &recipe.lines {
            if let (Some(row), Some(_)) = (line.food, written(line, recipe.portions)) {
                if line.own.is_some() || foods.contains_key(row.number) {
                    continue;
                }
                let own = short_name(line);
                // Two rows must not share a name.
                let own = Some(own.as_str()).filter(|own| own.chars().count() <= LONGEST_NAME);
                let name = names.give(own.unwrap_or(row.name), Some(row.name));
                foods.insert(row.number, name);
            }
        }
    }
    foods
}

/// The food in the line's own words, less those left out to find its row.
fn short_name(line: &Reading) -> String {
    let dropped: Vec<&String> = line
        .doubts
        .iter()
        .filter_map(|doubt| match doubt {
            Doubt::Dropped(words) => Some(words),
            _ => None,
        })
        .flatten()
        .collect();
    let kept = line.name.split_whitespace();
    let kept = kept.filter(|word| !dropped.iter().any(|gone| gone == word));
    unicode::cleaned(&kept.collect::<Vec<_>>().join(" ").to_lowercase())
}

/// Number and measure for one portion, of a line that is not doubtful.
fn written(line: &Reading, portions: Option<Number>) -> Option<String> {
    if line.confidence == Confidence::Doubtful {
        return None;
    }
    let (number, measure) = line.usable.as_ref()?;
    let each = number.over(portions.unwrap_or(Number { num: 1, den: 1 }))?;
    let plain = each.den <= MOST_PARTS || !["g", "ml"].contains(&measure.as_str());
    let written = if plain {
        each.written()
    } else {
        decimal(each)?
    };
    Some(format!("{written} {measure}"))
}

/// Largest denominator that stands as a fraction before grams.
const MOST_PARTS: i64 = 4;

/// A number with a decimal, rounded down; with three if it is less than one.
fn decimal(number: Number) -> Option<String> {
    let places: usize = if number.num >= number.den { 1 } else { 3 };
    let scale = 10_i128.pow(places as u32);
    let all = i128::from(number.num) * scale / i128::from(number.den);
    (all > 0).then(|| {
        let text = format!("{}.{:0places$}", all / scale, all % scale);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    })
}

fn entry(
    recipe: &Recipe,
    name: &str,
    foods: &BTreeMap<&'static str, String>,
    counts: &mut [usize; 3],
) -> String {
    // Without a single line that can stand, a recipe would be a fault: all of it is comment.
    let empty = ready(recipe) == 0;
    let mark = if empty { "# " } else { "" };
    let mut text = format!("{mark}  - recipe: {}\n", quoted(name));
    match &recipe.category {
        Some(category) => {
            let _ = writeln!(text, "{mark}    form: {}", quoted(category));
        }
        None => {
            let _ = writeln!(
                text,
                "{mark}    form: \"unsorted\"  # CHECK: write bowl, wrap, soup..."
            );
        }
    }
    match recipe.minutes {
        Some(minutes) if recipe.minutes_of_all => {
            let _ = writeln!(
                text,
                "{mark}    minutes: {minutes}  # CHECK: of all of it, waiting with it; write the cook's own"
            );
        }
        Some(minutes) => {
            let _ = writeln!(text, "{mark}    minutes: {minutes}");
        }
        None => text += "    # CHECK: no time of preparation is given; write minutes: N\n",
    }
    match recipe.portions {
        Some(portions) => {
            let _ = writeln!(
                text,
                "    # It says it makes {} portions.",
                portions.written()
            );
        }
        None => {
            text += "    # CHECK: it does not say how many it feeds: amounts are for all of it.\n";
        }
    }
    if recipe.left_out > 0 {
        let _ = writeln!(
            text,
            "    # {} lines or steps were left out: too many.",
            recipe.left_out
        );
    }
    let _ = writeln!(text, "{mark}    lines:");
    for line in &recipe.lines {
        text += &line_entry(line, recipe.portions, foods, counts);
    }
    let open: Vec<&Reading> = recipe
        .lines
        .iter()
        .filter(|line| unwritten(line, recipe.portions))
        .collect();
    if !open.is_empty() {
        let _ = writeln!(
            text,
            "{mark}    unfinished:  # CHECK: write these under `lines`, then take this away"
        );
        for line in open {
            let _ = writeln!(text, "{mark}      - {}", quoted(&line.text));
        }
    }
    if !recipe.steps.is_empty() {
        let _ = writeln!(text, "{mark}    steps:");
        for step in &recipe.steps {
            let _ = writeln!(text, "{mark}      - {}", quoted(step));
        }
    }
    text
}

/// Whether a line is an ingredient that does not stand among the entries.
fn unwritten(line: &Reading, portions: Option<Number>) -> bool {
    !line.doubts.contains(&Doubt::Heading) && written(line, portions).is_none()
}

/// Thousandths of a percent: `56.4 %`.
fn percent(milli: i64) -> String {
    let text = format!("{}.{:03}", milli / 1_000, milli % 1_000);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

fn line_entry(
    line: &Reading,
    portions: Option<Number>,
    foods: &BTreeMap<&'static str, String>,
    counts: &mut [usize; 3],
) -> String {
    let why: Vec<String> = line.doubts.iter().map(doubt).collect();
    let amount = written(line, portions);
    let food = match &line.own {
        Some(own) => Some((if own.cooked { "component" } else { "food" }, &own.name)),
        None => line
            .food
            .and_then(|row| foods.get(row.number))
            .map(|name| ("food", name)),
    };
    if let (Some(amount), Some((key, food))) = (amount, food) {
        let entry = format!(
            "      - {{ {key}: {}, amount: {} }}",
            quoted(food),
            quoted(&amount)
        );
        let bought = match line.bought {
            Some(share) => format!(" (as bought: {} of it is eaten)", percent(share)),
            None => String::new(),
        };
        return if line.confidence == Confidence::Sure {
            counts[0] += 1;
            format!("{entry}  # {}{bought}\n", comment(&line.text))
        } else {
            counts[1] += 1;
            format!(
                "{entry}  # CHECK ({}): {}{bought}\n",
                why.join("; "),
                comment(&line.text)
            )
        };
    }
    if line.doubts.contains(&Doubt::Heading) {
        return format!("      # {}\n", comment(&line.text));
    }
    counts[2] += 1;
    let mut why = why;
    if why.is_empty() {
        why.push("its numbers are no kitchen quantity".to_owned());
    }
    let mut text = format!(
        "      # DOUBTFUL ({}): {}\n",
        why.join("; "),
        comment(&line.text)
    );
    if let Some(row) = line.food {
        let _ = writeln!(text, "      #   table row {}: {}", row.number, row.name);
    }
    text
}

fn doubt(doubt: &Doubt) -> String {
    match doubt {
        Doubt::Unreadable => "too long or empty".to_owned(),
        Doubt::Heading => "a heading".to_owned(),
        Doubt::Several(names) => format!("it may be {}", comment(&names.join(" | "))),
        Doubt::Heaped(word) => format!("how much {} is nobody says", comment(word)),
        Doubt::Pinch => {
            "a pinch as a sixteenth of a teaspoon: common practice, no source".to_owned()
        }
        Doubt::Cut(word) => format!("{}: the table weighs it in another cut", comment(word)),
        Doubt::NoAmount => "no amount at its front".to_owned(),
        Doubt::Range => "a range, the smaller is taken".to_owned(),
        Doubt::NoFood(near) if near.is_empty() => "no row of the table by that name".to_owned(),
        Doubt::NoFood(near) => format!("which food? near: {}", near.join(" | ")),
        Doubt::Choice => "a choice of foods".to_owned(),
        Doubt::TwoFoods => "two foods in one line".to_owned(),
        Doubt::Dropped(dropped) => format!("read without: {}", comment(&dropped.join(" "))),
        Doubt::Changed(word) => format!("{}: nothing known is so", comment(word)),
        Doubt::Unweighed(measure) => format!("nothing says what a {measure} of it weighs"),
        Doubt::Tin(mg) => format!(
            "the table's can holds {} drained; look at yours",
            words::mass(*mg).replace(words::JOINT, " ")
        ),
        Doubt::Container => "what is edible in the container is not known".to_owned(),
        Doubt::Optional => "said to be optional".to_owned(),
        Doubt::About => "said to be about so much".to_owned(),
    }
}

fn food_stubs(foods: &BTreeMap<&'static str, String>) -> String {
    if foods.is_empty() {
        return String::new();
    }
    let mut text = "\n# Foods these recipes use. Your kitchen may have them under another name: \
                    then write\n# that name above. Else take the marks away and fill in packs and \
                    prices.\n# foods:\n"
        .to_owned();
    for (number, name) in foods {
        let _ = write!(
            text,
            "#   - food: {}\n#     table: {}\n#     packs: [{{ pack: , size: , price: , keeps: , \
             open_keeps: }}]\n",
            quoted(name),
            quoted(number)
        );
    }
    text
}

/// A YAML text in double quotes. JSON's are YAML's too; what YAML does not print is escaped as
/// JSON escapes it.
pub(super) fn quoted(text: &str) -> String {
    serde_json::to_string(&unicode::cleaned(text)).unwrap_or_default()
}

/// Text on one line, each gap one space, nothing in it that no name may hold.
fn shown(text: &str) -> String {
    let plain = unicode::cleaned(text);
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Text that stays in its comment, and turns no other text around.
pub(super) fn comment(text: &str) -> String {
    unicode::cleaned(text)
}
