//! The least concave radius of a side: the roundest ball that could follow it everywhere.

use super::rule::height;
use super::{Ground, Heights, NOTHING};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::Length;
use glam::DVec2;

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

/// The least concave radius of a side, and where; none if it is concave nowhere. Looked for on the
/// cells, then on the exact surface round the most bent of them.
pub fn least_concave(body: &Body, face: Face, ground: &Ground) -> Option<(Length, DVec2)> {
    /// Starts of the closer look, and how far they lie apart, in mm.
    const STARTS: usize = 24;
    const APART: f64 = 3.0;
    /// Flatter than this, in 1/mm, is taken for not concave: a radius of ten metres.
    const FLAT: f64 = 1e-4;
    let Heights { columns, rows, cell, mm } = &ground.heights;
    let (columns, cell) = (*columns, cell.as_mm());
    let mut found: Vec<(f64, usize)> = Vec::new();
    for row in 1..rows.saturating_sub(1) {
        for column in 1..columns.saturating_sub(1) {
            let at = row * columns + column;
            let nine: [f64; 9] = std::array::from_fn(|i| {
                f64::from(mm[at + (i / 3) * columns + i % 3 - columns - 1])
            });
            if nine.iter().all(|z| *z > f64::from(NOTHING)) {
                let bend = Bend::of(nine, cell).concave();
                if bend > FLAT {
                    found.push((bend, at));
                }
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let place =
        |at: usize| ground.origin + cell * DVec2::new((at % columns) as f64, (at / columns) as f64);
    let mut starts: Vec<DVec2> = Vec::new();
    for (_, at) in &found {
        let p = place(*at);
        if starts.iter().all(|other| other.distance(p) > APART) {
            starts.push(p);
        }
        if starts.len() == STARTS {
            break;
        }
    }
    let closer = starts.into_iter().map(|start| climb(body, face, start, cell));
    let best = closer.filter(|(bend, _)| *bend > FLAT).max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some((Length::mm(1.0 / best.0), best.1))
}

/// The most bent place near a start, on the exact surface.
fn climb(body: &Body, face: Face, start: DVec2, cell: f64) -> (f64, DVec2) {
    /// Step of the second differences, in mm: rounding of 1e-14 over its square is 1e-10.
    const STEP: f64 = 1e-2;
    /// Where half the step bends by so much more, there is a line where two skins meet, such as
    /// that between hollow and land, and no radius.
    const LINE: f64 = 1.5;
    let bend = |p: DVec2| {
        let room = 2.0 * STEP;
        let spans = [p.x - room, p.x + room].map(|x| body.across(Length::mm(x)));
        if spans.iter().any(|[right, left]| p.y - room < *right || p.y + room > *left) {
            return f64::NEG_INFINITY;
        }
        let by = |step: f64| {
            let nine = std::array::from_fn(|i| {
                let way = DVec2::new((i % 3) as f64 - 1.0, (i / 3) as f64 - 1.0);
                height(body, face, p + step * way)
            });
            Bend::of(nine, step).concave()
        };
        let (coarse, fine) = (by(STEP), by(0.5 * STEP));
        if fine > LINE * coarse || coarse > LINE * fine { f64::NEG_INFINITY } else { coarse }
    };
    let mut best = (bend(start), start);
    let mut step = cell;
    while step > 1e-3 {
        let around = [DVec2::X, -DVec2::X, DVec2::Y, -DVec2::Y].map(|way| {
            let p = best.1 + step * way;
            (bend(p), p)
        });
        let next = around.into_iter().fold(best, |a, b| if b.0 > a.0 { b } else { a });
        if next.0 > best.0 { best = next } else { step *= 0.5 }
    }
    best
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
