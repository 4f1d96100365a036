//! Runs the command line and hands its exit code to the shell.

use std::process::ExitCode;

fn main() -> ExitCode {
    scant::cli::run(std::env::args_os()).into()
}
