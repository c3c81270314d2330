//! What is said, and where: the report of a run, standard output, standard error.

mod colour;
mod harmless;
mod json;
mod report;
mod table;
mod text;

pub(super) use harmless::{escaped, harmless, harmless_path};
pub(super) use report::Report;
pub(super) use text::{SlipCard, at_blanks};

use std::cell::Cell;
use std::io::{self, IsTerminal, Write};

/// The two streams, and how they want to be written to.
pub(super) struct Console {
    /// Colour and drawn lines on standard error.
    fancy: bool,
    /// Progress on standard error.
    lively: bool,
    /// Columns of the terminal.
    width: usize,
    /// Whether a line of progress stands there now.
    busy: Cell<bool>,
}

impl Console {
    /// As the surroundings ask: plain when not on a terminal, on one that can't draw, or where
    /// `NO_COLOR` is set and not empty (no-color.org).
    pub(super) fn of_this_process() -> Console {
        let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let terminal = io::stderr().is_terminal() && !dumb;
        let told = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
        let found = || terminal_size::terminal_size_of(io::stderr()).map(|(wide, _)| wide.0.into());
        Console {
            fancy: terminal && !set("NO_COLOR"),
            lively: terminal,
            // Longer lines are hard to read, shorter ones leave no room beside the words.
            width: told.or_else(found).unwrap_or(80).clamp(40, 100),
            busy: Cell::new(false),
        }
    }

    /// Writes to standard output.
    pub(super) fn out(&self, text: &str) {
        self.progress_done();
        let mut to = io::stdout().lock();
        if let Err(error) = to.write_all(text.as_bytes()).and_then(|()| to.flush())
            && error.kind() != io::ErrorKind::BrokenPipe
        {
            self.err(&format!("Can't write to standard output: {error}\n"));
        }
    }

    /// Writes to standard error. There is nowhere to complain if that fails.
    pub(super) fn err(&self, text: &str) {
        self.progress_done();
        let _ = io::stderr().lock().write_all(harmless(text).as_bytes());
    }

    /// Says what went wrong outside any job, and what to do about it.
    pub(super) fn fault(&self, says: &str, to_do: &str) {
        self.progress_done();
        let text = text::fault(says, to_do, self.fancy, self.width);
        let _ = io::stderr().lock().write_all(text.as_bytes());
    }

    /// Says what a rehearsal found, and a closing line.
    pub(super) fn slips(&self, cards: &[SlipCard], last: &str) {
        self.progress_done();
        let cards = cards.iter().map(|card| text::slip_card(card, self.fancy, self.width) + "\n");
        let text = cards.collect::<String>() + &harmless(last) + "\n";
        let _ = io::stderr().lock().write_all(text.as_bytes());
    }

    /// Shows what is going on, to a person who is there to see it.
    pub(super) fn progress(&self, what: &str) {
        if self.lively {
            let _ = write!(io::stderr().lock(), "\r\x1b[K{what} ...");
            self.busy.set(true);
        }
    }

    /// Takes the line of progress away.
    pub(super) fn progress_done(&self) {
        if self.busy.replace(false) {
            let _ = write!(io::stderr().lock(), "\r\x1b[K");
        }
    }

    /// Says all of a report: for people on standard error, or as JSON on standard output.
    pub(super) fn report(&self, report: &Report<'_>, as_json: bool) {
        if as_json {
            self.out(&if report.whole { json::checks(report) } else { json::findings(report) });
        } else {
            self.progress_done();
            let mut text = text::report(report, self.fancy, self.width);
            let looked = report.checks.iter().filter(|_| report.whole);
            let tables = looked.map(|(piece, checks)| {
                let title =
                    if report.checks.len() > 1 { format!("{piece}\n") } else { String::new() };
                title + &table::table(&checks.rows, self.fancy, self.width)
            });
            text.insert_str(0, &tables.collect::<String>());
            let _ = io::stderr().lock().write_all(text.as_bytes());
        }
    }
}

#[cfg(test)]
mod tests;
