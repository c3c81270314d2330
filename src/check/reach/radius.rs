//! The least concave radius of a side: the roundest ball that could follow it everywhere.

use super::{CrossCut, HeightGrid, NOTHING, SideGrid};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::Length;
use glam::DVec2;
use rayon::prelude::*;
use std::cell::OnceCell;

/// Slopes and second derivatives of a height.
struct Bend {
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Bend {
    /// The greater principal curvature, in 1/mm; positive where the surface is concave seen from
    /// above. Source: the first and second fundamental forms of a graph (any text on surfaces).
    fn concave(&self) -> f64 {
        let Bend { x, y, xx, xy, yy } = self;
        let area = 1.0 + x * x + y * y;
        let root = area.sqrt();
        let mean =
            ((1.0 + x * x) * yy - 2.0 * x * y * xy + (1.0 + y * y) * xx) / (2.0 * area * root);
        let gauss = (xx * yy - xy * xy) / (area * area);
        mean + (mean * mean - gauss).max(0.0).sqrt()
    }

    /// From heights on a square of nine places, row by row, `step` mm apart.
    fn of(z: [f64; 9], step: f64) -> Bend {
        Bend {
            x: (z[5] - z[3]) / (2.0 * step),
            y: (z[7] - z[1]) / (2.0 * step),
            xx: (z[5] - 2.0 * z[4] + z[3]) / (step * step),
            yy: (z[7] - 2.0 * z[4] + z[1]) / (step * step),
            xy: (z[8] - z[6] - z[2] + z[0]) / (4.0 * step * step),
        }
    }
}

/// Flatter than this, in 1/mm, is taken for not concave: a radius of ten metres.
const FLAT: f64 = 1e-4;
/// Step of the second differences, in mm: rounding of 1e-14 over its square is 1e-10.
const STEP: f64 = 1e-2;

/// The least concave radius of a side, and where; none if it is concave nowhere. Looked for on the
/// cells, then climbed to on the formula from the most bent cell of each neighbourhood. Places where
/// two skins meet in a line have no radius; the surface on either side of it has.
pub fn least_concave(body: &Body, face: Face, ground: &SideGrid) -> Option<(Length, DVec2)> {
    /// Starts of the closer look, and how far they lie apart, in mm.
    const STARTS: usize = 48;
    const APART: f64 = 2.5;
    /// Starts that have come no further than this share of the best, with steps of a quarter of a
    /// cell, are not followed to their end: the last steps change a curvature by hundredths.
    const FAR: f64 = 0.8;
    /// The last step, in mm.
    const FINEST: f64 = 1e-3;
    let HeightGrid { columns, rows, cell, .. } = &ground.heights;
    let (columns, rows, cell) = (*columns, *rows, cell.as_mm());
    let place =
        |at: usize| ground.origin + cell * DVec2::new((at % columns) as f64, (at / columns) as f64);
    // The most bent cell of each neighbourhood.
    let near = (APART / cell).ceil() as usize;
    let across = columns.div_ceil(near);
    let mut most: Vec<(f64, usize)> = (0..rows.div_ceil(near))
        .into_par_iter()
        .flat_map_iter(|band| {
            let mut best = vec![(FLAT, usize::MAX); across];
            for row in band * near..((band + 1) * near).min(rows) {
                for column in 0..columns {
                    let at = row * columns + column;
                    if let Some(bend) = on_cells(&ground.heights, column, row)
                        && bend > best[column / near].0
                        && clear_of_lines(body, face, place(at), cell)
                    {
                        best[column / near] = (bend, at);
                    }
                }
            }
            best.into_iter().filter(|(_, at)| *at != usize::MAX)
        })
        .collect();
    most.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    most.truncate(STARTS);
    let climbed = |starts: Vec<DVec2>, steps: [f64; 2]| -> Vec<(f64, DVec2)> {
        starts.into_par_iter().map(|start| climb(body, face, start, steps)).collect()
    };
    let rough = climbed(most.into_iter().map(|(_, at)| place(at)).collect(), [cell, cell / 8.0]);
    let sharpest = rough.iter().map(|(bend, _)| *bend).fold(FLAT, f64::max);
    let chosen = rough.into_iter().filter(|(bend, _)| *bend > FAR * sharpest);
    let closer = climbed(chosen.map(|(_, at)| at).collect(), [cell / 8.0, FINEST]);
    let best = closer.into_iter().filter(|(bend, _)| *bend > FLAT).fold(
        None,
        |best: Option<(f64, DVec2)>, one| match best {
            Some(best) if best.0 >= one.0 => Some(best),
            _ => Some(one),
        },
    )?;
    Some((Length::mm(1.0 / best.0), best.1))
}

/// Curvature by a cell and its eight neighbours; none beside the body.
fn on_cells(heights: &HeightGrid, column: usize, row: usize) -> Option<f64> {
    let HeightGrid { columns, rows, cell, mm } = heights;
    if column == 0 || row == 0 || column + 1 >= *columns || row + 1 >= *rows {
        return None;
    }
    let first = (row - 1) * columns + column - 1;
    let nine: [f32; 9] = std::array::from_fn(|i| mm[first + (i / 3) * columns + i % 3]);
    let on = nine.iter().all(|z| *z > NOTHING);
    on.then(|| Bend::of(nine.map(f64::from), cell.as_mm()).concave())
}

/// Whether nine places `step` apart round a place lie inside the outline, and all on the same side
/// of the line where two skins meet.
fn clear_of_lines(body: &Body, face: Face, p: DVec2, step: f64) -> bool {
    clear_between(body, face, p, step, [p.x - step, p.x + step].map(|x| body.across(Length::mm(x))))
}

/// The same, where the outline is known at both ends of the nine places.
fn clear_between(body: &Body, face: Face, p: DVec2, step: f64, ends: [[f64; 2]; 2]) -> bool {
    if ends.iter().any(|[right, left]| p.y - step < *right || p.y + step > *left) {
        return false;
    }
    let past = body.past_line(p);
    let around = (0..9).map(|i| DVec2::new(f64::from(i % 3) - 1.0, f64::from(i / 3) - 1.0));
    face == Face::Bottom || around.into_iter().all(|way| body.past_line(p + step * way) == past)
}

/// The exact surface round one place along the body, cut when it is first needed: the places round
/// another share three of them.
struct Band<'a> {
    body: &'a Body,
    face: Face,
    x: f64,
    ends: [[f64; 2]; 2],
    cuts: OnceCell<[CrossCut; 3]>,
}

impl<'a> Band<'a> {
    fn at(body: &'a Body, face: Face, x: f64) -> Band<'a> {
        let ends = [x - STEP, x + STEP].map(|x| body.across(Length::mm(x)));
        Band { body, face, x, ends, cuts: OnceCell::new() }
    }

    /// How concave the surface is at a Y of it; without end less where two skins meet.
    fn bend(&self, y: f64) -> f64 {
        let Band { body, face, x, ends, .. } = *self;
        if !clear_between(body, face, DVec2::new(x, y), STEP, ends) {
            return f64::NEG_INFINITY;
        }
        let cut = |way: f64| CrossCut::of(body, face, x + STEP * way);
        let cuts = self.cuts.get_or_init(|| [-1.0, 0.0, 1.0].map(cut));
        let nine = std::array::from_fn(|i| cuts[i % 3].height(y + STEP * ((i / 3) as f64 - 1.0)));
        Bend::of(nine, STEP).concave()
    }
}

/// The most bent place near a start, on the exact surface, by steps from the first size down to the
/// last.
fn climb(body: &Body, face: Face, start: DVec2, [first, last]: [f64; 2]) -> (f64, DVec2) {
    const WAYS: [DVec2; 8] = [
        DVec2::X,
        DVec2::Y,
        DVec2::NEG_X,
        DVec2::NEG_Y,
        DVec2::ONE,
        DVec2::NEG_ONE,
        DVec2::new(1.0, -1.0),
        DVec2::new(-1.0, 1.0),
    ];
    /// Less of a gain than this share is rounding of the second differences, which a climb along a
    /// level ridge would follow for ever.
    const GAIN: f64 = 1e-6;
    /// So many steps of one size take it past its neighbourhood, where others start.
    const MOVES: u32 = 64;
    let mut best = (Band::at(body, face, start.x).bend(start.y), start);
    let (mut step, mut moves) = (first, 0);
    while step > last {
        let from = best.1;
        let bands = [-1.0, 0.0, 1.0].map(|way| Band::at(body, face, from.x + step * way));
        let beside = |by: f64| slide(body, from, by);
        // Along the outline, too, where the search may have run against it.
        let along = [(0, beside(-step)), (2, beside(step))];
        let around = WAYS.map(|way| ((way.x + 1.0) as usize, from + step * way));
        let around = around.into_iter().chain(along).map(|(band, p)| (bands[band].bend(p.y), p));
        let next = around.fold(best, |a, b| if b.0 > a.0 { b } else { a });
        let climbs = next.0 - best.0 > GAIN * next.0.abs();
        if climbs && moves < MOVES {
            (best, moves) = (next, moves + 1);
        } else {
            (step, moves) = (0.5 * step, 0);
        }
    }
    best
}

/// A place so much further along, as far from the outline's nearer side.
fn slide(body: &Body, p: DVec2, by: f64) -> DVec2 {
    let [right, left] = body.across(Length::mm(p.x));
    let [next_right, next_left] = body.across(Length::mm(p.x + by));
    let y =
        if p.y - right < left - p.y { p.y - right + next_right } else { p.y - left + next_left };
    DVec2::new(p.x + by, y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_an_ellipsoid_as_a_hollow_has_its_known_least_radius() {
        // Axes 50, 35, 18: c²/a = 6.48 mm at the ends of the rim's long axis, 68.0556 and
        // 138.889 mm at the bottom (closed form).
        let z = |x: f64, y: f64| -18.0 * (1.0 - x * x / 2500.0 - y * y / 1225.0).sqrt();
        let radius = |x: f64, y: f64| {
            let step = 1e-3;
            let nine = std::array::from_fn(|i| {
                z(x + step * ((i % 3) as f64 - 1.0), y + step * ((i / 3) as f64 - 1.0))
            });
            1.0 / Bend::of(nine, step).concave()
        };
        assert!((radius(0.0, 0.0) - 68.055_556).abs() < 1e-3);
        // At 49.5 mm the ellipse of the long axis has the radius (a² sin² + b² cos²)^1.5 / (a b).
        let (sin, cos) = ((1.0_f64 - 0.99 * 0.99).sqrt(), 0.99);
        let known = (2500.0 * sin * sin + 324.0 * cos * cos).powf(1.5) / (50.0 * 18.0);
        assert!((radius(49.5, 0.0) - known).abs() < 1e-3, "{} {known}", radius(49.5, 0.0));
    }
}
