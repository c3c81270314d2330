//! Lines of a surface of flanks that its triangles keep: the valleys, and where flanks end at floor or plate.

use super::lines::joined;
use super::root::root;
use super::shore::Shore;
use super::sketch::{ArtGround, Fineness, Sketch};
use super::valley::{Lies, Reach, valleys};
use glam::DVec2;
use rayon::prelude::*;
use spade::Triangulation;
use std::collections::{BTreeMap, BTreeSet};

/// The coarse division that finds where floors are: off by less than this, in mm, and its triangles are no
/// smaller.
const COARSE_MM: f64 = 0.1;
const COARSE_LEAST_MM: f64 = 0.25;
/// Corners nearer than this are one, in mm: lines that cross by less are joined, and not lost.
const SAME_MM: f64 = 0.002;
/// A level's chords leave it by no more than this, in mm.
const LEVEL_MM: f64 = 0.0005;
/// Corners of a level are no nearer to each other, in mm, but for those that must be there.
const THIN_MM: f64 = 0.02;

/// Positive where a flank is the surface, negative on floor or plate.
pub(super) type Flank<'a> = &'a (dyn Fn(DVec2) -> f64 + Sync);

/// Lines on one side of the outline.
#[derive(Clone, Debug, Default)]
pub(super) struct FlankLines {
    /// Where flanks end.
    pub(super) level: Vec<Reach>,
    /// Where flanks meet, as far as they are flanks.
    pub(super) valleys: Vec<Reach>,
}

/// The lines on one side of the outline, for each floor that the flanks may end at; none where the outline
/// can't be kept, which no checked art is known to do. The ground's surface is only looked at coarsely: it
/// must be flank wherever one of them is.
pub(super) fn lines(
    ground: &ArtGround<'_>,
    of: Lies,
    flanks: &[Flank<'_>],
) -> Option<Vec<FlankLines>> {
    let mut sketch = Sketch::new(ground, SAME_MM)?;
    let any = |p: DVec2| flanks.iter().map(|flank| flank(p)).fold(f64::NEG_INFINITY, f64::max);
    for reach in valleys(&sketch.plan, &sketch.all_lie(), of, ground.shore, &any) {
        sketch.line(reach.ends, reach.lies);
    }
    let coarse = Fineness { tolerance: COARSE_MM, least: COARSE_LEAST_MM, thorough: true };
    sketch.divide(&|lies| (lies == of).then_some(coarse));
    if sketch.endless {
        return None;
    }
    let lies = sketch.all_lie();
    let each = flanks.iter().map(|flank| {
        let (level, valleys) = levels(&sketch, &lies, of, *flank);
        FlankLines { level: thinned(&level, &valleys), valleys }
    });
    Some(each.collect())
}

/// Levels without corners that lie needlessly near to each other; where a valley runs in, one stays.
fn thinned(level: &[Reach], valleys: &[Reach]) -> Vec<Reach> {
    let fixed: BTreeSet<[u64; 2]> = valleys
        .iter()
        .flat_map(|reach| reach.ends)
        .map(|p| p.to_array().map(f64::to_bits))
        .collect();
    let Some(lies) = level.first().map(|reach| reach.lies) else { return Vec::new() };
    let mut all = Vec::new();
    for line in joined(&level.iter().map(|reach| reach.ends).collect::<Vec<_>>()) {
        let mut kept: Vec<DVec2> = Vec::new();
        let count = line.corners.len();
        for (at, p) in line.corners.into_iter().enumerate() {
            let stays = fixed.contains(&p.to_array().map(f64::to_bits))
                || at == 0
                || (at + 1 == count && !line.closed);
            if stays || kept.last().is_none_or(|last| last.distance(p) > THIN_MM) {
                kept.push(p);
            }
        }
        let next = kept.iter().skip(1).chain(kept.first().filter(|_| line.closed));
        all.extend(kept.iter().zip(next).map(|(a, b)| Reach { ends: [*a, *b], lies }));
    }
    all
}

/// Where flanks end and where they meet, as far as they are flanks.
fn levels(
    sketch: &Sketch<'_>,
    lies: &[Lies],
    of: Lies,
    flank: Flank<'_>,
) -> (Vec<Reach>, Vec<Reach>) {
    let all: Vec<(DVec2, Lies)> =
        sketch.plan.vertices().map(|v| (v.data().at, v.data().lies)).collect();
    let on = all.par_iter().map(|(p, lies)| match lies {
        lies if *lies == of || *lies == Lies::On => flank(*p),
        _ => 0.0,
    });
    let on: Vec<f64> = on.collect();
    let reach = |from: DVec2, to: DVec2| Reach { ends: [from, to], lies: of };
    let mut crossings: BTreeMap<usize, DVec2> = BTreeMap::new();
    let mut valleys = Vec::new();
    for edge in sketch.plan.undirected_edges() {
        let ends = edge.vertices().map(|v| v.fix().index());
        let directed = edge.as_directed();
        let side = [directed.face(), directed.rev().face()].into_iter().find(|f| !f.is_outer());
        let own = side.is_some_and(|f| lies[f.fix().index()] == of);
        let shore = ends.iter().all(|at| all[*at].1 == Lies::On);
        let kept = edge.is_constraint_edge();
        if !own || (kept && shore) {
            continue;
        }
        let [a, b] = ends.map(|at| all[at].0);
        let [fa, fb] = ends.map(|at| on[at]);
        let cut = ((fa > 0.0) != (fb > 0.0)).then(|| root(flank, [a, b], [fa, fb]));
        if let Some(cut) = cut {
            crossings.insert(edge.fix().index(), cut);
        }
        // The border is none.
        if kept && !ends.iter().all(|at| sketch.on_border(*at)) {
            match (cut, fa > 0.0) {
                (Some(cut), true) => valleys.push(reach(a, cut)),
                (Some(cut), false) => valleys.push(reach(cut, b)),
                (None, true) => valleys.push(reach(a, b)),
                (None, false) => {}
            }
        }
    }
    let mut level = Vec::new();
    for face in sketch.plan.inner_faces().filter(|face| lies[face.fix().index()] == of) {
        let cuts =
            face.adjacent_edges().map(|edge| crossings.get(&edge.as_undirected().fix().index()));
        let cuts: Vec<DVec2> = cuts.into_iter().flatten().copied().collect();
        if let [one, other] = cuts[..] {
            let shore: &Shore = sketch.ground.shore;
            follow(flank, shore.slope, [one, other], 4, &mut |[a, b]| level.push(reach(a, b)));
        }
    }
    (level, valleys)
}

/// A level between two of its places, in chords that follow it.
fn follow(
    flank: Flank<'_>,
    slope: f64,
    [a, b]: [DVec2; 2],
    more: usize,
    take: &mut dyn FnMut([DVec2; 2]),
) {
    let middle = 0.5 * (a + b);
    let across = (b - a).perp().normalize_or_zero();
    let off = flank(middle);
    let far = off.abs() / slope;
    // Across the chord, to either side, as far as the flank's steepness says and twice that.
    let reach = [2.0 * far + SAME_MM, -2.0 * far - SAME_MM];
    let ends = reach.map(|by| middle + across * by);
    let ends = ends.into_iter().map(|end| (end, flank(end)));
    let end = ends.into_iter().find(|(_, there)| (*there > 0.0) != (off > 0.0));
    match end {
        Some((end, there)) if more > 0 && far > LEVEL_MM && a.distance(b) > 8.0 * SAME_MM => {
            let on = root(flank, [middle, end], [off, there]);
            follow(flank, slope, [a, on], more - 1, take);
            follow(flank, slope, [on, b], more - 1, take);
        }
        _ => take([a, b]),
    }
}
