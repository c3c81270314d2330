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

/// Cells that are glanced at together, before any is looked at closely.
const GLANCE: usize = 16;

/// A glance lets pass what lies nearer than this, in mm: the rounding of figures. It is far finer than what a cell's
/// height can tell, so that what was cut at the same height before is not looked at again.
const GLANCE_MM: f64 = 1e-9;

/// A ring is taken as so much wider, in mm: the rounding of figures.
const NEAR_MM: f64 = 1e-6;

/// A part of a motion. Places in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Which motion of the lot.
    pub motion: u32,
    from: DVec3,
    to: DVec3,
    /// Of a level arc, its centre and the middle of the part's directions, with the cosine of half
    /// its angle.
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
            (centre, middle.normalize_or_zero(), (angle.abs() / count / 2.0).cos())
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
        if let Some((centre, _, cosine)) = self.arc {
            // How far a part of an arc bulges over its chord.
            reach += centre.distance(a) * (1.0 - cosine);
        }
        (a.min(b) - reach, a.max(b) + reach)
    }

    /// Its lowest height.
    pub fn lowest(&self) -> f64 {
        self.from.z.min(self.to.z)
    }

    /// Hands every cell of some rows that the form passes, and that may stand over it, with its
    /// number and the height left there. `top` is the wood of the rows, from their first cell on.
    #[inline]
    pub fn pass(
        &self,
        cells: &BoardCells,
        form: &CuttingForm,
        rows: Range<usize>,
        top: &mut [f32],
        mut each: impl FnMut(&mut f32, usize, f64),
    ) {
        let offset = rows.start * cells.columns;
        let own = self.rows(cells, form.radius);
        let rows = rows.start.max(own.start)..rows.end.min(own.end);
        let (a, b) = (self.from.truncate(), self.to.truncate());
        let (least, most) = self.box_round(0.0);
        let length = a.distance(b);
        let way = if length < 1e-9 { DVec2::ZERO } else { (b - a) / length };
        let rise = if length < 1e-9 { 0.0 } else { (self.to.z - self.from.z) / length };
        let left = |p: DVec2| self.left(p, form, (way, length, rise));
        for row in rows {
            let y = cells.first.y + row as f64 * cells.cell;
            let mut free = (f64::INFINITY, f64::NEG_INFINITY);
            let (from, to) = if let Some((centre, ..)) = self.arc {
                // A ring: nothing is cut outside of it, nor in its free middle.
                let (radius, up) = (centre.distance(a), (y - centre.y).powi(2));
                let outer = ((radius + form.radius).powi(2) - up).max(0.0).sqrt() + NEAR_MM;
                let inner = (radius - form.radius).max(0.0).powi(2) - up;
                if inner > 0.0 {
                    let inner = inner.sqrt() - NEAR_MM;
                    free = (centre.x - inner, centre.x + inner);
                }
                (
                    (least.x - form.radius).max(centre.x - outer),
                    (most.x + form.radius).min(centre.x + outer),
                )
            } else if length < 1e-9 {
                let wide = (form.radius * form.radius - (y - a.y).powi(2)).max(0.0).sqrt();
                (a.x - wide, a.x + wide)
            } else {
                let (from, to) = self.span(y - a.y, way, length, form.radius);
                (a.x + from, a.x + to)
            };
            let columns = cells.columns_between(from, to);
            let first = row * cells.columns + columns.start;
            let Some(line) = top.get_mut(first - offset..first - offset + columns.len()) else {
                continue;
            };
            let beside = (least.y - y).max(y - most.y).max(0.0);
            for (lot, wood) in line.chunks_mut(GLANCE).enumerate() {
                let column = columns.start + lot * GLANCE;
                let x = cells.first.x + column as f64 * cells.cell;
                let end = x + (wood.len() - 1) as f64 * cells.cell;
                if x > free.0 && end < free.1 {
                    continue;
                }
                let ahead = (least.x - end).max(x - most.x).max(0.0);
                // Most of what a cutter passes was cut before. What lies lower than it can reach
                // there needs no closer look.
                let away = ahead.hypot(beside).min(form.radius);
                let reach = (self.lowest() + form.height(away) - GLANCE_MM) as f32;
                if !wood.iter().fold(false, |any, at| any | (*at > reach)) {
                    continue;
                }
                for (k, at) in wood.iter_mut().enumerate() {
                    if *at > reach
                        && let Some(height) = left(DVec2::new(x + k as f64 * cells.cell, y))
                    {
                        each(at, first + lot * GLANCE + k, height);
                    }
                }
            }
        }
    }

    /// The height left at a place; none where the form doesn't pass. With the path's direction in the
    /// plan, its length there and its rise for each mm of that.
    #[inline]
    fn left(
        &self,
        p: DVec2,
        form: &CuttingForm,
        (way, length, rise): (DVec2, f64, f64),
    ) -> Option<f64> {
        let a = self.from.truncate();
        if let Some((centre, middle, cosine)) = self.arc {
            let arm = p - centre;
            let out = arm.length();
            let away = if arm.dot(middle) >= cosine * out {
                (out - centre.distance(a)).abs()
            } else {
                p.distance(a).min(p.distance(self.to.truncate()))
            };
            return (away <= form.radius).then(|| self.from.z + form.height(away));
        }
        let q = p - a;
        if way == DVec2::ZERO {
            return Some(self.lowest() + form.height(q.length().min(form.radius)));
        }
        let (off, along) = (q.perp_dot(way), q.dot(way));
        let up = form.left_by_line(along, off * off, length, rise)?;
        Some(self.from.z + up)
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
