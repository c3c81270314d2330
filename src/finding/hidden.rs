//! Characters that a reader can't see.

/// Whether a character is none that can be read: it steers a terminal or a printer, turns the
/// writing round, or stands there unseen (Unicode TR 36, 3.5 and 3.7; UTS 39, 4).
///
/// The joiners U+200C and U+200D and the variation selectors are not among these: Persian, the
/// scripts of India and some signs can't be written without them.
pub const fn hidden(c: char) -> bool {
    match c {
        // C0, DEL and C1.
        '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' => true,
        // What turns the writing round.
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            true
        }
        // Line and paragraph separators.
        '\u{2028}' | '\u{2029}' => true,
        // Blanks without width, the soft hyphen, fillers.
        '\u{ad}'
        | '\u{34f}'
        | '\u{115f}'
        | '\u{1160}'
        | '\u{17b4}'
        | '\u{17b5}'
        | '\u{180e}'
        | '\u{200b}'
        | '\u{2060}'..='\u{2065}'
        | '\u{206a}'..='\u{206f}'
        | '\u{3164}'
        | '\u{feff}'
        | '\u{ffa0}' => true,
        // Marks of notes within a line, tags, and what will never be a character.
        '\u{fff0}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}' | '\u{fdd0}'..='\u{fdef}' => true,
        _ => (c as u32) & 0xfffe == 0xfffe,
    }
}

/// A hidden character by its number, such as `U+001B`.
pub fn number_of(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_can_be_read_is_not_hidden() {
        for c in "aZ 0-\u{fc}\u{df}\u{3b1}\u{416}\u{5e9}\u{633}\u{930}\u{6728}\u{200d}\u{fe0f}\u{301}\u{1f333}\u{fffd}".chars() {
            assert!(!hidden(c), "{}", number_of(c));
        }
    }

    #[test]
    fn what_steers_or_is_unseen_is_hidden() {
        for c in "\0\t\n\r\u{1b}\u{7f}\u{85}\u{9b}\u{ad}\u{61c}\u{200b}\u{200f}\u{2028}\u{202e}\u{2060}\u{2066}\u{feff}\u{fffe}\u{1ffff}\u{e0041}".chars() {
            assert!(hidden(c), "{}", number_of(c));
        }
    }
}
