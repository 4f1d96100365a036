//! Turns a folder of the FoodData Central CSV download (US Department of Agriculture,
//! Agricultural Research Service; public domain) into foods with nutrients and measures, every
//! doubt by name.
//!
//! Files and columns by their published names, from memory: `food.csv` (fdc_id, data_type,
//! description, publication_date), `nutrient.csv` (id, name, unit_name, nutrient_nbr),
//! `food_nutrient.csv` (fdc_id, nutrient_id, amount), `food_portion.csv` (fdc_id, amount,
//! measure_unit_id, portion_description, modifier, gram_weight), `measure_unit.csv` (id, name).
//! Other columns and their order do not matter.
//!
//! Files are read row by row and never held: memory grows with the foods picked, not with the
//! download. A file that is not as described is refused with its line; a value that is missing stays
//! missing; a figure that stands in for another is marked.

mod figures;
mod food;
mod portions;
mod rows;

pub use food::{CentralFood, Doubtful, Portion, Stand};
pub use rows::{CentralFault, MOST_ROW_BYTES, Opener};

use std::collections::BTreeMap;

use crate::larder::NUTRIENTS;
use crate::unicode;
use rows::Rows;

/// Most foods picked at once.
pub const MOST_FOODS: usize = 100;
/// Most foods named when words fit several.
pub const MOST_NAMED: usize = 20;

/// What was picked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Central {
    /// In the order asked for, each once.
    pub foods: Vec<CentralFood>,
    /// The folder has no portions, so no food has measures.
    pub no_portions: bool,
}

/// Picks foods by FDC id, or by words that all stand in the description of one food alone
/// (a description that is these words and nothing else is meant before others).
///
/// # Errors
/// Every fault of the picks at once, or of the files.
pub fn pick(open: &Opener, picks: &[String]) -> Result<Central, Vec<CentralFault>> {
    if picks.len() > MOST_FOODS {
        return Err(vec![CentralFault::pick(
            format!("{} foods are asked for", picks.len()),
            format!("ask for at most {MOST_FOODS} at once"),
        )]);
    }
    let nutrients = figures::read(open);
    let foods = foods(open, picks);
    let (nutrients, mut foods) = match (nutrients, foods) {
        (Ok(nutrients), Ok(foods)) => (nutrients, foods),
        (nutrients, foods) => {
            let mut faults = nutrients.err().unwrap_or_default();
            faults.extend(foods.err().unwrap_or_default());
            return Err(faults);
        }
    };
    let places: BTreeMap<u64, usize> = (foods.iter().enumerate())
        .map(|(at, food)| (food.fdc_id, at))
        .collect();
    let filled = figures::fill(open, &nutrients, &places, &mut foods);
    let portions = portions::fill(open, &places, &mut foods);
    match (filled, portions) {
        (Ok(()), Ok(there)) => Ok(Central {
            foods,
            no_portions: !there,
        }),
        (filled, portions) => {
            let faults = [filled.err(), portions.err()];
            Err(faults.into_iter().flatten().collect())
        }
    }
}

/// What one pick asks for.
enum Wanted {
    Id(u64),
    Words(Vec<String>),
}

/// Foods that may be meant by one pick.
#[derive(Default)]
struct Meant {
    foods: Vec<CentralFood>,
    /// Some description is the words and nothing else.
    whole: bool,
    /// More than are named.
    more: usize,
}

fn words(text: &str) -> Vec<String> {
    unicode::small(text)
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

fn foods(open: &Opener, picks: &[String]) -> Result<Vec<CentralFood>, Vec<CentralFault>> {
    let wanted: Vec<Wanted> = picks
        .iter()
        .map(|pick| match pick.trim().parse::<u64>() {
            Ok(id) => Wanted::Id(id),
            Err(_) => Wanted::Words(words(pick)),
        })
        .collect();
    let mut meant: Vec<Meant> = wanted.iter().map(|_| Meant::default()).collect();
    let names = ["fdc_id", "data_type", "description", "publication_date"];
    let mut rows = Rows::open(open, "food.csv", &names, 1).map_err(|fault| vec![fault])?;
    while let Some(row) = rows.next().map_err(|fault| vec![fault])? {
        let id = row.whole(0).map_err(|fault| vec![fault])?;
        let has: std::cell::OnceCell<Vec<String>> = std::cell::OnceCell::new();
        for (wanted, meant) in wanted.iter().zip(&mut meant) {
            let (fits, whole) = match wanted {
                Wanted::Id(wanted) => (*wanted == id, true),
                Wanted::Words(wanted) => {
                    let has = has.get_or_init(|| words(&row.text(2)));
                    let fits = !wanted.is_empty() && wanted.iter().all(|word| has.contains(word));
                    (fits, has == wanted)
                }
            };
            if !fits || (meant.whole && !whole) {
                continue;
            }
            if whole && !meant.whole {
                *meant = Meant {
                    whole: true,
                    ..Meant::default()
                };
            }
            if meant.foods.len() == MOST_NAMED {
                meant.more += 1;
                continue;
            }
            meant.foods.push(CentralFood {
                fdc_id: id,
                description: row.text(2),
                data_type: row.text(1),
                published: row.text(3),
                nutrients_milli: [None; NUTRIENTS],
                stands: Vec::new(),
                doubtful: Vec::new(),
                portions: Vec::new(),
            });
        }
    }
    let mut picked: Vec<CentralFood> = Vec::new();
    let mut faults = Vec::new();
    for (pick, meant) in picks.iter().zip(meant) {
        let [food] = &meant.foods[..] else {
            faults.push(unclear(pick, &meant));
            continue;
        };
        if picked.iter().all(|other| other.fdc_id != food.fdc_id) {
            picked.push(food.clone());
        }
    }
    if faults.is_empty() {
        Ok(picked)
    } else {
        Err(faults)
    }
}

fn unclear(pick: &str, meant: &Meant) -> CentralFault {
    let shown: String = pick.chars().take(60).collect();
    let shown = unicode::quoted(&shown);
    if meant.foods.is_empty() {
        return CentralFault::pick(
            format!("no food of this folder answers to `{shown}`"),
            "write an FDC id, or words that stand in its description".to_owned(),
        );
    }
    let mut list: Vec<String> = meant
        .foods
        .iter()
        .map(|food| format!("{} {} ({})", food.fdc_id, food.description, food.data_type))
        .collect();
    if meant.more > 0 {
        list.push(format!("and {} more", meant.more));
    }
    CentralFault::pick(
        format!("several foods answer to `{shown}`"),
        format!("name one by its id: {}", list.join("; ")),
    )
}
