//! Writes imported recipes as a kitchen file: what is sure as entries, what is not as comments
//! that say why. Quantities are divided by the portions, as kitchen recipes are for one.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::words;
use crate::import::{Confidence, Doubt, Found, Number, Reading, Recipe};
use crate::unicode;

const HEAD: &str = "\
# Recipes from elsewhere, read line by line. Look at every line marked CHECK.
# A line marked DOUBTFUL is left out until you write it yourself: nothing was guessed.
# Amounts are for one portion. The words after a quantity are the line as it stood.
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
    if found.left_out > 0 {
        let _ = writeln!(
            text,
            "# {} more recipes were left out: too many.",
            found.left_out
        );
    }
    let mut names = BTreeSet::new();
    let foods = foods(found);
    let any = found.recipes.iter().any(|recipe| ready(recipe) > 0);
    if any {
        text += "\nrecipes:\n";
    }
    for recipe in &found.recipes {
        let name = unlike(&recipe.name, &mut names);
        text += &entry(recipe, &name, &foods, &mut counts);
    }
    text += &food_stubs(&foods);
    (text, counts)
}

/// Most characters of a name in a kitchen file.
const LONGEST_NAME: usize = 300;

/// Returns the name, numbered if one before it is the same but for capitals.
pub(super) fn unlike(name: &str, before: &mut BTreeSet<String>) -> String {
    if before.insert(name.to_lowercase()) {
        return name.to_owned();
    }
    let mut number = 2;
    loop {
        let mark = format!(" ({number})");
        let numbered = unicode::cut(name, LONGEST_NAME - mark.len()) + &mark;
        if before.insert(numbered.to_lowercase()) {
            return numbered;
        }
        number += 1;
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
    let mut taken = BTreeSet::new();
    for recipe in &found.recipes {
        for line in &recipe.lines {
            if let (Some(row), Some(_)) = (line.food, written(line, recipe.portions)) {
                if foods.contains_key(row.number) {
                    continue;
                }
                let own = short_name(line);
                // Two rows must not share a name; a name is at most 300 characters.
                let name = if !own.is_empty()
                    && own.chars().count() <= LONGEST_NAME
                    && taken.insert(own.clone())
                {
                    own
                } else {
                    row.name.to_owned()
                };
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
    Some(format!("{} {measure}", each.written()))
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
    if !recipe.steps.is_empty() {
        let _ = writeln!(text, "{mark}    steps:");
        for step in &recipe.steps {
            let _ = writeln!(text, "{mark}      - {}", quoted(step));
        }
    }
    text
}

fn line_entry(
    line: &Reading,
    portions: Option<Number>,
    foods: &BTreeMap<&'static str, String>,
    counts: &mut [usize; 3],
) -> String {
    let why: Vec<String> = line.doubts.iter().map(doubt).collect();
    let amount = written(line, portions);
    let food = line.food.and_then(|row| foods.get(row.number));
    if let (Some(amount), Some(food)) = (amount, food) {
        let entry = format!(
            "      - {{ food: {}, amount: {} }}",
            quoted(food),
            quoted(&amount)
        );
        return if line.confidence == Confidence::Sure {
            counts[0] += 1;
            format!("{entry}  # {}\n", comment(&line.text))
        } else {
            counts[1] += 1;
            format!(
                "{entry}  # CHECK ({}): {}\n",
                why.join("; "),
                comment(&line.text)
            )
        };
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
        Doubt::NoAmount => "no amount at its front".to_owned(),
        Doubt::Range => "a range, the smaller is taken".to_owned(),
        Doubt::NoFood(near) if near.is_empty() => "no row of the table by that name".to_owned(),
        Doubt::NoFood(near) => format!("which food? near: {}", near.join(" | ")),
        Doubt::Choice => "a choice of foods".to_owned(),
        Doubt::TwoFoods => "two foods in one line".to_owned(),
        Doubt::Dropped(dropped) => format!("read without: {}", comment(&dropped.join(" "))),
        Doubt::Changed(word) => format!("{word}: the table has no such row of it"),
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

/// Text that stays in its comment, and turns no other text around.
pub(super) fn comment(text: &str) -> String {
    unicode::cleaned(text)
}
