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
/// Halvings that find a tie: to a ten-millionth of a chord.
const HALVINGS: usize = 24;

/// The place of a face's middle.
pub(super) fn middle(
    face: &FaceHandle<'_, InnerTag, PlanCorner, (), spade::CdtEdge<()>, ()>,
) -> DVec2 {
    let p = face.center();
    DVec2::new(p.x, p.y)
}

/// The valleys of a plan whose faces lie so.
pub(super) fn valleys(plan: &ArtPlan, lies: &[Lies], shore: &Shore) -> Vec<Reach> {
    let mut ties: BTreeMap<usize, DVec2> = BTreeMap::new();
    for edge in plan.undirected_edges() {
        let directed = edge.as_directed();
        let side = [directed.face(), directed.rev().face()].into_iter().find(|f| !f.is_outer());
        let Some(side) = side.filter(|_| !edge.is_constraint_edge()) else { continue };
        let [a, b] = edge.vertices().map(|vertex| vertex.data().ring);
        if let (Some(a), Some(b)) = (a, b)
            && let Some(tie) = tie(shore, [a as usize, b as usize], lies[side.fix().index()].way())
        {
            ties.insert(edge.fix().index(), tie);
        }
    }
    let mut all = Vec::new();
    for face in plan.inner_faces() {
        let lies = lies[face.fix().index()];
        let sides = face.adjacent_edges().map(|edge| ties.get(&edge.as_undirected().fix().index()));
        let found: Vec<DVec2> = sides.into_iter().flatten().copied().collect();
        match found[..] {
            [one, other] => all.push(Reach { ends: [one, other], lies }),
            [_, _, _] => {
                let corners = face.vertices().map(|vertex| vertex.data().ring);
                let [Some(a), Some(b), Some(c)] = corners else { continue };
                let meet = junction(shore, [a, b, c].map(|at| at as usize), &found, lies.way());
                all.extend(found.into_iter().map(|tie| Reach { ends: [tie, meet], lies }));
            }
            [one] => {
                // An ear: the corner between two chords of the shore.
                let edges = face.adjacent_edges();
                let Some(at) = edges.iter().position(|edge| !edge.is_constraint_edge()) else {
                    continue;
                };
                let beside = edges.iter().filter(|edge| edge.is_constraint_edge()).count();
                let corner = edges[at].next().to();
                let sharp = corner
                    .data()
                    .ring
                    .is_some_and(|ring| shore.turn(ring as usize) * -lies.way() > SHARP);
                if beside == 2 && sharp {
                    all.push(Reach { ends: [one, corner.data().at], lies });
                }
            }
            _ => {}
        }
    }
    all
}

/// Where on the chord between two corners both banks agree; none where they are one bank.
fn tie(shore: &Shore, [a, b]: [usize; 2], way: f64) -> Option<DVec2> {
    let (from, to) = (shore.points[a], shore.points[b]);
    let both = |p: DVec2| [shore.near(a, p, way), shore.near(b, p, way)];
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
