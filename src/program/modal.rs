//! Which codes there are, and which of them exclude each other on a line.
//!
//! Groups by table 4 of NISTIR 6556, with G90.1 and G91.1 in one of their own.

/// Modal groups.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ModalGroup {
    /// What is done once.
    Once,
    /// How the tip moves.
    Motion,
    /// The plane of arcs.
    Plane,
    /// Absolute or incremental.
    Distance,
    /// The same of an arc's centre.
    Centres,
    /// How a feed is meant.
    Feed,
    /// Inches or millimetres.
    Units,
    /// Cutter compensation.
    Compensation,
    /// Tool length.
    Length,
    /// How a cycle goes back.
    Retract,
    /// The work position.
    Position,
    /// How corners are passed.
    Corners,
    /// Stops.
    Stop,
    /// Tool change.
    Change,
    /// The spindle.
    Spindle,
    /// Cooling.
    Cooling,
    /// Overrides.
    Overrides,
}

/// The group of a G code, in tenths; none for one that is not read.
pub fn group_of_g(code: u32) -> Option<ModalGroup> {
    Some(match code {
        40 | 280 | 530 | 920..=923 => ModalGroup::Once,
        0 | 10 | 20 | 30 | 800 | 810 | 820 | 830 => ModalGroup::Motion,
        170 | 180 | 190 => ModalGroup::Plane,
        900 | 910 => ModalGroup::Distance,
        901 | 911 => ModalGroup::Centres,
        930 | 940 => ModalGroup::Feed,
        200 | 210 => ModalGroup::Units,
        400 => ModalGroup::Compensation,
        430 | 490 => ModalGroup::Length,
        980 | 990 => ModalGroup::Retract,
        540 | 550 | 560 | 570 | 580 | 590..=593 => ModalGroup::Position,
        610 | 611 | 640 => ModalGroup::Corners,
        _ => return None,
    })
}

/// The group of an M code; none for one that is not read.
pub fn group_of_m(code: u32) -> Option<ModalGroup> {
    Some(match code {
        0 | 1 | 2 | 30 | 60 => ModalGroup::Stop,
        6 => ModalGroup::Change,
        3..=5 => ModalGroup::Spindle,
        7..=9 => ModalGroup::Cooling,
        48 | 49 => ModalGroup::Overrides,
        _ => return None,
    })
}

/// How a code is written.
pub fn spelled(letter: char, tenths: u32) -> String {
    match tenths % 10 {
        0 => format!("{letter}{}", tenths / 10),
        part => format!("{letter}{}.{part}", tenths / 10),
    }
}
