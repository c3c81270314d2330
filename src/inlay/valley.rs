//! Where the flanks of the two sides of a stroke meet: the valley's line under the art, and between parts of
//! it the ridge's.
//!
//! Found on a triangulation of the outline's corners: each of its edges that crosses the art leads from one
//! bank to another, and somewhere on it both banks let the vee down equally deep. These ties are joined
//! triangle by triangle; where three valleys meet, the place is found at which three banks agree.
//!
//! Promised: ties are exact. Not promised: valleys so shallow that their banks turn by less than
//! [`LEAST_FOLD`]; the surface is measured again where they would be.

use super::shore::{Foot, Shore};
use glam::{DMat2, DVec2};
use spade::handles::{FaceHandle, InnerTag};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::collections::BTreeMap;

/// How a place lies to the art.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Lies {
    In,
    Out,
    On,
}

impl Lies {
    /// Of the best height there: greatest inside, least outside.
    pub(super) const fn way(self) -> f64 {
        match self {
            Lies::Out => 1.0,
            Lies::In | Lies::On => -1.0,
        }
    }
}

/// A corner of the plan; `ring` is its number on the shore, if it is there.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlanCorner {
    pub(super) at: DVec2,
    pub(super) lies: Lies,
    pub(super) ring: Option<u32>,
}

impl HasPosition for PlanCorner {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        Point2::new(self.at.x, self.at.y)
    }
}

/// A plan of the art and what is round it.
pub(super) type ArtPlan = ConstrainedDelaunayTriangulation<PlanCorner>;

/// A piece of a valley's line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reach {
    pub(super) ends: [DVec2; 2],
    pub(super) lies: Lies,
}

/// Banks that turn by less, as the distance of their directions, make no fold that shows: 17 degrees.
const LEAST_FOLD: f64 = 0.3;
/// A corner of the outline that turns by more has a valley that runs into it, in radians.
const SHARP: f64 = 0.3;
/// Steps of a ridge that is followed into the open, in mm, and the most of them.
const TRAIL_MM: f64 = 0.2;
const TRAIL: usize = 100;
/// A valley's pieces leave it by no more than this in mm, unless they are as short as this, and are halved
/// so often at most.
const BENT_MM: f64 = 0.0005;
const LEAST_PIECE_MM: f64 = 0.03;
const BENDS: usize = 5;
/// Lines nearer than this are one, in mm.
const SAME_LINE_MM: f64 = 0.03;
/// Halvings that find a tie: to a ten-millionth of a chord.
const HALVINGS: usize = 24;

/// The place of a face's middle.
pub(super) fn middle(
    face: &FaceHandle<'_, InnerTag, PlanCorner, (), spade::CdtEdge<()>, ()>,
) -> DVec2 {
    let p = face.center();
    DVec2::new(p.x, p.y)
}

/// The valleys of a plan whose faces lie so, on one side of the outline.
///
/// Out of a bay of the art the ridge goes on into the open: it is followed there as long as `flank` is
/// positive.
pub(super) fn valleys(
    plan: &ArtPlan,
    lies: &[Lies],
    of: Lies,
    shore: &Shore,
    flank: &dyn Fn(DVec2) -> f64,
) -> Vec<Reach> {
    let mut ties: BTreeMap<usize, DVec2> = BTreeMap::new();
    for edge in plan.undirected_edges() {
        let directed = edge.as_directed();
        let side = [directed.face(), directed.rev().face()].into_iter().find(|f| !f.is_outer());
        let own = side.is_some_and(|side| lies[side.fix().index()] == of);
        if !own || edge.is_constraint_edge() {
            continue;
        }
        let [a, b] = edge.vertices().map(|vertex| vertex.data().ring);
        if let (Some(a), Some(b)) = (a, b)
            && let Some(tie) = tie(shore, [a as usize, b as usize], of.way())
        {
            ties.insert(edge.fix().index(), tie);
        }
    }
    let (mut all, mut trails) = (Vec::new(), Vec::new());
    for face in plan.inner_faces().filter(|face| lies[face.fix().index()] == of) {
        let lies = of;
        let sides = face.adjacent_edges().map(|edge| ties.get(&edge.as_undirected().fix().index()));
        let found: Vec<DVec2> = sides.iter().copied().flatten().copied().collect();
        // The banks of a tie are the ends of its edge.
        let tied = face.adjacent_edges().into_iter().zip(sides).filter_map(|(edge, tie)| {
            let [a, b] = edge.vertices().map(|v| v.data().ring);
            Some(([a? as usize, b? as usize], *tie?))
        });
        let tied: Vec<([usize; 2], DVec2)> = tied.collect();
        let mut line = |(banks, from): ([usize; 2], DVec2), to: DVec2| {
            bent(shore, banks, [from, to], lies, BENDS, &mut all);
        };
        match found[..] {
            [_, other] => {
                if let Some(first) = tied.first() {
                    line(*first, other);
                }
            }
            [_, _, _] => {
                let corners = face.vertices().map(|vertex| vertex.data().ring);
                let [Some(a), Some(b), Some(c)] = corners else { continue };
                let meet = junction(shore, [a, b, c].map(|at| at as usize), &found, lies.way());
                tied.iter().for_each(|tie| line(*tie, meet));
            }
            [one] if face.vertices().iter().any(|v| v.data().ring.is_none()) => {
                let Some((banks, _)) = tied.first() else { continue };
                trails.push((*banks, one, middle(&face) - one, lies));
            }
            [_] => {
                // A valley ends in the sharp corner across from its tie.
                let Some(at) = sides.iter().position(Option::is_some) else { continue };
                let corner = face.adjacent_edges()[at].next().to();
                let sharp = |ring: u32| shore.turn(ring as usize) * -lies.way() > SHARP;
                if let (true, Some(first)) = (corner.data().ring.is_some_and(sharp), tied.first()) {
                    line(*first, corner.data().at);
                }
            }
            _ => {}
        }
    }
    for (banks, from, away, lies) in trails {
        let own = trail(shore, banks, from, away, lies, flank);
        // Where it comes to a line that is known, that one goes on for it.
        let meets = |reach: &Reach, known: &Reach| {
            let ends = known.ends.iter().filter(|end| end.distance(from) > SAME_LINE_MM);
            near(known, reach.ends[1]) || ends.clone().any(|end| near(reach, *end))
        };
        let met = own.iter().position(|reach| all.iter().any(|known| meets(reach, known)));
        all.extend_from_slice(&own[..met.unwrap_or(own.len())]);
    }
    all
}

/// A valley between two of its places, in pieces that follow it.
fn bent(
    shore: &Shore,
    banks: [usize; 2],
    ends: [DVec2; 2],
    lies: Lies,
    more: usize,
    all: &mut Vec<Reach>,
) {
    let [from, to] = ends;
    let across = (to - from).perp().normalize_or_zero();
    let middle = 0.5 * (from + to);
    let on = agreed(shore, banks, middle, across, lies.way()).filter(|on| {
        let off = on.distance(middle);
        more > 0
            && from.distance(to) > LEAST_PIECE_MM
            && off > BENT_MM
            && off < 0.25 * from.distance(to)
    });
    match on {
        Some(on) => {
            bent(shore, banks, [from, on], lies, more - 1, all);
            bent(shore, banks, [on, to], lies, more - 1, all);
        }
        None => all.push(Reach { ends, lies }),
    }
}

/// The place beside another, across, where two banks agree, by Newton's rule; none where it leads nowhere.
fn agreed(
    shore: &Shore,
    [a, b]: [usize; 2],
    from: DVec2,
    across: DVec2,
    way: f64,
) -> Option<DVec2> {
    let mut p = from;
    for _ in 0..5 {
        let [u, v] = [a, b].map(|bank| shore.near(bank, p, way));
        let rise = |foot: &Foot| (foot.at - p).normalize_or_zero() * -way * shore.slope;
        let fall = (rise(&u) - rise(&v)).dot(across);
        if fall.abs() < 1e-9 {
            break;
        }
        p += across * ((v.height - u.height) / fall);
    }
    p.is_finite().then_some(p)
}

/// Whether a point lies on a line, or nearly so.
fn near(line: &Reach, p: DVec2) -> bool {
    let [a, b] = line.ends;
    let part = ((p - a).dot(b - a) / a.distance_squared(b).max(1e-18)).clamp(0.0, 1.0);
    p.distance(a.lerp(b, part)) < SAME_LINE_MM
}

/// Where on the chord between two corners both banks agree; none where they are one bank.
fn tie(shore: &Shore, [a, b]: [usize; 2], way: f64) -> Option<DVec2> {
    let (from, to) = (shore.points[a], shore.points[b]);
    let both = |p: DVec2| [shore.near(a, p, way), shore.near(b, p, way)];
    // By halving only: at the corners themselves both banks may be one.
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let half = 0.5 * (low + high);
        let [one, other] = both(from.lerp(to, half));
        if (one.height - other.height) * way < 0.0 { low = half } else { high = half }
    }
    let p = from.lerp(to, 0.5 * (low + high));
    let [one, other] = both(p).map(|foot: Foot| (foot.at - p).normalize_or_zero());
    (one.distance(other) > LEAST_FOLD).then_some(p)
}

/// A ridge between two banks from a tie on into the open, step by step.
fn trail(
    shore: &Shore,
    [a, b]: [usize; 2],
    from: DVec2,
    away: DVec2,
    lies: Lies,
    flank: &dyn Fn(DVec2) -> f64,
) -> Vec<Reach> {
    let way = lies.way();
    let mut all = Vec::new();
    let (mut p, mut heading) = (from, away);
    for _ in 0..TRAIL {
        let [one, other] = [a, b].map(|bank| (shore.near(bank, p, way).at - p).normalize_or_zero());
        let across = (one - other).normalize_or_zero();
        let along = across.perp() * across.perp().dot(heading).signum();
        if one.distance(other) < LEAST_FOLD || along == DVec2::ZERO {
            break;
        }
        // A step on, then across onto the place where both banks agree.
        let ahead = p + along * TRAIL_MM;
        let Some(next) = agreed(shore, [a, b], ahead, across, way) else { break };
        if next.distance(p) > 3.0 * TRAIL_MM {
            break;
        }
        all.push(Reach { ends: [p, next], lies });
        if flank(next) < 0.0 {
            break;
        }
        (heading, p) = (next - p, next);
    }
    all
}

/// Where three banks agree, by Newton's rule from the middle of the ties; the middle where that leads
/// nowhere.
fn junction(shore: &Shore, banks: [usize; 3], ties: &[DVec2], way: f64) -> DVec2 {
    let middle = ties.iter().sum::<DVec2>() / ties.len() as f64;
    let reach = ties.iter().map(|tie| tie.distance(middle)).fold(0.0, f64::max);
    let mut p = middle;
    for _ in 0..20 {
        let feet = banks.map(|bank| shore.near(bank, p, way));
        let rise = feet.map(|foot| (foot.at - p).normalize_or_zero() * -way * shore.slope);
        let [u, v] = [rise[0] - rise[1], rise[0] - rise[2]];
        let off = DVec2::new(feet[1].height - feet[0].height, feet[2].height - feet[0].height);
        let turn = DMat2::from_cols(DVec2::new(u.x, v.x), DVec2::new(u.y, v.y));
        if turn.determinant().abs() < 1e-6 * shore.slope * shore.slope {
            return middle;
        }
        let step = turn.inverse() * off;
        p += step;
        if !p.is_finite() || p.distance(middle) > 2.0 * reach + 1e-6 {
            return middle;
        }
        if step.length() < 1e-9 {
            break;
        }
    }
    p
}
