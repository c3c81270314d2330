//! Whose length is in force: G43 with H, and G49.
//!
//! Lengths stand in the machine's own table and not in the program. So all that can be seen is whether the
//! tool in the spindle is the one whose length is counted.

/// The length in force.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct LengthInForce {
    /// Number of the tool whose length it is, and the line of its G43; none before the first and after G49.
    of: Option<(u32, u32)>,
    /// Whether the program has given a length at all.
    given: bool,
    /// The tool of which it was told.
    told: Option<u32>,
}

impl LengthInForce {
    /// G43 in a line: the length of a tool, if there is one.
    pub(super) fn take(&mut self, of: Option<u32>, line: u32) {
        self.of = of.map(|number| (number, line));
        self.given |= of.is_some();
    }

    /// G49.
    pub(super) fn drop(&mut self) {
        self.of = None;
    }

    /// What is wrong with it when a tool goes down or cuts, said once for each tool.
    pub(super) fn wrong_for(&mut self, tool: Option<u32>) -> Option<String> {
        let tool = tool.filter(|_| self.given)?;
        let says = match self.of {
            Some((other, _)) if other == tool => return None,
            Some((other, line)) => format!(
                "tool {tool} works with the length of tool {other} (H{other} of line {line}): its tip stands \
                 too high or too low by as much as the two lengths differ"
            ),
            None => format!(
                "tool {tool} works without its length, and other tools of this program have theirs (G43)"
            ),
        };
        (self.told.replace(tool) != Some(tool)).then_some(says)
    }
}
