//! Cleans texts from elsewhere: markup and entities away, one kind of space, dash and fraction.

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
    for c in text.chars() {
        let c = match c {
            '\u{2044}' | '\u{2215}' => '/',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            other => other,
        };
        if let Some((_, figures)) = VULGAR.iter().find(|(vulgar, _)| *vulgar == c) {
            out.push(' ');
            out.push_str(figures);
            out.push(' ');
        } else if matches!(c, '(' | ')' | ',' | ';' | '+') {
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
