//! A program's text, line after line, from any reader.
//!
//! Promised: no more than one line is kept, and of a line no more than 4096 bytes and one; a line
//! ends at a line feed, at a carriage return, or at both.

use std::io::{self, BufRead};

/// The longest line that is read. NIST's interpreter stops at 256; posts write longer comments.
pub const LONGEST: usize = 4096;

/// Lines of a program.
#[derive(Debug)]
pub struct ProgramText<R> {
    from: R,
    number: u32,
    line: Vec<u8>,
    /// Whether the line before ended in a carriage return: a line feed then still belongs to it.
    returned: bool,
}

impl<R: BufRead> ProgramText<R> {
    /// All lines of a reader.
    pub fn new(from: R) -> ProgramText<R> {
        ProgramText { from, number: 0, line: Vec::new(), returned: false }
    }

    /// The next line with its number from 1; one byte longer than `LONGEST` when it is too long.
    ///
    /// # Errors
    /// When the reader fails.
    pub fn next_line(&mut self) -> io::Result<Option<(u32, &[u8])>> {
        self.line.clear();
        let mut any = false;
        loop {
            let had = self.from.fill_buf()?;
            if had.is_empty() {
                break;
            }
            if std::mem::take(&mut self.returned) && had[0] == b'\n' {
                self.from.consume(1);
                continue;
            }
            any = true;
            let end = had.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
            let room = (LONGEST + 1).saturating_sub(self.line.len());
            let part = &had[..end.unwrap_or(had.len())];
            self.line.extend_from_slice(&part[..part.len().min(room)]);
            let read = part.len();
            if let Some(end) = end {
                self.returned = had[end] == b'\r';
                self.from.consume(read + 1);
                break;
            }
            self.from.consume(read);
        }
        if !any {
            return Ok(None);
        }
        self.number = self.number.saturating_add(1);
        Ok(Some((self.number, &self.line)))
    }
}
