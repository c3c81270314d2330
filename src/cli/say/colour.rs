//! Colour on a terminal (ECMA-48, SGR). The words say it all without.

/// How a text stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    Plain,
    Bold,
    Green,
    Cyan,
    Yellow,
    Red,
}

/// The text in that ink, if there is to be colour.
pub(super) fn ink(text: &str, ink: Ink, fancy: bool) -> String {
    let code = match ink {
        Ink::Plain => return text.to_owned(),
        Ink::Bold => "1",
        Ink::Green => "32",
        Ink::Cyan => "36",
        Ink::Yellow => "1;33",
        Ink::Red => "1;31",
    };
    if fancy { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
}
