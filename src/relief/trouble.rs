//! What can go wrong when a relief model is made, and what the tool says about it.

use crate::finding::{Code, Finding};
use crate::units::Length;

/// The relief model can't be made.
pub const RELIEF_NOT_MADE: Code = Code {
    name: "relief-not-made",
    explain: "The relief model of one setup could not be closed, so nothing is written. A relief \
        model joins one side of the body to a skirt round it, with the tabs standing in the skirt. \
        For that the tabs must be apart from each other, each with its whole width on a part of \
        the outline that faces it, and the body must keep clear of the far face of the stock. Move \
        or narrow the tabs first. If the finding is about the wood under the rim, make the edge \
        higher or use a thicker board. Whether the tabs are strong enough to hold the piece is \
        another check.",
};

/// The two sides do not quite meet.
pub const SKIRT_RIDGE: Code = Code {
    name: "skirt-ridge",
    explain: "Along part of the outline the skirt can't go deep enough, and a ridge is left there. \
        A ball cutter makes an upright wall only down to the height of its centre, so the skirt is \
        lower than the parting line by a ball's radius and the overlap. Where the parting line \
        comes near to the far face of the stock, the skirt would break through it, so it stops \
        half a millimetre short. The ridge is left for sandpaper. A finishing cutter with a \
        smaller ball, a thicker board or a flatter handle curve avoids it. The height given is the \
        greatest along the outline.",
};

/// All codes of the relief room.
pub const CODES: &[Code] = &[RELIEF_NOT_MADE, SKIRT_RIDGE];

/// Why a relief model can't be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Trouble {
    /// The skin's rim is not one loop of the skin's edges.
    Skin,
    /// The skirt's edge is no plain loop round the outline.
    SkirtEdge,
    /// That tab does not stand on the outline with its whole width.
    TabAstray(usize),
    /// Two tabs touch.
    TabsMeet,
    /// There is no wood between the rim, or a tab, and the stock's far face.
    NoWood,
}

impl Trouble {
    pub fn finding(self) -> Finding {
        let (message, help) = match self {
            Trouble::Skin => (
                "the body's skin has no single rim that a skirt could start from".to_owned(),
                "This is a fault of the tool, not of your files. Please report it with them.",
            ),
            Trouble::SkirtEdge => (
                "the skirt's edge does not run once round the outline".to_owned(),
                "A smaller finishing cutter makes a narrower skirt; a wider neck helps too.",
            ),
            Trouble::TabAstray(index) => (
                format!("tab {} does not stand on the outline with its whole width", index + 1),
                "Move it to where the outline is straighter, or make the tabs narrower.",
            ),
            Trouble::TabsMeet => (
                "two tabs touch each other".to_owned(),
                "Set them further apart, or make them narrower.",
            ),
            Trouble::NoWood => (
                "no wood is left between the rim and the far face of the stock".to_owned(),
                "Make the edge higher or the tabs thicker, or use a thicker board.",
            ),
        };
        Finding::fault(RELIEF_NOT_MADE, message, help)
    }
}

/// The caution about a ridge of that height.
pub(super) fn ridge(face: &str, height: Length) -> Finding {
    Finding::caution(
        SKIRT_RIDGE,
        format!(
            "the skirt of the {face} setup can't go deep enough: a ridge of up to {height} is left"
        ),
        "Finish with a smaller ball, use a thicker board, or sand the ridge off.",
    )
}
