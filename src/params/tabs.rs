//! What the files say of tabs that the tool places, of what tabs must bear, and of places to clean up.

use super::bed::Serves;
use crate::units::Length;
use glam::DVec2;

/// Tabs that the tool places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AutoTabs {
    /// How many, 2 to 8; as few as hold when absent.
    pub count: Option<u32>,
    /// How thick; as thin as holds when absent.
    pub thickness: Option<Length>,
}

/// What the tabs must bear, for an estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TabLoad {
    /// What the finishing pass pushes with on the piece, in newtons, in any direction.
    pub push_n: f64,
    /// How many times the push a tab must bear.
    pub safety: f64,
    /// The most that the piece may give way under the push.
    pub sag: Length,
}

impl Default for TabLoad {
    /// Some newtons are what a small sharp ball takes from hardwood in thin passes, and a dull one
    /// a few times as much; three times that, and a twentieth of a millimetre (all of it common
    /// practice, no source).
    fn default() -> TabLoad {
        TabLoad { push_n: 10.0, safety: 3.0, sag: Length::mm(0.05) }
    }
}

/// A small area to be gone over once more by a pass of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct CleanUp {
    /// Its middle in the design frame, in mm.
    pub at: DVec2,
    /// Along X and along Y, in mm.
    pub size: DVec2,
    /// In which setups.
    pub sides: Serves,
    /// Name of the cutter; the finishing cutter when absent.
    pub cutter: Option<String>,
}
