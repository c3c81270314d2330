//! Pairs of a group code and its value, each on a line of its own.

use glam::DVec2;
use std::fmt::{Display, Write as _};

/// Pairs as text.
#[derive(Default)]
pub(super) struct Pairs(String);

impl Pairs {
    fn pair(&mut self, code: u16, value: impl Display) {
        // Writing to a string can't fail.
        let _ = write!(self.0, "{code:>3}\r\n{value}\r\n");
    }

    pub(super) fn word(&mut self, code: u16, word: &str) {
        self.pair(code, word);
    }

    pub(super) fn handle(&mut self, code: u16, handle: u64) {
        self.pair(code, format_args!("{handle:X}"));
    }

    /// A whole number, in as many places as the code's kind has.
    pub(super) fn whole(&mut self, code: u16, number: usize) {
        self.in_places(code, &number.to_string());
    }

    fn in_places(&mut self, code: u16, number: &str) {
        match code {
            90..=99 => self.pair(code, format_args!("{number:>9}")),
            _ => self.pair(code, format_args!("{number:>6}")),
        }
    }

    /// A number with up to twelve places, one at least.
    pub(super) fn number(&mut self, code: u16, number: f64) {
        let text = format!("{number:.12}");
        let text = text.trim_end_matches('0');
        self.pair(code, format_args!("{text}{}", if text.ends_with('.') { "0" } else { "" }));
    }

    /// A place in the plan.
    pub(super) fn place(&mut self, at: DVec2) {
        self.number(10, at.x);
        self.number(20, at.y);
        self.number(30, 0.0);
    }

    /// A pair as the frame has it: the code, a blank, and the value if there is one.
    pub(super) fn as_written(&mut self, pair: &str) {
        let (code, value) = pair.split_once(' ').unwrap_or((pair, ""));
        match code.parse().unwrap_or_default() {
            code @ (60..=79 | 90..=99 | 170..=179 | 270..=289 | 370..=389) => {
                self.in_places(code, value);
            }
            code => self.word(code, value),
        }
    }

    pub(super) fn join(&mut self, others: &Pairs) {
        self.0.push_str(&others.0);
    }

    pub(super) fn into_bytes(self) -> Vec<u8> {
        self.0.into_bytes()
    }
}
