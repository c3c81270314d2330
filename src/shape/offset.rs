//! The outline's inner offset by the rim land: the line that the hollow keeps to.

use super::land::RimLand;
use super::plan::{Plan, SideSign};
use super::spline::Spline;
use glam::DVec2;
use std::f64::consts::FRAC_PI_2;

/// Places of the offset between the neck and the widest place, and round the front.
const SIDE: u32 = 160;
const FRONT: u32 = 240;
/// Closer knots would only add rounding.
const CLOSE: f64 = 0.02;

/// The outline's inner offset by the rim land, as a spline of (half-width / greatest)ⁿ over X:
/// smooth up to the tip, where the half-width itself is not. Its knots lie on the exact offset, drawn out to
/// where the land is `front` wide at the tip.
pub(super) fn inner_offset(plan: &Plan, land: &RimLand, front: f64, half_width: f64) -> Spline {
    let share = |y: f64| (y.max(0.0) / half_width).powf(plan.fullness);
    let mut knots: Vec<(f64, f64)> = Vec::new();
    let mut add = |p: DVec2| {
        if knots.last().is_none_or(|last| p.x > last.0 + CLOSE) {
            knots.push((p.x, share(p.y)));
        }
    };
    for step in 0..=SIDE {
        let x = plan.neck + (plan.widest - plan.neck) * f64::from(step) / f64::from(SIDE);
        let y = plan.ogee(x)[0];
        add(DVec2::new(x, y) - land.at(x) * plan.ogee_normal(x, 1.0));
    }
    let tip = plan.length - front;
    // Drawn out or in where the land isn't as wide at the tip: the hollow then stays widest here.
    let drawn = (tip - plan.widest) / (plan.length - land.front() - plan.widest);
    for step in 1..FRONT {
        let angle = FRAC_PI_2 * (1.0 - f64::from(step) / f64::from(FRONT));
        let p = front_inner(plan, land, angle);
        add(if front == land.front() {
            p
        } else {
            DVec2::new(plan.widest + drawn * (p.x - plan.widest), p.y)
        });
    }
    while knots.last().is_some_and(|last| last.0 > tip - CLOSE) {
        knots.pop();
    }
    knots.push((tip, 0.0));
    Spline::natural(&knots)
}

/// Round the tip, inside of the outline by an angle of it.
pub(super) fn front_inner(plan: &Plan, land: &RimLand, angle: f64) -> DVec2 {
    let p = plan.front_arc(angle);
    p - land.at(p.x) * plan.front_normal(angle)
}

/// The same of a head whose two sides differ: where its middle lies, and its half-width as a power of
/// the plain head's greatest, both smooth up to the tip.
#[derive(Clone, Debug)]
pub(super) struct OwnHollow {
    middle: Spline,
    shares: Spline,
}

impl OwnHollow {
    pub(super) fn new(plan: &Plan, land: &RimLand, half_width: f64) -> OwnHollow {
        let left = OffsetSide::new(plan, land, 1.0);
        let right = OffsetSide::new(plan, land, -1.0);
        let tip = front_inner(plan, land, 0.0);
        let (mut middle, mut shares) = (Vec::new(), Vec::new());
        let mut before = f64::NEG_INFINITY;
        for (_, p) in &left.places {
            if p.x <= before + CLOSE || p.x > tip.x - CLOSE {
                continue;
            }
            let Some(y) = right.at(p.x) else { continue };
            before = p.x;
            middle.push((p.x, 0.5 * (p.y + y)));
            let half = (0.5 * (p.y - y)).max(0.0);
            shares.push((p.x, (half / half_width).powf(plan.fullness)));
        }
        middle.push((tip.x, tip.y));
        shares.push((tip.x, 0.0));
        OwnHollow { middle: Spline::natural(&middle), shares: Spline::natural(&shares) }
    }

    pub(super) fn shares(&self) -> &Spline {
        &self.shares
    }

    pub(super) fn middle(&self, x: f64) -> f64 {
        self.middle.value(x)
    }

    /// How many times wider than in the plain head the hollow is, whose own offset is `plain`.
    pub(super) fn times(&self, x: f64, plain: &Spline, n: f64) -> f64 {
        /// So near to the tip both are nothing.
        const NOTHING: f64 = 1e-12;
        let (own, plain) = (self.shares.value(x), plain.value(x));
        if plain > NOTHING { (own.max(NOTHING) / plain).powf(1.0 / n) } else { 1.0 }
    }
}

/// One side of the offset, by a parameter: 0 at the neck, 1 at the widest place, 2 at the tip.
struct OffsetSide<'a> {
    plan: &'a Plan,
    land: &'a RimLand,
    side: SideSign,
    places: Vec<(f64, DVec2)>,
}

impl<'a> OffsetSide<'a> {
    fn new(plan: &'a Plan, land: &'a RimLand, side: SideSign) -> OffsetSide<'a> {
        let mut offset = OffsetSide { plan, land, side, places: Vec::new() };
        let beside = (0..=SIDE).map(|step| f64::from(step) / f64::from(SIDE));
        let front = (1..=FRONT).map(|step| 1.0 + f64::from(step) / f64::from(FRONT));
        offset.places = beside.chain(front).map(|along| (along, offset.point(along))).collect();
        offset
    }

    fn point(&self, along: f64) -> DVec2 {
        let OffsetSide { plan, land, side, .. } = *self;
        if along <= 1.0 {
            let x = plan.neck + (plan.widest - plan.neck) * along;
            return plan.outline_at(x, side) - land.at(x) * plan.ogee_normal(x, side);
        }
        front_inner(plan, land, side * FRAC_PI_2 * (2.0 - along))
    }

    /// Y at a place along the utensil; none where the offset isn't.
    fn at(&self, x: f64) -> Option<f64> {
        let pair = self.places.windows(2).find(|pair| pair[0].1.x <= x && x <= pair[1].1.x)?;
        let (mut low, mut high) = (pair[0].0, pair[1].0);
        for _ in 0..32 {
            let middle = 0.5 * (low + high);
            if self.point(middle).x < x { low = middle } else { high = middle }
        }
        Some(self.point(0.5 * (low + high)).y)
    }
}

/// Where the outline bends round the hollow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OutlineBend {
    /// Its radius.
    pub(super) radius: f64,
    /// How wide the rim land is there.
    pub(super) land: f64,
}

impl OutlineBend {
    const NONE: OutlineBend = OutlineBend { radius: f64::INFINITY, land: 0.0 };

    /// The one that leaves the land less room.
    fn tighter(self, other: OutlineBend) -> OutlineBend {
        if other.radius * self.land < self.radius * other.land { other } else { self }
    }
}

/// Where the outline's bend leaves the land inside of it the least room, from `rear` on.
pub(super) fn tightest_bend(plan: &Plan, land: &RimLand, rear: f64) -> OutlineBend {
    // Both sides of a plain head bend alike.
    let sides: &[SideSign] = if plan.is_own() { &[1.0, -1.0] } else { &[1.0] };
    let bends = sides.iter().map(|side| tightest_on(plan, *side, land, rear));
    bends.fold(OutlineBend::NONE, OutlineBend::tighter)
}

fn tightest_on(plan: &Plan, side: SideSign, land: &RimLand, rear: f64) -> OutlineBend {
    const STEPS: u32 = 400;
    let share = |step: u32| f64::from(step) / f64::from(STEPS);
    let beside = (0..=STEPS).map(|step| {
        let x = plan.neck + (plan.widest - plan.neck) * share(step);
        (plan.outline_at(x, side), plan.ogee_normal(x, side))
    });
    let front = (0..=STEPS).map(|step| {
        let angle = side * FRAC_PI_2 * (1.0 - share(step));
        (plan.front_arc(angle), plan.front_normal(angle))
    });
    let of = |round: Vec<(DVec2, DVec2)>| {
        let radii = round.windows(2).map(|pair| {
            let [(p, n), (q, m)] = [pair[0], pair[1]];
            // Clockwise is round the hollow, on its left.
            let turn = side * m.angle_to(n);
            let rim = land.at(q.x);
            let beside = (q - rim * m).x >= rear;
            match beside && turn > 1e-9 {
                true => OutlineBend { radius: p.distance(q) / turn, land: rim },
                false => OutlineBend::NONE,
            }
        });
        radii.fold(OutlineBend::NONE, OutlineBend::tighter)
    };
    of(beside.collect()).tighter(of(front.collect()))
}
