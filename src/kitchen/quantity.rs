//! Turns written quantities into whole milligrams: exact, rounded down once.

use super::fault::Sink;
use super::gathered::later;
use super::limits;
use super::number::{self, Ratio};
use super::place::At;
use super::spelling::Allowance;
use super::wording::{Says, either, listed, says, shown};
use crate::larder::Household;
use crate::table::units::{self, Kind, MASS_STEPS_PER_MG, Unit};
use crate::unicode;

/// A household measure of one food or component.
#[derive(Clone, Debug)]
pub(crate) struct Measure {
    /// As written: "cup chopped".
    pub(crate) name: String,
    key: String,
    mg: i64,
    /// The unit, if its name is a volume's.
    volume: Option<&'static Unit>,
    own: bool,
}

/// All measures of one food or component.
#[derive(Clone, Debug, Default)]
pub(crate) struct Measures {
    list: Vec<Measure>,
    /// Edible milligrams of one unit of the first pack, and units in it.
    pub(crate) pack: Pack,
}

/// Edible milligrams of one unit of a pack, and units in it.
type Pack = Option<(i64, i64)>;

/// A quantity as written, before it is known what of.
#[derive(Clone, Debug)]
pub(crate) struct Written<'a> {
    number: Ratio,
    measure: &'a str,
}

/// Why a quantity could not be read. What measures there are instead takes long to say, and is
/// said by [`Measures::take`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Unread {
    /// These words say all.
    Says(Says),
    /// It is a volume, and nothing says what one weighs.
    Volume,
    /// The thing has no such measure.
    Measure,
}

impl From<Says> for Unread {
    fn from(says: Says) -> Self {
        Self::Says(says)
    }
}

/// Words that are measures of every bought food.
pub(crate) const PACK_WORDS: [&str; 2] = ["pack", "unit"];

/// Folds a measure's name so that singular and plural, any case and commas compare equal.
/// The result is a key, not a word.
fn key(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for word in name.split(|c: char| c.is_whitespace() || c == ',') {
        if word.is_empty() {
            continue;
        }
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(&stem(unicode::small(word)));
    }
    out
}

fn stem(mut word: String) -> String {
    let plural = word.ends_with('s') && !word.ends_with("ss") && !word.ends_with("us");
    // A word of three letters is no plural, but has one: pie, toe.
    if plural && word.chars().count() > 3 {
        word.pop();
    }
    if word.ends_with("ie") {
        word.truncate(word.len() - 2);
        word.push('y');
    } else if ["she", "che", "xe", "sse", "ze", "oe"]
        .iter()
        .any(|end| word.ends_with(end))
    {
        word.pop();
    } else if word.ends_with("ve") || word.ends_with("fe") {
        word.truncate(word.len() - 2);
        word.push('f');
    }
    word
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Splits a quantity into number and measure.
pub(crate) fn split(text: &str) -> Result<Written<'_>, Says> {
    let (number, measure) = number::leading(text)?;
    if number.num == 0 {
        return Err(says(
            format!("`{}` is nothing", shown(text)),
            "write a quantity above zero, or leave the line out",
        ));
    }
    if measure.is_empty() {
        return Err(says(
            format!("`{}` has no measure", shown(text)),
            format!(
                "write what it counts: `{0} g`, `{0} cup`, `{0} piece`",
                shown(text)
            ),
        ));
    }
    Ok(Written { number, measure })
}

/// Returns whole milligrams of `number` times `num / den` milligrams.
fn milligrams(number: Ratio, num: i128, den: i128, text: &str) -> Result<i64, Says> {
    let most = || {
        says(
            format!(
                "`{}` is more than {} kg",
                shown(text),
                limits::MASS_MG / 1_000_000
            ),
            "check the number and its measure",
        )
    };
    let top = number.num.checked_mul(num).ok_or_else(most)?;
    let bottom = number.den.checked_mul(den).ok_or_else(most)?;
    let mg = top / bottom;
    if mg > i128::from(limits::MASS_MG) {
        return Err(most());
    }
    if mg == 0 {
        return Err(says(
            format!("`{}` is less than a milligram", shown(text)),
            "check the number and its measure, or leave it out",
        ));
    }
    Ok(mg as i64)
}

/// Reads a quantity that must be a mass: `400 g`.
pub(crate) fn mass(text: &str) -> Result<i64, Says> {
    let written = split(text)?;
    match units::find(&squeezed(written.measure)) {
        Some(unit) if unit.kind == Kind::Mass => {
            milligrams(written.number, unit.size, MASS_STEPS_PER_MG, text)
        }
        _ => Err(says(
            format!("`{}` is not a mass", shown(text)),
            "write it in mg, g, kg, oz or lb, like `400 g`",
        )),
    }
}

/// Largest denominator that a cook measures out.
const MOST_PARTS: i128 = 8;

/// Returns one of so many shares of a quantity as a cook would write it: in its own measure where
/// the number is one that can be measured out, else in grams of the `mg` milligrams it comes to.
pub(crate) fn shared(text: &str, of: i64, mg: i64) -> String {
    let grams = || match mg {
        0..1_000 => format!("{mg} mg"),
        1_000..100_000 => {
            let tenths = (mg + 50) / 100;
            match tenths % 10 {
                0 => format!("{} g", tenths / 10),
                rest => format!("{}.{rest} g", tenths / 10),
            }
        }
        _ => format!("{} g", (mg + 500) / 1_000),
    };
    let Ok(written) = split(text) else {
        return grams();
    };
    let measure = squeezed(written.measure);
    let Ratio { num, den } = written.number;
    let (Some(den), false) = (den.checked_mul(of.into()), is_mass(text)) else {
        return grams();
    };
    let by = gcd(num, den);
    let (num, den) = (num / by, den / by);
    match (num / den, num % den) {
        _ if den > MOST_PARTS => grams(),
        (whole, 0) => format!("{whole} {measure}"),
        (0, part) => format!("{part}/{den} {measure}"),
        (whole, part) => format!("{whole} {part}/{den} {measure}"),
    }
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a.max(1) } else { gcd(b, a % b) }
}

/// Returns whether a quantity is written in a unit of mass.
pub(crate) fn is_mass(text: &str) -> bool {
    split(text).is_ok_and(|written| {
        units::find(&squeezed(written.measure)).is_some_and(|unit| unit.kind == Kind::Mass)
    })
}

impl Measures {
    /// Adds a measure, replacing one of the same name; `own` ones come from the kitchen.
    pub(crate) fn add(&mut self, name: &str, mg: i64, own: bool) {
        let name = squeezed(name);
        let key = key(&name);
        let volume = units::find(&name).filter(|unit| unit.kind == Kind::Volume);
        self.list
            .retain(|old| old.key != key && (volume.is_none() || old.volume != volume));
        self.list.push(Measure {
            name,
            key,
            mg,
            volume,
            own,
        });
    }

    /// Whether the kitchen itself gave a measure of this name.
    pub(crate) fn has_own(&self, name: &str) -> bool {
        let key = key(name);
        self.list
            .iter()
            .any(|measure| measure.own && measure.key == key)
    }

    /// Returns the names of the measures.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.list.iter().map(|measure| measure.name.as_str())
    }

    /// Returns the measures with the edible milligrams of one.
    pub(crate) fn masses(&self) -> Vec<(String, i64)> {
        let pair = |measure: &Measure| (measure.name.clone(), measure.mg);
        self.list.iter().map(pair).collect()
    }

    /// Returns the names of those that the kitchen gives itself.
    pub(crate) fn given(&self) -> Vec<String> {
        let own = self.list.iter().filter(|measure| measure.own);
        own.map(|measure| measure.name.clone()).collect()
    }

    /// Reads a quantity into whole milligrams.
    pub(crate) fn read(&self, text: &str) -> Result<i64, Unread> {
        self.weigh(text, self.pack)
    }

    /// Reads a quantity of the thing called `name`, noting the fault.
    pub(crate) fn take(&self, text: &str, name: &str, at: At, sink: &mut Sink) -> Option<i64> {
        self.noted(self.read(text), (text, name), self.pack, at, sink)
    }

    /// The same for the size of a pack, which is not given in packs.
    pub(crate) fn take_size(&self, text: &str, name: &str, at: At, sink: &mut Sink) -> Option<i64> {
        self.noted(self.weigh(text, None), (text, name), None, at, sink)
    }

    fn weigh(&self, text: &str, pack: Pack) -> Result<i64, Unread> {
        let written = split(text)?;
        let measure = squeezed(written.measure);
        let wanted = key(&measure);
        let unit = units::find(&measure);
        if let Some(unit) = unit
            && unit.kind == Kind::Mass
        {
            let mg = milligrams(written.number, unit.size, MASS_STEPS_PER_MG, text)?;
            return Ok(mg);
        }
        let same = |m: &&Measure| m.key == wanted || (unit.is_some() && m.volume == unit);
        let (num, den) = if let Some(found) = self.list.iter().find(same) {
            (found.mg.into(), 1)
        } else if let Some(unit) = unit {
            let (mg, size) = self.base().ok_or(Unread::Volume)?;
            let num = unit.size.checked_mul(mg.into()).unwrap_or(i128::MAX);
            (num, size)
        } else {
            let (unit_mg, units) = pack.ok_or(Unread::Measure)?;
            match wanted.as_str() {
                "unit" => (unit_mg.into(), 1),
                "pack" => (i128::from(unit_mg) * i128::from(units), 1),
                _ => return Err(Unread::Measure),
            }
        };
        Ok(milligrams(written.number, num, den, text)?)
    }

    fn noted(
        &self,
        read: Result<i64, Unread>,
        (text, name): (&str, &str),
        pack: Pack,
        at: At,
        sink: &mut Sink,
    ) -> Option<i64> {
        match read {
            Ok(mg) => Some(mg),
            Err(Unread::Says(says)) => sink.refuse(at, says),
            Err(Unread::Volume) => {
                sink.fault(
                    at,
                    format!(
                        "`{}` is a volume, and nothing says what a volume of `{}` weighs",
                        shown(text),
                        shown(name)
                    ),
                    later(|_| {
                        format!(
                            "write a mass, or give it a volume measure (`measures: {{cup: 150 \
                             g}}`); {}",
                            self.known(pack)
                        )
                    }),
                );
                None
            }
            Err(Unread::Measure) => {
                let written = split(text).ok()?;
                let measure = squeezed(written.measure);
                let what = format!(
                    "`{}`: `{}` is not a measure of `{}`",
                    shown(text),
                    shown(&measure),
                    shown(name)
                );
                let help = |allowance: &mut Allowance| {
                    let mut words: Vec<&str> = self.list.iter().map(|m| m.name.as_str()).collect();
                    words.extend(units::UNITS.iter().map(|unit| unit.symbol));
                    let near = super::spelling::near(words.into_iter(), &measure, allowance);
                    let hint = if near.is_empty() {
                        String::new()
                    } else {
                        format!("did you mean {}? ", either(&near))
                    };
                    format!(
                        "{hint}write a mass such as `120 g`, or add the measure; {}",
                        self.known(pack)
                    )
                };
                sink.fault(at, what, later(help));
                None
            }
        }
    }

    /// Returns what a cup and each counted measure weigh, for printing.
    pub(crate) fn household(&self) -> Household {
        let cup = units::find("cup").map_or(0, |unit| unit.size);
        let cup_mg = self.base().map(|(mg, size)| {
            (cup.saturating_mul(mg.into()) / size).min(limits::MASS_MG.into()) as i64
        });
        Household {
            cup_mg: cup_mg.filter(|&mg| mg > 0),
            counted: self
                .list
                .iter()
                .filter(|m| m.volume.is_none() && m.mg > 0)
                .map(|m| (m.name.clone(), m.mg))
                .collect(),
        }
    }

    /// The volume measure others are worked out from: milligrams, and its size in steps of
    /// [`Kind::Volume`].
    fn base(&self) -> Option<(i64, i128)> {
        // The cook's own measures before the table's, then the largest: it was weighed
        // with the smallest error.
        self.list
            .iter()
            .filter(|m| m.volume.is_some())
            .max_by_key(|m| (m.own, m.volume.map(|v| v.size)))
            .map(|base| (base.mg, base.volume.map_or(1, |v| v.size)))
    }

    fn known(&self, pack: Pack) -> String {
        let mut words: Vec<&str> = self.list.iter().map(|m| m.name.as_str()).collect();
        words.sort_unstable();
        if pack.is_some() {
            words.extend(PACK_WORDS);
        }
        match words.len() {
            0 => "it has no measures yet".to_owned(),
            1..=12 => format!("its measures are {}", listed(&words, "and")),
            many => format!(
                "its measures are {} and {} more",
                listed(&words[..12], ","),
                many - 12
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    //! Asks whether quantities become the right whole milligrams. The truth: NIST Handbook 44,
    //! Appendix C, for units (figures typed here), and arithmetic by hand.
    use super::*;
    use crate::kitchen::fault::read_through;

    fn beans() -> Measures {
        let mut measures = Measures::default();
        measures.add("cup", 185_000, false);
        measures.add("piece", 150_000, true);
        measures.add("leaf", 5_000, true);
        measures.pack = Some((240_000, 3));
        measures
    }

    #[test]
    fn masses_are_exact_and_rounded_down() {
        assert_eq!(mass("120 g"), Ok(120_000));
        assert_eq!(mass("1.5 kg"), Ok(1_500_000));
        // 28.349523125 g and 453.59237 g.
        assert_eq!(mass("1 oz"), Ok(28_349));
        assert_eq!(mass("4 oz"), Ok(113_398));
        assert_eq!(mass("1 lb"), Ok(453_592));
        assert!(mass("1/3 mg").is_err());
        assert!(mass("1001 kg").is_err());
        assert!(mass("1 cup").is_err());
    }

    #[test]
    fn a_cup_answers_every_volume_in_proportion() {
        let beans = beans();
        assert_eq!(beans.read("1 cup"), Ok(185_000));
        assert_eq!(beans.read("2 cups"), Ok(370_000));
        // A cup is 16 tablespoons, 48 teaspoons, half a pint.
        assert_eq!(beans.read("16 tbsp"), Ok(185_000));
        assert_eq!(beans.read("1 tablespoon"), Ok(185_000 / 16));
        assert_eq!(beans.read("48 tsp"), Ok(185_000));
        assert_eq!(beans.read("½ pt"), Ok(185_000));
        // 185 g in 236.5882365 ml: 100 ml are 78.1949...g
        assert_eq!(beans.read("100 ml"), Ok(78_194));
    }

    #[test]
    fn three_thirds_of_a_pack_are_never_more_than_a_pack() {
        let beans = beans();
        let third = beans.read("1/3 pack").unwrap();
        assert!(3 * third <= beans.read("1 pack").unwrap());
        assert_eq!(beans.read("1 pack"), Ok(720_000));
        assert_eq!(beans.read("2 units"), Ok(480_000));
    }

    /// By hand: 3 cups for four are 3/4 cup; 1 cup for twelve is no measure a cook has, and a
    /// twelfth of 185 g is 15.4 g; 500 g for three are 166.666 g, 167 to the nearest gram.
    #[test]
    fn a_share_is_written_as_a_cook_measures() {
        assert_eq!(shared("3 cups", 4, 138_750), "3/4 cups");
        assert_eq!(shared("6 cups", 4, 277_500), "1 1/2 cups");
        assert_eq!(shared("4 pieces", 4, 150_000), "1 pieces");
        assert_eq!(shared("1 cup", 12, 15_416), "15.4 g");
        assert_eq!(shared("500 g", 3, 166_666), "167 g");
        assert_eq!(shared("1 g", 4, 250), "250 mg");
        assert_eq!(shared("0.5 cup", 2, 46_250), "1/4 cup");
    }

    #[test]
    fn plurals_of_measures_are_read() {
        let beans = beans();
        assert_eq!(beans.read("3 leaves"), Ok(15_000));
        assert_eq!(beans.read("2 pieces"), Ok(300_000));
        for (one, many) in [
            ("bunch", "bunches"),
            ("berry", "berries"),
            ("cookie", "cookies"),
            ("tomato", "tomatoes"),
            ("half", "halves"),
            ("slice", "slices"),
            ("cup, chopped", "cups chopped"),
            ("olive", "Olives"),
            ("clove", "cloves"),
            ("box", "boxes"),
            ("pie", "pies"),
            ("toe", "toes"),
            ("axe", "axes"),
        ] {
            assert_eq!(key(one), key(many));
        }
    }

    #[test]
    fn a_volume_of_a_food_without_one_names_the_food_and_its_measures() {
        let mut measures = Measures::default();
        measures.add("slice", 30_000, true);
        let (taken, findings) = read_through(Sink::new(Vec::new()), |sink| {
            measures.take("1 cup", "bread", At::nowhere(), sink)
        });
        assert_eq!(taken, None);
        let faults = findings.faults;
        assert!(faults[0].what.contains("bread"));
        assert!(faults[0].help.contains("slice"));
    }
}
