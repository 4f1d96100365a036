//! Writes milligrams in a cook's measures: spoons, cups and pieces in fractions that measuring
//! spoons and cups come in, grams as a kitchen scale shows them. Never "0.37 cup".
//!
//! A fraction further than a twentieth from the true amount is marked "about"; where two
//! measures together come closer ("1/3 cup + 1 tbsp"), they are written. That a teaspoon is a
//! third of a tablespoon and a tablespoon a sixteenth of a cup: NIST Handbook 44, Appendix C.
//! Which fractions cooks use, and that a pinch is what an eighth of a teaspoon is too large
//! for: common practice, no source.

use super::words::{self, JOINT};
use crate::explain::Measured;

/// Finest step: a 24th of a teaspoon holds eighths and thirds.
const TSP: i128 = 24;
const TBSP: i128 = 3 * TSP;
const CUP: i128 = 16 * TBSP;
/// Below a sixteenth of a teaspoon nothing is measured.
const PINCH: i128 = TSP / 16;
/// Milligrams below which a kitchen scale is no use.
const SCALE_MG: i64 = 5_000;
/// An ounce in thousandths of a milligram: NIST Handbook 44, Appendix C, rounded.
const OUNCE: i128 = 28_349_523;

/// Fractions as written and as 24ths.
const FRACTIONS: [(&str, i128); 7] = [
    ("", 0),
    ("1/8", 3),
    ("1/4", 6),
    ("1/3", 8),
    ("1/2", 12),
    ("2/3", 16),
    ("3/4", 18),
];

/// An amount as found in one measure: how it is written, and its size over the same
/// denominator as the true amount.
struct Found {
    text: String,
    size: i128,
}

/// Returns the amount in grams or kilograms, with the count or the spoon where that is how a
/// cook takes it: `600 g`, `6 slices, 360 g`, `1/4 tsp`.
pub(super) fn metric(amount: &Measured) -> String {
    let grams = grams(amount.mg);
    match (counted(amount), spoon(amount)) {
        (Some(count), _) => format!("{count}, {grams}"),
        (None, Some(spoon)) if amount.mg < SCALE_MG => spoon,
        _ => grams,
    }
}

/// Returns the amount in cups and spoons, or in ounces where nothing says what a cup weighs.
pub(super) fn us(amount: &Measured) -> String {
    match (counted(amount), spoon(amount)) {
        (Some(count), _) if amount.mg < SCALE_MG => count,
        (Some(count), _) => format!("{count}, {}", ounces(amount.mg)),
        (None, Some(spoon)) => spoon,
        (None, None) => ounces(amount.mg),
    }
}

/// Returns both, metric first, once where they are the same.
pub(super) fn both(amount: &Measured) -> String {
    if let Some(count) = counted(amount).filter(|_| amount.mg >= SCALE_MG) {
        return format!("{count} ({}, {})", grams(amount.mg), ounces(amount.mg));
    }
    let (metric, us) = (metric(amount), us(amount));
    if metric == us {
        metric
    } else {
        format!("{metric} ({us})")
    }
}

/// Measures that amounts are told in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measures {
    /// Grams, pieces and spoons.
    Metric,
    /// US cups, spoons and ounces.
    Us,
    /// Metric ones, and US ones beside them.
    Both,
}

/// Returns an amount in the measures asked for.
pub(super) fn told(amount: &Measured, measures: Measures) -> String {
    match measures {
        Measures::Metric => metric(amount),
        Measures::Us => us(amount),
        Measures::Both => both(amount),
    }
}

/// Returns what is left as a cook would say it: a number where the food is counted in pieces,
/// else parts of a pack, spoons, or grams.
pub(super) fn left(amount: &Measured) -> String {
    let text = counted(amount)
        .or_else(|| spoon(amount).filter(|text| !text.contains('+') && !text.contains("about")))
        .unwrap_or_else(|| grams(amount.mg));
    let number = text
        .strip_suffix("piece")
        .or_else(|| text.strip_suffix("pieces"));
    let text = number.unwrap_or(&text).trim_end_matches(JOINT);
    text.replace(' ', &JOINT.to_string())
}

/// Returns an amount as a cook takes it without a scale: in pieces or spoons, else in grams.
pub(super) fn spooned(amount: &Measured) -> String {
    counted(amount)
        .or_else(|| spoon(amount))
        .unwrap_or_else(|| grams(amount.mg))
}

/// Grams as a kitchen scale shows them.
fn grams(mg: i64) -> String {
    let to = |step: i64| (mg + step / 2) / step * step;
    match mg {
        ..250 => "a pinch".to_owned(),
        250..9_750 => words::mass(to(500)),
        9_750..99_500 => words::mass(to(1_000)),
        99_500..997_500 => words::mass(to(5_000)),
        _ => words::mass(to(10_000)),
    }
}

/// Pieces, slices, packs: in halves, thirds and quarters up to ten.
fn counted(amount: &Measured) -> Option<String> {
    let (word, one_mg) = amount.counted.as_ref()?;
    // Several pinches are a spoon's work.
    if ["pinch", "dash"].contains(&word.as_str()) && amount.cup_mg.is_some() {
        return None;
    }
    let (mg, one) = (i128::from(amount.mg), i128::from(*one_mg).max(1));
    let steps: &[usize] = if mg < one * 10 {
        &[0, 2, 3, 4, 5, 6]
    } else {
        &[0]
    };
    // In 24ths of one milligram of one piece, so that no division is rounded.
    let found = nearest(mg * 24, one * 24, 24, steps)?;
    let text = format!(
        "{}{JOINT}{}",
        found.text,
        plural(word, found.size > one * 24)
    );
    // A count that is far off tells a cook nothing.
    let error = (found.size - mg * 24).abs() * 100;
    (error <= mg * 24 * 15).then(|| about(text, found.size, mg * 24))
}

/// Cups and spoons, if it is known what a cup weighs.
fn spoon(amount: &Measured) -> Option<String> {
    let cup_mg = i128::from(amount.cup_mg?).max(1);
    // The true amount in 24ths of a teaspoon, over cup_mg.
    let want = i128::from(amount.mg) * CUP;
    if want < PINCH * cup_mg {
        return Some("a pinch".to_owned());
    }
    let of = |unit: i128, steps: &[usize], word: &str| -> Option<Found> {
        let found = nearest(want, unit * cup_mg, 24, steps)?;
        let many = found.size > unit * cup_mg && word == "cup";
        Some(Found {
            text: format!("{}{JOINT}{}", found.text, plural(word, many)),
            size: found.size,
        })
    };
    let simple = if want < (3 * TSP - TSP / 4) * cup_mg {
        let fine: &[usize] = if want < TSP * cup_mg {
            &[0, 1, 2, 3, 4, 5, 6]
        } else {
            &[0, 2, 4, 6]
        };
        of(TSP, fine, "tsp")
    } else if want < (4 * TBSP - TBSP / 4) * cup_mg {
        of(TBSP, &[0, 4], "tbsp")
    } else {
        of(CUP, &[0, 2, 3, 4, 5, 6], "cup")
    }?;
    let off = |size: i128| (size - want).abs();
    if off(simple.size) * 20 <= want {
        return Some(simple.text);
    }
    let best = cups_and_spoons(want, cup_mg)
        .filter(|both| off(both.size) < off(simple.size))
        .unwrap_or(simple);
    Some(about(best.text, best.size, want))
}

/// Cups with one to three tablespoons more.
fn cups_and_spoons(want: i128, cup_mg: i128) -> Option<Found> {
    if want < (CUP / 4) * cup_mg {
        return None;
    }
    (1..=3)
        .filter_map(|spoons| {
            let rest = want - spoons * TBSP * cup_mg;
            let cups = nearest(rest, CUP * cup_mg, 24, &[0, 2, 3, 4, 5, 6])?;
            let word = plural("cup", cups.size > CUP * cup_mg);
            Some(Found {
                text: format!("{}{JOINT}{word} + {spoons}{JOINT}tbsp", cups.text),
                size: cups.size + spoons * TBSP * cup_mg,
            })
        })
        .min_by_key(|found| (found.size - want).abs())
}

/// Ounces in quarters, pounds and ounces from a pound on.
fn ounces(mg: i64) -> String {
    let want = i128::from(mg) * 1_000;
    if want >= 15 * OUNCE + OUNCE * 7 / 8 {
        let all = (want + OUNCE / 2) / OUNCE;
        return match (all / 16, all % 16) {
            (pounds, 0) => format!("{pounds}{JOINT}lb"),
            (pounds, ounces) => format!("{pounds}{JOINT}lb {ounces}{JOINT}oz"),
        };
    }
    let steps: &[usize] = if want < OUNCE / 4 {
        &[0, 1, 2]
    } else {
        &[0, 2, 4, 6]
    };
    match nearest(want * 24, OUNCE * 24, 24, steps) {
        Some(found) => about(format!("{}{JOINT}oz", found.text), found.size, want * 24),
        None => "a pinch".to_owned(),
    }
}

/// The nearest whole number and fraction of `unit`; none below half the smallest.
fn nearest(want: i128, unit: i128, parts: i128, steps: &[usize]) -> Option<Found> {
    let whole = want.max(0) / unit;
    let all = steps
        .iter()
        .filter_map(|&step| FRACTIONS.get(step))
        .map(|&(text, part)| (whole, text, part))
        .chain([(whole + 1, "", 0)]);
    let size = |whole: i128, part: i128| whole * unit + part * unit / parts;
    let (whole, text, part) =
        all.min_by_key(|&(whole, _, part)| (size(whole, part) - want).abs())?;
    let text = match (whole, text) {
        (0, "") => return None,
        (0, text) => text.to_owned(),
        (whole, "") => whole.to_string(),
        (whole, text) => format!("{whole}{JOINT}{text}"),
    };
    Some(Found {
        text,
        size: size(whole, part),
    })
}

fn about(text: String, size: i128, want: i128) -> String {
    if (size - want).abs() * 20 > want {
        format!("about {text}")
    } else {
        text
    }
}

fn plural(word: &str, many: bool) -> String {
    if !many {
        return word.to_owned();
    }
    // `cup chopped` becomes `cups chopped`.
    let (noun, rest) = word.split_at(word.find([' ', ',']).unwrap_or(word.len()));
    let noun = match noun {
        "half" => "halves".to_owned(),
        "leaf" => "leaves".to_owned(),
        _ if noun.ends_with('s') => noun.to_owned(),
        _ if ["ch", "sh", "x"].iter().any(|end| noun.ends_with(end)) => format!("{noun}es"),
        _ => format!("{noun}s"),
    };
    format!("{noun}{rest}")
}

#[cfg(test)]
mod tests {
    //! Asks whether amounts become what a cook would measure. The truth is typed by hand: NIST
    //! Handbook 44 (16 tbsp a cup, 3 tsp a tbsp, 28.35 g an ounce) and division on paper.
    use super::*;

    fn volume(mg: i64, cup_mg: i64) -> Measured {
        Measured {
            mg,
            cup_mg: Some(cup_mg),
            counted: None,
        }
    }

    fn said(text: &str) -> String {
        text.replace(JOINT, " ")
    }

    #[test]
    fn volumes_take_the_fractions_of_cups_and_spoons() {
        // A thing of which a cup weighs 240 g: a tbsp is 15 g, a tsp 5 g.
        for (mg, written) in [
            (240_000, "1 cup"),
            (120_000, "1/2 cup"),
            (80_000, "1/3 cup"),
            (160_000, "2/3 cup"),
            (360_000, "1 1/2 cups"),
            (60_000, "1/4 cup"),
            (15_000, "1 tbsp"),
            (37_500, "2 1/2 tbsp"),
            (5_000, "1 tsp"),
            (2_500, "1/2 tsp"),
            (625, "1/8 tsp"),
            (1_250, "1/4 tsp"),
            (7_500, "1 1/2 tsp"),
            (200, "a pinch"),
            // 0.37 cup is 88.8 g: a third is 80 g, 10 % off; a quarter and two tablespoons
            // are 90 g, 1.4 % off.
            (88_800, "1/4 cup + 2 tbsp"),
            // 1.1 cups: a cup and two tablespoons are 1.125, 2 % off.
            (264_000, "1 cup + 2 tbsp"),
            (719_000, "3 cups"),
        ] {
            assert_eq!(said(&us(&volume(mg, 240_000))), written, "{mg}");
        }
    }

    #[test]
    fn grams_are_what_a_scale_shows_and_small_amounts_are_spooned() {
        for (mg, written) in [
            (600_000, "600 g"),
            (342_342, "340 g"),
            (1_324_000, "1.32 kg"),
            (43_700, "44 g"),
            (7_100, "7 g"),
            (1_250, "1/4 tsp"),
        ] {
            assert_eq!(said(&metric(&volume(mg, 240_000))), written, "{mg}");
        }
        let unknown = Measured {
            mg: 1_250,
            cup_mg: None,
            counted: None,
        };
        assert_eq!(said(&metric(&unknown)), "1.5 g");
    }

    #[test]
    fn ounces_and_pounds_where_no_cup_is_known() {
        // 28.35 g an ounce: 224 g are 7.90 oz, 600 g 21.2 oz, 454 g a pound, 100 g 3.53 oz.
        for (mg, written) in [
            (224_000, "8 oz"),
            (600_000, "1 lb 5 oz"),
            (454_000, "1 lb"),
            (100_000, "3 1/2 oz"),
            (21_300, "3/4 oz"),
        ] {
            assert_eq!(said(&ounces(mg)), written, "{mg}");
        }
    }

    #[test]
    fn counted_things_are_counted() {
        let slices = |mg: i64| Measured {
            mg,
            cup_mg: None,
            counted: Some(("slice".to_owned(), 40_000)),
        };
        assert_eq!(said(&metric(&slices(240_000))), "6 slices, 240 g");
        // 60 g are 2.12 oz: two are 5.5 % off, two and a quarter 6.3 %.
        assert_eq!(said(&us(&slices(60_000))), "1 1/2 slices, about 2 oz");
        assert_eq!(said(&metric(&slices(40_000))), "1 slice, 40 g");
        // 3 g of a slice of 40 g is no count.
        assert_eq!(said(&metric(&slices(3_000))), "3 g");
    }

    #[test]
    fn nothing_is_ever_a_decimal_of_a_measure_and_no_size_breaks_it() {
        for cup_mg in [1, 7, 30_000, 240_000, 1_000_000_000] {
            for mg in (0..40_000).step_by(37).chain([i64::MAX / 1_000_000]) {
                for text in [us(&volume(mg, cup_mg)), both(&volume(mg, cup_mg))] {
                    let spoons = text.split(JOINT).any(|part| part.contains('.'));
                    assert!(!spoons || text.contains('g'), "{text}");
                    assert!(!us(&volume(mg, cup_mg)).contains('.'), "{text}");
                }
            }
        }
    }
}
