//! The bowl of a spoon, a fork or a scoop: a rim land in the rim plane, a hollow that meets it in a clean
//! line, and a back that follows the hollow.

use super::bowl_cut::{BowlBottom, BowlTop, ROUND, rounded};
use super::eased::EasedLand;
use super::land::RimLand;
use super::lean::{HollowLean, could_be_deepest};
use super::offset::{OutlineBend, OwnHollow, front_inner, inner_offset, tightest_bend};
use super::plan::{Plan, Runs, SideSign};
use super::spline::{Spline, ease};
use crate::params::Bowl;
use glam::DVec2;

/// Share of the bowl's length, from the neck, at which the shoulder has run out, unless the design
/// says. By eye, on large side views.
const SHOULDER: f64 = 0.38;
/// The same of the way to the widest place, where that is less: the depth is measured there.
const SHOULDER_MOST: f64 = 0.9;
/// The same for the keel; it goes no further than the widest place.
const KEEL: f64 = 0.66;
/// How far along the shoulder the hollow begins: it cuts into the last of it, so that no flat lies
/// behind it. By eye.
const BEGINS: f64 = 0.71;
/// Share of the way from the neck to there at which the body's lines across end: far enough behind that
/// the lines from there to the hollow's rear keep clear of its end, however square.
const BEFORE: f64 = 0.85;
/// How many times wider the hollow's own end may be than the rim land leaves room for; what is over
/// is drawn in. Where it would be more, the hollow begins further forward. By eye.
const ROOM: f64 = 1.6;
/// How much the keel narrows while the head widens round it: where the hollow begins, half-way up
/// the handle's section, the keel's is 1 / (2 + NARROWS) high. By eye.
const NARROWS: f64 = 2.0;
/// The hollow begins no further back than where the rim land leaves it this share of its greatest
/// half-width open: a wide land would else draw it out to a line.
const LEAST_OPEN: f64 = 0.15;
/// Of the head's length, the least from where the hollow begins to the widest place.
const LEAST_REAR: f64 = 0.06;
/// Least width of the hollow in an outline of its own, as a share of what it is in a plain one.
const LEAST_SPREAD: f64 = 0.15;
/// The widest rim land, as a share of the tightest bend that it runs along: past the bend's own
/// middle its inner edge would turn back on itself.
const WIDEST_LAND: f64 = 0.9;
/// How far from the widest place towards the neck or the tip the hollow may be deepest, at most. By eye.
const FARTHEST_DEEPEST: f64 = 0.5;
/// So much inside of the hollow's front, in mm, its own line still says how wide it is.
const INSIDE: f64 = 1e-3;
/// Of the handle's underside below the rim wall, in mm: no less, so that it has a section.
const LEAST_RIDGE: f64 = 1e-9;
/// The hollow's outline and depth, and the back, in mm.
#[derive(Clone, Debug)]
pub(crate) struct BowlSkins {
    /// Where the hollow begins.
    pub(crate) rear: f64,
    /// Where it ends.
    pub(crate) front: f64,
    edge: f64,
    depth: f64,
    wall: f64,
    pub(super) back: BowlBack,
    lean: Option<Box<HollowLean>>,
    /// Where it would have to be deepest for there to be a hollow, as a distance from the neck, if it
    /// isn't.
    shallow: Option<f64>,
    land: RimLand,
    /// How much the land's edges are eased.
    round: f64,
    half_width: f64,
    fullness: f64,
    /// (half-width of the rim's inner offset / greatest)ⁿ along X.
    inner: Spline,
    /// Where it lies, in a head with an outline or a middle of its own.
    own: Option<Box<OwnHollow>>,
    /// The tightest bend of the outline that the hollow runs along, for its land.
    bend: OutlineBend,
    /// Least distance from where it begins to the widest place.
    least_rear: f64,
    /// Whether its front is open, as a scoop's is.
    open: bool,
}

/// How deep the back is in its middle, below the rim wall, in mm, and how round: from [`ROUND`] on, as
/// much as the wall beside the middle needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BowlBack {
    pub(super) depth: f64,
    pub(super) round: f64,
}

/// Why there can be no hollow inside a rim land.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum NoHollow {
    /// The outline bends more tightly than the land is wide there; the widest that could be.
    Bend { radius: f64, land: f64, most: f64 },
    /// The land closes the hollow behind its widest place.
    Rear,
    /// The head's own outline leaves next to none at that distance past the neck.
    Narrow(f64),
    /// There is next to none where it is to be deepest; the nearest distance past the neck that could be.
    Deepest(f64),
}

/// Where shoulder and keel run out, as shares of the bowl's length.
pub(super) fn runs(bowl: &Bowl) -> Runs {
    let shoulder = bowl.shoulder.unwrap_or(SHOULDER.min(SHOULDER_MOST * bowl.widest));
    let keel = bowl.keel.unwrap_or(KEEL.min(bowl.widest).max(shoulder));
    Runs { rest: BEFORE * BEGINS * shoulder, shoulder, keel }
}

impl BowlSkins {
    /// The bowl on its plan.
    pub(crate) fn new(bowl: &Bowl, edge: f64, plan: &Plan, open: bool) -> BowlSkins {
        let land = RimLand::new(bowl, [plan.neck, plan.widest, plan.length]);
        let half_width = plan.half_width - land.beside();
        let depth = bowl.depth.as_mm();
        let is_own = plan.is_own() || land.varies();
        let inner = match is_own {
            true => inner_offset(&plan.plain(), &land.plain(), land.front(), half_width),
            false => inner_offset(plan, &land, land.front(), half_width),
        };
        let own = is_own.then(|| Box::new(OwnHollow::new(plan, &land, half_width)));
        let begins = plan.neck + (plan.rest - plan.neck) / BEFORE;
        let room = |x: f64| {
            let shares = own.as_ref().map(|own| own.shares());
            [Some(&inner), shares].into_iter().flatten().all(|inner| has_room(plan, inner, x))
        };
        let rear = opens(room, begins, plan.widest);
        let bend = tightest_bend(plan, &land, rear);
        let mut skins = BowlSkins {
            rear,
            front: plan.length - land.front(),
            edge,
            depth,
            wall: bowl.wall.as_mm(),
            back: BowlBack { depth: least_back(depth, bowl.wall.as_mm(), edge), round: ROUND },
            land,
            round: bowl.rim_round.map_or(0.0, |round| round.as_mm()),
            half_width,
            fullness: plan.fullness,
            inner,
            own,
            bend,
            least_rear: LEAST_REAR * bowl.length.as_mm(),
            open,
            lean: None,
            shallow: None,
        };
        if let Some(share) = bowl.deepest {
            let deepest = plan.neck + share * bowl.length.as_mm();
            let opening = |x: f64| match x > skins.rear && x < skins.front {
                true => skins.opening(plan, x),
                false => 0.0,
            };
            let ends = [plan.neck, plan.length];
            let [from, to] = ends.map(|end| plan.widest + FARTHEST_DEEPEST * (end - plan.widest));
            let nearest = could_be_deepest(opening, deepest.max(from).min(to), plan.widest);
            skins.shallow = (nearest != deepest).then_some(nearest - plan.neck);
            let places = [nearest, plan.widest];
            let (hollow, head) = ([skins.rear, skins.front], [plan.neck, plan.length]);
            let lean = HollowLean::new(places, hollow, head, along(plan, nearest));
            skins.lean = Some(Box::new(lean));
        }
        skins
    }

    /// Why there can be no such hollow, if so.
    pub(super) fn trouble(&self, plan: &Plan) -> Option<NoHollow> {
        let OutlineBend { radius, land } = self.bend;
        let most = WIDEST_LAND * radius;
        // Asked for, not against, so that a NaN fails.
        let runs = land <= most;
        let long = plan.widest - self.rear >= self.least_rear;
        if !runs {
            Some(NoHollow::Bend { radius, land, most })
        } else if !long {
            Some(NoHollow::Rear)
        } else if let Some(nearest) = self.shallow {
            Some(NoHollow::Deepest(nearest))
        } else {
            const LOOKS: u32 = 200;
            let step = (self.front - self.rear) / f64::from(LOOKS);
            let narrow = |x: &f64| self.half_width(*x) < LEAST_SPREAD * self.half_width;
            let looks = (1..LOOKS).map(|look| self.rear + f64::from(look) * step);
            let found = self.own.as_ref().and_then(|_| looks.into_iter().find(narrow));
            found.map(|x| NoHollow::Narrow(x - plan.neck))
        }
    }

    /// Half of the hollow's width at a place along the utensil, but for the closing at its ends.
    fn half_width(&self, x: f64) -> f64 {
        let times = self.own.as_ref().map(|own| own.times(x, &self.inner, self.fullness));
        times.map_or(self.half_width, |times| self.half_width * times)
    }

    /// Where the hollow's middle lies at a place along the utensil.
    fn middle(&self, x: f64) -> f64 {
        self.own.as_ref().map_or(0.0, |own| own.middle(x))
    }

    /// The line between hollow and rim land on the right and on the left at a place along the utensil,
    /// where there is a hollow.
    pub(crate) fn hollow_within(&self, plan: &Plan, x: f64) -> Option<[f64; 2]> {
        let (middle, half) = (self.middle(x), self.half_hollow(plan, x));
        (half > 0.0).then_some([middle - half, middle + half])
    }

    /// (half-width of the hollow / greatest)ⁿ at a place along the utensil; 0 or less outside.
    fn opening(&self, plan: &Plan, x: f64) -> f64 {
        let offset = self.inner.value(x);
        if x < plan.widest {
            let closing = ((plan.widest - x) / (plan.widest - self.rear)).max(0.0);
            let end = end_open(1.0 - closing.powf(plan.fullness), closing);
            end * drawn_in(offset, end)
        } else {
            offset
        }
    }

    /// X of the outline's point, between neck and widest place, whose inner offset by the rim land
    /// lies at a place along the utensil.
    pub(super) fn foot(&self, plan: &Plan, x: f64, side: SideSign) -> f64 {
        // A plain head only widens towards its widest place.
        let most = self.land.most();
        let ahead = if plan.is_own() { most } else { 0.0 };
        let (mut low, mut high) = (x - most, x + ahead);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            let inner = middle - self.land.at(middle) * plan.ogee_normal(middle, side).x;
            if inner < x { low = middle } else { high = middle }
        }
        high
    }

    /// The rim land.
    pub(super) fn land(&self) -> &RimLand {
        &self.land
    }

    /// Height of the rim wall.
    pub(super) fn edge(&self) -> f64 {
        self.edge
    }

    /// How many times as deep the back is as hollow and wall need in the middle.
    pub(super) fn times_deeper(&self) -> f64 {
        self.back.depth / least_back(self.depth, self.wall, self.edge)
    }

    /// Whether the hollow is deepest elsewhere than where it is widest.
    pub(super) fn leans(&self) -> bool {
        self.lean.is_some()
    }

    /// The share of the back's form where it is deepest.
    pub(super) fn deepest_share(&self) -> f64 {
        self.lean.as_ref().map_or(1.0, |lean| lean.back)
    }

    /// Wood that is asked for behind the hollow at a place along the utensil. A scoop's runs out with its
    /// rim, to its edge's height at the lip.
    pub(super) fn asked_wall(&self, plan: &Plan, x: f64) -> f64 {
        self.wall + (self.edge - self.wall) * self.lowered(plan, x)
    }

    /// Height of the rim plane.
    pub(crate) fn rim_plane(&self) -> f64 {
        0.5 * self.edge
    }

    /// How far an open front's rim has come down to the floor at a place along the utensil: 0 at the
    /// widest place, 1 from where the hollow ends. No slope at either end.
    pub(super) fn lowered(&self, plan: &Plan, x: f64) -> f64 {
        match self.open && x > plan.widest {
            true => ease((x - plan.widest) / (self.front - plan.widest)),
            false => 0.0,
        }
    }

    /// The same in mm.
    pub(super) fn falls(&self, plan: &Plan, x: f64) -> f64 {
        self.depth * self.lowered(plan, x)
    }

    /// What a power of a half-width is a share of: itself where the front is open, so that floor and back
    /// lie level along their middle, as deep as the rim still stands over them.
    fn whole(&self, plan: &Plan, x: f64, power: f64) -> f64 {
        match self.open && x > plan.widest {
            true => power.max(f64::MIN_POSITIVE),
            false => 1.0,
        }
    }

    /// How much lower the land's edges lie than its crest at a place along the utensil, in mm: by as much as
    /// is asked for from the widest place on, and from there back to the hollow's rear by less and less. Nothing
    /// at the lip of a scoop.
    pub(super) fn eased(&self, plan: &Plan, x: f64) -> f64 {
        let comes = ease((x - self.rear) / (plan.widest - self.rear));
        self.round * comes * (1.0 - self.lowered(plan, x))
    }

    /// The land there, if its edges are eased.
    pub(super) fn eased_land(&self, plan: &Plan, x: f64) -> Option<EasedLand> {
        let fall = self.eased(plan, x);
        let line = x.min(self.front - INSIDE);
        (fall > 0.0).then(|| EasedLand {
            fall,
            n: plan.fullness,
            hollow: [self.opening(plan, x), self.middle(x), self.half_width(line)],
            outline: [along(plan, x), plan.sway.value(x), plan.half_width * plan.spread(x)[0]],
        })
    }

    /// What the hollow's depth is multiplied by at a place along the utensil where it is so open.
    fn leans_hollow(&self, plan: &Plan, x: f64, opening: f64) -> f64 {
        self.lean.as_ref().map_or(1.0, |lean| {
            drawn(rounded(self.opening(plan, lean.hollow_from(x)), ROUND), rounded(opening, ROUND))
        })
    }

    /// What the back's depth is multiplied by where its form is `along`, and has been drawn along from where it
    /// is `from`. However round it is, what a back that only follows the hollow would be.
    fn leans_back(&self, along: f64, from: f64) -> f64 {
        self.lean.as_ref().map_or(1.0, |lean| {
            let [drawn_from, here, most] = [from, along, lean.back].map(|q| rounded(q, ROUND));
            drawn(drawn_from, here) * most / rounded(lean.back, self.back.round)
        })
    }

    /// The hollow in the top skin, at a place along the utensil.
    pub(crate) fn top(&self, plan: &Plan, x: f64) -> BowlTop {
        let opening = (x > self.rear && x < self.front).then(|| self.opening(plan, x));
        let eased = self.eased_land(plan, x);
        // An eased edge lies lower; from there it is less deep.
        let depth = self.depth * (1.0 - self.lowered(plan, x));
        let depth = eased.as_ref().map_or(depth, |land| depth - land.fall);
        BowlTop {
            n: plan.fullness,
            rim_plane: self.rim_plane(),
            eased,
            depth: depth * opening.map_or(1.0, |here| self.leans_hollow(plan, x, here)),
            whole: self.whole(plan, x, opening.unwrap_or(1.0)),
            middle: self.middle(x),
            half_width: self.half_width(x),
            opening,
        }
    }

    /// Whether a point lies inside the line between hollow and rim land.
    pub(crate) fn in_hollow(&self, plan: &Plan, p: DVec2) -> bool {
        let across = ((p.y - self.middle(p.x)) / self.half_width(p.x)).abs().powf(plan.fullness);
        p.x > self.rear && p.x < self.front && self.opening(plan, p.x) > across
    }

    /// Half of the hollow's width at a place along the utensil; 0 outside.
    pub(crate) fn half_hollow(&self, plan: &Plan, x: f64) -> f64 {
        match x > self.rear && x < self.front {
            true => self.half_width(x) * self.opening(plan, x).max(0.0).powf(1.0 / plan.fullness),
            false => 0.0,
        }
    }

    /// The bottom skin at a place along the utensil. `ridge` is how much lower than the rim wall
    /// the handle's underside is in its middle, there and at the neck.
    ///
    /// The keel goes as much deeper as the shoulder comes down, so that the neck stays as thick as
    /// the handle until the hollow begins, but no deeper than the back. In the middle the third
    /// power of the whole depth is a mean of keel and full back, weighed by how far the back has
    /// come: it goes from the one to the other without a notch or a bump.
    pub(crate) fn bottom(&self, plan: &Plan, x: f64, ridge: [f64; 2]) -> BowlBottom {
        let n = plan.fullness;
        let along = along(plan, x);
        let begun = ease((x - plan.neck) / (plan.rest - plan.neck));
        let [ridge, first] = ridge.map(|ridge| ridge.max(LEAST_RIDGE));
        let deepest = (2.0 * first).min(self.back.depth.max(first));
        // As far along as what is drawn here has come.
        let deepest_x = self.lean.as_ref().map_or(plan.widest, |lean| lean.deepest);
        let from = self.lean.as_ref().map_or(along, |lean| self::along(plan, lean.back_from(x)));
        let come = if x < deepest_x { (begun * rounded(from, ROUND)).powi(3) } else { 1.0 };
        // Where a wide land makes the hollow begin late, the keel waits for it.
        let out = plan.keel.max(self.rear + self.least_rear);
        let left = (1.0 - come) * (1.0 - ease((x - self.rear) / (out - self.rear)));
        BowlBottom {
            n,
            edge: self.edge,
            back: self.back.depth * (1.0 - self.lowered(plan, x)) * self.leans_back(along, from),
            deepest: rounded(self.deepest_share(), self.back.round),
            round: self.back.round,
            whole: self.whole(plan, x, along),
            along,
            middle: plan.sway.value(x),
            half_width: plan.half_width * plan.spread(x)[0],
            keel: (ridge + plan.come_down(x) * (deepest - first)) * left.max(0.0).cbrt(),
            ridge,
            narrow: NARROWS * begun,
            begun,
        }
    }

    /// The hollow's line round its front, by the outline's angle (see [`Plan::front_arc`]).
    pub(crate) fn front_arc(&self, plan: &Plan, angle: f64) -> DVec2 {
        if let Some(own) = &self.own {
            // Its own line, since where the head is widest it needn't lie square to the outline there.
            let [along, across] = super::plan::polar(angle, plan.fullness);
            let x = plan.widest + (self.front - plan.widest) * along;
            let half = self.half_width * own.shares().value(x).max(0.0).powf(1.0 / plan.fullness);
            return DVec2::new(x, own.middle(x) + across.signum() * half);
        }
        front_inner(plan, &self.land, angle)
    }

    /// The hollow's line round its rear, by an angle: 0 at the very rear, ±π/2 where the closing
    /// has died out (left for a positive angle).
    pub(crate) fn rear_arc(&self, plan: &Plan, angle: f64) -> DVec2 {
        let n = plan.fullness;
        let [along, across] = super::plan::polar(angle, n);
        let x = plan.widest - (plan.widest - self.rear) * along;
        let end = end_open(across.abs().powf(n), along);
        let half = (end * drawn_in(self.inner.value(x), end)).powf(1.0 / n);
        DVec2::new(x, self.middle(x) + across.signum() * self.half_width(x) * half)
    }
}

/// Depth of the back in its middle, below the rim wall, that hollow and wall need at the least.
fn least_back(depth: f64, wall: f64, edge: f64) -> f64 {
    depth + wall - edge
}

/// What a form so great is multiplied by to be as great as another; at its very end, where both are nothing, they
/// are drawn there from the same place.
fn drawn(from: f64, form: f64) -> f64 {
    const NOTHING: f64 = 1e-12;
    if form > NOTHING { from / form } else { 1.0 }
}

/// How far the back has come at a place along the bowl: 1 where it is widest, 0 at the tip.
fn along(plan: &Plan, x: f64) -> f64 {
    if x > plan.widest {
        1.0 - plan.toward_tip(x).powf(plan.fullness)
    } else {
        (plan.plain_half(x) / plan.half_width).powf(plan.fullness)
    }
}

/// How wide the hollow's end is by itself, as a power of the half-width, where a superellipse's is `plain` and it has
/// closed so far, from 0 at the widest place to 1 at its very rear. It begins to close without a jump in how much its
/// line bends, so that the line flows on from the front, which the offset alone makes.
fn end_open(plain: f64, closed: f64) -> f64 {
    plain + (1.0 - plain) * (1.0 - closed).powi(2)
}

/// What is left of the hollow's end, `end` wide by itself, where the rim land leaves `offset`, both
/// as powers of the half-width: the reciprocals add up, so that it is less than either, and the
/// other where one of them is whole.
fn drawn_in(offset: f64, end: f64) -> f64 {
    let offset = offset.max(0.0);
    offset / (offset + end - offset * end).max(f64::MIN_POSITIVE)
}

/// Whether a hollow that begins at a place along the utensil has room inside the rim land for an end
/// of its own.
fn has_room(plan: &Plan, inner: &Spline, rear: f64) -> bool {
    const STEPS: u32 = 40;
    let n = plan.fullness;
    inner.value(rear) >= LEAST_OPEN.powf(n)
        && (1..STEPS).map(|step| f64::from(step) / f64::from(STEPS)).all(|share| {
            let end = end_open(1.0 - (1.0 - share).powf(n), 1.0 - share);
            end <= ROOM.powf(n) * inner.value(rear + share * (plan.widest - rear))
        })
}

/// The first place from one on to another, along X, where something is open.
fn opens(open: impl Fn(f64) -> bool, from: f64, to: f64) -> f64 {
    const STEPS: u32 = 100;
    let at = |step: u32| from + (to - from) * f64::from(step) / f64::from(STEPS);
    let Some(first) = (0..=STEPS).find(|step| open(at(*step))) else { return to };
    if first == 0 {
        return from;
    }
    let (mut shut, mut wide) = (at(first - 1), at(first));
    for _ in 0..50 {
        let middle = 0.5 * (shut + wide);
        if open(middle) { wide = middle } else { shut = middle }
    }
    wide
}
