//! Faults and warnings: where, what is wrong, what to write instead.
//!
//! Every reader pushes into one `Sink` and goes on, so that all faults of a kitchen are
//! told at once. `gathered` keeps the first of each kind and counts the rest, so that a file may
//! hold as many faults as it has bytes.

use super::gathered::{Gathered, Help, Told, mark};
use super::limits;
use super::place::At;
use super::spelling::Allowance;
use super::wording::{Says, shown};
use crate::larder::Currency;
use crate::unicode;
use std::collections::{HashMap, HashSet};

/// A fault or a warning of the kitchen files.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fault {
    /// Name of the file; empty if it concerns the kitchen as a whole.
    pub file: String,
    /// Line, from 1; 0 if no line is to blame.
    pub line: usize,
    /// Column in characters, from 1; 0 if no line is to blame.
    pub column: usize,
    /// Byte offset in the file and length in bytes of what is to blame.
    pub span: (usize, usize),
    /// What is wrong.
    pub what: String,
    /// What to write instead.
    pub help: String,
    /// Further ones of its kind, not told one by one.
    pub more: More,
}

/// Further faults of one kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct More {
    /// How many there are.
    pub count: usize,
    /// The first places of them, as `file:line:column`.
    pub places: Vec<String>,
}

/// Most faults and warnings that are told of one reading.
pub const MOST_TOLD: usize = 100;

/// How many faults and warnings were found, whether or not each is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Faults.
    pub faults: usize,
    /// Warnings, keeping times apart.
    pub warnings: usize,
    /// Keeping times that are longer than the published ones.
    pub times: usize,
}

/// A keeping time that the files leave out, so that a published one stands in its place, or that
/// they mark as assumed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PutIn {
    /// Name of the file.
    pub file: String,
    /// Line of the pack option or the component, from 1.
    pub line: usize,
    /// The food or component.
    pub name: String,
    /// The pack option; empty for a component.
    pub pack: String,
    /// The key: `keeps` or `open_keeps`.
    pub key: &'static str,
    /// Days it stands for.
    pub days: i64,
    /// Where the published time is meant for, in words, and whose it is; none where the kitchen's
    /// own figure is marked as assumed.
    pub published: Option<(&'static str, String)>,
}

/// The price of a pack option, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Priced {
    /// The food.
    pub food: String,
    /// The pack option.
    pub pack: String,
    /// The shop it has that price at; none in a kitchen that names no shops.
    pub shop: Option<String>,
    /// Its food is a staple.
    pub staple: bool,
    /// Minor units; none where no price stands anywhere.
    pub minor: Option<i64>,
    /// The day it is of and the shop, where a price list has it; the shop may be empty.
    pub listed: Option<(chrono::NaiveDate, String)>,
}

/// A file as it was read, for excerpts.
#[derive(Clone, Debug, Default)]
pub struct Source {
    /// Its name, as faults give it.
    pub name: String,
    /// Its text; empty if it was refused before it was read.
    pub text: String,
}

/// What a reading tells of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Tells {
    Fault,
    Warning,
    /// A keeping time that is longer than the published one.
    Time,
}

/// Collects faults and warnings.
#[derive(Debug, Default)]
pub(crate) struct Sink {
    /// Names of the files, by position.
    pub(crate) files: Vec<String>,
    faults: Gathered,
    warnings: Gathered,
    times: Gathered,
    /// Some file or list was not read. What it holds is unknown, so a name that is not found
    /// is then no fault.
    pub(crate) partial: bool,
    /// On a second reading: what is answered then.
    answers: Option<Answers>,
    /// Keys and values read so far.
    values: usize,
    /// Bytes copied so far to where they are used.
    unfolded: usize,
    /// Keeping times that the files leave out, or mark as assumed.
    put_in: Vec<(At, PutIn)>,
    /// The price of each pack option.
    pub(crate) priced: Vec<Priced>,
    /// The currency they are in.
    pub(crate) currency: Option<Currency>,
}

impl Sink {
    pub(crate) fn new(files: Vec<String>) -> Self {
        Self {
            files,
            ..Self::default()
        }
    }

    /// Notes a fault.
    pub(crate) fn fault<'a>(&mut self, at: At, what: impl Into<String>, help: impl Into<Help<'a>>) {
        self.note(Tells::Fault, at, what.into(), help.into());
    }

    /// Notes a fault and returns `None`.
    pub(crate) fn refuse<T>(&mut self, at: At, says: Says) -> Option<T> {
        self.fault(at, says.what, says.help);
        None
    }

    /// Turns a result into its value, noting the fault.
    pub(crate) fn take<T>(&mut self, at: At, result: Result<T, Says>) -> Option<T> {
        match result {
            Ok(value) => Some(value),
            Err(says) => self.refuse(at, says),
        }
    }

    /// Notes a warning.
    pub(crate) fn warn<'a>(&mut self, at: At, what: impl Into<String>, help: impl Into<Help<'a>>) {
        self.note(Tells::Warning, at, what.into(), help.into());
    }

    /// Notes a keeping time that is longer than the published one.
    pub(crate) fn longer<'a>(
        &mut self,
        at: At,
        what: impl Into<String>,
        help: impl Into<Help<'a>>,
    ) {
        self.note(Tells::Time, at, what.into(), help.into());
    }

    /// Notes a keeping time that nobody wrote, or that is marked as assumed.
    pub(crate) fn put_in(&mut self, at: At, put_in: PutIn) {
        self.put_in.push((at, put_in));
    }

    fn note(&mut self, tells: Tells, at: At, what: String, help: Help) {
        let gathered = match tells {
            Tells::Fault => &mut self.faults,
            Tells::Warning => &mut self.warnings,
            Tells::Time => &mut self.times,
        };
        match &mut self.answers {
            Some(answers) => {
                answers.answer(tells, at, &what, help);
                gathered.note_known();
            }
            None => gathered.note(at, what, help),
        }
    }

    /// Counts a key or a value that is about to be kept; `false` past the limit on all of them.
    pub(crate) fn may_keep(&mut self) -> bool {
        self.values += 1;
        self.values <= limits::VALUES
    }

    /// Whether as much was read as may be kept.
    pub(crate) fn is_full(&self) -> bool {
        self.values > limits::VALUES
    }

    /// Counts bytes that are about to be copied to where they are used; `false` past the limit on
    /// all of them. The fault is told once.
    pub(crate) fn may_unfold(&mut self, at: At, bytes: usize) -> bool {
        let before = !self.is_overfull();
        self.unfolded = self.unfolded.saturating_add(bytes);
        let may = !self.is_overfull();
        if before && !may {
            self.partial = true;
            self.fault(
                at,
                format!(
                    "steps, tags, equipment and foods, written out wherever they are meant, come to \
                     more than {} MiB up to here",
                    limits::UNFOLDED_BYTES >> 20
                ),
                "write `needs` at the steps that need something, and put fewer components inside \
                 each other",
            );
        }
        may
    }

    /// Whether more was to be copied than may be.
    pub(crate) fn is_overfull(&self) -> bool {
        self.unfolded > limits::UNFOLDED_BYTES
    }

    /// Returns how many faults were noted so far.
    pub(crate) fn count(&self) -> usize {
        self.faults.noted()
    }

    /// Returns "file:line" of a place.
    pub(crate) fn place(&self, at: At) -> String {
        self.files
            .get(at.file as usize)
            .map_or_else(String::new, |file| format!("{}:{}", shown(file), at.line))
    }

    /// Returns "file:line:column" of a place.
    fn exact_place(&self, at: At) -> String {
        match (self.place(at), at.column) {
            (place, _) if place.is_empty() => "the kitchen as a whole".to_owned(),
            (place, 0) => place,
            (place, column) => format!("{place}:{column}"),
        }
    }

    fn make(&self, at: At, what: String, help: String, more: More) -> Fault {
        Fault {
            file: self
                .files
                .get(at.file as usize)
                .cloned()
                .unwrap_or_default(),
            line: at.line as usize,
            column: at.column as usize,
            span: (at.start as usize, at.len as usize),
            what: unicode::one_line(what),
            help: unicode::one_line(help),
            more,
        }
    }

    /// Returns what goes on from here and has nothing noted yet.
    fn onward(&self) -> Self {
        Self {
            files: self.files.clone(),
            faults: self.faults.onward(),
            warnings: self.warnings.onward(),
            times: self.times.onward(),
            partial: self.partial,
            answers: None,
            values: self.values,
            unfolded: self.unfolded,
            put_in: Vec::new(),
            priced: Vec::new(),
            currency: None,
        }
    }

    /// Returns the keeping times put in, in file and line order, each with its place.
    fn all_put_in(&mut self) -> Vec<PutIn> {
        let mut all = std::mem::take(&mut self.put_in);
        all.sort_by_key(|(at, _)| *at);
        let placed = all.into_iter().map(|(at, put_in)| PutIn {
            file: self
                .files
                .get(at.file as usize)
                .cloned()
                .unwrap_or_default(),
            line: at.line as usize,
            ..put_in
        });
        placed.collect()
    }

    fn fault_told(&self, told: Told) -> Fault {
        let places = told.places.into_iter();
        let more = More {
            count: told.more,
            places: places.map(|at| self.exact_place(at)).collect(),
        };
        self.make(told.at, told.what, told.help.unwrap_or_default(), more)
    }
}

/// What to write instead, for the faults and warnings that are told.
#[derive(Debug, Default)]
struct Answers {
    /// Those it is not known of yet.
    asked: HashSet<(Tells, u64)>,
    known: HashMap<(Tells, u64), String>,
    /// What may still be looked for.
    allowance: Allowance,
}

impl Answers {
    fn answer(&mut self, tells: Tells, at: At, what: &str, help: Help) {
        if let Help::Later(words) = help {
            let which = (tells, mark(at, what));
            if self.asked.remove(&which) {
                let words = words(&mut self.allowance);
                self.known.insert(which, words);
            }
        }
    }
}

/// What is told of a reading.
pub(crate) struct Findings {
    /// Faults, warnings and keeping times that are longer than the published ones, each in file
    /// and line order, none twice, at most [`MOST_TOLD`] together.
    pub(crate) faults: Vec<Fault>,
    pub(crate) warnings: Vec<Fault>,
    pub(crate) times: Vec<Fault>,
    /// How many there are.
    pub(crate) tally: Tally,
    /// Keeping times that the files leave out, or mark as assumed, in file and line order.
    pub(crate) put_in: Vec<PutIn>,
    /// The price of each pack option, by food.
    pub(crate) priced: Vec<Priced>,
    /// The currency they are in.
    pub(crate) currency: Option<Currency>,
}

/// Reads on with the faults noted so far, and returns what is told of all. What to write instead
/// may mean comparing thousands of names. That is not done for thousands of faults, and which are
/// told is known at the end only: those that ask for it are answered on a second reading, which
/// notes the same.
pub(crate) fn read_through<T>(
    mut sink: Sink,
    read: impl Fn(&mut Sink) -> Option<T>,
) -> (Option<T>, Findings) {
    let mut again = sink.onward();
    let found = read(&mut sink);
    let faults = std::mem::take(&mut sink.faults);
    let warnings = std::mem::take(&mut sink.warnings);
    let times = std::mem::take(&mut sink.times);
    let tally = Tally {
        faults: faults.count(),
        warnings: warnings.count(),
        times: times.count(),
    };
    let faults = faults.told(MOST_TOLD);
    let warnings = warnings.told(MOST_TOLD - faults.len());
    let times = times.told(MOST_TOLD - faults.len() - warnings.len());
    let found = found.filter(|_| faults.is_empty());
    let mut told = [
        (Tells::Fault, faults),
        (Tells::Warning, warnings),
        (Tells::Time, times),
    ];
    let which = |tells: Tells, told: &Told| (tells, mark(told.at, &told.what));
    let mut asked = HashSet::new();
    for (tells, told) in &told {
        let open = told.iter().filter(|told| told.help.is_none());
        asked.extend(open.map(|told| which(*tells, told)));
    }
    if !asked.is_empty() {
        again.answers = Some(Answers {
            asked,
            ..Answers::default()
        });
        read(&mut again);
        let mut known = again.answers.unwrap_or_default().known;
        for (tells, told) in &mut told {
            for told in told.iter_mut().filter(|told| told.help.is_none()) {
                told.help = known.remove(&which(*tells, told));
            }
        }
    }
    let [faults, warnings, times] = told.map(|(_, told)| {
        let told = told.into_iter();
        told.map(|told| sink.fault_told(told)).collect()
    });
    let findings = Findings {
        faults,
        warnings,
        times,
        tally,
        put_in: sink.all_put_in(),
        priced: std::mem::take(&mut sink.priced),
        currency: sink.currency.take(),
    };
    (found, findings)
}

#[cfg(test)]
mod tests {
    use super::super::gathered::later;
    use super::*;
    use std::cell::Cell;

    #[test]
    fn what_to_write_is_worked_out_for_what_is_told_whatever_the_order() {
        let asked = Cell::new(0);
        let line = |line: u32| At {
            line,
            start: line,
            ..At::file(0)
        };
        let read = |sink: &mut Sink| -> Option<()> {
            let before = sink.count();
            // Each comes before all that were noted until then.
            for at in (1..=10_000).rev() {
                let help = later(|_| {
                    asked.set(asked.get() + 1);
                    format!("look at {at}")
                });
                sink.fault(line(at), format!("there is no food `{at}`"), help);
            }
            sink.warn(line(7), "odd", later(|_| "leave it out".to_owned()));
            assert_eq!(sink.count() - before, 10_000);
            Some(())
        };
        let mut sink = Sink::new(vec!["k.yaml".to_owned()]);
        sink.fault(line(0), "this is noted before", "mend it");
        let (found, findings) = read_through(sink, read);
        assert!(found.is_none());
        assert_eq!(asked.get(), 5);
        let helps: Vec<&str> = findings.faults.iter().map(|f| f.help.as_str()).collect();
        let wanted = [
            "mend it",
            "look at 1",
            "look at 2",
            "look at 3",
            "look at 4",
            "look at 5",
        ];
        assert_eq!(helps, wanted);
        assert_eq!(findings.warnings[0].help, "leave it out");
        assert_eq!(findings.tally.faults, 10_001);
    }

    #[test]
    fn a_million_values_are_kept_and_only_one_more_is_too_many() {
        let mut sink = Sink::new(Vec::new());
        assert!((0..1_000_000).all(|_| sink.may_keep()));
        assert!(!sink.is_full());
        assert!(!sink.may_keep() && sink.is_full());
    }

    #[test]
    fn what_holds_no_fault_is_read_once() {
        let times = Cell::new(0);
        let (found, findings) = read_through(Sink::new(Vec::new()), |_| {
            times.set(times.get() + 1);
            Some(1)
        });
        assert_eq!((found, times.get(), findings.tally.faults), (Some(1), 1, 0));
    }
}
