//! Reads price lists: `prices*.csv` beside the kitchen files (RFC 4180), a row a price of a pack in a
//! shop on a day. The newest price of a pack counts, whatever shop it is of, of several on that day
//! the lowest; older ones stay in the list as a record and are only held to its form.

use super::currency::money;
use super::drafts::FoodDraft;
use super::fault::Sink;
use super::gathered::later;
use super::limits;
use super::place::At;
use super::shops;
use super::spelling::{Allowance, fold, near};
use super::wording::{either, shown};
use crate::larder::{Currency, ShopId};
use crate::unicode;
use chrono::NaiveDate;
use csv::{Position, ReaderBuilder, StringRecord, Trim};
use std::collections::HashMap;

/// Most rows of all lists.
const ROWS: usize = 100_000;

/// The columns, in the order a list is written in.
pub(crate) const COLUMNS: [&str; 5] = ["date", "shop", "food", "pack", "price"];

/// Whether a file of this name is a price list.
pub(crate) fn is_list(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    let csv = std::path::Path::new(&name)
        .extension()
        .is_some_and(|end| end == "csv");
    csv && name.starts_with("prices")
}

/// A price that counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Listed {
    pub(crate) minor: i64,
    pub(crate) date: NaiveDate,
    pub(crate) shop: String,
    pub(crate) at: At,
}

/// What the lists say of each pack of each food.
#[derive(Debug, Default)]
pub(crate) struct Prices(HashMap<(String, String, Option<ShopId>), Row>);

#[derive(Debug)]
struct Row {
    newest: Listed,
    food: String,
    pack: String,
}

impl Prices {
    /// Returns the price of a pack that counts, at one of the kitchen's shops if it names any.
    pub(crate) fn of(&self, food: &str, pack: &str, shop: Option<ShopId>) -> Option<&Listed> {
        if self.0.is_empty() {
            return None;
        }
        let key = (fold(food), fold(pack), shop);
        self.0.get(&key).map(|row| &row.newest)
    }

    /// Warns of prices of what is not bought in this kitchen.
    pub(crate) fn unused(&self, foods: &[FoodDraft], sink: &mut Sink) {
        if self.0.is_empty() || sink.partial {
            return;
        }
        let mut known: HashMap<String, Vec<&str>> = HashMap::new();
        for draft in foods {
            let packs = draft.packs.iter().map(|pack| pack.label.as_str());
            known.insert(fold(&draft.food.name), packs.collect());
        }
        let mut rows: Vec<&Row> = self.0.values().collect();
        rows.sort_by_key(|row| row.newest.at);
        for row in rows {
            let (food, pack) = (shown(&row.food), shown(&row.pack));
            match known.get(&fold(&row.food)) {
                None => {
                    let names = foods.iter().map(|draft| draft.food.name.as_str());
                    let help = later(|allowance: &mut Allowance| {
                        match near(names, &row.food, allowance).as_slice() {
                            [] => "add the food, or correct its name".to_owned(),
                            near => format!("did you mean {}?", either(near)),
                        }
                    });
                    let what = format!("a price of `{food}`, which this kitchen does not buy");
                    sink.warn(row.newest.at, what, help);
                }
                Some(packs) if packs.iter().all(|known| fold(known) != fold(&row.pack)) => {
                    let help = match packs.as_slice() {
                        [] => "correct the pack's name".to_owned(),
                        packs => format!("write the pack as the food has it: {}", either(packs)),
                    };
                    let what = format!("a price of `{pack}`, which is no pack of `{food}`");
                    sink.warn(row.newest.at, what, help);
                }
                Some(_) => {}
            }
        }
    }
}

/// Which days' prices count.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Dates {
    /// The last day a price may be of, if it is known.
    pub(crate) today: Option<NaiveDate>,
    /// The last day whose prices count; of a pack that has none until then the first one after it.
    pub(crate) until: Option<NaiveDate>,
}

impl Dates {
    /// What sorts prices of a pack: the one that counts first.
    fn rank(self, date: NaiveDate) -> (bool, i64) {
        let day = date.signed_duration_since(NaiveDate::MIN).num_days();
        match self.until {
            Some(until) if date > until => (true, day),
            _ => (false, -day),
        }
    }
}

/// Reads price lists, each with its position among the sources. `shops`: of a kitchen that names some, each has prices of its own.
pub(crate) fn read(
    lists: &[(usize, String)],
    currency: &Currency,
    shops: &[String],
    dates: Dates,
    sink: &mut Sink,
) -> Prices {
    let mut prices = Prices::default();
    let mut seen: HashMap<(NaiveDate, String, String, String), (i64, At)> = HashMap::new();
    let mut left = ROWS;
    for (file, text) in lists {
        let reading = List {
            text,
            file: *file,
            currency,
            shops,
            dates,
        };
        reading.read(&mut left, &mut seen, &mut prices, sink);
    }
    prices
}

struct List<'a> {
    text: &'a str,
    file: usize,
    currency: &'a Currency,
    shops: &'a [String],
    dates: Dates,
}

impl List<'_> {
    fn at(&self, position: Option<&Position>, from: usize) -> At {
        let Some(position) = position else {
            return At::file(self.file);
        };
        // What stands before a record may be empty lines.
        let start = from + position.byte() as usize;
        let rest = self.text.get(start..).unwrap_or_default();
        let skipped = rest.len() - rest.trim_start_matches(['\r', '\n']).len();
        let rest = rest.trim_start_matches(['\r', '\n']);
        let line = self.text.get(..start + skipped).unwrap_or_default();
        At {
            file: self.file as u32,
            start: (start + skipped) as u32,
            len: rest.find(['\r', '\n']).unwrap_or(rest.len()) as u32,
            line: position.line().max(1) as u32 + line[start..].matches('\n').count() as u32,
            column: 1,
        }
    }

    fn read(
        &self,
        left: &mut usize,
        seen: &mut HashMap<(NaiveDate, String, String, String), (i64, At)>,
        prices: &mut Prices,
        sink: &mut Sink,
    ) {
        // A byte order mark is no part of the first heading.
        let from = self.text.len() - self.text.trim_start_matches('\u{feff}').len();
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(Trim::All)
            .from_reader(&self.text.as_bytes()[from..]);
        let mut record = StringRecord::new();
        let mut heading: Option<(Vec<Option<usize>>, usize)> = None;
        loop {
            match reader.read_record(&mut record) {
                Ok(true) => {}
                Ok(false) => break,
                Err(error) => {
                    sink.fault(
                        At::file(self.file),
                        format!("it is no list of rows: {error}"),
                        "save it as CSV in UTF-8, texts that hold a comma or a quote in quotes",
                    );
                    return;
                }
            }
            let at = self.at(record.position(), from);
            let Some((columns, count)) = &heading else {
                let Some(columns) = Self::heading(&record, at, sink) else {
                    return;
                };
                heading = Some((columns, record.len()));
                continue;
            };
            if record.iter().all(str::is_empty) {
                continue;
            }
            if *left == 0 {
                sink.fault(
                    at,
                    format!("the price lists have more than {ROWS} rows"),
                    "take old prices out, or put them into a file of another name",
                );
                return;
            }
            *left -= 1;
            if record.len() != *count {
                sink.fault(
                    at,
                    format!(
                        "this row has {} fields, and the heading {count}",
                        record.len()
                    ),
                    "write decimals with a point (1.19), and a text that holds a comma in quotes",
                );
                continue;
            }
            self.row(&record, columns, at, seen, prices, sink);
        }
        if heading.is_none() {
            sink.fault(
                At::file(self.file),
                "the price list has no heading",
                format!(
                    "write one line of column names first: {}",
                    COLUMNS.join(",")
                ),
            );
        }
    }

    /// Returns where each column of [`COLUMNS`] stands; `None` after a fault.
    fn heading(record: &StringRecord, at: At, sink: &mut Sink) -> Option<Vec<Option<usize>>> {
        let before = sink.count();
        if record.len() == 1 && record.get(0).is_some_and(|all| all.contains(';')) {
            sink.fault(
                at,
                "its columns are parted by semicolons",
                format!(
                    "save it with commas, decimals with a point: {}",
                    COLUMNS.join(",")
                ),
            );
            return None;
        }
        let names: Vec<String> = record.iter().map(fold).collect();
        for (at_column, name) in names.iter().enumerate() {
            if !COLUMNS.contains(&name.as_str()) {
                sink.fault(
                    at,
                    format!("a price list has no column `{}`", shown(name)),
                    format!("its columns are {}", either(&COLUMNS)),
                );
            } else if names[..at_column].contains(name) {
                sink.fault(
                    at,
                    format!("the column `{name}` stands twice"),
                    "keep one of the two",
                );
            }
        }
        let places = COLUMNS.map(|column| names.iter().position(|name| name == column));
        for (column, place) in COLUMNS.iter().zip(places) {
            if place.is_none() && *column != "shop" {
                sink.fault(
                    at,
                    format!("the price list lacks the column `{column}`"),
                    format!("write all of them: {}", COLUMNS.join(",")),
                );
            }
        }
        (sink.count() == before).then(|| places.to_vec())
    }

    fn row(
        &self,
        record: &StringRecord,
        columns: &[Option<usize>],
        at: At,
        seen: &mut HashMap<(NaiveDate, String, String, String), (i64, At)>,
        prices: &mut Prices,
        sink: &mut Sink,
    ) {
        let field = |column: usize| {
            let text = columns[column].and_then(|place| record.get(place));
            unmarked(text.unwrap_or_default())
        };
        let [date, shop, food, pack, price] = [0, 1, 2, 3, 4].map(field);
        // A row of a list to fill in.
        if price.is_empty() {
            return;
        }
        let before = sink.count();
        for (text, column) in [(shop, "shop"), (food, "food"), (pack, "pack")] {
            if let Some(flaw) = unicode::flaw(text) {
                sink.fault(at, format!("`{column}` {flaw}"), flaw.help());
            } else if text.is_empty() && column != "shop" {
                sink.fault(
                    at,
                    format!("`{column}` is empty"),
                    "write its name as the kitchen has it",
                );
            } else if text.chars().count() > limits::NAME {
                let what = format!("`{column}` is longer than {} characters", limits::NAME);
                sink.fault(at, what, "shorten it");
            }
        }
        let Ok(own) = self.shop(shop, at, sink) else {
            return;
        };
        let date = self.date(date, at, sink);
        let minor = sink.take(at, money(price, self.currency, false));
        let (Some(date), Some(minor), true) = (date, minor, sink.count() == before) else {
            return;
        };
        let key = (date, fold(shop), fold(food), fold(pack));
        if let Some(&(other, first)) = seen.get(&key) {
            let place = sink.place(first);
            if other == minor {
                sink.warn(
                    at,
                    format!("the same price already stands at {place}"),
                    "take one of the two out",
                );
            } else {
                sink.fault(
                    at,
                    format!("another price of that pack, shop and day stands at {place}"),
                    "keep the one that was paid",
                );
            }
            return;
        }
        seen.insert(key, (minor, at));
        let new = Listed {
            minor,
            date,
            shop: shop.to_owned(),
            at,
        };
        // Newer counts, then lower; then the shop's name decides, so that file order does not.
        let rank = |listed: &Listed| {
            (
                self.dates.rank(listed.date),
                listed.minor,
                fold(&listed.shop),
            )
        };
        let known = prices
            .0
            .entry((fold(food), fold(pack), own))
            .or_insert_with(|| Row {
                newest: new.clone(),
                food: food.to_owned(),
                pack: pack.to_owned(),
            });
        if rank(&new) < rank(&known.newest) {
            known.newest = new;
        }
    }

    /// Returns which of the kitchen's shops a row is of: the usual one if it does not say, none in a
    /// kitchen that names none.
    ///
    /// # Errors
    /// It is a shop that the kitchen does not go to; that was told.
    fn shop(&self, name: &str, at: At, sink: &mut Sink) -> Result<Option<ShopId>, ()> {
        if self.shops.is_empty() {
            return Ok(None);
        }
        if name.is_empty() {
            return Ok(Some(ShopId::new(0)));
        }
        let shop = shops::find(self.shops, name);
        if shop.is_none() {
            let unknown = shops::unknown(self.shops, name);
            sink.warn(at, unknown.what, unknown.help);
        }
        shop.map(Some).ok_or(())
    }

    fn date(&self, text: &str, at: At, sink: &mut Sink) -> Option<NaiveDate> {
        let date = NaiveDate::parse_from_str(text, "%Y-%m-%d")
            .ok()
            .filter(|_| text.len() == 10);
        let Some(date) = date else {
            sink.fault(
                at,
                format!("`{}` is no date", shown(text)),
                "write year, month and day, like 2031-03-03",
            );
            return None;
        };
        if let Some(today) = self.dates.today.filter(|today| date > *today) {
            sink.fault(
                at,
                format!("the price is of {date}, a day that is still to come"),
                format!("write the day it was seen on, {today} at the latest"),
            );
            return None;
        }
        Some(date)
    }
}

/// What a list of ours puts an apostrophe before, so that no spreadsheet runs it.
const RUN: [char; 4] = ['=', '+', '-', '@'];

fn unmarked(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if rest.trim_start_matches('\'').starts_with(RUN) => rest,
        _ => text,
    }
}
