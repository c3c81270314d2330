//! Starts the command line.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    treenwright::cli::run(std::env::args_os())
}
