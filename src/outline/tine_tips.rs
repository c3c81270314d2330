//! The tips of tines: how a slot widens towards the front.
//!
//! A corner is shaped between a slot's side and the outline, so that it follows the front wherever
//! that leans. What is shaped stays on its own tine: of two slots, neither reaches the other's.

use super::{ArcPath, ArcVertex, SAME_POINT};
use crate::params::TineTip;
use glam::DVec2;

/// A round corner: how far it goes in from the tine's side, as a share of the tine's width, so that a sixth
/// of the front's line is left, and how far it turns before it leaves the wood. An arc that touched the
/// front would leave a feather there (by eye).
const ROUND: f64 = 0.42;
const TURN: f64 = std::f64::consts::FRAC_PI_3;
/// Where the front leans the arc's way, it turns less: so much at least is left between the two, so that they cross
/// at one place and not along a stretch.
const CROSSING: f64 = std::f64::consts::FRAC_PI_8;
const LEAST_TURN: f64 = 0.25 * std::f64::consts::FRAC_PI_3;
/// Length of a point, as a share of the tine's width, and how far it goes in: a quarter is left (by eye).
const POINT: f64 = 1.5;
const POINTED: f64 = 0.375;
/// How much of a round corner an outer tine has, whose other side comes in by itself.
const OUTER: f64 = 0.4;
/// A pointed outer tine ends where it is this share of its width: further on it would be a thorn. How much
/// its end leans forward.
const BLUNT: f64 = 0.25;
const FORWARD: f64 = std::f64::consts::FRAC_PI_6;
/// Both sides of a point begin level with each other as far as they then still keep apart where they leave the
/// wood: each goes in by no more than this share of the width.
const APART: f64 = 0.49;
/// A corner runs on past the outline before it turns forward, so far to the side, as a share of the tine's
/// width, and no less than that in mm: its own corner then lies clear of any mesh of the body.
const PAST: f64 = 0.04;
const LEAST_PAST: f64 = 0.25;
/// The widest front that a point goes by, as a multiple of the root's width.
const WIDEST: f64 = 2.0;
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

    /// Which width a tip goes by, of a tine so wide at its front and at its root: a point that of the front, so
    /// that a quarter is left where tines fan out.
    pub(super) fn width(self, front: f64, root: f64) -> f64 {
        match self.0 {
            TineTip::Pointed => front.min(WIDEST * root),
            _ => front.min(root),
        }
    }

    /// How much of the end of an inner tine of that width is shaped.
    pub(super) fn stretch(self, wide: f64) -> f64 {
        self.sizes(wide, TURN).map_or(0.0, |[along, _]| along)
    }

    /// How far the shape of a tip of that width goes back, and in from the side; a round one's arc turns so far.
    fn sizes(self, wide: f64, turn: f64) -> Option<[f64; 2]> {
        match self.0 {
            TineTip::Square => None,
            TineTip::Round => Some([ROUND * wide * turn.sin() / (1.0 - turn.cos()), ROUND * wide]),
            TineTip::Pointed => Some([POINT * wide, POINTED * wide]),
        }
    }

    /// How far along a slot's side, which is given by its ends, the corner of a tine of that width can begin for
    /// it to leave the wood where its shape ends. None where there is no room: in a narrow tine, and on a short
    /// side.
    fn room(self, wood: &dyn Fn(DVec2) -> bool, tine: &TineSide, turn: f64) -> Option<f64> {
        if tine.wide < NARROWEST {
            return None;
        }
        let [back, aside] = self.sizes_of(tine, turn)?;
        let ends = |at: f64| tine.at(at + back, aside);
        if !wood(ends(0.0)) || wood(ends(tine.long())) {
            return None;
        }
        let room = leaves(wood, ends, [0.0, tine.long()]);
        (back <= MOST * (room + back)).then_some(room)
    }

    /// How far a round corner's arc turns: less where the front leans as it does. Of others it says nothing.
    fn turn(self, wood: &dyn Fn(DVec2) -> bool, tine: &TineSide) -> Option<f64> {
        /// For the front's slope, as a share of the tine's width.
        const STEP: f64 = 0.02;
        let [_, aside] = self.sizes_of(tine, TURN)?;
        if !matches!(self.0, TineTip::Round) {
            return Some(TURN);
        }
        let front = |into: f64| leaves(wood, |at| tine.at(at, into), [0.0, tine.long()]);
        let step = STEP * tine.wide;
        let slope = (front(aside + step) - front(aside - step)) / (2.0 * step);
        Some((1.0_f64.atan2(slope) - CROSSING).clamp(LEAST_TURN, TURN))
    }

    /// The same on a slot's side.
    fn sizes_of(self, tine: &TineSide, turn: f64) -> Option<[f64; 2]> {
        let share = if tine.outer { OUTER } else { 1.0 };
        Some(self.sizes(tine.wide, turn)?.map(|size| share * size))
    }

    /// The corner of a tine on a slot's side, which it shares with another slot's side unless it is an outer one;
    /// it runs out past the outline.
    pub(super) fn corner(
        self,
        outline: &ArcPath,
        tine: &TineSide,
        other: Option<&TineSide>,
    ) -> Option<TipCorner> {
        let wood = outline.inside();
        let turn = self.turn(&wood, tine)?;
        let room = self.room(&wood, tine, turn)?;
        let [back, aside] = self.sizes_of(tine, turn)?;
        let further = LEAST_PAST.max(PAST * tine.wide);
        let (start, past, bulge) = match (self.0, other) {
            (TineTip::Pointed, None) => {
                let (start, past) = blunt(outline, &wood, tine, further)?;
                (start, past, 0.0)
            }
            (TineTip::Pointed, Some(other)) => {
                let most = (APART * tine.wide - further) / aside;
                let level = self.room(&wood, other, turn).map_or(room, |other| room.min(other));
                let start = level.max(room - (most - 1.0) * back);
                let on = |times: f64| tine.at(start + times * back, times * aside);
                (tine.at(start, 0.0), on(leaves(&wood, on, [0.0, most]) + further / aside), 0.0)
            }
            _ => {
                let radius = aside / (1.0 - turn.cos());
                let turn = turn + further / (radius * turn.sin());
                let past = tine.at(room + radius * turn.sin(), radius * (1.0 - turn.cos()));
                (tine.at(room, 0.0), past, (0.25 * tine.side * turn).tan())
            }
        };
        let vertex = |point, bulge| ArcVertex { point, bulge };
        let mut corners = vec![vertex(start, bulge), vertex(past, 0.0)];
        let end = tine.ends[1].x;
        if past.x < end - SAME_POINT {
            corners.push(vertex(DVec2::new(end, past.y), 0.0));
        }
        Some(TipCorner(corners))
    }
}

/// A slot's side along a tine.
pub(super) struct TineSide {
    /// From its root to past the outline.
    pub(super) ends: [DVec2; 2],
    /// 1 where it is the slot's left side, -1 its right one.
    pub(super) side: f64,
    /// How wide the tine is at its front.
    pub(super) wide: f64,
    /// Whether no slot is on its other side.
    pub(super) outer: bool,
}

impl TineSide {
    fn long(&self) -> f64 {
        self.ends[0].distance(self.ends[1])
    }

    /// The place so far along it and so far into the tine.
    fn at(&self, along: f64, into: f64) -> DVec2 {
        let way = (self.ends[1] - self.ends[0]).normalize_or_zero();
        self.ends[0] + along * way + into * self.side * way.perp()
    }
}

/// Where a way leaves the wood, between a place of it inside and one further on.
fn leaves(
    wood: &dyn Fn(DVec2) -> bool,
    on: impl Fn(f64) -> DVec2,
    [mut inside, mut outside]: [f64; 2],
) -> f64 {
    for _ in 0..50 {
        let middle = 0.5 * (inside + outside);
        if wood(on(middle)) { inside = middle } else { outside = middle }
    }
    outside
}

/// The end of an outer tine, cut across where it has become narrow: its corner, and a place past the outline.
fn blunt(
    outline: &ArcPath,
    wood: &dyn Fn(DVec2) -> bool,
    tine: &TineSide,
    further: f64,
) -> Option<(DVec2, DVec2)> {
    let least = BLUNT * tine.wide;
    let wide = |p: DVec2| wood(p) && outline.distance(p).as_mm() > least;
    let start = leaves(&wide, |at| tine.at(at, 0.0), [0.0, tine.long()]);
    let on = |far: f64| tine.at(start + far * FORWARD.sin(), far * FORWARD.cos());
    // Across, the outline is nearest; forward it comes in, so that this is soon out of the wood.
    let far = leaves(wood, on, [0.0, 2.0 * tine.wide]);
    (start > 0.0).then(|| (tine.at(start, 0.0), on(far + further / FORWARD.cos())))
}
