//! `scant` finds the week of packed lunches that costs least in whole packs, and proves it.
//!
//! The pipeline, told once: kitchen files are read by [`kitchen`] (with the figures of
//! [`table`]) into a validated [`larder`]; [`engine`] searches it for the best week, a
//! [`plan`]; [`rules`] judges that plan from larder and plan alone; [`explain`] works out
//! what there is to say about it, [`prep`] what is done when, [`tradeoffs`] what each wish costs, and [`report`] says it as text or JSON. [`cli`] is the
//! only part that prints or reads the clock. [`program`] writes the same week as an integer
//! program, so that other solvers can be asked.
//!
//! # The problem in five lines
//!
//! Choose a recipe `x` for every day, an alternative `a` for every line, batches `b` and
//! packs `n` with the days their units are opened `o`, to make least
//! `price·n + staples + weight·spoiled + food price·foods + minute price·minutes + trips`
//! such that each day's use of a food is drawn from units opened inside their ready window
//! and not past their good day; that batches are eaten within their keeping time; and that
//! the cap, the budget, minutes, nutrients, variety, bans and pins hold.
//!
//! All of it, symbol by symbol, is in `models/`.
//!
//! # Example
//!
//! ```
//! use scant::{engine, explain, kitchen, report};
//!
//! let text = r#"
//! kitchen: two lunches
//! currency: USD
//! week: { lunches: 2, carry_day: 5 }
//! foods:
//!   - food: rice
//!     table: "20036"
//!     packs: [{ pack: 500 g bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]
//!   - food: chickpeas
//!     table: "16359"
//!     packs: [{ pack: 250 g tin, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }]
//! recipes:
//!   - recipe: rice and chickpeas
//!     form: bowl
//!     lines: [{ food: rice, amount: 100 g }, { food: chickpeas, amount: 125 g }]
//! rules: { repeats: 2 }
//! "#;
//! let read = kitchen::read_texts(vec![("two.yaml".to_owned(), text.into())]);
//! let larder = read.larder.expect("the kitchen has no fault");
//! let limits = engine::Limits { threads: 1, stop: &|| false, progress: None };
//! let (outcome, effort) = engine::solve(&larder, &limits)?;
//! let told = explain::explain(&larder, &outcome, effort);
//!
//! // One bag and one tin, 3.20: the tin is eaten up, 300 g of rice are kept.
//! let week = told.week.as_ref().expect("there is a week");
//! assert_eq!(week.tally.packs_minor, 320);
//! assert_eq!(week.leftover_totals.kept_mg, 300_000);
//! assert!(report::text(&told).contains("Proved best"));
//! # Ok::<(), engine::EngineFault>(())
//! ```

pub mod cli;
pub mod engine;
pub mod explain;
pub mod finish;
pub mod import;
pub mod kitchen;
pub mod larder;
pub mod live;
pub mod plan;
pub mod prep;
pub mod program;
pub mod report;
pub mod rules;
pub mod survey;
pub mod table;
pub mod tradeoffs;
mod unicode;
