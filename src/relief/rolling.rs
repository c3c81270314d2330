//! A ball rolled over heights on a grid: the grey-scale closing.
//!
//! Promised: what is left is nowhere lower than the heights. Not promised: a ball's place between
//! two cells; it stands on cells only, which leaves a little too much on steep places.

use glam::DVec2;

/// What a ball leaves: first the tip's lowest height over each cell, then the lowest that the ball
/// covers. `crest` are places between the cells, in cells, with their heights: a sharp edge that the
/// ball rests on.
pub(super) fn closed(
    heights: &[f64],
    wide: usize,
    radius: f64,
    cell: f64,
    crest: &[(DVec2, f64)],
) -> Vec<f64> {
    let steps = (radius / cell).floor() as isize;
    let mut ball = Vec::new();
    for y in -steps..=steps {
        for x in -steps..=steps {
            let far = cell * cell * (x * x + y * y) as f64;
            if far <= radius * radius {
                ball.push((x, y, radius - (radius * radius - far).sqrt()));
            }
        }
    }
    let mut tips =
        swept(heights, wide, &ball, f64::NEG_INFINITY, |best, z, rise| best.max(z - rise));
    let tall = heights.len() / wide.max(1);
    for (at, z) in crest {
        let reach = radius / cell;
        let from = (*at - reach).ceil().max(DVec2::ZERO);
        let to = (*at + reach).floor().min(DVec2::new(wide as f64 - 1.0, tall as f64 - 1.0));
        if to.x < from.x || to.y < from.y {
            continue;
        }
        for row in from.y as usize..=to.y as usize {
            for column in from.x as usize..=to.x as usize {
                let far = (DVec2::new(column as f64, row as f64) - *at).length_squared();
                let under = radius * radius - far * cell * cell;
                if under >= 0.0 {
                    let tip = &mut tips[row * wide + column];
                    *tip = tip.max(z - radius + under.sqrt());
                }
            }
        }
    }
    swept(&tips, wide, &ball, f64::INFINITY, |best, tip, rise| best.min(tip + rise))
}

/// For each cell the best over all cells that the ball covers there.
fn swept(
    from: &[f64],
    wide: usize,
    ball: &[(isize, isize, f64)],
    start: f64,
    pick: impl Fn(f64, f64, f64) -> f64,
) -> Vec<f64> {
    let mut out = vec![start; from.len()];
    let tall = from.len() / wide.max(1);
    for &(x, y, rise) in ball {
        // Columns of the result that have a neighbour so far off.
        let (first, last) = ((-x).max(0) as usize, wide.saturating_sub(x.max(0) as usize));
        for row in 0..tall {
            let Some(other) = row.checked_add_signed(y).filter(|other| *other < tall) else {
                continue;
            };
            if first >= last {
                continue;
            }
            let source = other * wide + (first as isize + x) as usize;
            let into = &mut out[row * wide + first..row * wide + last];
            for (best, z) in into.iter_mut().zip(&from[source..]) {
                *best = pick(*best, *z, rise);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_against_a_high_wall_leaves_its_own_quarter_circle() {
        let (cell, radius) = (0.05, 1.5);
        let wide = 161;
        let heights: Vec<f64> =
            (0..wide * wide).map(|i| if i % wide < 80 { 9.0 } else { 0.0 }).collect();
        let left = closed(&heights, wide, radius, cell, &[]);
        for column in 80..wide - 40 {
            let from_wall = cell * (column - 79) as f64;
            let off = (radius - from_wall).max(0.0);
            let exact = radius - (radius * radius - off * off).sqrt();
            let z = left[80 * wide + column];
            // The centre stands on cells: it may be a cell too far out.
            assert!(z >= exact - 1e-9 && z <= exact + 0.4, "{from_wall}: {z} {exact}");
        }
    }
}
