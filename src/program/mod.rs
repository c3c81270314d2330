//! Programs for the machine: RS-274 text, as routers run it, to motions in millimetres.
//!
//! Read by the rules of Kramer, Proctor and Messina, *The NIST RS274NGC Interpreter, Version 3*
//! (NISTIR 6556, 2000): modal groups, order of execution, arcs by centre or radius and their
//! tolerance, drilling cycles. Added is what routers share: lower case, `;` comments, `%`, bare
//! carriage returns, G90.1 and G91.1.
//!
//! Promised: any bytes are read without a stop, line by line, in bounded memory; what is not known
//! is said with its line and never guessed, and such a line is not run. Not promised: what one
//! make of machine does otherwise; parameters, formulas, subprograms and cutter compensation are
//! not run.

mod arc;
mod cycle;
mod given;
mod interpreter;
mod length;
mod lines;
mod modal;
mod moving;
mod once;
mod remark;
mod words;

pub use given::{LineTally, PassedOver, Zeros};
pub use interpreter::Interpreter;
pub use lines::ProgramText;
pub use remark::{
    AFTER_END, CODES, DISTANCE_NOT_SAID, EMPTY, HEIGHT_NOT_SAID, NOT_A_PROGRAM, NOT_ENDED, NOT_RUN,
    RULE_BROKEN, Remark, TOOL_LENGTH, TURNS_BACK, UNIT_NOT_SAID, ZERO_SHIFTED,
};

use glam::{DVec2, DVec3};

/// How the tip goes from one point to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PathForm {
    /// Straight.
    Straight,
    /// Round a centre in the plan, rising evenly: an arc, or a helix.
    Turn {
        /// The centre.
        centre: DVec2,
        /// How far round, in radians, counter-clockwise positive.
        angle: f64,
    },
}

/// One motion of the cutter's tip, in mm, in the frame that the zeros are given in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Line of the program, from 1.
    pub line: u32,
    /// Where it begins.
    pub from: DVec3,
    /// Where it ends.
    pub to: DVec3,
    /// Its path.
    pub form: PathForm,
    /// Whether it is a rapid.
    pub rapid: bool,
    /// In mm/min; 0 for a rapid.
    pub feed: f64,
    /// Number of the tool in the spindle, if the program named one.
    pub tool: Option<u32>,
    /// Whether the spindle turns.
    pub spinning: bool,
    /// How fast, in turns a minute; 0 when no S was given.
    pub speed: f64,
}

impl Motion {
    /// How long the path is, in mm.
    pub fn length(&self) -> f64 {
        match self.form {
            PathForm::Straight => self.from.distance(self.to),
            PathForm::Turn { centre, angle } => {
                let round = self.from.truncate().distance(centre) * angle.abs();
                round.hypot(self.to.z - self.from.z)
            }
        }
    }

    /// The place on the path at a share of it from 0 to 1.
    pub fn at(&self, share: f64) -> DVec3 {
        match self.form {
            PathForm::Straight => self.from.lerp(self.to, share),
            PathForm::Turn { centre, angle } => {
                let arm = self.from.truncate() - centre;
                let place = centre + DVec2::from_angle(angle * share).rotate(arm);
                place.extend(self.from.z + (self.to.z - self.from.z) * share)
            }
        }
    }
}

/// What a program does, in its order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    /// The tip moves.
    Move(Motion),
    /// Nothing moves for so many seconds.
    Dwell(f64),
    /// A tool is put in.
    Tool {
        /// The line.
        line: u32,
        /// Its number.
        number: u32,
    },
    /// A work position is chosen: 0 for G54, 1 for G55 and so on.
    Position {
        /// The line.
        line: u32,
        /// Which.
        index: usize,
    },
}

#[cfg(test)]
mod tests;
