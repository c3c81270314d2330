//! What can be written after `rehearse`.

use crate::relief::Face;
use crate::units::Length;
use clap::{Args as Group, ValueEnum};
use std::path::PathBuf;

/// What is to be rehearsed.
#[derive(Clone, Debug, Group)]
pub(in crate::cli) struct RehearsalAsked {
    /// The packet's folder, as `build` wrote it
    pub(super) packet: PathBuf,
    /// The setup: top is carved first, bottom second
    #[arg(value_enum)]
    pub(super) setup: SetupWord,
    /// The programs of the setup, in the order in which they are run
    #[arg(required = true, value_name = "PROGRAM")]
    pub(super) programs: Vec<PathBuf>,
    /// The cutter of a tool number, as "2=ball 1/8", or of programs that name none, as "ball 1/8";
    /// can be given more than once. Left out: the numbers of the shop file
    #[arg(long, value_name = "CUTTER")]
    pub(super) cutter: Vec<String>,
    /// Side of a cell, from "0.05 mm" to "0.5 mm"
    #[arg(long, value_name = "LENGTH", default_value = "0.2 mm", value_parser = cell)]
    pub(super) cell: Length,
    /// Keep the wood as the programs leave it in this file. An existing file is never replaced
    #[arg(long, value_name = "FILE")]
    pub(super) keep: Option<PathBuf>,
    /// Begin with the wood that `--keep` wrote after setup 1, or after earlier programs of this setup
    #[arg(long, value_name = "FILE")]
    pub(super) from: Option<PathBuf>,
    /// Write a page with pictures and maps, such as rehearsal.html. An existing file is never replaced
    #[arg(long, value_name = "FILE")]
    pub(super) page: Option<PathBuf>,
    /// Write a shaded picture of the board as it comes out (PNG). An existing file is never replaced
    #[arg(long, value_name = "FILE")]
    pub(super) picture: Option<PathBuf>,
    /// Show every finding, those too that come of a cause that was found
    #[arg(long)]
    pub(super) all: bool,
    /// Print the result as JSON on standard output
    #[arg(long)]
    pub(super) json: bool,
}

/// A setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum SetupWord {
    /// Setup 1, top up
    Top,
    /// Setup 2, bottom up
    Bottom,
}

impl From<SetupWord> for Face {
    fn from(word: SetupWord) -> Face {
        match word {
            SetupWord::Top => Face::Top,
            SetupWord::Bottom => Face::Bottom,
        }
    }
}

fn cell(text: &str) -> Result<Length, String> {
    let length = crate::params::length(text)?;
    match (0.05..=0.5).contains(&length.as_mm()) {
        true => Ok(length),
        false => Err("it must be from 0.05 mm to 0.5 mm".to_owned()),
    }
}
