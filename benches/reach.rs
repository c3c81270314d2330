//! Reach: what a ball cutter leaves of two million cells, against trying every cell.
//!
//! The baseline is the plain way made fast: whole rows at a time, the ball's four-fold symmetry
//! (four cells share one height and one subtraction), two threads. Both run on the same surface,
//! turn and turn about, and their results are compared.

use rayon::prelude::*;
use std::time::Instant;
use treenwright::check::reach::{HeightGrid, NOTHING, Tool, closing, surface};
use treenwright::finding::Findings;
use treenwright::params::{parse_design, template};
use treenwright::relief::Face;
use treenwright::shape::Body;
use treenwright::units::Length;

const TURNS: usize = 9;
const CELLS: usize = 2_000_000;

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn main() {
    rayon::ThreadPoolBuilder::new().num_threads(2).build_global().expect("two threads");
    println!("what a 1/8 in ball leaves, 2 million cells, two threads; median of {TURNS} turns");
    for cell in [0.25, 0.2, 0.1] {
        let tool = Tool::ball(Length::inches(0.125));
        for face in Face::BOTH {
            let ground = ground(Length::mm(cell), face, CELLS);
            let (mut fast, mut plain) = (Vec::new(), Vec::new());
            let mut apart = 0.0_f32;
            for _ in 0..TURNS {
                let start = Instant::now();
                let ours = closing(&ground, tool);
                fast.push(start.elapsed().as_secs_f64() * 1e3);
                let start = Instant::now();
                let every = every_cell(&ground, tool);
                plain.push(start.elapsed().as_secs_f64() * 1e3);
                let margin = 64;
                for y in margin..ground.rows - margin {
                    for x in margin..ground.columns - margin {
                        let at = y * ground.columns + x;
                        if ground.mm[at] > NOTHING {
                            // What rounding takes off the surface itself is not counted.
                            let every = every[at].max(ground.mm[at]);
                            apart = apart.max((ours.mm[at] - every).abs());
                        }
                    }
                }
            }
            let (fast, plain) = (median(fast), median(plain));
            println!(
                "{cell} mm cells, spoons side by side, {} of {} x {}: {fast:.1} ms; every cell {plain:.1} ms; \
                 ratio {:.2}; apart at most {apart:.1e} mm",
                face.name(),
                ground.columns,
                ground.rows,
                plain / fast
            );
        }
    }
    println!("cost by the number of cells, 0.2 mm, top");
    let tool = Tool::ball(Length::inches(0.125));
    for cells in [CELLS / 4, CELLS, 4 * CELLS] {
        let ground = ground(Length::mm(0.2), Face::Top, cells);
        let time = median(
            (0..TURNS)
                .map(|_| {
                    let start = Instant::now();
                    std::hint::black_box(closing(&ground, tool));
                    start.elapsed().as_secs_f64() * 1e3
                })
                .collect(),
        );
        let each = time * 1e6 / ground.mm.len() as f64;
        println!("{} cells: {time:.1} ms, {each:.1} ns a cell", ground.mm.len());
    }
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// So many cells of the shipped spoon: as many of its surfaces, side by side and end to end, as
/// they take.
fn ground(cell: Length, face: Face, cells: usize) -> HeightGrid {
    let mut findings = Findings::new();
    let text = template(treenwright::finding::Source::Design);
    let (design, _) = parse_design(text, &mut findings).expect("the shipped spoon");
    let one = surface(&Body::new(&design), face, Tool::ball(Length::inches(0.125)), cell).heights;
    let columns = one.columns * ((cells as f64).sqrt() / one.columns as f64).ceil() as usize;
    let rows = cells / columns + 1;
    let mut mm = Vec::with_capacity(columns * rows);
    for y in 0..rows {
        for x in 0..columns {
            mm.push(one.mm[(y % one.rows) * one.columns + x % one.columns]);
        }
    }
    HeightGrid { columns, rows, cell, mm }
}

/// Every cell under the ball at every place, four at a time.
fn every_cell(ground: &HeightGrid, tool: Tool) -> Vec<f32> {
    let tips = pass(&ground.mm, ground, tool, |z| z);
    let upside_down: Vec<f32> = tips.par_iter().map(|z| -z).collect();
    pass(&upside_down, ground, tool, |z| -z)
}

fn pass(
    from: &[f32],
    ground: &HeightGrid,
    tool: Tool,
    map: impl Fn(f32) -> f32 + Sync,
) -> Vec<f32> {
    let (columns, rows) = (ground.columns, ground.rows);
    let cell = ground.cell.as_mm();
    let reach = (tool.radius().as_mm() / cell).floor() as usize;
    let mut to = vec![0.0; from.len()];
    to.par_chunks_mut(columns).enumerate().for_each(|(y, to)| {
        if y < reach || y + reach >= rows {
            return;
        }
        let mut best = vec![f32::MIN; columns - 2 * reach];
        for dy in 0..=reach {
            let above = &from[(y - dy) * columns..(y - dy + 1) * columns];
            let below = &from[(y + dy) * columns..(y + dy + 1) * columns];
            for dx in 0..=reach {
                let away = (dx as f64).hypot(dy as f64) * cell;
                let Some(height) = tool.height(away) else { break };
                let height = height as f32;
                let width = columns - 2 * reach;
                let [a, b] = [above, below].map(|row| &row[reach - dx..reach - dx + width]);
                let [c, d] = [above, below].map(|row| &row[reach + dx..reach + dx + width]);
                for ((((best, a), b), c), d) in best.iter_mut().zip(a).zip(b).zip(c).zip(d) {
                    let ab = if a > b { a } else { b };
                    let cd = if c > d { c } else { d };
                    let found = (if ab > cd { ab } else { cd }) - height;
                    *best = if found > *best { found } else { *best };
                }
            }
        }
        for (to, best) in to[reach..].iter_mut().zip(best) {
            *to = map(best);
        }
    });
    to
}
