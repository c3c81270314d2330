//! The shop's bed and spindle: what pins, positions and hold-downs are worked out with. Every key
//! of it may be left out.

use super::clamp::Clamp;
use crate::units::Length;
use glam::DVec2;

/// The bed, the spindle and the fits of what stands between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Bed {
    /// How the pins and their holes come out.
    pub pin: PinFit,
    /// How far the machine may miss a place that it goes to.
    pub repeat: Length,
    /// The holder or collet nut above the cutters.
    pub holder: Holder,
    /// How far the machine goes; not checked when absent.
    pub travel: Option<Travel>,
    /// The work positions on the bed, in the file's order.
    pub positions: Vec<Position>,
    /// Hold-downs, their printing, and the stops on the bed.
    pub clamp: Clamp,
}

/// How pins and holes come out, and where the pins stand.
#[derive(Clone, Debug, PartialEq)]
pub struct PinFit {
    /// Least diameter of a pin.
    pub least: Length,
    /// Greatest diameter of a pin.
    pub most: Length,
    /// How far a bored hole may miss its diameter, either way.
    pub bore: Length,
    /// Depth of the holes in the bed.
    pub depth: Length,
    /// Greatest step between the two sides that the play may cause.
    pub mismatch: Length,
    /// Where the pins stand on the board, in mm; the tool places them when empty.
    pub place: Vec<DVec2>,
}

/// What holds the cutter: a cone over its stick-out, and a cylinder when nose and top are alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holder {
    /// Its greatest diameter, at its top.
    pub diameter: Length,
    /// Its diameter at the nose, its lower end.
    pub nose: Length,
    /// Its length, up to the spindle's body.
    pub length: Length,
}

/// How far the machine goes, from its home corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// Along X, from zero.
    pub x: Length,
    /// Along Y, from zero.
    pub y: Length,
    /// Up and down.
    pub z: Length,
    /// Height of the holder's lower face over the bed when the spindle is at its lowest.
    pub nose: Length,
}

/// A work position: a zero point on the bed.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    /// Its word of RS-274 / ISO 6983, `G54` to `G59`.
    pub name: String,
    /// Where the stock's front left corner lies, in the machine's X and Y, in mm.
    pub at: DVec2,
    /// Which setups are mounted there.
    pub serves: Serves,
}

/// Which setups a work position is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Serves {
    /// Any.
    Both,
    /// Top up only.
    Top,
    /// Bottom up only.
    Bottom,
}

/// How far a bored hole misses its diameter (common practice, no source).
const BORE: Length = Length::mm(0.02);
/// What a router of this class repeats (common practice, no source).
const REPEAT: Length = Length::mm(0.02);
/// A step that sanding takes away with the cutter's marks (common practice, no source).
const MISMATCH: Length = Length::mm(0.3);
/// A collet nut of the common sizes (common practice, no source).
const HOLDER: Holder =
    Holder { diameter: Length::mm(35.0), nose: Length::mm(35.0), length: Length::mm(40.0) };

/// A holder of a cutter that says nothing more of it.
pub(in crate::params) const fn usual_holder() -> Holder {
    HOLDER
}

impl Bed {
    /// What holds if the shop says nothing, for a pin of that diameter.
    pub fn usual(pin: Length) -> Bed {
        let [least, most] = pin_limits(pin);
        Bed {
            pin: PinFit {
                least,
                most,
                bore: BORE,
                // Twice its diameter, so that a pin stands upright (common practice, no source).
                depth: pin * 2.0,
                mismatch: MISMATCH,
                place: Vec::new(),
            },
            repeat: REPEAT,
            holder: HOLDER,
            travel: None,
            positions: Vec::new(),
            clamp: Clamp::default(),
        }
    }
}

/// Published limits of a ground dowel pin of that nominal diameter: 1/4 in, ASME B18.8.2-2000,
/// standard series, 0.2501 to 0.2503 in; metric, ISO 8734 class m6 (ISO 286-2). Any other pin is
/// taken to be as thick as the shop says.
fn pin_limits(pin: Length) -> [Length; 2] {
    let is = |nominal: f64| (pin.as_mm() - nominal).abs() < 1e-6;
    if is(6.35) {
        return [Length::inches(0.2501), Length::inches(0.2503)];
    }
    // Lower and upper deviation in µm, by range of the nominal diameter.
    let m6 = [(3.0, 2.0, 8.0), (6.0, 4.0, 12.0), (10.0, 6.0, 15.0), (18.0, 7.0, 18.0)];
    let metric = [3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0].into_iter().any(is);
    match m6.into_iter().find(|(up_to, ..)| pin.as_mm() <= up_to + 1e-6) {
        Some((_, low, high)) if metric => {
            [pin + Length::mm(low * 1e-3), pin + Length::mm(high * 1e-3)]
        }
        _ => [pin, pin],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_pins_have_their_published_limits() {
        let bed = Bed::usual(Length::inches(0.25));
        assert!((bed.pin.least.as_mm() - 6.352_54).abs() < 1e-9, "0.2501 in");
        assert!((bed.pin.most.as_mm() - 6.357_62).abs() < 1e-9, "0.2503 in");
        // ISO 286-2, m6 over 3 to 6 mm: +4 and +12 µm.
        let bed = Bed::usual(Length::mm(6.0));
        assert!((bed.pin.least.as_mm() - 6.004).abs() < 1e-9);
        assert!((bed.pin.most.as_mm() - 6.012).abs() < 1e-9);
        assert_eq!(Bed::usual(Length::mm(7.3)).pin.most, Length::mm(7.3));
    }
}
