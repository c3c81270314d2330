//! What a line does once: the way home (G28), and shifts of the zero (G92).

use super::PathForm;
use super::interpreter::{Breach, Interpreter, Sink, Sorted};
use super::remark::{Remark, ZERO_SHIFTED};
use crate::finding::Severity;
use crate::units::plain;
use glam::DVec3;

impl Interpreter {
    /// G28 and G92.
    pub(super) fn once(&mut self, at: &Sorted, out: Sink<'_>) -> Result<(), Breach> {
        if at.has_g(280) {
            let axes = at.xyz();
            let middle = self.target(axes);
            self.go(middle, PathForm::Straight, true, out)?;
            let all = axes.iter().all(Option::is_none);
            let home = self.zeros.home;
            let pick =
                |axis: usize| if all || axes[axis].is_some() { home[axis] } else { self.at[axis] };
            let up = DVec3::new(self.at.x, self.at.y, pick(2));
            let over = DVec3::new(pick(0), pick(1), pick(2));
            self.height_known |= all || axes[2].is_some();
            self.go(up, PathForm::Straight, true, out)?;
            self.go(over, PathForm::Straight, true, out)?;
        }
        if at.has_g(920) && !self.over.shifts {
            let axes = at.xyz();
            if axes.iter().all(Option::is_none) {
                return Err("G92 needs an axis".into());
            }
            let work = self.zeros.work[self.state.position];
            let unit = self.unit();
            let before = self.shift;
            for (axis, value) in axes.into_iter().enumerate() {
                if let Some(value) = value {
                    self.shift[axis] = self.at[axis] - work[axis] - value * unit;
                }
            }
            self.tally.shifted = Some(self.number);
            if self.shift != before {
                let [x, y, z] = (self.shift - before).to_array().map(|by| plain(by, 2));
                let home = if self.at == self.zeros.start {
                    ", if the machine stands at home as it begins"
                } else {
                    ""
                };
                let says = format!("G92 shifts the zero by {x}, {y}, {z} mm{home}");
                let help = "Set the zero by the work position alone, and leave G92 out.";
                let (code, severity) = (ZERO_SHIFTED, Severity::Caution);
                self.remark(Remark { code, severity, line: 0, says, help }, out);
            }
        }
        if at.has_g(921) {
            (self.shift, self.aside) = (DVec3::ZERO, DVec3::ZERO);
        }
        if at.has_g(922) {
            (self.aside, self.shift) = (self.shift, DVec3::ZERO);
        }
        if at.has_g(923) {
            self.shift = self.aside;
            self.tally.shifted = self.tally.shifted.or(Some(self.number));
        }
        if self.shift == DVec3::ZERO {
            self.tally.shifted = None;
        }
        Ok(())
    }
}
