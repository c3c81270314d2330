//! The second half of the watch: feeds, depths of layers, and limits.

use super::codes::*;
use super::limit::OVER_MM;
use super::slips::{Slip, Slips};
use super::stage::StageCutter;
use super::timber::Bite;
use super::watch::{Going, Say, Watch, along};
use crate::finding::Severity;
use crate::program::{Motion, PathForm};
use crate::units::{MM_PER_INCH, plain};
use glam::{DVec2, DVec3};

/// A motion is looked at in steps of this, in mm.
const STEP_MM: f64 = 0.5;

/// Motions that cut are taken together over this length before their width is judged, in mm.
const TOGETHER_MM: f64 = 3.0;

/// A motion goes down when it falls so much for each mm of the plan: steps down a flank are none.
const STEEP: f64 = 2.0;

/// A plunge is told from this depth of wood on, in mm, when so much of the cutter's face is in it.
const PLUNGE_MM: f64 = 1.0;
const FULL: f64 = 0.5;

/// A hole may be bored so much deeper at once than a peck.
const PECK_OVER: f64 = 1.2;

/// A feed over this share of the shop's is too fast, and over the second it is a fault; under the third it is
/// in another unit.
const FAST: f64 = 1.1;
const FAR_TOO_FAST: f64 = 3.0;
const SLOW: f64 = 1.0 / 15.0;

/// Shares of the shop's speed outside of which a speed is told, and over which it is a fault (common practice, no
/// source).
const SPEED_LOW: f64 = 0.75;
const SPEED_HIGH: f64 = 1.15;
const SPEED_FAR: f64 = 1.5;

/// A tip this near to the bed goes through the board, in mm, and one that moves so little in the plan goes
/// straight down.
const THROUGH_MM: f64 = 1.0;

/// A turn goes round a hole when its radius is that of the packet's within this, in mm.
const PATH_MM: f64 = 0.1;

/// What is bored so near to a pin is meant for it, in mm.
const BESIDE_A_PIN_MM: f64 = 25.0;
const LEVEL_MM: f64 = 0.02;

/// Further beside the board than this nothing is looked at closely, in mm.
const FAR_MM: f64 = 30.0;

/// What is to be said of a cut's feed.
fn feed(cutter: &StageCutter, feed: f64) -> Option<(Severity, String)> {
    let (name, own) = (&cutter.name, cutter.feed);
    let share = feed / own;
    let cuts = format!("{name} cuts at {feed:.0} mm/min");
    // How far from the shop's feed it would be in another unit.
    let near = |per: f64| (share * per).ln().abs() < 0.1;
    // How far from the nearer of the shop's feed and its plunge.
    let away = |per: f64| (share * per).ln().abs().min((feed * per / cutter.plunge).ln().abs());
    match share {
        _ if share > FAR_TOO_FAST => {
            let meant = if near(1.0 / MM_PER_INCH) {
                ", as if its millimetres were read as inches"
            } else {
                ""
            };
            let says = format!(
                "{cuts}, {} times the shop's feed for it of {own:.0} mm/min{meant}",
                plain(share, 1)
            );
            Some((Severity::Fault, says))
        }
        _ if share > FAST => {
            let says = format!("{cuts}, and the shop's feed for it is {own:.0} mm/min");
            Some((Severity::Caution, says))
        }
        _ if share < SLOW => {
            let seconds = away(60.0) < away(MM_PER_INCH);
            let meant =
                if seconds { format!("{feed:.0} mm/s") } else { format!("{feed:.0} in/min") };
            let says = format!(
                "{cuts}, as if {meant} were meant; the shop's feed for it is {own:.0} mm/min"
            );
            Some((Severity::Caution, says))
        }
        _ => None,
    }
}

/// What is to be said of the spindle's speed while a cutter cuts; nothing when the program gives none.
fn speed(cutter: &StageCutter, speed: f64) -> Option<(Severity, f64, String)> {
    let (name, own) = (&cutter.name, cutter.speed);
    let share = speed / own;
    if speed <= 0.0 || (SPEED_LOW..=SPEED_HIGH).contains(&share) {
        return None;
    }
    let severity = if share > SPEED_FAR { Severity::Fault } else { Severity::Caution };
    let says =
        format!("{name} cuts at {speed:.0} rpm, and the shop's speed for it is {own:.0} rpm");
    Some((severity, share.ln().abs(), says))
}

impl Watch<'_> {
    pub(super) fn feeds(
        &mut self,
        index: usize,
        cutter: &StageCutter,
        motion: &Motion,
        bite: &Bite,
        cuts: bool,
        say: Say<'_>,
    ) {
        let name = &cutter.name;
        let flat = match motion.form {
            PathForm::Straight => motion.from.truncate().distance(motion.to.truncate()),
            PathForm::Turn { centre, angle } => {
                motion.from.truncate().distance(centre) * angle.abs()
            }
        };
        let down = motion.from.z - motion.to.z;
        let steep = down > STEEP * flat;
        if motion.rapid || !cuts {
            self.going = Going::default();
            return;
        }
        let radius = cutter.form.radius;
        let area = std::f64::consts::PI * radius * radius;
        let at_a_pin = self.stage.at_a_pin(motion.to.truncate());
        let cell2 = self.cells.cell * self.cells.cell;
        if steep {
            let speed = motion.feed * down / down.hypot(flat);
            if speed > 1.02 * cutter.plunge {
                self.going.down += down;
                self.going.down_cut += f64::from(bite.sum) * cell2;
                // How deep the wood is on average under the whole of the cutter.
                let deep = self.going.down_cut / area;
                if deep >= PLUNGE_MM && deep > FULL * self.going.down {
                    let says = format!(
                        "{name} goes {deep:.1} mm straight down into wood at {speed:.0} mm/min, and the shop's \
                         plunge is {:.0} mm/min",
                        cutter.plunge
                    );
                    let severity =
                        if deep > 2.0 * radius { Severity::Fault } else { Severity::Caution };
                    let help = "Set the plunge feed in the path program.";
                    say(PLUNGE_FAST, severity, motion.to, deep, says, help);
                }
            }
        } else {
            (self.going.down, self.going.down_cut) = (0.0, 0.0);
        }
        let bores = at_a_pin || self.bores_beside(index, cutter, motion).is_some();
        self.straight_down(index, cutter, motion, (steep, bores, bite), say);
        let peck = self.stage.bore.as_ref().and_then(|bore| bore.peck).filter(|_| at_a_pin);
        let bored = f64::from(bite.deepest.0);
        if let Some(peck) = peck
            && steep
            && bored > PECK_OVER * peck
        {
            let says = format!(
                "{name} bores {bored:.1} mm at once, and the packet has pecks of {} mm",
                plain(peck, 2)
            );
            let help = "Bore with pecks (G83), or round in a helix, as the setup's page has it.";
            say(PASS_DEEPER, Severity::Caution, motion.to, bored, says, help);
        }
        if steep || at_a_pin {
            return;
        }
        self.layer(index, cutter, motion, (flat, bite), say);
        if let Some((severity, says)) = feed(cutter, motion.feed) {
            let help = "Check the feed and its unit in the path program.";
            // The fastest stands for all: of feeds in another unit that is the one along the surface.
            say(FEED_OFF, severity, motion.to, motion.feed, says, help);
        }
        if let Some((severity, amount, says)) = speed(cutter, motion.speed) {
            let help = "Check the cutter, and its speed in the path program.";
            say(SPEED_OFF, severity, motion.to, amount, says, help);
        }
    }

    /// A plunge through more wood than a layer of the cutter's.
    fn straight_down(
        &mut self,
        index: usize,
        cutter: &StageCutter,
        motion: &Motion,
        (steep, at_a_pin, bite): (bool, bool, &Bite),
        say: Say<'_>,
    ) {
        let Some(depth) = self.allow(index).depth.filter(|_| steep && !at_a_pin) else {
            self.going.plunge = 0.0;
            return;
        };
        let area = std::f64::consts::PI * cutter.form.radius * cutter.form.radius;
        self.going.plunge += f64::from(bite.sum) * self.cells.cell * self.cells.cell;
        let deep = self.going.plunge / area;
        if deep > PECK_OVER * depth {
            let name = &cutter.name;
            let says = format!(
                "{name} goes {deep:.1} mm straight down into wood at once, and its pass is {} mm deep",
                plain(depth, 2)
            );
            let help = "Go in on a slope, or in steps no deeper than the pass.";
            say(PASS_DEEPER, Severity::Caution, motion.to, deep, says, help);
        }
    }

    /// The depth of a layer, or of what a finishing cutter meets.
    fn layer(
        &mut self,
        index: usize,
        cutter: &StageCutter,
        motion: &Motion,
        (flat, bite): (f64, &Bite),
        say: Say<'_>,
    ) {
        let deep = f64::from(bite.deepest.0);
        let mm2 = f64::from(bite.deep) * self.cells.cell * self.cells.cell;
        if self.allow(index).finish.is_some() {
            if bite.deep > 0 {
                self.deep.entry(index).or_default().add(motion, mm2, deep);
            }
            return;
        }
        self.layered = true;
        self.going.run += flat;
        self.going.run_deep += mm2;
        if self.going.run < TOGETHER_MM {
            return;
        }
        let wide = self.going.run_deep / self.going.run;
        if wide > 0.5 * cutter.form.radius {
            let says = format!(
                "{} cuts {deep:.1} mm deep, {wide:.1} mm wide, deeper than its pass",
                cutter.name
            );
            let help = "Set the depth of a layer as the setup's page has it.";
            say(PASS_DEEPER, Severity::Fault, motion.to, deep, says, help);
        }
        (self.going.run, self.going.run_deep) = (0.0, 0.0);
    }

    /// Says at the end of a program which finishing cutters went through solid wood.
    pub fn finished_in_solid(&mut self, program: usize, out: &mut Slips) {
        for (index, squares) in std::mem::take(&mut self.deep) {
            let (Some(solid), Some(usual)) = (squares.solid(), self.allow(index).finish) else {
                continue;
            };
            let name = &self.stage.cutters[index].name;
            let says = format!(
                "{name} finishes in solid wood: it takes up to {:.1} mm of it at once, on {:.0} mm\u{b2} in all, and \
                 the passes before it should leave {usual:.1} mm at most",
                solid.deepest, solid.mm2
            );
            let help = if self.layered {
                "Some roughing went before: was it all of it? Look at its limit and its lowest layer."
            } else {
                "Run the roughing programs first; here, give them before this one, or the wood that they \
                 left with --from."
            };
            let slip = Slip {
                code: FINISH_IN_SOLID,
                severity: Severity::Fault,
                program,
                line: solid.line,
                worst_line: solid.worst_line,
                says,
                help,
                at: Some(solid.at),
                amount: solid.deepest,
                times: 1,
                also: Vec::new(),
                cause: false,
                explained: false,
            };
            out.add(name, slip);
        }
    }

    /// What is bored at a pin with another cutter, or through the board where no pin stands. Whether that is
    /// all there is to say of the motion.
    fn at_a_pin(
        &mut self,
        index: usize,
        cutter: &StageCutter,
        motion: &Motion,
        say: Say<'_>,
    ) -> bool {
        let stage = self.stage;
        let Some(bore) = &stage.bore else { return false };
        let at = motion.to.truncate();
        let name = &cutter.name;
        if self.stage.at_a_pin(at) && self.stage.at_a_pin(motion.from.truncate()) {
            if *name != bore.cutter {
                let says = format!(
                    "{name} bores the hole of a pin, and the packet has {} for it",
                    bore.cutter
                );
                let help = "Put the right cutter in for the pins: the pin must fit its hole.";
                say(PIN_HOLE, Severity::Fault, motion.to, 0.0, says, help);
            }
            return true;
        }
        let Some(nearest) = self.bores_beside(index, cutter, motion) else { return false };
        let says = format!(
            "{name} bores where no pin stands; the nearest is {} mm away",
            plain(nearest, 1)
        );
        let help = "Take the places of the holes from the setup's pins.dxf.";
        say(PIN_HOLE, Severity::Fault, motion.to, nearest, says, help);
        true
    }

    /// Of what is bored beside the pins by their cutter, how far the nearest of them is: through the board, or near one.
    pub(super) fn bores_beside(
        &mut self,
        index: usize,
        cutter: &StageCutter,
        motion: &Motion,
    ) -> Option<f64> {
        let stage = self.stage;
        let bore = stage.bore.as_ref().filter(|bore| bore.cutter == cutter.name)?;
        let (from, to) = (motion.from.truncate(), motion.to.truncate());
        let round = |centre: DVec2| (from.distance(centre) - bore.path).abs() < PATH_MM;
        let at = match motion.form {
            PathForm::Turn { centre, .. } if round(centre) => centre,
            PathForm::Straight if from.distance(to) < LEVEL_MM => to,
            _ => return None,
        };
        let limit = self.allow(index).limit.as_ref();
        if limit.is_some_and(|limit| limit.outside(to) <= OVER_MM) {
            return None;
        }
        let nearest = stage.pins.iter().map(|pin| pin.distance(at));
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        let through = motion.from.z.min(motion.to.z) <= stage.stock[1] + THROUGH_MM;
        (through || nearest <= BESIDE_A_PIN_MM).then_some(nearest)
    }

    pub(super) fn limits(
        &mut self,
        index: usize,
        cutter: &StageCutter,
        motion: &Motion,
        low: f64,
        say: Say<'_>,
    ) {
        let top = self.stage.stock[0] - 0.01;
        if motion.rapid || low >= top {
            return;
        }
        if self.at_a_pin(index, cutter, motion, say) {
            return;
        }
        let size = self.stage.size;
        let Some(limit) = &self.allow(index).limit else {
            let says = format!(
                "the packet has no pass with {} in this setup, so it has no limit to keep to",
                cutter.name
            );
            say(
                CUTTER_WITHOUT_PASS,
                Severity::Caution,
                motion.to,
                0.0,
                says,
                "Check the cutter, and that the program is of this setup.",
            );
            return;
        };
        // What is far beside the board is as far outside: its outlines need not be looked at.
        let far = |p: DVec3| (-p.truncate()).max(p.truncate() - size).max(DVec2::ZERO).length();
        let outside = |p: DVec3| match far(p) {
            far if far > FAR_MM => far,
            _ => limit.outside(p.truncate()),
        };
        let mut worst = (0.0, DVec3::ZERO);
        // Nothing gets worse faster than the cutter moves: where it is clear it is so for a while.
        let mut clear = 0.0;
        let step = motion.length() / along(motion, STEP_MM).count().max(1) as f64;
        for p in along(motion, STEP_MM) {
            clear -= step;
            if clear > 0.0 || p.z >= top {
                continue;
            }
            let room = limit.room(p.truncate());
            let by = if room > 0.0 { 0.0 } else { outside(p) };
            if by > worst.0 {
                worst = (by, p);
            }
            clear = if by > 0.0 { worst.0 - by } else { room };
        }
        if worst.0 > OVER_MM {
            let says = format!("{} leaves its limit by {:.2} mm", cutter.name, worst.0);
            say(
                PAST_LIMIT,
                Severity::Fault,
                worst.1,
                worst.0,
                says,
                "Set the pass's limit from limits.dxf as the boundary of the path.",
            );
        }
    }
}
