//! The dimensions that a key of the design file can name.

use crate::units::{Angle, Length};

/// A size or an offset at a place along the handle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Fraction from 0 (where the rounding of the handle's end has died out) to 1 (the neck).
    pub at: f64,
    /// The size there.
    pub size: Length,
}

/// A dimension of a design, to be read or changed.
#[derive(Debug)]
pub enum Dimension<'d> {
    /// A length, such as `bowl.depth` or `handle.width[1].size`.
    Length(&'d mut Length),
    /// A plain number or a fraction, such as `bowl.fullness`.
    Number(&'d mut f64),
    /// An angle: `tines.slot.taper`.
    Angle(&'d mut Angle),
    /// A whole list of stations, such as `handle.curve`.
    Stations(&'d mut Vec<Station>),
}
