//! Reads numbers exactly: decimals and cooks' fractions, never through floating point.

use super::wording::{Says, says, shown};

/// Most digits before the point.
const WHOLE_DIGITS: usize = 12;
/// Most digits after the point of a quantity.
const DECIMALS: usize = 6;

/// An exact non-negative number, `num / den` with `den` above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Ratio {
    pub(crate) num: i128,
    pub(crate) den: i128,
}

/// Fractions that have a character of their own.
const VULGAR: [(char, i128, i128); 19] = [
    ('¼', 1, 4),
    ('½', 1, 2),
    ('¾', 3, 4),
    ('⅐', 1, 7),
    ('⅑', 1, 9),
    ('⅒', 1, 10),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
    ('↉', 0, 3),
];

fn vulgar(c: char) -> Option<Ratio> {
    VULGAR
        .iter()
        .find(|v| v.0 == c)
        .map(|&(_, num, den)| Ratio { num, den })
}

/// Splits a leading run of ASCII digits off.
fn digits(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    text.split_at(end)
}

fn too_long(text: &str) -> Says {
    says(
        format!("`{}` has too many digits", shown(text)),
        format!("write at most {WHOLE_DIGITS} digits before the point and {DECIMALS} after it"),
    )
}

fn whole(run: &str, text: &str) -> Result<i128, Says> {
    if run.trim_start_matches('0').len() > WHOLE_DIGITS {
        return Err(too_long(text));
    }
    run.trim_start_matches('0').parse().or(Ok(0))
}

/// Splits a number off the front of a quantity: `120`, `1.5`, `1/4`, `1 1/2`, `¾`, `1½`.
/// Returns it with the rest, trimmed.
pub(crate) fn leading(text: &str) -> Result<(Ratio, &str), Says> {
    let text = text.trim();
    let (run, rest) = digits(text);
    if run.is_empty() {
        if let Some(c) = text.chars().next()
            && let Some(ratio) = vulgar(c)
        {
            return follow(ratio, text[c.len_utf8()..].trim(), text);
        }
        return Err(no_number(text));
    }
    let number = whole(run, text)?;
    if let Some(after) = rest.strip_prefix('.') {
        let (decimals, rest) = digits(after);
        if decimals.is_empty() {
            return Err(says(
                format!("`{}` has a point with no digits after it", shown(text)),
                "write 1.0 or 1",
            ));
        }
        if decimals.len() > DECIMALS {
            return Err(too_long(text));
        }
        let den = 10_i128.pow(decimals.len() as u32);
        let num = number * den + whole(decimals, text)?;
        return follow(Ratio { num, den }, rest.trim(), text);
    }
    if let Some((ratio, rest)) = fraction_tail(number, rest, text)? {
        return follow(ratio, rest, text);
    }
    let spaced = rest.trim_start();
    if let Some(c) = spaced.chars().next()
        && let Some(part) = vulgar(c)
    {
        let num = number * part.den + part.num;
        return follow(
            Ratio { num, den: part.den },
            spaced[c.len_utf8()..].trim(),
            text,
        );
    }
    // A mixed number: 1 1/2.
    let (top, after) = digits(spaced);
    if !top.is_empty() && spaced.len() < rest.len() {
        let top_number = whole(top, text)?;
        return match fraction_tail(top_number, after, text)? {
            Some((part, rest)) => follow(
                Ratio {
                    num: number * part.den + part.num,
                    den: part.den,
                },
                rest,
                text,
            ),
            None => Err(says(
                format!("`{}` holds two numbers", shown(text)),
                "write one number and one measure: `1 1/2 cup`, `1.5 kg`",
            )),
        };
    }
    follow(
        Ratio {
            num: number,
            den: 1,
        },
        spaced.trim(),
        text,
    )
}

/// Reads `/4` after a numerator.
fn fraction_tail<'a>(
    top: i128,
    rest: &'a str,
    text: &str,
) -> Result<Option<(Ratio, &'a str)>, Says> {
    let Some(after) = rest.trim_start().strip_prefix(['/', '\u{2044}']) else {
        return Ok(None);
    };
    let (bottom, rest) = digits(after.trim_start());
    let den = whole(bottom, text)?;
    if den == 0 || den > 1_000_000 {
        return Err(says(
            format!("`{}` is not a fraction", shown(text)),
            "write a fraction like `1/4`, its lower number from 1 to 1000000",
        ));
    }
    Ok(Some((Ratio { num: top, den }, rest.trim())))
}

/// Refuses what must not follow a number.
fn follow<'a>(ratio: Ratio, rest: &'a str, text: &str) -> Result<(Ratio, &'a str), Says> {
    let mut chars = rest.chars();
    let first = chars.next();
    let then_digit = chars
        .as_str()
        .trim_start()
        .starts_with(|c: char| c.is_ascii_digit());
    match first {
        Some(',') if then_digit => Err(comma(text)),
        Some('-' | '–' | '—') => Err(says(
            format!("`{}` is a range", shown(text)),
            "write the one quantity you cook with",
        )),
        Some('.' | '/') => Err(says(
            format!("`{}` is not a number and a measure", shown(text)),
            "write one number and one measure: `1 1/2 cup`, `1.5 kg`",
        )),
        Some('e' | 'E')
            if chars
                .as_str()
                .trim_start_matches(['+', '-'])
                .starts_with(|c: char| c.is_ascii_digit()) =>
        {
            Err(says(
                format!("`{}` is a power of ten", shown(text)),
                "write the number out in full: 1500, 0.001",
            ))
        }
        _ => Ok((ratio, rest)),
    }
}

fn comma(text: &str) -> Says {
    says(
        format!("`{}` has a comma in a number", shown(text)),
        "write decimals with a point and thousands without a mark: 1.5, 1500",
    )
}

fn no_number(text: &str) -> Says {
    if text.starts_with(['-', '−']) {
        return says(
            format!("`{}` is below zero", shown(text)),
            "write a quantity above zero",
        );
    }
    if let Some(after) = text.strip_prefix('.')
        && after.starts_with(|c: char| c.is_ascii_digit())
    {
        return says(
            format!("`{}` begins with a point", shown(text)),
            format!("write `0.{}`", shown(after)),
        );
    }
    says(
        format!("`{}` does not begin with a number", shown(text)),
        "write a number and a measure: `120 g`, `1 1/2 cup`, `2 piece`",
    )
}

/// What a plain decimal number may be.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Decimal {
    /// Digits after the point that are kept; more are refused.
    pub(crate) places: u32,
    /// Smallest and largest value, in whole units.
    pub(crate) least: i64,
    pub(crate) most: i64,
    /// What to write, for messages: "a price", "minutes".
    pub(crate) what: &'static str,
    /// An example.
    pub(crate) example: &'static str,
}

/// Reads a plain decimal number (`3.49`, `-0.5`, `12`) into a whole number of `10^-places`.
pub(crate) fn decimal(text: &str, form: Decimal) -> Result<i64, Says> {
    let Decimal {
        places,
        least,
        most,
        what,
        example,
    } = form;
    let trimmed = text.trim();
    let help = || format!("write {what} as a plain number, like {example}");
    let refused = || says(format!("`{}` is not {what}", shown(text)), help());
    let (negative, body) = match trimmed.strip_prefix(['-', '−']) {
        Some(body) => (true, body),
        None => (false, trimmed),
    };
    let (run, rest) = digits(body);
    if run.is_empty() {
        return Err(refused());
    }
    let decimals = match rest.strip_prefix('.') {
        Some(after) => {
            let (decimals, rest) = digits(after);
            if decimals.is_empty() || !rest.is_empty() {
                return Err(refused());
            }
            decimals
        }
        None if rest.is_empty() => "",
        None if rest.starts_with(',') => return Err(comma(text)),
        None => return Err(refused()),
    };
    if decimals.len() > places as usize {
        return Err(says(
            format!("`{}` has too many digits after the point", shown(text)),
            match places {
                0 => format!("write {what} as a whole number, like {example}"),
                1 => "write at most 1 digit after the point".to_owned(),
                _ => format!("write at most {places} digits after the point"),
            },
        ));
    }
    let scale = 10_i128.pow(places);
    let limits = || {
        if negative && least >= 0 {
            return says(
                format!("`{}` is below zero", shown(text)),
                format!("write a number from {least} to {most}"),
            );
        }
        says(
            format!("`{}` is outside the limits for {what}", shown(text)),
            format!("write a number from {least} to {most}"),
        )
    };
    // More digits than any limit has: `most` stays below.
    let whole = run.trim_start_matches('0');
    let whole = match whole.len() {
        0 => 0,
        1..=19 => whole.parse::<i128>().map_err(|_| limits())?,
        _ => return Err(limits()),
    };
    let part = if decimals.is_empty() {
        0
    } else {
        decimals.parse::<i128>().unwrap_or(0) * 10_i128.pow(places - decimals.len() as u32)
    };
    let value = whole * scale + part;
    let value = if negative { -value } else { value };
    if value < i128::from(least) * scale || value > i128::from(most) * scale {
        return Err(limits());
    }
    i64::try_from(value).map_err(|_| limits())
}

/// Reads a share such as `61 %` into thousandths of a percent.
pub(crate) fn percent(text: &str) -> Result<i64, Says> {
    let Some(number) = text.trim().strip_suffix('%') else {
        return Err(says(
            format!("`{}` is not a percentage", shown(text)),
            "write it with the sign, like `61 %`",
        ));
    };
    decimal(
        number,
        Decimal {
            places: 3,
            least: 0,
            most: 100,
            what: "a percentage",
            example: "61 %",
        },
    )
    .map_err(|fault| says(fault.what.replace(&shown(number), &shown(text)), fault.help))
}

#[cfg(test)]
mod tests {
    //! Asks whether numbers as cooks write them are read exactly; the truth is arithmetic.
    use super::*;

    fn read(text: &str) -> (i128, i128, &str) {
        let (ratio, rest) = leading(text).expect("a number");
        (ratio.num, ratio.den, rest)
    }

    #[test]
    fn fractions_of_every_spelling_are_exact() {
        assert_eq!(read("120 g"), (120, 1, "g"));
        assert_eq!(read("120g"), (120, 1, "g"));
        assert_eq!(read("1.50 kg"), (150, 100, "kg"));
        assert_eq!(read("1/4 pack"), (1, 4, "pack"));
        assert_eq!(read("1 1/2 cup"), (3, 2, "cup"));
        assert_eq!(read("1½ tsp"), (3, 2, "tsp"));
        assert_eq!(read("1 ½ tsp"), (3, 2, "tsp"));
        assert_eq!(read("¾ cup"), (3, 4, "cup"));
        assert_eq!(read("1⁄3cup"), (1, 3, "cup"));
        assert_eq!(read("2"), (2, 1, ""));
    }

    #[test]
    fn what_is_no_single_plain_number_is_refused() {
        for text in [
            "",
            "g",
            "-1 g",
            ".5 g",
            "1. g",
            "1,5 g",
            "1,000 g",
            "1-2 g",
            "1 2 g",
            "1/0 g",
            "1e3 g",
            "1.2.3 g",
            "1/2/3 g",
            "9999999999999 g",
            "0.1234567 g",
            "NaN g",
            "inf",
            "0x10e5 - g",
            "½¼ cup x 1/",
        ] {
            let outcome = leading(text);
            let odd = ["0x10e5 - g", "½¼ cup x 1/"].contains(&text);
            assert!(outcome.is_err() || odd, "{text}: {outcome:?}");
        }
    }

    #[test]
    fn decimals_keep_every_digit_or_are_refused() {
        let money = Decimal {
            places: 2,
            least: -5,
            most: 10,
            what: "money",
            example: "3.49",
        };
        assert_eq!(decimal("3.49", money), Ok(349));
        assert_eq!(decimal("3.5", money), Ok(350));
        assert_eq!(decimal("10", money), Ok(1000));
        assert_eq!(decimal("-0.05", money), Ok(-5));
        for text in [
            "3.490", "10.01", "-5.01", "3,49", "$3", "3 USD", "", ".5", "5.", "1e2", "NaN",
        ] {
            assert!(decimal(text, money).is_err(), "{text}");
        }
    }
}
