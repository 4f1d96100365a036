//! What options have in common: figures read, and why the kitchen does not pass with one.

use crate::kitchen::flaw_told;
use crate::larder::{Contents, Flaw, limits};

/// Says why the larder does not pass with an option: the first flaw as the kitchen files would be
/// told it, and how many more there are; `first` opens the remedy.
pub(super) fn unfit(option: &str, flaws: &[Flaw], first: &str) -> String {
    let Some(flaw) = flaws.first() else {
        return option.to_owned();
    };
    let fault = flaw_told(flaw);
    let more = match flaws.len() - 1 {
        0 => String::new(),
        more => format!(" (and {more} more like it)"),
    };
    format!("{option}: {}{more}; {first}{}", fault.what, fault.help)
}

/// Reads money of the larder's currency, in minor units.
///
/// # Errors
/// What to write instead.
pub(super) fn money(text: &str, larder: &Contents) -> Result<i64, String> {
    let digits = u32::from(larder.currency.digits);
    decimal(text, digits, limits::MONEY).ok_or_else(|| {
        format!(
            "write money of {} with at most {digits} digits after the point, at most {}",
            larder.currency.code,
            limits::MONEY
        )
    })
}

/// Reads a number of at most `places` digits after the point, in units of the last of
/// them; `None` if it is anything else or above `most` wholes.
pub(super) fn decimal(text: &str, places: u32, most: i64) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 12 || !digits(whole) || !digits(part) {
        return None;
    }
    if part.len() > places as usize || text.ends_with('.') {
        return None;
    }
    let unit = 10_i64.pow(places);
    let padded = format!("{part:0<width$}", width = places as usize);
    let part: i64 = if padded.is_empty() {
        0
    } else {
        padded.parse().ok()?
    };
    let value = whole.parse::<i64>().ok()?.checked_mul(unit)? + part;
    (value <= most * unit).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_read_exactly_or_not_at_all() {
        assert_eq!(decimal("30.5", 2, 100), Some(3_050));
        assert_eq!(decimal("30", 0, 100), Some(30));
        assert_eq!(decimal("1.25", 3, 10), Some(1_250));
        assert_eq!(decimal("100", 2, 100), Some(10_000));
        for text in [
            "",
            ".5",
            "5.",
            "-1",
            "1e3",
            "1.234",
            "101",
            "99999999999999",
            "1,5",
        ] {
            assert_eq!(decimal(text, 2, 100), None, "{text}");
        }
    }
}
