//! Writes foods of FoodData Central as a kitchen file: figures with their source, what stands in
//! for another marked, what is in doubt left out with the reason, packs and prices left to the cook.

use std::fmt::Write as _;

use super::imported::{Names, comment, quoted};
use super::words;
use crate::import::central::{Central, CentralFood};
use crate::larder::Nutrient;
use crate::table::allergens::offered;
use crate::unicode;

const HEAD: &str = "\
# Foods of FoodData Central, US Department of Agriculture, from its CSV download; figures are for
# 100 g of the edible portion. Nothing was guessed: look at every line marked CHECK; what stands
# as DOUBTFUL was left out. Packs and prices are yours: until they stand where TODO is said,
# `scant check` names the food.

foods:
";

/// Returns the kitchen file, and how many lines are to be checked or were left out in doubt.
pub fn central(found: &Central) -> (String, [usize; 2]) {
    let mut text = HEAD.to_owned();
    let mut counts = [0; 2];
    let mut names = Names::default();
    for food in &found.foods {
        let short = unicode::cut(&food.description, 270);
        let own = format!("{short} (FDC {})", food.fdc_id);
        let name = names.give(&food.description, Some(&own));
        text += &entry(food, &name, found.no_portions, &mut counts);
    }
    (text, counts)
}

fn entry(food: &CentralFood, name: &str, no_portions: bool, counts: &mut [usize; 2]) -> String {
    let mut text = format!("  - food: {}\n", quoted(name));
    let published = match food.published.as_str() {
        "" => String::new(),
        day => format!(", published {day}"),
    };
    let source = format!(
        "USDA FoodData Central, FDC id {} ({}{published})",
        food.fdc_id, food.data_type
    );
    let _ = writeln!(text, "    source: {}", quoted(&source));
    let mut check = |text: &mut String, what: &str| {
        counts[0] += 1;
        let _ = writeln!(text, "    # CHECK: {}", comment(what));
    };
    if food.data_type == "branded_food" {
        check(
            &mut text,
            "figures of a branded food are for 100 g or for 100 ml, as its label counts; these \
             files do not say which.",
        );
    }
    for stand in &food.stands {
        let what = format!("{} stands in: {}.", stand.nutrient.label(), stand.taken);
        check(&mut text, &what);
    }
    check(
        &mut text,
        "what is bought may have peel, pits or bones: then write yield: N %.",
    );
    let allergens = match offered(&food.description) {
        Some(words) => format!(
            "allergens are not in the download; by its kind: {words}. Write `allergens:` from the label."
        ),
        None => "allergens are not in the download: write them from the label.".to_owned(),
    };
    check(&mut text, &allergens);
    if no_portions {
        check(
            &mut text,
            "the folder has no food_portion.csv: no measures are known.",
        );
    }
    text += "    nutrients:";
    if food.nutrients_milli.iter().all(Option::is_none) {
        text += " {}";
    }
    text += "\n";
    for nutrient in Nutrient::ALL {
        let doubt = food
            .doubtful
            .iter()
            .find(|doubt| doubt.nutrient == nutrient);
        let _ = match (food.nutrients_milli[nutrient.index()], doubt) {
            (Some(milli), _) => {
                let (key, unit) = (nutrient.key(), nutrient.unit());
                writeln!(text, "      {key}: {}  # {unit}", words::thousandths(milli))
            }
            (None, Some(doubt)) => {
                counts[1] += 1;
                let why = comment(&doubt.why);
                writeln!(text, "      # DOUBTFUL {}: {why}", nutrient.key())
            }
            (None, None) => writeln!(text, "      # {}: not given", nutrient.key()),
        };
    }
    text += &measures(food, &mut counts[1]);
    text += "    packs: []  # TODO, like [{ pack: 400 g tin, size: 400 g, price: 1.19, keeps: 365, open_keeps: 3 }]\n";
    text
}

fn measures(food: &CentralFood, doubtful: &mut usize) -> String {
    let mut text = String::new();
    if food.portions.iter().any(|portion| portion.measure.is_ok()) {
        text += "    measures:\n";
    }
    for portion in &food.portions {
        let written = comment(&portion.written);
        let _ = match &portion.measure {
            Ok((name, mg)) => writeln!(
                text,
                "      {}: {} g  # {written}",
                quoted(name),
                words::thousandths(*mg)
            ),
            Err(why) => {
                *doubtful += 1;
                writeln!(text, "      # DOUBTFUL measure, {why}: {written}")
            }
        };
    }
    text
}
