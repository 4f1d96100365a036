//! Writes values of a program's columns as a solution file that a solver can check or
//! start from.
//!
//! Two forms are in use among open solvers, and this text is both where they agree: a
//! status, an objective line, then one `name value` pair a line under a heading that says
//! how many follow.

use std::fmt::Write;

use super::{Program, Ratio, objective};

/// Returns the solution file of `values` (from [`certificate`](super::certificate)).
///
/// The layout is that of HiGHS's "raw" solution files; numbers are decimals with as many
/// digits as a double holds, so a share of one third is written to 16 digits.
pub fn solution(program: &Program, values: &[(String, Ratio)]) -> String {
    let exact: Vec<Ratio> = values.iter().map(|&(_, value)| value).collect();
    let objective = objective(program, &exact).approximate() / 1e9;
    let mut text = String::new();
    text.push_str("Model status\nUnknown\n\n");
    text.push_str("# Primal solution values\nFeasible\n");
    let written = writeln!(text, "Objective {objective}")
        .and_then(|()| writeln!(text, "# Columns {}", values.len()))
        .and_then(|()| {
            values
                .iter()
                .try_for_each(|(name, value)| writeln!(text, "{name} {}", value.approximate()))
        })
        .and_then(|()| rows(program, &exact, &mut text));
    debug_assert!(written.is_ok(), "writing to a string does not fail");
    text
}

fn rows(program: &Program, values: &[Ratio], text: &mut String) -> std::fmt::Result {
    writeln!(text, "# Rows {}", program.rows.len())?;
    for row in &program.rows {
        let terms = row.terms.iter();
        let left: f64 = terms
            .map(|&(column, nano)| values[column].approximate() * nano as f64 / 1e9)
            .sum();
        writeln!(text, "{} {left}", row.name)?;
    }
    Ok(())
}
