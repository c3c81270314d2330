//! What a run of a program is given, and what is counted of its lines.

use glam::DVec3;

/// Where the zeros of the work positions and of the machine are, in the frame of the motions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zeros {
    /// Of G54 to G59.3.
    pub work: [DVec3; 9],
    /// Of a program that says no position yet.
    pub unsaid: DVec3,
    /// The machine's own: its home corner, at the top of its travel.
    pub home: DVec3,
    /// Where the program begins.
    pub start: DVec3,
}

/// Words that are passed over, to see whether a program is right without them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PassedOver {
    /// Shifts of the zero: G92.
    pub shifts: bool,
    /// Numbers that count from the last place: G91.
    pub steps: bool,
}

/// How many lines of a program say something, and how many of its lines can't be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LineTally {
    /// Lines with words.
    pub worded: u64,
    /// Lines that are not RS-274 text.
    pub unread: u64,
    /// The first of these.
    pub unread_first: u32,
    /// Whether M2, M30 or M5 stands after the last motion.
    pub stopped: bool,
    /// The line of the G92 whose shift is in force.
    pub shifted: Option<u32>,
    /// The line of the first G91 that a motion was counted by.
    pub stepped: Option<u32>,
}
