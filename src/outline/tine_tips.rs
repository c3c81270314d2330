//! The tips of tines: how a slot widens towards the front.
//!
//! A corner is shaped between a slot's side and the outline, so that it follows the front wherever
//! that leans. What is shaped stays on its own tine: of two slots, neither reaches the other's.

use super::{ArcPath, ArcVertex};
use crate::params::TineTip;
use glam::DVec2;

/// Radius of a round corner, as a share of the tine's width: a sixth of the front's line is left, on
/// which the two slots end apart (by eye).
const ROUND: f64 = 0.42;
/// Length of a point, as a share of the tine's width, and what it narrows to (by eye).
const POINT: f64 = 1.5;
const POINT_LEFT: f64 = 0.25;
/// Longest that shaping may be, as a share of a slot's side.
const MOST: f64 = 0.6;

/// What tips are like.
#[derive(Clone, Copy)]
pub(super) struct TineTips(TineTip);

/// A corner of a tine: from the slot's side out through the outline, run forward.
pub(super) struct TipCorner(Vec<ArcVertex>);

impl TipCorner {
    /// As a slot's right side runs.
    pub(super) fn forward(self) -> Vec<ArcVertex> {
        self.0
    }

    /// As its left side does.
    pub(super) fn back(self) -> Vec<ArcVertex> {
        let path = ArcPath { vertices: self.0, closed: false };
        path.reversed().vertices
    }
}

impl TineTips {
    pub(super) fn of(tip: TineTip) -> TineTips {
        TineTips(tip)
    }

    /// How much of the end of a tine of that width is shaped.
    pub(super) fn stretch(self, wide: f64) -> f64 {
        match self.0 {
            TineTip::Square => 0.0,
            TineTip::Round => ROUND * wide,
            TineTip::Pointed => POINT * wide,
        }
    }

    /// The corner of a tine of that width beside a slot's side (1 left, -1 right), which is given by its
    /// ends; it runs out past the outline. None of a square tip, and where there is no room.
    pub(super) fn corner(
        self,
        outline: &ArcPath,
        [from, to]: [DVec2; 2],
        side: f64,
        (wide, run_out): (f64, f64),
    ) -> Option<TipCorner> {
        if self.0 == TineTip::Square {
            return None;
        }
        let along = (to - from).normalize_or_zero();
        let into = side * along.perp();
        let inside = outline.inside();
        let length = from.distance(to);
        // Where the side leaves the wood.
        let (mut in_wood, mut out) = (0.0, length);
        if !inside(from) || inside(to) {
            return None;
        }
        for _ in 0..50 {
            let middle = 0.5 * (in_wood + out);
            if inside(from + middle * along) { in_wood = middle } else { out = middle }
        }
        let vertex = |point, bulge| ArcVertex { point, bulge };
        match self.0 {
            TineTip::Square => None,
            TineTip::Round => {
                let radius = ROUND * wide;
                let touches = |at: f64| {
                    let centre = from + at * along + radius * into;
                    inside(centre) && outline.distance(centre).as_mm() >= radius
                };
                let (mut room, mut none) = ((1.0 - MOST) * in_wood, in_wood);
                if !touches(room) {
                    return None;
                }
                for _ in 0..50 {
                    let middle = 0.5 * (room + none);
                    if touches(middle) { room = middle } else { none = middle }
                }
                let centre = from + room * along + radius * into;
                let way = (outline.foot(centre)? - centre).normalize_or_zero();
                let start = centre - radius * into;
                // Round the centre from the slot's side to the outline: clockwise on its right.
                let sweep = (-into).angle_to(way);
                let end = centre + radius * way;
                let past = end + run_out * way;
                let last = DVec2::new(past.x.max(to.x), past.y);
                let bulge = (0.25 * sweep).tan();
                Some(TipCorner(vec![
                    vertex(start, bulge),
                    vertex(end, 0.0),
                    vertex(past, 0.0),
                    vertex(last, 0.0),
                ]))
            }
            TineTip::Pointed => {
                let start = from + (in_wood - self.stretch(wide).min(MOST * in_wood)) * along;
                let leaves = from + in_wood * along;
                let aside = 0.5 * (1.0 - POINT_LEFT) * wide;
                // The front beside the slot, on the tine's own side.
                let front = outline
                    .segments()
                    .flat_map(|s| s.meets_y(leaves.y + side * aside).collect::<Vec<_>>())
                    .fold(f64::NEG_INFINITY, f64::max);
                let end = DVec2::new(front, leaves.y + side * aside);
                if end.x <= start.x {
                    return None;
                }
                let last = DVec2::new((end.x + run_out).max(to.x), end.y);
                Some(TipCorner(vec![vertex(start, 0.0), vertex(end, 0.0), vertex(last, 0.0)]))
            }
        }
    }
}
