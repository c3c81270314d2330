//! The printed spacers: plain blocks, marked with their length.

use super::block::Block;
use super::mark;
use crate::kernel::{KernelError, Prism};
use crate::params::Shop;
use crate::units::{Length, Unit, plain};
use glam::DVec2;

/// Width of a spacer (common practice, no source).
pub(crate) const WIDE_MM: f64 = 30.0;

/// A spacer to print.
#[derive(Clone, Debug)]
pub struct SpacerModel {
    /// X runs from the stop to the board, Y along the edge with zero in the middle, Z = 0 is the
    /// bed.
    pub block: Block,
    /// What is written on it: its length in the shop's unit; empty where there is no room.
    pub mark: String,
}

/// The spacer of that length and height.
///
/// # Errors
/// It has no length or no height.
pub(crate) fn spacer(
    shop: &Shop,
    length: Length,
    height: Length,
) -> Result<SpacerModel, KernelError> {
    let text = match shop.unit {
        Unit::Millimetre => plain(length.as_mm(), 2),
        Unit::Inch => plain(length.to_print(Unit::Inch), 3),
    };
    let (long, high) = (length.as_mm(), height.as_mm());
    let sunk = mark::mark(&text, DVec2::ZERO, DVec2::new(long, high));
    let mark = if sunk.is_empty() { String::new() } else { text };
    let profile = [(0.0, 0.0), (long, 0.0), (long, high), (0.0, high)].map(DVec2::from).to_vec();
    let across = [-WIDE_MM / 2.0, WIDE_MM / 2.0].map(Length::mm);
    let block = Block::new(&Prism { profile, across, bore: None, sunk })?;
    Ok(SpacerModel { block, mark })
}
