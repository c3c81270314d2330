//! One line into its words.

use super::lines::LONGEST;

/// A letter and its number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProgramWord {
    /// Upper case.
    pub letter: u8,
    /// Its number.
    pub value: f64,
}

/// A line's words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProgramLine {
    /// In the order in which they stand.
    pub words: Vec<ProgramWord>,
    /// Whether it begins with the stroke of an optional line.
    pub optional: bool,
    /// Whether it is a `%` alone.
    pub percent: bool,
}

/// Why a line can't be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Unread {
    /// Too long.
    Long,
    /// A comment without its end.
    Comment,
    /// A parameter, a formula or a subprogram.
    Formula(char),
    /// A letter without a number.
    NoNumber(char),
    /// A number without a letter, or a sign that has no meaning.
    Stray(char),
}

/// Digits that a number may have at most; more are no place on any machine.
const DIGITS_MOST: usize = 24;

impl ProgramLine {
    /// Reads a line into `self`, which is emptied first.
    ///
    /// # Errors
    /// What makes it unreadable.
    pub fn read(&mut self, text: &[u8], plain: &mut Vec<u8>) -> Result<(), Unread> {
        self.words.clear();
        (self.optional, self.percent) = (false, false);
        if text.len() > LONGEST {
            return Err(Unread::Long);
        }
        without_comments(text, plain)?;
        let mut rest = plain.as_slice();
        if let Some(after) = rest.strip_prefix(b"/") {
            (self.optional, rest) = (true, after);
        }
        if rest == b"%" {
            self.percent = true;
            return Ok(());
        }
        while let Some((&letter, after)) = rest.split_first() {
            match letter {
                b'A'..=b'Z' => {}
                b'#' | b'[' | b'=' => return Err(Unread::Formula(letter as char)),
                other => return Err(Unread::Stray(shown(other))),
            }
            let long = |byte: &u8| !matches!(byte, b'0'..=b'9' | b'.' | b'+' | b'-');
            let end = after.iter().position(long).unwrap_or(after.len());
            let (number, next) = after.split_at(end);
            if number.is_empty() && matches!(next.first(), Some(b'#' | b'[')) || letter == b'O' {
                return Err(Unread::Formula(letter as char));
            }
            let value = figure(number).ok_or(Unread::NoNumber(letter as char))?;
            self.words.push(ProgramWord { letter, value });
            rest = next;
        }
        Ok(())
    }
}

/// A byte as it is shown.
fn shown(byte: u8) -> char {
    if byte.is_ascii_graphic() { byte as char } else { '?' }
}

/// A number without an exponent: a sign, digits and at most one point.
fn figure(text: &[u8]) -> Option<f64> {
    let body = text.strip_prefix(b"-").or_else(|| text.strip_prefix(b"+")).unwrap_or(text);
    let digits = body.iter().filter(|byte| byte.is_ascii_digit()).count();
    let points = body.iter().filter(|byte| **byte == b'.').count();
    if digits == 0 || points > 1 || digits + points != body.len() || digits > DIGITS_MOST {
        return None;
    }
    std::str::from_utf8(text).ok()?.parse().ok().filter(|value: &f64| value.is_finite())
}

/// The line in upper case without blanks and comments.
fn without_comments(text: &[u8], plain: &mut Vec<u8>) -> Result<(), Unread> {
    plain.clear();
    // A byte order mark that an editor left.
    let mut bytes = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text).iter();
    while let Some(byte) = bytes.next() {
        match byte {
            b';' => break,
            b'(' => match bytes.by_ref().find(|byte| matches!(byte, b')' | b'(')) {
                Some(b')') => {}
                _ => return Err(Unread::Comment),
            },
            b' ' | b'\t' | 0x0b | 0x0c => {}
            // The end of a tape in some old editors.
            0x1a => break,
            byte => plain.push(byte.to_ascii_uppercase()),
        }
    }
    Ok(())
}
