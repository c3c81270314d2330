//! The body as a boundary representation: one spline patch per block of the lattice and skin, and
//! a ruled rim wall.
//!
//! Promised: one closed solid, and the measured distance of its patches from the formula
//! ([`Solid::fit_error`]). Not promised: the formula itself; a spline only comes near it.

use super::{Body, Lattice, SideOf};
use crate::kernel::{EdgeId, KernelError, Shell, Solid, VertexId};
use glam::{DVec2, DVec3};

/// Control points of a patch per millimetre of its longer side.
const PER_MM: f64 = 0.42;
/// Least and most control points along a side. The least resolves a steep flank, whose bend does
/// not depend on its size.
const FEWEST: f64 = 14.0;
const MOST: f64 = 140.0;
/// How far an edge may turn from one control point to the next, in radians, where it turns most:
/// a square front's corners need more points than its length would give them.
const TURN: f64 = 0.1;

/// The body's B-rep on its lattice.
///
/// # Errors
/// When the patches do not close to one solid; no checked design is known to do that.
pub fn solid(body: &Body, lattice: &Lattice) -> Result<Solid, KernelError> {
    let counts = counts(lattice);
    let mut shell = Shell::new();
    let lift = |top: bool| {
        move |p: DVec2| -> DVec3 { p.extend(if top { body.top(p) } else { body.bottom(p) }) }
    };
    let mut skins: Vec<Vec<EdgeId>> = Vec::new();
    for top in [true, false] {
        let lift = lift(top);
        let nodes: Vec<VertexId> = lattice.nodes.iter().map(|p| shell.vertex(lift(*p))).collect();
        let edges = lattice
            .edges
            .iter()
            .zip(&counts)
            .map(|(edge, count)| {
                let curve = |t: f64| lift((edge.curve)(t));
                shell.edge(nodes[edge.from], nodes[edge.to], &curve, *count)
            })
            .collect();
        skins.push(edges);
    }
    for (index, block) in lattice.blocks.iter().enumerate() {
        for (edges, top) in skins.iter().zip([true, false]) {
            let sides = block.sides.map(|side| (edges[side.edge], side.reversed));
            let lift = lift(top);
            shell.patch(sides, move |a, b| lift(lattice.plan(index, a, b)), top);
        }
    }
    for SideOf { edge, reversed } in lattice.rim() {
        shell.ruled((skins[1][edge], reversed), (skins[0][edge], reversed), true);
    }
    shell.solid()
}

/// Control points along each edge: equal on opposite sides of every block.
fn counts(lattice: &Lattice) -> Vec<usize> {
    let mut class: Vec<usize> = (0..lattice.edges.len()).collect();
    let root = |class: &[usize], mut edge: usize| {
        while class[edge] != edge {
            edge = class[edge];
        }
        edge
    };
    for block in &lattice.blocks {
        for pair in [[0, 2], [1, 3]] {
            let [one, other] = pair.map(|side| root(&class, block.sides[side].edge));
            class[one.max(other)] = one.min(other);
        }
    }
    let mut most = vec![0.0_f64; class.len()];
    for edge in 0..class.len() {
        let root = root(&class, edge);
        most[root] = most[root].max(needs(lattice, edge));
    }
    (0..class.len()).map(|edge| most[root(&class, edge)].min(MOST) as usize).collect()
}

/// Control points that an edge asks for by its length and by its sharpest turn.
fn needs(lattice: &Lattice, edge: usize) -> f64 {
    const STEPS: u32 = 96;
    let at = |step: u32| (lattice.edges[edge].curve)(f64::from(step) / f64::from(STEPS));
    let steps: Vec<DVec2> = (0..STEPS).map(|step| at(step + 1) - at(step)).collect();
    let length: f64 = steps.iter().map(|step| step.length()).sum();
    let turn = steps.windows(2).map(|w| w[0].angle_to(w[1]).abs()).fold(0.0, f64::max);
    (FEWEST + PER_MM * length).max(f64::from(STEPS) * turn / TURN)
}
