//! The tips of tines: how a slot widens towards the front.
//!
//! A corner is shaped between a slot's side and the outline, so that it follows the front wherever
//! that leans. What is shaped stays on its own tine: of two slots, neither reaches the other's.

use super::{ArcPath, ArcVertex, SAME_POINT};
use crate::params::TineTip;
use glam::DVec2;
use std::f64::consts::PI;

/// A round tip's corner: how far it goes in from the tine's side, as a share of the tine's width, so that a tenth of
/// the front's line is left, and how far its arc turns before it leaves the wood of a front straight across.
const ROUND: f64 = 0.45;
const TURN: f64 = std::f64::consts::FRAC_PI_2 - CROSSING;
/// Arc and front differ by so much where they cross, so that they do at one place and not along a stretch: where the
/// front leans the arc's way, that turns less, and where it leans the other way, more.
const CROSSING: f64 = std::f64::consts::FRAC_PI_8;
const TURNS: [f64; 2] = [0.25 * std::f64::consts::FRAC_PI_3, 0.95 * std::f64::consts::FRAC_PI_2];
/// Length of a point, as a share of the tine's width, and how far its arc goes in: a quarter is left (by eye).
const POINT: f64 = 1.5;
const POINTED: f64 = 0.375;
/// An outer tine, whose outer side comes in by itself, ends where it is this share of its width: further on it would
/// be a beak or a thorn. Pointed and round: that share, and how far the arc turns across its end. How much
/// that leans forward.
const BLUNT: [(f64, f64); 2] =
    [(0.25, std::f64::consts::FRAC_PI_3), (0.4, 0.45 * std::f64::consts::PI)];
const FORWARD: f64 = std::f64::consts::FRAC_PI_6;
/// The outline's course there is looked at between ways so much more and less forward.
const BESIDE: f64 = 0.05;
/// An arc that turns less is as good as straight.
const LEAST_TURN: f64 = 0.05;
/// No corner goes in by more than this share of the width, so that the two of a tine keep apart.
const APART: f64 = 0.49;
/// A corner runs on past the outline before it turns forward, so far to the side, as a share of the tine's
/// width, and no less than that in mm: its own corner then lies clear of any mesh of the body.
const PAST: f64 = 0.04;
const LEAST_PAST: f64 = 0.25;
/// The widest front that a tip goes by, as a multiple of the root's width.
const WIDEST: f64 = 2.0;
/// In a tine narrower than this, in mm, two corners would have no room beside each other.
const NARROWEST: f64 = 3.5;
/// Longest that shaping may be, as a share of a slot's side. A longer point is made shorter.
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

/// Which width a tip goes by, of a tine so wide at its front and at its root: that of the front, so that little is
/// left where tines fan out.
pub(super) fn tip_width(front: f64, root: f64) -> f64 {
    front.min(WIDEST * root)
}

impl TineTips {
    pub(super) fn of(tip: TineTip) -> TineTips {
        TineTips(tip)
    }

    /// How much of the end of an inner tine of that width is shaped, at the most.
    pub(super) fn stretch(self, wide: f64) -> f64 {
        match self.0 {
            TineTip::Square => 0.0,
            TineTip::Round => TipArc::turning(ROUND * wide, TURN).back,
            TineTip::Pointed => POINT * wide,
        }
    }

    /// The arc along a tine's side, and where it begins. None where there is no room: in a narrow tine, and on a
    /// short side.
    fn arc(self, wood: &dyn Fn(DVec2) -> bool, tine: &TineSide) -> Option<(f64, TipArc)> {
        if tine.wide < NARROWEST {
            return None;
        }
        let aside = match self.0 {
            TineTip::Square => return None,
            TineTip::Round => (ROUND * tine.wide).min(tine.most_aside()),
            TineTip::Pointed => POINTED * tine.wide,
        };
        let front = |into: f64| leaves(wood, |at| tine.at(at, into), [0.0, tine.long()]);
        if !wood(tine.at(0.0, aside)) || wood(tine.at(tine.long(), aside)) {
            return None;
        }
        let ends = front(aside);
        let most = MOST * ends;
        /// For the front's slope, as a share of the tine's width.
        const STEP: f64 = 0.02;
        let step = STEP * tine.wide;
        let slope = (front(aside + step) - front(aside - step)) / (2.0 * step);
        let turn = (1.0_f64.atan2(slope) - CROSSING).clamp(TURNS[0], TURNS[1]);
        let (ends, arc) = match self.0 {
            TineTip::Round => {
                (ends, Some(TipArc::turning(aside, turn)).filter(|arc| arc.back <= most)?)
            }
            // On a short side it goes in less, too.
            _ => {
                let back = (POINT * tine.wide).min(most);
                let aside = aside.min(back * (0.5 * turn).tan());
                (front(aside), TipArc { most: turn, ..TipArc::reaching(aside, back) })
            }
        };
        Some((ends - arc.back, arc))
    }

    /// The corner of a tine on a slot's side, which it shares with another slot's side unless it is an outer one;
    /// it runs out past the outline, whose inside is `wood`.
    pub(super) fn corner(
        self,
        (outline, wood): (&ArcPath, &dyn Fn(DVec2) -> bool),
        tine: &TineSide,
        other: Option<&TineSide>,
    ) -> Option<TipCorner> {
        // An outer tine has room where an inner one would.
        let (start, arc) = self.arc(wood, tine)?;
        let (start, past, turn) = match other {
            None => {
                let (start, past, turn) = self.blunt(outline, wood, tine)?;
                (tine.at(start, 0.0), past, turn)
            }
            Some(other) => {
                // Both corners, or none.
                let (level, _) = self.arc(wood, other)?;
                let (start, turn) = match self.0 {
                    TineTip::Pointed => point(wood, tine, &arc, [start, level])?,
                    _ => (start, arc.turn),
                };
                let turn = turn + tine.further() / (arc.radius * turn.sin());
                (tine.at(start, 0.0), arc.on(tine, start, turn), turn)
            }
        };
        let vertex = |point, bulge| ArcVertex { point, bulge };
        let mut corners = vec![vertex(start, (0.25 * tine.side * turn).tan()), vertex(past, 0.0)];
        let end = tine.ends[1].x;
        if past.x < end - SAME_POINT {
            corners.push(vertex(DVec2::new(end, past.y), 0.0));
        }
        Some(TipCorner(corners))
    }

    /// The end of an outer tine, cut across in an arc where it has become narrow: where that begins on the slot's
    /// side, a place past the outline, and how far the arc turns.
    fn blunt(
        self,
        outline: &ArcPath,
        wood: &dyn Fn(DVec2) -> bool,
        tine: &TineSide,
    ) -> Option<(f64, DVec2, f64)> {
        let (share, turn) = BLUNT[usize::from(self.0 == TineTip::Round)];
        let least = share * tine.wide;
        let wide = |p: DVec2| wood(p) && outline.distance(p).as_mm() > least;
        let start = leaves(&wide, |at| tine.at(at, 0.0), [0.0, tine.long()]);
        let on = |far: f64, forward: f64| tine.at(start + far * forward.sin(), far * forward.cos());
        // Across, the outline is nearest; forward it comes in, so that this is soon out of the wood.
        let far = |forward: f64| leaves(wood, |far| on(far, forward), [0.0, 2.0 * tine.wide]);
        let out = far(FORWARD);
        // Where the front runs back little, the arc would otherwise leave it along a stretch.
        let [back, front] = [-BESIDE, BESIDE].map(|by| on(far(FORWARD + by), FORWARD + by));
        let way = on(out, FORWARD) - tine.at(start, 0.0);
        let between = (tine.side * way.angle_to(back - front)).rem_euclid(PI);
        let turn = turn.min(2.0 * (between - CROSSING)).max(LEAST_TURN);
        let crosses = (0.5 * (turn + CROSSING)..PI - 0.5 * CROSSING).contains(&between);
        let past = on(out + tine.further() / FORWARD.cos(), FORWARD);
        (start > 0.0 && crosses).then_some((start, past, turn))
    }
}

/// Where a point's corner begins on a tine's side and how far its arc turns to where it leaves the wood. Both
/// corners of a tine begin level with each other, given where each would by itself, as far as this one then
/// still keeps to its own half.
fn point(
    wood: &dyn Fn(DVec2) -> bool,
    tine: &TineSide,
    arc: &TipArc,
    [own, other]: [f64; 2],
) -> Option<(f64, f64)> {
    let most = (1.0 - tine.most_aside() / arc.radius).acos().min(arc.most);
    let latest = own + arc.back;
    let start = own.min(other).max(latest - arc.radius * most.sin());
    // Where the front leans the arc's way, it leaves the wood later.
    let start = match wood(arc.on(tine, start, most)) {
        true => leaves(wood, |start| arc.on(tine, start, most), [start, latest]),
        false => start,
    };
    (!wood(arc.on(tine, start, most)))
        .then(|| (start, leaves(wood, |turn| arc.on(tine, start, turn), [0.0, most])))
}

/// The arc of a corner, which leaves a tine's side without a bend: how far it goes forward, its radius, in mm,
/// how far it turns, and how far it may if it is shifted.
struct TipArc {
    back: f64,
    radius: f64,
    turn: f64,
    most: f64,
}

impl TipArc {
    /// So far into the tine by so much of a turn.
    fn turning(aside: f64, turn: f64) -> TipArc {
        let radius = aside / (1.0 - turn.cos());
        TipArc { back: radius * turn.sin(), radius, turn, most: turn }
    }

    /// So far into the tine and so far forward.
    fn reaching(aside: f64, back: f64) -> TipArc {
        TipArc::turning(aside, 2.0 * aside.atan2(back))
    }

    /// The place on it, from where it begins along the side, after so much of a turn.
    fn on(&self, tine: &TineSide, start: f64, turn: f64) -> DVec2 {
        tine.at(start + self.radius * turn.sin(), self.radius * (1.0 - turn.cos()))
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
}

impl TineSide {
    fn long(&self) -> f64 {
        self.ends[0].distance(self.ends[1])
    }

    /// How far past the outline a corner of it runs.
    fn further(&self) -> f64 {
        LEAST_PAST.max(PAST * self.wide)
    }

    /// How far a corner may go in, so that it keeps to its own half past the outline, too.
    fn most_aside(&self) -> f64 {
        APART * self.wide - self.further()
    }

    /// The place so far along it and so far into the tine.
    fn at(&self, along: f64, into: f64) -> DVec2 {
        let way = (self.ends[1] - self.ends[0]).normalize_or_zero();
        self.ends[0] + along * way + into * self.side * way.perp()
    }
}

/// Where a way leaves the wood, between a place of it inside and one further on.
pub(super) fn leaves(
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
