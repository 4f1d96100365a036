//! Writes a program in the LP text format: algebra that people can read and most solvers
//! too.

use std::fmt::Write;

use super::mps::OBJECTIVE;
use super::ratio::decimal;
use super::{Kind, Program, Sense};

/// Terms on a line: readers limit the length of lines.
const TERMS_A_LINE: usize = 6;

/// Returns `program` as LP text.
pub fn lp(program: &Program) -> String {
    let mut text = String::new();
    let written = write(program, &mut text);
    debug_assert!(written.is_ok(), "writing to a string does not fail");
    text
}

fn write(program: &Program, out: &mut String) -> std::fmt::Result {
    writeln!(out, "\\ {}", program.title)?;
    writeln!(out, "\\ in {}", program.unit)?;
    writeln!(out, "Minimize")?;
    let costs = program.columns.iter().map(|column| column.cost_nano);
    let costs: Vec<_> = costs.enumerate().filter(|&(_, nano)| nano != 0).collect();
    sum(program, OBJECTIVE, &costs, out)?;
    writeln!(out)?;
    writeln!(out, "Subject To")?;
    let mut code = "";
    for row in &program.rows {
        if row.code != code {
            code = row.code;
            writeln!(out, "\\ {code}")?;
        }
        sum(program, &row.name, &row.terms, out)?;
        let sense = match row.sense {
            Sense::AtMost => "<=",
            Sense::AtLeast => ">=",
            Sense::Equal => "=",
        };
        writeln!(out, " {sense} {}", decimal(row.rhs_nano))?;
    }
    writeln!(out, "Bounds")?;
    for column in &program.columns {
        let (name, low) = (&column.name, decimal(column.low_nano));
        match column.high_nano {
            Some(high) if column.kind != Kind::Binary => {
                writeln!(out, " {low} <= {name} <= {}", decimal(high))?;
            }
            None if column.low_nano != 0 => writeln!(out, " {name} >= {low}")?,
            _ => {}
        }
    }
    section(program, "General", Kind::Integer, out)?;
    section(program, "Binary", Kind::Binary, out)?;
    writeln!(out, "End")
}

/// Writes ` name: + 2 a - 3 b`, without a line end.
fn sum(
    program: &Program,
    name: &str,
    terms: &[(usize, i128)],
    out: &mut String,
) -> std::fmt::Result {
    write!(out, " {name}:")?;
    if terms.is_empty() {
        // An empty sum cannot be written; nothing times some column can.
        if let Some(first) = program.columns.first() {
            write!(out, " 0 {}", first.name)?;
        }
    }
    for (place, &(column, nano)) in terms.iter().enumerate() {
        if place > 0 && place % TERMS_A_LINE == 0 {
            write!(out, "\n  ")?;
        }
        let sign = if nano < 0 { '-' } else { '+' };
        let size = decimal(nano.abs());
        let name = &program.columns[column].name;
        write!(out, " {sign} {size} {name}")?;
    }
    Ok(())
}

fn section(program: &Program, title: &str, kind: Kind, out: &mut String) -> std::fmt::Result {
    let mut of_kind = program.columns.iter().filter(|c| c.kind == kind).peekable();
    if of_kind.peek().is_none() {
        return Ok(());
    }
    writeln!(out, "{title}")?;
    of_kind.try_for_each(|column| writeln!(out, " {}", column.name))
}
