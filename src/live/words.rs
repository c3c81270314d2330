//! What the live page is told in words, beside the findings.

pub(super) const HEIGHT: &str = "Height over all";
pub(super) const SPARE: &str = "Height to spare in the stock";
pub(super) const TOO_TALL: &str = "Too tall for the stock by";
pub(super) const WALL_LEAST: &str = "Least wood";

pub(super) const NOT_HERE: &str =
    "There is nothing at this address. Take the whole address that treenwright printed.";
pub(super) const NOT_FROM_THERE: &str = "This page answers only to itself.";
pub(super) const NOT_READ: &str = "The message can't be read.";
pub(super) const NOT_SO: &str = "This can't be asked in this way.";
pub(super) const BROKE: &str =
    "This could not be worked out. It is a fault of the tool: please report it with your files.";
pub(super) const NO_SHEET: &str = "No packet was made on this page yet.";
pub(super) const BUSY: &str = "A packet is being made.";
pub(super) const NO_NAME: &str = "The folder's name must have letters that can be seen only.";
pub(super) const NO_FOLDER: &str = "Give a folder for the packet.";
pub(super) const FAULTS: &str = "The files have faults, so no packet can be made.";
pub(super) const SEE_FAULTS: &str = "Mend what the notes say, and ask again.";
pub(super) const NO_DATE: &str =
    "The date must be one line of at most 40 letters that can be seen.";
pub(super) const CHANGED: &str = "The files were changed while the packet was planned.";
pub(super) const ASK_AGAIN: &str = "Ask again.";
