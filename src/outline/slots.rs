//! What is cut out between a fork's tines, and how wide the tines are left.
//!
//! A slot has a rounded root, straight sides that open by the taper, and runs out past the tip by
//! the cutter's radius, so that it can be cut as a step of its own after the faces are done.

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
/// All run along X. Seen across where a slot's root is `slot.width` wide (the centre of its arc),
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
    let run_out = cutter.as_mm().max(0.0) * 0.5;
    plan.centres().map(|y| plan.contour(outline, y, tip_x.as_mm(), run_out)).collect()
}

/// How wide the tines are left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlotMeasure {
    /// Across each tine where the slots' roots are at their full width.
    pub tine_width_root: Length,
    /// The thinnest place of any tine, as a shortest distance between slot and slot, or between
    /// an outer slot and the outline, from the roots forward. The outer tines' rounded ends are
    /// left out: the last stretch, as long as the tine is wide at its root, before the slot's
    /// side leaves the outline.
    pub tine_width_least: Length,
}

/// Measures the tines that `slots` (of the same arguments) leave. None without slots.
pub fn measure(
    outline: &ArcPath,
    tip_x: Length,
    tines: &Tines,
    slots: &[ArcPath],
) -> Option<SlotMeasure> {
    let plan = SlotPlan::new(outline, tip_x, tines)?;
    let mut least = f64::INFINITY;
    let wood = outline.inside();
    for (i, slot) in slots.iter().enumerate() {
        for (side, neighbour) in [(-1.0, i.checked_sub(1)), (1.0, Some(i + 1))] {
            let next = neighbour.and_then(|n| slots.get(n));
            // a tine between two slots is seen from both, an outer one from its slot only
            let (other, spared) = match next {
                Some(next) => (next, 0.0),
                None => (outline, plan.tine),
            };
            for point in plan.side(&wood, slot, side, spared) {
                least = least.min(other.distance(point).as_mm());
            }
        }
    }
    least.is_finite().then_some(SlotMeasure {
        tine_width_root: Length::mm(plan.tine),
        tine_width_least: Length::mm(least),
    })
}

/// Where the slots are. All in mm.
struct SlotPlan {
    /// The outline's right-hand side where the roots are.
    right: f64,
    /// Slot width there.
    width: f64,
    /// Tine width there.
    tine: f64,
    /// Half of the taper, in radians.
    lean: f64,
    /// X of the roots' centres.
    root_x: f64,
    /// How many.
    count: u32,
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
        let tine = (left - right - width * f64::from(count)) / f64::from(tines.count);
        tine.is_finite().then_some(SlotPlan { right, width, tine, lean, root_x, count })
    }

    /// Y of each slot's middle, from the right.
    fn centres(&self) -> impl Iterator<Item = f64> + '_ {
        let pitch = self.tine + self.width;
        (0..self.count)
            .map(move |i| self.right + self.tine + 0.5 * self.width + pitch * f64::from(i))
    }

    /// Half of a slot's width at a place along X.
    fn half_at(&self, x: f64) -> f64 {
        0.5 * self.width + (x - self.root_x) * self.lean.tan()
    }

    fn radius(&self) -> f64 {
        0.5 * self.width * self.lean.cos()
    }

    fn contour(&self, outline: &ArcPath, y: f64, tip_x: f64, run_out: f64) -> ArcPath {
        // as wide as the slot can be in front, so that nothing before it is overlooked
        let half = self.half_at(tip_x + run_out).max(0.5 * self.width);
        let front = furthest(outline, y - half, y + half).unwrap_or(tip_x).max(self.root_x);
        let end_x = front + run_out;
        // where the sides touch the root's arc
        let (sin, cos) = self.lean.sin_cos();
        let touch = DVec2::new(self.root_x - self.radius() * sin, self.radius() * cos);
        let mouth = self.half_at(end_x);
        let bulge = ((std::f64::consts::PI - 2.0 * self.lean) / 4.0).tan();
        let vertex = |x, y, bulge| ArcVertex { point: DVec2::new(x, y), bulge };
        ArcPath {
            vertices: vec![
                vertex(touch.x, y + touch.y, bulge),
                vertex(touch.x, y - touch.y, 0.0),
                vertex(end_x, y - mouth, 0.0),
                vertex(end_x, y + mouth, 0.0),
            ],
            closed: true,
        }
    }

    /// Points along one side (1 left, -1 right) of a slot, root included, as far as the wood
    /// goes, less the stretch to be spared in front.
    fn side(
        &self,
        wood: &dyn Fn(DVec2) -> bool,
        slot: &ArcPath,
        side: f64,
        spared: f64,
    ) -> Vec<DVec2> {
        let Some((low, high)) = slot.bounds() else {
            return Vec::new();
        };
        let middle = 0.5 * (low.y + high.y);
        let at = |x: f64| DVec2::new(x, middle + side * self.half_at(x));
        let edge = Segment { from: at(self.root_x), to: at(high.x), bulge: 0.0 };
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
        let centre = DVec2::new(self.root_x, middle);
        let root = (0..=8).map(|k| {
            let angle = side * std::f64::consts::FRAC_PI_2 * (1.0 + f64::from(k) / 8.0);
            centre + DVec2::from_angle(angle) * self.radius()
        });
        points.chain(root).collect()
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
mod tests {
    use super::*;
    use crate::params::Slot;
    use crate::units::Angle;
    use std::f64::consts::{PI, TAU};

    /// A fork's head as an ellipse 92 x 66 with its tip at x = 300.
    fn head() -> ArcPath {
        let ellipse: crate::shape::PlanCurve = std::sync::Arc::new(|t: f64| {
            DVec2::new(254.0 + 46.0 * (TAU * t).cos(), 33.0 * (TAU * t).sin())
        });
        crate::outline::arcs::fit(&[ellipse], Length::mm(0.001)).path
    }

    fn tines(count: u32, width: f64, length: f64, taper: f64) -> Tines {
        let (width, length) = (Length::mm(width), Length::mm(length));
        Tines { count, slot: Slot { width, length, taper: Angle::degrees(taper) } }
    }

    fn cut(outline: &ArcPath, tines: &Tines) -> Vec<ArcPath> {
        let mm = Length::mm;
        slots(outline, mm(300.0), mm(92.0), mm(66.0), tines, mm(3.175))
    }

    /// Where a contour is met by the line across at x.
    fn across(path: &ArcPath, x: f64) -> (f64, f64) {
        let mut ys: Vec<f64> =
            path.segments().flat_map(|s| s.meets_x(x).collect::<Vec<_>>()).collect();
        ys.sort_by(f64::total_cmp);
        (ys[0], ys[ys.len() - 1])
    }

    #[test]
    fn slots_have_their_width_length_and_taper() {
        let head = head();
        for taper in [0.0, 1.0, 6.0] {
            let slots = cut(&head, &tines(4, 6.5, 55.0, taper));
            assert_eq!(slots.len(), 3);
            let root = 245.0 + 3.25 * (taper.to_radians() / 2.0).cos();
            for slot in &slots {
                assert!(slot.closed && slot.signed_area() > 0.0 && !slot.self_crosses());
                assert!((slot.bounds().unwrap().0.x - 245.0).abs() < 1e-9);
                let (low, high) = across(slot, root);
                assert!((high - low - 6.5).abs() < 1e-9);
                let (ahead_low, ahead_high) = across(slot, root + 30.0);
                let opened = (ahead_high - ahead_low) - (high - low);
                assert!((opened - 60.0 * (taper / 2.0).to_radians().tan()).abs() < 1e-9);
                // smooth where the sides leave the root
                let all: Vec<_> = slot.segments().collect();
                let kink = all[0].end_direction().angle_to(all[1].start_direction());
                assert!(kink.abs() < 1e-9);
            }
        }
    }

    #[test]
    fn the_tines_are_equally_wide_at_the_root() {
        let head = head();
        for count in 2..7 {
            let slots = cut(&head, &tines(count, 5.0, 50.0, 0.0));
            let station = 250.0 + 2.5;
            let (mut right, left) = across(&head, station);
            let mut widths = Vec::new();
            for slot in &slots {
                let (low, high) = across(slot, station);
                widths.push(low - right);
                right = high;
            }
            widths.push(left - right);
            assert_eq!(widths.len() as u32, count);
            for width in &widths {
                assert!((width - widths[0]).abs() < 1e-9 && *width > 2.0, "{widths:?}");
            }
        }
    }

    #[test]
    fn slots_run_out_past_the_tip_by_the_cutters_radius() {
        let head = head();
        for slot in cut(&head, &tines(4, 6.5, 55.0, 1.0)) {
            let (low, high) = slot.bounds().unwrap();
            // no point of the outline in front of the slot is nearer its end than the radius
            let mut front: f64 = 0.0;
            for point in head.to_polyline(Length::mm(1e-5)) {
                if point.y >= low.y && point.y <= high.y && point.x > low.x {
                    front = front.max(point.x);
                }
            }
            assert!(front > 280.0 && high.x - front >= 1.5875 - 1e-4, "{front} {high}");
            assert!(high.x <= 300.0 + 1.5875 + 1e-9);
        }
    }

    /// Inner tines of straight slots have parallel sides; with a taper they are thinnest in front.
    #[test]
    fn the_thinnest_place_is_found() {
        let block = ArcPath::polygon(
            [(200.0, -30.0), (300.0, -30.0), (300.0, 30.0), (200.0, 30.0)].map(DVec2::from),
        );
        let straight = tines(4, 6.0, 50.0, 0.0);
        let slots = cut(&block, &straight);
        let found = measure(&block, Length::mm(300.0), &straight, &slots).unwrap();
        assert!((found.tine_width_root.as_mm() - 10.5).abs() < 1e-9);
        assert!((found.tine_width_least.as_mm() - 10.5).abs() < 1e-9);
        // two sides lean 1 degree each towards an inner tine, from the roots to the front; the
        // shortest way over to a side that leans 1 degree is cos 1 deg of the way across
        let tapered = tines(4, 6.0, 50.0, 2.0);
        let slots = cut(&block, &tapered);
        let found = measure(&block, Length::mm(300.0), &tapered, &slots).unwrap();
        let run = 50.0 - 3.0 * (PI / 180.0).cos();
        let front = 10.5 - 2.0 * run * (PI / 180.0).tan();
        assert!(
            (found.tine_width_least.as_mm() - front * (PI / 180.0).cos()).abs() < 1e-6,
            "{found:?} {front}"
        );
        // on a real head the outer tines are the thin ones
        let head = head();
        let slots = cut(&head, &straight);
        let found = measure(&head, Length::mm(300.0), &straight, &slots).unwrap();
        assert!(found.tine_width_least < found.tine_width_root);
        assert!(found.tine_width_least > Length::mm(2.0));
    }

    #[test]
    fn no_room_no_slots() {
        let head = head();
        for bad in [
            tines(1, 6.0, 50.0, 0.0),
            tines(0, 6.0, 50.0, 0.0),
            tines(4, 22.0, 50.0, 0.0),
            tines(4, 6.0, 92.0, 0.0),
            tines(4, f64::NAN, 50.0, 0.0),
            tines(4, 6.0, 50.0, 179.0),
            tines(4, -1.0, 50.0, 0.0),
        ] {
            assert!(cut(&head, &bad).is_empty(), "{bad:?}");
        }
        assert!(cut(&ArcPath::polygon([]), &tines(4, 6.0, 50.0, 0.0)).is_empty());
    }
}
