//! Turns kitchen files into a validated [`Larder`](crate::larder::Larder), or into every fault they have.
//!
//! `files` finds and loads; `node` parses YAML into a tree with places; `gather` collects entries and
//! names; one module for each kind of entry reads it into a draft (`drafts`) and notes faults, which
//! `gathered` counts by kind; `assemble` puts the larder together. The files are described in
//! `models/kitchen-files.md`.
//!
//! Nothing here prints, and no input makes it panic.

mod aims;
mod assemble;
mod batches;
mod components;
mod credits;
mod currency;
mod drafts;
mod equipment;
pub mod fault;
mod fields;
mod files;
mod flaws;
mod foods;
mod former;
mod gather;
mod gathered;
mod hints;
pub mod insert;
pub mod jotted;
mod json;
mod keeping;
mod limits;
mod lines;
mod minutes;
pub mod names;
mod node;
mod number;
mod packs;
mod place;
mod prices;
mod quantity;
mod recipes;
pub mod render;
mod rules;
mod schema;
mod shops;
pub mod sketch;
mod spelling;
mod standards;
mod steps;
mod stock;
mod week;
mod wording;

pub use assemble::Read;
pub use fault::{Fault, Priced, PutIn, Source, Tally};
pub use files::{open_plain, read_plain};
pub use flaws::flaw_told;
pub use former::{MOST_FORMER_BYTES, ReadFormer, Rest, read_former};
pub use schema::schema;

use prices::Dates;
use std::path::Path;

/// Reads the kitchen in a folder: its `*.yaml` and `*.yml` files, in name order.
///
/// A folder that is missing, unreadable or empty is a fault like any other.
pub fn read_dir(dir: &Path) -> Read {
    read_dir_on(dir, None)
}

/// Reads the kitchen in a folder, where no price may be of a later day than this.
pub fn read_dir_on(dir: &Path, today: Option<chrono::NaiveDate>) -> Read {
    dated(dir, Dates { today, until: None })
}

/// Reads the kitchen in a folder with the prices of that day; a pack that its lists have no price of
/// until then is at the first one after it.
pub fn read_dir_as_of(dir: &Path, until: chrono::NaiveDate) -> Read {
    let until = Some(until);
    dated(dir, Dates { today: None, until })
}

fn dated(dir: &Path, dates: Dates) -> Read {
    match files::collect(dir) {
        Ok(files) => assemble::read(files, dates),
        Err(fault) => Read {
            larder: None,
            faults: vec![*fault],
            warnings: Vec::new(),
            times: Vec::new(),
            tally: Tally {
                faults: 1,
                ..Tally::default()
            },
            put_in: Vec::new(),
            prices: Vec::new(),
            currency: None,
            sources: Vec::new(),
        },
    }
}

/// Reads the kitchen in a folder as it would be with this text in the place of one of its files, or
/// beside them.
pub fn read_dir_with(dir: &Path, name: &str, text: &str) -> Read {
    assemble::read(with(dir, name, text), Dates::default())
}

/// Returns the foods and components of a folder, as far as they can be read: with no word of its
/// faults.
pub fn known(dir: &Path) -> Vec<jotted::Known> {
    files::collect(dir).map_or_else(|_| Vec::new(), assemble::known)
}

/// Returns the foods and components of a folder as ingredient lines may name them, as far as they can
/// be read: with no word of its faults.
pub fn called(dir: &Path) -> crate::import::Kitchen {
    let files = files::collect(dir).unwrap_or_default();
    crate::import::Kitchen::new(assemble::own(files))
}

/// Names of the kitchen files of a folder with their texts, in name order; those that cannot be read
/// are left out.
pub fn texts(dir: &Path) -> Vec<(String, String)> {
    let files = files::collect(dir).unwrap_or_default().into_iter();
    files
        .filter(|file| !prices::is_list(&file.name))
        .filter_map(|file| Some((file.name, String::from_utf8(file.bytes.ok()?).ok()?)))
        .collect()
}

fn with(dir: &Path, name: &str, text: &str) -> Vec<files::File> {
    let mut all = files::collect(dir).unwrap_or_default();
    all.retain(|file| file.name != name);
    all.push(files::File::text(name.to_owned(), text.as_bytes().to_vec()));
    all
}

/// Splits a quantity as a cook writes it: numerator and denominator of the number, and the
/// measure behind it. `None` if it cannot be read.
pub fn amount_parts(written: &str) -> Option<(i128, i128, &str)> {
    let (number, measure) = number::leading(written).ok()?;
    (number.num > 0 && number.den > 0).then_some((number.num, number.den, measure))
}

/// Reads a kitchen from named texts, as if they were the files of a folder.
pub fn read_texts(texts: Vec<(String, Vec<u8>)>) -> Read {
    assemble::read(
        texts
            .into_iter()
            .map(|(name, bytes)| files::File::text(name, bytes))
            .collect(),
        Dates::default(),
    )
}
