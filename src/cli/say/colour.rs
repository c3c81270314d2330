//! Colour on a terminal (ECMA-48, SGR). The words say it all without.

/// How a text stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tint {
    Plain,
    Bold,
    Green,
    Cyan,
    Yellow,
    Red,
}

/// The text in that tint, if there is to be colour.
pub(super) fn tint(text: &str, tint: Tint, fancy: bool) -> String {
    let code = match tint {
        Tint::Plain => return text.to_owned(),
        Tint::Bold => "1",
        Tint::Green => "32",
        Tint::Cyan => "36",
        Tint::Yellow => "1;33",
        Tint::Red => "1;31",
    };
    if fancy { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
}
