//! The second half of the watch: feeds, depths of layers, and limits.

use super::codes::*;
use super::limit::OVER_MM;
use super::stage::StageCutter;
use super::timber::Bite;
use super::watch::{Going, Say, Watch, along};
use crate::finding::Severity;
use crate::program::{Motion, PathForm};
use glam::DVec3;

/// A motion is looked at in steps of this, in mm.
const STEP_MM: f64 = 0.5;

/// Motions that cut are taken together over this length before their width is judged, in mm.
const TOGETHER_MM: f64 = 3.0;

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
        let steep = down > flat;
        if motion.rapid || !cuts {
            self.going = Going::default();
            return;
        }
        let area = std::f64::consts::PI * cutter.form.radius * cutter.form.radius;
        if steep {
            let speed = motion.feed * down / down.hypot(flat);
            if speed > 1.02 * cutter.plunge {
                self.going.down += down;
                self.going.down_cut += f64::from(bite.sum) * self.cell * self.cell;
                let full = self.going.down_cut / (area * self.going.down);
                if self.going.down >= 0.5 && full > 1.0 / 3.0 {
                    let says = format!(
                        "{name} goes down into wood at {speed:.0} mm/min, and the shop's plunge is {:.0} mm/min",
                        cutter.plunge
                    );
                    say(
                        PLUNGE_FAST,
                        Severity::Fault,
                        motion.to,
                        speed,
                        says,
                        "Set the plunge feed in the path program.",
                    );
                }
            }
        } else {
            (self.going.down, self.going.down_cut) = (0.0, 0.0);
        }
        let bored = self.stage.bore.as_ref().is_some_and(|(bores, path, _)| {
            bores == name
                && self
                    .stage
                    .pins
                    .iter()
                    .any(|pin| pin.distance(motion.to.truncate()) <= path + OVER_MM)
        });
        if !steep && !bored {
            self.going.run += flat;
            self.going.run_deep += f64::from(bite.deep) * self.cell * self.cell;
            if self.going.run >= TOGETHER_MM {
                let wide = self.going.run_deep / self.going.run;
                let deep = f64::from(bite.deepest.0);
                let quarter = 0.5 * cutter.form.radius;
                if let Some(usual) = self.allow(index).finish {
                    if wide > cutter.form.radius.max(usual.wide) {
                        let says = format!(
                            "{name} finishes in solid wood: it meets {deep:.1} mm of it, {wide:.1} mm wide, where the \
                             passes before it leave {:.1} mm at most",
                            usual.deep
                        );
                        say(
                            FINISH_IN_SOLID,
                            Severity::Caution,
                            motion.to,
                            deep,
                            says,
                            "Run the roughing programs first; here, give them before this one, or the wood \
                             that they left with --from.",
                        );
                    }
                } else if wide > quarter {
                    let says = format!(
                        "{name} cuts {deep:.1} mm deep, {wide:.1} mm wide, deeper than its pass"
                    );
                    say(
                        PASS_DEEPER,
                        Severity::Fault,
                        motion.to,
                        deep,
                        says,
                        "Set the depth of a layer as the setup's page has it.",
                    );
                }
                (self.going.run, self.going.run_deep) = (0.0, 0.0);
            }
            let share = motion.feed / cutter.feed;
            if share > 1.1 {
                let says = format!(
                    "{name} cuts at {:.0} mm/min, and the shop's feed for it is {:.0} mm/min",
                    motion.feed, cutter.feed
                );
                say(
                    FEED_OFF,
                    Severity::Caution,
                    motion.to,
                    motion.feed,
                    says,
                    "Check the feed and its unit in the path program.",
                );
            } else if share < 1.0 / 15.0 {
                let says = format!(
                    "{name} cuts at {:.0} mm/min, as if {:.0} in/min were meant; the shop's feed for it is {:.0} mm/min",
                    motion.feed, motion.feed, cutter.feed
                );
                say(
                    FEED_OFF,
                    Severity::Caution,
                    motion.to,
                    1.0 / motion.feed,
                    says,
                    "Check the unit of the feed in the path program.",
                );
            }
        }
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
        let lower = along(motion, STEP_MM).filter(|p| p.z < top);
        let worst = lower
            .map(|p| (limit.outside(p.truncate()), p))
            .fold((0.0, DVec3::ZERO), |a, b| if b.0 > a.0 { b } else { a });
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
