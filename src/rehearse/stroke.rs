//! What one motion does to cells: its paths cut into strokes, and the height that each leaves.

use super::cells::BoardCells;
use super::form::CuttingForm;
use crate::program::{Motion, PathForm};
use glam::{DVec2, DVec3};
use std::f64::consts::PI;
use std::ops::Range;

/// A helix is carved as chords that leave it by at most this much, in mm.
const SAGITTA_MM: f64 = 0.0005;

/// A level arc is carved as it is, in parts of at most this many radians, so that the box round each
/// is small.
const ARC_PART: f64 = PI / 6.0;

/// A part of a motion. Places in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Which motion of the lot.
    pub motion: u32,
    from: DVec3,
    to: DVec3,
    /// Of a level arc, its centre and the middle of the part's directions, with half its angle.
    arc: Option<(DVec2, DVec2, f64)>,
}

/// The strokes of a motion, all raised by `up`.
pub fn strokes(number: u32, motion: &Motion, up: f64, each: &mut dyn FnMut(Stroke)) {
    let raised = DVec3::new(0.0, 0.0, up);
    let mut send = |from: DVec3, to: DVec3, arc| {
        each(Stroke { motion: number, from: from + raised, to: to + raised, arc });
    };
    let PathForm::Turn { centre, angle } = motion.form else {
        return send(motion.from, motion.to, None);
    };
    let radius = motion.from.truncate().distance(centre);
    let level = motion.from.z == motion.to.z
        && (motion.to.truncate().distance(centre) - radius).abs() < 0.01;
    let part = if level { ARC_PART } else { 2.0 * (1.0 - (SAGITTA_MM / radius).min(1.0)).acos() };
    let count = (angle.abs() / part.max(1e-4)).ceil().max(1.0);
    let mut from = motion.from;
    for i in 1..=count as u32 {
        let share = f64::from(i) / count;
        let to = if f64::from(i) == count { motion.to } else { motion.at(share) };
        let arc = level.then(|| {
            let middle = motion.at(share - 0.5 / count).truncate() - centre;
            (centre, middle.normalize_or_zero(), angle.abs() / count / 2.0)
        });
        send(from, to, arc);
        from = to;
    }
}

impl Stroke {
    /// The rows that it can touch.
    pub fn rows(&self, cells: &BoardCells, radius: f64) -> Range<usize> {
        let (low, high) = self.box_round(radius);
        cells.rows_between(low.y, high.y)
    }

    fn box_round(&self, radius: f64) -> (DVec2, DVec2) {
        let (a, b) = (self.from.truncate(), self.to.truncate());
        let mut reach = DVec2::splat(radius);
        if let Some((centre, _, half)) = self.arc {
            // How far a part of an arc bulges over its chord.
            reach += centre.distance(a) * (1.0 - half.cos());
        }
        (a.min(b) - reach, a.max(b) + reach)
    }

    /// Its lowest height.
    pub fn lowest(&self) -> f64 {
        self.from.z.min(self.to.z)
    }

    /// Hands every cell of some rows that the form passes, with the height left there.
    #[inline]
    pub fn pass(
        &self,
        cells: &BoardCells,
        form: &CuttingForm,
        rows: Range<usize>,
        mut each: impl FnMut(usize, f64),
    ) {
        let own = self.rows(cells, form.radius);
        let rows = rows.start.max(own.start)..rows.end.min(own.end);
        let (a, b) = (self.from.truncate(), self.to.truncate());
        if let Some((centre, middle, half)) = self.arc {
            let (radius, cosine) = (centre.distance(a), half.cos());
            let (low, high) = self.box_round(form.radius);
            let columns = cells.columns_between(low.x, high.x);
            for row in rows {
                let y = cells.first.y + row as f64 * cells.cell;
                for column in columns.clone() {
                    let p = DVec2::new(cells.first.x + column as f64 * cells.cell, y);
                    let arm = p - centre;
                    let out = arm.length();
                    let away = if arm.dot(middle) >= cosine * out {
                        (out - radius).abs()
                    } else {
                        p.distance(a).min(p.distance(b))
                    };
                    if away <= form.radius {
                        each(row * cells.columns + column, self.from.z + form.height(away));
                    }
                }
            }
            return;
        }
        let length = a.distance(b);
        if length < 1e-9 {
            let low = self.lowest();
            for row in rows {
                let y = cells.first.y + row as f64 * cells.cell - a.y;
                let wide = (form.radius * form.radius - y * y).max(0.0).sqrt();
                for column in cells.columns_between(a.x - wide, a.x + wide) {
                    let x = cells.first.x + column as f64 * cells.cell - a.x;
                    let away = x.hypot(y).min(form.radius);
                    each(row * cells.columns + column, low + form.height(away));
                }
            }
            return;
        }
        let way = (b - a) / length;
        let rise = (self.to.z - self.from.z) / length;
        for row in rows {
            let y = cells.first.y + row as f64 * cells.cell - a.y;
            let (from, to) = self.span(y, way, length, form.radius);
            for column in cells.columns_between(a.x + from, a.x + to) {
                let x = cells.first.x + column as f64 * cells.cell - a.x;
                let off = x * way.y - y * way.x;
                let along = x * way.x + y * way.y;
                if let Some(up) = form.left_by_line(along, off * off, length, rise) {
                    each(row * cells.columns + column, self.from.z + up);
                }
            }
        }
    }

    /// From where to where along X a round form can touch a row at `y`, from the stroke's start.
    fn span(&self, y: f64, way: DVec2, length: f64, radius: f64) -> (f64, f64) {
        let (mut first, mut last) = (0.0, length);
        if way.y.abs() > 1e-9 {
            let (one, two) = ((y - radius) / way.y, (y + radius) / way.y);
            first = f64::max(first, one.min(two));
            last = f64::min(last, one.max(two));
        }
        if first > last {
            return (1.0, 0.0);
        }
        let (one, two) = (first * way.x, last * way.x);
        (one.min(two) - radius, one.max(two) + radius)
    }
}
