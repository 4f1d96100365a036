//! `--after` and what goes with it: what a former week left, and its recipes resting.

use std::path::Path;

use super::Exit;
use super::ask_args::{AfterArgs, weeks};
use super::console;
use super::options::{self, unfit};
use crate::kitchen::{self, MOST_FORMER_BYTES, Rest, render};
use crate::larder::{Calendar, Former, Larder, Stock};
use crate::unicode;

/// What a week comes after, read.
pub(super) struct After {
    pub(super) former: Option<Former>,
    pub(super) rest: Rest,
    days_on: Option<i32>,
    /// What the former week is called.
    name: String,
    /// The price of what was served before, as typed.
    again: String,
}

/// Checks the options and reads the former week. `dated`: the days of this week by an option,
/// whatever the former week says; `row`: there will be weeks to come after.
///
/// # Errors
/// One message per option that cannot be met, and whether faults were told already.
pub(super) fn read(
    args: &AfterArgs,
    larder: &Larder,
    dated: Option<Calendar>,
    row: bool,
) -> Result<After, Vec<String>> {
    let mut faults = Vec::new();
    let mut rest = Rest {
        refuse: args.rest.unwrap_or(0),
        price: None,
    };
    if let Some(text) = &args.again {
        let (money, last) = match text.raw().rsplit_once('@') {
            Some((money, last)) => (money, weeks(last)),
            None => (text.raw(), Ok(1)),
        };
        let money = options::money(money, larder);
        match (money, last) {
            (Ok(price), Ok(last)) => rest.price = Some((last, price)),
            (Err(fault), _) | (_, Err(fault)) => faults.push(format!(
                "--again {text}: {fault}; MONEY or MONEY@K, such as 0.50@3"
            )),
        }
    }
    if args.after.is_none() && !row {
        for (option, there) in [
            ("--days-on", args.days_on.is_some()),
            ("--rest", args.rest.is_some()),
            ("--again", args.again.is_some()),
        ] {
            if there {
                faults.push(format!(
                    "{option}: there is no week before this one; add --after PLAN.json"
                ));
            }
        }
    }
    let mut former = None;
    if let Some(path) = &args.after {
        match load(path, larder) {
            Ok(mut read) => {
                if let Some(dated) = dated {
                    let days = args.days_on.unwrap_or_else(|| read.days_on());
                    read.prep = dated.date(-days);
                }
                former = Some(read);
            }
            Err(fault) => faults.push(fault),
        }
    }
    if let (Some(days), Some(former)) = (args.days_on, &former) {
        faults.extend(too_soon(days, former.weeks.first().map_or(0, Vec::len)));
    } else if let (Some(days), true) = (args.days_on, row) {
        faults.extend(too_soon(days, larder.lunch_count()));
    }
    let name = args
        .after
        .as_deref()
        .map_or_else(String::new, console::path);
    if faults.is_empty() {
        Ok(After {
            former,
            rest,
            days_on: args.days_on,
            name,
            again: args
                .again
                .as_ref()
                .map_or_else(String::new, ToString::to_string),
        })
    } else {
        Err(faults)
    }
}

fn too_soon(days: i32, lunches: usize) -> Option<String> {
    (usize::try_from(days).is_ok_and(|days| days < lunches)).then(|| {
        format!(
            "--days-on {days}: the week before has lunches on {lunches} days; write {lunches} or more"
        )
    })
}

/// Reads a former week and tells what looks wrong.
///
/// # Errors
/// All its faults, ready to print.
fn load(path: &Path, larder: &Larder) -> Result<Former, String> {
    let name = console::path(path);
    let bytes = kitchen::read_plain(path, MOST_FORMER_BYTES).map_err(|error| {
        format!("--after {name}: {error}; name a file that `scant week --format json` printed")
    })?;
    let read = kitchen::read_former(&name, bytes, larder);
    if read.tally.warnings > 0 {
        console::talk(&render::warnings(&read.warnings, read.tally, &read.sources));
    }
    read.former.ok_or_else(|| {
        let told = render::faults(&read.faults, read.tally, &read.sources);
        format!("--after {name} cannot be used\n{told}")
    })
}

/// A week's kitchens once it is known what it comes after.
pub(super) struct Begun {
    pub(super) plain: Larder,
    pub(super) larder: Larder,
    /// Kept before, and no longer good now.
    pub(super) lost: Vec<Stock>,
    /// Days after the former prep day; 0 without one.
    pub(super) days: i32,
}

impl After {
    /// Begins a week with what the former one left, if there is one, and says so. The kitchen
    /// without the options changes with it: what rests is no wish of this run.
    ///
    /// # Errors
    /// The exit, after the fault was told.
    pub(super) fn begin(
        &self,
        former: Option<&Former>,
        plain: &Larder,
        larder: &Larder,
    ) -> Result<Begun, Exit> {
        let mut begun = Begun {
            plain: plain.clone(),
            larder: larder.clone(),
            lost: Vec::new(),
            days: 0,
        };
        let Some(former) = former else {
            return Ok(begun);
        };
        let days = self.days_on.unwrap_or_else(|| former.days_on());
        begun.days = days;
        let mut notes = Vec::new();
        let mut after = |larder: &Larder| {
            let kept = larder.changed(|new| begun.lost = new.start_after(former, days));
            let kept = kept.map_err(|flaws| {
                let with = "with what the week before left";
                let kept = if self.former.as_ref() == Some(former) {
                    format!("--after {}: {with}", self.name)
                } else {
                    with.to_owned()
                };
                refused(&unfit(&kept, &flaws, "check the amounts kept, or "))
            })?;
            let rested = kept.changed(|new| notes = self.rest.apply(new, &former.weeks));
            let again = format!("--again {}", self.again);
            rested.map_err(|flaws| refused(&unfit(&again, &flaws, "lower it, or ")))
        };
        let begun_with = after(plain).and_then(|plain| Ok((plain, after(larder)?)));
        for note in notes {
            console::talk(&format!("note: {note}"));
        }
        (begun.plain, begun.larder) = begun_with?;
        Ok(begun)
    }

    /// Says what a single week starts from.
    pub(super) fn tell(&self, begun: &Begun) {
        let Some(former) = &self.former else {
            return;
        };
        let (name, days) = (&self.name, begun.days);
        console::talk(&format!(
            "After {name}, {days} days on: {} on hand from it, in the place of the kitchen's own \
             stock",
            units(begun.larder.stock.len())
        ));
        if !begun.lost.is_empty() {
            let lost = begun.lost.iter().map(|unit| {
                let food = unicode::quoted(&begun.larder.foods[unit.food.index()].name);
                format!("{food} ({})", unicode::quoted(&unit.label))
            });
            let lost: Vec<String> = lost.collect();
            console::talk(&format!(
                "note: kept then and no longer good now: {}",
                lost.join(", ")
            ));
        }
        let asked = (self.rest.refuse).max(self.rest.price.map_or(0, |(weeks, _)| weeks));
        if asked > former.weeks.len() {
            console::talk(&format!(
                "note: {name} tells of {} only, and recipes of {asked} are to rest or to cost more",
                match former.weeks.len() {
                    1 => "1 week".to_owned(),
                    n => format!("{n} weeks"),
                }
            ));
        }
        weekdays(begun);
    }
}

fn refused(fault: &str) -> Exit {
    console::talk(&format!("fault: {fault}"));
    Exit::Fault
}

/// Says so where weekday names no longer fall on the same days of the calendar.
pub(super) fn weekdays(begun: &Begun) {
    let days = begun.days;
    if days % 7 != 0 {
        let names = match begun.larder.week.calendar.prep() {
            Some(_) => "what the kitchen says of a weekday stays with its place in the week",
            None => "days keep the names the kitchen gives them",
        };
        console::talk(&format!(
            "note: {days} days on is another weekday, and {names}; for whole weeks set \
             `carry_day` to a multiple of 7 and one more, or --days-on"
        ));
    }
}

fn units(n: usize) -> String {
    match n {
        1 => "1 unit".to_owned(),
        n => format!("{n} units"),
    }
}
