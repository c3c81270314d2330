//! A map of what the finishing cutter leaves: white is cut clean, the darker, the more is left.

use super::ExportError;
use super::face_map::{COUNT, FaceMap};
use crate::check::reach::{HeightGrid, Uncut};
use crate::relief::Face;
use crate::units::Unit;

/// Greatest heights of the steps, in mm: a stroke of sandpaper, the shop's usual limit, more.
pub const STEPS: [f32; COUNT] = [0.02, 0.05, 0.1, 0.5, f32::INFINITY];

/// The map as a PNG.
///
/// # Errors
/// When the picture can't be encoded; a fault of the tool.
pub fn png(uncut: &Uncut, unit: Unit) -> Result<Vec<u8>, ExportError> {
    FaceMap { face: uncut.face, values: &uncut.left, steps: STEPS, unit }.png()
}

/// The same of any heights on a plan that is seen from above.
///
/// # Errors
/// When the picture can't be encoded; a fault of the tool.
pub fn of_heights(values: &HeightGrid, unit: Unit) -> Result<Vec<u8>, ExportError> {
    // The top's plan is its own, seen from above.
    FaceMap { face: Face::Top, values, steps: STEPS, unit }.png()
}
