//! Turns options into changes to the kitchen's wishes, or every option that cannot be met.

use super::after::{self, After};
use super::args::AskArgs;
use super::console::Typed;
use super::{Exit, console, load};
use crate::kitchen::names::{Unknown, resolve_pin, resolve_target};
use crate::larder::{Aim, CapBy, Larder};
use crate::unicode;

/// Most portions a day, as in the kitchen files.
const MOST_EATERS: i64 = 1_000;
/// Most money, in the currency's unit, as in the kitchen files.
const MOST_MONEY: i64 = 100_000;

/// What is asked, before it is known what was left by the week before.
pub(super) struct Asked {
    /// The kitchen as written.
    pub(super) plain: Larder,
    /// The kitchen with the options set.
    pub(super) larder: Larder,
    /// What it comes after.
    pub(super) after: After,
}

/// Reads the kitchen and the former week; `row`: weeks in a row are asked for.
///
/// # Errors
/// The exit, after every fault was told.
pub(super) fn read(args: &AskArgs, row: bool) -> Result<Asked, Exit> {
    let loaded = load::load(args.dir.as_deref())?;
    loaded.tell_warnings();
    let plain = loaded.larder;
    let mut larder = plain.clone();
    let set = apply(args, &mut larder);
    let after = after::read(&args.after, &plain, row);
    match (set, after) {
        (Ok(()), Ok(after)) => Ok(Asked {
            plain,
            larder,
            after,
        }),
        (set, after) => {
            let faults = [set.err(), after.err()].into_iter().flatten().flatten();
            for fault in faults {
                console::talk(&format!("fault: {fault}"));
            }
            Err(Exit::Fault)
        }
    }
}

/// Reads the kitchen asked about: as written, and with the options set; both after the former
/// week, if one was named.
///
/// # Errors
/// The exit, after every fault was told.
pub(super) fn kitchen(args: &AskArgs) -> Result<(Larder, Larder), Exit> {
    let (plain, larder, _) = week(args)?;
    Ok((plain, larder))
}

/// The same, and the recipes of the weeks before, the latest week first.
///
/// # Errors
/// As of [`kitchen`].
pub(super) fn week(args: &AskArgs) -> Result<(Larder, Larder, Vec<Vec<String>>), Exit> {
    let asked = read(args, false)?;
    let former = asked.after.former.as_ref();
    let begun = asked.after.begin(former, &asked.plain, &asked.larder)?;
    asked.after.tell(&begun);
    let weeks = former.map_or_else(Vec::new, |former| former.weeks.clone());
    Ok((begun.plain, begun.larder, weeks))
}

/// Sets the options in the larder.
///
/// # Errors
/// One message per option that cannot be met, all at once.
fn apply(args: &AskArgs, larder: &mut Larder) -> Result<(), Vec<String>> {
    let mut faults = Vec::new();
    if let Some(cap) = args.cap {
        larder.wishes.cap = Some(cap);
    }
    if args.cap_families {
        if larder.wishes.cap.is_none() {
            faults.push(
                "--cap-families: there is no cap to count for; add --cap N, or `cap` to the \
                 kitchen's rules"
                    .to_owned(),
            );
        }
        larder.wishes.cap_by = CapBy::Families;
    }
    if let Some(text) = &args.budget {
        match money(text.raw(), larder) {
            Ok(minor) => larder.wishes.budget_minor = Some(minor),
            Err(fault) => faults.push(format!("--budget {text}: {fault}")),
        }
    }
    if let Some(text) = &args.eaters {
        match decimal(text.raw(), 3, MOST_EATERS) {
            Some(milli) if milli > 0 => larder.week.eaters_milli.fill(milli),
            _ => faults.push(format!(
                "--eaters {text}: write portions a day above 0 and at most {MOST_EATERS}, with at \
                 most three digits after the point, such as 3 or 1.25"
            )),
        }
    }
    if !args.order.is_empty() {
        let order: Vec<Aim> = args.order.iter().map(|&word| word.into()).collect();
        for (i, word) in args.order.iter().enumerate() {
            if args.order[..i].contains(word) {
                faults.push("--order: name each aim once".to_owned());
            }
        }
        larder.wishes.order = order;
    }
    for name in &args.without {
        if let Some(fault) = flawed("--without", name) {
            faults.push(fault);
            continue;
        }
        match resolve_target(larder, name.raw()) {
            Ok(targets) => larder.wishes.without.extend(targets),
            Err(unknown) => faults.push(refused("--without", &unknown)),
        }
    }
    for name in &args.with {
        if let Some(fault) = flawed("--with", name) {
            faults.push(fault);
            continue;
        }
        match resolve_pin(larder, name.raw()) {
            Ok(pin) => larder.wishes.with.push(pin),
            Err(unknown) => faults.push(refused("--with", &unknown)),
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// Reads money of the larder's currency, in minor units.
///
/// # Errors
/// What to write instead.
pub(super) fn money(text: &str, larder: &Larder) -> Result<i64, String> {
    let digits = u32::from(larder.currency.digits);
    decimal(text, digits, MOST_MONEY).ok_or_else(|| {
        format!(
            "write money of {} with at most {digits} digits after the point, at most {MOST_MONEY}",
            larder.currency.code
        )
    })
}

/// What no name may hold is refused in arguments too: spaces of any kind are the same in a name,
/// and reports repeat it as it was typed.
fn flawed(option: &str, name: &Typed) -> Option<String> {
    let flaw = unicode::flaw(name.raw())?;
    Some(format!("{option}: `{name}` {flaw}; {}", flaw.help()))
}

fn refused(option: &str, unknown: &Unknown) -> String {
    let near: Vec<String> = unknown
        .near
        .iter()
        .map(|name| format!("`{}`", unicode::quoted(name)))
        .collect();
    let hint = if near.is_empty() {
        String::new()
    } else {
        format!("; did you mean {}?", near.join(" or "))
    };
    format!("{option}: {}{hint}", unknown.what)
}

/// Reads a number of at most `places` digits after the point, in units of the last of
/// them; `None` if it is anything else or above `most` wholes.
fn decimal(text: &str, places: u32, most: i64) -> Option<i64> {
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
