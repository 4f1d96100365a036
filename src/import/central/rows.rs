//! Reads a CSV file (RFC 4180) row by row, within a limit on the length of a row, and finds
//! columns by name.

use std::cell::Cell;
use std::io::{self, Read};
use std::rc::Rc;

use csv::{ByteRecord, ReaderBuilder};

use super::super::text;
use crate::unicode;

/// Longest text of a column, in characters: what a kitchen file may hold as a name.
pub(super) const LONGEST_NAME: usize = 300;

/// Most bytes of one row: a longer one is no row of these files.
pub const MOST_ROW_BYTES: u64 = 1 << 20;

/// Opens a file of the folder by name; `None` if it is not there.
pub type Opener<'a> = dyn Fn(&str) -> std::io::Result<Option<Box<dyn Read>>> + 'a;

/// What is wrong with a file or a pick, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}{what}; {help}", place(file, *line))]
pub struct CentralFault {
    /// The file; empty for a pick.
    pub file: String,
    /// Its line; 0 if none is to blame.
    pub line: u64,
    /// What is wrong.
    pub what: String,
    /// What to do instead.
    pub help: String,
}

fn place(file: &str, line: u64) -> String {
    match (file.is_empty(), line) {
        (true, _) => String::new(),
        (false, 0) => format!("{file}: "),
        (false, line) => format!("{file}:{line}: "),
    }
}

impl CentralFault {
    /// A fault of what was asked for.
    pub(super) fn pick(what: String, help: String) -> Self {
        Self {
            file: String::new(),
            line: 0,
            what,
            help,
        }
    }
}

const WHOLE: &str = "unpack the CSV download anew, whole, and name its folder";

/// Counts bytes since the last row and refuses to go on past the limit.
struct Gauge {
    inner: Box<dyn Read>,
    since: Rc<Cell<u64>>,
}

impl Read for Gauge {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.since.get() > MOST_ROW_BYTES {
            return Err(io::Error::other(format!(
                "a row is longer than {MOST_ROW_BYTES} bytes"
            )));
        }
        let read = self.inner.read(into)?;
        self.since.set(self.since.get() + read as u64);
        Ok(read)
    }
}

/// The rows of one file.
pub(super) struct Rows {
    reader: csv::Reader<Gauge>,
    since: Rc<Cell<u64>>,
    file: &'static str,
    /// Where each column asked for stands; none if it may be missing and is.
    columns: Vec<Option<usize>>,
    record: ByteRecord,
}

/// A row.
pub(super) struct Row<'a> {
    rows: &'a Rows,
    line: u64,
}

impl Rows {
    /// Opens a file that must be there, with these columns; only the first `needed` of them must.
    pub(super) fn open(
        open: &Opener,
        file: &'static str,
        names: &[&str],
        needed: usize,
    ) -> Result<Self, CentralFault> {
        Self::if_there(open, file, names, needed)?.ok_or_else(|| CentralFault {
            file: file.to_owned(),
            line: 0,
            what: "the file is not in this folder".to_owned(),
            help: "name the folder of the unpacked FoodData Central CSV download".to_owned(),
        })
    }

    /// Opens a file; `None` if it is not there.
    pub(super) fn if_there(
        open: &Opener,
        file: &'static str,
        names: &[&str],
        needed: usize,
    ) -> Result<Option<Self>, CentralFault> {
        let fault = |line, what| CentralFault {
            file: file.to_owned(),
            line,
            what,
            help: WHOLE.to_owned(),
        };
        let inner = match open(file) {
            Ok(Some(inner)) => inner,
            Ok(None) => return Ok(None),
            Err(error) => return Err(fault(0, format!("it cannot be read: {error}"))),
        };
        let since = Rc::new(Cell::new(0));
        let gauge = Gauge {
            inner,
            since: Rc::clone(&since),
        };
        let mut reader = ReaderBuilder::new().from_reader(gauge);
        let header = reader
            .byte_headers()
            .map_err(|error| fault(1, words(&error)))?;
        let header: Vec<String> = header
            .iter()
            .map(|name| String::from_utf8_lossy(name))
            .map(|name| name.trim_start_matches('\u{feff}').trim().to_lowercase())
            .collect();
        let columns: Vec<Option<usize>> = names
            .iter()
            .map(|name| header.iter().position(|column| column == name))
            .collect();
        let lacking: Vec<&str> = (names.iter().zip(&columns).take(needed))
            .filter(|(_, column)| column.is_none())
            .map(|(name, _)| *name)
            .collect();
        if !lacking.is_empty() {
            return Err(fault(
                1,
                format!("its first row lacks the column {}", lacking.join(" and ")),
            ));
        }
        since.set(0);
        Ok(Some(Self {
            reader,
            since,
            file,
            columns,
            record: ByteRecord::new(),
        }))
    }

    /// Returns the next row.
    pub(super) fn next(&mut self) -> Result<Option<Row<'_>>, CentralFault> {
        let line = self.reader.position().line();
        let read = self.reader.read_byte_record(&mut self.record);
        // What is read ahead belongs to later rows; it is less than the limit.
        self.since.set(0);
        match read {
            Ok(true) => {
                let line = self.record.position().map_or(line, csv::Position::line);
                Ok(Some(Row { rows: self, line }))
            }
            Ok(false) => Ok(None),
            Err(error) => Err(CentralFault {
                file: self.file.to_owned(),
                line: error.position().map_or(line, csv::Position::line),
                what: words(&error),
                help: WHOLE.to_owned(),
            }),
        }
    }
}

/// The parser's trouble in plain words.
fn words(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::Io(error) => format!("it cannot be read on: {error}"),
        csv::ErrorKind::UnequalLengths {
            expected_len, len, ..
        } => format!("a row has {len} columns, and the first row has {expected_len}"),
        _ => "this is no row of a CSV file".to_owned(),
    }
}

impl Row<'_> {
    /// The bytes of a column; empty if the file does not have it.
    pub(super) fn bytes(&self, column: usize) -> &[u8] {
        let at = self.rows.columns.get(column).copied().flatten();
        at.and_then(|at| self.rows.record.get(at)).unwrap_or(b"")
    }

    /// The text of a column on one line, at most 300 characters.
    pub(super) fn text(&self, column: usize) -> String {
        let text = String::from_utf8_lossy(self.bytes(column));
        unicode::cut(&text::squeezed(&text), LONGEST_NAME)
    }

    /// The whole number of a column.
    pub(super) fn whole(&self, column: usize) -> Result<u64, CentralFault> {
        let text = std::str::from_utf8(self.bytes(column)).unwrap_or("");
        text.trim().parse().map_err(|_| {
            let shown: String = self.text(column).chars().take(60).collect();
            self.fault(format!("`{shown}` is no whole number"))
        })
    }

    fn fault(&self, what: String) -> CentralFault {
        CentralFault {
            file: self.rows.file.to_owned(),
            line: self.line,
            what,
            help: WHOLE.to_owned(),
        }
    }
}
