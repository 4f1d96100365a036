//! Cleans texts from elsewhere: markup and entities away, one kind of space, dash and fraction.

use std::borrow::Cow;

use html5gum::{DefaultEmitter, Token, Tokenizer};

use crate::unicode;

/// Fractions that have a character of their own, as figures.
const VULGAR: [(char, &str); 18] = [
    ('¼', "1/4"),
    ('½', "1/2"),
    ('¾', "3/4"),
    ('⅓', "1/3"),
    ('⅔', "2/3"),
    ('⅕', "1/5"),
    ('⅖', "2/5"),
    ('⅗', "3/5"),
    ('⅘', "4/5"),
    ('⅙', "1/6"),
    ('⅚', "5/6"),
    ('⅐', "1/7"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
    ('⅑', "1/9"),
    ('⅒', "1/10"),
];

/// Returns the text on one line, without markup, entities as characters.
pub(super) fn plain(text: &str) -> String {
    let text = if text.contains(['<', '&']) {
        unmarked(text)
    } else {
        text.to_owned()
    };
    squeezed(&text)
}

/// Returns a text as a kitchen file may hold it: on one line, with single spaces, nothing in it
/// that no name may hold.
pub(super) fn squeezed(text: &str) -> String {
    let visible = unicode::cleaned(text);
    visible.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unmarked(text: &str) -> String {
    let mut emitter = DefaultEmitter::default();
    emitter.naively_switch_states(false);
    let mut out = String::with_capacity(text.len());
    for Ok(token) in Tokenizer::new_with_emitter(text, emitter) {
        match token {
            Token::String(run) => out.push_str(&String::from_utf8_lossy(&run)),
            // A tag parts words: `<li>a</li><li>b</li>`.
            Token::StartTag(_) | Token::EndTag(_) => out.push(' '),
            _ => {}
        }
    }
    out
}

/// Returns a line of ingredients with fractions as figures and brackets and ranges apart from
/// their neighbours, ready to be split at spaces.
pub(super) fn spaced(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut last = ' ';
    let all: Vec<char> = text.chars().collect();
    for (at, &c) in all.iter().enumerate() {
        let c = match c {
            '\u{2044}' | '\u{2215}' => '/',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            other => other,
        };
        let next = all.get(at + 1).copied().unwrap_or(' ');
        if let Some((_, figures)) = VULGAR.iter().find(|(vulgar, _)| *vulgar == c) {
            out.push(' ');
            out.push_str(figures);
            out.push(' ');
        } else if c == ','
            && last.is_ascii_digit()
            && is_fraction(all.get(at + 1..).unwrap_or_default())
        {
            // 1,5 kg
            out.push('.');
        } else if matches!(c, '(' | ')' | ',' | ';' | '+')
            || (c == '/' && !(last.is_ascii_digit() && next.is_ascii_digit()))
        {
            out.push(' ');
            out.push(c);
            out.push(' ');
        } else if c.is_alphabetic() && last.is_ascii_digit() {
            // 400g, 2tbsp
            out.push(' ');
            out.push(c);
        } else {
            out.push(c);
        }
        last = c;
    }
    // A dash after a figure parts numbers (2-3) or joins a measure (15-ounce): a space each.
    let mut parted = String::with_capacity(out.len() + 8);
    let mut before = ' ';
    for c in out.chars() {
        if c == '-' && (before.is_ascii_digit() || (before == ' ' && !parted.trim().is_empty())) {
            parted.push_str(" - ");
        } else {
            parted.push(c);
        }
        before = c;
    }
    parted.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a text goes on with one or two figures and no more: three are thousands, perhaps.
fn is_fraction(rest: &[char]) -> bool {
    let figures = rest.iter().take_while(|c| c.is_ascii_digit()).count();
    (1..=2).contains(&figures)
}

/// Returns JSON in which half of a pair of code units, escaped by itself, stands as U+FFFD: it is
/// no character, and would be a fault of the whole file otherwise.
pub(super) fn paired(json: &str) -> Cow<'_, str> {
    const LOST: &str = "\\ufffd";
    if !json.contains("\\u") {
        return Cow::Borrowed(json);
    }
    // The code unit escaped at the beginning of a text.
    let unit = |text: &str| -> Option<u32> {
        let digits = text.strip_prefix("\\u")?.get(..4)?;
        let hex = digits.bytes().all(|byte| byte.is_ascii_hexdigit());
        u32::from_str_radix(digits, 16).ok().filter(|_| hex)
    };
    let (high, low) = (0xd800..=0xdbff, 0xdc00..=0xdfff);
    let mut out = String::with_capacity(json.len());
    let mut rest = json;
    while let Some(at) = rest.find('\\') {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        let took = match unit(from) {
            Some(one) if high.contains(&one) => {
                if from
                    .get(6..)
                    .and_then(unit)
                    .is_some_and(|two| low.contains(&two))
                {
                    12
                } else {
                    0
                }
            }
            Some(one) if low.contains(&one) => 0,
            Some(_) => 6,
            // A backslash and what it escapes.
            None => 1 + from.chars().nth(1).map_or(0, char::len_utf8),
        };
        if took == 0 {
            out.push_str(LOST);
            rest = &from[6..];
        } else {
            out.push_str(&from[..took]);
            rest = &from[took..];
        }
    }
    out.push_str(rest);
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_a_pair_is_lost_and_nothing_else_is_changed() {
        for (json, wanted) in [
            (r#""\ud83c\udf4c""#, r#""\ud83c\udf4c""#),
            (r#""a\ud83cb""#, r#""a\ufffdb""#),
            (r#""\udf4c\ud83c""#, r#""\ufffd\ufffd""#),
            (r#""\ud83c\ud83c\udf4c""#, r#""\ufffd\ud83c\udf4c""#),
            (r#""\ud83c\u0061""#, r#""\ufffd\u0061""#),
            // An escaped backslash begins no code unit.
            (r#""\\ud83c \n""#, r#""\\ud83c \n""#),
            (r#""\u12"#, r#""\u12"#),
            (r"\", r"\"),
            ("\\é\\u", "\\é\\u"),
        ] {
            assert_eq!(paired(json), wanted, "{json}");
        }
    }

    #[test]
    fn what_cannot_be_seen_is_not_read() {
        assert_eq!(plain("\u{feff}"), "");
        assert_eq!(plain("a\u{200b}b \u{202e}c\u{2028}d\u{ad}e"), "ab c de");
        // Letters that join, and what joins them, stay.
        assert_eq!(plain("می\u{200c}خواهم"), "می\u{200c}خواهم");
    }
}
