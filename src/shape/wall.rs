//! The wood between hollow and back: the back is made as full as the wall asks.
//!
//! A back that only follows the hollow has its full wall in the middle alone: from there it thins to what
//! the rim land has. So it is made rounder, flatter in its middle and steeper at its sides, and where that
//! isn't enough, deeper.
//! Promised: at the places that are looked at, [`least_wood`], unless the back would have to be deeper
//! than `DEEPEST`. Not promised: the same between them, though the skins bend little there.

use super::bowl::{BowlBack, BowlSkins};
use super::bowl_cut::{ROUND, rounded};
use super::plan::Plan;
use super::{Body, HeadSkins, Parts};
use glam::DVec2;
use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

/// How steeply the back leaves the foot of the rim wall at the least, 1 being 45 degrees: as the backs of
/// spoons do. By eye.
const STEEP: f64 = 1.2;
/// How much thicker the wood grows, in mm, for each mm inward from the hollow's edge, until it is as thick
/// as the wall. By eye: it doubles over a broad spoon's flank, and more would bulge there.
const GROWS: f64 = 0.19;
/// The roundest back: more would be hollow in its middle.
const ROUNDEST: f64 = 1.0;
/// The deepest back, as a multiple of what depth and wall ask for in the middle.
const DEEPEST: f64 = 1.5;
/// From this share of the back's form on, more depth is a way to more wood.
const DEEPENS: f64 = 0.15;
/// Up to this share of it, roundness is.
const FLANK: f64 = 0.8;
/// How much deeper than the least a less round back may be.
const NEARLY: f64 = 1.004;
/// Halvings in the search for that least: down to what numbers of this size hold.
const HALVINGS: u32 = 50;
/// Places looked at: round the hollow, and from its middle (0) out to its edge (1), where it bends most
/// closer together.
const AROUND: i32 = 12;
const OUT: [f64; 14] =
    [0.0, 0.08, 0.19, 0.28, 0.36, 0.5, 0.62, 0.72, 0.8, 0.87, 0.92, 0.955, 0.98, 1.0];
/// So many times the wall is asked for on the flanks, because the least lies between the places that are
/// looked at.
const MORE: f64 = 1.008;
/// Less of the wall than this isn't made up for: there the roundest and deepest back has no more.
const LEAST_FOUND: f64 = 0.95;
/// Angles from the hollow's normal in which wood is asked for, in degrees: the nearest place of the back
/// lies outward of it, less far than this, and from the hollow's edge anywhere below.
const TILTS: [f64; 4] = [-12.0, 0.0, 12.0, 24.0];
const EDGE_TILTS: [f64; 5] = [-80.0, -65.0, -50.0, -35.0, -20.0];
/// Inside the hollow's edge its fall is taken between these distances, in mm: clear of the edge, which is
/// known a little less well.
const FALL: [f64; 2] = [0.1, 0.4];
/// What counts as just inside the hollow's edge, from its middle (0) to it (1).
const BESIDE: f64 = 0.98;
/// For slopes, in mm.
const STEP: f64 = 1e-3;
/// So near to the outline, as a share of the back's form, it says nothing of the whole.
const LEAST_SHARE: f64 = 0.03;

impl BowlSkins {
    /// Wood that there is to be behind a place of the hollow, in mm: the wall, or where that is more, what
    /// has grown from the hollow's edge.
    fn least_wood(&self, plan: &Plan, within: &HollowPlace) -> f64 {
        let HollowPlace { p, out, inward, climbs, steep, back } = *within;
        // From the edge to a plane that leaves the foot of the rim wall as steeply as the hollow falls.
        // Where the rim climbs, the same land has less wood square to it.
        let steep = steep.max(STEEP).min(back);
        let edge = p + inward * out;
        let rim = self.land_beside(edge, out);
        let high = self.edge() - self.eased(plan, edge.x);
        let at_edge = (steep * rim + high) / 1.0_f64.hypot(steep + climbs.max(-steep));
        let grows = GROWS * (back / STEEP).min(1.0);
        self.asked_wall(plan, p.x).min(at_edge + grows * inward.max(0.0))
    }

    /// How wide the rim land is outward of a place of its inner edge.
    fn land_beside(&self, edge: DVec2, out: DVec2) -> f64 {
        // The outline lies as far out as the land is wide there.
        let land = self.land();
        (0..4).fold(land.at(edge.x), |rim, _| land.at(edge.x + rim * out.x))
    }

    /// By how much a least back, with no roundness at all, has been made steeper at its rim.
    fn fuller(&self) -> f64 {
        (1.0 + self.back.round) * self.times_deeper()
    }

    /// The line between hollow and rim land, from its very rear (-1) past the widest place (0) to its
    /// front (1), on the left (a positive side) or the right.
    pub(super) fn edge_at(&self, plan: &Plan, along: f64, side: f64) -> DVec2 {
        let angle = side * FRAC_PI_2 * (1.0 - along.abs());
        if along < 0.0 { self.rear_arc(plan, angle) } else { self.front_arc(plan, angle) }
    }
}

/// What a place of the hollow asks of the back: its share of the back's form there, and the part of the
/// depth in the middle that it must have.
struct WallAsk {
    share: f64,
    part: f64,
    /// Whether it is the wall's, not what the rim has: there a deeper back would gain little.
    whole: bool,
}

impl WallAsk {
    /// How many times as deep a back so round must be, where its form's share is `most` in its deepest place.
    fn deeper(&self, most: f64, round: f64) -> f64 {
        self.part * rounded(most, round) / rounded(self.share, round)
    }

    /// The least and the greatest roundness with which a back so many times as deep is deep enough.
    fn rounds(&self, most: f64, times: f64) -> [f64; 2] {
        // part * most * (1 + round (1 - most)) <= times * share * (1 + round (1 - share))
        let WallAsk { share, part, .. } = *self;
        let gains = times * share * (1.0 - share) - part * most * (1.0 - most);
        let short = part * most - times * share;
        if gains > 0.0 {
            [short / gains, f64::INFINITY]
        } else if gains < 0.0 {
            [f64::NEG_INFINITY, short / gains]
        } else {
            [if short > 0.0 { f64::INFINITY } else { f64::NEG_INFINITY }, f64::INFINITY]
        }
    }
}

/// A place of the hollow, by its edge where that is nearest.
struct HollowPlace {
    p: DVec2,
    /// Toward the edge; how far it is; how steeply the rim climbs that way, and how steeply the hollow falls
    /// from its edge.
    out: DVec2,
    inward: f64,
    climbs: f64,
    steep: f64,
    /// How steeply the roundest back, no deeper than it must be, would leave the rim wall there.
    back: f64,
}

impl Body {
    /// The body whose back is as full as the wall asks; given one whose back only follows the hollow.
    pub(super) fn with_its_wall(mut self) -> Body {
        let HeadSkins::Bowl(bowl) = &self.0.head else { return self };
        let least = bowl.back;
        let (rays, line) = (self.looked_along(bowl), self.edge_line(bowl));
        let whole = self.between(bowl, &rays, &line);
        let asks = self.asks(bowl, &rays, &line, MORE);
        let full = bowl.full_back(&asks);
        self.set_back(full);
        let found = self.found_of_wall(&whole);
        if found < 1.0 {
            // As much more is asked for as there is too little between the places that are looked at.
            self.set_back(least);
            let HeadSkins::Bowl(bowl) = &self.0.head else { return self };
            let asks = self.asks(bowl, &rays, &line, MORE / found.max(LEAST_FOUND));
            let full = bowl.full_back(&asks);
            self.set_back(full);
        }
        self
    }

    fn set_back(&mut self, back: BowlBack) {
        if let Some(Parts { head: HeadSkins::Bowl(bowl), .. }) = Arc::get_mut(&mut self.0) {
            bowl.back = back;
        }
    }

    /// The least wood behind these places of the hollow, square to it, as a share of the wall that is asked for
    /// there; 1 where there is as much or more.
    fn found_of_wall(&self, places: &[DVec2]) -> f64 {
        let HeadSkins::Bowl(bowl) = &self.0.head else { return 1.0 };
        let share = |p: &DVec2| Some(self.wood_behind(*p)? / bowl.asked_wall(&self.0.plan, p.x));
        places.iter().filter_map(share).fold(1.0, f64::min)
    }
}

impl BowlSkins {
    /// The back that leaves the wall that is asked for behind the hollow: no deeper than it must be, and of
    /// such backs hardly rounder than it must be. All of it changes smoothly with the design, so that its twin's is
    /// the same.
    fn full_back(&self, asks: &[WallAsk]) -> BowlBack {
        let most = self.deepest_share();
        // At its very rim depth gains little.
        let deep = || asks.iter().filter(|ask| ask.whole && ask.share >= DEEPENS * most);
        let rounds = |times: f64| {
            deep().fold([ROUND, ROUNDEST], |[least, greatest], ask| {
                let [from, to] = ask.rounds(most, times);
                [least.max(from), greatest.min(to)]
            })
        };
        let any = |times: f64| {
            let [least, greatest] = rounds(times);
            least <= greatest
        };
        let mut least = 1.0;
        if !any(least) {
            let mut short = least;
            least = DEEPEST;
            for _ in 0..HALVINGS {
                let middle = 0.5 * (short + least);
                if any(middle) { least = middle } else { short = middle }
            }
        }
        let [from, to] = rounds(NEARLY * least);
        // The flanks have what roundness gives them without more depth.
        let flank = asks.iter().filter(|ask| ask.share < FLANK * most);
        let rounder = flank.map(|ask| ask.rounds(most, least)).filter(|[_, to]| *to > ROUNDEST);
        let round = rounder.fold(from, |round, [from, _]| round.max(from));
        let round = round.min(to).clamp(ROUND, ROUNDEST);
        let times = deep().map(|ask| ask.deeper(most, round)).fold(1.0, f64::max);
        BowlBack { depth: self.back.depth * times.min(DEEPEST), round }
    }
}

impl Body {
    /// Places between those that are looked at, along `rays` from the hollow's middle to its edge, which is `line`,
    /// as far out as the whole wall is asked for.
    fn between(&self, bowl: &BowlSkins, rays: &[DVec2], line: &[DVec2]) -> Vec<DVec2> {
        let plan = &self.0.plan;
        let middle = plan.beside(plan.widest, 0.0);
        let places = rays.iter().flat_map(|edge| {
            OUT.windows(2).map(move |pair| middle.lerp(*edge, 0.5 * (pair[0] + pair[1])))
        });
        places.filter(|p| self.is_whole(bowl, &self.within(*p, line))).collect()
    }

    /// The ends, on the hollow's edge, of the lines from its middle along which it is looked.
    fn looked_along(&self, bowl: &BowlSkins) -> Vec<DVec2> {
        let plan = &self.0.plan;
        let sides: &[f64] = if plan.is_own() { &[1.0, -1.0] } else { &[1.0] };
        let along = |side: &f64| {
            let side = *side;
            (-AROUND..=AROUND)
                .map(move |i| bowl.edge_at(plan, f64::from(i) / f64::from(AROUND), side))
        };
        sides.iter().flat_map(along).collect()
    }

    /// What the places that are looked at ask for, so many times the wall on the flanks.
    fn asks(&self, bowl: &BowlSkins, rays: &[DVec2], line: &[DVec2], more: f64) -> Vec<WallAsk> {
        let plan = &self.0.plan;
        let middle = plan.beside(plan.widest, 0.0);
        let mut asks = Vec::new();
        for (number, edge) in rays.iter().enumerate() {
            // The middle once.
            for along in OUT.into_iter().skip(usize::from(number > 0)) {
                let mut within = self.within(middle.lerp(*edge, along.min(BESIDE)), line);
                if along >= 1.0 {
                    // Which way its edge faces is told just inside of it.
                    (within.p, within.inward) = (*edge, 0.0);
                }
                self.ask(bowl, &within, [along, more], &mut asks);
            }
        }
        asks
    }

    /// Whether the whole wall is asked for behind a place of the hollow, not only what has grown from its
    /// edge.
    pub fn whole_wall(&self) -> impl Fn(DVec2) -> bool + Sync {
        let line = match &self.0.head {
            HeadSkins::Bowl(bowl) => self.edge_line(bowl),
            HeadSkins::Blade(_) => Vec::new(),
        };
        move |p| match &self.0.head {
            HeadSkins::Bowl(bowl) => {
                let within = self.within(p, &line);
                self.is_whole(bowl, &within)
            }
            HeadSkins::Blade(_) => false,
        }
    }

    /// The hollow's edge, all round.
    fn edge_line(&self, bowl: &BowlSkins) -> Vec<DVec2> {
        const LOOKS: i32 = 32;
        let plan = &self.0.plan;
        let share = |step: i32| f64::from(step) / f64::from(LOOKS);
        let right = (-LOOKS..=LOOKS).map(|step| bowl.edge_at(plan, share(step), -1.0));
        let left = (-LOOKS..=LOOKS).rev().map(|step| bowl.edge_at(plan, share(step), 1.0));
        right.chain(left).collect()
    }

    fn within(&self, p: DVec2, line: &[DVec2]) -> HollowPlace {
        let to = |pair: &[DVec2]| {
            let (from, along) = (pair[0], pair[1] - pair[0]);
            let share = (p - from).dot(along) / along.length_squared().max(f64::MIN_POSITIVE);
            from + share.clamp(0.0, 1.0) * along - p
        };
        let ways = line.windows(2).map(to);
        let way = ways.min_by(|a, b| a.length_squared().total_cmp(&b.length_squared()));
        let way = way.unwrap_or_default();
        let out = way.normalize_or_zero();
        let climbs = out.x * (self.rise(p.x + STEP) - self.rise(p.x - STEP)) / (2.0 * STEP);
        let inward = way.length();
        let [upper, lower] = [FALL[0], FALL[1]].map(|inside| self.top(p + (inward - inside) * out));
        // Beside the edge, and from there outward.
        let [near, far] = [0.0, FALL[1]].map(|beside| self.bottom(p + (inward + beside) * out));
        let fuller = match &self.0.head {
            HeadSkins::Bowl(bowl) => bowl.fuller(),
            HeadSkins::Blade(_) => 1.0,
        };
        let back = ((far - near) / FALL[1] - climbs) * (1.0 + ROUNDEST) / fuller;
        HollowPlace {
            p,
            out,
            inward,
            climbs,
            back: back.max(0.0),
            steep: (upper - lower) / (FALL[1] - FALL[0]) - climbs,
        }
    }

    /// Whether the whole wall is asked for behind a place of the hollow. Beside its edge that is so only where
    /// the roundest back has it without being deeper; that of a scoop runs out in front, and is whole nowhere
    /// there.
    fn is_whole(&self, bowl: &BowlSkins, within: &HollowPlace) -> bool {
        let plan = &self.0.plan;
        let HollowPlace { p, inward, .. } = *within;
        let wall = bowl.asked_wall(plan, p.x);
        if bowl.lowered(plan, p.x) > 0.0 || bowl.least_wood(plan, within) < wall {
            return false;
        }
        if inward >= bowl.land_beside(p + inward * within.out, within.out) {
            return true;
        }
        let (out, steep) = self.falls(p);
        let Some([share, part]) = self.asked_of_back(p, wall, out, steep) else { return false };
        part * bowl.times_deeper() * rounded(bowl.deepest_share(), ROUNDEST)
            <= rounded(share, ROUNDEST)
    }

    /// Against which way the hollow falls, and the angle of its normal below the level.
    fn falls(&self, p: DVec2) -> (DVec2, f64) {
        let slope =
            |way: DVec2| (self.top(p + STEP * way) - self.top(p - STEP * way)) / (2.0 * STEP);
        let climbs = DVec2::new(slope(DVec2::X), slope(DVec2::Y));
        (climbs.normalize_or_zero(), climbs.length().recip().atan())
    }

    /// What the back must be for wood behind a place of the hollow, outward and so far below the level (see
    /// [`BowlBottom::asks`](super::bowl_cut::BowlBottom::asks)); none where that leads out of the outline.
    fn asked_of_back(&self, p: DVec2, wood: f64, out: DVec2, angle: f64) -> Option<[f64; 2]> {
        let at = p.extend(self.top(p)) + wood * (out * angle.cos()).extend(-angle.sin());
        let asked = self.holds(at.truncate()).then(|| self.cut_bottom(at.x).asks(at.y, at.z));
        asked.flatten().map(|[share, part]| [share.min(1.0), part])
    }

    /// What a place of the hollow asks for, so far `along` from its middle (0) to its edge (1), so many times the
    /// wall on the flanks.
    fn ask(
        &self,
        bowl: &BowlSkins,
        within: &HollowPlace,
        [along, more]: [f64; 2],
        asks: &mut Vec<WallAsk>,
    ) {
        let HollowPlace { p, out, .. } = *within;
        let wood = bowl.least_wood(&self.0.plan, within);
        // Where it isn't deepest in its middle, that is a flank, too.
        let flank = if bowl.leans() { 1.0 } else { (2.0 * along).min(1.0) };
        let wood = (1.0 + (more - 1.0) * flank) * wood;
        // Directions by their angle below the level, outward.
        let (whole, (out, steep), tilts): (bool, (DVec2, f64), &[f64]) = if along >= 1.0 {
            (false, (out, 0.0), &EDGE_TILTS)
        } else {
            (self.is_whole(bowl, within), self.falls(p), &TILTS)
        };
        let asked = tilts.iter().filter_map(|tilt| {
            let angle = steep - tilt.to_radians();
            let [share, part] = self.asked_of_back(p, wood, out, angle)?;
            (share > LEAST_SHARE).then_some(WallAsk { share, part, whole })
        });
        asks.extend(asked);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Findings;
    use crate::params::{Head, parse_design};

    const SHIPPED: [&str; 7] = [
        include_str!("../../params/designs/harvest-spoon.toml"),
        include_str!("../../params/designs/harvest-fork.toml"),
        include_str!("../../params/designs/salad-spoon.toml"),
        include_str!("../../params/designs/salad-fork.toml"),
        include_str!("../../params/designs/corner-spoon.toml"),
        include_str!("../../params/designs/cranked-spoon.toml"),
        include_str!("../../params/designs/draining-spoon.toml"),
    ];

    /// Square to the hollow, between the places that the back was made by: 41 rays of 41 places, at a
    /// hundredth of the wall.
    #[test]
    fn the_wall_is_whole_as_far_out_as_it_is_asked_for() {
        for text in SHIPPED {
            let design = parse_design(text, &mut Findings::new()).expect("a shipped example").0;
            let Head::Bowl(asked) = &design.head else { panic!("a bowl") };
            let body = Body::new(&design);
            let whole = body.whole_wall();
            let HeadSkins::Bowl(bowl) = &body.0.head else { panic!("a bowl") };
            let plan = &body.0.plan;
            let mut looked = 0;
            for (i, j) in (-20..=20).flat_map(|i| (0..=40).map(move |j| (i, j))) {
                let (along, out) = (f64::from(i) / 20.0, f64::from(j) / 40.0);
                let p = plan.beside(plan.widest, 0.0).lerp(bowl.edge_at(plan, along, -1.0), out);
                if let Some(wall) = body.wall(along, out).filter(|_| whole(p)) {
                    looked += 1;
                    let least = 0.99 * asked.wall.as_mm();
                    assert!(wall >= least, "{wall} of {} at {along} {out}: {text}", asked.wall);
                }
            }
            assert!(looked > 400, "the wall is whole at {looked} places of 1681");
        }
    }

    /// A shallow hollow's sides thin no wood: the back stays as round as the hollow.
    #[test]
    fn a_wide_rim_needs_no_fuller_back() {
        let text = SHIPPED[0].replace("rim = \"2.5 mm\"", "rim = \"7 mm\"");
        let design = parse_design(&text, &mut Findings::new()).expect("a design").0;
        let body = Body::new(&design);
        let HeadSkins::Bowl(bowl) = &body.0.head else { panic!("a bowl") };
        assert!(bowl.back.round < 0.45, "{:?}", bowl.back);
    }
}
