//! The kinds of pass, and what each is called wherever it is named.
//!
//! A new kind has a variant and its words here, its limits in `passes`, and its place and its
//! sentence in the order of work.

use std::fmt;

/// A kind of pass on the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PassKind {
    /// Takes most of the wood away.
    Rough,
    /// Clears the skirt where the roughing cutter is too thick for it.
    Clear,
    /// Carves to size.
    Finish,
    /// Goes over places again.
    CleanUp,
    /// Slots, through the wood.
    Slots,
    /// Openings, through the wood.
    Openings,
    /// Once round the edge.
    Edge,
    /// Bores the pins' holes through the board.
    Pins,
    /// Bores the pins' holes into the bed.
    Bed,
    /// Cuts the flanks of an inlay's recess with a vee.
    InlayVee,
    /// Clears the floor of a recess.
    InlayFloor,
    /// Trims what fills a recess down to the face.
    InlayTrim,
}

/// The words of a kind of pass.
struct Words {
    key: &'static str,
    layers: [&'static str; 2],
    doing: &'static str,
    work: &'static str,
}

macro_rules! words {
    ($key:literal, $doing:literal, $work:literal) => {
        Words {
            key: $key,
            layers: [concat!($key, "-centre"), concat!($key, "-area")],
            doing: $doing,
            work: $work,
        }
    };
}

impl PassKind {
    /// In files, for one who cuts, and on a setup's page.
    const fn words(self) -> Words {
        match self {
            PassKind::Rough => words!("rough", "roughing", "rough"),
            PassKind::Clear => words!("clear", "clearing the skirt", "clear the skirt"),
            PassKind::Finish => words!("finish", "finishing", "finish"),
            PassKind::CleanUp => words!("clean-up", "cleaning up", "clean up"),
            PassKind::Slots => words!("slots", "cutting slots", "cut the slots"),
            PassKind::Openings => words!("openings", "cutting openings", "cut the openings"),
            PassKind::Edge => words!("edge", "going round the edge", "run round the edge"),
            PassKind::Pins => words!("pins", "boring the board's holes", "bore the pin holes"),
            PassKind::Bed => words!("bed", "boring the bed's holes", "bore the bed's holes"),
            PassKind::InlayVee => {
                words!("inlay-vee", "cutting a recess's flanks", "cut the flanks of the recess")
            }
            PassKind::InlayFloor => {
                words!("inlay-floor", "clearing a recess's floor", "clear the floor of the recess")
            }
            PassKind::InlayTrim => words!("inlay-trim", "trimming an inlay", "trim the inlay"),
        }
    }

    /// What `packet.json` and messages call it.
    pub const fn key(self) -> &'static str {
        self.words().key
    }

    /// The layers of its limits: where its centre may go, and what it may touch.
    pub const fn layers(self) -> [&'static str; 2] {
        self.words().layers
    }

    /// What is done in it: "roughing".
    pub const fn doing(self) -> &'static str {
        self.words().doing
    }

    /// What to do in it: "rough".
    pub const fn work(self) -> &'static str {
        self.words().work
    }
}

impl fmt::Display for PassKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.key())
    }
}
