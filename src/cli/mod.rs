//! The command line: arguments, files, what is said and the exit status.
//!
//! The only room that knows paths of input files and the standard streams. Exit status 0: done;
//! 1: the input has faults, or the job can't be made, and nothing was written; 2: wrong usage.

mod args;
mod codes;
mod ending;
mod explain;
mod files;
mod fit;
#[cfg(feature = "live")]
mod live;
mod make;
mod new;
mod picture;
mod rehearse;
mod say;

use args::{Args, Command};
use clap::Parser;
use ending::Ending;
use say::Console;
use std::ffi::OsString;
use std::process::ExitCode;

fn spare(used: bool) -> crate::fit::Spare {
    if used { crate::fit::Spare::Use } else { crate::fit::Spare::Leave }
}

/// Runs the command that the arguments name, the program's own name first.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match Args::try_parse_from(args) {
        Ok(args) => args,
        Err(error) => {
            // Help and version come this way, too, with status 0. A closed pipe is no fault.
            if !error.use_stderr() {
                let _ = error.print();
                return Ending::Done.into();
            }
            // An argument that is quoted may hold anything.
            let text = error.render().to_string();
            let text = text.strip_prefix("error: ").unwrap_or(&text);
            Console::of_this_process().err(text);
            return Ending::Usage.into();
        }
    };
    let console = Console::of_this_process();
    let ending = match args.command {
        Command::New { what, path, unit } => new::new(&console, what, unit, &path),
        Command::Schema { what } => new::schema(&console, what),
        Command::Keys => new::keys(&console),
        Command::Build { input, out, only, use_spare, date } => {
            let title = crate::sheet::Title { date: date.as_deref(), ..Default::default() };
            make::build(&console, &input, &out, &only, spare(use_spare), &title)
        }
        Command::Fit { designs, board, shop, together, use_spare, kerf, drawing, json } => {
            let (spare, together) = (spare(use_spare), together.into());
            let boards = board;
            fit::fit(
                &console,
                &fit::Asked { designs, boards, shop, spare, together, kerf, drawing, json },
            )
        }
        Command::Check { input } => make::check(&console, &input),
        Command::Rehearse(asked) => rehearse::rehearse(&console, &asked),
        Command::Picture(wanted) => picture::picture(&console, &wanted),
        #[cfg(feature = "live")]
        Command::Live(page) => live::live(&console, &page),
        Command::Explain { code } => explain::explain(&console, code.as_deref()),
    };
    ending.into()
}
