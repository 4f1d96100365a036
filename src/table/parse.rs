//! Reads the embedded tables. Their text is part of the program, so a fault in it is ours: no line
//! is ever left out, and a table with a line that cannot be read is refused whole. The tests of
//! each table read all of it, so that no program with such a line passes them.

/// A line of an embedded table that cannot be read.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct BadLine {
    /// Its number in the file, from 1.
    pub(super) number: usize,
    /// The line.
    pub(super) text: String,
}

impl BadLine {
    /// A fault that is told of no line.
    pub(super) fn nowhere() -> Self {
        Self {
            number: 0,
            text: "what it holds does not go together".to_owned(),
        }
    }
}

/// Reads every line of an embedded table but those that open with `#`; `read` returns none for
/// a line that cannot be read.
///
/// # Errors
/// The first such line.
pub(super) fn lines<T>(
    text: &'static str,
    mut read: impl FnMut(&'static str) -> Option<T>,
) -> Result<Vec<T>, BadLine> {
    let lines = (1..).zip(text.lines());
    lines
        .filter(|(_, line)| !line.starts_with('#'))
        .map(|(number, line)| {
            read(line).ok_or_else(|| BadLine {
                number,
                text: line.to_owned(),
            })
        })
        .collect()
}

/// The whole of an embedded table called `name`.
///
/// # Panics
/// If a line cannot be read: a fault of the program, which a run reports as such.
pub(super) fn whole<T>(name: &str, read: Result<T, BadLine>) -> T {
    read.unwrap_or_else(|BadLine { number, text }| {
        panic!("the built-in {name} cannot be read, line {number}: {text}")
    })
}

/// Reads a plain decimal of at most three places in thousandths.
pub(super) fn milli(text: &str) -> Option<i64> {
    let (whole, places) = text.split_once('.').unwrap_or((text, ""));
    if places.len() > 3 || !places.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some(whole.parse::<i64>().ok()? * 1000 + format!("{places:0<3}").parse::<i64>().ok()?)
}

#[cfg(test)]
mod tests {
    use super::milli;

    #[test]
    fn decimals_are_read_in_thousandths() {
        assert_eq!(milli("18.669"), Some(18_669));
        assert_eq!(milli("0.5"), Some(500));
        assert_eq!(milli("1.2345"), None);
        assert_eq!(milli("x"), None);
    }
}
