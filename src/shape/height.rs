//! How high the exact body reaches, and how much wood stands behind its hollow: by the formula
//! alone, with no mesh in between.
//!
//! Both skins are highest and lowest on the middle line, or, beside a hollow, at its edge: a section
//! falls away to both sides of it. That of a blade with a thin side has its one crest beside the line,
//! and is searched across. So the search is along one line.
//! Promised: the heights to 1e-9 mm. Not promised: a wall between the places that are asked for.

use super::{Body, HeadSkins};
use crate::units::Length;
use glam::{DVec2, DVec3};

/// The parts of the middle line: the rounding of the end, the handle, the neck, the head.
const PARTS: u32 = 4;
/// Places looked at in each part before the highest are refined; the formulas have no more than
/// one turning between two stations.
const PLACES: u32 = 40;

/// A place along the middle line that keeps its meaning when the design changes: whole numbers
/// are the ends of the parts (see [`Body::crest`]).
pub type Along = f64;

impl Body {
    /// X of a place along the middle line: 0 the very end, 1 where its rounding has died out, 2
    /// the neck, 3 where the neck has run out into the head, 4 the tip.
    fn spine(&self, along: Along) -> DVec2 {
        let plan = &self.0.plan;
        let ends = [0.0, plan.end, plan.neck, plan.rest, plan.length];
        let part = along.clamp(0.0, f64::from(PARTS - 1)).floor();
        let (from, to) = (ends[part as usize], ends[part as usize + 1]);
        plan.beside(from + (along - part) * (to - from), 0.0)
    }

    /// How far from the handle's end a place along the middle line is, in mm.
    pub fn along_mm(&self, along: Along) -> f64 {
        self.spine(along).x
    }

    /// Height of the top skin at a place of the middle line, in mm; of a hollow's edge beside it.
    pub fn crest(&self, along: Along) -> f64 {
        let p = self.spine(along);
        let edge = match &self.0.head {
            HeadSkins::Bowl(bowl) => bowl.hollow_within(&self.0.plan, p.x),
            HeadSkins::Blade(_) => None,
        };
        match edge {
            // On either side the same, but in the shoulder of a head whose sides differ.
            Some(edge) => {
                let [right, left] = edge.map(|y| self.land(DVec2::new(p.x, y)));
                right.max(left)
            }
            None if self.leans(p.x) => {
                let cut = self.cut_top(p.x);
                self.most_across(p.x, |y| cut.height(y))
            }
            None => self.top(p),
        }
    }

    /// Whether a section at a place along the utensil is stouter on one side.
    fn leans(&self, x: f64) -> bool {
        match &self.0.head {
            HeadSkins::Blade(blade) => blade.leans() && x > self.0.plan.neck,
            HeadSkins::Bowl(_) => false,
        }
    }

    /// The most of a height across, which has one crest there.
    fn most_across(&self, x: f64, height: impl Fn(f64) -> f64) -> f64 {
        let half = self.0.plan.half(x) / self.0.plan.half_open(x);
        let at = |share: f64| height(self.0.plan.beside(x, share).y);
        at(highest(&at, -half, half))
    }

    /// Height of the bottom skin at a place of the middle line, in mm.
    pub fn keel(&self, along: Along) -> f64 {
        let p = self.spine(along);
        if self.leans(p.x) {
            let cut = self.cut_bottom(p.x);
            return -self.most_across(p.x, |y| -cut.height(y));
        }
        self.bottom(p)
    }

    /// Where the top skin is highest along the middle line, all places that are higher than what
    /// is round them.
    pub fn crests(&self) -> Vec<Along> {
        peaks(|along| self.crest(along))
    }

    /// Where the bottom skin is lowest along the middle line, all such places.
    pub fn keels(&self) -> Vec<Along> {
        peaks(|along| -self.keel(along))
    }

    /// Heights of the lowest and the highest point of the body.
    pub fn heights(&self) -> [Length; 2] {
        let least = |places: Vec<Along>, height: &dyn Fn(Along) -> f64| {
            places.into_iter().map(height).fold(f64::INFINITY, f64::min)
        };
        let low = least(self.keels(), &|along| self.keel(along));
        let high = -least(self.crests(), &|along| -self.crest(along));
        [Length::mm(low), Length::mm(high)]
    }

    /// Least and greatest Y of the outline, in mm.
    pub fn breadth(&self) -> [f64; 2] {
        let plan = &self.0.plan;
        let side = |sign: f64| {
            let out = |along: Along| {
                let x = self.spine(along).x;
                sign * plan.outline_at(x, sign).y
            };
            // The widest place of the head lies within the last part, where the outline is level.
            let head = sign * plan.outline_at(plan.widest, sign).y;
            peaks(out).into_iter().map(out).fold(head, f64::max)
        };
        [-side(-1.0), side(1.0)]
    }

    /// Wood between hollow and back, square to the hollow's surface, in mm, at a place that keeps
    /// its meaning when the design changes: `angle` from -1 (the very rear) to 1 (the tip) on the
    /// hollow's right half, `out` from 0 (under its middle) to 1 (its edge, from which it is the
    /// distance to the nearest place of the back). None for a turner, right beside the edge, and where
    /// the line leaves through the upright edge and not through the back.
    pub fn wall(&self, angle: f64, out: f64) -> Option<f64> {
        let HeadSkins::Bowl(bowl) = &self.0.head else { return None };
        let plan = &self.0.plan;
        let edge = bowl.edge_at(plan, angle, -1.0);
        let p = plan.beside(plan.widest, 0.0).lerp(edge, out);
        if out >= 1.0 {
            return self.nearest_back(p.extend(self.top(p)));
        }
        self.wood_behind(p)
    }

    /// The same at a place of the plan inside the hollow's edge.
    pub(super) fn wood_behind(&self, p: DVec2) -> Option<f64> {
        /// For the slope, in mm.
        const STEP: f64 = 1e-4;
        /// Nearer to the land than this, in mm, the slope would be taken across the edge.
        const EDGE: f64 = 1e-3;
        let HeadSkins::Bowl(bowl) = &self.0.head else { return None };
        let from = p.extend(self.top(p));
        if from.z > self.land(p) - bowl.eased(&self.0.plan, p.x) - EDGE {
            return None;
        }
        let slope =
            |way: DVec2| (self.top(p + STEP * way) - self.top(p - STEP * way)) / (2.0 * STEP);
        let inward = DVec3::new(slope(DVec2::X), slope(DVec2::Y), -1.0).normalize();
        let left = |t: f64| {
            let q = from + t * inward;
            q.z - self.bottom(q.truncate())
        };
        // The back is nearly as steep as the hollow, so a few secants reach it.
        let (mut a, mut b) = (0.0, left(0.0));
        let (mut t, mut here) = (b, left(b));
        for _ in 0..20 {
            if here.abs() < 1e-9 || (here - b).abs() < 1e-15 {
                break;
            }
            let next = t - here * (t - a) / (here - b);
            (a, b) = (t, here);
            t = next;
            here = left(t);
        }
        let out = from + t * inward;
        (here.abs() < 1e-6 && self.holds(out.truncate())).then_some(t)
    }

    /// Whether a place of the plan lies within the outline.
    pub(super) fn holds(&self, p: DVec2) -> bool {
        let [right, left] = self.across(Length::mm(p.x));
        right < p.y && p.y < left
    }

    /// Distance from a point of the hollow's edge to the back, in mm; none where the nearest place is not
    /// on the back itself.
    fn nearest_back(&self, from: DVec3) -> Option<f64> {
        /// For the slope, in mm.
        const STEP: f64 = 1e-4;
        let mut at = from.truncate();
        // The foot of the perpendicular on the plane that touches the back there, again and again: the
        // back bends within a greater radius than that distance, so that each step is a fraction of the
        // last.
        for _ in 0..60 {
            let slope = |way: DVec2| {
                (self.bottom(at + STEP * way) - self.bottom(at - STEP * way)) / (2.0 * STEP)
            };
            let normal = DVec3::new(-slope(DVec2::X), -slope(DVec2::Y), 1.0).normalize();
            let off = from - at.extend(self.bottom(at));
            let foot = (from - off.dot(normal) * normal).truncate();
            let moved = foot.distance(at);
            at = foot;
            if !self.holds(at) {
                return None;
            }
            if moved < 1e-6 {
                return Some((from - at.extend(self.bottom(at))).length());
            }
        }
        None
    }
}

/// Places where a function along the middle line is not less than on both sides, each refined.
fn peaks(value: impl Fn(Along) -> f64) -> Vec<Along> {
    let at = |i: u32| f64::from(i) / f64::from(PLACES);
    let last = PARTS * PLACES;
    let values: Vec<f64> = (0..=last).map(|i| value(at(i))).collect();
    let before = |i: u32| if i == 0 { f64::NEG_INFINITY } else { values[i as usize - 1] };
    let after = |i: u32| if i == last { f64::NEG_INFINITY } else { values[i as usize + 1] };
    (0..=last)
        .filter(|i| values[*i as usize] > before(*i) && values[*i as usize] >= after(*i))
        .map(|i| highest(&value, at(i.saturating_sub(1)), at((i + 1).min(last))))
        .collect()
}

/// The highest place between two, by golden section.
fn highest(value: &impl Fn(Along) -> f64, mut low: f64, mut high: f64) -> Along {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_a, mut at_b) = (value(a), value(b));
    let (mut best, mut at_best) = (low, value(low));
    if value(high) > at_best {
        (best, at_best) = (high, value(high));
    }
    // 0.618^36 of a twentieth: the height is flat there to far below 1e-9 mm.
    for _ in 0..36 {
        if at_a > at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - GOLDEN * (high - low);
            at_a = value(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + GOLDEN * (high - low);
            at_b = value(b);
        }
    }
    let middle = 0.5 * (low + high);
    if value(middle) > at_best {
        best = middle;
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Findings;
    use crate::params::parse_design;

    fn body(text: &str) -> Body {
        Body::new(&parse_design(text, &mut Findings::new()).expect("a shipped example").0)
    }

    const SHIPPED: [&str; 5] = [
        include_str!("../../params/designs/harvest-spoon.toml"),
        include_str!("../../params/designs/harvest-fork.toml"),
        include_str!("../../params/designs/harvest-turner.toml"),
        include_str!("../../params/designs/harvest-spreader.toml"),
        include_str!("../../params/designs/harvest-scoop.toml"),
    ];

    /// Against every point of a grid over the whole plan, not the middle line alone.
    #[test]
    fn no_point_of_the_plan_is_higher_or_lower() {
        for text in SHIPPED {
            let body = body(text);
            let [low, high] = body.heights().map(Length::as_mm);
            let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
            for i in 0..=900 {
                let x = body.length().as_mm() * f64::from(i) / 900.0;
                for j in -12..=12 {
                    let plan = &body.0.plan;
                    let y = plan.sway.value(x) + plan.half(x) * f64::from(j) / 12.0;
                    least = least.min(body.bottom(DVec2::new(x, y)));
                    most = most.max(body.top(DVec2::new(x, y)));
                }
            }
            assert!(least >= low - 1e-9 && most <= high + 1e-9, "{least} {low} {most} {high}");
            assert!(least - low < 0.01 && high - most < 0.01, "{least} {low} {most} {high}");
        }
    }

    #[test]
    fn the_head_is_as_wide_as_the_file_says() {
        let text = SHIPPED[0].replace("width = \"65 mm\"", "width = \"66 mm\"");
        let [right, left] = body(&text).breadth();
        assert!((right + 33.0).abs() < 1e-9 && (left - 33.0).abs() < 1e-9, "{right} {left}");
    }
}
