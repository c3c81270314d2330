//! What can be written after the program's name.

use crate::finding::{Source, hidden};
use crate::params::{self, Example};
use crate::render::View;
use crate::units::{Length, Unit};
use clap::{Args as Group, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// The finest and the coarsest tolerance: a file of a few hundred thousand triangles, and facets
/// that can just be felt with a finger (common practice, no source).
const TOLERANCE: (Length, Length) = (Length::mm(0.002), Length::mm(0.1));

/// All arguments.
#[derive(Debug, Parser)]
#[command(
    name = "treenwright",
    version,
    about = "From a design, a measured board and a shop to everything you need to carve a wooden \
        spoon, fork, turner, spreader or scoop from two sides.",
    after_help = "Exit status: 0 done; 1 the files have faults or the job can't be made, and \
        nothing was written; 2 the command was not understood.",
    arg_required_else_help = true
)]
pub(super) struct Args {
    #[command(subcommand)]
    pub(super) command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Write a commented file to start from. An existing file is never replaced
    New {
        /// What kind of file
        what: New,
        /// The file to write
        path: PathBuf,
        /// The unit of its lengths
        #[arg(long, value_enum, default_value = "mm")]
        unit: Measure,
    },
    /// Make the packet: models, outlines, workholding and job sheet
    Build {
        #[command(flatten)]
        input: Input,
        /// The folder to write: a new one, an empty one, or an unchanged packet of this tool
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
        /// Make only this file of the packet, such as body.stl; can be given more than once
        #[arg(long, value_name = "FILE")]
        only: Vec<String>,
        /// Use spare height in the board for a deeper hollow and more curve, as far as the
        /// design's [give] table allows
        #[arg(long)]
        use_spare: bool,
        /// A date, or any one line, for the title block of the job sheet; the tool reads no clock
        #[arg(long, value_name = "TEXT", value_parser = date)]
        date: Option<String>,
    },
    /// Find the board for a design or a set: what fits, what must change, where each piece goes
    Fit {
        /// The design files (TOML), one to eight; one given twice is made twice
        #[arg(required = true, value_name = "DESIGN", num_args = 1..=8)]
        designs: Vec<PathBuf>,
        /// A board file (TOML), or a folder of them; can be given more than once
        #[arg(long, value_name = "BOARD", required = true)]
        board: Vec<PathBuf>,
        /// The shop file (TOML)
        #[arg(long, value_name = "SHOP")]
        shop: PathBuf,
        /// How the pieces of a set go together
        #[arg(long = "match", value_name = "HOW", value_enum, default_value = "free")]
        together: Together,
        /// Use spare height for a deeper hollow and more curve, as far as [give] allows
        #[arg(long)]
        use_spare: bool,
        /// The saw's kerf, for the cut list
        #[arg(long, value_name = "LENGTH", default_value = "3 mm", value_parser = length)]
        kerf: Length,
        /// Write a drawing of the best layout to this file (SVG). An existing file is never replaced
        #[arg(long, value_name = "FILE")]
        drawing: Option<PathBuf>,
        /// Print the result as JSON on standard output
        #[arg(long)]
        json: bool,
    },
    /// Show what is wrong with a job, and write nothing
    Check {
        #[command(flatten)]
        input: Input,
    },
    /// Carve programs of a setup in the computer against their packet, and say what is wrong
    Rehearse(super::rehearse::RehearsalAsked),
    /// Draw one shaded picture of a design. An existing file is never replaced
    Picture(PictureOf),
    /// Open a page in your browser that shows the piece while you change it
    #[cfg(feature = "live")]
    Live(LivePage),
    /// Print what a design, board or shop file can hold, as JSON Schema
    Schema {
        /// Which file
        what: What,
    },
    /// Print a page of all keys, as Markdown
    Keys,
    /// Explain a finding and what to do about it; without a code, list all findings
    Explain {
        /// The code of the finding, such as too-tall
        code: Option<String>,
    },
}

/// How the pieces of a set go together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Together {
    /// As they fit best
    Free,
    /// Side by side from the same length of the board
    Side,
    /// Side by side, every other one turned end for end
    HeadToTail,
    /// Side by side, leaning opposite ways from the rip line between them
    Mirrored,
}

impl From<Together> for crate::fit::layout::Match {
    fn from(together: Together) -> Self {
        match together {
            Together::Free => Self::Free,
            Together::Side => Self::Side,
            Together::HeadToTail => Self::HeadToTail,
            Together::Mirrored => Self::Mirrored,
        }
    }
}

/// The files, and how to read them.
#[derive(Clone, Debug, Group)]
pub(super) struct Input {
    /// The design files (TOML), one to eight, carved from one board; one given twice is made twice
    #[arg(required = true, value_name = "DESIGN", num_args = 1..=8)]
    pub(super) designs: Vec<PathBuf>,
    /// The board file (TOML)
    #[arg(long, value_name = "BOARD")]
    pub(super) board: PathBuf,
    /// The shop file (TOML)
    #[arg(long, value_name = "SHOP")]
    pub(super) shop: PathBuf,
    /// How the pieces of a set go together on the board
    #[arg(long = "match", value_name = "HOW", value_enum, default_value = "free")]
    pub(super) together: Together,
    /// How far the models may be from the exact shape, from "0.002 mm" to "0.1 mm"
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH", default_value = "0.02 mm", value_parser = tolerance)]
    pub(super) tolerance: Length,
    /// Print the findings as JSON on standard output
    #[arg(long)]
    pub(super) json: bool,
}

impl Input {
    /// The path of one of the files; of a design, of that one of several.
    pub(super) fn path(&self, source: Source, piece: usize) -> &PathBuf {
        match source {
            Source::Design => &self.designs[piece.min(self.designs.len() - 1)],
            Source::Board => &self.board,
            Source::Shop => &self.shop,
        }
    }
}

/// What picture is wanted.
#[derive(Debug, Group)]
pub(super) struct PictureOf {
    /// The design file (TOML)
    pub(super) design: PathBuf,
    /// The board file (TOML); without it the design is drawn as it is, not fitted to a board
    #[arg(long, value_name = "BOARD")]
    pub(super) board: Option<PathBuf>,
    /// The shop file (TOML); without it the slots are rounded by the example shop's cutter
    #[arg(long, value_name = "SHOP")]
    pub(super) shop: Option<PathBuf>,
    /// Where it is seen from
    #[arg(long, value_enum, default_value = "three-quarter")]
    pub(super) view: Viewpoint,
    /// Show it on its tabs, as it leaves the machine; needs a board and a shop
    #[arg(long, requires_all = ["board", "shop"])]
    pub(super) on_tabs: bool,
    /// Width and height in pixels, each from 16 to 4096
    #[arg(long, value_name = "WxH", default_value = "1200x500", value_parser = size)]
    pub(super) size: (u32, u32),
    /// The wood to draw it in, such as cherry; if left out, the board's, or a plain light brown
    #[arg(long, value_name = "SPECIES")]
    pub(super) wood: Option<String>,
    /// The file to write: PNG, or SVG when its name ends in .svg
    #[arg(long, value_name = "FILE")]
    pub(super) out: PathBuf,
}

impl PictureOf {
    /// The files as the other commands have them. The path of one that was not given is never
    /// read nor shown.
    pub(super) fn input(&self) -> Input {
        Input {
            designs: vec![self.design.clone()],
            board: self.board.clone().unwrap_or_default(),
            shop: self.shop.clone().unwrap_or_default(),
            together: Together::Free,
            tolerance: PICTURE_TOLERANCE,
            json: false,
        }
    }
}

/// Under half a pixel of a picture of 4096 across a utensil of 300 mm.
const PICTURE_TOLERANCE: Length = Length::mm(0.02);

/// What the live page is opened with.
#[cfg(feature = "live")]
#[derive(Debug, Group)]
pub(super) struct LivePage {
    /// The design files (TOML), up to eight; without one, a new design from an example, written when
    /// you save it
    #[arg(value_name = "DESIGN", num_args = 0..=8)]
    pub(super) designs: Vec<PathBuf>,
    /// The board file (TOML); without it a new one from an example
    #[arg(long, value_name = "BOARD")]
    pub(super) board: Option<PathBuf>,
    /// The shop file (TOML); without it a new one from an example
    #[arg(long, value_name = "SHOP")]
    pub(super) shop: Option<PathBuf>,
    /// What a new design is
    #[arg(long, value_enum, default_value = "spoon")]
    pub(super) new: NewDesign,
    /// The unit of new files
    #[arg(long, value_enum, default_value = "mm")]
    pub(super) unit: Measure,
    /// Only print the address; open no browser
    #[arg(long)]
    pub(super) no_browser: bool,
    /// The port to listen at; 0 for a free one
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    pub(super) port: u16,
}

/// What a new design is.
#[cfg(feature = "live")]
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum NewDesign {
    /// A spoon
    Spoon,
    /// A fork
    Fork,
    /// A turner
    Turner,
    /// A spreader
    Spreader,
    /// A scoop
    Scoop,
}

#[cfg(feature = "live")]
impl From<NewDesign> for Example {
    fn from(new: NewDesign) -> Example {
        match new {
            NewDesign::Spoon => Example::Spoon,
            NewDesign::Fork => Example::Fork,
            NewDesign::Turner => Example::Turner,
            NewDesign::Spreader => Example::Spreader,
            NewDesign::Scoop => Example::Scoop,
        }
    }
}

/// From where a picture is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Viewpoint {
    /// From above
    Top,
    /// From below
    Bottom,
    /// From the right
    Side,
    /// From above, the right and a little from the tip
    ThreeQuarter,
}

impl From<Viewpoint> for View {
    fn from(seen: Viewpoint) -> View {
        match seen {
            Viewpoint::Top => View::Top,
            Viewpoint::Bottom => View::Bottom,
            Viewpoint::Side => View::Side,
            Viewpoint::ThreeQuarter => View::ThreeQuarter,
        }
    }
}

/// What a new file is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum New {
    /// A design of a spoon
    #[value(alias = "design")]
    Spoon,
    /// A design of a fork
    Fork,
    /// A design of a turner
    Turner,
    /// A design of a spreader
    Spreader,
    /// A design of a scoop
    Scoop,
    /// A board
    Board,
    /// A shop
    Shop,
}

impl From<New> for Example {
    fn from(what: New) -> Example {
        match what {
            New::Spoon => Example::Spoon,
            New::Fork => Example::Fork,
            New::Turner => Example::Turner,
            New::Spreader => Example::Spreader,
            New::Scoop => Example::Scoop,
            New::Board => Example::Board,
            New::Shop => Example::Shop,
        }
    }
}

/// The unit of lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Measure {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

impl From<Measure> for Unit {
    fn from(unit: Measure) -> Unit {
        match unit {
            Measure::Mm => Unit::Millimetre,
            Measure::In => Unit::Inch,
        }
    }
}

/// One of the three files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum What {
    /// A design
    Design,
    /// A board
    Board,
    /// A shop
    Shop,
}

impl From<What> for Source {
    fn from(what: What) -> Source {
        match what {
            What::Design => Source::Design,
            What::Board => Source::Board,
            What::Shop => Source::Shop,
        }
    }
}

fn length(text: &str) -> Result<Length, &'static str> {
    params::length(text)
}

fn tolerance(text: &str) -> Result<Length, String> {
    let length = params::length(text)?;
    let (least, most) = TOLERANCE;
    if length >= least && length <= most {
        Ok(length)
    } else {
        Err(format!(
            "it must be from {} mm to {} mm",
            crate::units::plain(least.as_mm(), 3),
            crate::units::plain(most.as_mm(), 3)
        ))
    }
}

/// Letters that a date may have at most, so that it keeps to the title block.
const DATE_LETTERS: usize = 40;

fn date(text: &str) -> Result<String, String> {
    let text = text.trim();
    let plain = !text.is_empty() && !text.chars().any(hidden);
    if plain && text.chars().count() <= DATE_LETTERS {
        Ok(text.to_owned())
    } else {
        Err(format!(
            "it must be one line of 1 to {DATE_LETTERS} letters that can be seen, such as \"1 October\""
        ))
    }
}

fn size(text: &str) -> Result<(u32, u32), String> {
    let side = |text: &str| text.parse().ok().filter(|side| (16..=4096).contains(side));
    let sides = text.split_once(['x', 'X', '\u{d7}']);
    sides
        .and_then(|(wide, high)| Some((side(wide)?, side(high)?)))
        .ok_or_else(|| "write it as width x height, each from 16 to 4096: 1200x500".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_are_well_formed() {
        Args::command().debug_assert();
    }

    #[test]
    fn a_tolerance_needs_a_unit_and_a_sane_size() {
        assert_eq!(tolerance("0.02 mm").map(|l| l.as_mm()), Ok(0.02));
        for wrong in ["0.02", "0 mm", "-0.02 mm", "1 mm", "nan mm", "inf mm", "", "mm", "1e300 mm"]
        {
            assert!(tolerance(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_size_is_two_sane_sides() {
        assert_eq!(size("1200x500"), Ok((1200, 500)));
        for wrong in ["", "1200", "x", "15x500", "5000x500", "1200x500x3", "-1x16", "1e3x500"] {
            assert!(size(wrong).is_err(), "{wrong}");
        }
    }
}
