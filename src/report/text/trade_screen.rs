//! Trade-offs on one screen: the findings that matter, and every other week once at the end.

use super::super::grid::{self, Lean};
use super::super::look::{Look, Screen, Tone};
use super::super::words::{self, cash, cash_nano};
use super::super::{sentences, trade_sentences as say};
use crate::larder::{CapBy, Currency, NANO};
use crate::tradeoffs::{
    CapFacts, Case, ChoiceFinding, Digest, Finding, Findings, Proof, RuleFinding, Tradeoffs, Which,
    digest,
};

/// Returns the screen.
pub(in super::super) fn trade_screen(told: &Tradeoffs, look: Look) -> Screen {
    let mut screen = Screen::default();
    let Some(week) = told.week.as_ref().filter(|_| told.proof == Proof::Best) else {
        screen.add(Tone::Mind, &super::tradeoffs::tradeoffs(told));
        return screen;
    };
    let digest = digest(told);
    let out = Page {
        digest: &digest,
        told,
        currency: &told.currency,
        look,
    };
    let head = format!(
        "{}. {}",
        told.kitchen,
        say::chosen(&week.sums, &told.currency)
    );
    screen.add(Tone::Sure, &out.wide(vec![head]));
    let days: Vec<String> = week
        .lunches
        .iter()
        .map(|lunch| words::of(&lunch.when, &lunch.recipe))
        .collect();
    screen.add(
        Tone::Plain,
        &out.wide(vec![days.join("; "), say::SIGNS.to_owned()]),
    );
    out.rules(&mut screen);
    let (foods, out_of, kept) = (&digest.foods, &digest.left_out, &digest.kept);
    out.findings(&mut screen, "Without a food", foods, "foods", None);
    let never = (digest.never > 0).then(|| say::fit_no_week(digest.never));
    out.findings(&mut screen, "With another recipe", out_of, "recipes", never);
    out.findings(&mut screen, "Without a recipe", kept, "recipes", None);
    out.findings(&mut screen, "Without a shop", &digest.shops, "shops", None);
    out.frontier(&mut screen);
    out.caps(&mut screen);
    out.eaters(&mut screen);
    out.findings(&mut screen, "Other weeks", &digest.others, "others", None);
    out.prices(&mut screen);
    out.amounts(&mut screen);
    out.fruits(&mut screen);
    out.legend(&mut screen);
    screen.gap();
    screen.add(
        Tone::Plain,
        &out.wide(vec![format!("{} {}", say::effort(told), say::WHOLE)]),
    );
    screen
}

struct Page<'a> {
    digest: &'a Digest,
    told: &'a Tradeoffs,
    currency: &'a Currency,
    look: Look,
}

/// The letter of a week: A to Z, then AA.
fn letter(at: usize) -> String {
    let name = |at: usize| char::from(b'A' + (at % 26) as u8);
    match at / 26 {
        0 => name(at).to_string(),
        more => format!("{}{}", name(more - 1), name(at)),
    }
}

/// Letters that names of one row take at most together, the first whatever it takes.
const MOST_LETTERS: usize = 40;

/// The first names, and how many more.
fn named(names: &[String]) -> String {
    let mut letters = 0;
    let fits = names.iter().take_while(|name| {
        letters += name.chars().count() + 2;
        letters <= MOST_LETTERS
    });
    let shown = fits.count().max(1).min(names.len());
    let told = names[..shown].join(", ");
    match names.len() - shown {
        0 => told,
        more => format!("{told} and {more} more"),
    }
}

fn which(which: Which) -> String {
    match which {
        Which::None => String::new(),
        Which::Same => "same".to_owned(),
        Which::Other(at) => letter(at),
    }
}

impl Page<'_> {
    fn wide(&self, sentences: Vec<String>) -> String {
        let rows = sentences.into_iter().map(|one| vec![one]).collect();
        grid::bare_rows(&[Lean::Left], rows, self.look.width())
    }

    /// What is left out of a section, where it stands whole.
    fn more(&self, screen: &mut Screen, more: usize, section: &str, note: Option<String>) {
        let more = (more > 0).then(|| format!("{more} more: --only {section}."));
        let told: Vec<String> = more.into_iter().chain(note).collect();
        if !told.is_empty() {
            screen.add(Tone::Plain, &self.wide(vec![told.join(" ")]));
        }
    }

    fn figures(&self, case: &Case) -> [String; 4] {
        let more = case.more.filter(|_| case.proof == Proof::Best);
        let figure = |text: Option<String>| text.unwrap_or_default();
        [
            say::difference(case, self.currency),
            figure(more.map(|more| say::signed(more.packs_minor * NANO, self.currency))),
            figure(more.map(|more| say::counted(more.foods))),
            figure(more.map(|more| say::signed(more.spoiled_nano, self.currency))),
        ]
    }

    fn rules(&self, screen: &mut Screen) {
        let all = &self.digest.rules;
        if all.rows.is_empty() && self.digest.free == 0 {
            return;
        }
        screen.gap();
        let row = |finding: &RuleFinding| {
            let told = |case: &Case, at: Which| {
                let [total, pay, _, _] = self.figures(case);
                vec![total, pay, which(at)]
            };
            let mut cells = vec![sentences::clash(&finding.rule, self.currency)];
            cells.extend(
                finding
                    .dropped
                    .as_ref()
                    .map_or_else(|| vec![String::new(); 3], |(case, at)| told(case, *at)),
            );
            cells.extend(
                finding
                    .looser
                    .as_ref()
                    .map_or_else(|| vec![String::new(); 3], |(_, case, at)| told(case, *at)),
            );
            cells
        };
        let rows: Vec<Vec<String>> = all.rows.iter().map(row).collect();
        let table = grid::bare(
            &[
                ("A rule", Lean::Left),
                ("dropped", Lean::Right),
                ("Pay", Lean::Right),
                ("Week", Lean::Left),
                ("loosened", Lean::Right),
                ("Pay", Lean::Right),
                ("Week", Lean::Left),
            ],
            rows,
            self.look.width(),
        );
        screen.table(&table);
        let free = (self.digest.free > 0).then(|| say::cost_nothing(self.digest.free));
        self.more(screen, all.more, "rules", free);
    }

    fn findings(
        &self,
        screen: &mut Screen,
        title: &str,
        all: &Findings<Finding>,
        section: &str,
        note: Option<String>,
    ) {
        if all.rows.is_empty() && note.is_none() {
            return;
        }
        screen.gap();
        let row = |finding: &Finding| {
            let mut cells = vec![named(&finding.names)];
            cells.extend(self.figures(&finding.case));
            cells.push(which(finding.which));
            cells
        };
        let rows: Vec<Vec<String>> = all.rows.iter().map(row).collect();
        let table = grid::bare(
            &[
                (title, Lean::Left),
                ("Total", Lean::Right),
                ("Pay", Lean::Right),
                ("Foods", Lean::Right),
                ("Out", Lean::Right),
                ("Week", Lean::Left),
            ],
            rows,
            self.look.width(),
        );
        screen.table(&table);
        self.more(screen, all.more, section, note);
    }

    fn frontier(&self, screen: &mut Screen) {
        let all = &self.digest.choices;
        if all.rows.is_empty() {
            return;
        }
        screen.gap();
        let row = |choice: &ChoiceFinding| {
            let names = [
                (choice.fewest, "fewest foods"),
                (choice.cheapest, "cheapest"),
                (choice.least_waste, "least thrown out"),
                (choice.point.chosen, "the chosen week"),
            ];
            let names = names.into_iter().filter(|(is, _)| *is);
            let names: Vec<&str> = names.map(|(_, name)| name).collect();
            vec![
                choice.point.foods.to_string(),
                cash(choice.point.bill_minor, self.currency),
                cash_nano(choice.point.spoiled_nano, self.currency),
                names.join(", "),
            ]
        };
        let rows: Vec<Vec<String>> = all.rows.iter().map(row).collect();
        let table = grid::bare(
            &[
                ("Foods", Lean::Right),
                ("Pay", Lean::Right),
                ("Thrown out", Lean::Right),
                ("Cheapest of so many foods; least thrown out", Lean::Left),
            ],
            rows,
            self.look.width(),
        );
        screen.table(&table);
        let complete = self.told.frontier.as_ref().is_some_and(|one| one.complete);
        let open = (!complete).then(|| say::NOT_ALL.to_owned());
        self.more(screen, all.more, "frontier", open);
    }

    fn amounts(&self, screen: &mut Screen) {
        let misses = self.told.misses.iter();
        let told: Vec<String> = misses
            .flat_map(|all| say::nearly(all, self.currency))
            .collect();
        if !told.is_empty() {
            screen.gap();
            screen.add(
                Tone::Plain,
                &self.wide(vec![format!("Nearly: {}", told.join(" "))]),
            );
        }
    }

    /// Of caps that have a week: bill and total against the chosen week.
    fn caps(&self, screen: &mut Screen) {
        let best = |facts: &&CapFacts| facts.case.proof == Proof::Best;
        let all: Vec<_> = self.digest.caps.iter().filter(best).collect();
        if all.len() < 2 {
            return;
        }
        screen.gap();
        let most: Vec<String> = all.iter().map(|one| one.most.to_string()).collect();
        let what = match all[0].by {
            CapBy::Foods => "At most so many foods",
            CapBy::Families => "At most so many families",
        };
        let mut heads = vec![(what, Lean::Left)];
        heads.extend(most.iter().map(|n| (n.as_str(), Lean::Right)));
        let line = |label: &str, figure: &dyn Fn(&CapFacts) -> Option<i64>| {
            let figures = all.iter().map(|one| figure(one).unwrap_or(0));
            let told = figures.map(|nano| say::signed(nano, self.currency));
            [label.to_owned()].into_iter().chain(told).collect()
        };
        let rows = vec![
            line("Pay", &|one| Some(one.case.more?.packs_minor * NANO)),
            line("Total", &|one| Some(one.case.more?.objective_nano)),
        ];
        screen.table(&grid::bare(&heads, rows, self.look.width()));
    }

    fn eaters(&self, screen: &mut Screen) {
        let best = |case: &Case| case.proof == Proof::Best;
        let all: Vec<_> = self
            .digest
            .eaters
            .iter()
            .filter(|one| best(&one.case))
            .collect();
        if all.is_empty() {
            return;
        }
        screen.gap();
        let eaters: Vec<String> = all.iter().map(|one| one.eaters.to_string()).collect();
        let mut heads = vec![("Eaters", Lean::Left)];
        heads.extend(eaters.iter().map(|n| (n.as_str(), Lean::Right)));
        let line = |label: &str, figure: &dyn Fn(usize) -> Option<String>| {
            let mut cells = vec![label.to_owned()];
            cells.extend((0..all.len()).map(|at| figure(at).unwrap_or_default()));
            cells
        };
        let sums = |at: usize| all[at].case.week.as_ref().map(|week| week.sums);
        let rows = vec![
            line("Pay", &|at| {
                Some(words::cash(sums(at)?.packs_minor, self.currency))
            }),
            line("a portion", &|at| {
                Some(words::cash_nano(
                    all[at].bill_per_portion_nano?,
                    self.currency,
                ))
            }),
            line("Foods", &|at| Some(sums(at)?.foods.to_string())),
            line("Thrown out", &|at| {
                Some(words::cash_nano(sums(at)?.spoiled_nano, self.currency))
            }),
        ];
        screen.table(&grid::bare(&heads, rows, self.look.width()));
    }

    fn prices(&self, screen: &mut Screen) {
        let all = &self.digest.prices;
        if all.rows.is_empty() {
            return;
        }
        screen.gap();
        let rows = all.rows.iter().map(|range| {
            vec![
                range.food.clone(),
                say::pack_at(range),
                words::cash(range.price_minor, self.currency),
                say::end(&range.low, self.currency),
                say::end(&range.high, self.currency),
            ]
        });
        let table = grid::bare(
            &[
                ("Price with least room", Lean::Left),
                ("Pack", Lean::Left),
                ("Now", Lean::Right),
                ("Best from", Lean::Right),
                ("to", Lean::Right),
            ],
            rows.collect(),
            self.look.width(),
        );
        screen.table(&table);
        self.more(screen, all.more, "prices", None);
    }

    fn fruits(&self, screen: &mut Screen) {
        let all = &self.digest.fruits;
        if all.rows.is_empty() {
            return;
        }
        screen.gap();
        let rows = all.rows.iter().map(|fruit| {
            let facts = &fruit.facts;
            let having = if facts.in_week {
                "in the week".to_owned()
            } else {
                say::difference(&facts.case, self.currency)
            };
            let does = |shown: bool, holds: bool| match (shown, holds) {
                (false, _) => String::new(),
                (true, true) => "still does".to_owned(),
                (true, false) => "fails".to_owned(),
            };
            vec![
                facts.food.clone(),
                having,
                which(fruit.which).replace("same", ""),
                does(facts.early.is_some(), facts.holds_early),
                does(facts.late.is_some(), facts.holds_late),
            ]
        });
        let table = grid::bare(
            &[
                ("Ripening", Lean::Left),
                ("Total", Lean::Right),
                ("Week", Lean::Left),
                ("A day early", Lean::Left),
                ("A day late", Lean::Left),
            ],
            rows.collect(),
            self.look.width(),
        );
        screen.table(&table);
        self.more(screen, all.more, "ripening", None);
    }

    fn legend(&self, screen: &mut Screen) {
        if self.digest.weeks.is_empty() {
            return;
        }
        screen.gap();
        let rows = self.digest.weeks.iter().enumerate().map(|(at, switch)| {
            let days: Vec<_> = switch.leave.iter().map(|(when, _)| when).collect();
            let days = if days.is_empty() {
                "-".to_owned()
            } else if days.len() == self.told.days.len() {
                "all".to_owned()
            } else {
                words::days(days)
            };
            vec![
                letter(at),
                days.replace(' ', &words::JOINT.to_string()),
                say::come(switch),
            ]
        });
        let table = grid::bare(
            &[
                ("Week", Lean::Left),
                ("Out", Lean::Left),
                ("In", Lean::Left),
            ],
            rows.collect(),
            self.look.width(),
        );
        screen.table(&table);
    }
}
