//! Writes a program in free-format MPS, the exchange format that every solver reads.
//!
//! Comment lines name the kitchen, the unit and the rule of each run of rows; names and
//! numbers are separated by single spaces.

use std::fmt::Write;

use super::ratio::decimal;
use super::{Kind, Program, Sense};

/// Name of the objective's row.
pub(super) const OBJECTIVE: &str = "objective";

/// Returns `program` as free-format MPS text.
pub fn mps(program: &Program) -> String {
    let mut text = String::new();
    let written = write(program, &mut text);
    debug_assert!(written.is_ok(), "writing to a string does not fail");
    text
}

fn write(program: &Program, out: &mut String) -> std::fmt::Result {
    writeln!(out, "* {}", program.title)?;
    writeln!(out, "* make small, in {}", program.unit)?;
    writeln!(out, "NAME week")?;
    writeln!(out, "ROWS")?;
    writeln!(out, " N {OBJECTIVE}")?;
    let mut code = "";
    for row in &program.rows {
        if row.code != code {
            code = row.code;
            writeln!(out, "* {code}")?;
        }
        let sense = match row.sense {
            Sense::AtMost => 'L',
            Sense::AtLeast => 'G',
            Sense::Equal => 'E',
        };
        writeln!(out, " {sense} {}", row.name)?;
    }
    columns(program, out)?;
    writeln!(out, "RHS")?;
    for row in program.rows.iter().filter(|row| row.rhs_nano != 0) {
        writeln!(out, " rhs {} {}", row.name, decimal(row.rhs_nano))?;
    }
    writeln!(out, "BOUNDS")?;
    for column in &program.columns {
        let name = &column.name;
        if column.low_nano != 0 {
            writeln!(out, " LO bounds {name} {}", decimal(column.low_nano))?;
        }
        match column.high_nano {
            Some(high) => writeln!(out, " UP bounds {name} {}", decimal(high))?,
            None => writeln!(out, " PL bounds {name}")?,
        }
    }
    writeln!(out, "ENDATA")
}

fn columns(program: &Program, out: &mut String) -> std::fmt::Result {
    let mut by_column: Vec<Vec<(usize, i128)>> = vec![Vec::new(); program.columns.len()];
    for (index, row) in program.rows.iter().enumerate() {
        for &(column, nano) in &row.terms {
            by_column[column].push((index, nano));
        }
    }
    writeln!(out, "COLUMNS")?;
    let mut whole = false;
    let mut markers = 0;
    for (column, entries) in program.columns.iter().zip(by_column) {
        if (column.kind != Kind::Continuous) != whole {
            whole = !whole;
            let word = if whole { "INTORG" } else { "INTEND" };
            writeln!(out, " marker{markers} 'MARKER' '{word}'")?;
            markers += 1;
        }
        // A column in no row is still a column: its cost is written even if it is 0.
        if column.cost_nano != 0 || entries.is_empty() {
            writeln!(
                out,
                " {} {OBJECTIVE} {}",
                column.name,
                decimal(column.cost_nano)
            )?;
        }
        for (row, nano) in entries {
            let row = &program.rows[row].name;
            writeln!(out, " {} {row} {}", column.name, decimal(nano))?;
        }
    }
    if whole {
        writeln!(out, " marker{markers} 'MARKER' 'INTEND'")?;
    }
    Ok(())
}
