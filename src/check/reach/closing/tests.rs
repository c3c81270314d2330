use super::*;

/// The definition, cell by cell.
fn plain(surface: &HeightGrid, tool: Tool) -> Vec<f64> {
    let (columns, rows) = (surface.columns as i32, surface.rows as i32);
    let cell = surface.cell.as_mm();
    let reach = (tool.radius().as_mm() / cell).ceil() as i32;
    let mut under = Vec::new();
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            if let Some(height) = tool.height(f64::from(dx).hypot(f64::from(dy)) * cell) {
                under.push((dx, dy, height));
            }
        }
    }
    let each = |from: &[f64], sign: f64| -> Vec<f64> {
        (0..rows * columns)
            .map(|at| {
                let (x, y) = (at % columns, at / columns);
                let met = under.iter().filter_map(|(dx, dy, height)| {
                    let (x, y) = (x + dx, y + dy);
                    let inside = x >= 0 && y >= 0 && x < columns && y < rows;
                    inside.then(|| sign * from[(y * columns + x) as usize] - height)
                });
                sign * met.fold(f64::NEG_INFINITY, f64::max)
            })
            .collect()
    };
    let heights: Vec<f64> = surface.mm.iter().map(|z| f64::from(*z)).collect();
    each(&each(&heights, 1.0), -1.0)
}

/// Waves, a cliff, a groove and noise.
fn landscape(columns: usize, rows: usize, cell: f64, rough: f64) -> HeightGrid {
    let mut seed = 7_u32;
    let mut noise = move || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(seed >> 8) / f64::from(1 << 24)
    };
    let mut mm = Vec::new();
    for y in 0..rows {
        for x in 0..columns {
            let (u, v) = (x as f64 * cell, y as f64 * cell);
            let mut z = 4.0 * (u / 9.0).sin() * (v / 7.0).cos() + 0.4 * u + rough * noise();
            if (u - 14.0).hypot(v - 9.0) > 12.0 {
                z = -12.0;
            }
            if (v - 0.3 * u - 3.0).abs() < 0.8 {
                z -= 2.0;
            }
            mm.push(z as f32);
        }
    }
    HeightGrid { columns, rows, cell: Length::mm(cell), mm }
}

fn worst(surface: &HeightGrid, tool: Tool) -> f64 {
    let plain = plain(surface, tool);
    let fast = closing(surface, tool);
    let apart = fast.mm.iter().zip(&plain).map(|(a, b)| (f64::from(*a) - b).abs());
    apart.fold(0.0, f64::max)
}

#[test]
fn nothing_is_skipped_that_could_have_won() {
    let tools = [
        Tool::ball(Length::mm(3.175)),
        Tool::ball(Length::mm(9.0)),
        Tool::flat(Length::mm(3.175)),
        Tool::bull(Length::mm(6.0), Length::mm(1.2)),
    ];
    for tool in tools {
        for (columns, rows, cell) in [(121, 83, 0.25), (64, 61, 0.4), (7, 90, 0.3), (1, 1, 0.5)] {
            for rough in [0.0, 0.02, 1.0] {
                let apart = worst(&landscape(columns, rows, cell, rough), tool);
                assert!(apart < 1e-5, "{tool:?} on {columns} x {rows}, {rough}: {apart} mm");
            }
        }
    }
}

#[test]
fn a_ball_leaves_the_known_fillet_in_a_right_angled_corner() {
    // A floor and an upright wall: at a distance x from the wall a ball of radius R leaves
    // R - sqrt(R² - (R - x)²).
    let (cell, radius) = (0.05, 3.0);
    let columns = 200;
    let row: Vec<f32> = (0..columns).map(|x| if x < 60 { 10.0 } else { 0.0 }).collect();
    let surface = HeightGrid {
        columns,
        rows: 140,
        cell: Length::mm(cell),
        mm: std::iter::repeat_n(row, 140).flatten().collect(),
    };
    let left = closing(&surface, Tool::ball(Length::mm(2.0 * radius)));
    for x in [62_usize, 70, 90, 110, 125] {
        // The ball, whose edge counts, stands on the first cell beside the wall.
        let away = (x - 60) as f64 * cell;
        let known: f64 = if away < radius {
            radius - (radius * radius - (radius - away).powi(2)).sqrt()
        } else {
            0.0
        };
        let got = f64::from(left.mm[70 * columns + x]);
        assert!((got - known).abs() < 1e-5, "{away} mm from the ball's side: {got}, not {known}");
    }
}

#[test]
fn a_tool_of_more_cells_than_a_line_holds_is_still_exact() {
    let apart = worst(&landscape(40, 36, 0.05, 0.1), Tool::ball(Length::mm(13.0)));
    assert!(apart < 1e-5, "{apart}");
}

/// A strip with a rim, a lone cell, and a hole, as a body's grid has them: the tool stands beside
/// the surface, too.
#[test]
fn beside_the_surface_the_tool_goes_down_and_leaves_nothing_lower_than_it() {
    for (cell, rough) in [(0.25, 0.0), (0.25, 0.3), (0.1, 0.0)] {
        let mut surface = landscape(131, 93, cell, rough);
        let (wide, tall) = (131.0 * cell, 93.0 * cell);
        for (at, z) in surface.mm.iter_mut().enumerate() {
            let (x, y) = ((at % 131) as f64 * cell, (at / 131) as f64 * cell);
            let half = 0.2 * tall + 0.1 * tall * (6.0 * x / wide).sin();
            let on = (y - 0.5 * tall).abs() < half && x > 0.1 * wide && x < 0.9 * wide;
            let hole = (x - 0.5 * wide).hypot(y - 0.5 * tall) < 8.0 * cell;
            if (!on || hole) && at != 131 * 12 + 20 {
                *z = NOTHING;
            }
        }
        for tool in [Tool::ball(Length::mm(3.175)), Tool::flat(Length::mm(2.0))] {
            let plain = plain(&surface, tool);
            let left = closing(&surface, tool);
            let mut on = 0;
            for ((z, left), plain) in surface.mm.iter().zip(&left.mm).zip(&plain) {
                if *z > SOMETHING {
                    let apart = (f64::from(*left) - plain).abs();
                    assert!(apart < 1e-5 && left >= z, "{tool:?} {cell}: {left} {plain} {z}");
                    on += 1;
                } else {
                    assert_eq!(*left, NOTHING);
                }
            }
            assert!(on > 2000, "{on}");
        }
    }
}
