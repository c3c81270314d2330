//! The second half of running a line: motions, arcs and drilling cycles.

use super::arc::{self, ArcPlane, NoArc};
use super::cycle::{self, DrillingCycle};
use super::interpreter::{Breach, Interpreter, Sink, Sorted};
use super::modal::ModalGroup;
use super::remark::{DISTANCE_NOT_SAID, HEIGHT_NOT_SAID, Remark, TOOL_LENGTH, UNIT_NOT_SAID};
use super::{Action, Motion, PathForm};
use crate::finding::Severity;
use glam::{DVec2, DVec3};

/// An arc read in another way is what was meant when its ends differ by no more than this, in mm: four decimals of
/// inches, rounded.
const MEANT_MM: f64 = 0.01;

/// An arc shorter than this share of its radius says nothing of its centre.
const SHORT: f64 = 0.1;

impl Interpreter {
    /// Where axis words lead.
    pub(super) fn target(&self, axes: [Option<f64>; 3]) -> DVec3 {
        let (zero, unit) = (self.zero(), self.unit());
        let mut to = self.at;
        for (axis, value) in axes.into_iter().enumerate() {
            if let Some(value) = value {
                let from = if self.state.incremental { self.at[axis] } else { zero[axis] };
                to[axis] = from + value * unit;
            }
        }
        to
    }

    pub(super) fn motion(&mut self, at: &Sorted, out: Sink<'_>) -> Result<(), Breach> {
        let code = at.of(ModalGroup::Motion).or(self.state.motion);
        if let Some(code) = at.of(ModalGroup::Motion) {
            self.state.motion = Some(code).filter(|code| *code != 800);
        }
        let axes = at.xyz();
        if at.has_g(530) {
            let Some(0 | 10) = code else { return Err("G53 needs G0 or G1".into()) };
            let unit = self.unit();
            let mut to = self.at;
            for (axis, value) in axes.into_iter().enumerate() {
                if let Some(value) = value {
                    to[axis] = self.zeros.home[axis] + value * unit;
                }
            }
            return self.go_at(to, PathForm::Straight, code == Some(0), out);
        }
        if axes.iter().any(Option::is_some) && !std::mem::replace(&mut self.distance_known, true) {
            let says = "the program moves before it says G90 or G91; its places are read as absolute (G90)".into();
            let help = "Have the path program write G90 at its beginning, or G91 if that is meant.";
            let (code, severity) = (DISTANCE_NOT_SAID, Severity::Caution);
            self.remark(Remark { code, severity, line: 0, says, help }, out);
        }
        match code {
            Some(0) => self.go_at(self.target(axes), PathForm::Straight, true, out),
            Some(10) => self.go_at(self.target(axes), PathForm::Straight, false, out),
            Some(code @ (20 | 30)) => self.arc(at, code == 20, out),
            Some(code @ (810 | 820 | 830)) => self.cycle(at, code, out),
            Some(800) if axes.iter().all(Option::is_none) => Ok(()),
            _ => {
                Err("there are axis words and no motion code, such as G0 or G1, is in force".into())
            }
        }
    }

    pub(super) fn arc(
        &mut self,
        at: &Sorted,
        clockwise: bool,
        out: Sink<'_>,
    ) -> Result<(), Breach> {
        let (plane, unit) = (self.state.plane, self.unit());
        let inches = self.state.inches == Some(true);
        let to = self.target(at.xyz());
        let ((start, low), (end, high)) = (plane.of(self.at), plane.of(to));
        let [i, j, k] = [b'I', b'J', b'K'].map(|letter| at.letter(letter));
        let mut meant = None;
        let arc = if let Some(radius) = at.letter(b'R') {
            if i.or(j).or(k).is_some() {
                return Err("an arc has a radius or a centre, not both".into());
            }
            arc::by_radius(start, end, radius * unit, clockwise, arc::tolerance(inches))
        } else {
            let astray = match plane {
                ArcPlane::Xy => None,
                ArcPlane::Zx => j.map(|_| ("J", "Z and X (G18)")),
                ArcPlane::Yz => i.map(|_| ("I", "Y and Z (G19)")),
            };
            if let Some((letter, plane)) = astray {
                self.at = to;
                return Err(format!(
                    "the arc's centre has {letter}, and arcs lie in the plane of {plane}: was G17 meant?"
                ));
            }
            let [first, second] = match plane {
                ArcPlane::Xy => [i, j],
                ArcPlane::Zx => [k, i],
                ArcPlane::Yz => [j, k],
            };
            if first.or(second).is_none() {
                return Err("the arc has neither a centre nor a radius".into());
            }
            let offset = DVec2::new(first.unwrap_or(0.0), second.unwrap_or(0.0)) * unit;
            let (zero, _) = plane.of(self.zero());
            let value =
                |given: Option<f64>, zero: f64, own: f64| given.map_or(own, |v| zero + v * unit);
            let place = DVec2::new(value(first, zero.x, start.x), value(second, zero.y, start.y));
            let absolute = self.state.centres_absolute;
            let (centre, other) =
                if absolute { (place, start + offset) } else { (start + offset, place) };
            let arc = arc::by_centre(start, end, centre, clockwise);
            if !arc.is_ok_and(|arc| arc.differs <= arc::tolerance(inches) + 1e-9) {
                // The usual mistakes with a centre.
                let tells = |centre: DVec2| start.distance(end) > SHORT * start.distance(centre);
                let right = |centre: DVec2| {
                    arc::by_centre(start, end, centre, clockwise)
                        .is_ok_and(|arc| arc.differs <= MEANT_MM)
                };
                meant = match () {
                    // A short arc fits any centre that is far off, and a whole turn fits all.
                    () if !tells(other) => None,
                    () if right(other) && absolute => {
                        Some("; it would be right with its centre counted from its start (G91.1)")
                    }
                    () if right(other) => {
                        Some("; it would be right with its centre counted from the zero (G90.1)")
                    }
                    () if right(start - offset) => {
                        // The same as counted from its end.
                        Some("; it would be right with its centre's numbers of the other sign")
                    }
                    () => None,
                };
            }
            arc
        };
        let meant = meant.unwrap_or_default();
        let arc = match arc {
            Ok(arc) => arc,
            Err(none) => {
                // The machine would stop; what follows is rehearsed from the arc's end.
                self.at = to;
                let says: Breach = match none {
                    NoArc::NoChord => "an arc by its radius ends where it begins".into(),
                    NoArc::TooFar => {
                        "the ends of the arc are further apart than twice its radius".into()
                    }
                    NoArc::NoRadius => "the arc begins in its own centre".into(),
                    NoArc::Astray(by) => {
                        format!(
                            "the arc's ends differ by {by:.3} mm in their distance from its centre"
                        )
                    }
                };
                return Err(says + meant);
            }
        };
        if arc.differs > arc::tolerance(inches) + 1e-9 {
            let says = format!(
                "the arc's ends differ by {:.4} mm in their distance from its centre, over the \
                 {:.4} mm that RS-274 allows{meant}; it is carved all the same",
                arc.differs,
                arc::tolerance(inches)
            );
            self.caution(says, "Have the path program write more decimals.", out);
        }
        if plane == ArcPlane::Xy {
            let form = PathForm::Turn { centre: arc.centre, angle: arc.angle };
            return self.go_at(to, form, false, out);
        }
        let length = (start.distance(arc.centre) * arc.angle.abs()).hypot(high - low);
        let from = self.at;
        let feed = self.feed_over(length)?;
        for place in arc::chords(plane, from, to, arc) {
            self.send(place, PathForm::Straight, false, feed, out);
        }
        Ok(())
    }

    pub(super) fn cycle(&mut self, at: &Sorted, code: u32, out: Sink<'_>) -> Result<(), Breach> {
        if self.state.plane != ArcPlane::Xy {
            return Err("drilling cycles are read in the plane of X and Y alone".into());
        }
        let sticky = at.of(ModalGroup::Motion).is_none();
        let unit = self.unit();
        let mut drilling = if sticky { self.drilling } else { DrillingCycle::default() };
        drilling.take(|letter| at.letter(letter).map(|value| value * unit));
        let repeats = at.letter(b'L').unwrap_or(1.0);
        if !(1.0..=10_000.0).contains(&repeats) || repeats.fract() != 0.0 {
            return Err("L is not a whole number from 1 to 10000".into());
        }
        self.drilling = drilling;
        let incremental = self.state.incremental;
        let start = if incremental { self.at.z } else { self.zero().z };
        let depth = drilling.depths(code, start, incremental, repeats)?;
        let feed = self.feed_over(1.0)?;
        let [x, y, _] = at.xyz();
        let back = if self.state.retract_to_r { depth.clear } else { depth.clear.max(self.at.z) };
        for _ in 0..repeats as u32 {
            let over = self.target([x, y, None]);
            for (to, rapid) in cycle::moves(code, self.at, over, depth, back) {
                self.send(to, PathForm::Straight, rapid, if rapid { 0.0 } else { feed }, out);
            }
            if let (820, Some(seconds)) = (code, at.letter(b'P')) {
                out(Ok(Action::Dwell(seconds)));
            }
        }
        Ok(())
    }

    /// The feed of a path of that length, in mm/min.
    pub(super) fn feed_over(&self, length: f64) -> Result<f64, Breach> {
        let feed = self.state.feed * if self.state.inverse_time { length } else { 1.0 };
        match feed > 0.0 || length == 0.0 {
            true => Ok(feed),
            false if self.state.feed_said => Err("it cuts with a feed of zero: F0".into()),
            false if self.state.inverse_time => {
                Err("it cuts without a feed: under G93 each line that cuts needs its own F".into())
            }
            false => Err("it cuts without a feed: there is no F before it".into()),
        }
    }

    pub(super) fn go_at(
        &mut self,
        to: DVec3,
        form: PathForm,
        rapid: bool,
        out: Sink<'_>,
    ) -> Result<(), Breach> {
        self.go(to, form, rapid, out)?;
        if self.state.inverse_time && !rapid {
            // It holds for its own line alone.
            (self.state.feed, self.state.feed_said) = (0.0, false);
        }
        Ok(())
    }

    pub(super) fn go(
        &mut self,
        to: DVec3,
        form: PathForm,
        rapid: bool,
        out: Sink<'_>,
    ) -> Result<(), Breach> {
        if to == self.at && form == PathForm::Straight {
            return Ok(());
        }
        let path = Motion { form, ..self.moved(to, rapid, 0.0) };
        let feed = if rapid { 0.0 } else { self.feed_over(path.length())? };
        self.send(to, form, rapid, feed, out);
        Ok(())
    }

    pub(super) fn moved(&self, to: DVec3, rapid: bool, feed: f64) -> Motion {
        Motion {
            line: self.number,
            from: self.at,
            to,
            form: PathForm::Straight,
            rapid,
            feed,
            tool: self.in_spindle,
            spinning: self.state.spinning,
            speed: self.state.speed,
        }
    }

    pub(super) fn send(
        &mut self,
        to: DVec3,
        form: PathForm,
        rapid: bool,
        feed: f64,
        out: Sink<'_>,
    ) {
        if self.state.inches.is_none() && !std::mem::replace(&mut self.unit_told, true) {
            let says =
                "the program moves before it says its unit; it is read in millimetres".into();
            let help = "Have the path program write G21, or G20 for inches, at its beginning.";
            let severity = Severity::Caution;
            self.remark(Remark { code: UNIT_NOT_SAID, severity, line: 0, says, help }, out);
        }
        if to.truncate() != self.at.truncate() && !std::mem::replace(&mut self.height_known, true) {
            let says =
                "the program moves along the board before it says a height: the cutter goes at \
                        whatever height it was left at"
                    .into();
            let help = "Have the path program lift the cutter first.";
            let (code, severity) = (HEIGHT_NOT_SAID, Severity::Caution);
            self.remark(Remark { code, severity, line: 0, says, help }, out);
        }
        // On the way there a length may be an old one: it is usually given on the line that first goes down.
        if (!rapid || to.z < self.at.z)
            && let Some(says) = self.length.wrong_for(self.in_spindle)
        {
            let help = "Have the post processor write G43 with the tool's own H after each change of tool.";
            let (code, severity) = (TOOL_LENGTH, Severity::Fault);
            self.remark(Remark { code, severity, line: 0, says, help }, out);
        }
        let motion = Motion { form, ..self.moved(to, rapid, feed) };
        self.tally.stopped = false;
        if self.state.incremental {
            self.tally.stepped = self.tally.stepped.or(self.steps);
        }
        self.at = to;
        out(Ok(Action::Move(motion)));
    }
}
