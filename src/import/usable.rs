//! Turns a quantity as read into one that the food can be weighed in: the kitchen's own measures
//! first, then the table's, and what is left to eat of a mass that was bought.

use super::amount::{CONTAINERS, Number};
use super::classes::{Class, class, cuts, words};
use super::own::Own;
use super::parts::Parts;
use super::quantity::How;
use super::reading::{Doubt, Reading};
use crate::table::Row;
use crate::table::packs::packs_of;
use crate::table::units::{self, Kind, MASS_STEPS_PER_MG, Unit};

/// All of what is bought is eaten, in thousandths of a percent.
const WHOLE: i64 = 100_000;

/// Other words for a measure of the table.
const STALK: [&str; 3] = ["stick", "rib", "stem"];

/// Groups of the table that are poured, so that a pint of them is the liquid one.
const POURED: [&str; 6] = [
    "plant drinks and water",
    "drinks",
    "eggs and dairy",
    "oils and fats",
    "soups and sauces",
    "sauces and condiments",
];

/// What can be asked of a food or row when it is weighed.
struct Scale<'a> {
    measures: Vec<(&'a str, i64)>,
    /// Those that the kitchen gives itself.
    given: Vec<&'a str>,
    yield_milli_percent: i64,
    row: Option<&'static Row>,
    pack: Option<&'a (String, i64, i64)>,
    /// Words of its name: `tortilla`.
    named: Vec<String>,
}

impl<'a> Scale<'a> {
    fn new(reading: &Reading, own: Option<&'a Own>) -> Option<Self> {
        if let Some(own) = own {
            return Some(Self {
                measures: own
                    .measures
                    .iter()
                    .map(|(name, mg)| (name.as_str(), *mg))
                    .collect(),
                given: own.given.iter().map(String::as_str).collect(),
                yield_milli_percent: own.yield_milli_percent,
                row: own.row,
                pack: own.pack.as_ref(),
                named: words(&own.name),
            });
        }
        let row = reading.food?;
        Some(Self {
            measures: row
                .measures
                .iter()
                .map(|m| (m.name.as_str(), m.mg))
                .collect(),
            given: Vec::new(),
            yield_milli_percent: row.yield_milli_percent,
            row: Some(row),
            pack: None,
            named: words(&reading.name),
        })
    }

    fn mg(&self, name: &str) -> Option<i64> {
        self.measures
            .iter()
            .find(|measure| measure.0 == name)
            .map(|measure| measure.1)
    }

    fn weighs(&self, unit: &Unit) -> bool {
        let volume = |name: &str| units::find(name).is_some_and(|unit| unit.kind == Kind::Volume);
        unit.kind == Kind::Mass || self.measures.iter().any(|measure| volume(measure.0))
    }

    /// A row of spices, herbs or what is measured by the spoon.
    fn by_spoon(&self, unit: &Unit) -> bool {
        let spoon = unit.symbol == "tsp";
        let vegetable = self
            .row
            .is_some_and(|row| ["vegetables", "fruit"].contains(&row.group));
        !spoon || !vegetable || self.mg("tsp").is_some() || self.given.contains(&"tbsp")
    }
}

type Usable = (Number, String);

/// Turns the quantity into one the food can be weighed in, or notes why not.
pub(super) fn settle(reading: &mut Reading, how: &How, parts: &Parts, own: Option<&Own>) {
    let Some(scale) = Scale::new(reading, own) else {
        return;
    };
    let cut = cut_words(parts);
    match weigh(&scale, reading, how, parts, &cut) {
        Ok(usable) => reading.usable = Some(usable),
        Err(doubt) => reading.doubts.push(doubt),
    }
}

/// Words of cutting in the name, where the quantity is of what is cut, and behind it.
struct CutWords {
    before: Vec<String>,
    behind: Vec<String>,
}

fn cut_words(parts: &Parts) -> CutWords {
    let of = |text: &str| -> Vec<String> {
        words(text)
            .into_iter()
            .filter(|word| class(word) == Class::Cut)
            .collect()
    };
    CutWords {
        before: of(&parts.name),
        behind: parts.behind.iter().flat_map(|text| of(text)).collect(),
    }
}

fn weigh(
    scale: &Scale,
    reading: &mut Reading,
    how: &How,
    parts: &Parts,
    cut: &CutWords,
) -> Result<Usable, Doubt> {
    let least = how.amount.least;
    if own_of(reading).is_none()
        && let Some(dried) = herb(scale, how, &reading.text)
    {
        return Err(dried);
    }
    if let Some(fruit) = how.juice {
        return juice(scale, reading, least, fruit);
    }
    if let Some(stated) = parts.stated
        && how.each.is_none()
        && !is_mass(how)
    {
        if stated.rough {
            reading.doubts.push(Doubt::About);
        }
        let (mass, unit) = stated.mass;
        let vessel = how
            .amount
            .measure
            .as_deref()
            .is_some_and(|word| super::amount::VESSELS.contains(&word));
        let all = if stated.each || vessel {
            mass.times(least)
        } else {
            Some(mass)
        };
        let all = all.ok_or(Doubt::Container)?;
        if how.amount.measure.as_deref().is_some_and(is_tin) {
            return tin(scale, reading, least, Some((mass, unit)));
        }
        // What fills a cup is cut already.
        let eaten = !cut.before.is_empty() || is_volume(how);
        return bought(scale, reading, (all, unit), eaten);
    }
    match how.amount.measure.as_deref() {
        Some(measure) => match units::find(measure) {
            Some(unit) if unit.kind == Kind::Mass => {
                bought(scale, reading, (least, unit), !cut.before.is_empty())
            }
            Some(unit) => match how.each {
                Some((mass, mass_unit)) => Ok((mass, mass_unit.symbol.to_owned())),
                None => volume(scale, reading, least, unit, cut),
            },
            // A small tin: of what size nobody says.
            None if is_tin(measure) && how.size.is_some() && how.each.is_none() => {
                Err(Doubt::Container)
            }
            None if is_tin(measure) => tin(scale, reading, least, how.each),
            None => counted(scale, reading, how, measure),
        },
        None => pieces(scale, how),
    }
}

fn own_of(reading: &Reading) -> Option<&str> {
    reading.own.as_ref().map(|own| own.name.as_str())
}

/// A spoon of a herb that is sold fresh and dried, and the line says neither.
fn herb(scale: &Scale, how: &How, text: &str) -> Option<Doubt> {
    let row = scale.row.filter(|_| is_volume(how))?;
    let plain = row.name.strip_suffix(", fresh")?;
    let dried = crate::table::find(&format!("{plain}, dried"))?;
    let said = words(text);
    let is_said = said
        .iter()
        .any(|word| word == "fresh" || word == "leaf" || class(word) == Class::Cut);
    (!is_said).then(|| Doubt::Several(vec![row.name.to_owned(), dried.name.to_owned()]))
}

fn is_mass(how: &How) -> bool {
    unit_of(how).is_some_and(|unit| unit.kind == Kind::Mass)
}

fn is_volume(how: &How) -> bool {
    unit_of(how).is_some_and(|unit| unit.kind == Kind::Volume)
}

fn unit_of(how: &How) -> Option<&'static Unit> {
    units::find(how.amount.measure.as_deref()?)
}

fn is_tin(word: &str) -> bool {
    ["can", "tin"].contains(&word)
}

/// Grams of so many milligrams.
fn grams(mg: i64) -> Option<Usable> {
    Some((Number::new(mg, 1_000)?, "g".to_owned()))
}

/// Milligrams of a mass, rounded down.
fn milligrams((number, unit): (Number, &Unit)) -> Option<i64> {
    let all = i128::from(number.num) * unit.size / (i128::from(number.den) * MASS_STEPS_PER_MG);
    i64::try_from(all).ok().filter(|&mg| mg > 0)
}

/// A mass: of what is bought, unless it is of what is cut or cooked already.
fn bought(
    scale: &Scale,
    reading: &mut Reading,
    mass: (Number, &'static Unit),
    eaten: bool,
) -> Result<Usable, Doubt> {
    let (number, unit) = mass;
    let share = scale.yield_milli_percent;
    if eaten || share >= WHOLE || unit.kind != Kind::Mass {
        return Ok((number, unit.symbol.to_owned()));
    }
    let mg = milligrams(mass).ok_or_else(|| Doubt::Unweighed(unit.symbol.to_owned()))?;
    let left = i128::from(mg) * i128::from(share) / i128::from(WHOLE);
    // To a tenth of a gram: no scale of a kitchen shows more.
    let tenth = (left / 100 * 100) as i64;
    reading.bought = Some(share);
    grams(tenth.max(1)).ok_or_else(|| Doubt::Unweighed(unit.symbol.to_owned()))
}

/// A volume: by the measure of how it is cut, if the line says, else by the plain one.
fn volume(
    scale: &Scale,
    reading: &mut Reading,
    least: Number,
    unit: &'static Unit,
    cut: &CutWords,
) -> Result<Usable, Doubt> {
    let symbol = unit.symbol;
    let unweighed = || Doubt::Unweighed(symbol.to_owned());
    let dry_pint = ["pt", "qt"].contains(&symbol)
        && !scale
            .row
            .is_some_and(|row| POURED.contains(&row.group) || row.name.contains("juice"));
    if !scale.weighs(unit)
        && !scale
            .measures
            .iter()
            .any(|m| m.0.starts_with("cup ") || m.0.starts_with("tbsp "))
    {
        return Err(unweighed());
    }
    if dry_pint {
        return Err(Doubt::Unweighed(format!("{symbol} (a dry one?)")));
    }
    if !scale.by_spoon(unit) && cut.before.is_empty() {
        return Err(unweighed());
    }
    let said: Vec<String> = words(&reading.text);
    if let Some(found) = cut_measure(scale, least, unit, &said) {
        return Ok(found);
    }
    if !scale.weighs(unit) {
        return Err(unweighed());
    }
    let packed = cut.before.iter().find(|word| *word == "packed");
    if let Some(packed) = packed {
        return Err(Doubt::Heaped(packed.clone()));
    }
    // Weighed by this measure in other cuts, and not in this one.
    let begins = format!("{symbol} ");
    let other = scale.measures.iter().any(|m| m.0.starts_with(&begins));
    let other = other && !scale.given.contains(&symbol);
    if let Some(word) = cut.before.first().or(cut.behind.first())
        && other
    {
        reading.doubts.push(Doubt::Cut(word.clone()));
    }
    Ok((least, symbol.to_owned()))
}

/// The quantity by a measure that says how the food is cut, where the line says so too: of the
/// unit itself, or of another volume.
fn cut_measure(scale: &Scale, least: Number, unit: &Unit, said: &[String]) -> Option<Usable> {
    let stands = |qualifier: &str| {
        let mut needed = qualifier.split(' ').map(|word| words(word).concat());
        needed.all(|word| {
            ["or", "piece", "slice"].contains(&word.as_str())
                || said
                    .iter()
                    .any(|said| cuts(said).any(|cut| cut == word || words(cut).concat() == word))
        })
    };
    // The cut in so many words before one that weighs the same.
    let exact = |qualifier: &str| {
        qualifier
            .split(' ')
            .any(|word| said.contains(&words(word).concat()))
    };
    let mut fitting: Vec<(bool, bool, &str, &'static Unit, i64)> = Vec::new();
    for &(name, mg) in &scale.measures {
        let Some((of, qualifier)) = name.split_once(' ') else {
            continue;
        };
        let Some(of) = units::find(of).filter(|of| of.kind == Kind::Volume) else {
            continue;
        };
        if stands(qualifier) {
            fitting.push((of.symbol != unit.symbol, !exact(qualifier), name, of, mg));
        }
    }
    fitting.sort_by_key(|found| (found.0, found.1));
    let &(elsewhere, _, name, of, mg) = fitting.first()?;
    if !elsewhere {
        return Some((least, name.to_owned()));
    }
    let all =
        i128::from(mg) * unit.size * i128::from(least.num) / (of.size * i128::from(least.den));
    i64::try_from(all).ok().and_then(grams)
}

/// The share of a tin's contents that is left when drained, where it was published.
fn drained_share(row: &Row) -> Option<i64> {
    let drained =
        packs_of(row.number).filter(|pack| pack.drained || pack.drained_milli_percent.is_some());
    let shares: Vec<i64> = drained
        .filter_map(|pack| pack.drained_milli_percent)
        .collect();
    shares.into_iter().min()
}

/// Tins: the kitchen's own pack, or a mass of one and what is left of it.
fn tin(
    scale: &Scale,
    reading: &mut Reading,
    least: Number,
    each: Option<(Number, &'static Unit)>,
) -> Result<Usable, Doubt> {
    if let Some((label, unit_mg, units)) = scale.pack {
        let tinned = words(label)
            .iter()
            .any(|word| ["tin", "can"].contains(&word.as_str()));
        return match each {
            Some((mass, unit)) => {
                let all = mass.times(least).ok_or(Doubt::Container)?;
                bought(scale, reading, (all, unit), false)
            }
            None if tinned && *units == 1 && *unit_mg > 0 => Ok((least, "pack".to_owned())),
            None => Err(Doubt::Container),
        };
    }
    let row = scale.row.ok_or(Doubt::Container)?;
    let is_drained = row.name.contains("drained");
    match each {
        Some((mass, unit)) if is_drained => {
            let share = drained_share(row).ok_or(Doubt::Container)?;
            let all = mass.times(least).ok_or(Doubt::Container)?;
            let mg = milligrams((all, unit))
                .filter(|_| unit.kind == Kind::Mass)
                .ok_or(Doubt::Container)?;
            reading.bought = Some(share);
            grams(mg / 100 * share / 1_000).ok_or(Doubt::Container)
        }
        Some((mass, unit)) if scale.weighs(unit) => {
            let all = mass.times(least).ok_or(Doubt::Container)?;
            Ok((all, unit.symbol.to_owned()))
        }
        Some(_) => Err(Doubt::Container),
        None => match scale.mg("can") {
            Some(mg) => {
                reading.doubts.push(Doubt::Tin(mg));
                Ok((least, "can".to_owned()))
            }
            None => Err(Doubt::Container),
        },
    }
}

/// A measure by a word: cloves, slices, heads, bags.
fn counted(scale: &Scale, reading: &mut Reading, how: &How, word: &str) -> Result<Usable, Doubt> {
    let least = how.amount.least;
    if let Some((each, unit)) = how.each
        && (CONTAINERS.contains(&word) || scale.mg(word).is_none())
    {
        let all = least
            .times(each)
            .filter(|_| scale.weighs(unit))
            .ok_or(Doubt::Container)?;
        return bought(scale, reading, (all, unit), false);
    }
    if let Some((label, _, 1)) = scale.pack
        && CONTAINERS.contains(&word)
        && words(label).iter().any(|said| said == word)
    {
        return Ok((least, "pack".to_owned()));
    }
    if word == "pinch" {
        return pinch(scale, reading, least);
    }
    let unweighed = |word: &str| match how.size {
        Some(size) => Doubt::Unweighed(format!("{size} {word}")),
        None => Doubt::Unweighed(word.to_owned()),
    };
    let other = if STALK.contains(&word) { "stalk" } else { word };
    for word in [word, other] {
        // A bag, a jar: of what size nobody says, unless the kitchen does.
        if CONTAINERS.contains(&word) && word != "piece" && !scale.given.contains(&word) {
            continue;
        }
        let found = match how.size {
            Some(size) => {
                let names = [format!("{word} {size}"), format!("{size} {word}")];
                names.into_iter().find(|name| scale.mg(name).is_some())
            }
            None => scale.mg(word).map(|_| word.to_owned()),
        };
        if let Some(name) = found {
            return Ok((least, name));
        }
    }
    Err(unweighed(word))
}

fn pinch(scale: &Scale, reading: &mut Reading, least: Number) -> Result<Usable, Doubt> {
    if scale.mg("pinch").is_some() {
        return Ok((least, "pinch".to_owned()));
    }
    if scale.mg("dash").is_some() {
        return Ok((least, "dash".to_owned()));
    }
    let sixteenth = scale
        .mg("tsp")
        .and_then(|_| least.over(Number::new(16, 1)?));
    let usable = sixteenth.ok_or_else(|| Doubt::Unweighed("pinch".to_owned()))?;
    reading.doubts.push(Doubt::Pinch);
    Ok((usable, "tsp".to_owned()))
}

/// Whole things, by their size if the line says one.
fn pieces(scale: &Scale, how: &How) -> Result<Usable, Doubt> {
    let least = how.amount.least;
    if let Some(size) = how.size {
        let names = [
            size.to_owned(),
            format!("piece {size}"),
            format!("head {size}"),
        ];
        let found = names.into_iter().find(|name| scale.mg(name).is_some());
        return match found {
            Some(name) => Ok((least, name)),
            None => Err(Doubt::Unweighed(format!("{size} piece"))),
        };
    }
    if scale.mg("piece").is_some() {
        return Ok((least, "piece".to_owned()));
    }
    // A tortilla of the kitchen's tortillas.
    let own = scale.named.iter().find(|word| scale.mg(word).is_some());
    match own {
        Some(word) => Ok((least, word.clone())),
        None => Err(Doubt::Unweighed("piece".to_owned())),
    }
}

/// The juice of a fruit, by the table's measure of what one gives.
fn juice(
    scale: &Scale,
    reading: &mut Reading,
    least: Number,
    fruit: &str,
) -> Result<Usable, Doubt> {
    let unweighed = || Doubt::Unweighed(format!("juice of a {fruit}"));
    let juiced = scale.row.is_some_and(|row| row.name.contains("juice"));
    if let Some(name) = [fruit, "piece"]
        .into_iter()
        .find(|name| juiced && scale.given.contains(name))
    {
        return Ok((least, name.to_owned()));
    }
    let name = format!("{fruit} juice, fresh");
    let row = crate::table::find(&name).ok_or_else(unweighed)?;
    // The kitchen's own fruit is weighed whole: what of it is juice it does not say.
    if reading.own.is_some() && !juiced {
        return Err(unweighed());
    }
    if reading.own.is_none() {
        reading.food = Some(row);
        name.clone_into(&mut reading.name);
    }
    let measure = [fruit, "piece"]
        .into_iter()
        .find(|name| row.measure(name).is_some());
    let measure = measure.ok_or_else(unweighed)?;
    Ok((least, measure.to_owned()))
}
