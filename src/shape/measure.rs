//! Volumes of the exact body, by quadrature over the plan lattice: no mesh in between.

use super::{Body, HeadSkins, Lattice};
use rayon::prelude::*;

/// Abscissae of the five-point Gauss-Legendre rule on 0 to 1.
/// Source: the zeros of the Legendre polynomial P5, (1 ± √(5 ± 2√(10/7))/3) / 2.
const PLACES: [f64; 5] = [
    0.046_910_077_030_668,
    0.230_765_344_947_158_46,
    0.5,
    0.769_234_655_052_841_5,
    0.953_089_922_969_332,
];
/// Their weights.
const WEIGHTS: [f64; 5] = [
    0.118_463_442_528_094_54,
    0.239_314_335_249_683_24,
    0.284_444_444_444_444_44,
    0.239_314_335_249_683_24,
    0.118_463_442_528_094_54,
];
/// Each block is cut into so many cells each way; twice as many change the volume of the shipped
/// designs by less than one part in a million.
const CELLS: u32 = 6;

/// Volumes and the plan's area of the exact body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solids {
    /// Of the whole body, in mm³.
    pub body_mm3: f64,
    /// Of the hollow within its edge, full to the rim land (as laid across it), in mm³; 0 for a blade.
    pub hollow_mm3: f64,
    /// Of the plan, in mm².
    pub plan_mm2: f64,
}

impl Body {
    /// Height of the rim land at a place along the utensil, in mm, of a bowl: level
    /// across, and as high as the middle line has it.
    fn rim_height(&self, x: f64) -> Option<f64> {
        match &self.0.head {
            HeadSkins::Bowl(bowl) => Some(self.rise(x) + bowl.rim_plane()),
            HeadSkins::Blade(_) => None,
        }
    }

    /// Volumes by quadrature of the two skins over a lattice of this body.
    pub fn solids(&self, lattice: &Lattice) -> Solids {
        let parts: Vec<[f64; 3]> = (0..lattice.blocks.len())
            .into_par_iter()
            .map(|block| self.block_solids(lattice, block))
            .collect();
        // Summed in order, so that the figure does not depend on the threads.
        let [body_mm3, hollow_mm3, plan_mm2] =
            parts.iter().fold([0.0; 3], |sum, part| std::array::from_fn(|i| sum[i] + part[i]));
        Solids { body_mm3, hollow_mm3, plan_mm2 }
    }

    fn block_solids(&self, lattice: &Lattice, block: usize) -> [f64; 3] {
        /// Step of the differences that give the block's Jacobian.
        const STEP: f64 = 1e-5;
        let size = 1.0 / f64::from(CELLS);
        let mut sum = [0.0; 3];
        for cell in 0..CELLS * CELLS {
            let origin = [f64::from(cell % CELLS) * size, f64::from(cell / CELLS) * size];
            for (i, u) in PLACES.iter().enumerate() {
                for (j, v) in PLACES.iter().enumerate() {
                    let (a, b) = (origin[0] + u * size, origin[1] + v * size);
                    let at = |a: f64, b: f64| lattice.plan(block, a, b);
                    let jacobian = (at(a + STEP, b) - at(a - STEP, b))
                        .perp_dot(at(a, b + STEP) - at(a, b - STEP))
                        / (4.0 * STEP * STEP);
                    let weight = WEIGHTS[i] * WEIGHTS[j] * size * size * jacobian;
                    let p = at(a, b);
                    let top = self.top(p);
                    sum[0] += weight * (top - self.bottom(p));
                    if let Some(rim) = self.rim_height(p.x)
                        && self.past_line(p)
                    {
                        // At its rear the hollow's edge lies a little higher than the rim land.
                        sum[1] += weight * (rim - top).max(0.0);
                    }
                    sum[2] += weight;
                }
            }
        }
        sum
    }
}
