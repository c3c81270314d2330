//! The shop's bed and spindle: what pins, positions and hold-downs are worked out with. Every key
//! of it may be left out.

use super::clamp::Clamp;
use super::keys::{
    ACCELERATION, FEED, FIT, FORCE, Key, KeyShape, LENGTH, LENGTH_OR_NONE, POINT, SAFETY, Word,
    choice, keys, part, table, tables, words,
};
use super::read::TomlTable;
use crate::units::Length;
use glam::DVec2;

keys! {
    /// The bed, the spindle and the fits of what stands between them.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Bed {
        /// How the pins and their holes come out.
        pin: PinFit = table::<PinFit>(),
        // What a router of this class repeats (common practice, no source).
        /// How far the machine may miss a place that it goes to.
        repeat: Length = FIT.at("machine.repeat").commonly(0.003, 0.19).or("0.02 mm"),
        /// How fast the machine gathers speed, for the time of a rehearsal.
        acceleration_mm_s2: Option<f64> = ACCELERATION
            .at("machine.acceleration")
            .commonly(50.0, 3900.0)
            .such_as("400 mm/s2")
            .left_out("400 mm/s2"),
        /// How fast its rapid moves are, for the same.
        rapid_mm_min: Option<f64> = FEED
            .at("machine.rapid")
            .commonly(600.0, 45000.0)
            .such_as("5000 mm/min")
            .left_out("5000 mm/min"),
        /// Height over the stock that clears everything, for a rehearsal.
        safe: Option<Length> =
            LENGTH.at("machine.safe").such_as("15 mm").left_out("that of the setup's page"),
        /// What the tabs must bear, for an estimate.
        tabs: TabLoad = table::<TabLoad>(),
        /// The holder or collet nut above the cutters.
        holder: Holder = table::<Holder>(),
        /// How far the machine goes; not checked when absent.
        travel: Option<Travel> = part::<Travel>().at("machine").left_out("not checked"),
        /// A work position: the word to enter, and where the stock's front left corner lies.
        positions: Vec<Position> = tables::<Position>().at("position"),
        /// Hold-downs, their printing, and the stops on the bed.
        clamp: Clamp = part::<Clamp>(),
    }
}

keys! {
    /// How pins and holes come out, and where the pins stand.
    #[derive(Clone, Debug, PartialEq)]
    pub struct PinFit {
        /// Least diameter of a pin.
        least: Length = LENGTH.such_as("6.34 mm").left_out(PUBLISHED),
        /// Greatest diameter of a pin.
        most: Length = LENGTH.such_as("6.36 mm").left_out(PUBLISHED),
        // (Common practice, no source.)
        /// How far a bored hole may miss its diameter, either way.
        bore: Length = FIT.commonly(0.003, 0.15).or("0.02 mm"),
        /// Depth of the holes in the bed.
        depth: Length = LENGTH.such_as("12 mm").left_out("two diameters"),
        // A step that sanding takes away with the cutter's marks (common practice, no source).
        /// Greatest step between the two sides that the play may cause.
        mismatch: Length = FIT.commonly(0.05, 2.0).or("0.3 mm"),
        // More are no use (no source); every way to put the board on them is tried.
        /// Where they stand on the board.
        place: Vec<DVec2> = POINT
            .list(&KeyShape::Place, 2, 5)
            .such_as("[[\"12 mm\", \"40 mm\"], [\"428 mm\", \"25 mm\"]]")
            .left_out("the tool places two"),
    }
}

const PUBLISHED: &str = "that of a ground dowel pin, as published";

keys! {
    /// What the tabs must bear, for an estimate. Some newtons are what a small sharp ball takes from
    /// hardwood in thin passes, and a dull one a few times as much; three times that, and a
    /// twentieth of a millimetre (all of it common practice, no source).
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct TabLoad {
        /// What the finishing pass pushes with on the piece, in any direction.
        push_n: f64 = FORCE.at("push").commonly(2.0, 60.0).or("10 N"),
        /// How many times the push a tab must bear.
        safety: f64 = SAFETY.commonly(1.2, 12.0).or("3"),
        /// The most that the piece may give way under the push.
        sag: Length = FIT.commonly(0.01, 0.4).or("0.05 mm"),
    }
}

#[cfg(test)]
impl Default for TabLoad {
    fn default() -> TabLoad {
        crate::params::keys::usual()
    }
}

keys! {
    /// What holds the cutter: a cone over its stick-out, and a cylinder when nose and top are alike.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Holder {
        // A collet nut of the common sizes (common practice, no source).
        /// Its greatest diameter, at its top.
        diameter: Length = LENGTH.commonly(12.0, 100.0).or("35 mm"),
        /// Its diameter at the nose, its lower end.
        nose: Length = LENGTH.commonly(5.0, 100.0).such_as("19 mm").left_out("as wide as its top"),
        /// Its length, up to the spindle's body.
        length: Length = LENGTH.commonly(10.0, 250.0).or("40 mm"),
    }
}

keys! {
    /// How far the machine goes, from its home corner.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Travel {
        /// How far it goes along X; with any of these four, the travel is checked.
        x: Length = LENGTH.commonly(100.0, 4000.0).such_as("800 mm"),
        /// How far it goes along Y.
        y: Length = LENGTH.commonly(100.0, 3000.0).such_as("400 mm"),
        /// How far it goes up and down.
        z: Length = LENGTH.commonly(20.0, 600.0).such_as("90 mm"),
        /// Height of the holder's lower face over the bed when the spindle is at its lowest.
        nose: Length = LENGTH_OR_NONE.commonly(1.0, 150.0).such_as("10 mm").or("0 mm"),
    }
}

/// Words for work positions in RS-274 and ISO 6983.
const OFFSETS: [Word; 6] = [
    Word { name: "G54", says: "The first." },
    Word { name: "G55", says: "The second." },
    Word { name: "G56", says: "The third." },
    Word { name: "G57", says: "The fourth." },
    Word { name: "G58", says: "The fifth." },
    Word { name: "G59", says: "The sixth." },
];

keys! {
    /// A work position: a zero point on the bed.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Position {
        /// The word to enter, of RS-274 and ISO 6983.
        name: String = Key::of(KeyShape::Choice(&OFFSETS)).such_as("G54"),
        /// Where the stock's front left corner lies, in the machine's X and Y.
        at: DVec2 = POINT.such_as("[\"40 mm\", \"40 mm\"]"),
        /// Which setups are mounted there.
        serves: Serves = choice::<Serves>().or("both"),
    }
}

words! {
    /// Which setups something is for.
    pub enum Serves {
        /// Any.
        Both = "both",
        /// Top up only.
        Top = "top",
        /// Bottom up only.
        Bottom = "bottom",
    }
}

impl Bed {
    /// Works out what the file leaves to the pins' diameter and to the holder's.
    pub(super) fn complete(&mut self, pin: Length, root: &TomlTable<'_>) {
        let written = root.under("pin");
        let [least, most] = pin_limits(pin);
        // Twice its diameter, so that a pin stands upright (common practice, no source).
        let fit = &mut self.pin;
        for (key, size, usual) in [
            ("least", &mut fit.least, least),
            ("most", &mut fit.most, most),
            ("depth", &mut fit.depth, pin * 2.0),
        ] {
            if !written.has(key) {
                *size = usual;
            }
        }
        self.holder = self.holder.complete();
        self.clamp.stops.iter_mut().for_each(|stop| *stop = stop.complete());
        self.clamp.tracks.iter_mut().for_each(|track| *track = track.complete());
    }

    /// What holds if the shop says nothing, for a pin of that diameter.
    #[cfg(test)]
    pub fn usual(pin: Length) -> Bed {
        let mut bed: Bed = super::keys::usual();
        bed.complete(pin, &TomlTable::bare());
        bed
    }
}

impl Holder {
    /// The same, its nose as wide as its top if nothing else was read.
    pub(super) fn complete(self) -> Holder {
        let nose = if self.nose.as_mm().is_nan() { self.diameter } else { self.nose };
        Holder { nose, ..self }
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
