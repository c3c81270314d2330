//! Texts that are not ours, before they reach a terminal.

/// Text from a file or a path, without what could steer a terminal or turn the writing round:
/// control characters and the bidirectional ones (Unicode TR 36, 3.5 and 3.7). Each byte of them
/// becomes a question mark, so that spans still fit.
pub(super) fn harmless(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        let steers = (c.is_control() && c != '\n' && c != '\t')
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        if steers {
            out.extend(std::iter::repeat_n('?', c.len_utf8()));
        } else {
            out.push(c);
        }
    }
    out
}
