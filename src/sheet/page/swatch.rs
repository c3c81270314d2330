//! The patterns of the maps, drawn as the maps have them, for their scale in the sheet's own letters.

use maud::{Markup, PreEscaped};

/// A pattern as a small drawing.
pub(super) fn swatch(bars: &str) -> Markup {
    let wide = if bars == BARS[4] { 12 } else { 2 };
    PreEscaped(format!(
        "<svg viewBox=\"0 0 34 14\" width=\"34\" height=\"14\" aria-hidden=\"true\" fill=\"none\" \
         stroke=\"#111\"><path d=\"M.5 .5h33v13h-33Z\"/><path d=\"{bars}\" stroke-width=\"{wide}\"/></svg>"
    ))
}

/// White, dots, strokes, a lattice, black.
pub(super) const BARS: [&str; 5] = [
    "M0 0",
    "M4 4h2M12 4h2M20 4h2M28 4h2M8 10h2M16 10h2M24 10h2",
    "M4 13l12 -12M12 13l12 -12M20 13l12 -12",
    "M4 13l12 -12M12 13l12 -12M20 13l12 -12M4 1l12 12M12 1l12 12M20 1l12 12",
    "M1 7h32",
];
