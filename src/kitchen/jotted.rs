//! Reads lines of a recipe as a cook jots them down (`1 tin chickpeas`, `90 g brown rice or 80 g
//! couscous, rinsed`) with the names of a kitchen. Nothing is guessed: a line that names nothing, or
//! two things, is a fault.

use super::number;
use super::spelling::{Allowance, fold, near};
use super::wording::{either, shown};
use crate::table::{name_words, units};

/// A thing that a line may name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// Its name.
    pub name: String,
    /// It is a component, not a food.
    pub cooked: bool,
    /// What its first pack is called, and how many units it has.
    pub pack: Option<(String, i64)>,
    /// Its own measures, by name.
    pub measures: Vec<String>,
}

/// One filling of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filling {
    /// The food or component, by the kitchen's name.
    pub name: String,
    /// It is a component.
    pub cooked: bool,
    /// The quantity, in a measure that the kitchen knows or will refuse.
    pub amount: String,
}

/// A line as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Jotted {
    /// What may fill it: one, or alternatives.
    pub fillings: Vec<Filling>,
    /// What stood behind a comma: how it is prepared.
    pub note: String,
}

/// Things that hold food: one of them is a pack.
const VESSELS: [&str; 12] = [
    "tin", "can", "jar", "pack", "packet", "package", "bag", "box", "carton", "tub", "bottle",
    "block",
];

/// Reads a line.
///
/// # Errors
/// What is wrong and what to write instead.
pub fn read(line: &str, known: &[Known]) -> Result<Jotted, String> {
    let (what, note) = line.split_once(',').unwrap_or((line, ""));
    let fillings: Result<Vec<Filling>, String> = what
        .split(" or ")
        .map(|part| filling(part.trim(), known))
        .collect();
    Ok(Jotted {
        fillings: fillings?,
        note: note.trim().to_owned(),
    })
}

fn filling(part: &str, known: &[Known]) -> Result<Filling, String> {
    let at = format!("`{}`", shown(part));
    let Ok((_, rest)) = number::leading(part) else {
        return Err(format!(
            "{at}: no amount stands at its front; write how much first, like `120 g carrots`"
        ));
    };
    let figure = part[..part.len() - rest.len()].trim();
    let words: Vec<&str> = rest.split_whitespace().collect();
    let found = (0..words.len()).find_map(|from| {
        let name = words[from..].join(" ");
        let hits = called(&name, known);
        (!hits.is_empty()).then_some((from, hits))
    });
    let Some((from, hits)) = found else {
        let begins = usize::from(words.len() > 1 && units::find(words[0]).is_some());
        let name = words[begins..].join(" ");
        let names = known.iter().map(|known| known.name.as_str());
        let hint = match near(names, &name, &mut Allowance::default()).as_slice() {
            [] => String::new(),
            near => format!("did you mean {}? or ", either(near)),
        };
        return Err(format!(
            "{at}: no food or component of this kitchen is called so; {hint}add it first: scant add \
             food NAME --pack PACK --price MONEY"
        ));
    };
    let [hit] = hits.as_slice() else {
        let names: Vec<&str> = hits.iter().map(|hit| hit.name.as_str()).collect();
        return Err(format!(
            "{at}: it may be {}; write the whole name",
            either(&names)
        ));
    };
    let measure = words[..from].iter().filter(|word| **word != "of");
    let measure = measure.copied().collect::<Vec<_>>().join(" ");
    let amount = match measure.as_str() {
        "" => format!("{figure} piece"),
        word if is_pack(word, hit) => format!("{figure} pack"),
        word => format!("{figure} {word}"),
    };
    Ok(Filling {
        name: hit.name.clone(),
        cooked: hit.cooked,
        amount,
    })
}

/// The things called so: by that very name, else by one that differs in plurals and word order.
fn called<'a>(name: &str, known: &'a [Known]) -> Vec<&'a Known> {
    let whole = fold(name);
    if let Some(one) = known.iter().find(|known| fold(&known.name) == whole) {
        return vec![one];
    }
    let sorted = |text: &str| {
        let mut words = name_words(text);
        words.sort_unstable();
        words
    };
    let wanted = sorted(name);
    let alike = known.iter().filter(|known| sorted(&known.name) == wanted);
    alike.collect()
}

/// Whether a word is what the food's only or first pack is: its label says so, or it holds one unit
/// and has no such measure.
fn is_pack(word: &str, food: &Known) -> bool {
    let Some((label, units)) = &food.pack else {
        return false;
    };
    let word = name_words(word).join(" ");
    if *units != 1 || !VESSELS.contains(&word.as_str()) {
        return false;
    }
    let same = |other: &str| {
        other == word
            || [other, word.as_str()]
                .iter()
                .all(|w| ["tin", "can"].contains(w))
    };
    name_words(label).iter().any(|other| same(other)) || !food.measures.contains(&word)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kitchen() -> Vec<Known> {
        let food = |name: &str, pack: &str, units: i64| Known {
            name: name.to_owned(),
            pack: Some((pack.to_owned(), units)),
            ..Known::default()
        };
        vec![
            food("chickpeas", "400 g tin", 1),
            food("carrots", "1 kg bag", 1),
            food("red cabbage", "head", 1),
            food("tofu", "2 x 200 g block", 2),
            Known {
                name: "cooked brown rice".to_owned(),
                cooked: true,
                ..Known::default()
            },
        ]
    }

    fn one(line: &str) -> (String, String) {
        let read = read(line, &kitchen()).expect("a line");
        let [filling] = read.fillings.as_slice() else {
            panic!("{line}");
        };
        (filling.name.clone(), filling.amount.clone())
    }

    #[test]
    fn amounts_stay_and_names_are_the_kitchens() {
        let read = |line| {
            let (name, amount) = one(line);
            format!("{amount} | {name}")
        };
        assert_eq!(read("1 tin chickpeas"), "1 pack | chickpeas");
        assert_eq!(read("1/2 can of Chickpeas"), "1/2 pack | chickpeas");
        assert_eq!(
            read("1 1/2 cups grated carrot, peeled"),
            "1 1/2 cups grated | carrots"
        );
        assert_eq!(read("2 carrots"), "2 piece | carrots");
        assert_eq!(read("200 g cooked brown rice"), "200 g | cooked brown rice");
        assert_eq!(read("60 g cabbage red"), "60 g | red cabbage");
        // Two units are in a pack: which of them a block is, the kitchen says.
        assert_eq!(read("1 block tofu"), "1 block | tofu");
    }

    /// A tin is the pack whose label says so, whatever else a tin may weigh; where no label says it,
    /// the food's own measure of that name is meant.
    #[test]
    fn a_vessel_is_the_pack_that_is_called_so_else_the_measure() {
        let known = |label: &str, measure: &str| Known {
            name: "chickpeas".to_owned(),
            pack: Some((label.to_owned(), 1)),
            measures: [measure.to_owned()].into_iter().collect(),
            ..Known::default()
        };
        for (label, measure, line, amount) in [
            ("400 g tin", "tin", "1 tin chickpeas", "1 pack"),
            ("400 g tin", "can", "1 can chickpeas", "1 pack"),
            ("400 g tin", "bag", "1 bag chickpeas", "1 bag"),
            ("400 g tin", "tin", "1 bag chickpeas", "1 pack"),
        ] {
            let read = read(line, &[known(label, measure)]).expect("a line");
            assert_eq!(read.fillings[0].amount, amount, "{line} of {label}");
        }
    }

    #[test]
    fn alternatives_notes_and_what_is_not_there() {
        let kitchen = kitchen();
        let both = read("90 g carrots or 80 g red cabbage, grated", &kitchen).expect("a line");
        assert_eq!((both.fillings.len(), both.note.as_str()), (2, "grated"));
        for (line, why) in [
            ("carrots", "amount"),
            ("", "amount"),
            ("3 g unobtainium", "add it first"),
            ("3 g carots", "`carrots`"),
            ("90 g carrots or tofu", "amount"),
        ] {
            let fault = read(line, &kitchen).expect_err(line);
            assert!(fault.contains(why), "{line}: {fault}");
        }
    }
}
