//! The tips of tines: how a slot widens towards the front.
//!
//! A corner is shaped between a slot's side and the outline, so that it follows the front wherever
//! that leans. What is shaped stays on its own tine: of two slots, neither reaches the other's.

use super::{ArcPath, ArcVertex};
use crate::params::TineTip;
use glam::DVec2;

/// A round corner: how far it goes in from the tine's side, as a share of the tine's width, so that a sixth
/// of the front's line is left, and how far it turns before it leaves the wood. An arc that touched the
/// front would leave a feather there (by eye).
const ROUND: f64 = 0.42;
const TURN: f64 = std::f64::consts::FRAC_PI_3;
/// Length of a point, as a share of the tine's width, and how far it goes in: a quarter is left (by eye).
const POINT: f64 = 1.5;
const POINTED: f64 = 0.375;
/// How much of that an outer tine has, whose other side comes in by itself.
const OUTER: f64 = 0.4;
/// A corner runs on past the outline before it turns forward, so far to the side, as a share of the tine's
/// width, and no less than that in mm: its own corner then lies clear of any mesh of the body.
const PAST: f64 = 0.04;
const LEAST_PAST: f64 = 0.25;
/// In a tine narrower than this, in mm, two corners would have no room beside each other.
const NARROWEST: f64 = 3.5;
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

    /// How much of the end of an inner tine of that width is shaped.
    pub(super) fn stretch(self, wide: f64) -> f64 {
        self.sizes(wide).map_or(0.0, |[along, _]| along)
    }

    /// How far the shape of a tip of that width goes back, and in from the side.
    fn sizes(self, wide: f64) -> Option<[f64; 2]> {
        match self.0 {
            TineTip::Square => None,
            TineTip::Round => Some([ROUND * wide * TURN.sin() / (1.0 - TURN.cos()), ROUND * wide]),
            TineTip::Pointed => Some([POINT * wide, POINTED * wide]),
        }
    }

    /// The corner of a tine of that width beside a slot's side (1 left, -1 right), which is given by its
    /// ends; it runs out past the outline. None of a square tip, and where there is no room: in a narrow tine,
    /// and on a short side.
    pub(super) fn corner(
        self,
        outline: &ArcPath,
        [from, to]: [DVec2; 2],
        side: f64,
        (wide, outer): (f64, bool),
    ) -> Option<TipCorner> {
        if wide < NARROWEST {
            return None;
        }
        let share = if outer { OUTER } else { 1.0 };
        let [back, aside] = self.sizes(wide)?.map(|size| share * size);
        let along = (to - from).normalize_or_zero();
        let into = side * along.perp();
        let inside = outline.inside();
        // Where the corner leaves the wood when its shape begins so far along the side.
        let leaves = |at: f64| from + (at + back) * along + aside * into;
        let (mut room, mut none) = (0.0, from.distance(to));
        if !inside(leaves(room)) || inside(leaves(none)) {
            return None;
        }
        for _ in 0..50 {
            let middle = 0.5 * (room + none);
            if inside(leaves(middle)) { room = middle } else { none = middle }
        }
        if back > MOST * (room + back) {
            return None;
        }
        let start = from + room * along;
        let further = LEAST_PAST.max(PAST * wide);
        let (past, bulge) = match self.0 {
            TineTip::Round => {
                let radius = aside / (1.0 - TURN.cos());
                let turn = TURN + further / (radius * TURN.sin());
                let off = radius * (turn.sin() * along + (1.0 - turn.cos()) * into);
                (start + off, (0.25 * side * turn).tan())
            }
            _ => {
                let way = leaves(room) - start;
                (start + (1.0 + further / aside) * way, 0.0)
            }
        };
        let last = DVec2::new(past.x.max(to.x), past.y);
        let corners = [(start, bulge), (past, 0.0), (last, 0.0)];
        Some(TipCorner(corners.map(|(point, bulge)| ArcVertex { point, bulge }).into()))
    }
}
