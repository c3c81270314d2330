//! What is cut out between a fork's tines, and how wide the tines are left.
//!
//! A slot has a rounded root, straight sides that open by the taper, and runs out past the tip by
//! the cutter's radius, so that it can be cut as a step of its own after the faces are done.

use super::tine_tips::{TineSide, TineTips, TipCorner, leaves, tip_width};
use super::{ArcPath, ArcVertex, Segment};
use crate::params::Tines;
use crate::units::Length;
use glam::DVec2;

/// Places along a tine's side are this far apart, in mm, when its width is measured; both ends
/// are among them, and the thinnest place is nearly always an end.
const MEASURE_STEP: f64 = 0.5;

/// The slots of a fork, from the right-hand side (negative Y) to the left: closed,
/// counter-clockwise, one fewer than tines, in the design frame.
///
/// All run along X, or fan out from it. Seen across where a slot's root is `slot.width` wide (the centre of its arc),
/// all tines are equally wide; the deepest point of every root is `slot.length` behind `tip_x`.
/// Each slot ends in a straight line across, at least the radius of `cutter` (a diameter) in
/// front of all that the outline has before the slot.
///
/// Empty if there is no room: slots as long as the head, or as wide together, or roots where the
/// outline isn't.
pub fn slots(
    outline: &ArcPath,
    tip_x: Length,
    bowl_length: Length,
    head_width: Length,
    tines: &Tines,
    cutter: Length,
) -> Vec<ArcPath> {
    let gaps = f64::from(tines.count.saturating_sub(1));
    let crowded = tines.slot.width * gaps >= head_width;
    let sane = tines.slot.width > Length::ZERO && tines.slot.length < bowl_length;
    let Some(plan) = SlotPlan::new(outline, tip_x, tines).filter(|_| sane && !crowded) else {
        return Vec::new();
    };
    let ends = (tip_x.as_mm(), cutter.as_mm().max(0.0) * 0.5);
    (0..plan.axes.len()).filter_map(|index| plan.contour(outline, index, ends)).collect()
}

/// How wide the tines are left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlotMeasure {
    /// Across each tine where the slots' roots are at their full width.
    pub tine_width_root: Length,
    /// The thinnest place of any tine, as a shortest distance between slot and slot, or between
    /// an outer slot and the outline, from the roots forward. The outer tines' rounded ends are
    /// left out: the last stretch, as long as the tine is wide at its root, before the slot's
    /// side leaves the outline. So is what is shaped of any tip.
    pub tine_width_least: Length,
    /// The same of the two outer tines.
    pub outer_width_least: Length,
    /// How far the shorter of the two outer tines reaches from the roots' middles.
    pub outer_reach: Length,
    /// Whether a tip that is to be round or pointed is left square on a side, for want of room.
    pub square_tips: bool,
}

/// Measures the tines that `slots` (of the same arguments) leave. None without slots.
pub fn measure(
    outline: &ArcPath,
    tip_x: Length,
    tines: &Tines,
    slots: &[ArcPath],
) -> Option<SlotMeasure> {
    let plan = SlotPlan::new(outline, tip_x, tines)?;
    let (mut least, mut outer_least) = (f64::INFINITY, f64::INFINITY);
    let mut reach = f64::INFINITY;
    let wood = outline.inside();
    // The next slot as far as it is straight: its mouth belongs to the tips.
    let straight: Vec<ArcPath> = slots
        .iter()
        .zip(&plan.axes)
        .map(|(slot, axis)| plan.straight(*axis, slot.bounds().map_or(plan.root_x, |b| b.1.x)))
        .collect();
    for (i, axis) in plan.axes.iter().enumerate().take(straight.len()) {
        for (side, neighbour) in [(-1.0, i.checked_sub(1)), (1.0, Some(i + 1))] {
            let next = neighbour.and_then(|n| straight.get(n));
            // a tine between two slots is seen from both, an outer one from its slot only
            let (other, spared) = match next {
                Some(next) => (next, 0.0),
                None => (outline, plan.tine),
            };
            let spared = plan.tips.stretch(plan.tine).max(spared);
            let front = straight[i].bounds().map_or(plan.root_x, |b| b.1.x);
            let (points, end) = plan.side(&wood, *axis, side, (front, spared));
            let width = points.into_iter().map(|point| other.distance(point).as_mm());
            let width = width.fold(f64::INFINITY, f64::min);
            least = least.min(width);
            if next.is_none() {
                outer_least = outer_least.min(width);
                reach = reach.min(end.x - plan.root_x);
            }
        }
    }
    // Its root is an arc, and so is each corner of a tip.
    let arcs = |slot: &ArcPath| slot.vertices.iter().filter(|corner| corner.bulge != 0.0).count();
    let shaped = plan.tips.stretch(plan.tine) > 0.0;
    least.is_finite().then_some(SlotMeasure {
        square_tips: shaped && slots.iter().any(|slot| arcs(slot) < 3),
        tine_width_root: Length::mm(plan.tine),
        tine_width_least: Length::mm(least),
        outer_width_least: Length::mm(outer_least),
        outer_reach: Length::mm(reach),
    })
}

/// Where one slot runs: the middle of its root, and its turn from along X.
#[derive(Clone, Copy)]
struct SlotAxis {
    root: DVec2,
    turn: f64,
}

/// Where the slots are. All in mm.
struct SlotPlan {
    /// Slot width at the roots.
    width: f64,
    /// Tine width there.
    tine: f64,
    /// Half of the taper, in radians.
    lean: f64,
    /// X of the roots' centres.
    root_x: f64,
    /// From right to left.
    axes: Vec<SlotAxis>,
    tips: TineTips,
}

impl SlotPlan {
    fn new(outline: &ArcPath, tip_x: Length, tines: &Tines) -> Option<SlotPlan> {
        let count = tines.count.checked_sub(1).filter(|&count| count > 0)?;
        let width = tines.slot.width.as_mm();
        let lean = tines.slot.taper.as_radians() * 0.5;
        if !(lean.abs() < std::f64::consts::FRAC_PI_4 && width.is_finite()) {
            return None;
        }
        // the arc touches both sides, and the sides are `width` apart across its centre
        let radius = 0.5 * width * lean.cos();
        let root_x = tip_x.as_mm() - tines.slot.length.as_mm() + radius;
        let (right, left) = outline
            .segments()
            .flat_map(|s| s.meets_x(root_x).collect::<Vec<_>>())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| (l.min(y), h.max(y)));
        let tips = TineTips::of(tines.tip);
        let mut plan = SlotPlan { width, tine: 0.0, lean, root_x, axes: Vec::new(), tips };
        let turn = |i: u32| match count {
            1 => 0.0,
            _ => tines.splay.as_radians() * (f64::from(i) / f64::from(count - 1) - 0.5),
        };
        let wide = |i: u32| plan.reach(turn(i), -1.0) + plan.reach(turn(i), 1.0);
        let fans = tines.splay.as_radians() > 0.0;
        let slots = if fans { (0..count).map(wide).sum() } else { width * f64::from(count) };
        plan.tine = (left - right - slots) / f64::from(tines.count);
        let mut at = right;
        for i in 0..count {
            let turn = turn(i);
            let y = if fans {
                at + plan.tine + plan.reach(turn, -1.0)
            } else {
                right + plan.tine + 0.5 * width + (plan.tine + width) * f64::from(i)
            };
            at = y + plan.reach(turn, 1.0);
            plan.axes.push(SlotAxis { root: DVec2::new(root_x, y), turn });
        }
        plan.tine.is_finite().then_some(plan)
    }

    /// How far a slot that is turned reaches to one side where its root is at its full width.
    fn reach(&self, turn: f64, side: f64) -> f64 {
        let away = self.lean + side * turn;
        // Where its side begins in front of there, the root's arc.
        if away >= 0.0 { self.radius() / away.cos() } else { self.radius() }
    }

    /// Y of one side (1 left, -1 right) of a slot at a place along X.
    fn side_y(&self, axis: SlotAxis, side: f64, x: f64) -> f64 {
        let SlotAxis { root, turn } = axis;
        let half = 0.5 * self.width;
        let ahead = x - root.x + side * half * turn.sin();
        root.y + side * (half * turn.cos() + ahead * side * (turn + side * self.lean).tan())
    }

    fn radius(&self) -> f64 {
        0.5 * self.width * self.lean.cos()
    }

    fn contour(
        &self,
        outline: &ArcPath,
        index: usize,
        (tip_x, run_out): (f64, f64),
    ) -> Option<ArcPath> {
        let axis = *self.axes.get(index)?;
        // as wide as the slot can be in front, so that nothing before it is overlooked
        let far = [-1.0, 1.0].map(|side| self.side_y(axis, side, tip_x + run_out));
        // A mouth goes in as far as half a tine on either side, which may have grown wider than its root.
        let shaped = self.tips.stretch(self.tine) > 0.0;
        let mouth = if shaped { self.tine } else { 0.0 };
        let low = far[0].min(axis.root.y - 0.5 * self.width) - mouth;
        let high = far[1].max(axis.root.y + 0.5 * self.width) + mouth;
        let front = furthest(outline, low, high).unwrap_or(tip_x).max(self.root_x);
        let end_x = front + run_out;
        let path = self.straight(axis, end_x);
        if !shaped {
            return Some(path);
        }
        let along = |axis: SlotAxis, side: f64| {
            [self.root_x, end_x].map(|x| DVec2::new(x, self.side_y(axis, side, x)))
        };
        let wood = outline.inside();
        // The slot on the other side of a tine, and the tine's width where the first of its sides ends.
        let next = |side: f64| {
            let next = if side < 0.0 { index.checked_sub(1)? } else { index + 1 };
            let other = *self.axes.get(next)?;
            let ends = |axis: SlotAxis, side: f64| {
                let on = |x: f64| DVec2::new(x, self.side_y(axis, side, x));
                leaves(&wood, on, [self.root_x, end_x])
            };
            let x = ends(axis, side).min(ends(other, -side));
            let gap = self.side_y(other, -side, x) - self.side_y(axis, side, x);
            Some((other, gap.abs()))
        };
        let mouth = |side: f64| {
            // An outer tine's is as it is at its root.
            let wide = tip_width(next(side).map_or(self.tine, |(_, gap)| gap), self.tine);
            let other = next(side).map(|(other, _)| (other, -side));
            let [this, other] = [Some((axis, side)), other].map(|found| {
                let (axis, side) = found?;
                Some(TineSide { ends: along(axis, side), side, wide })
            });
            self.tips.corner((outline, &wood), &this?, other.as_ref())
        };
        Some(match [-1.0, 1.0].map(mouth) {
            [None, None] => path,
            mouths => self.with_mouth(path, mouths),
        })
    }

    /// A slot with straight sides as far as an X.
    fn straight(&self, axis: SlotAxis, end_x: f64) -> ArcPath {
        // where the sides touch the root's arc
        let (sin, cos) = self.lean.sin_cos();
        let turned = DVec2::from_angle(axis.turn);
        let touch = |side: f64| {
            turned.rotate(DVec2::new(-self.radius() * sin, side * (self.radius() * cos)))
        };
        let bulge = ((std::f64::consts::PI - 2.0 * self.lean) / 4.0).tan();
        let vertex = |point, bulge| ArcVertex { point, bulge };
        let end = |side: f64| DVec2::new(end_x, self.side_y(axis, side, end_x));
        ArcPath {
            vertices: vec![
                vertex(axis.root + touch(1.0), bulge),
                vertex(axis.root + touch(-1.0), 0.0),
                vertex(end(-1.0), 0.0),
                vertex(end(1.0), 0.0),
            ],
            closed: true,
        }
    }

    /// A straight slot with its mouth widened: the corners of its right side run forward, those of its
    /// left side back.
    fn with_mouth(&self, path: ArcPath, mouths: [Option<TipCorner>; 2]) -> ArcPath {
        let mut vertices = path.vertices;
        let ends = vertices.split_off(2);
        let [right, left] = mouths;
        match right {
            Some(corner) => vertices.extend(corner.forward()),
            None => vertices.extend(ends.first()),
        }
        match left {
            Some(corner) => vertices.extend(corner.back()),
            None => vertices.extend(ends.last()),
        }
        ArcPath { vertices, closed: true }
    }

    /// Points along one side (1 left, -1 right) of a slot, root included, as far as the wood
    /// goes, less the stretch to be spared in front; and where the wood ends.
    fn side(
        &self,
        wood: &dyn Fn(DVec2) -> bool,
        axis: SlotAxis,
        side: f64,
        (front, spared): (f64, f64),
    ) -> (Vec<DVec2>, DVec2) {
        let at = |x: f64| DVec2::new(x, self.side_y(axis, side, x));
        let edge = Segment { from: at(self.root_x), to: at(front), bulge: 0.0 };
        let count = (edge.length() / MEASURE_STEP).ceil().clamp(1.0, 10_000.0);
        let along = |k: u32| f64::from(k) / count;
        let wood = |part: f64| wood(edge.point_at(part));
        let leaves = (0..=count as u32).find(|&k| !wood(along(k)));
        let mut inside = leaves.map_or(1.0, |k| along(k.saturating_sub(1)));
        let mut outside = leaves.map_or(1.0, along);
        for _ in 0..30 {
            let middle = 0.5 * (inside + outside);
            if wood(middle) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        let end = inside - spared / edge.length();
        let before = (0..=count as u32).map(along).take_while(|&part| part < end);
        let points = before.chain((end >= 0.0).then_some(end)).map(|part| edge.point_at(part));
        let root = (0..=8).map(|k| {
            let angle = side * std::f64::consts::FRAC_PI_2 * (1.0 + f64::from(k) / 8.0);
            axis.root + DVec2::from_angle(axis.turn + angle) * self.radius()
        });
        (points.chain(root).collect(), edge.point_at(inside))
    }
}

/// X of the rearmost place of slots, in mm; none without slots.
pub fn rearmost(slots: &[ArcPath]) -> Option<f64> {
    slots.iter().filter_map(ArcPath::bounds).map(|(low, _)| low.x).reduce(f64::min)
}

/// The greatest x of an outline between two heights. All in mm.
fn furthest(outline: &ArcPath, low: f64, high: f64) -> Option<f64> {
    let within = |p: DVec2| (low..=high).contains(&p.y);
    let mut most: Option<f64> = None;
    let mut reach = |x: f64| most = Some(most.map_or(x, |m| m.max(x)));
    for segment in outline.segments() {
        if within(segment.from) {
            reach(segment.from.x);
        }
        segment.meets_y(low).chain(segment.meets_y(high)).for_each(&mut reach);
        if let Some(centre) = segment.centre() {
            let extreme = centre + DVec2::new(segment.radius(), 0.0);
            if within(extreme) && segment.distance(extreme) < 1e-9 {
                reach(extreme.x);
            }
        }
    }
    most
}

#[cfg(test)]
mod tests;
