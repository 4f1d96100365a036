//! Turns options into changes to the kitchen's wishes, or every option that cannot be met.

use clap::ValueEnum as _;

use super::after::{self, After};
use super::ask_args::AskArgs;
use super::console::Typed;
use super::options::{decimal, money, unfit};
use super::{Exit, console, load};
use crate::kitchen::names::{Names, Unknown};
use crate::larder::{Aim, CapBy, Contents, Larder, MILLI, limits};
use crate::tradeoffs::{Limit, set_limit};
use crate::unicode;

/// Most names of one option, as in the kitchen files.
const MOST_NAMES: usize = 1_000;

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
    let dated = args
        .monday
        .and_then(|monday| loaded.larder.week.calendar.monday(monday));
    let plain = match dated {
        Some(dated) => {
            let changed = loaded.larder.changed(|new| new.week.calendar = dated);
            changed.map_err(|flaws| {
                console::faults([unfit("--monday", &flaws, "")]);
                Exit::Fault
            })?
        }
        None => loaded.larder,
    };
    let set = set(args, &plain);
    let after = after::read(&args.after, &plain, dated, row);
    match (set, after) {
        (Ok(larder), Ok(after)) => Ok(Asked {
            plain,
            larder,
            after,
        }),
        (set, after) => {
            let faults = [set.err(), after.err()].into_iter().flatten().flatten();
            console::faults(faults);
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

/// Returns the options of a run that change rules, as they are typed.
pub(super) fn options(args: &AskArgs) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(cap) = args.cap {
        all.push(format!("--cap {cap}"));
    }
    if args.cap_families {
        all.push("--cap-families".to_owned());
    }
    all.extend(args.without.iter().map(|name| format!("--without {name}")));
    all.extend(args.with.iter().map(|name| format!("--with {name}")));
    if let Some(text) = &args.budget {
        all.push(format!("--budget {text}"));
    }
    for (option, limit) in [
        ("--prep-minutes", args.prep_minutes),
        ("--day-minutes", args.day_minutes),
        ("--kitchen-minutes", args.kitchen_minutes),
    ] {
        all.extend(limit.map(|minutes| format!("{option} {minutes}")));
    }
    if !args.order.is_empty() {
        let aims = args.order.iter().map(|word| {
            let value = word.to_possible_value();
            value.map_or_else(String::new, |value| value.get_name().to_owned())
        });
        all.push(format!("--order {}", aims.collect::<Vec<_>>().join(",")));
    }
    all
}

/// Returns the larder with the options set.
///
/// # Errors
/// One message per option that cannot be met, all at once.
fn set(args: &AskArgs, plain: &Larder) -> Result<Larder, Vec<String>> {
    let mut setting = Setting {
        larder: plain.clone(),
        faults: Vec::new(),
    };
    if let Some(cap) = args.cap {
        setting.set(&format!("--cap {cap}"), |larder| {
            larder.wishes.cap = Some(cap);
        });
    }
    if args.cap_families {
        if setting.larder.wishes.cap.is_none() {
            setting.refuse(
                "--cap-families: there is no cap to count for; add --cap N, or `cap` to the \
                 kitchen's rules",
            );
        }
        setting.set("--cap-families", |larder| {
            larder.wishes.cap_by = CapBy::Families;
        });
    }
    if let Some(text) = &args.budget {
        match money(text.raw(), plain) {
            Ok(minor) => setting.set(&format!("--budget {text}"), |larder| {
                larder.wishes.budget_minor = Some(minor);
            }),
            Err(fault) => setting.refuse(format!("--budget {text}: {fault}")),
        }
    }
    let in_kitchen = args.kitchen_minutes;
    for (option, limit, asked) in [
        ("--prep-minutes", Limit::PrepMinutes, args.prep_minutes),
        ("--day-minutes", Limit::DayMinutes, args.day_minutes),
        ("--kitchen-minutes", Limit::KitchenMinutes, in_kitchen),
    ] {
        if let Some(minutes) = asked {
            setting.set(&format!("{option} {minutes}"), |larder| {
                set_limit(larder, limit, Some(minutes));
            });
        }
    }
    if let Some(text) = &args.eaters {
        setting.eaters(text);
    }
    if !args.order.is_empty() {
        let order: Vec<Aim> = args.order.iter().map(|&word| word.into()).collect();
        let twice = (1..)
            .zip(&order)
            .any(|(next, aim)| order[next..].contains(aim));
        if twice {
            setting.refuse("--order: name each aim once");
        } else {
            setting.set("--order", |larder| larder.wishes.order = order);
        }
    }
    for (option, names) in [("--without", &args.without), ("--with", &args.with)] {
        if names.len() > MOST_NAMES {
            setting.refuse(format!(
                "{option}: it stands {} times; at most {MOST_NAMES} names are read",
                names.len()
            ));
        }
    }
    let mut known = Names::new(plain);
    for name in args.without.iter().take(MOST_NAMES) {
        if let Some(fault) = flawed("--without", name) {
            setting.refuse(fault);
            continue;
        }
        match known.target(name.raw()) {
            Ok(targets) => setting.set(&format!("--without {name}"), |larder| {
                larder.wishes.without.extend(targets);
            }),
            Err(unknown) => setting.refuse(refused("--without", &unknown)),
        }
    }
    for name in args.with.iter().take(MOST_NAMES) {
        if let Some(fault) = flawed("--with", name) {
            setting.refuse(fault);
            continue;
        }
        match known.pin(name.raw()) {
            Ok(pin) => setting.set(&format!("--with {name}"), |larder| {
                larder.wishes.with.push(pin);
            }),
            Err(unknown) => setting.refuse(refused("--with", &unknown)),
        }
    }
    if setting.faults.is_empty() {
        Ok(setting.larder)
    } else {
        Err(setting.faults)
    }
}

/// A larder on which options are set one by one, so that each answers for itself.
struct Setting {
    larder: Larder,
    faults: Vec<String>,
}

impl Setting {
    fn refuse(&mut self, fault: impl Into<String>) {
        self.faults.push(fault.into());
    }

    /// Sets an option, unless the larder would not pass with it.
    fn set(&mut self, option: &str, change: impl FnOnce(&mut Contents)) {
        match self.larder.changed(change) {
            Ok(larder) => self.larder = larder,
            Err(flaws) => self.refuse(unfit(option, &flaws, "")),
        }
    }

    fn eaters(&mut self, text: &Typed) {
        let option = format!("--eaters {text}");
        let most = limits::EATERS_MILLI / MILLI;
        let read = decimal(text.raw(), 3, most).filter(|&milli| milli > 0);
        let Some(milli) = read else {
            return self.refuse(format!(
                "{option}: write portions a day above 0 and at most {most}, with at most three \
                 digits after the point, such as 3 or 1.25"
            ));
        };
        let with = |milli: i64| {
            let fill = |new: &mut Contents| new.week.eaters_milli.fill(milli);
            self.larder.changed(fill)
        };
        match with(milli) {
            Ok(larder) => self.larder = larder,
            Err(flaws) => {
                // Fewer eaters never need more: how many pass is found by halves.
                let (mut fits, mut not) = (0, milli / MILLI + 1);
                while not - fits > 1 {
                    let middle = i64::midpoint(fits, not);
                    if with(middle * MILLI).is_ok() {
                        fits = middle;
                    } else {
                        not = middle;
                    }
                }
                let least = match fits {
                    0 => String::new(),
                    n => format!("write {n} or fewer, or "),
                };
                self.refuse(unfit(&option, &flaws, &least));
            }
        }
    }
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
