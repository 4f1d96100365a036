//! What single characters do to the text around them: which no name may hold, how messages show
//! them, and how a name written from right to left is kept from turning its line around.
//!
//! Standards: Unicode 16 (Bidi_Control and the Default_Ignorable_Code_Point of the character
//! database, sets from memory), UAX #9 (bidirectional algorithm; isolates in 2.4), UAX #15
//! (at most 30 marks in a row, section 13).

use std::borrow::Cow;
use std::fmt::{self, Write as _};
use std::iter::repeat_n;
use unicode_normalization::{IsNormalized, UnicodeNormalization as _, is_nfc_quick};
use unicode_width::UnicodeWidthChar as _;

/// Begins an isolate whose direction is that of its first letter.
pub(crate) const FSI: char = '\u{2068}';
/// Ends an isolate.
pub(crate) const PDI: char = '\u{2069}';

/// Most marks that may follow one letter: the limit of UAX #15's stream-safe text.
const MOST_MARKS: usize = 30;

/// Why a text may not be a name or a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Flaw {
    /// A line or paragraph ends inside it.
    Break,
    /// A control character: a terminal, a calendar or a file would obey it.
    Control(char),
    /// It turns the text around it about, or hides which direction it has.
    Direction(char),
    /// Nobody can see it: two names would look alike and be different ones.
    Unseen(char),
    /// A mark on the letter before it, where none is: it would go onto whatever stands there.
    Leaning(char),
    /// More marks on one letter than any language has.
    Piled,
}

impl Flaw {
    /// What to write instead.
    pub(crate) fn help(self) -> &'static str {
        match self {
            Self::Break => "write it on one line; of steps, one entry for each",
            Self::Control(_) | Self::Unseen(_) => "take the character out",
            Self::Direction(_) => {
                "take the character out: names written from right to left are kept apart from \
                 the text around them without it"
            }
            Self::Leaning(_) => "take the mark out, or write the letter it belongs to",
            Self::Piled => "take out the marks that no letter has",
        }
    }
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let code = |c: char| u32::from(c);
        match *self {
            Self::Break => f.write_str("holds a line break"),
            Self::Control(c) => write!(f, "holds the control character U+{:04X}", code(c)),
            Self::Direction(c) => write!(
                f,
                "holds U+{:04X}, which sets the direction of the text around it",
                code(c)
            ),
            Self::Unseen(c) => write!(f, "holds U+{:04X}, which cannot be seen", code(c)),
            Self::Leaning(c) => write!(
                f,
                "holds U+{:04X}, a mark without the letter it belongs to",
                code(c)
            ),
            Self::Piled => write!(f, "has more than {MOST_MARKS} marks on one letter"),
        }
    }
}

/// Line and paragraph ends, whoever counts them (UAX #14: BK, CR, LF, NL).
fn breaks(c: char) -> bool {
    matches!(c, '\n'..='\r' | '\u{85}' | '\u{2028}' | '\u{2029}')
}

/// The property Bidi_Control: marks, embeddings, overrides and isolates.
fn directs(c: char) -> bool {
    matches!(
        c,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
    )
}

/// Joiners and variation selectors: unseen, and needed to write some scripts and emoji.
fn joins(c: char) -> bool {
    matches!(
        c,
        '\u{180b}'..='\u{180d}'
            | '\u{180f}'
            | '\u{200c}'
            | '\u{200d}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{e0100}'..='\u{e01ef}'
    )
}

/// Characters that print nothing and that no word needs: Default_Ignorable_Code_Point without
/// the joiners, interlinear notes, and code points that are no characters.
fn unseen(c: char) -> bool {
    matches!(
        c,
        '\u{ad}'
            | '\u{34f}'
            | '\u{115f}'..='\u{1160}'
            | '\u{17b4}'..='\u{17b5}'
            | '\u{180e}'
            | '\u{200b}'
            | '\u{2060}'..='\u{206f}'
            | '\u{3164}'
            | '\u{fdd0}'..='\u{fdef}'
            | '\u{feff}'
            | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}'
            | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e00ff}'
            | '\u{e01f0}'..='\u{e0fff}'
    ) || u32::from(c) & 0xfffe == 0xfffe
}

/// Whether it takes no room of its own: combining marks, joiners.
fn leans(c: char) -> bool {
    c.width() == Some(0)
}

/// Whether a mark that stands behind this stands on nothing.
fn bears_nothing(before: Option<char>) -> bool {
    before.is_none_or(char::is_whitespace)
}

/// A joiner beside plain letters joins nothing: it would only make them look like others.
fn joins_nothing(before: char, c: char, after: Option<char>) -> bool {
    match c {
        '\u{200c}' | '\u{200d}' => {
            let plain = |c: char| c.is_ascii() || c.is_whitespace();
            plain(before) || after.is_none_or(|after| plain(after) || joins(after))
        }
        // Keycaps select how a figure looks.
        _ => before.is_ascii() && !matches!(before, '0'..='9' | '#' | '*'),
    }
}

/// What is wrong with a name or a step, the first thing first.
pub(crate) fn flaw(text: &str) -> Option<Flaw> {
    if text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return None;
    }
    let mut before = None;
    let mut marks = 0;
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let after = letters.peek().copied();
        let found = if breaks(c) {
            Some(Flaw::Break)
        } else if c.is_control() {
            Some(Flaw::Control(c))
        } else if directs(c) {
            Some(Flaw::Direction(c))
        } else if unseen(c) {
            Some(Flaw::Unseen(c))
        } else if bears_nothing(before) && leans(c) {
            Some(Flaw::Leaning(c))
        } else {
            let lost = before.is_some_and(|before| joins(c) && joins_nothing(before, c, after));
            lost.then_some(Flaw::Unseen(c))
        };
        if found.is_some() {
            return found;
        }
        marks = if leans(c) { marks + 1 } else { 0 };
        if marks > MOST_MARKS {
            return Some(Flaw::Piled);
        }
        before = Some(c);
    }
    None
}

/// Returns a text in small letters, each put together as far as it can be (Normalization Form C of
/// UAX #15): texts that differ in capitals alone, or in how their accents are written, become one.
/// Small letters come first: some are written with a mark where the capital has none.
pub(crate) fn small(text: &str) -> String {
    let small = text.to_lowercase();
    match is_nfc_quick(small.chars()) {
        IsNormalized::Yes => small,
        IsNormalized::No | IsNormalized::Maybe => small.nfc().collect(),
    }
}

/// Returns a text from elsewhere without what no name may hold: breaks and controls become
/// spaces, what is not seen goes. Nothing is left of a text that held nothing else.
pub(crate) fn cleaned(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = None;
    let mut marks = 0;
    let mut letters = text
        .chars()
        .filter(|&c| breaks(c) || c.is_control() || !(directs(c) || unseen(c)))
        .peekable();
    while let Some(c) = letters.next() {
        let c = if breaks(c) || c.is_control() { ' ' } else { c };
        let after = letters.peek().copied();
        let leaning = leans(c);
        marks = if leaning { marks + 1 } else { 0 };
        let dropped = match before {
            _ if bears_nothing(before) => leaning,
            Some(before) => joins(c) && joins_nothing(before, c, after) || marks > MOST_MARKS,
            None => false,
        };
        if !dropped {
            out.push(c);
            before = Some(c);
        }
    }
    if flaw(out.trim()).is_some() {
        // A joiner was left behind by what it joined: no word is lost without any.
        out.retain(|c| !joins(c));
    }
    out
}

/// Returns at most so many characters of a name, and no mark or joiner cut off from what it
/// joins.
pub(crate) fn cut(name: &str, most: usize) -> String {
    match name.char_indices().nth(most) {
        Some((end, _)) => cleaned(&name[..end]).trim_end().to_owned(),
        None => name.to_owned(),
    }
}

/// Whether a character is shown as its number where a message quotes it.
pub(crate) fn hidden(c: char) -> bool {
    breaks(c) || c.is_control() || directs(c) || unseen(c)
}

/// Returns a text with what a terminal would obey, or nobody would see, as `\u{1b}`.
pub(crate) fn escaped(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    let mut before = None;
    for c in text.chars() {
        if hidden(c) || bears_nothing(before) && leans(c) {
            let _ = write!(out, "\\u{{{:x}}}", u32::from(c));
        } else {
            out.push(c);
            before = Some(c);
        }
    }
    Cow::Owned(out)
}

/// Whether a character is written from right to left: the blocks whose letters have the
/// Bidi_Class R or AL, letters to come included (DerivedBidiClass.txt, from memory).
fn leftward(c: char) -> bool {
    matches!(
        c,
        '\u{590}'..='\u{8ff}'
            | '\u{fb1d}'..='\u{fdff}'
            | '\u{fe70}'..='\u{feff}'
            | '\u{10800}'..='\u{10fff}'
            | '\u{1e800}'..='\u{1efff}'
    )
}

/// Returns a name as it may stand in a line of any direction: one with letters written from
/// right to left as an isolate, any other as it is.
pub(crate) fn isolated(name: &str) -> Cow<'_, str> {
    if name.is_ascii() || !name.contains(leftward) {
        Cow::Borrowed(name)
    } else {
        Cow::Owned(format!("{FSI}{name}{PDI}"))
    }
}

/// Returns a piece of a wrapped text with its isolates closed: each piece begins those that the
/// pieces before left open, which `open` counts, and ends its own.
pub(crate) fn closed<'a>(piece: &'a str, open: &mut usize) -> Cow<'a, str> {
    let before = *open;
    for c in piece.chars() {
        match c {
            FSI => *open += 1,
            PDI => *open = open.saturating_sub(1),
            _ => {}
        }
    }
    if before == 0 && *open == 0 {
        return Cow::Borrowed(piece);
    }
    let mut out = String::with_capacity(piece.len() + 3 * (before + *open));
    out.extend(repeat_n(FSI, before));
    out.push_str(piece);
    out.extend(repeat_n(PDI, *open));
    Cow::Owned(out)
}

/// Returns a text without the isolates that [`isolated`] sets; names hold none of their own.
pub(crate) fn bare(text: &str) -> Cow<'_, str> {
    if text.contains([FSI, PDI]) {
        Cow::Owned(text.replace([FSI, PDI], ""))
    } else {
        Cow::Borrowed(text)
    }
}

/// Returns a foreign text as a message quotes it: [`escaped`], then [`isolated`].
pub(crate) fn quoted(text: &str) -> String {
    isolated(&escaped(text)).into_owned()
}

/// The last line of defence of one line of talk: as [`printable`], line ends and tabs too.
pub(crate) fn one_line(text: String) -> String {
    let text = match printable(&text) {
        Cow::Borrowed(_) => text,
        Cow::Owned(shown) => shown,
    };
    if text.contains(['\n', '\t']) {
        text.replace('\n', "\\u{a}").replace('\t', "\\u{9}")
    } else {
        text
    }
}

/// The last line of defence before a terminal: whatever it would obey is shown as its number,
/// except line ends, tabs and the isolates of names.
pub(crate) fn printable(text: &str) -> Cow<'_, str> {
    let obeyed = |c: char| {
        !matches!(c, '\n' | '\t' | FSI | PDI) && (c.is_control() || breaks(c) || directs(c))
    };
    if !text.contains(obeyed) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if obeyed(c) {
            let _ = write!(out, "\\u{{{:x}}}", u32::from(c));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use unicode_bidi::BidiClass;

    fn every_character() -> impl Iterator<Item = char> {
        (0..=0x10_ffff_u32).filter_map(char::from_u32)
    }

    /// The truth: the table of the `unicode-bidi` crate.
    #[test]
    fn every_letter_written_from_right_to_left_makes_its_name_an_isolate() {
        for c in every_character() {
            let class = unicode_bidi::bidi_class(c);
            if matches!(class, BidiClass::R | BidiClass::AL) && !hidden(c) {
                let name = c.to_string();
                assert_eq!(isolated(&name), format!("{FSI}{name}{PDI}"), "{c:?}");
            }
        }
        assert_eq!(isolated("rice, 500 g"), "rice, 500 g");
    }

    /// The truth: explicit formatting characters of UAX #9, by the crate's table; the three marks
    /// by name.
    #[test]
    fn nothing_that_sets_a_direction_is_let_through() {
        for c in every_character() {
            let class = unicode_bidi::bidi_class(c);
            let sets = matches!(
                class,
                BidiClass::LRE
                    | BidiClass::RLE
                    | BidiClass::LRO
                    | BidiClass::RLO
                    | BidiClass::PDF
                    | BidiClass::LRI
                    | BidiClass::RLI
                    | BidiClass::FSI
                    | BidiClass::PDI
            ) || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}');
            assert_eq!(directs(c), sets, "{c:?}");
            if sets {
                let name = format!("ri{c}ce");
                assert_eq!(flaw(&name), Some(Flaw::Direction(c)));
                assert_eq!(escaped(&name), format!("ri\\u{{{:x}}}ce", u32::from(c)));
            }
            // A paragraph separator of UAX #9 is a break or another control character.
            if class == BidiClass::B {
                assert!(matches!(
                    flaw(&format!("ri{c}ce")),
                    Some(Flaw::Break | Flaw::Control(_))
                ));
            }
        }
    }

    #[test]
    fn names_that_look_alike_are_refused_and_words_are_not() {
        for word in [
            "rice",
            "crème fraîche",
            "cre\u{300}me",
            "חומוס, \"טרי\"",
            "می\u{200c}خواهم",
            "क्\u{200d}ष",
            "👩\u{200d}🍳",
            "❤\u{fe0f}",
            "1\u{fe0f}\u{20e3}",
            "葛\u{e0100}",
            "-",
            "=cmd",
            "",
        ] {
            assert_eq!(flaw(word), None, "{word:?}");
            assert_eq!(cleaned(word), word);
            assert_eq!(escaped(word), word);
        }
        let marks = format!("e{}", "\u{301}".repeat(31));
        let refused = [
            ("ri\nce", Flaw::Break),
            ("ri\u{85}ce", Flaw::Break),
            ("ri\u{2028}ce", Flaw::Break),
            ("ri\u{1b}[31mce", Flaw::Control('\u{1b}')),
            ("ri\u{9b}31mce", Flaw::Control('\u{9b}')),
            ("ri\0ce", Flaw::Control('\0')),
            ("ri\u{202e}ce", Flaw::Direction('\u{202e}')),
            ("ri\u{ad}ce", Flaw::Unseen('\u{ad}')),
            ("ri\u{200d}ce", Flaw::Unseen('\u{200d}')),
            ("rice\u{fe0f}", Flaw::Unseen('\u{fe0f}')),
            ("\u{feff}", Flaw::Unseen('\u{feff}')),
            ("rice\u{e0041}", Flaw::Unseen('\u{e0041}')),
            ("\u{301}\u{301}", Flaw::Leaning('\u{301}')),
            (marks.as_str(), Flaw::Piled),
        ];
        for (text, wrong) in refused {
            assert_eq!(flaw(text), Some(wrong), "{text:?}");
            assert_eq!(flaw(&cleaned(text)), None, "{text:?}");
        }
    }

    /// The law of `cleaned`: whatever comes in, no flaw is left.
    #[test]
    fn what_was_cleaned_has_no_flaw() {
        let scraps = [
            "a", " ", "\u{a0}", "\n", "\u{1b}", "\u{202e}", "\u{200d}", "\u{fe0f}", "\u{301}", "ש",
            "👩", "\u{feff}", "1", "\u{61c}", "\u{2028}",
        ];
        let mut dice = 0x5ca1_ab1e_u64;
        for _ in 0..20_000 {
            let mut text = String::new();
            for _ in 0..6 {
                dice ^= dice << 13;
                dice ^= dice >> 7;
                dice ^= dice << 17;
                text.push_str(scraps[(dice % scraps.len() as u64) as usize]);
            }
            let clean = cleaned(&text);
            let squeezed = clean.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(flaw(&squeezed), None, "{text:?} became {clean:?}");
        }
    }

    #[test]
    fn a_terminal_gets_nothing_to_obey() {
        let all: String = every_character().collect();
        let shown = printable(&all);
        for c in shown.chars() {
            assert!(
                matches!(c, '\n' | '\t' | FSI | PDI)
                    || !(c.is_control() || breaks(c) || directs(c)),
                "{c:?}"
            );
        }
        assert_eq!(
            printable("a\r\u{1b}]52;c;x\u{7}"),
            "a\\u{d}\\u{1b}]52;c;x\\u{7}"
        );
        assert!(matches!(printable("plain\n\ttext"), Cow::Borrowed(_)));
    }
}
