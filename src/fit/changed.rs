//! Says what fitting changed.

use super::thickness::Fit;
use crate::finding::{Code, Finding, Findings, Source};
use crate::units::Length;

/// The design was changed to fit the board.
pub const FITTED_TO_BOARD: Code = Code {
    name: "fitted-to-board",
    explain: "The design as written doesn't fit this board, or you asked to use the board's spare \
        height, so dimensions named in its [give] table have been changed within their limits. The \
        change is the least one: the sum of weight times the square of each relative change. All \
        models, outlines and the sheet are of the changed design, and packet.json lists each \
        change under `changes`. Dimensions with the same word under `alike` change as much as that \
        one of the set that must change most. To keep the design as it is, take another board, or \
        take the key out of [give]. To move the change to another dimension, give the one that \
        should stay a greater weight.",
};

impl Fit {
    /// Says all that was changed; nothing when nothing was.
    pub fn say(&self, usable: Length, out: &mut Findings) {
        if self.changes.is_empty() {
            return;
        }
        let each: Vec<String> = self
            .changes
            .iter()
            .map(|c| {
                let alike = c.alike.as_ref();
                let alike = alike.map_or(String::new(), |group| format!(", alike \"{group}\""));
                format!("{} from {} to {} (limit {}{alike})", c.key, c.asked, c.fitted, c.limit)
            })
            .collect();
        out.push(
            Finding::caution(
                FITTED_TO_BOARD,
                format!(
                    "to fit {usable} of flat stock, the design was changed: {}",
                    each.join("; ")
                ),
                "Check that you still like it. The weights and limits under [give] say what \
                 changes first.",
            )
            .at(Source::Design, format!("give.{}", self.changes[0].key)),
        );
    }
}
