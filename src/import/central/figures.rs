//! Which figure of the download is which nutrient, and what may stand in where it is missing.
//!
//! Nutrients are told by the numbers the Standard Reference gave them (`nutrient_nbr`), which are
//! from memory; unit and name in `nutrient.csv` must agree, so that a number remembered wrongly
//! is found out and never read as another nutrient.

use std::collections::BTreeMap;

use super::food::{CentralFood, Doubtful, Stand};
use super::rows::{CentralFault, Opener, Rows};
use crate::larder::{NUTRIENTS, Nutrient};

/// A figure of the download that gives one of our nutrients.
struct Known {
    nutrient: Nutrient,
    /// `nutrient_nbr`, from memory.
    number: &'static str,
    /// `unit_name`.
    unit: &'static str,
    /// A word of its `name`, in lower case.
    word: &'static str,
    /// Thousandths of our unit in one of its, and what to divide by.
    scale: (i64, i64),
}

const fn known(
    nutrient: Nutrient,
    number: &'static str,
    unit: &'static str,
    word: &'static str,
) -> Known {
    Known {
        nutrient,
        number,
        unit,
        word,
        scale: (1, 1),
    }
}

/// All of them; of one nutrient the first that has a value counts, and a later one is marked.
/// Folate has none to stand in: food folate and folic acid count differently.
const KNOWN: [Known; 25] = [
    known(Nutrient::Energy, "208", "KCAL", "energy"),
    // Atwater factors of the food, then the general ones.
    known(Nutrient::Energy, "958", "KCAL", "specific"),
    known(Nutrient::Energy, "957", "KCAL", "general"),
    // 1 kcal is 4.184 kJ (NIST SP 811, Appendix B, thermochemical calorie).
    Known {
        nutrient: Nutrient::Energy,
        number: "268",
        unit: "KJ",
        word: "energy",
        scale: (1_000, 4_184),
    },
    known(Nutrient::Protein, "203", "G", "protein"),
    known(Nutrient::Fat, "204", "G", "lipid"),
    known(Nutrient::Fat, "298", "G", "fat"),
    known(Nutrient::Saturated, "606", "G", "saturated"),
    known(Nutrient::Carbohydrate, "205", "G", "difference"),
    known(Nutrient::Carbohydrate, "205.2", "G", "summation"),
    known(Nutrient::Fibre, "291", "G", "fiber"),
    known(Nutrient::Sugars, "269", "G", "sugars"),
    known(Nutrient::Sugars, "269.3", "G", "sugars"),
    known(Nutrient::Calcium, "301", "MG", "calcium"),
    known(Nutrient::Iron, "303", "MG", "iron"),
    known(Nutrient::Magnesium, "304", "MG", "magnesium"),
    known(Nutrient::Potassium, "306", "MG", "potassium"),
    known(Nutrient::Sodium, "307", "MG", "sodium"),
    known(Nutrient::Zinc, "309", "MG", "zinc"),
    known(Nutrient::VitaminC, "401", "MG", "vitamin c"),
    known(Nutrient::Folate, "435", "UG", "folate"),
    known(Nutrient::VitaminB12, "418", "UG", "b-12"),
    known(Nutrient::VitaminA, "320", "UG", "rae"),
    known(Nutrient::VitaminE, "323", "MG", "tocopherol"),
    known(Nutrient::VitaminK, "430", "UG", "phylloquinone"),
];

/// Most ids of figures that are kept: the download has one or two for each.
const MOST_IDS: usize = 10_000;

/// The download's ids of the figures we know, and what it calls them.
pub(super) struct Ids {
    /// Id to position in [`KNOWN`].
    ids: BTreeMap<u64, usize>,
    names: Vec<String>,
}

/// Reads which id is which nutrient.
pub(super) fn read(open: &Opener) -> Result<Ids, Vec<CentralFault>> {
    let names = ["id", "name", "unit_name", "nutrient_nbr"];
    let mut rows = Rows::open(open, "nutrient.csv", &names, 4).map_err(|fault| vec![fault])?;
    let mut ids = Ids {
        ids: BTreeMap::new(),
        names: vec![String::new(); KNOWN.len()],
    };
    let mut faults = Vec::new();
    // A file may say the same wrong thing in every row.
    let mut refused = [false; KNOWN.len()];
    while let Some(row) = rows.next().map_err(|fault| vec![fault])? {
        let number = row.text(3);
        let number = number.strip_suffix(".0").unwrap_or(&number);
        let Some(at) = KNOWN.iter().position(|known| known.number == number) else {
            continue;
        };
        let (known, name, unit) = (&KNOWN[at], row.text(1), row.text(2));
        let same = unit.eq_ignore_ascii_case(known.unit);
        if !same || !name.to_lowercase().contains(known.word) {
            // Without a figure to stand in one can do; without the usual one, not unsaid.
            let usual = KNOWN.iter().position(|k| k.nutrient == known.nutrient);
            if usual != Some(at) || std::mem::replace(&mut refused[at], true) {
                continue;
            }
            faults.push(CentralFault {
                file: "nutrient.csv".to_owned(),
                line: 0,
                what: format!(
                    "nutrient number {number} is `{name}` in {unit}, where {} in {} is expected",
                    known.nutrient.label(),
                    known.unit
                ),
                help: "figures in another unit are not read: name the official download".to_owned(),
            });
            continue;
        }
        ids.ids
            .insert(row.whole(0).map_err(|fault| vec![fault])?, at);
        if ids.ids.len() > MOST_IDS {
            faults.push(CentralFault {
                file: "nutrient.csv".to_owned(),
                line: 0,
                what: format!("it gives more than {MOST_IDS} ids to the nutrients known here"),
                help: "unpack the CSV download anew, whole".to_owned(),
            });
            break;
        }
        ids.names[at] = name;
    }
    if ids.ids.is_empty() && faults.is_empty() {
        faults.push(CentralFault {
            file: "nutrient.csv".to_owned(),
            line: 0,
            what: "it holds none of the nutrients that are known here".to_owned(),
            help: "unpack the CSV download anew, whole".to_owned(),
        });
    }
    if faults.is_empty() {
        Ok(ids)
    } else {
        Err(faults)
    }
}

/// Fills in the figures of the foods.
pub(super) fn fill(
    open: &Opener,
    ids: &Ids,
    places: &BTreeMap<u64, usize>,
    foods: &mut [CentralFood],
) -> Result<(), CentralFault> {
    let names = ["fdc_id", "nutrient_id", "amount"];
    let mut rows = Rows::open(open, "food_nutrient.csv", &names, 3)?;
    // By food, then figure.
    let mut found: Vec<BTreeMap<usize, Result<i64, String>>> =
        foods.iter().map(|_| BTreeMap::new()).collect();
    while let Some(row) = rows.next()? {
        let Some(&food) = places.get(&row.whole(0)?) else {
            continue;
        };
        let Some(&at) = ids.ids.get(&row.whole(1)?) else {
            continue;
        };
        let text = row.text(2);
        if text.is_empty() {
            continue;
        }
        let figure = figure(&text, &KNOWN[at]);
        match found[food].get(&at) {
            Some(old) if *old != figure => {
                found[food].insert(at, Err(format!("`{text}` and another figure stand there")));
            }
            _ => {
                found[food].insert(at, figure);
            }
        }
    }
    for (food, found) in foods.iter_mut().zip(found) {
        for nutrient in Nutrient::ALL {
            let of = (KNOWN.iter().enumerate()).filter(|(_, known)| known.nutrient == nutrient);
            let mut there = of
                .enumerate()
                .filter_map(|(rank, (at, _))| found.get(&at).map(|figure| (rank, at, figure)));
            match there.next() {
                Some((rank, at, Ok(milli))) => {
                    food.nutrients_milli[nutrient.index()] = Some(*milli);
                    if rank > 0 {
                        food.stands.push(Stand {
                            nutrient,
                            taken: format!("{}, {}", ids.names[at], KNOWN[at].unit),
                        });
                    }
                }
                Some((_, _, Err(why))) => food.doubtful.push(Doubtful {
                    nutrient,
                    why: why.clone(),
                }),
                None => {}
            }
        }
    }
    Ok(())
}

/// Reads a figure in thousandths of our unit, rounded half up; or why it is not taken.
fn figure(text: &str, known: &Known) -> Result<i64, String> {
    let doubt = |why: &str| Err(format!("`{text}` {why}"));
    if text.starts_with('-') {
        return doubt("is below zero");
    }
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if (whole.is_empty() && part.is_empty()) || !digits(whole) || !digits(part) || whole.len() > 9 {
        return doubt("is no plain number");
    }
    // Nine digits after the point are kept; more cannot matter to a thousandth.
    let part: String = part.chars().chain("000000000".chars()).take(9).collect();
    let nano =
        whole.parse::<i128>().unwrap_or(0) * 1_000_000_000 + part.parse::<i128>().unwrap_or(0);
    let (times, over) = (
        i128::from(known.scale.0),
        i128::from(known.scale.1) * 1_000_000,
    );
    let milli = (2 * nano * times + over).div_euclid(2 * over) as i64;
    let most = match known.nutrient.unit() {
        "g" => 100,
        "kcal" => 1_000,
        "mg" => 100_000,
        _ => 1_000_000,
    };
    if milli > most * 1_000 {
        return doubt(&format!(
            "is more than {most} {} in 100 g",
            known.nutrient.unit()
        ));
    }
    Ok(milli)
}

/// How many nutrients have a figure to read them by.
#[cfg(test)]
fn covered() -> usize {
    let mut seen: Vec<Nutrient> = KNOWN.iter().map(|known| known.nutrient).collect();
    seen.sort_unstable();
    seen.dedup();
    seen.len()
}

const _: () = assert!(KNOWN.len() > NUTRIENTS);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_nutrient_of_the_table_is_looked_for() {
        assert_eq!(covered(), NUTRIENTS);
    }

    #[test]
    fn figures_are_rounded_to_thousandths_and_kilojoules_turned() {
        let protein = &KNOWN[4];
        assert_eq!(figure("7.94", protein), Ok(7_940));
        assert_eq!(figure("0.0005", protein), Ok(1));
        assert_eq!(figure("0.00049999999999", protein), Ok(0));
        assert_eq!(figure(".5", protein), Ok(500));
        for text in ["-0.1", "1e3", "NaN", "1,5", ".", "100.1", "9999999999"] {
            assert!(figure(text, protein).is_err(), "{text}");
        }
        // 418.4 kJ are 100 kcal.
        assert_eq!(figure("418.4", &KNOWN[3]), Ok(100_000));
    }
}
